//! Runs that nobody drew, as the stage lays them.

use serde_json::{Value, json};

use super::figures::number;
use super::helpers::{close, faults, fixture, problem, published, rooms_of, row, shared_service, warned};

/// Route of all runs of an answer, kept ones too (m).
fn route_m(answer: &Value) -> f64 {
    answer["pipework"]["sections"].as_array().unwrap().iter().map(|section| number(&section["length_m"])).sum()
}

/// Route of the runs that a job draws (m).
fn drawn_m(job: &Value) -> f64 {
    job["pipework"]["runs"].as_object().unwrap().values().map(|run| number(&run["length_m"])).sum()
}

/// A job with its own runs taken out.
fn undrawn(mut job: Value) -> Value {
    job["pipework"].as_object_mut().unwrap().remove("runs");
    job
}

/// A job of which only floor areas are known.
fn without_places(mut job: Value) -> Value {
    for (_, room) in job["rooms"].as_object_mut().unwrap() {
        room.as_object_mut().unwrap().remove("position");
    }
    for (_, manifold) in job["pipework"]["manifolds"].as_object_mut().unwrap() {
        manifold.as_object_mut().unwrap().remove("position");
    }
    job
}

/// A regression, and no validation: the fixtures are our own. Once as they are, with the places of rooms and manifolds but for the
/// house that has none, and once by floor area alone.
#[tokio::test]
async fn estimated_routes_come_near_those_that_were_drawn() {
    let service = shared_service();
    for (how, change) in [("places", None), ("floor areas", Some(without_places as fn(Value) -> Value))] {
        let (mut all_found_m, mut all_drawn_m) = (0.0, 0.0);
        for (name, job) in [
            ("chapel", fixture("chapel")),
            ("terrace", fixture("terrace")),
            ("farmhouse", fixture("farmhouse")),
            ("hand house", published("hand_house")),
        ] {
            let asked = change.map_or_else(|| undrawn(job.clone()), |change| change(undrawn(job.clone())));
            let answer = service.answer("/v1/pipework", &asked).await;
            let (found_m, drawn_m) = (route_m(&answer), drawn_m(&job));
            let off = found_m / drawn_m - 1.0;
            println!("by {how}: {name} {found_m:.1} m estimated, {drawn_m:.1} m drawn, {:+.1} %", 100.0 * off);
            assert!(off.abs() < 0.30, "by {how}: {name} {found_m} m, drawn {drawn_m} m");
            all_found_m += found_m;
            all_drawn_m += drawn_m;
        }
        println!("by {how}: in sum {:+.1} %", 100.0 * (all_found_m / all_drawn_m - 1.0));
        assert!((all_found_m / all_drawn_m - 1.0).abs() < 0.15, "by {how}: {all_found_m} m, drawn {all_drawn_m} m");
        let bungalow = fixture("bungalow");
        let asked = change.map_or_else(|| undrawn(bungalow.clone()), |change| change(undrawn(bungalow.clone())));
        let found_m = route_m(&service.answer("/v1/pipework", &asked).await);
        println!("by {how}: bungalow {found_m:.1} m estimated, {:.1} m drawn", drawn_m(&bungalow));
        assert!((found_m - drawn_m(&bungalow)).abs() < 5.0, "by {how}: {found_m}");
    }
}

