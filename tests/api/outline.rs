//! `/v1/outline`: a few facts in, a job out that every other endpoint accepts.

use serde_json::{Map, Value, json};

use super::helpers::{TestService, faults, problem, shared_service};

const KINDS: [&str; 6] = ["detached", "semi_detached", "end_terrace", "mid_terrace", "bungalow", "flat"];

fn facts(kind: &str, year: u32, floor_area_m2: f64) -> Value {
    json!({
        "dwelling_kind": kind,
        "construction_year": year,
        "floor_area_m2": floor_area_m2,
        "nation": "england",
        "station": "birmingham"
    })
}

/// The same facts, some of them changed.
fn with(mut facts: Value, changes: Value) -> Value {
    let Value::Object(changes) = changes else { panic!("changes are members") };
    changes.into_iter().for_each(|(name, value)| facts[name] = value);
    facts
}

async fn job(service: &TestService, facts: &Value) -> Value {
    service.answer("/v1/outline", facts).await["job"].take()
}

async fn loss_w(service: &TestService, facts: &Value) -> f64 {
    let mut job = job(service, facts).await;
    // percentiles are asked for elsewhere
    job.as_object_mut().unwrap().shift_remove("uncertainty");
    let answer = service.answer("/v1/heat-loss", &job).await;
    answer["heat_loss"]["dwelling"]["design_heat_loss_w"].as_f64().unwrap()
}

fn figure(place: &Value, name: &str) -> f64 {
    place[name].as_f64().unwrap_or_else(|| panic!("no {name} in {place}"))
}

fn surfaces(job: &Value) -> impl Iterator<Item = (&String, &Value)> {
    job["rooms"].as_object().unwrap().values().flat_map(|room| room["surfaces"].as_object().unwrap())
}

/// Area of the surfaces of a part that face something.
fn area(job: &Value, part: &str, faces: &str) -> f64 {
    let like = |surface: &&Value| surface["part"] == part && surface["faces"]["kind"] == faces;
    surfaces(job).map(|(_, surface)| surface).filter(like).map(|surface| figure(surface, "area_m2")).sum()
}

#[tokio::test]
async fn every_kind_year_area_and_storey_gives_a_job_that_the_stages_accept() {
    let service = shared_service();
    let mut asked = 0;
    for kind in KINDS {
        for year in [1890, 1955, 1985, 2015] {
            for floor_area_m2 in [20.0, 95.0, 1000.0] {
                let storeys: &[u32] = if kind == "bungalow" || kind == "flat" { &[1] } else { &[1, 2, 4] };
                for storeys in storeys {
                    let bedrooms = if floor_area_m2 > 500.0 { 10 } else { 2 };
                    let facts =
                        with(facts(kind, year, floor_area_m2), json!({"storeys": storeys, "bedrooms": bedrooms}));
                    let mut job = job(service, &facts).await;
                    job["uncertainty"] = json!({"draws": 100});
                    // the plant rests on all before it; each is asked for by itself in the houses of one year
                    let stages: &[&str] =
                        if year == 1955 { &["heat-loss", "emitters", "pipework", "plant"] } else { &["plant"] };
                    for stage in stages {
                        let response = service.post(&format!("/v1/{stage}"), &job).await;
                        let status = response.status();
                        let text = response.text().await.unwrap();
                        assert_eq!(status, 200, "{stage}: {facts}\n{text}");
                        asked += 1;
                    }
                    areas_add_up(&job, floor_area_m2);
                }
            }
        }
    }
    assert_eq!(asked, (4 + 3) * 3 * (4 * 3 + 2));
}

