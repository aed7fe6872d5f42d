//! Shares of a room's loss: given, or found by what each emitter can carry.

use serde_json::{Value, json};

use super::figures::number;
use super::helpers::{fixture, problem, rooms_of, row, shared_service};

fn emitters<'a>(answer: &'a Value, room: &str) -> Vec<&'a Value> {
    let rooms = answer["emitters"]["rooms"].as_array().unwrap();
    let room = rooms.iter().find(|found| found["room"] == room).unwrap();
    room["emitters"].as_array().unwrap().iter().collect()
}

fn codes<'a>(notes: &'a Value, code: &str) -> Vec<&'a Value> {
    notes.as_array().unwrap().iter().filter(|note| note["code"] == code).collect()
}

/// The bungalow with a radiator beside the heated floor of its living room.
fn floor_and_radiator(flow_c: f64) -> Value {
    let mut job = fixture("bungalow");
    job["rooms"]["living"]["emitters"]["rad"] = json!({"kind": "radiator"});
    job["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": flow_c});
    job
}

#[tokio::test]
async fn a_floor_carries_what_it_can_and_the_radiator_what_is_left() {
    let service = shared_service();
    let answer = service.answer("/v1/emitters", &floor_and_radiator(32.0)).await;
    let rows = emitters(&answer, "living");
    let (floor, rad) = (rows[0], rows[1]);
    // the floor at its closest spacing and at its capacity
    assert_eq!((&floor["spacing_mm"], &floor["output_w"]), (&json!(100.0), &floor["capacity_w"]));
    assert!(number(&rad["load_w"]) > 50.0 && number(&rad["capacity_w"]) >= number(&rad["load_w"]), "{rad}");
    let mut without = floor_and_radiator(32.0);
    without["rooms"]["living"]["emitters"].as_object_mut().unwrap().remove("rad");
    let alone = service.answer("/v1/emitters", &without).await;
    let whole_w = number(&emitters(&alone, "living")[0]["load_w"]);
    assert!((number(&floor["load_w"]) + number(&rad["load_w"]) - whole_w).abs() < 1e-3);
    assert!((number(&floor["share"]) + number(&rad["share"]) - 1.0).abs() < 1e-6);
    assert!((number(&floor["load_w"]) / whole_w - number(&floor["share"])).abs() < 1e-6);
    assert_eq!(codes(&answer["notes"]["assumptions"], "shares_found").len(), 1);
    assert!(codes(&answer["notes"]["warnings"], "emitter_left_out").is_empty());
    // a floor that is helped does not set the flow temperature
    assert_ne!(answer["emitters"]["neediest_floor"]["room"], "living");
    assert!(emitters(&alone, "living")[0].get("share").is_none());
}

#[tokio::test]
async fn a_radiator_with_nothing_left_to_carry_is_left_out_of_the_bill() {
    let service = shared_service();
    let mut job = floor_and_radiator(38.0);
    job["rooms"]["living"]["emitters"]["rail"] = json!({"kind": "radiator", "towel_rail": true});
    let answer = service.answer("/v1/proposal", &job).await;
    let rows = emitters(&answer, "living");
    assert!((number(&rows[0]["share"]) - 1.0).abs() < 1e-9);
    assert!(rows[1].get("product").is_none() && number(&rows[1]["load_w"]) == 0.0, "{}", rows[1]);
    // a towel rail is wanted for its own sake
    assert!(rows[2]["product"].as_str().unwrap().starts_with("tr_"), "{}", rows[2]);
    let left_out = codes(&answer["notes"]["warnings"], "emitter_left_out");
    assert_eq!(left_out.len(), 1);
    assert_eq!(left_out[0]["pointer"], "/rooms/living/emitters/rad");
    let idle = codes(&answer["notes"]["warnings"], "emitter_idle");
    assert_eq!((idle.len(), &idle[0]["pointer"]), (1, &json!("/rooms/living/emitters/rail")));
    assert_eq!(answer["emitters"]["complete"], true);
    // and the whole bill is that of the house without it, its run left out as well
    let sections = answer["pipework"]["sections"].as_array().unwrap();
    let run = sections.iter().find(|section| section["id"] == "estimated-living-rad").unwrap();
    assert!(run.get("tube").is_none() && number(&run["flow_l_h"]) == 0.0, "{run}");
    job["rooms"]["living"]["emitters"].as_object_mut().unwrap().remove("rad");
    let without = service.answer("/v1/proposal", &job).await;
    assert_eq!(answer["bill"], without["bill"]);
    assert_eq!(answer["plant"]["water_content"], without["plant"]["water_content"]);
}

