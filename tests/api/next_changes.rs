//! What would lower the flow next: each change that is told is made in the job, and gives what was told of it.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use super::figures::number;
use super::helpers::{TestService, fixture, lowest, published, rooms_of, shared_service};
use super::steps::make;

/// A change that is made to one emitter alone.
fn one_step<'c>(changes: &'c [Value], word: &str) -> Option<&'c Value> {
    changes.iter().find(|change| change["steps"].as_array().unwrap().len() == 1 && change["steps"][0]["change"] == word)
}

/// What is bought of emitters, by the bill at a lowest flow temperature.
async fn bought(service: &TestService, job: &Value, lowest: &Value) -> f64 {
    let mut job = job.clone();
    job["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": lowest["flow_temperature_c"]});
    job["commercial"]["quote_date"] = json!("2026-11-02");
    let bill = service.answer("/v1/bill", &job).await["bill"].clone();
    let is_emitter = |line: &&Value| {
        let code = line["code"].as_str().unwrap();
        ["p1", "p2", "p3", "tr_", "fc_", "fused_spur"].iter().any(|start| code.starts_with(start))
    };
    // what stays open has no head in the bill, which is known once there are pipes: each set is counted with one
    let is_valves = |line: &&Value| ["radiator_valves", "manual_valves"].contains(&line["code"].as_str().unwrap());
    let lines = bill["lines"].as_array().unwrap();
    let sets: f64 = lines.iter().filter(is_valves).map(|line| number(&line["quantity"])).sum();
    lines.iter().filter(is_emitter).map(|line| number(&line["cost"])).sum::<f64>() + 27.45 * sets
}

/// Rooms that are set aside.
fn aside(lowest: &Value) -> BTreeSet<String> {
    let rows = lowest["set_aside"].as_array().unwrap().iter();
    rows.map(|row| row["values"]["room"].as_str().unwrap().to_owned()).collect()
}

