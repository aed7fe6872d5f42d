//! Floors that the tables of their kind do not hold: designed by conduction, counted at the table's end, or unmet by name. No job is
//! refused for one.

use serde_json::{Value, json};

use super::figures::number;
use super::floor_job::{job, near};
use super::helpers::{fixture, published, shared_service, warned};

fn unmet<'a>(answer: &'a Value, code: &str) -> &'a Value {
    let unmet = answer["emitters"]["unmet"].as_array().unwrap();
    unmet.iter().find(|unmet| unmet["code"] == code).unwrap_or_else(|| panic!("no {code} in {unmet:?}"))
}

/// Source: ISO 11855-2, type B, as in `floors_of_other_kinds_go_by_their_own_standard_or_test`: at 200 mm under 25 mm of 1.0 W/(mK)
/// 6.5·0.8551·1.1701·aWL·0.92 (the last from memory) with the table's last column, 0.86: 5.146. 0.4 mm of 220 W/(mK), as wide as
/// the spacing: KWL = (0.088 + 0.5·0.025)/0.125 = 0.804. Of 0.1 mm: (0.022 + 0.0125)/0.125 = 0.276, 0.688 + 0.76·0.112 = 0.7731.
#[tokio::test]
async fn thick_aluminium_plates_count_as_the_tables_end() {
    let service = shared_service();
    let answer = |thickness_mm: f64, screed: Value| {
        let mut job = published("hand_house");
        job["commercial"]["price_book"]["products"]["plate"] = json!({"kind": "conducting_plate", "description": "plate",
            "thickness_mm": thickness_mm, "conductivity_w_mk": 220, "width_mm": 200, "pack_m2": 5, "unit": "pack", "unit_cost": 62.4});
        let floor = &mut job["rooms"]["living"]["emitters"]["floor"];
        floor["system"] = json!({"kind": "under_plates", "plate": "plate"});
        floor["screed"] = screed;
        floor["spacings_mm"] = json!([200]);
        floor.as_object_mut().unwrap().remove("covering");
        floor.as_object_mut().unwrap().remove("pipe_height_mm");
        floor.as_object_mut().unwrap().remove("design_on");
        async move { service.answer("/v1/proposal", &job).await }
    };
    let thin = json!({"conductivity_w_mk": 1.0, "cover_mm": 25});
    for (thickness_mm, kh_w_m2k, is_beyond) in [(0.4, 5.146, true), (2.0, 5.146, true), (0.1, 4.626, false)] {
        let answer = answer(thickness_mm, thin.clone()).await;
        let rooms = answer["emitters"]["rooms"].as_array().unwrap();
        let living = rooms.iter().find(|room| room["room"] == "living").unwrap();
        let zone = &living["emitters"][0]["floor"]["occupied_zone"];
        near("KH", &zone["by_standard"]["output_w_m2k"], kh_w_m2k, 2e-3);
        let warnings = answer["notes"]["warnings"].as_array().unwrap();
        let told = warnings.iter().find(|warning| warning["code"] == "plates_beyond_table");
        assert_eq!(told.is_some(), is_beyond, "{told:?}");
        if let Some(told) = told {
            near("KWL", &told["values"]["conduction"], (thickness_mm / 1000.0 * 220.0 + 0.0125) / 0.125, 1e-9);
        }
    }
    // a thick screed passes the table as well
    let thick = answer(0.1, json!({"conductivity_w_mk": 1.0, "cover_mm": 120})).await;
    assert!(thick["notes"]["warnings"].to_string().contains("plates_beyond_table"));
}

