//! What pipes lose outside the heated rooms is part of the load, told apart.

use std::f64::consts::PI;

use serde_json::{Value, json};
use tundish::methods::math::ln;

use super::helpers::{close, fixture, shared_service};

/// The bungalow at 35/30 °C and -4 °C outside, all its tubes copper 28 x 0.9, with a primary that lies in the open for all but a
/// metre.
fn barn(open_m: f64) -> Value {
    let mut job = fixture("bungalow");
    job["site"]["climate"] = json!({"kind": "given", "outside_design_c": -4});
    job["pipework"]["tubes"] = json!(["cu_28"]);
    job["pipework"]["primary"] = json!({"length_m": open_m + 1.0, "outdoor_m": open_m, "bends": 4});
    job
}

/// Heat that a metre of copper 28 x 0.9 loses in 40 mm of 0.036 W/(mK), by hand. Source: ISO 12241, layers by the metre, with
/// films of 1,500 inside and 10 W/(m²K) outside; copper of 380 W/(mK), which is nothing beside them.
fn insulated_w_mk() -> f64 {
    in_insulation_w_mk(40.0, 0.036)
}

fn in_insulation_w_mk(thickness_mm: f64, conductivity_w_mk: f64) -> f64 {
    let outside_mm = 28.0 + 2.0 * thickness_mm;
    let through = ln(outside_mm / 28.0) / (2.0 * PI * conductivity_w_mk);
    let layers = [1000.0 / (PI * 26.2 * 1500.0), through, 1000.0 / (PI * outside_mm * 10.0)];
    1.0 / layers.iter().sum::<f64>()
}

/// Source: hand balance. What both legs lose over 24 hours less those of hot water is made in these hours, the dwelling's loss of
/// 24 hours as well; hot water is made with what the way to the cylinder leaves.
#[tokio::test]
async fn what_a_primary_in_the_open_loses_is_carried_by_the_heat_source() {
    let service = shared_service();
    let without = service.answer("/v1/plant", &barn(0.0)).await["plant"]["heat_source"].clone();
    assert_eq!(without["pipe_loss_w"], 0.0);
    for open_m in [25.0, 60.0, 120.0] {
        let answer = service.answer("/v1/proposal", &barn(open_m)).await;
        let source = &answer["plant"]["heat_source"];
        let figure = |row: &Value, member: &str| row[member].as_f64().unwrap();
        // 35 and 30 °C in air of -4 °C; the metre inside warms the house
        let lost_w = open_m * insulated_w_mk() * (39.0 + 34.0);
        close(&source["pipe_loss_w"], lost_w, 1e-3);
        close(&source["load_w"], figure(&without, "load_w") + lost_w, 1e-3);
        // laid in the only tube there is, it comes to what it was taken for
        close(&answer["pipework"]["pipe_loss_w"], lost_w, 1e-3);
        // 54 and 49 °C while hot water is made
        let making_w = open_m * insulated_w_mk() * (58.0 + 53.0);
        for (row, before) in
            source["candidates"].as_array().unwrap().iter().zip(without["candidates"].as_array().unwrap())
        {
            let hours = 1000.0 * figure(source, "hot_water_kwh") / (figure(row, "hot_water_capacity_w") - making_w);
            close(&row["hot_water_h"], hours, 1e-3);
            let needed_w = figure(&without, "load_w") * 24.0 / (24.0 - hours) + lost_w;
            close(&row["needed_w"], needed_w, 1e-3);
            assert!(figure(row, "needed_w") > figure(before, "needed_w"));
        }
        // no room is asked to warm the garden
        let rooms_w: f64 = answer["heat_loss"]["rooms"]
            .as_array()
            .unwrap()
            .iter()
            .map(|room| figure(room, "design_heat_loss_w"))
            .sum();
        assert!(rooms_w < figure(&without, "load_w"));
    }
    // a unit that was just enough is not, once the garden has its share
    let chosen = |source: &Value| source["product"].as_str().map(str::to_owned);
    let far = service.answer("/v1/plant", &barn(190.0)).await["plant"]["heat_source"].clone();
    assert_ne!(chosen(&far), chosen(&without), "{far}");
}

/// Nothing said, what lies in the open is insulated and billed so; said to be bare, it is bare, loses by the law for bare pipes and
/// is warned of.
#[tokio::test]
async fn a_primary_in_the_open_is_insulated_unless_the_job_says_bare() {
    let service = shared_service();
    let billed = |answer: &Value| {
        let lines = answer["bill"]["lines"].as_array().unwrap().iter();
        lines
            .filter(|line| line["code"] == "ins_28_40_outdoors")
            .map(|line| line["quantity"].as_f64().unwrap())
            .sum::<f64>()
    };
    let told = |answer: &Value, list: &str, code: &str, at: &str| {
        answer["notes"][list].as_array().unwrap().iter().any(|note| note["code"] == code && note["pointer"] == at)
    };
    let at = "/pipework/primary";
    let answer = service.answer("/v1/proposal", &barn(25.0)).await;
    // both legs of 25 m and the book's tenth of waste, in lengths of 2 m: 27.5
    assert!((billed(&answer) - 28.0).abs() < 1e-9, "{}", billed(&answer));
    assert!(told(&answer, "assumptions", "insulation", at) && !told(&answer, "warnings", "bare_pipe", at));
    let mut bare = barn(25.0);
    bare["pipework"]["primary"]["insulation"] = json!({"kind": "bare"});
    let answer = service.answer("/v1/proposal", &bare).await;
    assert!(billed(&answer) == 0.0 && told(&answer, "warnings", "bare_pipe", at));
    // 28 mm bare at some 36 K: 0.02761·28^0.8254·36.5^1.2392 is 37.2 W/m, over 50 m of both legs
    let lost_w = answer["plant"]["heat_source"]["pipe_loss_w"].as_f64().unwrap();
    assert!((lost_w / 50.0 - 37.2).abs() < 0.4, "{lost_w}");
    // said for the whole pipework, it holds for the primary too
    let mut bare = barn(25.0);
    bare["pipework"]["insulation"] = json!({"kind": "bare"});
    assert!(billed(&service.answer("/v1/proposal", &bare).await) == 0.0);
}

