//! `POST /v1/emitters`: what is told of a heated floor holds, and what is wrong with one is warned of.

use serde_json::json;

use super::figures::number;
use super::floor_job::{balance, job, losing, near, row};
use super::helpers::shared_service;

#[tokio::test]
async fn a_floor_that_names_no_manifold_hangs_on_the_nearest() {
    let service = shared_service();
    let mut job = job(&json!({"manifold": null, "tail_m": null}));
    job["rooms"]["room"]["position"] = json!({"x_m": 2, "y_m": 3});
    job["pipework"]["manifolds"] = json!({
        "far": {"position": {"x_m": 12, "y_m": 3}}, "near": {"position": {"x_m": 4.5, "y_m": 1}},
        "above": {"position": {"x_m": 2, "y_m": 3}, "room": "attic"}
    });
    let mut attic = job["rooms"]["room"].clone();
    attic["storey"] = json!(1);
    attic["emitters"] = json!({});
    attic["surfaces"] = json!({});
    job["rooms"]["attic"] = attic;
    let row = row(service, &job).await;
    assert_eq!(row["floor"]["manifold"], "near");
    // 2.5 + 2 m there and back beside 14/0.15 m in the field, in two loops
    near("loop", &row["loops"][0]["length_m"], 14.0 / 0.15 / 2.0 + 2.0 * 4.5, 1e-3);
    let told = service.answer("/v1/emitters", &job).await["notes"]["assumptions"].to_string();
    assert!(
        told.contains("on manifold near, the nearest with outlets left")
            && told.contains("tails of 4.5 m, by the plan"),
        "{told}"
    );
}

/// The largest manifold on offer has 12 outlets. 60 m² at 100 mm are at most 600/(100 - 2·3) = 7 loops: two such floors do
/// not hang on one.
#[tokio::test]
async fn a_manifold_without_outlets_left_is_passed_over() {
    let service = shared_service();
    let mut job = job(&json!({"manifold": null, "spacings_mm": [100]}));
    job["rooms"]["room"]["floor_area_m2"] = json!(60);
    job["rooms"]["room"]["perimeter_m"] = json!(32);
    job["rooms"]["room"]["position"] = json!({"x_m": 0, "y_m": 0});
    job["rooms"]["other"] = job["rooms"]["room"].clone();
    job["pipework"]["manifolds"] =
        json!({"near": {"position": {"x_m": 1, "y_m": 0}}, "far": {"position": {"x_m": 5, "y_m": 0}}});
    let answer = service.answer("/v1/emitters", &job).await;
    let manifold = |room: usize| answer["emitters"]["rooms"][room]["emitters"][0]["floor"]["manifold"].clone();
    assert_eq!([manifold(0), manifold(1)], [json!("near"), json!("far")]);
    assert_eq!(answer["emitters"]["rooms"][0]["emitters"][0]["loops"].as_array().unwrap().len(), 7);
}

/// What is told of another flow temperature or covering holds when the job comes back with it: pressure included.
#[tokio::test]
async fn what_is_told_holds_when_it_is_designed() {
    let service = shared_service();
    for (w_m2, flow_c, floor) in
        [(52.0, 45.0, json!({})), (55.0, 45.0, json!({})), (45.0, 38.0, json!({"loop_pressure_drop_max_kpa": 6}))]
    {
        let told = row(service, &losing(w_m2, flow_c, &floor)).await;
        let least = number(&told["floor"]["flow_temperature_least_c"]);
        let at_least = row(service, &losing(w_m2, least, &floor)).await;
        near("at the least flow", &at_least["output_w"], w_m2 * 14.0, 1e-3);
        let greatest = number(&told["floor"]["greatest_covering"]["resistance_m2k_w"]);
        let mut covered = floor.clone();
        covered["covering"] = json!({"thickness_mm": 100.0 * greatest, "conductivity_w_mk": 0.1});
        let under = row(service, &losing(w_m2, flow_c, &covered)).await;
        near("under the greatest covering", &under["output_w"], w_m2 * 14.0, 1e-3);
        for designed in [at_least, under] {
            assert_eq!(designed["loops"].as_array().unwrap().len(), told["loops"].as_array().unwrap().len());
        }
    }
}