/// However a share is given, the house needs no cooler flow than where it is found.
#[tokio::test]
async fn no_share_that_is_given_lets_the_flow_be_cooler_than_the_one_found() {
    let service = shared_service();
    let mut job = floor_and_radiator(35.0);
    job["heating"]["flow_temperature"] = json!({"kind": "lowest", "least_c": 22, "most_c": 55});
    // the living room alone, so that no other holds the temperature
    let lowest = async |job: &Value| {
        let answer = service.answer("/v1/emitters", job).await;
        assert_eq!(answer["emitters"]["complete"], true);
        number(&answer["emitters"]["flow_temperature_c"])
    };
    for (id, room) in job["rooms"].as_object_mut().unwrap() {
        if id != "living" {
            room["emitters"]["large_a"] = json!({"kind": "radiator"});
            room["emitters"]["large_b"] = json!({"kind": "radiator"});
        }
    }
    let found = lowest(&job).await;
    let mut best = f64::INFINITY;
    for share in [0.15, 0.3, 0.45, 0.6, 0.75, 0.9] {
        job["rooms"]["living"]["emitters"]["floor"]["share"] = json!(share);
        let given = lowest(&job).await;
        assert!(given >= found, "{share}: {given} below {found}");
        best = best.min(given);
    }
    // and one of them comes near
    assert!(best <= found + 1.0, "{best} far above {found}");
}