/// A run in a loft is lost to the house, one in rooms is not; lofts stand midway between 20 °C and outside.
#[tokio::test]
async fn runs_in_lofts_lose_to_the_load_and_runs_in_rooms_do_not() {
    let mut job = barn(0.0);
    job["pipework"].as_object_mut().unwrap().remove("primary");
    let lost = async |place: &str| {
        let mut job = job.clone();
        job["pipework"]["runs"]["header"]["place"] = json!(place);
        job["pipework"]["runs"]["header"]["insulation"] =
            json!({"kind": "given", "thickness_mm": 40, "conductivity_w_mk": 0.036});
        shared_service().answer("/v1/plant", &job).await["plant"]["heat_source"]["pipe_loss_w"].clone()
    };
    for place in ["occupied", "bedroom", "plant_room"] {
        assert_eq!(lost(place).await, 0.0, "{place}");
    }
    for (place, about_c) in [("loft", 8.0), ("unheated", 8.0), ("outdoors", -4.0)] {
        let legs_k = 35.0 - about_c + 30.0 - about_c;
        close(&lost(place).await, 1.5 * insulated_w_mk() * legs_k, 1e-3);
    }
}

/// A tube that stays is reckoned by itself, be it narrower or wider than what is on offer; one that may go by the wider of both.
/// Pipes where it is warmer than they are take nothing off the load.
#[tokio::test]
async fn a_tube_that_stays_is_reckoned_by_itself_and_warm_places_give_no_credit() {
    let service = shared_service();
    for (lying, offered, keep, is_as_laid) in
        [("cu_35", "cu_22", "always", true), ("cu_22", "cu_35", "always", true), ("cu_22", "cu_35", "if_enough", false)]
    {
        let mut job = barn(20.0);
        job["pipework"]["tubes"] = json!([offered]);
        job["pipework"]["primary"]["existing_tube"] = json!(lying);
        job["pipework"]["primary"]["keep"] = json!(keep);
        let answer = service.answer("/v1/proposal", &job).await;
        let figure = |value: &Value| value.as_f64().unwrap();
        let (expected_w, laid_w) =
            (figure(&answer["plant"]["heat_source"]["pipe_loss_w"]), figure(&answer["pipework"]["pipe_loss_w"]));
        assert!(expected_w >= laid_w - 1e-6, "{lying}: {expected_w} W, as laid {laid_w} W");
        assert_eq!((expected_w - laid_w).abs() < 1e-6, is_as_laid, "{lying}: {expected_w} W, as laid {laid_w} W");
    }
    let mut warm = barn(0.0);
    warm["pipework"]["runs"]["header"]["place"] = json!("unheated");
    warm["pipework"]["runs"]["header"]["surrounding_c"] = json!(60);
    assert_eq!(service.answer("/v1/plant", &warm).await["plant"]["heat_source"]["pipe_loss_w"], 0.0);
}

/// Nothing said, a new run in a loft is insulated by its place, 25 mm of 0.038 W/(mK), and billed so; one that lies there already is
/// taken to be bare, and warned of.
#[tokio::test]
async fn a_new_run_in_a_loft_is_insulated_unless_the_job_says_bare() {
    let mut job = barn(0.0);
    job["pipework"].as_object_mut().unwrap().remove("primary");
    job["pipework"]["runs"]["header"]["place"] = json!("loft");
    let answer = shared_service().answer("/v1/proposal", &job).await;
    let lost_w = 1.5 * in_insulation_w_mk(25.0, 0.038) * (35.0 - 8.0 + 30.0 - 8.0);
    close(&answer["plant"]["heat_source"]["pipe_loss_w"], lost_w, 1e-3);
    // both legs of 1.5 m and a tenth of waste, in lengths of 2 m
    let lines = answer["bill"]["lines"].as_array().unwrap();
    assert_eq!(lines.iter().find(|line| line["code"] == "ins_28_25").unwrap()["quantity"], 2.0);
    job["pipework"]["runs"]["header"]["existing_tube"] = json!("cu_28");
    let answer = shared_service().answer("/v1/proposal", &job).await;
    assert!(!answer["bill"]["lines"].as_array().unwrap().iter().any(|line| line["code"] == "ins_28_25"));
    assert!(answer["plant"]["heat_source"]["pipe_loss_w"].as_f64() > Some(2.0 * lost_w));
    let warnings = answer["notes"]["warnings"].as_array().unwrap().iter();
    assert_eq!(warnings.filter(|note| note["code"] == "bare_pipe").count(), 1);
}
