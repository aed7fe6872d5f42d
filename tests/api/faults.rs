//! Bad input: problem details with every fault of the document at once, each pointing at a place that is there.

use serde_json::{Value, json};

use super::helpers::{TestService, faults, fixture, problem, published, shared_service, study};

/// Asks for the heat loss of a text that must be refused, and holds every pointer against the document sent.
async fn refused(service: &TestService, text: &str, status: u16) -> Value {
    let refused = problem(service.post_text("/v1/heat-loss", text.to_owned()).await, status).await;
    let document: Value = serde_json::from_str(text).unwrap_or(Value::Null);
    for (pointer, code) in faults(&refused) {
        assert!(document.pointer(pointer).is_some(), "{code} points at {pointer}, which is not in the document");
    }
    refused
}

/// The document with a value put at a pointer; the last step may be new.
fn with(mut document: Value, pointer: &str, value: Value) -> Value {
    let (parent, name) = pointer.rsplit_once('/').unwrap();
    document.pointer_mut(parent).unwrap()[name] = value;
    document
}

fn without(mut document: Value, pointer: &str) -> Value {
    let (parent, name) = pointer.rsplit_once('/').unwrap();
    document.pointer_mut(parent).unwrap().as_object_mut().unwrap().remove(name).unwrap();
    document
}

/// Two rooms with a partition that only the first declares.
fn pair() -> Value {
    let mut pair = study();
    pair["rooms"]["hall"] = pair["rooms"]["study"].clone();
    pair["rooms"]["study"]["surfaces"]["inner"] =
        json!({"part": "wall", "construction": "wall", "area_m2": 7.2, "faces": {"kind": "room", "room": "hall"}});
    pair
}

#[tokio::test]
async fn every_kind_of_bad_document_is_told_with_its_place() {
    let service = shared_service();
    let wall = "/rooms/study/surfaces/north";
    let at = |name: &str| format!("{wall}/{name}");
    let cases = [
        (with(study(), &at("area_m2"), json!("9.6")), at("area_m2"), "wrong_type"),
        (with(study(), &at("area_m2"), json!("NaN")), at("area_m2"), "wrong_type"),
        (with(study(), &at("area_m2"), json!(true)), at("area_m2"), "wrong_type"),
        (with(study(), &at("area_m2"), json!(null)), at("area_m2"), "wrong_type"),
        (with(study(), "/rooms/study/use", json!(7)), "/rooms/study/use".into(), "wrong_type"),
        (with(study(), "/rooms/study/use", json!("disco")), "/rooms/study/use".into(), "unknown_choice"),
        (without(study(), &at("area_m2")), wall.into(), "missing_field"),
        (without(study(), "/rooms"), String::new(), "missing_field"),
        (with(study(), &at("colour"), json!("red")), at("colour"), "unknown_field"),
        (with(study(), "/colour", json!("red")), "/colour".into(), "unknown_field"),
        (with(study(), "/rooms/study", json!([12, 2.4])), "/rooms/study".into(), "wrong_type"),
        (with(study(), "/rooms", json!([])), "/rooms".into(), "wrong_type"),
        (json!([study()]), String::new(), "wrong_type"),
        (json!(null), String::new(), "wrong_type"),
        (with(study(), &at("area_m2"), json!(-9.6)), at("area_m2"), "too_small"),
        (with(study(), &at("area_m2"), json!(0)), at("area_m2"), "too_small"),
        (with(study(), &at("area_m2"), json!(1e300)), at("area_m2"), "too_large"),
        (with(study(), "/schema", json!(1.5)), "/schema".into(), "not_whole"),
        (with(study(), "/schema", json!(2)), "/schema".into(), "other_schema"),
        (with(study(), "/rooms", json!({})), "/rooms".into(), "too_few"),
        (with(study(), "/rooms/The study", study()["rooms"]["study"].clone()), "/rooms/The study".into(), "bad_id"),
        (with(study(), &at("construction"), json!("straw")), at("construction"), "unknown_construction"),
        (with(study(), &at("faces"), json!({"kind": "room", "room": "attic"})), at("faces/room"), "unknown_room"),
        (with(study(), &at("faces"), json!({"kind": "room", "room": "study"})), at("faces/room"), "faces_itself"),
        (with(study(), &at("faces"), json!("outside")), at("faces"), "wrong_type"),
        (with(study(), &at("faces"), json!({"kind": "moon"})), at("faces/kind"), "unknown_choice"),
        (with(study(), &at("faces"), json!({})), at("faces"), "missing_field"),
        (
            with(study(), &at("openings"), json!({"window": {"construction": "wall", "area_m2": 9.7}})),
            at("openings"),
            "openings_too_large",
        ),
        (
            with(study(), "/rooms/study/perimeter_m", json!(12.2)),
            "/rooms/study/perimeter_m".into(),
            "perimeter_too_short",
        ),
        (
            with(study(), "/site/climate", json!({"kind": "station", "station": "atlantis"})),
            "/site/climate/station".into(),
            "unknown_station",
        ),
    ];
    for (document, pointer, code) in cases {
        let refused = refused(service, &document.to_string(), 422).await;
        assert_eq!(faults(&refused), [(pointer.as_str(), code)], "{document}");
        assert_eq!(refused["code"], "unprocessable");
    }
}

