//! `POST /v1/emitters`: heated floors, over HTTP.

use serde_json::{Value, json};
use tundish::methods::math::{exp, ln, sqrt};

use super::figures::number;
use super::floor_job::{balance, job, near, row};
use super::helpers::{fixture, shared_service, warned};

/// Source: 45 W/m² at 21 °C, 150 mm, bare, a drop of 5 K: 31.88 °C by EN 1264-2. By conduction: finite elements of d05 in
/// `floor_conduction.csv`, 5.036353 W/(m²K) without a film, 4.584960 behind one of 250 W/(m²K), a straight line of the
/// reciprocals between; 0.2236 W/(m²K) from the room to what lies below, and 5.036·0.5478/(5.036 + 0.5478 + f) more
/// behind a film of f by floor area.
#[tokio::test]
async fn a_quoted_floor_needs_the_flow_temperature_that_standard_and_conduction_say() {
    let service = shared_service();
    let standard = row(service, &job(&json!({"design_on": {"kind": "standard"}}))).await;
    near("standard", &standard["floor"]["flow_temperature_least_c"], 31.88, 0.005);
    assert_eq!(standard["floor"]["occupied_zone"]["goes_by"], "standard");
    near("KH", &standard["floor"]["occupied_zone"]["by_standard"]["output_w_m2k"], 5.5396, 0.0001);
    for (below_c, loop_max_m) in [(10.0, 100.0), (21.0, 100.0), (10.0, 30.0)] {
        let mut job = job(&json!({"loop_max_m": loop_max_m}));
        job["rooms"]["room"]["surfaces"]["floor"]["faces"]["temperature_c"] = json!(below_c);
        // at its own lowest flow temperature the floor runs as it was asked for it
        let least = row(service, &job).await["floor"]["flow_temperature_least_c"].clone();
        job["heating"]["flow_temperature"]["flow_temperature_c"] = least.clone();
        let zone = row(service, &job).await["floor"]["occupied_zone"].clone();
        assert_eq!(zone["goes_by"], "conduction");
        let film = number(&zone["by_conduction"]["film_w_m2k"]);
        let (free, behind_250) = (1.0 / 5.036_353, 1.0 / 4.584_960);
        let up = 1.0 / (free + (behind_250 - free) * 250.0 / film);
        let by_area = film * std::f64::consts::PI * 0.012 / 0.15;
        let down = 0.2236 + 5.036 * 0.5478 / (5.036 + 0.5478 + by_area);
        let excess_k = (45.0 + down * (21.0 - below_c)) / up;
        let flow_c = 21.0 + 5.0 / (1.0 - exp(-5.0 / excess_k));
        near(&format!("{below_c} below, film {film:.0}"), &least, flow_c, 0.05);
    }
}

#[tokio::test]
async fn both_outputs_are_told_of_the_same_water_and_the_lower_is_designed_on() {
    let service = shared_service();
    let zone = |design_on: &'static str| json!({"design_on": {"kind": design_on}});
    let lower = row(service, &job(&zone("lower"))).await;
    let (conduction, standard) =
        (row(service, &job(&zone("conduction"))).await, row(service, &job(&zone("standard"))).await);
    assert_eq!(lower, conduction, "on bare tile conduction gives less");
    let of = |row: &Value, by: &str| number(&row["floor"]["occupied_zone"][by]["output_w_m2"]);
    near("conduction", &lower["floor"]["occupied_zone"]["by_conduction"]["output_w_m2"], 45.0, 1e-4);
    assert!(of(&lower, "by_standard") > 1.05 * 45.0);
    near("standard", &standard["floor"]["occupied_zone"]["by_standard"]["output_w_m2"], 45.0, 1e-4);
    assert!(of(&standard, "by_conduction") < 0.95 * 45.0);
    // the answer of the same job names no method twice: what was filled in is told
    let answer = service.answer("/v1/emitters", &job(&json!({}))).await;
    let told = answer["notes"]["assumptions"].to_string();
    assert!(told.contains("designed on the lower of EN 1264-2 and conduction"), "{told}");
    // the warmest spot is warmer than the mean
    let by_conduction = &lower["floor"]["occupied_zone"]["by_conduction"];
    assert!(number(&by_conduction["floor_surface_highest_c"]) > number(&by_conduction["floor_surface_c"]) + 0.3);
    let grid_error = number(&by_conduction["grid_error"]);
    assert!((1e-5..0.01).contains(&grid_error), "{grid_error}");
}

