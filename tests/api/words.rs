//! What a sender is told: in plain words, with the name that was meant, and never in those of a parser.

use serde_json::{Value, json};

use super::helpers::{TestService, faults, fixture, problem, published, shared_service, study};

/// Every fault of a refused text: pointer, code and detail.
async fn told(service: &TestService, target: &str, text: String, status: u16) -> Vec<(String, String, String)> {
    let refused = problem(service.post_text(target, text).await, status).await;
    let word = |item: &Value, member: &str| item[member].as_str().unwrap_or_default().to_owned();
    let errors = refused["errors"].as_array().unwrap().iter();
    errors.map(|item| (word(item, "pointer"), word(item, "code"), word(item, "detail"))).collect()
}

/// The detail of the only fault of a job.
async fn detail(job: &Value, code: &str) -> String {
    let told = told(shared_service(), "/v1/heat-loss", job.to_string(), 422).await;
    let [(_, found, detail)] = &told[..] else { panic!("one fault was expected: {told:?}") };
    assert_eq!(found, code, "{detail}");
    detail.clone()
}

fn with(mut job: Value, pointer: &str, value: Value) -> Value {
    let (parent, name) = pointer.rsplit_once('/').unwrap();
    job.pointer_mut(parent).unwrap()[name] = value;
    job
}

#[tokio::test]
async fn an_empty_body_is_said_to_be_empty() {
    for body in ["", " \r\n\t"] {
        let told = told(shared_service(), "/v1/price", body.to_owned(), 400).await;
        let [(pointer, code, detail)] = &told[..] else { panic!("{told:?}") };
        assert_eq!((pointer.as_str(), code.as_str()), ("", "not_json"));
        assert!(detail.starts_with("the body is empty"), "{detail}");
    }
}

#[tokio::test]
async fn a_text_that_is_no_json_is_told_what_is_wrong_and_where() {
    let text = serde_json::to_string_pretty(&study()).unwrap();
    let last = text.lines().count();
    let line_of = |part: &str| text.lines().position(|line| line.contains(part)).unwrap() + 1;
    for (sent, what, line) in [
        (text.trim_end_matches('}').to_owned(), "closing brace is missing", last),
        (text.replace("\"dwelling\": {}", "\"dwelling\": {},,"), "a comma too many", line_of("dwelling")),
        (text.replace("\"height_m\": 2.4,", "\"height_m\": 2.4"), "a comma is missing", line_of("height_m") + 1),
        (text.replace("9.6", "1e400"), "larger than can be held", line_of("9.6")),
        (text.replace("9.6", "NaN"), "`NaN` stands without quotation marks", line_of("9.6")),
        (text.replace("\"england\"", "\"eng\\land\""), "a backslash", line_of("england")),
        (format!("{text}\n]"), "after the end of the document", last + 1),
    ] {
        let told = told(shared_service(), "/v1/heat-loss", sent, 400).await;
        let [(_, code, detail)] = &told[..] else { panic!("{told:?}") };
        assert_eq!(code, "not_json");
        assert!(detail.contains(what) && detail.contains(&format!("line {line}, column ")), "{what}, {line}: {detail}");
    }
}

#[tokio::test]
async fn a_newer_schema_is_told_which_one_is_read() {
    // what would be a fault of this schema may be right in another
    let mut job = study();
    job["schema"] = json!(2);
    job["rooms"]["study"]["colour"] = json!("blue");
    job["rooms"]["study"]["floor_area_m2"] = json!("twenty");
    assert_eq!(detail(&job, "other_schema").await, "this service reads schema 1, and schema 2 was sent");
    for (schema, code) in [(json!(0), "other_schema"), (json!(1.5), "not_whole"), (json!("1"), "wrong_type")] {
        detail(&with(study(), "/schema", schema), code).await;
    }
}

#[tokio::test]
async fn an_id_is_told_what_ids_may_be() {
    let room = study()["rooms"]["study"].clone();
    let money = |currency: &str| {
        let mut job = published("hand_house");
        job["commercial"]["price_book"]["currency"] = json!(currency);
        job
    };
    for (job, code, words) in [
        (
            with(study(), "/rooms/The study", room),
            "bad_id",
            "`The study` is not lower-case letters, digits, `_` and `-`",
        ),
        (with(study(), "/rooms/study/surfaces/north/construction", json!("Wall!")), "wrong_form", "lower-case letters"),
        (
            with(study(), "/basis", json!({"rooms": {"known": "measured"}})),
            "bad_id",
            "the way to a part of the document",
        ),
        (money("pounds"), "wrong_form", "three capital letters"),
    ] {
        let detail = detail(&job, code).await;
        assert!(detail.contains(words) && !detail.contains('^') && !detail.contains("{0,"), "{detail}");
    }
}