/// What the rooms have together is what the dwelling has.
fn areas_add_up(job: &Value, floor_area_m2: f64) {
    let rooms: Vec<&Value> = job["rooms"].as_object().unwrap().values().collect();
    let close = |found: f64, expected: f64, what: &str| {
        assert!(
            (found - expected).abs() < 0.001 * floor_area_m2 + 0.02,
            "{what}: {found} instead of {expected} in {job}"
        );
    };
    let by_storey = |storey: i64| -> f64 {
        rooms.iter().filter(|room| room["storey"] == storey).map(|room| figure(room, "floor_area_m2")).sum()
    };
    close(rooms.iter().map(|room| figure(room, "floor_area_m2")).sum(), floor_area_m2, "floor area");
    // the lowest floor lies on the ground, or on a neighbour; whatever has no room above it has a roof or a neighbour
    let below = area(job, "floor", "ground") + area(job, "floor", "adjoining_dwelling");
    let roof = area(job, "roof", "outside") + area(job, "ceiling", "adjoining_dwelling");
    close(below, by_storey(0), "lowest floor");
    close(roof, by_storey(0), "roof");
    close(area(job, "ceiling", "room"), floor_area_m2 - by_storey(0), "floors between storeys");
    // each storey is a rectangle whose sides are its walls
    for storey in 0.. {
        let on: Vec<&Value> = rooms.iter().copied().filter(|room| room["storey"] == storey).collect();
        if on.is_empty() {
            break;
        }
        let outer = |side: &str| -> f64 {
            let sides = [side.to_owned(), format!("party_{side}")];
            on.iter()
                .flat_map(|room| sides.iter().map(|id| room["surfaces"][id]["area_m2"].as_f64().unwrap_or(0.0)))
                .sum()
        };
        let [front, back, left, right] = ["front", "back", "left", "right"].map(outer);
        close(front, back, "front and back");
        close(left, right, "left and right");
        let height_m = figure(on[0], "height_m");
        close(front * left / (height_m * height_m), by_storey(storey), "width times depth");
    }
    let openings: f64 = surfaces(job)
        .flat_map(|(_, surface)| surface["openings"].as_object().into_iter().flat_map(Map::values))
        .map(|opening| figure(opening, "area_m2"))
        .sum();
    assert!(openings > 0.1 * floor_area_m2.min(300.0) && openings < area(job, "wall", "outside"), "{openings}");
}

#[tokio::test]
async fn sides_follow_from_the_kind() {
    let service = shared_service();
    for (kind, party_sides) in
        [("detached", 0), ("semi_detached", 1), ("end_terrace", 1), ("mid_terrace", 2), ("flat", 4)]
    {
        let job = job(service, &facts(kind, 1970, 90.0)).await;
        let sides: std::collections::BTreeSet<&String> = surfaces(&job)
            .filter(|(id, _)| id.starts_with("party_") && !id.ends_with("floor") && !id.ends_with("ceiling"))
            .map(|(id, _)| id)
            .collect();
        assert_eq!(sides.len(), party_sides, "{kind}: {sides:?}");
        assert_eq!(job["constructions"].get("party_floor").is_some(), kind == "flat");
    }
    let job = job(service, &facts("bungalow", 1970, 90.0)).await;
    assert!(job["rooms"].as_object().unwrap().values().all(|room| room["storey"] == 0));
    assert_eq!(job["rooms"]["bathroom"]["use"], "bathroom");
}

#[tokio::test]
async fn whatever_was_filled_is_an_assumption_with_a_spread() {
    let service = shared_service();
    let facts = facts("semi_detached", 1935, 88.0);
    let answer = service.answer("/v1/outline", &facts).await;
    let (job, notes) = (&answer["job"], &answer["notes"]);
    let basis = job["basis"].as_object().unwrap();
    for (pointer, known) in basis {
        assert!(job.pointer(pointer).is_some(), "{pointer}");
        assert_eq!(known["known"], "assumed", "{pointer}");
    }
    let spread = |pointer: &str| figure(&basis[pointer], "spread");
    for id in job["constructions"].as_object().unwrap().keys() {
        assert!((0.25..=1.0).contains(&spread(&format!("/constructions/{id}"))), "{id}");
    }
    assert_eq!((spread("/dwelling/ventilation"), spread("/rooms")), (0.5, 0.1));
    assert_eq!(notes["warnings"][0]["code"], "as_built");
    // stock averages tell that walls of that time were filled since
    assert!(spread("/constructions/wall") > 0.25);
    let told = with(facts, json!({"improvements": {"walls": "none"}}));
    let answer = service.answer("/v1/outline", &told).await;
    assert_eq!(answer["job"]["basis"]["/constructions/wall"]["spread"], 0.25);
    let warnings = answer["notes"]["warnings"].as_array().unwrap();
    assert!(warnings.iter().all(|note| note["code"] != "as_built"), "{warnings:?}");
    for note in notes["assumptions"].as_array().unwrap() {
        assert!(job.pointer(note["pointer"].as_str().unwrap()).is_some(), "{note}");
    }
    assert_eq!(job["uncertainty"], json!({}));
    let answer = service.answer("/v1/heat-loss", job).await;
    let dwelling = &answer["heat_loss"]["uncertainty"]["dwelling"];
    assert!(figure(dwelling, "p10_w") < figure(dwelling, "p90_w"), "{dwelling}");
}