/// By hand: whatever lies below, 40 mm of 0.1 W/(mK) and the surface's 10.8 W/(m²K) alone pass 1/(0.4 + 0.0926) = 2.03 W/(m²K).
#[tokio::test]
async fn a_covering_beyond_the_tables_is_reckoned_by_conduction_alone() {
    let service = shared_service();
    let carpet = |m2k_w: f64| json!({"covering": {"thickness_mm": 100.0 * m2k_w, "conductivity_w_mk": 0.1}});
    let mut last = f64::INFINITY;
    for (covering_m2k_w, is_beyond) in [(0.1, false), (0.15, false), (0.16, true), (0.4, true)] {
        let answer = service.answer("/v1/emitters", &job(&carpet(covering_m2k_w))).await;
        let floor = answer["emitters"]["rooms"][0]["emitters"][0].clone();
        let zone = &floor["floor"]["occupied_zone"];
        assert_eq!(zone.get("by_standard").is_none(), is_beyond, "{zone}");
        assert_eq!(zone["goes_by"], "conduction");
        let told = answer["notes"]["warnings"].to_string().contains("by_conduction_alone");
        assert_eq!(told, is_beyond, "{}", answer["notes"]["warnings"]);
        let capacity_w_m2 = number(&floor["capacity_w"]) / 14.0;
        assert!(capacity_w_m2 < last && capacity_w_m2 < (38.0 - 21.0) / (covering_m2k_w + 1.0 / 10.8));
        // no leap where the table ends: a resistance in series more
        assert!(capacity_w_m2 > 0.4 * last.min(1e3) || !last.is_finite());
        last = capacity_w_m2;
        let by_conduction = &zone["by_conduction"];
        assert!(number(&by_conduction["floor_surface_highest_c"]) >= number(&by_conduction["floor_surface_c"]));
    }
    // told with its figures
    let answer = service.answer("/v1/emitters", &job(&carpet(0.4))).await;
    let warning = warned(&answer, "by_conduction_alone")[0];
    assert_eq!(warning["values"]["quantity"], "covering_m2k_w");
    assert_eq!((&warning["values"]["value"], &warning["values"]["holds_to"]), (&json!(0.4), &json!(0.15)));
    // under a worst covering beyond them conduction answers too, and boards have nothing to say
    let answer = |floor: Value| async move { service.answer("/v1/emitters", &job(&floor)).await };
    let worst = answer(json!({"worst_covering": {"thickness_mm": 40, "conductivity_w_mk": 0.1}})).await;
    let under_w = &worst["emitters"]["rooms"][0]["emitters"][0]["floor"]["output_under_worst_covering_w"];
    assert!(number(under_w) > 50.0 && number(under_w) < 14.0 * 17.0 * 2.03, "{under_w}");
    let boards = answer(json!({"system": {"kind": "tested_boards", "board": "floor_board_dry_250"}, "screed": null,
        "worst_covering": {"thickness_mm": 40, "conductivity_w_mk": 0.1}}))
    .await;
    assert!(warned(&boards, "worst_covering_beyond_tables")[0]["detail"].as_str().unwrap().contains("0.4 m²K/W"));
}

/// 30 mm of 0.3 W/(mK) at 300 mm are a tenth of the spacing, and the tables of the limit for so poor a cover begin at 0.173.
#[tokio::test]
async fn where_no_spacing_lies_in_the_tables_conduction_is_left() {
    let thin = json!({"screed": {"conductivity_w_mk": 0.3, "cover_mm": 30}, "spacings_mm": [300]});
    let service = shared_service();
    let answer = service.answer("/v1/emitters", &job(&thin)).await;
    assert_eq!(warned(&answer, "by_conduction_alone")[0]["values"]["quantity"], "cover_to_spacing");
    assert!(number(&answer["emitters"]["rooms"][0]["emitters"][0]["output_w"]) > 100.0);
    // with another spacing that lies in them that one is taken, and the first passed over
    let both = json!({"screed": {"conductivity_w_mk": 0.3, "cover_mm": 30}, "spacings_mm": [300, 150]});
    let answer = service.answer("/v1/emitters", &job(&both)).await;
    assert_eq!(answer["emitters"]["rooms"][0]["emitters"][0]["spacing_mm"], 150.0);
    assert_eq!(warned(&answer, "spacing_passed_over")[0]["values"]["spacing_mm"], 300.0);
}