/// Two storeys of 81 m² with eleven radiators and two manifolds: by hand 65.4 m of route, so 131 m of tube and 31 hours.
#[tokio::test]
async fn a_farmhouse_takes_the_tube_and_the_hours_that_a_fitter_takes() {
    let floor = |manifold: &str| json!({"floor": {"kind": "heated_floor", "tube": "floor_tube_16", "screed": {}, "manifold": manifold}});
    let radiator = || json!({"rad": {"kind": "radiator"}});
    let mut rooms = vec![(600.0, 24.0, floor("m")), (500.0, 20.0, floor("n"))];
    rooms.extend((0..4).map(|_| (500.0, 37.0 / 4.0, radiator())));
    rooms.extend((0..7).map(|_| (600.0, 81.0 / 7.0, radiator())));
    let mut job = rooms_of(&rooms);
    for (number, (_, room)) in job["rooms"].as_object_mut().unwrap().iter_mut().enumerate() {
        room["storey"] = json!(usize::from(number >= 6));
    }
    job["pipework"] = json!({"manifolds": {"m": {}, "n": {}}});
    job["commercial"] = json!({"quote_date": "2026-09-01"});
    let answer = shared_service().answer("/v1/proposal", &job).await;
    let ground_m = 0.85 * (5.0_f64 * 81.0).sqrt() + 6.0 + 2.0 * (0.25 * 9.0 + 1.5);
    let upstairs_m = 0.85 * (8.0_f64 * 81.0).sqrt() + 10.5 + 2.7;
    assert!((route_m(&answer) - ground_m - upstairs_m).abs() < 1e-6 * ground_m, "{}", route_m(&answer));
    let labour = answer["bill"]["labour"].as_array().unwrap();
    let hours_h: f64 = labour.iter().filter(|row| row["task"] == "run_tube").map(|row| number(&row["labour_h"])).sum();
    assert!((hours_h - 0.24 * 2.0 * 65.4).abs() < 0.5, "{hours_h} h");
}

fn sections(answer: &Value) -> &Vec<Value> {
    answer["pipework"]["sections"].as_array().unwrap()
}

fn told(answer: &Value) -> Vec<&Value> {
    let assumptions = answer["notes"]["assumptions"].as_array().unwrap();
    assumptions.iter().filter(|note| note["code"] == "runs_estimated").collect()
}

#[tokio::test]
async fn estimated_runs_are_a_tree_whose_trunks_carry_what_leaves_from_them() {
    let answer = shared_service().answer("/v1/pipework", &undrawn(published("hand_house"))).await;
    let all = &answer["pipework"]["sections"];
    let sections = sections(&answer);
    for section in sections {
        let leave: Vec<&Value> = sections.iter().filter(|other| other["from"] == section["id"]).collect();
        if !leave.is_empty() {
            let carried: f64 = leave.iter().map(|other| number(&other["flow_l_h"])).sum();
            close(&section["flow_l_h"], carried, 1e-6);
            assert!(leave.len() > 1, "{section} leads on to a single run");
        }
    }
    // upstairs: a riser with the first piece of the trunk, and branches that leave the trunk one by one
    let [bath, bed1, bed2] =
        ["estimated-bath-rad", "estimated-bed1-rad", "estimated-bed2-rad"].map(|id| row(all, "id", id));
    let riser = row(all, "id", "estimated-riser-1");
    assert_eq!(riser["from"], "plant");
    assert_eq!(bed1["from"], riser["id"]);
    assert!(bath["from"] == bed2["from"] && bath["from"] != riser["id"], "{bath} {bed2}");
    assert!(number(&riser["outside_diameter_mm"]) >= number(&bed1["outside_diameter_mm"]));
    // 0.85 root(4 x 44.8) + 3 x 1.5 and 2.7 m of riser, 2.4 m of room and 0.3 m of floor
    let upstairs = told(&answer).into_iter().find(|note| note["values"]["storey"] == 1.0).unwrap();
    close(&upstairs["values"]["route_m"], 0.85 * (4.0_f64 * 44.8).sqrt() + 4.5 + 2.7, 1e-6);
    close(&upstairs["values"]["riser_m"], 2.7, 1e-6);
    assert_eq!(upstairs["values"]["by"], "floor_area");
    assert_eq!(upstairs["values"]["spread_percent"], 30.0);
    assert!(upstairs["detail"].as_str().unwrap().contains("drawn before pipe is ordered"));
    assert_eq!(told(&answer).len(), 2);
}