/// Whatever is told of a house comes true when its steps are made in the job.
#[tokio::test]
async fn every_change_that_is_told_comes_true() {
    let service = shared_service();
    let told =
        async |job: &Value| service.answer("/v1/flow-temperatures", job).await["flow_temperatures"]["lowest"].clone();
    let mut seen = BTreeSet::new();
    let mut wide = fixture("bungalow");
    wide["rooms"]["living"]["emitters"]["floor"]["spacings_mm"] = json!([200, 250]);
    let mut kept = fixture("terrace");
    for room in kept["rooms"].as_object_mut().unwrap().values_mut() {
        if let Some(existing) = room["emitters"]["rad"].get_mut("existing") {
            existing["keep"] = json!("always");
        }
    }
    let mut shared = fixture("bungalow");
    shared["rooms"]["living"]["emitters"]["floor"]["share"] = json!(0.8);
    shared["rooms"]["living"]["emitters"]["rad"] = json!({"kind": "radiator", "fit": {"length_max_mm": 400}});
    let fan = |fit: Value| json!({"fan": {"kind": "fan_convector", "sound_max_db": 38, "fit": fit}});
    let old = |fit: Value| {
        json!({"kind": "radiator", "fit": fit,
            "existing": {"kind": "rated", "output_w": 1500, "water_l": 6, "keep": "always"}})
    };
    let rad = |fit: Value| json!({"kind": "radiator", "fit": fit});
    let timber = json!({"floor": {"kind": "heated_floor", "tube": "floor_tube_16", "screed": {},
        "covering": {"thickness_mm": 14, "conductivity_w_mk": 0.18, "material": "timber"}}});
    let small = json!({"height_max_mm": 500, "length_max_mm": 600});
    let rooms = [
        (900.0, 14.0, fan(json!({}))),
        (1200.0, 14.0, fan(json!({"length_max_mm": 700}))),
        // held by the surface of timber, which tile does not have
        (900.0, 12.0, timber),
        (700.0, 8.0, json!({"rail": {"kind": "radiator", "towel_rail": true}})),
        (
            500.0,
            9.0,
            json!({"rad": {"kind": "radiator", "connection": "bottom_opposite_ends", "enclosure_factor": 0.7}}),
        ),
        // neither replaced alone nor larger alone
        (900.0, 14.0, json!({"rad": old(small.clone())})),
        // what holds it is old, and the other could be larger
        (1500.0, 20.0, json!({"old": old(json!({})), "rad": rad(small.clone())})),
    ];
    let under_sill = json!({"sill_height_mm": 700, "height_max_mm": 450, "length_max_mm": 1000});
    let edge = json!({"floor": {"kind": "heated_floor", "tube": "floor_tube_16", "screed": {}, "spacings_mm": [200],
        "edge_area_m2": 6}});
    let more = [
        // the sill stays where it is
        (900.0, 20.0, json!({"rad": rad(under_sill)})),
        // an edge zone follows the closest spacing
        (1000.0, 20.0, edge),
        // a share that is found beside two that are given
        (
            1500.0,
            20.0,
            json!({"a": {"kind": "radiator", "share": 0.3}, "b": {"kind": "radiator", "share": 0.3},
            "c": old(json!({})), "d": rad(small)}),
        ),
    ];
    let mut jobs = vec![fixture("chapel"), fixture("terrace"), wide, kept, shared];
    jobs.extend(rooms.into_iter().chain(more).map(|room| rooms_of(&[room])));
    // a high room loses more by convection, and so more by a radiator than by its floor
    let mut high = rooms_of(&[(
        1300.0,
        20.0,
        json!({"floor": {"kind": "heated_floor", "tube": "floor_tube_16", "screed": {},
        "share": 0.8}, "rad": {"kind": "radiator"}}),
    )]);
    high["rooms"]["r0"]["height_m"] = json!(6);
    jobs.push(high);
    // many rooms that hold it together
    jobs.push(rooms_of(&vec![
        (600.0, 12.0, json!({"rad": rad(json!({"length_max_mm": 600, "depth_max_mm": 110}))}));
        14
    ]));
    for job in jobs {
        let job = lowest(job, 25.0, 70.0);
        let before = told(&job).await;
        let changes = before["next_changes"].as_array().unwrap();
        assert!(!changes.is_empty() && before.get("blocked_by").is_none(), "{before} of {job}");
        for change in changes {
            let mut changed = job.clone();
            for step in change["steps"].as_array().unwrap() {
                seen.insert(step["change"].as_str().unwrap().to_owned());
                make(&mut changed, step);
            }
            let after = told(&changed).await;
            assert_eq!(after["flow_temperature_c"], change["flow_temperature_c"], "{change}");
            let cost = bought(service, &changed, &after).await - bought(service, &job, &before).await;
            // tube is bought by the coil and counted by the metre
            let has_floor = job.to_string().contains("heated_floor");
            assert!(has_floor || (cost - number(&change["cost"])).abs() < 0.005, "{cost}: {change}");
            let gain_k = number(&before["flow_temperature_c"]) - number(&after["flow_temperature_c"]);
            assert!((gain_k - number(&change["gain_k"])).abs() < 1e-9, "{change}");
            // what lowers nothing gives a room its heat that was set aside
            let room = change["steps"][0]["room"].as_str().unwrap();
            assert!(gain_k > 0.0 || aside(&before).contains(room) && !aside(&after).contains(room), "{change}");
        }
    }
    let words: Vec<&str> = seen.iter().map(String::as_str).collect();
    let all = [
        "closer_spacing",
        "larger_fan_convector",
        "larger_radiator",
        "louder_fan_convector",
        "radiator_as_rated",
        "radiator_beside",
        "replaced_radiator",
        "share_moved",
        "thinner_covering",
    ];
    assert_eq!(words, all);
}