/// On its standard alone, or of a kind that conduction is not solved for, a floor is unmet by name, and the rest is answered.
#[tokio::test]
async fn a_floor_that_no_table_holds_is_unmet_and_the_house_is_answered() {
    let service = shared_service();
    let carpet = json!({"thickness_mm": 40, "conductivity_w_mk": 0.1});
    let answer =
        service.answer("/v1/emitters", &job(&json!({"covering": carpet, "design_on": {"kind": "standard"}}))).await;
    let told = unmet(&answer, "floor_beyond_tables");
    assert_eq!(told["pointer"], "/rooms/room/emitters/floor");
    assert_eq!((&told["values"]["quantity"], &told["reached"]), (&json!("covering_m2k_w"), &json!(0.0)));
    assert!(told["detail"].as_str().unwrap().contains("holds from 0 to 0.15"), "{told}");
    let row = &answer["emitters"]["rooms"][0]["emitters"][0];
    assert_eq!((&row["kind"], &row["output_w"], &row["flow_l_h"]), (&json!("heated_floor"), &json!(0.0), &json!(0.0)));

    // through every stage, at a flow temperature that is sought: the others of the house set it
    let mut chapel = fixture("chapel");
    chapel["heating"]["flow_temperature"] = json!({"kind": "lowest", "least_c": 30, "most_c": 55});
    let sought = service.answer("/v1/proposal", &chapel).await;
    let (room, emitter) = chapel["rooms"]
        .as_object()
        .unwrap()
        .iter()
        .find_map(|(room, written)| {
            let mut emitters = written["emitters"].as_object()?.iter();
            Some((room.clone(), emitters.find(|(_, emitter)| emitter["kind"] == "heated_floor")?.0.clone()))
        })
        .unwrap();
    chapel["rooms"][&room]["emitters"][&emitter]["covering"] = carpet;
    chapel["rooms"][&room]["emitters"][&emitter]["design_on"] = json!({"kind": "standard"});
    let answer = service.answer("/v1/proposal", &chapel).await;
    assert_eq!(answer["price"]["complete"], false);
    unmet(&answer, "floor_beyond_tables");
    let at = format!("/rooms/{room}/emitters");
    let aside = unmet(&answer, "set_aside");
    assert_eq!((&aside["pointer"], &aside["values"]["why"]), (&json!(at), &json!("floor_beyond_tables")));
    let flow_c = |answer: &Value| number(&answer["emitters"]["flow_temperature_c"]);
    assert!(flow_c(&answer) <= flow_c(&sought), "no warmer water is asked for a floor that nothing designs");
    let loops = |answer: &Value| answer["bill"]["lines"].to_string();
    assert_ne!(loops(&answer), loops(&sought));
    // a radiator beside it completes the room without warmer water
    let sought = service.answer("/v1/flow-temperatures", &chapel).await;
    let lowest = &sought["flow_temperatures"]["lowest"];
    let changes = lowest["next_changes"].as_array().unwrap();
    let beside = changes.iter().find(|change| change["steps"][0]["change"] == "radiator_beside").unwrap();
    assert_eq!(beside["steps"][0]["room"], json!(room), "{beside}");
    assert!(number(&beside["flow_temperature_c"]) <= number(&lowest["flow_temperature_c"]) + 1e-9, "{beside}");
}

/// Though it is most of the house, a floor that nothing designs asks for no warmer water: the rest sets its own temperature.
#[tokio::test]
async fn a_house_of_which_most_is_not_designed_takes_the_temperature_of_the_rest() {
    let service = shared_service();
    let carpet = json!({"thickness_mm": 40, "conductivity_w_mk": 0.1});
    let mut house = job(&json!({"covering": carpet, "design_on": {"kind": "standard"}}));
    let mut study = house["rooms"]["room"].clone();
    study["surfaces"]["wall"]["area_m2"] = json!(8);
    study["emitters"] = json!({"rad": {"kind": "radiator"}});
    house["rooms"]["study"] = study;
    house["heating"] = json!({"flow_temperature": {"kind": "lowest", "least_c": 30, "most_c": 60}, "drop_k": 5});
    let answer = service.answer("/v1/flow-temperatures", &house).await;
    house["rooms"].as_object_mut().unwrap().remove("room");
    let alone = service.answer("/v1/flow-temperatures", &house).await;
    let flow_c = |answer: &Value| number(&answer["flow_temperatures"]["lowest"]["flow_temperature_c"]);
    assert!(
        (flow_c(&answer) - flow_c(&alone)).abs() < 1e-9 && flow_c(&answer) < 59.0,
        "{} {}",
        flow_c(&answer),
        flow_c(&alone)
    );
}