#[tokio::test]
async fn what_the_job_draws_stays_and_only_the_rest_is_estimated() {
    let mut job = published("hand_house");
    job["pipework"]["runs"].as_object_mut().unwrap().remove("to_bed1");
    let answer = shared_service().answer("/v1/pipework", &job).await;
    let all = &answer["pipework"]["sections"];
    assert_eq!(row(all, "id", "to_bath")["length_m"], 2.5);
    let estimated: Vec<&Value> =
        sections(&answer).iter().filter(|one| one["id"].as_str().unwrap().starts_with("estimated-")).collect();
    // one emitter upstairs: 0.85 root(2 x 44.8) + 1.5 and the riser, in one run
    let [run] = estimated[..] else { panic!("{estimated:?}") };
    close(&run["length_m"], 0.85 * (2.0_f64 * 44.8).sqrt() + 1.5 + 2.7, 1e-6);
    assert_eq!(run["from"], "plant");
    assert_eq!(warned(&answer, "run_missing").len(), 1);
}

#[tokio::test]
async fn storeys_are_told_by_places_or_by_area_and_long_narrow_plans_take_more() {
    let service = shared_service();
    let by = |answer: &Value| -> Vec<String> {
        told(answer).iter().map(|note| note["values"]["by"].as_str().unwrap().to_owned()).collect()
    };
    let placed = service.answer("/v1/pipework", &undrawn(fixture("chapel"))).await;
    assert_eq!(by(&placed), ["places", "places", "places"]);
    let unplaced = service.answer("/v1/pipework", &without_places(undrawn(fixture("chapel")))).await;
    // its ground floor is 15.6 m long and 7.2 m wide
    let mut found = by(&unplaced);
    found.sort();
    assert_eq!(found, ["floor_area", "floor_area", "floor_area_long_and_narrow"]);
    let ground = told(&unplaced).into_iter().find(|note| note["values"]["storey"] == 0.0).unwrap();
    let emitters_m = 0.85 * (5.0_f64 * 112.32).sqrt() + 6.0;
    let manifolds_m = 2.0 * (0.25 * 112.32_f64.sqrt() + 1.5);
    // 2.4 m of room below and 0.3 m of floor
    close(&ground["values"]["route_m"], 1.15 * emitters_m + manifolds_m + 2.7, 1e-6);
}

/// The terrace with its tubes kept and none of them drawn.
fn kept_terrace(sizes_mm: &[f64]) -> Value {
    let mut job = undrawn(fixture("terrace"));
    job["pipework"]["existing"] = json!({"kind": "kept", "outside_diameters_mm": sizes_mm});
    job
}

#[tokio::test]
async fn a_house_keeps_its_tubes_and_only_what_is_new_is_laid() {
    let service = shared_service();
    let answer = service.answer("/v1/proposal", &kept_terrace(&[10.0, 15.0, 22.0])).await;
    let new: Vec<&str> = sections(&answer)
        .iter()
        .filter(|section| section["existing"] == false)
        .map(|section| section["id"].as_str().unwrap())
        .collect();
    // where no radiator hung before, and what two of them share
    assert_eq!(new, ["estimated-kitchen-rad", "estimated-trunk-1-1", "estimated-landing-rad", "estimated-bath-rad"]);
    let new_m: f64 = sections(&answer)
        .iter()
        .filter(|section| section["existing"] == false)
        .map(|section| 2.0 * number(&section["length_m"]))
        .sum();
    let tube = |answer: &Value| -> f64 {
        let lines = answer["bill"]["lines"].as_array().unwrap();
        let tubes = lines.iter().filter(|line| line["code"].as_str().unwrap().starts_with("cu_"));
        tubes.map(|line| 3.0 * number(&line["quantity"])).sum()
    };
    let hours = |answer: &Value| -> f64 {
        let labour = answer["bill"]["labour"].as_array().unwrap();
        labour.iter().filter(|row| row["task"] == "run_tube").map(|row| number(&row["labour_h"])).sum()
    };
    let whole = service.answer("/v1/proposal", &undrawn(fixture("terrace"))).await;
    assert!(tube(&answer) >= new_m && tube(&answer) < new_m * 1.2 + 9.0, "{} m for {new_m} m", tube(&answer));
    assert!(tube(&whole) > 3.0 * tube(&answer), "{} {}", tube(&whole), tube(&answer));
    assert!(hours(&whole) > 3.0 * hours(&answer), "{} {}", hours(&whole), hours(&answer));
    // the narrowest that carried what was behind it: a tail, four radiators, more
    let all = &answer["pipework"]["sections"];
    assert_eq!(row(all, "id", "estimated-living-rad")["tube"], "cu_10_coil");
    let upstairs = told(&answer).into_iter().find(|note| note["values"]["storey"] == 1.0).unwrap();
    assert!(number(&upstairs["values"]["kept_m"]) > 10.0, "{upstairs}");
    assert!(answer["notes"]["assumptions"].as_array().unwrap().iter().any(|note| note["code"] == "kept_tubes"));
}