/// Where two rooms hold the temperature together, a change is told for each of them, and both are made at once.
#[tokio::test]
async fn rooms_that_hold_the_flow_together_are_changed_together() {
    let service = shared_service();
    let told = async |job: &Value| service.answer("/v1/flow-temperatures", job).await["flow_temperatures"].clone();
    let terrace = lowest(fixture("terrace"), 25.0, 70.0);
    let before = told(&terrace).await;
    let changes = before["lowest"]["next_changes"].as_array().unwrap();
    let together = &changes[0];
    let steps = together["steps"].as_array().unwrap();
    let mut rooms: Vec<&str> = steps.iter().map(|step| step["room"].as_str().unwrap()).collect();
    rooms.sort_unstable();
    assert_eq!(rooms, ["dining", "living"]);
    let also = &before["lowest"]["also_held_by"];
    assert_eq!((also.as_array().unwrap().len(), &also[0]["pointer"]), (1, &json!("/rooms/living/emitters/rad")));
    assert!(steps.iter().all(|step| step["change"] == "larger_radiator"));
    assert!(number(&together["gain_k"]) >= 0.5);
    let mut both = terrace.clone();
    for room in ["dining", "living"] {
        let mut one = terrace.clone();
        for job in [&mut one, &mut both] {
            job["rooms"][room]["emitters"]["rad"].as_object_mut().unwrap().remove("fit");
        }
        assert_eq!(told(&one).await["lowest"]["flow_temperature_c"], before["lowest"]["flow_temperature_c"], "{room}");
    }
    let after = told(&both).await;
    assert_eq!(after["lowest"]["flow_temperature_c"], together["flow_temperature_c"]);
    assert!(changes.windows(2).all(|pair| number(&pair[0]["gain_k"]) >= number(&pair[1]["gain_k"])));
}

/// A share that moves from the weaker emitter of a room to the stronger lowers the flow.
#[tokio::test]
async fn a_share_can_be_moved_within_a_room() {
    let service = shared_service();
    let mut job = lowest(fixture("terrace"), 25.0, 70.0);
    for room in job["rooms"].as_object_mut().unwrap().values_mut() {
        room["emitters"]["rad"].as_object_mut().unwrap().remove("existing");
        room["emitters"]["rad"].as_object_mut().unwrap().remove("fit");
    }
    job["rooms"]["living"]["emitters"] = json!({
        "small": {"kind": "radiator", "fit": {"length_max_mm": 600}, "share": 0.7}, "large": {"kind": "radiator", "share": 0.3}
    });
    let runs = job["pipework"]["runs"].as_object_mut().unwrap();
    for run in runs.values_mut() {
        for end in run["serves"].as_array_mut().unwrap() {
            if end["room"] == "living" {
                end["emitter"] = json!("small");
            }
        }
    }
    let answer = service.answer("/v1/flow-temperatures", &job).await;
    let changes = answer["flow_temperatures"]["lowest"]["next_changes"].as_array().unwrap();
    let moved = one_step(changes, "share_moved").unwrap();
    let detail = moved["steps"][0]["detail"].as_str().unwrap();
    assert!(number(&moved["gain_k"]) >= 0.5 && detail.contains("large"), "{moved}");
    // and by itself that is what the next search begins from
    for (id, share) in [("small", 0.6), ("large", 0.4)] {
        job["rooms"]["living"]["emitters"][id]["share"] = json!(share);
    }
    let after = service.answer("/v1/flow-temperatures", &job).await;
    assert_eq!(after["flow_temperatures"]["lowest"]["flow_temperature_c"], moved["flow_temperature_c"]);
}

