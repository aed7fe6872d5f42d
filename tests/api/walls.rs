//! What hangs on walls, at the edges: old radiators that are the strongest, reasons why nothing can be taken, what is taken
//! out, and flows at which lines find no state that holds.

use serde_json::{Value, json};
use tundish::methods::math::{ln, pow};

use super::figures::number;
use super::helpers::{fixture, problem, rooms_of, shared_service};

fn rows<'a>(answer: &'a Value, room: &str) -> &'a Vec<Value> {
    let rooms = answer["emitters"]["rooms"].as_array().unwrap();
    rooms.iter().find(|found| found["room"] == room).unwrap()["emitters"].as_array().unwrap()
}

fn notes<'a>(answer: &'a Value, list: &str, code: &str) -> Vec<&'a Value> {
    answer["notes"][list].as_array().unwrap().iter().filter(|note| note["code"] == code).collect()
}

/// One room that loses so much, at a flow temperature.
fn one(loss_w: f64, flow_c: f64, emitters: Value) -> Value {
    let mut job = rooms_of(&[(loss_w, 14.0, emitters)]);
    job["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": flow_c});
    job
}

fn old(output_w: f64, keep: &str) -> Value {
    json!({"kind": "rated", "output_w": output_w, "exponent": 1.3, "water_l": 5, "keep": keep})
}

/// EN 442 by the logarithmic mean, at a drop of 5 K (W).
fn by_hand_w(rated_w: f64, exponent: f64, flow_c: f64, room_c: f64) -> f64 {
    let mean_k = 5.0 / ln((flow_c - room_c) / (flow_c - 5.0 - room_c));
    rated_w * pow(mean_k / (10.0 / ln(55.0 / 45.0)), exponent)
}

/// Source: EN 442; at 45/40/21 °C 21.403 K, so that 2500 W with 1.3 give 2500·(21.403/49.833)^1.3 = 833.3 W.
#[tokio::test]
async fn an_old_radiator_that_is_stronger_than_any_that_fits_stays_and_is_told() {
    let service = shared_service();
    let fit = json!({"height_max_mm": 300, "length_max_mm": 400});
    let rad = json!({"rad": {"kind": "radiator", "fit": fit, "existing": old(2500.0, "if_enough")}});
    let answer = service.answer("/v1/emitters", &one(1000.0, 45.0, rad)).await;
    let (row, unmet) = (&rows(&answer, "r0")[0], &answer["emitters"]["unmet"][0]);
    assert_eq!(unmet["code"], "no_radiator");
    assert!(
        (number(&unmet["reached"]) - 833.3).abs() < 0.1 && (number(&row["capacity_w"]) - 833.3).abs() < 0.1,
        "{row}"
    );
    assert_eq!((&row["standing"], row.get("strongest")), (&json!("kept"), None));
    assert!(unmet["detail"].as_str().unwrap().contains("is stronger than the one that hangs there"), "{unmet}");
    // where it is enough it stays too
    let rad = json!({"rad": {"kind": "radiator", "fit": fit, "existing": old(2500.0, "if_enough")}});
    let kept = service.answer("/v1/emitters", &one(800.0, 45.0, rad)).await;
    assert_eq!(rows(&kept, "r0")[0]["standing"], "kept");
}

/// Each of two old ones gives 1000·(26.42/49.833)^1.3 = 438.2 W at 50/45/21 °C: for 1000 W one of them is enough to go.
#[tokio::test]
async fn of_old_radiators_no_more_go_than_must() {
    let service = shared_service();
    let both = json!({"a": {"kind": "radiator", "existing": old(1000.0, "if_enough")},
        "b": {"kind": "radiator", "existing": old(1000.0, "if_enough")}});
    let answer = service.answer("/v1/emitters", &one(1000.0, 50.0, both)).await;
    let standings: Vec<&str> = rows(&answer, "r0").iter().map(|row| row["standing"].as_str().unwrap()).collect();
    assert!(standings.contains(&"kept") && standings.contains(&"replaced"), "{standings:?}");
    let kept = rows(&answer, "r0").iter().find(|row| row["standing"] == "kept").unwrap();
    assert!((number(&kept["output_w"]) - 438.2).abs() < 0.1, "{kept}");
    assert_eq!(answer["emitters"]["complete"], true);
}