/// A floor held by its surface limit carries more under some covering, which evens out its warm spots, than under none.
#[tokio::test]
async fn a_covering_that_lets_a_floor_carry_more_than_none_is_found() {
    let service = shared_service();
    for w_m2 in [95.0, 96.0, 97.0] {
        let mut job = losing(w_m2, 50.0, &json!({"design_on": {"kind": "standard"}}));
        job["rooms"]["room"]["inside_design_c"] = json!(20);
        job["rooms"]["room"]["surfaces"]["wall"]["area_m2"] = json!(w_m2 * 14.0 / 29.0);
        let bare = row(service, &job).await;
        assert!(number(&bare["output_w"]) < w_m2 * 14.0);
        let resistance = number(&bare["floor"]["greatest_covering"]["resistance_m2k_w"]);
        assert!(resistance > 0.06, "{w_m2}: {resistance}");
        job["rooms"]["room"]["emitters"]["floor"]["covering"] =
            json!({"thickness_mm": 100.0 * resistance, "conductivity_w_mk": 0.1});
        near("under it", &row(service, &job).await["output_w"], w_m2 * 14.0, 1e-3);
    }
}

#[tokio::test]
async fn pressure_and_tables_are_looked_at_before_a_spacing_is_chosen() {
    let service = shared_service();
    // at 150 mm two loops are wanted for their pressure, and their laminar film takes what was left: 100 mm it is
    let floor = json!({"spacings_mm": [100, 150, 200, 250, 300]});
    let closer = row(service, &losing(79.0, 40.0, &floor)).await;
    near("carried", &closer["output_w"], 79.0 * 14.0, 1e-3);
    assert_eq!(closer["spacing_mm"], 100.0);
    // 50 mm of 0.6 W/(mK) are beyond the limit curve at 300 mm: passed over and told
    let screed = json!({"conductivity_w_mk": 0.6, "cover_mm": 50});
    let answer = service
        .answer("/v1/emitters", &losing(30.0, 40.0, &json!({"screed": screed, "spacings_mm": [150, 300]})))
        .await;
    let warning = &answer["notes"]["warnings"][0];
    assert_eq!(warning["code"], "spacing_passed_over");
    assert!(warning["detail"].as_str().unwrap().contains("300 mm"), "{warning}");
    assert_eq!(answer["emitters"]["rooms"][0]["emitters"][0]["spacing_mm"], 150.0);
    // where none is left the floor goes by conduction alone, and the warning says what is beyond, in words
    let alone =
        service.answer("/v1/emitters", &losing(30.0, 40.0, &json!({"screed": screed, "spacings_mm": [300]}))).await;
    let detail = alone["notes"]["warnings"][0]["detail"].as_str().unwrap();
    assert!(detail.contains("cover to spacing is 0.16667, and EN 1264-2"), "{detail}");
    // a pressure that the valves alone take leaves no number of loops
    let tight = service
        .answer("/v1/emitters", &losing(70.0, 40.0, &json!({"loop_pressure_drop_max_kpa": 1, "loop_max_m": 60})))
        .await;
    assert!(tight["emitters"]["rooms"][0]["emitters"][0]["loops"].as_array().unwrap().len() > 3);
}

#[tokio::test]
async fn a_worst_covering_like_the_one_that_lies_there_changes_nothing_in_either_zone() {
    let service = shared_service();
    let tile = json!({"thickness_mm": 10, "conductivity_w_mk": 1.0, "material": "tile"});
    let floor = json!({"edge_area_m2": 6, "covering": tile, "worst_covering": tile, "surface_limit_c": null});
    let answer = service.answer("/v1/emitters", &losing(95.0, 50.0, &floor)).await;
    let row = &answer["emitters"]["rooms"][0]["emitters"][0];
    near("under it", &row["floor"]["output_under_worst_covering_w"], number(&row["capacity_w"]), 1e-2);
    assert!(!answer["notes"]["warnings"].to_string().contains("worst_covering"));
}

/// Water is charged with what it gives: less than the room gets where heat comes up from below.
#[tokio::test]
async fn where_it_is_warmer_below_the_water_gives_less_than_the_floor() {
    let service = shared_service();
    let mut job = losing(20.0, 30.0, &json!({"design_on": {"kind": "conduction"}}));
    job["rooms"]["room"]["surfaces"]["floor"]["faces"]["temperature_c"] = json!(33);
    let row = row(service, &job).await;
    assert!(number(&row["downward_w"]) < 0.0);
    let conduction = &row["floor"]["occupied_zone"]["by_conduction"];
    near("both say so", &row["downward_w"], 14.0 * number(&conduction["downward_w_m2"]), 1e-3);
    let (water_w, given_w) = balance(&row, 30.0);
    assert!((water_w / given_w - 1.0).abs() < 1e-5, "{water_w} {given_w}");
}