/// Source: EN 1264-2, cells of 0.3 m under 0.0625 m²K/W. By hand: 75 mm of 1.2 W/(mK), bare; aB (1/10.8 + 0.045) / (1/10.8 +
/// 0.0375) = 1.05765, KH 6.7 · 1.05765 · 1.23⁻³ · 1.0395⁻³ / 1.053 = 3.21959 W/(m²K); φ (8/9)^1.1 = 0.878481; BG 57.5 and nG
/// 0.145 make ΔθH,G = φ · (57.5/3.21959)^(1/0.855) = 25.5803 K and 82.358 W/m².
#[tokio::test]
async fn pipes_300_mm_apart_under_a_thick_screed_reach_the_limit_of_the_standard() {
    let service = shared_service();
    let screed = json!({"conductivity_w_mk": 1.2, "cover_mm": 75});
    let mut job = job(&json!({"screed": screed, "spacings_mm": [300], "design_on": {"kind": "standard"}}));
    job["rooms"]["room"]["surfaces"]["wall"]["area_m2"] = json!(60);
    job["heating"]["flow_temperature"]["flow_temperature_c"] = json!(55);
    let row = row(service, &job).await;
    near("KH", &row["floor"]["occupied_zone"]["by_standard"]["output_w_m2k"], 3.21959, 1e-5);
    near("limit", &row["limit_w_m2"], 82.358, 0.001);
    assert_eq!(row["output_w_m2"], row["limit_w_m2"]);
}

/// Source: common practice, 27 °C under timber; 63.1 W/m² in a room of 21 °C at 150 mm under 0.10 m²K/W (EN 1264-2).
#[tokio::test]
async fn timber_holds_the_surface_to_27_degrees() {
    let service = shared_service();
    let timber = json!({"thickness_mm": 18, "conductivity_w_mk": 0.18, "material": "timber"});
    let mut job = job(&json!({"surface_limit_c": null, "covering": timber, "design_on": {"kind": "standard"}}));
    job["rooms"]["room"]["surfaces"]["wall"]["area_m2"] = json!(40);
    job["heating"]["flow_temperature"]["flow_temperature_c"] = json!(50);
    let answer = service.answer("/v1/emitters", &job).await;
    let row = &answer["emitters"]["rooms"][0]["emitters"][0];
    near("limit", &row["limit_w_m2"], 63.1, 0.05);
    assert_eq!(row["output_w_m2"], row["limit_w_m2"]);
    let unmet = &answer["emitters"]["unmet"][0];
    assert_eq!((&unmet["code"], &unmet["pointer"]), (&json!("floor_too_weak"), &json!("/rooms/room/emitters/floor")));
    assert!(row["floor"].get("flow_temperature_least_c").is_none(), "no flow temperature helps against a limit");
    // tile of the same resistance bears 29 °C
    job["rooms"]["room"]["emitters"]["floor"]["covering"]["material"] = json!("tile");
    let tile = super::floor_job::row(service, &job).await;
    assert!(number(&tile["limit_w_m2"]) > 80.0, "{tile}");
}

#[tokio::test]
async fn the_edge_zone_has_its_own_spacing_limit_and_loops() {
    let service = shared_service();
    let answer = row(service, &job(&json!({"edge_area_m2": 4, "edge_spacing_mm": 100}))).await;
    let (occupied, edge) = (&answer["floor"]["occupied_zone"], &answer["floor"]["edge_zone"]);
    assert_eq!((number(&occupied["area_m2"]), number(&edge["area_m2"])), (10.0, 4.0));
    assert_eq!((&edge["spacing_mm"], &answer["spacing_mm"]), (&json!(100.0), &json!(150.0)));
    let given = 10.0 * number(&occupied["output_w_m2"]) + 4.0 * number(&edge["output_w_m2"]);
    near("both zones", &answer["output_w"], given, 0.001);
    near("the whole load", &answer["output_w"], 630.0, 0.001);
    assert!(number(&edge["output_w_m2"]) > number(&occupied["output_w_m2"]));
    // EN 1264-2: 15 K above 20 °C there, 9 K in the rest; here 14 K and 8 K above 21 °C: 8.92·14^1.1 and 8.92·8^1.1
    assert!(number(&edge["limit_w_m2"]) > 100.0 && number(&edge["limit_w_m2"]) < 162.6, "{edge}");
    assert!(number(&occupied["limit_w_m2"]) < 87.9, "{occupied}");
    // 10/0.15 + 6 and 4/0.1 + 6 m of tube
    let loops = answer["loops"].as_array().unwrap();
    assert_eq!(loops.len(), 2);
    near("field", &loops[0]["length_m"], 72.6667, 0.001);
    near("edge", &loops[1]["length_m"], 46.0, 0.001);
    let (water_w, given_w) = balance(&answer, 38.0);
    assert!((water_w / given_w - 1.0).abs() < 1e-5, "{water_w} {given_w}");
    // under timber the edge zone is held to 27 °C as well
    let timber = json!({"thickness_mm": 18, "conductivity_w_mk": 0.18, "material": "timber"});
    let held = row(service, &job(&json!({"edge_area_m2": 4, "covering": timber}))).await;
    assert!(number(&held["floor"]["edge_zone"]["limit_w_m2"]) < 64.1, "{held}");
    assert_eq!(held["floor"]["edge_zone"]["spacing_mm"], 150.0);
}