/// The farmhouse with a wrong name at a place.
fn misnamed(pointer: &str, name: &str) -> Value {
    let mut job = fixture("farmhouse");
    *job.pointer_mut(pointer).unwrap_or_else(|| panic!("{pointer}")) = json!(name);
    job
}

/// The first place of the farmhouse that fits, and what stands there.
fn first(fits: impl Fn(&str) -> bool) -> (String, String) {
    fn look(value: &Value, at: &str, fits: &dyn Fn(&str) -> bool) -> Option<(String, String)> {
        match value {
            Value::Object(members) => {
                members.iter().find_map(|(name, inner)| look(inner, &format!("{at}/{name}"), fits))
            }
            Value::Array(items) => {
                items.iter().enumerate().find_map(|(i, inner)| look(inner, &format!("{at}/{i}"), fits))
            }
            Value::String(text) if fits(at) => Some((at.to_owned(), text.clone())),
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => None,
        }
    }
    let farmhouse = fixture("farmhouse");
    look(&farmhouse, "", &fits).unwrap()
}

#[tokio::test]
async fn unknown_names_are_told_the_nearest_and_only_what_is_near() {
    let (from, _) = first(|at| {
        at.ends_with("/from")
            && at.starts_with("/pipework/runs/")
            && fixture("farmhouse").pointer(at).unwrap() != "plant"
    });
    for (at, code) in [
        (first(|at| at.ends_with("/faces/room")).0, "unknown_room"),
        (from, "unknown_run"),
        (first(|at| at.ends_with("/construction")).0, "unknown_construction"),
        (first(|at| at.ends_with("/manifold") && at.starts_with("/rooms")).0, "unknown_manifold"),
        (first(|at| at.ends_with("/tube") && at.starts_with("/rooms")).0, "unknown_product"),
        (first(|at| at.ends_with("/emitter") && at.starts_with("/pipework/runs")).0, "unknown_emitter"),
        (first(|at| at.ends_with("/use") && at.starts_with("/rooms")).0, "unknown_choice"),
        (first(|at| at.ends_with("/faces/kind")).0, "unknown_choice"),
    ] {
        let meant = fixture("farmhouse").pointer(&at).unwrap().as_str().unwrap().to_owned();
        let told_of = async |name: &str| {
            let told = told(shared_service(), "/v1/heat-loss", misnamed(&at, name).to_string(), 422).await;
            let found =
                told.into_iter().find(|(pointer, ..)| *pointer == at).unwrap_or_else(|| panic!("nothing at {at}"));
            assert_eq!(found.1, code, "{at}");
            found.2
        };
        // with a letter too many at its end only the name itself is that near, or one like it
        let near = told_of(&format!("{meant}x")).await;
        assert!(near.ends_with(&format!("; did you mean `{meant}`?")), "{at}: {near}");
        let far = told_of("qqqqqqqqqqqqqqqqqqqq").await;
        assert!(!far.contains("did you mean"), "{at}: {far}");
    }
}

#[tokio::test]
async fn unknown_names_of_the_catalogue_and_of_the_whole_document_are_told_the_nearest() {
    let layers = json!([{"kind": "material", "material": "brick_outr", "thickness_mm": 100}]);
    let faces = json!({"kind": "unheated_space", "space": "garge"});
    let space = json!({"volume_m3": 30, "air_changes_per_h": 1,
        "surfaces": {"roof": {"part": "roof", "construction": "wall", "area_m2": 20}}});
    let commercial = |supplies: Value| json!({"quote_date": "2026-11-20", "supplies": supplies});
    for (job, code, meant) in [
        (
            with(study(), "/site/climate", json!({"kind": "station", "station": "birmingam"})),
            "unknown_station",
            "birmingham",
        ),
        (
            with(study(), "/constructions/wall", json!({"kind": "layered", "layers": layers})),
            "unknown_material",
            "brick_outer",
        ),
        (
            with(
                study(),
                "/constructions/wall",
                json!({"kind": "typical", "element": "cavity_wal", "construction_year": 1990}),
            ),
            "unknown_element",
            "cavity_wall",
        ),
        (
            with(
                with(study(), "/unheated_spaces", json!({"garage": space})),
                "/rooms/study/surfaces/north/faces",
                faces,
            ),
            "unknown_space",
            "garage",
        ),
        (
            with(study(), "/commercial", commercial(json!({"heatin": {"tax_rule": "standard_rate"}}))),
            "unused_supply",
            "heating",
        ),
        (
            with(study(), "/commercial", commercial(json!({"heating": {"tax_rule": "standard_rat"}}))),
            "unknown_rule",
            "standard_rate",
        ),
    ] {
        let detail = detail(&job, code).await;
        assert!(detail.ends_with(&format!("; did you mean `{meant}`?")), "{detail}");
    }
}