#[tokio::test]
async fn radiators_share_equally_as_far_as_they_can_and_an_old_one_stays_while_another_makes_up_for_it() {
    let service = shared_service();
    let mut job = fixture("terrace");
    let loads =
        |answer: &Value| -> Vec<f64> { emitters(answer, "living").iter().map(|row| number(&row["load_w"])).collect() };
    let room = |emitters: Value| {
        let mut job = job.clone();
        job["rooms"]["living"]["emitters"] = emitters;
        for run in job["pipework"]["runs"].as_object_mut().unwrap().values_mut() {
            for end in run["serves"].as_array_mut().unwrap() {
                if end["room"] == "living" {
                    end["emitter"] = json!("a");
                }
            }
        }
        job
    };
    let equal =
        service.answer("/v1/emitters", &room(json!({"a": {"kind": "radiator"}, "b": {"kind": "radiator"}}))).await;
    let whole_w: f64 = loads(&equal).iter().sum();
    assert!((loads(&equal)[0] - 0.5 * whole_w).abs() < 1e-3);
    // one that fits nothing leaves all to the other
    let narrow = json!({"a": {"kind": "radiator", "fit": {"length_max_mm": 300}}, "b": {"kind": "radiator"}});
    let uneven = service.answer("/v1/emitters", &room(narrow)).await;
    assert!(loads(&uneven)[0].abs() < 1e-9 && (loads(&uneven)[1] - whole_w).abs() < 1e-3);
    // an old one that could be replaced stays at what it can give
    let old = |fit: Value| {
        json!({"a": {"kind": "radiator", "existing":
            {"kind": "rated", "output_w": 600, "exponent": 1.3, "water_l": 3, "keep": "if_enough"}},
            "b": {"kind": "radiator", "fit": fit}})
    };
    let kept = service.answer("/v1/emitters", &room(old(json!({})))).await;
    let rows = emitters(&kept, "living");
    assert_eq!((&rows[0]["standing"], &rows[0]["load_w"]), (&json!("kept"), &rows[0]["capacity_w"]));
    assert!((loads(&kept).iter().sum::<f64>() - whole_w).abs() < 1e-3);
    // and is replaced where the other cannot make up for it
    let replaced = service.answer("/v1/emitters", &room(old(json!({"length_max_mm": 500})))).await;
    assert_eq!(emitters(&replaced, "living")[0]["standing"], "replaced");
    assert_eq!(replaced["emitters"]["unmet"].as_array().unwrap().len(), 0);
    // where all together are too weak, each is short in the same proportion and named
    let mut weak = room(json!({"a": {"kind": "radiator", "fit": {"length_max_mm": 500}},
        "b": {"kind": "radiator", "fit": {"length_max_mm": 400}}}));
    weak["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": 35});
    let short = service.answer("/v1/emitters", &weak).await;
    let ratio = |row: &Value| number(&row["capacity_w"]) / number(&row["load_w"]);
    let rows = emitters(&short, "living");
    assert!(ratio(rows[0]) < 1.0 && (ratio(rows[0]) - ratio(rows[1])).abs() < 1e-5);
    let unmet = short["emitters"]["unmet"].as_array().unwrap();
    assert_eq!(unmet.iter().filter(|unmet| unmet["pointer"].as_str().unwrap().contains("living")).count(), 2);
    // nothing is left by shares that add up to 1 in decimals alone, and nothing is hung for it
    let whole = json!({"a": {"kind": "radiator", "share": 0.7}, "b": {"kind": "radiator", "share": 0.1},
        "c": {"kind": "radiator", "share": 0.2}, "d": {"kind": "radiator"}, "e": {"kind": "radiator"}});
    let answer = service.answer("/v1/emitters", &room(whole)).await;
    assert!(emitters(&answer, "living")[3..].iter().all(|row| row.get("product").is_none()));
    assert_eq!(codes(&answer["notes"]["warnings"], "emitter_left_out").len(), 2);
    // shares that are given must leave something for the rest, and add up
    job["rooms"]["living"]["emitters"] =
        json!({"a": {"kind": "radiator", "share": 0.7}, "b": {"kind": "radiator", "share": 0.6}});
    let refused = problem(service.post("/v1/emitters", &job).await, 422).await;
    assert!(refused["errors"].as_array().unwrap().iter().any(|error| error["code"] == "shares_do_not_add_up"));
}

/// Two old radiators of 600 W (at 50 K) that could be replaced: by one of any size, or by one no longer than 400 mm. Where both
/// as they hang are too weak, the one goes first in whose place most can hang, and the other stays, whichever is written first.
#[tokio::test]
async fn the_old_radiator_goes_first_in_whose_place_most_can_hang() {
    let service = shared_service();
    let old = |fit: Value| {
        json!({"kind": "radiator", "fit": fit, "existing":
            {"kind": "rated", "output_w": 600, "exponent": 1.3, "water_l": 3, "keep": "if_enough"}})
    };
    let (free, short) = (old(json!({})), old(json!({"length_max_mm": 400})));
    for emitters in [json!({"free": free, "short": short}), json!({"short": short, "free": free})] {
        // at 45/40 °C in 21 °C an excess of 21.4 K leaves each (21.4 / 50)^1.3 of 600 W, 199 W
        let mut job = rooms_of(&[(1000.0, 20.0, emitters)]);
        job["heating"] = json!({"flow_temperature": {"kind": "fixed", "flow_temperature_c": 45}, "drop_k": 5});
        let answer = service.answer("/v1/emitters", &job).await;
        assert_eq!(answer["emitters"]["complete"], true, "{}", answer["emitters"]["unmet"]);
        let rows = &answer["emitters"]["rooms"][0]["emitters"];
        let (free, short) = (row(rows, "emitter", "free"), row(rows, "emitter", "short"));
        assert_eq!((&free["standing"], &short["standing"]), (&json!("replaced"), &json!("kept")), "{rows}");
        assert!((number(&short["load_w"]) - 199.0).abs() < 1.0, "{short}");
        assert!((number(&free["load_w"]) + number(&short["load_w"]) - 1000.0).abs() < 1e-3, "{rows}");
    }
}