/// A covering below the first of a board's test is no change that can be told, and nothing else is lost by it.
#[tokio::test]
async fn a_change_that_leads_out_of_a_floors_test_is_left_out() {
    let service = shared_service();
    let mut job = published("hand_house");
    job["heating"]["flow_temperature"] = json!({"kind": "lowest", "least_c": 25, "most_c": 60});
    job["commercial"]["price_book"]["products"]["board"] = json!({
        "kind": "floor_board", "description": "dry board with plates", "spacing_mm": 200, "with_screed": false, "pack_m2": 1,
        "outputs": [{"covering_m2k_w": 0.05, "output_w_m2k": 3.2, "limit_w_m2": 85},
            {"covering_m2k_w": 0.15, "output_w_m2k": 2.2, "limit_w_m2": 90}],
        "unit": "each", "unit_cost": 31
    });
    let floor = job["rooms"]["living"]["emitters"]["floor"].as_object_mut().unwrap();
    for member in ["pipe_height_mm", "screed", "spacings_mm", "design_on"] {
        floor.remove(member);
    }
    floor.insert("system".to_owned(), json!({"kind": "tested_boards", "board": "board"}));
    floor.insert("covering".to_owned(), json!({"thickness_mm": 12, "conductivity_w_mk": 0.15}));
    let answer = service.answer("/v1/flow-temperatures", &job).await;
    let lowest = &answer["flow_temperatures"]["lowest"];
    assert_eq!(lowest["held_by"]["pointer"], "/rooms/living/emitters/floor", "{lowest}");
    // a thinner covering would: what is left is another emitter
    let words: Vec<&Value> =
        lowest["next_changes"].as_array().unwrap().iter().map(|change| &change["steps"][0]["change"]).collect();
    assert_eq!(words, ["radiator_beside"]);
}

/// What no change would meet is named, and not the one that a change would help.
#[tokio::test]
async fn the_emitter_that_no_change_helps_is_the_one_that_is_named() {
    let service = shared_service();
    let fan = json!({"e": {"kind": "fan_convector", "fit": {"length_max_mm": 700}, "sound_max_db": 90}});
    let walled = json!({"e": {"kind": "radiator", "fit": {"clear_wall_mm": 1000, "sill_height_mm": 650}}});
    let job = lowest(rooms_of(&[(1060.0, 14.0, fan), (460.0, 14.0, walled)]), 30.0, 60.0);
    let answer = service.answer("/v1/flow-temperatures", &job).await;
    let found = &answer["flow_temperatures"]["lowest"];
    assert_eq!(found["held_by"]["pointer"], "/rooms/r0/emitters/e", "{found}");
    assert_eq!(found["blocked_by"]["pointer"], "/rooms/r1/emitters/e", "{found}");
}

/// A room that no radiator beside its towel rail carries either: what no change would meet is told of the towel rail, which
/// stands in the job, and not of the radiator, which does not.
#[tokio::test]
async fn a_need_that_a_radiator_beside_would_leave_is_told_of_what_stands_in_the_job() {
    let towel_rail = json!({"a": {"kind": "radiator", "towel_rail": true}});
    for loss_w in [6000.0, 9000.0, 12_000.0] {
        let job = lowest(rooms_of(&[(loss_w, 20.0, towel_rail.clone())]), 25.0, 65.0);
        let answer = shared_service().answer("/v1/flow-temperatures", &job).await;
        let found = &answer["flow_temperatures"]["lowest"];
        assert_eq!(found["complete"], false);
        assert_eq!(found["next_changes"], json!([]));
        assert_eq!(found["blocked_by"]["pointer"], "/rooms/r0/emitters/a", "{found}");
        // that it holds the temperature is told already: this says why nothing lowers it
        assert_ne!(found["blocked_by"]["detail"], found["held_by"]["detail"]);
    }
}

/// What a change costs says what it lacks: labour, and the covering where that is what changes.
#[tokio::test]
async fn the_cost_of_a_change_says_what_it_lacks() {
    let carpet = json!({"floor": {"kind": "heated_floor", "tube": "floor_tube_16", "screed": {},
        "covering": {"thickness_mm": 12, "conductivity_w_mk": 0.1}}});
    let job = lowest(rooms_of(&[(900.0, 18.0, carpet)]), 25.0, 60.0);
    let answer = shared_service().answer("/v1/flow-temperatures", &job).await;
    let changes = answer["flow_temperatures"]["lowest"]["next_changes"].as_array().unwrap();
    let mut seen = [false; 2];
    for change in changes {
        let covers = change["steps"].as_array().unwrap().iter().any(|step| step["change"] == "thinner_covering");
        let expected = if covers { json!(["labour", "floor_covering"]) } else { json!(["labour"]) };
        assert_eq!(change["cost_lacks"], expected, "{change}");
        seen[usize::from(covers)] = true;
    }
    assert!(seen[1], "{changes:?}");
}