#[tokio::test]
async fn one_that_goes_in_any_case_is_replaced_and_taken_out_and_so_are_those_of_the_room() {
    let service = shared_service();
    let mut job = fixture("terrace");
    let removed = |answer: &Value| {
        let tasks = answer["bill"]["labour"].as_array().unwrap();
        tasks.iter().find(|task| task["per"] == "radiator_removed").map_or(0.0, |task| number(&task["quantity"]))
    };
    let before = removed(&service.answer("/v1/bill", &job).await);
    // at 50 °C the hall's would stay
    job["rooms"]["hall"]["emitters"]["rad"]["existing"]["keep"] = json!("never");
    job["rooms"]["landing"]["removed_radiators"] = json!(2);
    let answer = service.answer("/v1/proposal", &job).await;
    assert_eq!(rows(&answer, "hall")[0]["standing"], "replaced");
    assert!((removed(&answer) - before - 3.0).abs() < 1e-9, "{} {before}", removed(&answer));
}

#[tokio::test]
async fn that_nothing_can_be_taken_is_told_with_its_reason() {
    let service = shared_service();
    let rad = |fit: Value| json!({"e": {"kind": "radiator", "fit": fit}});
    let fan = |more: Value| {
        let mut fan = json!({"kind": "fan_convector"});
        fan.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        json!({"e": fan})
    };
    let cases = [
        (45.0, rad(json!({"clear_wall_mm": 150})), "no_radiator", "no radiator on offer fits it"),
        (
            45.0,
            json!({"e": {"kind": "radiator", "towel_rail": true, "fit": {"height_max_mm": 200}}}),
            "no_radiator",
            "no towel rail on offer fits it",
        ),
        (25.5, rad(json!({})), "water_too_cool", "the water comes back no warmer than the room"),
        // the fan's data begin at 10 K, and the water would still come back at 21 °C
        (26.0, fan(json!({})), "water_too_cool", "the water comes back no warmer than the room"),
        (
            25.5,
            json!({"e": {"kind": "heated_floor", "tube": "floor_tube_16", "screed": {}}}),
            "water_too_cool",
            "the water comes back no warmer than the room",
        ),
        (45.0, fan(json!({"fit": {"length_max_mm": 100}})), "no_fan_convector", "no fan convector on offer fits it"),
        (
            45.0,
            fan(json!({"sound_max_db": 10})),
            "no_fan_convector",
            "no fan convector that fits it keeps within 10 dB at any speed",
        ),
        (
            27.0,
            fan(json!({})),
            "no_fan_convector",
            "the water is cooler than the data of every fan convector that fits it and is quiet enough",
        ),
    ];
    for (flow_c, emitters, code, reason) in cases {
        let answer = service.answer("/v1/emitters", &one(700.0, flow_c, emitters)).await;
        let unmet = &answer["emitters"]["unmet"][0];
        let expected = format!("nothing gives room r0 its 700 W: {reason}");
        assert_eq!((&unmet["code"], &unmet["detail"]), (&json!(code), &json!(expected)));
        assert_eq!((&unmet["reached"], &unmet["pointer"]), (&json!(0.0), &json!("/rooms/r0/emitters/e")));
    }
    // what a limit of sound cuts down says so
    let answer = service.answer("/v1/emitters", &one(1500.0, 45.0, fan(json!({"sound_max_db": 29})))).await;
    let detail = answer["emitters"]["unmet"][0]["detail"].as_str().unwrap();
    assert!(detail.contains("carries its 1500 W within 29 dB: the strongest gives"), "{detail}");
}

/// Hotter than its data a fan convector gives more than they say: it is read at their end, which is told.
#[tokio::test]
async fn a_fan_convector_in_water_hotter_than_its_data_is_on_the_safe_side() {
    let service = shared_service();
    let at = async |flow_c: f64| {
        service.answer("/v1/emitters", &one(900.0, flow_c, json!({"fan": {"kind": "fan_convector"}}))).await
    };
    let (inside, beyond) = (at(73.4).await, at(80.0).await);
    let fan = |answer: &Value| rows(answer, "r0")[0].clone();
    assert_eq!((number(&fan(&inside)["fan"]["read_at_k"]), number(&fan(&beyond)["fan"]["read_at_k"])), (49.9, 50.0));
    assert!((number(&fan(&beyond)["fan"]["difference_k"]) - 56.5).abs() < 1e-6);
    assert_eq!(
        (&fan(&beyond)["product"], beyond["emitters"]["complete"].as_bool()),
        (&fan(&inside)["product"], Some(true))
    );
    assert_eq!(
        (notes(&inside, "warnings", "above_its_data").len(), notes(&beyond, "warnings", "above_its_data").len()),
        (0, 1)
    );
    // so that bounds that reach beyond do not hide what lies within
    let mut job = rooms_of(&[(800.0, 14.0, json!({"fan": {"kind": "fan_convector"}}))]);
    let lowest =
        async |job: &Value| service.answer("/v1/emitters", job).await["emitters"]["flow_temperature_c"].clone();
    let near = lowest(&job).await;
    job["heating"]["flow_temperature"]["most_c"] = json!(80);
    assert_eq!(lowest(&job).await, near);
}