#[tokio::test]
async fn a_fault_of_size_names_the_limit_that_was_broken() {
    let service = shared_service();
    let at = "/rooms/study/surfaces/north/area_m2";
    for (area_m2, limit) in [(-1.0, 0.0), (0.0, 0.0), (5000.5, 5000.0)] {
        let refused = refused(service, &with(study(), at, json!(area_m2)).to_string(), 422).await;
        assert_eq!(refused["errors"][0]["limit"].as_f64(), Some(limit), "{refused}");
    }
    for area_m2 in [0.000_001, 5000.0] {
        assert_eq!(service.post("/v1/heat-loss", &with(study(), at, json!(area_m2))).await.status(), 200);
    }
}

#[tokio::test]
async fn a_room_no_warmer_than_outside_is_refused() {
    let service = shared_service();
    let mut job = study();
    job["site"]["climate"]["outside_design_c"] = json!(12);
    job["rooms"]["study"]["inside_design_c"] = json!(12);
    let told = refused(service, &job.to_string(), 422).await;
    assert_eq!(faults(&told), [("/rooms/study/inside_design_c", "room_not_warmer_than_outside")]);
    assert_eq!(told["errors"][0]["limit"], 12.0);
}

#[tokio::test]
async fn a_partition_that_both_rooms_declare_must_be_the_same_in_both() {
    let service = shared_service();
    let back = |area_m2: f64, construction: &str| json!({"part": "wall", "construction": construction, "area_m2": area_m2, "faces": {"kind": "room", "room": "study"}});
    let at = "/rooms/hall/surfaces/inner";
    assert_eq!(service.post("/v1/heat-loss", &with(pair(), at, back(7.2, "wall"))).await.status(), 200);
    let unequal = refused(service, &with(pair(), at, back(7.3, "wall")).to_string(), 422).await;
    assert_eq!(faults(&unequal), [("/rooms/study/surfaces/inner", "partition_disagrees")]);
    assert_eq!(unequal["errors"][0]["also"], json!([at]), "a fault of two places names both");
    let detail = unequal["errors"][0]["detail"].as_str().unwrap();
    let (one, other) = ("7.20 m² by surface inner of room study", "7.30 m² by surface inner of room hall");
    assert!(detail.contains(one) && detail.contains(other), "{detail}");

    let other = with(pair(), "/constructions/brick", json!({"kind": "known", "u_value_w_m2k": 2}));
    let other = refused(service, &with(other, at, back(7.2, "brick")).to_string(), 422).await;
    assert_eq!(faults(&other), [("/rooms/study/surfaces/inner", "partition_disagrees")]);
    assert_eq!(other["errors"][0]["also"], json!([at]));
}