#[tokio::test]
async fn lines_through_another_room_heat_it_and_cool_the_water() {
    let service = shared_service();
    let mut job = job(&json!({"tail_m": 9, "passes_through": {"hall": {"length_m": 6}}}));
    let mut hall = job["rooms"]["room"].clone();
    hall["use"] = json!("hall");
    hall["inside_design_c"] = json!(18);
    hall["surfaces"]["wall"]["area_m2"] = json!(14);
    hall["emitters"] = json!({"floor": {"kind": "heated_floor", "tube": "floor_tube_16",
        "screed": {"conductivity_w_mk": 1.2, "cover_mm": 45}}});
    job["rooms"]["hall"] = hall;
    let answer = service.answer("/v1/emitters", &job).await;
    let rooms = &answer["emitters"]["rooms"];
    let (room, hall) = (&rooms[0]["emitters"][0], &rooms[1]["emitters"][0]);
    let line = &room["floor"]["lines"][0];
    assert_eq!((&line["room"], number(&line["length_m"])), (&json!("hall"), 6.0));
    // what the lines give to the hall its own floor need not: 14 m² of 1 W/(m²K) against 27 K
    let given = number(&line["output_w"]);
    assert_eq!(rooms[1]["from_lines_w"], line["output_w"]);
    near("the hall's load", &hall["load_w"], 378.0 - given, 0.001);
    // two loops of a supply and a return line, 100 mm apart, by KH 6.427 W/(m²K) of EN 1264-2 at 100 mm: the warmest the
    // water can be is 38 °C, the coldest its return at the manifold
    let strip = f64::from(u32::try_from(room["loops"].as_array().unwrap().len()).unwrap()) * 6.0 * 0.1 * 6.427;
    let return_c = number(&room["return_temperature_c"]);
    let (most, least) = (strip * 2.0 * (38.0 - 18.0), strip * (38.0 - 18.0 + return_c - 18.0));
    assert!(given > least && given < most, "{given} between {least} and {most}");
    let (water_w, given_w) = balance(room, 38.0);
    assert!((water_w / given_w - 1.0).abs() < 1e-5, "{water_w} {given_w}");
    // without them the room's floor runs with less water and the hall gets nothing
    job["rooms"]["room"]["emitters"]["floor"]["passes_through"] = json!({});
    let without = service.answer("/v1/emitters", &job).await;
    assert!(without["emitters"]["rooms"][1].get("from_lines_w").is_none());
    let flow = |answer: &Value| number(&answer["emitters"]["rooms"][0]["emitters"][0]["flow_l_h"]);
    assert!(flow(&without) < flow(&answer));
    // a room that needs less than the lines give is told
    job["rooms"]["hall"]["surfaces"]["wall"]["area_m2"] = json!(1);
    job["rooms"]["room"]["emitters"]["floor"]["passes_through"] = json!({"hall": {"length_m": 8}});
    let warm = service.answer("/v1/emitters", &job).await;
    assert_eq!(warm["notes"]["warnings"][0]["code"], "lines_overheat");
    assert_eq!(warm["emitters"]["rooms"][1]["emitters"][0]["load_w"], 0.0);
}