#[tokio::test]
async fn depth_limits_what_is_taken() {
    let service = shared_service();
    for (depth_mm, kinds) in [(50, vec!["p11"]), (110, vec!["p11", "p21", "p22"])] {
        let rad = json!({"rad": {"kind": "radiator", "fit": {"depth_max_mm": depth_mm, "height_max_mm": 600}}});
        for loss_w in [150.0, 400.0, 700.0] {
            let answer = service.answer("/v1/emitters", &one(loss_w, 50.0, rad.clone())).await;
            let code = rows(&answer, "r0")[0]["product"].as_str().unwrap().to_owned();
            assert!(kinds.iter().any(|kind| code.starts_with(kind)), "{code} at {depth_mm} mm");
        }
    }
}

/// Old radiators of the terrace, rated for 70 °C: what each gives at 40 °C by EN 442, worked here, against the room's loss.
#[tokio::test]
async fn radiators_kept_from_an_old_system_get_the_verdict_of_their_rating() {
    let service = shared_service();
    let mut job = fixture("terrace");
    let losses = service.answer("/v1/heat-loss", &job).await;
    for flow_c in [70.0, 40.0] {
        job["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": flow_c});
        job["heating"]["drop_k"] = json!(5);
        let mut verdicts = Vec::new();
        for room in losses["heat_loss"]["rooms"].as_array().unwrap() {
            let id = room["room"].as_str().unwrap();
            let Some(existing) = job["rooms"][id]["emitters"]["rad"].get_mut("existing") else { continue };
            existing["keep"] = json!("always");
            let (rated_w, exponent) = match existing["product"].as_str() {
                // the data of the products that hang there
                Some("p21_600x600") => (799.0, 1.31),
                Some("p21_600x1200") => (1597.0, 1.31),
                Some("p22_600x1600") => (2779.0, 1.33),
                Some(other) => panic!("{other}"),
                None => (number(&existing["output_w"]), number(&existing["exponent"])),
            };
            let gives_w = by_hand_w(rated_w, exponent, flow_c, number(&room["inside_design_c"]));
            verdicts.push((id, gives_w, gives_w >= number(&room["design_heat_loss_w"])));
        }
        assert_eq!(verdicts.len(), 6);
        let enough = verdicts.iter().filter(|(.., is_enough)| *is_enough).count();
        assert_eq!(enough, if flow_c > 50.0 { 6 } else { 1 });
        let answer = service.answer("/v1/emitters", &job).await;
        let unmet = answer["emitters"]["unmet"].as_array().unwrap();
        for (id, gives_w, is_enough) in verdicts {
            let row = &rows(&answer, id)[0];
            assert!((number(&row["capacity_w"]) / gives_w - 1.0).abs() < 1e-5, "{id}: {row}");
            let pointer = format!("/rooms/{id}/emitters/rad");
            assert_eq!(unmet.iter().all(|unmet| unmet["pointer"] != pointer), is_enough, "{id} at {flow_c}");
            assert_eq!(row["standing"], "kept");
        }
        // told once for the house where its water is as cool as that: at 70 °C every radiator is set to more than 30 K
        let told = usize::from(flow_c < 50.0);
        assert_eq!(notes(&answer, "warnings", "below_tested_range").len(), told);
    }
}

/// The bedroom of the chapel under the roof has a fan convector.
#[tokio::test]
async fn a_room_under_the_roof_of_the_chapel_has_a_fan_convector() {
    let answer = shared_service().answer("/v1/emitters", &fixture("chapel")).await;
    let fan = &rows(&answer, "bed1")[0];
    assert_eq!(fan["kind"], "fan_convector");
    assert!(fan["product"].as_str().unwrap().starts_with("fc_") && number(&fan["fan"]["fan_w"]) > 0.0, "{fan}");
}