#[tokio::test]
async fn text_that_is_no_document_is_400() {
    let service = shared_service();
    let text = study().to_string();
    let bare = |value: &str| text.replace("9.6", value);
    for (text, code) in [
        (bare("NaN"), "not_json"),
        (bare("Infinity"), "not_json"),
        (bare("1e400"), "not_json"),
        (bare("9,6"), "not_json"),
        (bare("0x9"), "not_json"),
        (String::new(), "not_json"),
        (" ".to_owned(), "not_json"),
        ("{".to_owned(), "not_json"),
        (format!("{text} {text}"), "not_json"),
        (format!("{}{}", "[".repeat(200), "]".repeat(200)), "too_deep"),
        (
            text.replace(r#""dwelling":{}"#, &format!(r#""dwelling":{}{}"#, "[".repeat(200), "]".repeat(200))),
            "too_deep",
        ),
        ("[".repeat(1_000_000), "too_deep"),
        ("{\"a\":".repeat(300_000), "too_deep"),
    ] {
        let refused = problem(service.post_text("/v1/heat-loss", text.clone()).await, 400).await;
        assert_eq!(faults(&refused), [("", code)], "{}", &text[..text.len().min(80)]);
        assert_eq!(refused["code"], "unreadable");
    }
}

#[tokio::test]
async fn a_key_that_stands_twice_is_400_at_any_depth_and_in_any_spelling() {
    let service = shared_service();
    let text = study().to_string();
    for (once, twice, pointer) in [
        (r#""schema":1"#, r#""schema":1,"schema":1"#, "/schema"),
        (r#""height_m":2.4"#, r#""height_m":2.4,"height_m":2.4"#, "/rooms/study/height_m"),
        (r#""height_m":2.4"#, r#""height_m":2.4,"height\u005fm":2.4"#, "/rooms/study/height_m"),
        (r#""kind":"given""#, r#""kind":"given","kind":"given""#, "/site/climate/kind"),
        (r#""rooms":{"#, r#""rooms":{"study":{},"#, "/rooms/study"),
    ] {
        let told = refused(service, &text.replace(once, twice), 400).await;
        assert!(faults(&told).contains(&(pointer, "duplicate_key")), "{told}");
    }
}

/// Ten faults of ten kinds, planted in one fixture.
fn ten_faults() -> (Value, Vec<(&'static str, &'static str)>) {
    let mut job = fixture("terrace");
    job["site"]["colour"] = json!("red");
    job["dwelling"]["occupants"] = json!("two");
    job["constructions"]["wall"]["u_value_w_m2k"] = json!(-1);
    job["rooms"]["bed1"]["surfaces"]["loft"]["part"] = json!("lid");
    job["rooms"]["bed2"].as_object_mut().unwrap().remove("height_m");
    job["rooms"]["bed3"]["surfaces"]["loft"]["construction"] = json!("straw");
    job["rooms"]["bath"]["surfaces"]["north"]["openings"]["window"]["area_m2"] = json!(40.0);
    job["rooms"]["landing"]["surfaces"]["to_bath"]["faces"] = json!({"kind": "room", "room": "attic"});
    job["rooms"]["landing"]["inside_design_c"] = json!(99);
    job["heating"]["drop_k"] = json!([7]);
    let mut planted = vec![
        ("/site/colour", "unknown_field"),
        ("/dwelling/occupants", "wrong_type"),
        ("/constructions/wall/u_value_w_m2k", "too_small"),
        ("/rooms/bed1/surfaces/loft/part", "unknown_choice"),
        ("/rooms/bed2", "missing_field"),
        ("/rooms/bed3/surfaces/loft/construction", "unknown_construction"),
        ("/rooms/bath/surfaces/north/openings", "openings_too_large"),
        ("/rooms/landing/surfaces/to_bath/faces/room", "unknown_room"),
        ("/rooms/landing/inside_design_c", "too_large"),
        ("/heating/drop_k", "wrong_type"),
    ];
    planted.sort_unstable();
    (job, planted)
}

#[tokio::test]
async fn ten_faults_are_told_at_once_and_nothing_that_only_follows_from_them() {
    let service = shared_service();
    let (job, planted) = ten_faults();
    let told = refused(service, &job.to_string(), 422).await;
    let mut found = faults(&told);
    found.sort_unstable();
    // the wall construction and the second bedroom are pruned: surfaces that use them are not faults of their own
    assert_eq!(found, planted);
}

#[tokio::test]
async fn one_fault_of_the_text_among_faults_of_the_document_makes_it_400() {
    let service = shared_service();
    let (job, planted) = ten_faults();
    for (once, twice, pointer) in [
        // an optional field, a required one whose surface is at fault anyway, one of a sound surface, a whole part
        (r#""drop_k":"#, r#""drop_k":[7],"drop_k":"#, "/heating/drop_k"),
        (r#""title":"#, r#""title":"a","title":"#, "/title"),
        (r#""loft":{"part":"lid","#, r#""loft":{"part":"lid","part":"wall","#, "/rooms/bed1/surfaces/loft/part"),
        (r#""to_bed3":{"#, r#""to_bed3":{"part":"wall","#, "/rooms/bed1/surfaces/to_bed3/part"),
        (r#""schema":1"#, r#""schema":1,"schema":1"#, "/schema"),
    ] {
        let text = job.to_string();
        assert!(text.contains(once), "{once}");
        let told = refused(service, &text.replacen(once, twice, 1), 400).await;
        let found = faults(&told);
        assert!(found.contains(&(pointer, "duplicate_key")), "{told}");
        for planted in &planted {
            assert!(found.contains(planted), "{planted:?} is told beside the duplicate key {pointer}: {found:?}");
        }
        assert_eq!(found.len(), planted.len() + 1, "{found:?}");
    }
}

#[tokio::test]
async fn a_fault_inside_a_list_does_not_hide_the_rest() {
    let service = shared_service();
    let mut job = published("hand_house");
    job["rooms"]["bath"]["surfaces"]["east"]["construction"] = json!("straw");
    job["commercial"]["price_book"]["rules"][0]["until"] = json!(7);
    let told = refused(service, &job.to_string(), 422).await;
    let mut found = faults(&told);
    found.sort_unstable();
    let planted = [
        ("/commercial/price_book/rules/0/until", "wrong_type"),
        ("/rooms/bath/surfaces/east/construction", "unknown_construction"),
    ];
    assert_eq!(found, planted);
}

#[tokio::test]
async fn the_limits_of_rooms_and_surfaces_hold_exactly() {
    let service = shared_service();
    let numbered = |entry: &Value, count: usize| -> Value {
        (0..count).map(|i| (format!("n{i}"), entry.clone())).collect::<serde_json::Map<_, _>>().into()
    };
    let rooms = |count| with(study(), "/rooms", numbered(&study()["rooms"]["study"], count));
    let surfaces = |count| {
        let surfaces = numbered(&study()["rooms"]["study"]["surfaces"]["north"], count);
        with(study(), "/rooms/study/surfaces", surfaces)
    };
    for (largest, beyond, pointer, limit) in
        [(rooms(200), rooms(201), "/rooms", 200.0), (surfaces(64), surfaces(65), "/rooms/study/surfaces", 64.0)]
    {
        assert_eq!(service.post("/v1/heat-loss", &largest).await.status(), 200);
        let told = refused(service, &beyond.to_string(), 422).await;
        assert_eq!(faults(&told), [(pointer, "too_many")]);
        assert_eq!(told["errors"][0]["limit"], limit);
    }
}

#[tokio::test]
async fn a_document_with_faults_beyond_counting_is_told_so() {
    let service = shared_service();
    let mut job = study();
    for i in 0..3000 {
        job[format!("x{i}")] = json!(i);
    }
    let told = refused(service, &job.to_string(), 422).await;
    let found = faults(&told);
    assert!((100..=1000).contains(&found.len()), "{}", found.len());
    assert_eq!(found.last(), Some(&("", "more_faults")));
}
