//! What places, seasons and parts ask of pipes, reckoned by hand.

use std::f64::consts::PI;

use serde_json::{Value, json};
use tundish::methods::Off;
use tundish::methods::friction::{Bore, in_tube};
use tundish::methods::math::ln;
use tundish::methods::water::water;

use super::figures::number;
use super::floor_job;
use super::helpers::{close, published, rooms_of, row, shared_service, warned};

/// Rooms of 1.4 kW each with a fan convector at 52.5 °C.
fn fans(count: usize) -> Value {
    let mut job = rooms_of(&vec![(1400.0, 20.0, json!({"fan": {"kind": "fan_convector"}})); count]);
    job["heating"] = json!({"flow_temperature": {"kind": "fixed", "flow_temperature_c": 52.5}, "drop_k": 5});
    job
}

/// Source: common practice of the trade: three quarters of what other rooms bear in bedrooms, half as much again where nobody is;
/// of 0.8 m/s that is 0.6 and 1.2 m/s.
#[tokio::test]
async fn the_limit_of_a_place_goes_with_the_one_that_the_job_gives() {
    let mut job = fans(2);
    job["pipework"]["sizing"] = json!({"kind": "least_cost", "velocity_max_m_s": 0.8});
    for (place, limit_m_s) in
        [("bedroom", 0.6), ("occupied", 0.8), ("loft", 0.8), ("plant_room", 1.2), ("unheated", 1.2), ("outdoors", 1.2)]
    {
        job["pipework"]["primary"] = json!({"length_m": 4, "place": place});
        let answer = shared_service().answer("/v1/pipework", &job).await;
        close(&answer["pipework"]["primary"]["velocity_max_m_s"], limit_m_s, 1e-9);
    }
}

/// Mass balance: what the meters of a manifold's loops show in litres a minute is, sixty times, what flows to it in an hour.
#[tokio::test]
async fn loops_are_set_in_litres_a_minute() {
    let mut job = floor_job::losing(60.0, 38.0, &json!({"loop_max_m": 45}));
    job["pipework"]["manifolds"] = json!({"m": {}});
    let answer = shared_service().answer("/v1/pipework", &job).await;
    let rows = answer["pipework"]["balancing"].as_array().unwrap();
    let loops: Vec<&Value> = rows.iter().filter(|row| row["valve"] == "loop").collect();
    assert!(loops.len() > 1, "{rows:?}");
    let l_min: f64 = loops.iter().map(|row| number(&row["flow_l_min"])).sum();
    close(&row(&answer["pipework"]["balancing"], "valve", "manifold")["flow_l_h"], 60.0 * l_min, 1e-6);
}

/// Of insulation as thick as the place wants the one that fits closest is taken, and none that does not fit: 22 mm tube with sizes of
/// 20.9, 21.1, 22.1, 22.9 and 23.1 mm on offer.
#[tokio::test]
async fn insulation_fits_the_tube_as_closely_as_it_can() {
    let mut job = published("hand_house");
    job["pipework"]["tubes"] = json!(["cu_22"]);
    job["pipework"]["insulation"] = json!({"kind": "by_place"});
    let mut taken = async |sizes: &[f64]| {
        let products = job["commercial"]["price_book"]["products"].as_object_mut().unwrap();
        products.retain(|_, product| product["kind"] != "pipe_insulation");
        for fits_mm in sizes {
            let insulation = json!({"kind": "pipe_insulation", "description": "foam", "fits_mm": fits_mm, "thickness_mm": 13,
                "conductivity_w_mk": 0.038, "pack_m": 2, "unit": "length", "unit_cost": 3});
            products.insert(format!("ins_{}", fits_mm * 10.0), insulation);
        }
        let answer = shared_service().answer("/v1/pipework", &job).await;
        row(&answer["pipework"]["sections"], "id", "trunk").get("insulation").cloned()
    };
    assert_eq!(taken(&[20.9, 21.1, 22.1, 22.9, 23.1]).await, Some(json!("ins_221")));
    assert_eq!(taken(&[20.9, 21.1, 23.1]).await, Some(json!("ins_211")));
    assert_eq!(taken(&[20.9, 23.1]).await, None);
}