#[tokio::test]
async fn a_misspelt_field_is_told_the_one_that_was_meant_and_not_that_it_is_missing_too() {
    let mut job = study();
    let room = job["rooms"]["study"].as_object_mut().unwrap();
    let area = room.remove("floor_area_m2").unwrap();
    room.insert("flor_area_m2".to_owned(), area);
    let misspelt = detail(&job, "unknown_field").await;
    assert!(misspelt.ends_with("; did you mean `floor_area_m2`?"), "{misspelt}");
    // a name that is there already was not meant
    let doubled = detail(&with(study(), "/rooms/study/floor_area", json!(12)), "unknown_field").await;
    assert!(!doubled.contains("did you mean"), "{doubled}");
    // nothing near: both are told
    let mut job = with(study(), "/rooms/study/colour", json!("red"));
    job["rooms"]["study"].as_object_mut().unwrap().remove("height_m");
    let told = told(shared_service(), "/v1/heat-loss", job.to_string(), 422).await;
    let codes: Vec<&str> = told.iter().map(|(_, code, _)| code.as_str()).collect();
    assert_eq!(codes, ["missing_field", "unknown_field"]);
}

#[tokio::test]
async fn free_text_that_would_steer_what_shows_it_is_refused() {
    let steering =
        ['\0', '\t', '\n', '\r', '\u{1b}', '\u{7f}', '\u{9b}', '\u{2028}', '\u{2029}', '\u{202e}', '\u{2066}'];
    for character in steering {
        let text = json!(format!("a{character}b"));
        let mut job = study();
        for place in ["/title", "/reference", "/rooms/study/name", "/constructions/wall/description"] {
            job = with(job, place, text.clone());
        }
        let told = told(shared_service(), "/v1/heat-loss", job.to_string(), 422).await;
        assert_eq!(told.len(), 4, "{told:?}");
        for (pointer, code, detail) in told {
            assert_eq!(code, "control_character", "{pointer}");
            assert!(
                detail.contains(&format!("U+{:04X}", u32::from(character))) && !detail.contains(character),
                "{detail}"
            );
        }
        let facts = json!({"title": text, "dwelling_kind": "bungalow", "construction_year": 1960, "floor_area_m2": 80,
            "nation": "wales", "station": "cardiff"});
        let refused = problem(shared_service().post("/v1/outline", &facts).await, 422).await;
        assert_eq!(refused["errors"][0]["code"], "control_character");
        // names of members and entries are told without it
        let strange =
            with(with(study(), &format!("/a{character}b"), json!(1)), &format!("/rooms/a{character}b"), json!({}));
        let refused = problem(shared_service().post("/v1/heat-loss", &strange).await, 422).await;
        let details: Vec<&str> =
            refused["errors"].as_array().unwrap().iter().map(|item| item["detail"].as_str().unwrap()).collect();
        assert!(details.iter().all(|detail| !detail.contains(character)), "{details:?}");
    }
    let job = with(study(), "/title", json!("Bücherei – Nº 4, “شقة” 🏡"));
    assert_eq!(shared_service().post("/v1/heat-loss", &job).await.status(), 200);
}

/// What no sender is told: runs of blanks, regular expressions, the words of a parser, control characters.
fn hold_to_plain_words(detail: &str) {
    let parsers = [
        "EOF",
        "at line",
        "expected value",
        "expected `",
        "expected ident",
        "invalid type",
        "invalid value",
        "unknown variant",
        "unknown field `",
        "missing field `",
        "trailing",
        "data did not match",
        "control character (",
        "recursion",
        "serde",
        "::",
        "Some(",
        "None",
        "\"",
    ];
    for word in parsers.into_iter().chain(["  ", "^[", "[a-z", "{0,", "\\u00", "u{"]) {
        assert!(!detail.contains(word), "{word:?} in: {detail}");
    }
    assert!(!detail.chars().any(char::is_control) && detail.trim() == detail && !detail.is_empty(), "{detail:?}");
    assert!(detail.chars().count() < 1200, "{detail}");
}