#[tokio::test]
async fn shares_with_few_digits_add_up_and_others_are_told_what_to_do() {
    let service = shared_service();
    let three = |share: f64| {
        let rad = json!({"kind": "radiator", "share": share});
        json!({"a": rad, "b": rad, "c": rad})
    };
    let answer = service.answer("/v1/emitters", &one(900.0, 50.0, three(0.333))).await;
    assert!(rows(&answer, "r0").iter().all(|row| (number(&row["load_w"]) - 300.0).abs() < 1e-3));
    let refused = problem(service.post("/v1/emitters", &one(900.0, 50.0, three(0.3))).await, 422).await;
    let detail = refused["errors"][0]["detail"].as_str().unwrap();
    assert!(detail.contains("add up to 0.9, not to 1; one that is left out takes what the others leave"), "{detail}");
}

#[tokio::test]
async fn a_code_that_is_unknown_is_answered_with_those_most_like_it() {
    let service = shared_service();
    let rad = json!({"rad": {"kind": "radiator", "existing": {"kind": "product", "product": "p22_600x1650", "keep": "always"}}});
    let refused = problem(service.post("/v1/emitters", &one(900.0, 50.0, rad)).await, 422).await;
    let detail = refused["errors"][0]["detail"].as_str().unwrap();
    assert!(detail.contains("it has p22_600x1"), "{detail}");
}

/// Lines of two floors that pass each other's rooms: at some flows each takes another spacing for what the other gives, to
/// and fro. The least is counted, told, and no other flow is lost by it.
#[tokio::test]
async fn lines_that_find_no_state_that_holds_refuse_nothing() {
    let service = shared_service();
    let floor = |thickness_mm: f64, other: &str, length_m: f64| {
        json!({"f": {"kind": "heated_floor", "tube": "floor_tube_16", "screed": {}, "tail_m": 13,
            "covering": {"thickness_mm": thickness_mm, "conductivity_w_mk": 0.17},
            "passes_through": {other: {"length_m": length_m}}}})
    };
    let mut unsettled = 0;
    for loss_w in [560.0, 580.0, 600.0, 620.0, 640.0] {
        let mut job = rooms_of(&[(loss_w, 16.0, floor(8.4, "r1", 5.3)), (loss_w - 50.0, 10.6, floor(7.2, "r0", 4.5))]);
        let answer = service.answer("/v1/flow-temperatures", &job).await;
        assert_eq!(answer["flow_temperatures"]["candidates"].as_array().unwrap().len(), 26);
        for flow_c in 30..45 {
            job["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": flow_c});
            let at = service.answer("/v1/emitters", &job).await;
            unsettled += notes(&at, "warnings", "lines_unsettled").len();
        }
    }
    assert!(unsettled > 0, "no flow of these to and fro");
}

/// What the comparison rests on is told beside it: the hot water that the heat source must make, and what looks wrong.
#[tokio::test]
async fn flow_temperatures_tell_what_they_rest_on() {
    let service = shared_service();
    let mut job = rooms_of(&[(700.0, 14.0, json!({"rad": {"kind": "radiator"}}))]);
    job["heating"]["flow_temperature"]["most_c"] = json!(50);
    let answer = service.answer("/v1/flow-temperatures", &job).await;
    let plant = service.answer("/v1/plant", &job).await;
    for code in ["occupants", "bedrooms", "price_book", "emitter_choice"] {
        assert_eq!(notes(&answer, "assumptions", code).len(), notes(&plant, "assumptions", code).len(), "{code}");
        assert_eq!(notes(&answer, "assumptions", code).len(), 1, "{code}");
    }
    assert_eq!(notes(&answer, "warnings", "below_tested_range").len(), 1);
}

/// Water that would come back no warmer than the room gives nothing by a fan convector either, however large its drop.
#[tokio::test]
async fn a_fan_convector_takes_no_water_that_comes_back_colder_than_its_room() {
    let service = shared_service();
    let mut job = rooms_of(&[(536.0, 14.0, json!({"fan": {"kind": "fan_convector"}}))]);
    job["heating"]["drop_k"] = json!(15);
    let answer = service.answer("/v1/emitters", &job).await;
    let row = &rows(&answer, "r0")[0];
    assert_eq!(answer["emitters"]["complete"], true);
    assert!(number(&row["return_temperature_c"]) > 21.0, "{row}");
}