/// Heat that a metre of copper 28 x 0.9 loses in so much insulation, by hand (W/(mK)). Source: ISO 12241, layers by the metre, films of
/// 1,500 inside and 10 W/(m²K) outside.
fn insulated_w_mk(thickness_mm: f64, conductivity_w_mk: f64) -> f64 {
    let outside_mm = 28.0 + 2.0 * thickness_mm;
    let layer = ln(outside_mm / 28.0) / (2.0 * PI * conductivity_w_mk);
    1.0 / (1000.0 / (PI * 26.2 * 1500.0) + layer + 1000.0 / (PI * outside_mm * 10.0))
}

/// By hand: of 10 m of primary 4 lie in the open at -3 °C in 40 mm of 0.036 W/(mK) and 6 in a plant room of 18 °C in 19 mm of 0.038:
/// both legs lose over each part what it is long and as much colder than they are.
#[tokio::test]
async fn a_pipe_partly_in_the_open_loses_on_both_parts() {
    let mut job = fans(2);
    job["pipework"]["primary"] = json!({"length_m": 10, "outdoor_m": 4, "place": "plant_room", "surrounding_c": 18,
        "existing_tube": "cu_28", "insulation": {"kind": "by_place"}});
    let answer = shared_service().answer("/v1/pipework", &job).await;
    let legs_k = |about_c: f64| 52.5 - about_c + 47.5 - about_c;
    let lost_w = 6.0 * insulated_w_mk(19.0, 0.038) * legs_k(18.0) + 4.0 * insulated_w_mk(40.0, 0.036) * legs_k(-3.0);
    close(&answer["pipework"]["primary"]["heat_loss_w"], lost_w, 1e-3);
}

/// A floor on a tube and a primary of the job's own that cools with water of 18 °C.
fn cooled(run: &str, rise_k: f64) -> Value {
    let point = |outside: i32, flow: i32| json!({"outside_c": outside, "flow_c": flow, "capacity_w": 4000, "cop": 2});
    let mut job = floor_job::job(&json!({"loop_bends": 0}));
    job["cooling"] = json!({"flow_temperature_c": 18, "rise_k": rise_k, "relative_humidity": 0.5});
    job["plant"] = json!({"heat_source": {"kind": "given", "description": "unit", "water_l": 2, "defrost_included": true,
        "points": [point(-15, 35), point(-15, 55), point(7, 35), point(7, 55)],
        "pump": [{"flow_l_h": 0, "head_kpa": 11}, {"flow_l_h": 2000, "head_kpa": 11}]}});
    job["pipework"] = json!({"manifolds": {"m": {"loop_kv_m3_h": 1.1}}, "plant_kv_m3_h": 4,
        "primary": {"length_m": 4, "existing_tube": "cu_15"},
        "runs": {"to_m": {"from": "plant", "length_m": 6, "existing_tube": run, "serves": [{"manifold": "m"}]}}});
    job
}

/// By hand, at the flow of cooling in water of 19.5 °C: both legs of 4 m of primary and 6 m of run in 13.6 mm, the loop in 12 mm, and
/// valves of Kv 4 and 1.1 at 1e5 x (V / Kv)² x ρ / 1000. A pump of 11 kPa is too weak for that.
#[tokio::test]
async fn the_head_of_cooling_is_that_of_its_way() {
    let service = shared_service();
    let job = cooled("cu_15", 3.0);
    let answer = service.answer("/v1/pipework", &job).await;
    let circuit = &answer["pipework"]["cooling_circuit"];
    let liquid = water(19.5).unwrap();
    let flow_m3_h = number(&circuit["flow_l_h"]) / 1000.0;
    let gradient_pa_m = |inside_diameter_mm: f64, roughness_mm: f64| {
        let bore = Bore { inside_diameter_mm, roughness_mm };
        in_tube(bore, &liquid, flow_m3_h / 3600.0 * liquid.density_kg_m3, &mut Off).unwrap().gradient_pa_m
    };
    let valve_pa = |kv: f64| 1e5 * (flow_m3_h / kv) * (flow_m3_h / kv) * liquid.density_kg_m3 / 1000.0;
    let loop_m = number(&floor_job::row(service, &job).await["loops"][0]["length_m"]);
    let tubes_pa = 20.0 * gradient_pa_m(13.6, 0.0015) + loop_m * gradient_pa_m(12.0, 0.007);
    let head_kpa = (tubes_pa + valve_pa(4.0) + valve_pa(1.1)) / 1000.0;
    close(&circuit["head_kpa"], head_kpa, 1e-4);
    // W / (kJ/(kgK) K)
    let flow_l_h = number(&circuit["output_w"]) / (liquid.specific_heat_j_kgk * 3.0) / liquid.density_kg_m3 * 3.6e6;
    close(&circuit["flow_l_h"], flow_l_h, 1e-6);
    let unmet = row(&answer["pipework"]["unmet"], "code", "pump_too_weak_for_cooling");
    close(&unmet["need"], head_kpa, 1e-4);
    assert!(warned(&answer, "fast_while_cooling").is_empty());
}