/// What lines give to a room beyond what it loses is given all the same, and the heat source must have it.
#[tokio::test]
async fn lines_that_overheat_a_room_load_the_heat_source() {
    let service = shared_service();
    let mut job = job(&json!({"tail_m": 9, "passes_through": {"hall": {"length_m": 8}}}));
    let mut hall = job["rooms"]["room"].clone();
    hall["surfaces"]["wall"]["area_m2"] = json!(1);
    hall["emitters"] = json!({});
    job["rooms"]["hall"] = hall;
    let answer = service.answer("/v1/plant", &job).await;
    let emitters = service.answer("/v1/emitters", &job).await["emitters"].clone();
    let (given, lost) = (number(&emitters["rooms"][1]["from_lines_w"]), 30.0);
    let floor = &emitters["rooms"][0]["emitters"][0];
    assert!(given > lost + 50.0, "{given}");
    let load = 630.0 + 30.0 + number(&floor["downward_w"]) + given - lost;
    near("load", &answer["plant"]["heat_source"]["load_w"], load, 1e-2);
}

#[tokio::test]
async fn loops_too_slow_for_a_manifold_are_told_once() {
    let service = shared_service();
    let warned = async |w_m2: f64| {
        let warnings =
            service.answer("/v1/emitters", &losing(w_m2, 45.0, &json!({}))).await["notes"]["warnings"].clone();
        warnings.as_array().unwrap().iter().filter(|note| note["code"] == "slow_loops").count()
    };
    assert_eq!((warned(10.0).await, warned(60.0).await), (1, 0));
}

#[tokio::test]
async fn timber_that_the_job_lets_come_warmer_is_warned_of() {
    let service = shared_service();
    let timber = json!({"thickness_mm": 10, "conductivity_w_mk": 0.18, "material": "timber"});
    for (limit_c, warned) in [(27, 0), (29, 1)] {
        let answer =
            service.answer("/v1/emitters", &job(&json!({"covering": timber, "surface_limit_c": limit_c}))).await;
        let notes = answer["notes"]["warnings"].as_array().unwrap();
        assert_eq!(notes.iter().filter(|note| note["code"] == "timber_above_its_limit").count(), warned);
    }
}

#[tokio::test]
async fn bathrooms_do_not_set_the_common_flow() {
    let service = shared_service();
    let mut job = job(&json!({}));
    let mut bath = job["rooms"]["room"].clone();
    bath["use"] = json!("bathroom");
    bath["surfaces"]["wall"]["area_m2"] = json!(28);
    bath["emitters"]["floor"].as_object_mut().unwrap().remove("surface_limit_c");
    job["rooms"]["bath"] = bath;
    let answer = service.answer("/v1/emitters", &job).await;
    let needs =
        |room: usize| number(&answer["emitters"]["rooms"][room]["emitters"][0]["floor"]["flow_temperature_least_c"]);
    assert!(needs(1) > needs(0) + 2.0);
    let neediest = &answer["emitters"]["neediest_floor"];
    assert_eq!((&neediest["room"], &neediest["emitter"]), (&json!("room"), &json!("floor")));
    near("its flow", &neediest["flow_temperature_c"], needs(0), 1e-9);
}

/// Source: EN 1264-4: 1.25 m²K/W over unheated rooms and the ground.
#[tokio::test]
async fn too_little_insulation_is_warned_of() {
    let service = shared_service();
    let mut job = job(&json!({}));
    for (u_value, warned) in [(1.0 / 1.43, false), (1.0 / 1.3, true)] {
        job["constructions"]["floor"]["u_value_w_m2k"] = json!(u_value);
        let warnings = service.answer("/v1/emitters", &job).await["notes"]["warnings"].clone();
        let codes = warnings.as_array().unwrap().iter().filter(|note| note["code"] == "thin_insulation");
        assert_eq!(codes.count(), usize::from(warned), "{warnings}");
    }
}