/// Inverting the design and designing again: to 0.1 %.
#[tokio::test]
async fn under_the_greatest_covering_the_floor_just_carries_its_room() {
    let service = shared_service();
    for design_on in ["standard", "conduction", "lower"] {
        for (member, material, flow_c) in [
            ("greatest_covering", "carpet", 37),
            ("greatest_timber_covering", "timber", 36),
            ("greatest_covering", "vinyl", 35),
        ] {
            let mut job = job(&json!({"design_on": {"kind": design_on}, "surface_limit_c": null}));
            job["heating"]["flow_temperature"]["flow_temperature_c"] = json!(flow_c);
            let before = row(service, &job).await;
            let greatest = &before["floor"][member];
            assert_eq!(greatest["tables_end"], false, "{before}");
            let resistance = number(&greatest["resistance_m2k_w"]);
            near("tog", &greatest["tog"], 10.0 * resistance, 1e-6);
            job["rooms"]["room"]["emitters"]["floor"]["covering"] =
                json!({"thickness_mm": 100.0 * resistance, "conductivity_w_mk": 0.1, "material": material});
            let after = row(service, &job).await;
            near(&format!("{design_on}, {material}, {flow_c} °C"), &after["capacity_w"], 630.0, 0.63);
            near("its own greatest", &after["floor"][member]["resistance_m2k_w"], resistance, 1e-3 * resistance);
        }
    }
    // where the tables end before the floor is too weak, that is said
    let mut warm = job(&json!({"design_on": {"kind": "standard"}}));
    warm["heating"]["flow_temperature"]["flow_temperature_c"] = json!(48);
    let row = row(service, &warm).await;
    assert_eq!(row["floor"]["greatest_covering"], json!({"resistance_m2k_w": 0.15, "tog": 1.5, "tables_end": true}));
}

#[tokio::test]
async fn a_worst_covering_is_looked_at_and_warned_of() {
    let service = shared_service();
    let carpet =
        |thickness_mm: f64| json!({"thickness_mm": thickness_mm, "conductivity_w_mk": 0.1, "material": "carpet"});
    for (thickness_mm, warned) in [(2.0, false), (15.0, true)] {
        let answer = service.answer("/v1/emitters", &job(&json!({"worst_covering": carpet(thickness_mm)}))).await;
        let codes = answer["notes"]["warnings"].as_array().unwrap().iter();
        assert_eq!(codes.filter(|note| note["code"] == "worst_covering").count(), usize::from(warned));
        let row = &answer["emitters"]["rooms"][0]["emitters"][0];
        let under = number(&row["floor"]["output_under_worst_covering_w"]);
        assert_eq!(under < 630.0, warned, "{under}");
        near("the covering that lies there is designed for", &row["output_w"], 630.0, 1e-3);
    }
}

/// Source: ISO 11855-2, eq. A.33 with 5.5396 and 2.8344 W/(m²K): 4.1972 W/(m²K) for floor cooling. Water from 18 to 21 °C
/// in a room of 26 °C: 3/ln(8/5) = 6.3828 K, 26.79 W/m², a surface of 26 - 26.79/7 = 22.17 °C. Dew points of
/// `dew_point.csv`: 17.639 °C at 60 %, 22.281 °C at 80 %.
#[tokio::test]
async fn a_floor_cools_its_room_as_far_as_surface_and_dew_point_let_it() {
    let service = shared_service();
    let mut job = job(&json!({}));
    job["cooling"] = json!({"flow_temperature_c": 18, "rise_k": 3, "relative_humidity": 0.6});
    let cooling = row(service, &job).await["floor"]["cooling"].clone();
    near("output", &cooling["output_w_m2"], 26.79, 0.005);
    near("of the floor", &cooling["output_w"], 14.0 * 26.79, 0.07);
    near("surface", &cooling["floor_surface_c"], 22.17, 0.005);
    near("dew point", &cooling["dew_point_c"], 17.639, 0.05);
    assert_eq!((&cooling["held_back"], &cooling["floor_surface_min_c"]), (&json!(false), &json!(20.0)));
    // above a pipe where the water comes in it is colder than the mean, and not as cold as the water
    let lowest = number(&cooling["floor_surface_lowest_c"]);
    assert!(lowest > 20.0 && lowest < 22.0, "{lowest}");
    job["cooling"]["relative_humidity"] = json!(0.8);
    job["cooling"]["dew_point_margin_k"] = json!(0);
    job["cooling"]["flow_temperature_c"] = json!(12);
    let held = row(service, &job).await["floor"]["cooling"].clone();
    near("dew point", &held["floor_surface_min_c"], 22.281, 0.05);
    assert_eq!(held["floor_surface_lowest_c"], held["floor_surface_min_c"], "the coldest spot is held");
    assert!(number(&held["floor_surface_c"]) > number(&held["floor_surface_lowest_c"]));
    let least = number(&held["flow_temperature_least_c"]);
    assert!(least > 12.0 && held["held_back"] == true);
    // water as cold as it may come takes the same
    job["cooling"]["flow_temperature_c"] = json!(least);
    let at_least = row(service, &job).await["floor"]["cooling"].clone();
    near("at the coldest flow", &at_least["output_w_m2"], number(&held["output_w_m2"]), 1e-3);
    job["cooling"].as_object_mut().unwrap().remove("dew_point_margin_k");
    let margin = row(service, &job).await["floor"]["cooling"].clone();
    near("a kelvin above the dew point", &margin["floor_surface_min_c"], 23.281, 0.05);
    let cautions = service.answer("/v1/emitters", &job).await["notes"]["cautions"].to_string();
    assert!(cautions.contains("condensation") && cautions.contains("dew point"));
    // nothing where nobody asks
    job.as_object_mut().unwrap().remove("cooling");
    assert!(row(service, &job).await["floor"].get("cooling").is_none());
}