/// By hand: behind a separation the own pump moves the unit's least flow of 300 l/h through primary and plant room alone, 8 m of 13.6 mm
/// and a Kv of 4 in water of 19.5 °C.
#[tokio::test]
async fn behind_a_separation_the_own_pump_carries_primary_and_plant_room_while_floors_cool() {
    let mut job = cooled("cu_15", 3.0);
    let source = &mut job["plant"]["heat_source"];
    source["minimum_flow_l_h"] = json!(300);
    source["pump"] = json!([{"flow_l_h": 0, "head_kpa": 3}, {"flow_l_h": 2000, "head_kpa": 3}]);
    let answer = shared_service().answer("/v1/pipework", &job).await;
    assert_eq!(answer["pipework"]["arrangement"]["kind"], "separated");
    let liquid = water(19.5).unwrap();
    let bore = Bore { inside_diameter_mm: 13.6, roughness_mm: 0.0015 };
    let tube = in_tube(bore, &liquid, 0.3 / 3600.0 * liquid.density_kg_m3, &mut Off).unwrap();
    let need_pa = 8.0 * tube.gradient_pa_m + 1e5 * (0.3 / 4.0) * (0.3 / 4.0) * liquid.density_kg_m3 / 1000.0;
    let unmet = row(&answer["pipework"]["unmet"], "code", "pump_too_weak_for_cooling");
    close(&unmet["need"], need_pa / 1000.0, 1e-4);
}

/// By hand: what rises by 0.5 K in place of 3 runs some seven times as fast, V / A, and the pipe that is furthest beyond its own limit is
/// told: the narrower of two, and 20.2 mm at 0.68 m/s under a bedroom, where 0.75 x 0.8 are allowed, before 13.6 mm at 1.50 where 1.4 are.
#[tokio::test]
async fn of_pipes_that_are_too_fast_while_floors_cool_the_worst_is_told() {
    for (run, place, most_m_s, primary_m_s, (worst, bore_m, limit_m_s)) in [
        ("cu_10", "occupied", 1.0, 1.0, ("/pipework/runs/to_m", 0.0088, 1.0)),
        ("cu_22", "occupied", 1.0, 1.0, ("/pipework/primary", 0.0136, 1.0)),
        ("cu_22", "bedroom", 0.8, 1.4, ("/pipework/runs/to_m", 0.0202, 0.6)),
    ] {
        let mut job = cooled(run, 0.5);
        job["pipework"]["sizing"] = json!({"kind": "least_cost", "velocity_max_m_s": most_m_s});
        job["pipework"]["runs"]["to_m"]["place"] = json!(place);
        job["pipework"]["primary"]["velocity_max_m_s"] = json!(primary_m_s);
        let answer = shared_service().answer("/v1/pipework", &job).await;
        let told = warned(&answer, "fast_while_cooling");
        assert_eq!((told.len(), &told[0]["pointer"]), (1, &json!(worst)), "{told:?}");
        let flow_m3_s = number(&answer["pipework"]["cooling_circuit"]["flow_l_h"]) / 3.6e6;
        close(&told[0]["values"]["velocity_m_s"], flow_m3_s / (PI / 4.0 * bore_m * bore_m), 1e-4);
        close(&told[0]["values"]["limit_m_s"], limit_m_s, 1e-9);
    }
}