#[tokio::test]
async fn a_quote_date_makes_the_job_one_that_can_be_priced() {
    let service = shared_service();
    for kind in KINDS {
        let facts = facts(kind, 1960, 85.0);
        let response = service.post("/v1/proposal", &job(service, &facts).await).await;
        let problem = problem(response, 422).await;
        assert_eq!(faults(&problem), [("", "missing_field")]);
        let dated = with(facts, json!({"quote_date": "2026-11-25", "title": "First look"}));
        let job = job(service, &dated).await;
        assert_eq!(job["title"], "First look");
        let answer = service.answer("/v1/proposal", &job).await;
        assert!(answer["price"].is_object(), "{kind}");
    }
}

#[tokio::test]
async fn improvements_lower_the_loss() {
    let service = shared_service();
    for kind in KINDS {
        let as_built = loss_w(service, &facts(kind, 1955, 90.0)).await;
        for improvement in [
            json!({"walls": "cavity_filled"}),
            json!({"walls": "insulated"}),
            json!({"loft_insulation_mm": 270}),
            json!({"windows": "double_low_e"}),
            json!({"floor": "insulated"}),
            json!({"draught_proofed": true}),
        ] {
            let improved = loss_w(service, &with(facts(kind, 1955, 90.0), json!({"improvements": improvement}))).await;
            assert!(improved < as_built, "{kind} {improvement}: {improved} instead of {as_built}");
        }
        let all = json!({"walls": "insulated", "loft_insulation_mm": 400, "windows": "triple", "floor": "insulated", "draught_proofed": true});
        let improved = loss_w(service, &with(facts(kind, 1955, 90.0), json!({"improvements": all}))).await;
        assert!(improved < 0.7 * as_built, "{kind}: {improved} instead of {as_built}");
    }
}

#[tokio::test]
async fn a_larger_dwelling_loses_more_and_one_with_more_neighbours_less() {
    let service = shared_service();
    for kind in KINDS {
        let mut before = 0.0;
        for floor_area_m2 in [20.0, 49.0, 51.0, 74.0, 76.0, 119.0, 121.0, 161.0, 400.0, 1000.0] {
            // a room more is another dwelling: bedrooms are cooler than what they take their floor from
            let facts = with(facts(kind, 1930, floor_area_m2), json!({"bedrooms": 3}));
            let loss_w = loss_w(service, &facts).await;
            assert!(loss_w > before, "{kind} of {floor_area_m2} m²: {loss_w} after {before}");
            before = loss_w;
        }
    }
    let [semi, end, mid] = [
        loss_w(service, &facts("semi_detached", 1970, 90.0)).await,
        loss_w(service, &facts("end_terrace", 1970, 90.0)).await,
        loss_w(service, &facts("mid_terrace", 1970, 90.0)).await,
    ];
    assert!((semi - end).abs() < 1e-9 && mid < end, "{semi}, {end}, {mid}");
}