/// By the finite elements of d13 in `floor_conduction.csv`, at 300 mm on bare screed, the warmest spot lies 8.25/5.44 times as
/// far from the room as the mean: with a mean of 20.5 °C in a room of 26 °C it would be 17.7 °C above the pipes, below a dew
/// point of 18.9 °C.
#[tokio::test]
async fn the_coldest_spot_between_wide_pipes_is_held_and_not_the_mean() {
    let service = shared_service();
    let mut job = job(&json!({"spacings_mm": [300]}));
    job["cooling"] = json!({"flow_temperature_c": 12, "rise_k": 2, "relative_humidity": 0.65, "dew_point_margin_k": 0});
    let cooling = row(service, &job).await["floor"]["cooling"].clone();
    assert!(cooling["held_back"] == true && number(&cooling["flow_temperature_least_c"]) > 13.0, "{cooling}");
    near("spot", &cooling["floor_surface_lowest_c"], 20.0, 1e-4);
    assert!(number(&cooling["floor_surface_c"]) > 21.0, "{cooling}");
}

/// Source: ISO 11855-2. Type D, 30 mm of 1.0 W/(mK): 7.733 and, under 0.05, 5.577 W/(m²K). Type B at 200 mm with steel
/// plates of 0.35 mm and 52 W/(mK), 180 mm wide, under 25 mm of 1.0 W/(mK): KWL = (0.0182 + 0.5·0.025)/0.125 = 0.2456; aWL
/// = 0.688 + 0.456·0.112 = 0.7391, with the gap of 20 mm 0.7394; aT 1.0985^-1.6667 = 0.8551, aU 0.13759/0.11759 = 1.1701,
/// aK 0.92 (from memory): 6.5·0.8551·1.1701·0.7394·0.92 = 4.424.
#[tokio::test]
async fn floors_of_other_kinds_go_by_their_own_standard_or_test() {
    let service = shared_service();
    let screed = |cover_mm: f64| json!({"conductivity_w_mk": 1.0, "cover_mm": cover_mm});
    let covering = json!({"thickness_mm": 5, "conductivity_w_mk": 0.1});
    let plates = json!({"kind": "under_plates", "plate": "plate_steel_035"});
    let boards = json!({"kind": "tested_boards", "board": "floor_board_dry_250"});
    let cases = [
        (json!({"system": {"kind": "plane_section"}, "screed": screed(30.0)}), 7.733),
        (json!({"system": {"kind": "plane_section"}, "screed": screed(30.0), "covering": covering}), 5.577),
        (json!({"system": plates, "screed": screed(25.0), "spacings_mm": [200]}), 4.424),
        // the board's own rows, and its own spacing
        (json!({"system": boards, "screed": null}), 3.35),
        (json!({"system": boards, "screed": null, "covering": covering}), 2.80),
    ];
    for (floor, kh_w_m2k) in cases {
        let row = row(service, &job(&floor)).await;
        let zone = &row["floor"]["occupied_zone"];
        near(&floor.to_string(), &zone["by_standard"]["output_w_m2k"], kh_w_m2k, 1e-3 * kh_w_m2k);
        assert!(zone.get("by_conduction").is_none() && zone["goes_by"] == "standard", "{zone}");
        if floor["system"] == boards {
            assert_eq!(row["spacing_mm"], 250.0);
        }
    }
}