/// The pairs of a hidden tube run as their bores let them, V / A, and readings that are less than a twentieth apart tell nothing more
/// than one: 24 m of 13.6 mm with water of 20 °C take 9.624 kPa at 300 l/h (Colebrook-White, exact).
#[tokio::test]
async fn readings_at_one_flow_are_told_to_be_taken_at_a_second() {
    let mut job = rooms_of(&[(900.0, 14.0, json!({"rad": {"kind": "radiator"}}))]);
    job["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": 50});
    job["pipework"]["runs"] =
        json!({"hidden": {"from": "plant", "length_m": 10, "serves": [{"room": "r0", "emitter": "rad"}]}});
    for (flows_l_h, is_one) in [(vec![300.0], true), (vec![300.0, 312.0], true), (vec![300.0, 318.0], false)] {
        let point = |flow_l_h: &f64| {
            // the pressure goes with the flow to the power of 1.74 hereabouts, within the spread
            let kpa = 9.624 * tundish::methods::math::pow(flow_l_h / 300.0, 1.74);
            json!({"flow_l_h": flow_l_h, "pressure_difference_kpa": kpa, "temperature_c": 20})
        };
        let points: Vec<Value> = flows_l_h.iter().map(point).collect();
        job["pipework"]["runs"]["hidden"]["readings"] =
            json!({"points": points, "flow_spread": 0.03, "pressure_spread": 0.03});
        let answer = shared_service().answer("/v1/pipework", &job).await;
        let hidden = &answer["pipework"]["hidden_tubes"][0];
        assert_eq!(hidden["detail"].as_str().unwrap().contains("at one flow alone"), is_one, "{hidden}");
        let flow_m3_s = number(&answer["pipework"]["sections"][0]["flow_l_h"]) / 3.6e6;
        for pair in hidden["pairs"].as_array().unwrap() {
            let bore_m = number(&pair["bore_mm"]) / 1000.0;
            close(&pair["velocity_m_s"], flow_m3_s / (PI / 4.0 * bore_m * bore_m), 1e-5);
        }
    }
}

/// A need is told where the job can mend it: what lacks the plant, or the pipework, is the job itself. A stage is complete where nothing
/// is unmet in it, whoever found that. Twenty-four rooms of 1.4 kW are more than any heat source of the book gives.
#[tokio::test]
async fn needs_of_parts_that_the_job_leaves_out_are_told_of_the_job() {
    let service = shared_service();
    let mut job = fans(24);
    job.as_object_mut().unwrap().remove("pipework");
    for (stage, code) in [("pipework", "no_second_pump"), ("plant", "no_heat_source")] {
        let part = service.answer(&format!("/v1/{stage}"), &job).await[stage].clone();
        assert_eq!(
            (&row(&part["unmet"], "code", code)["pointer"], &part["complete"]),
            (&json!(""), &json!(false)),
            "{part}"
        );
    }
    // tubes that cannot do are found before pumps are looked at
    let mut job = fans(2);
    job["pipework"]["primary"] = json!({"length_m": 4, "existing_tube": "cu_10"});
    let pipework = service.answer("/v1/pipework", &job).await["pipework"].clone();
    assert_eq!(
        (&pipework["unmet"][0]["code"], &pipework["complete"]),
        (&json!("existing_tube_refused"), &json!(false))
    );
}

/// Common practice: strainer and valves of a plant room are as wide as the flow asks for, 4 m³/h at least and four times the flow:
/// Δp = 1e5·(q/Kv)² Pa for water of 1000 kg/m³, so 6.25 kPa at any flow above 1 m³/h; a Kv that is given stays what it is.
#[tokio::test]
async fn a_plant_room_is_as_wide_as_its_flow_asks_for() {
    for loss_w in [3000.0, 9000.0, 16_000.0] {
        let rooms: Vec<(f64, f64, Value)> =
            (0..10).map(|_| (loss_w / 10.0, 20.0, json!({"rad": {"kind": "radiator"}}))).collect();
        let mut job = rooms_of(&rooms);
        job["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": 50});
        let answer = shared_service().answer("/v1/pipework", &job).await["pipework"].clone();
        // the own pump moves what its own side takes
        let flow_m3_h = number(&answer["arrangement"]["unit_flow_l_h"]) / 1000.0;
        let density = 0.989;
        let kv = (4.0 * flow_m3_h).max(4.0);
        let expected_pa = 1e5 * (flow_m3_h / kv) * (flow_m3_h / kv) * density;
        close(&answer["plant_pressure_drop_pa"], expected_pa, 0.003);
        job["pipework"]["plant_kv_m3_h"] = json!(4);
        let given = shared_service().answer("/v1/pipework", &job).await["pipework"].clone();
        let flow_m3_h = number(&given["arrangement"]["unit_flow_l_h"]) / 1000.0;
        close(&given["plant_pressure_drop_pa"], 1e5 * (flow_m3_h / 4.0) * (flow_m3_h / 4.0) * density, 0.003);
    }
}