/// Tubes are old where old emitters hang on them: where all are new the sizes seen lie nowhere, and that is told in the place of how they
/// are taken to lie.
#[tokio::test]
async fn kept_tubes_that_lead_nowhere_are_doubted() {
    let mut job = kept_terrace(&[15.0, 22.0]);
    for room in job["rooms"].as_object_mut().unwrap().values_mut() {
        for emitter in room["emitters"].as_object_mut().into_iter().flat_map(|all| all.values_mut()) {
            emitter.as_object_mut().unwrap().remove("existing");
        }
    }
    let answer = shared_service().answer("/v1/pipework", &job).await;
    assert_eq!(warned(&answer, "kept_tubes_lead_nowhere")[0]["pointer"], "/pipework/existing");
    assert!(answer["notes"]["assumptions"].as_array().unwrap().iter().all(|note| note["code"] != "kept_tubes"));
    assert!(answer["pipework"]["sections"].as_array().unwrap().iter().all(|section| section["existing"] == false));
    let kept = shared_service().answer("/v1/pipework", &kept_terrace(&[15.0, 22.0])).await;
    assert!(warned(&kept, "kept_tubes_lead_nowhere").is_empty());
}

#[tokio::test]
async fn a_kept_tube_that_is_too_narrow_is_told() {
    let mut job = kept_terrace(&[10.0]);
    let service = shared_service();
    let refused = |answer: &Value| -> Vec<Value> {
        let unmet = answer["pipework"]["unmet"].as_array().unwrap();
        unmet.iter().filter(|one| one["code"] == "existing_tube_refused").cloned().collect()
    };
    // a trunk of thin coil can be lived with
    let answer = service.answer("/v1/pipework", &job).await;
    assert!(refused(&answer).is_empty() && !warned(&answer, "kept_tube").is_empty());
    for note in warned(&answer, "kept_tube") {
        assert_eq!(note["pointer"], "/pipework/existing");
    }
    // two and a half times the water wears it out
    job["heating"]["drop_k"] = json!(2.0);
    let answer = service.answer("/v1/pipework", &job).await;
    let refused = refused(&answer);
    assert!(!refused.is_empty());
    for need in &refused {
        assert_eq!((&need["pointer"], &need["values"]["breaks"]), (&json!("/pipework/existing"), &json!("erosion")));
    }
}

#[tokio::test]
async fn sizes_that_no_tube_has_are_told_all_at_once() {
    let mut job = kept_terrace(&[14.0, 15.0, 23.5]);
    job["pipework"]["riser"] = json!({"room": "kitchn"});
    let problem = problem(shared_service().post("/v1/pipework", &job).await, 422).await;
    let mut found = faults(&problem);
    found.sort_unstable();
    assert_eq!(
        found,
        [
            ("/pipework/existing/outside_diameters_mm/0", "unknown_tube_size"),
            ("/pipework/existing/outside_diameters_mm/2", "unknown_tube_size"),
            ("/pipework/riser/room", "unknown_room"),
        ]
    );
}