/// Source: EN 1264-3, the drop of a circuit: twice what the flow lies above the mean excess while that is at most half of
/// the mean excess, and beyond three times the mean excess times the root less one; and the logarithm itself.
#[tokio::test]
async fn the_drop_of_a_circuit_follows_the_rule_that_the_job_names() {
    let service = shared_service();
    for flow_c in [33.0, 38.0, 45.0] {
        for (rule, approximate) in [("logarithm", false), ("approximation", true)] {
            let mut job = job(&json!({"drop_rule": rule, "design_on": {"kind": "standard"}}));
            job["heating"]["flow_temperature"]["flow_temperature_c"] = json!(flow_c);
            let row = row(service, &job).await;
            let excess_k = 45.0 / number(&row["floor"]["occupied_zone"]["by_standard"]["output_w_m2k"]);
            let drop_k = flow_c - number(&row["return_temperature_c"]);
            if approximate {
                let over_k = flow_c - 21.0 - excess_k;
                let expected = if 2.0 * over_k <= 0.5 * excess_k {
                    2.0 * over_k
                } else {
                    3.0 * excess_k * (sqrt(1.0 + 4.0 * over_k / (3.0 * excess_k)) - 1.0)
                };
                assert!((drop_k - expected).abs() < 1e-3, "{flow_c}: {drop_k} {expected}");
            } else {
                let mean_k = drop_k / ln((flow_c - 21.0) / (flow_c - 21.0 - drop_k));
                assert!((mean_k - excess_k).abs() < 1e-3, "{flow_c}: {mean_k} {excess_k}");
            }
        }
    }
}

#[tokio::test]
async fn loops_are_short_enough_and_a_manifold_is_balanced() {
    let service = shared_service();
    let answer = service.answer("/v1/emitters", &fixture("bungalow")).await;
    let floors: Vec<&Value> =
        answer["emitters"]["rooms"].as_array().unwrap().iter().map(|room| &room["emitters"][0]).collect();
    for manifold in ["day", "night"] {
        let on = floors.iter().filter(|floor| floor["floor"]["manifold"] == manifold);
        let loops: Vec<&Value> = on.flat_map(|floor| floor["loops"].as_array().unwrap()).collect();
        let whole = |one: &Value| number(&one["pressure_drop_kpa"]) + number(&one["to_throttle_kpa"]);
        assert!(loops.len() > 2);
        for one in &loops {
            assert!(number(&one["length_m"]) <= 90.0 && number(&one["pressure_drop_kpa"]) <= 25.0, "{one}");
            assert!((whole(one) - whole(loops[0])).abs() < 1e-5, "{one}");
        }
        assert!(loops.iter().any(|one| number(&one["to_throttle_kpa"]) <= 0.0));
    }
    // a smaller pressure asks for more loops, each with less water
    let mut tight = job(&json!({"loop_pressure_drop_max_kpa": 2}));
    tight["heating"]["flow_temperature"]["flow_temperature_c"] = json!(34);
    let (few, many) = (row(service, &job(&json!({}))).await, row(service, &tight).await);
    let count = |row: &Value| row["loops"].as_array().unwrap().len();
    assert!(count(&few) == 1 && count(&many) > 1, "{} {}", count(&few), count(&many));
    assert!(number(&many["loops"][0]["pressure_drop_kpa"]) <= 2.0);
}

/// Common practice: a floor whose water falls by more than 15 K is too warm where its loops begin; the hotter the flow, the wider
/// the drop of a floor that gives the same.
#[tokio::test]
async fn a_floor_whose_water_falls_too_far_is_warned_of() {
    for (flow_c, is_warned) in [(35.0, false), (55.0, true)] {
        let mut job = fixture("bungalow");
        job["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": flow_c});
        let answer = shared_service().answer("/v1/emitters", &job).await;
        let rooms = answer["emitters"]["rooms"].as_array().unwrap();
        let mut wide: Vec<String> = Vec::new();
        for room in rooms {
            for emitter in room["emitters"].as_array().unwrap() {
                if flow_c - emitter["return_temperature_c"].as_f64().unwrap() > 15.0 {
                    wide.push(format!("/rooms/{}/emitters/floor", room["room"].as_str().unwrap()));
                }
            }
        }
        let told = warned(&answer, "wide_floor_drop");
        let told: Vec<&str> = told.iter().map(|note| note["pointer"].as_str().unwrap()).collect();
        assert_eq!(told, wide, "at {flow_c} °C");
        assert_eq!(!told.is_empty(), is_warned, "at {flow_c} °C");
    }
}