#[tokio::test]
async fn what_is_wanted_and_carries_nothing_is_told() {
    let service = shared_service();
    let floor = json!({"kind": "heated_floor", "tube": "floor_tube_16", "screed": {}});
    // a rail that fits nowhere is missed, though the floor carries the room
    let rail = json!({"kind": "radiator", "towel_rail": true, "fit": {"height_max_mm": 500}});
    let answer = service.answer("/v1/emitters", &one(500.0, 45.0, json!({"floor": floor, "rail": rail}))).await;
    let unmet = &answer["emitters"]["unmet"][0];
    assert_eq!((&unmet["code"], &unmet["pointer"]), (&json!("no_radiator"), &json!("/rooms/r0/emitters/rail")));
    assert_eq!(unmet["detail"], "nothing can be hung in room r0: no towel rail on offer fits it");
    // a rail with nothing to carry asks for no warm water
    let mut cool = rooms_of(&[(0.001, 9.0, json!({"rail": {"kind": "radiator", "towel_rail": true}}))]);
    cool["rooms"]["r0"]["surfaces"]["wall"]["faces"] = json!({"kind": "temperature", "temperature_c": 21});
    let answer = service.answer("/v1/emitters", &cool).await;
    assert_eq!(
        (&answer["emitters"]["flow_temperature_c"], &answer["emitters"]["complete"]),
        (&json!(25.0), &json!(true))
    );
    assert!(rows(&answer, "r0")[0]["product"].as_str().unwrap().starts_with("tr_"));
    // what could not be taken anyway is left out for that reason
    let narrow = json!({"a": {"kind": "radiator", "fit": {"length_max_mm": 300}}, "b": {"kind": "radiator"}});
    let answer = service.answer("/v1/emitters", &one(500.0, 45.0, narrow)).await;
    let left_out = notes(&answer, "warnings", "emitter_left_out");
    assert!(
        left_out[0]["detail"].as_str().unwrap().ends_with("nothing can be taken for it: no radiator on offer fits it")
    );
    // a floor that a radiator leaves nothing to is laid, and told to stay cold
    let rad = json!({"kind": "radiator", "share": 1});
    let answer = service.answer("/v1/emitters", &one(500.0, 50.0, json!({"rad": rad, "floor": floor}))).await;
    let idle = notes(&answer, "warnings", "emitter_idle");
    assert_eq!((idle.len(), &idle[0]["pointer"]), (1, &json!("/rooms/r0/emitters/floor")));
}

/// One that stays hangs there in water of any temperature, and holds its own.
#[tokio::test]
async fn an_old_radiator_holds_its_water_where_it_gives_nothing() {
    let service = shared_service();
    let old = json!({"kind": "rated", "output_w": 900, "exponent": 1.3, "water_l": 40, "keep": "always"});
    for flow_c in [25.0, 35.0] {
        let job = one(0.001, flow_c, json!({"rad": {"kind": "radiator", "existing": old}}));
        let answer = service.answer("/v1/plant", &job).await;
        assert!((number(&answer["plant"]["water_content"]["radiators_l"]) - 40.0).abs() < 1e-9, "{flow_c}");
    }
    let answer =
        service.answer("/v1/emitters", &one(500.0, 25.0, json!({"rad": {"kind": "radiator", "existing": old}}))).await;
    assert_eq!(answer["emitters"]["unmet"][0]["code"], "water_too_cool");
    assert_eq!(rows(&answer, "r0")[0]["standing"], "kept");
}

/// A run that leads to nothing is laid off a trunk that is, and a manifold without loops has none.
#[tokio::test]
async fn runs_to_nothing_are_not_laid() {
    let service = shared_service();
    let mut job = one(500.0, 45.0, json!({"a": {"kind": "radiator", "share": 1}, "b": {"kind": "radiator"}}));
    let run = |from: &str, serves: Value| json!({"from": from, "length_m": 4, "bends": 1, "place": "occupied", "serves": serves});
    job["pipework"] = json!({"manifolds": {"m": {}}, "runs": {
        "used": run("plant", json!([{"room": "r0", "emitter": "a"}])),
        "unused": run("plant", json!([{"room": "r0", "emitter": "b"}])),
        "beyond": run("unused", json!([])),
        "cut": run("used", json!([])),
        "to_m": run("plant", json!([{"manifold": "m"}]))
    }});
    let answer = service.answer("/v1/pipework", &job).await;
    let sections = answer["pipework"]["sections"].as_array().unwrap();
    let laid: Vec<&str> = sections
        .iter()
        .filter(|section| section.get("tube").is_some())
        .map(|section| section["id"].as_str().unwrap())
        .collect();
    assert_eq!(laid, ["used", "cut"]);
    assert_eq!(answer["pipework"]["circuits"].as_array().unwrap().len(), 1);
}