/// What was seen is looked for among tubes of its material, the material of new runs where none is told.
#[tokio::test]
async fn kept_tubes_are_of_the_material_that_is_told() {
    let service = shared_service();
    let mut job = kept_terrace(&[15.0]);
    for (material, tube) in [(None, "cu_15"), (Some("pb"), "pb_15")] {
        if let Some(material) = material {
            job["pipework"]["existing"]["material"] = json!(material);
        }
        let answer = service.answer("/v1/pipework", &job).await;
        assert_eq!(row(&answer["pipework"]["sections"], "id", "estimated-living-rad")["tube"], tube);
    }
    job["pipework"]["existing"]["material"] = json!("steel");
    let problem = problem(service.post("/v1/pipework", &job).await, 422).await;
    assert_eq!(faults(&problem), [("/pipework/existing/outside_diameters_mm/0", "unknown_tube_size")]);
    assert!(problem["errors"][0]["detail"].as_str().unwrap().contains("21.3, 26.9"), "{problem}");
}

/// A manifold by itself, whose place is not told, has a way by the floor area; tails go by the same storeys as runs.
#[tokio::test]
async fn a_manifold_without_a_place_goes_by_the_floor_area() {
    let mut job = undrawn(published("hand_house"));
    job["rooms"]["living"]["height_m"] = json!(3.0);
    job["rooms"]["utility"]["height_m"] = json!(3.0);
    let answer = shared_service().answer("/v1/pipework", &job).await;
    let all = &answer["pipework"]["sections"];
    close(&row(all, "id", "estimated-m1")["length_m"], 0.25 * 44.8_f64.sqrt() + 1.5, 1e-6);
    // rooms of 3.0 m make a riser of 3.3 m
    let upstairs = told(&answer).into_iter().find(|note| note["values"]["storey"] == 1.0).unwrap();
    close(&upstairs["values"]["riser_m"], 3.3, 1e-6);
}

#[tokio::test]
async fn a_flat_stands_on_its_own_storeys() {
    let mut job = undrawn(published("hand_house"));
    job["plant"].as_object_mut().unwrap().remove("expansion_vessel");
    let service = shared_service();
    let house = service.answer("/v1/plant", &job).await;
    let house_m = route_m(&service.answer("/v1/pipework", &job).await);
    for (_, room) in job["rooms"].as_object_mut().unwrap() {
        room["storey"] = json!(room["storey"].as_i64().unwrap() + 9);
    }
    let flat = service.answer("/v1/plant", &job).await;
    assert_eq!(flat["plant"]["expansion_vessel"], house["plant"]["expansion_vessel"]);
    // two storeys of 2.4 m of room and 0.3 m of floor: 5.4 m
    close(&flat["plant"]["expansion_vessel"]["charge_pressure_bar"], 0.84, 1e-6);
    let flat_m = route_m(&service.answer("/v1/pipework", &job).await);
    assert!((flat_m - house_m).abs() < 1e-6, "{flat_m} {house_m}");
}

#[tokio::test]
async fn what_lies_below_the_plant_stands_under_more_pressure() {
    let mut job = undrawn(published("hand_house"));
    job["plant"]["expansion_vessel"] = json!({"safety_valve_bar": 3.0});
    for (code, product) in job["commercial"]["price_book"]["products"].as_object_mut().unwrap() {
        if code.starts_with("cu_") {
            product["pressure_max_bar"] = json!(3.1);
        }
    }
    let service = shared_service();
    let refused = |answer: &Value| {
        let unmet = answer["pipework"]["unmet"].as_array().unwrap();
        unmet.iter().filter(|one| one["values"]["breaks"] == "pressure").count()
    };
    assert_eq!(refused(&service.answer("/v1/pipework", &job).await), 0);
    // upstairs the plant has 2.7 m of water below it
    job["pipework"]["riser"] = json!({"room": "bath"});
    assert!(refused(&service.answer("/v1/pipework", &job).await) > 0);
    let plant = service.answer("/v1/plant", &job).await;
    close(&plant["plant"]["expansion_vessel"]["charge_pressure_bar"], 0.57, 1e-6);
}