#[tokio::test]
async fn faults_are_named() {
    let service = shared_service();
    let good = || facts("detached", 1970, 100.0);
    for (facts, expected) in [
        (json!({}), vec![("", "missing_field"); 5]),
        (with(good(), json!({"floor_area_m2": 19.9})), vec![("/floor_area_m2", "too_small")]),
        (with(good(), json!({"floor_area_m2": 1000.1})), vec![("/floor_area_m2", "too_large")]),
        (with(good(), json!({"storeys": 5})), vec![("/storeys", "too_large")]),
        (with(good(), json!({"bedrooms": 11})), vec![("/bedrooms", "too_large")]),
        (with(good(), json!({"dwelling_kind": "castle"})), vec![("/dwelling_kind", "unknown_choice")]),
        (with(good(), json!({"station": "atlantis"})), vec![("/station", "unknown_station")]),
        (with(good(), json!({"rooms": {}})), vec![("/rooms", "unknown_field")]),
        (with(good(), json!({"improvements": {"roof": 1}})), vec![("/improvements/roof", "unknown_field")]),
        (
            with(good(), json!({"dwelling_kind": "bungalow", "storeys": 2, "station": "atlantis"})),
            vec![("/storeys", "too_many_storeys"), ("/station", "unknown_station")],
        ),
        (with(good(), json!({"dwelling_kind": "flat", "storeys": 2})), vec![("/storeys", "too_many_storeys")]),
        (with(good(), json!({"flat_storey": "top"})), vec![("/flat_storey", "storey_of_a_house")]),
        (
            with(good(), json!({"dwelling_kind": "flat", "flat_storey": "attic"})),
            vec![("/flat_storey", "unknown_choice")],
        ),
        (with(good(), json!({"occupants": 0})), vec![("/occupants", "too_small")]),
        (with(good(), json!({"occupants": 21})), vec![("/occupants", "too_large")]),
        (with(good(), json!({"existing_heating": "gas"})), vec![("/existing_heating", "wrong_type")]),
        (
            with(good(), json!({"existing_heating": {"kind": "steam"}})),
            vec![("/existing_heating/kind", "unknown_choice")],
        ),
        (
            with(good(), json!({"quote_date": "1990-01-01", "station": "atlantis"})),
            vec![("/station", "unknown_station"), ("/quote_date", "no_rule")],
        ),
        (with(good(), json!({"grant_wanted": true})), vec![("/grant_wanted", "grant_without_date")]),
        (
            with(good(), json!({"pipes_kept": "yes", "mains_gas": 1, "grant_wanted": []})),
            vec![("/pipes_kept", "wrong_type"), ("/mains_gas", "wrong_type"), ("/grant_wanted", "wrong_type")],
        ),
        (
            with(
                good(),
                json!({"existing_heating": {"kind": "gas_boiler"}, "mains_gas": false, "flat_storey": "top", "grant_wanted": true, "station": "atlantis"}),
            ),
            vec![
                ("/flat_storey", "storey_of_a_house"),
                ("/grant_wanted", "grant_without_date"),
                ("/mains_gas", "boiler_without_gas"),
                ("/station", "unknown_station"),
            ],
        ),
        (
            with(good(), json!({"existing_heating": {"kind": "none"}, "pipes_kept": true})),
            vec![("/pipes_kept", "no_pipes_to_keep")],
        ),
    ] {
        let problem = problem(service.post("/v1/outline", &facts).await, 422).await;
        assert_eq!(super::helpers::faults(&problem), expected, "{facts}");
    }
    let problem = problem(service.post("/v1/outline?workings=true", &good()).await, 400).await;
    assert_eq!(problem["errors"].as_array().unwrap().len(), 1, "{problem}");
}

/// Codes of the typology's dwellings are for those who check it: they stand in the values, and no sentence that a client reads has one.
#[tokio::test]
async fn no_sentence_names_a_dwelling_of_the_typology() {
    for kind in KINDS {
        let answer = shared_service().answer("/v1/outline", &facts(kind, 1975, 80.0)).await;
        let notes = answer["notes"]["assumptions"].as_array().unwrap();
        let walls = notes.iter().find(|note| note["code"] == "outer_walls").unwrap();
        let many = walls["values"]["dwellings"].as_array().unwrap();
        assert!(many[0].as_str().unwrap().contains('.'), "{walls}");
        for detail in notes.iter().map(|note| note["detail"].as_str().unwrap()) {
            assert!(many.iter().all(|code| !detail.contains(code.as_str().unwrap())), "{detail}");
        }
        let said =
            if many.len() == 1 { "a like dwelling".to_owned() } else { format!("{} like dwellings", many.len()) };
        assert!(walls["detail"].as_str().unwrap().contains(&said), "{walls}");
    }
}