/// Pointers of all places below the root.
fn places(value: &Value, at: &str, found: &mut Vec<String>) {
    let mut below = |name: &str, inner: &Value| {
        let at = format!("{at}/{}", name.replace('~', "~0").replace('/', "~1"));
        found.push(at.clone());
        places(inner, &at, found);
    };
    match value {
        Value::Object(members) => members.iter().for_each(|(name, inner)| below(name, inner)),
        Value::Array(items) => items.iter().enumerate().for_each(|(i, inner)| below(&i.to_string(), inner)),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

/// Every place of the farmhouse is spoilt in every way, many in one document.
#[tokio::test]
async fn no_refusal_speaks_the_language_of_a_parser() {
    let job = fixture("farmhouse");
    let mut all = Vec::new();
    places(&job, "", &mut all);
    let mut heard = std::collections::BTreeSet::new();
    let strange = [
        json!(null),
        json!(true),
        json!("no such thing"),
        json!("nothing"),
        json!(-3.5),
        json!(1e300),
        json!([]),
        json!({}),
    ];
    for (number, value) in strange.iter().enumerate() {
        for turn in 0..24 {
            let mut spoilt = job.clone();
            // deeper places first, so that what holds them is still there; parts and rooms themselves seldom
            for pointer in all.iter().rev().skip((turn + number) % 24).step_by(24) {
                let is_small = job.pointer(pointer).is_some_and(|place| !place.is_object() || turn == 7);
                if let Some(place) = spoilt.pointer_mut(pointer).filter(|_| is_small) {
                    *place = value.clone();
                }
            }
            let refused = shared_service().post("/v1/proposal", &spoilt).await;
            if refused.status() == 200 {
                continue;
            }
            let refused = problem(refused, 422).await;
            for item in refused["errors"].as_array().unwrap() {
                hold_to_plain_words(item["detail"].as_str().unwrap());
                heard.insert(item["code"].as_str().unwrap().to_owned());
            }
        }
    }
    assert!(heard.len() >= 15, "few kinds of faults were heard: {heard:?}");
}

#[tokio::test]
async fn no_text_that_breaks_off_or_is_spoilt_is_answered_in_a_parsers_words() {
    let text = r#"{"a": [1, -2.5e+3, "x\u00e9\n", true, null], "b": {"c": {}}}"#;
    let spoilt = (0..text.len()).flat_map(|at| {
        let broken_off = text[..at].to_owned();
        let put = ['x', '"', '\\', '{', ']', ',', ':', '\n', '/', '\u{1}'].into_iter();
        std::iter::once(broken_off).chain(put.map(move |byte| format!("{}{byte}{}", &text[..at], &text[at + 1..])))
    });
    let mut refused = 0;
    for (number, sent) in spoilt.enumerate().filter(|(number, _)| number % 3 == 0) {
        let response = shared_service().post_text("/v1/heat-loss", sent.clone()).await;
        let problem: Value = response.json().await.unwrap();
        for item in problem["errors"].as_array().unwrap() {
            let detail = item["detail"].as_str().unwrap();
            if item["code"] == "not_json" {
                refused += 1;
                assert!(detail.contains("line ") || detail.contains("is empty"), "{number}: {sent:?}: {detail}");
                assert!(!detail.contains("is not JSON from"), "a place without a reason, of {sent:?}: {detail}");
                assert!(
                    !["EOF", "expected value", "at line", "  "].iter().any(|words| detail.contains(words)),
                    "{detail}"
                );
            }
        }
    }
    assert!(refused > 100, "{refused}");
}

/// A name that is only like a member that is missing hides nothing: both are told. One that is that member misspelt is told
/// alone.
#[tokio::test]
async fn a_name_that_is_only_like_a_missing_member_does_not_hide_it() {
    let facts = |name: &str| {
        let mut facts =
            json!({"dwelling_kind": "mid_terrace", "floor_area_m2": 90, "nation": "wales", "station": "cardiff"});
        facts[name] = json!(1905);
        facts
    };
    let codes = async |name: &str| {
        let problem = problem(shared_service().post("/v1/outline", &facts(name)).await, 422).await;
        faults(&problem).into_iter().map(|(_, code)| code.to_owned()).collect::<Vec<_>>()
    };
    let mut like = codes("constructions").await;
    like.sort_unstable();
    assert_eq!(like, ["missing_field", "unknown_field"]);
    assert_eq!(codes("construction_yaer").await, ["unknown_field"]);
}
