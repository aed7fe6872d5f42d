//! The heat that a hidden tube lets through, over HTTP, against flows and outputs worked apart from this program.

use std::f64::consts::PI;

use serde_json::{Value, json};
use tundish::methods::math::{ln, log10, pow};

use super::figures::number;
use super::helpers::{close, rooms_of, row, shared_service, warned};

/// Water of 47.5 °C, of any table: kg/m³, Pa s, J/(kgK).
const WATER: (f64, f64, f64) = (989.15, 0.5703e-3, 4180.0);

/// A room of 900 W at 21 °C behind a hidden tube of 8.8 mm, both legs so long (m), read with water of 20 °C: by Colebrook-White,
/// exactly solved, 120 m take 114.019 kPa at 150 l/h and 171.519 kPa at 190 l/h. Its radiator stays: 2,055 W at 75/65/20 °C, n 1.3, so
/// that 50 °C and a drop of 5 K are just enough.
fn narrow(length_m: f64, spread: f64) -> Value {
    let stays = json!({"kind": "rated", "output_w": 2055, "exponent": 1.3, "water_l": 5, "keep": "always"});
    let mut job = rooms_of(&[(900.0, 14.0, json!({"rad": {"kind": "radiator", "existing": stays}}))]);
    job["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": 50});
    let reading = |flow: f64, kpa: f64| json!({"flow_l_h": flow, "pressure_difference_kpa": kpa * length_m / 120.0, "temperature_c": 20});
    job["pipework"]["runs"] = json!({"hidden": {"from": "plant", "length_m": 0.5 * length_m,
        "serves": [{"room": "r0", "emitter": "rad"}], "readings": {
            "points": [reading(150.0, 114.019), reading(190.0, 171.519)],
            "flow_spread": spread, "pressure_spread": spread}}});
    job
}

/// Pressure of so many metres of 8.8 mm copper at a flow (l/h, Pa): Darcy-Weisbach with Colebrook-White, by iteration.
fn tube_pa(flow_l_h: f64, length_m: f64) -> f64 {
    let (bore_m, (density, viscosity, _)) = (0.0088, WATER);
    let velocity = flow_l_h / 3.6e6 / (PI / 4.0 * bore_m * bore_m);
    let reynolds = density * velocity * bore_m / viscosity;
    assert!(reynolds > 4000.0);
    let mut root = 7.0;
    for _ in 0..60 {
        root = -2.0 * log10(1.5e-6 / bore_m / 3.7 + 2.51 * root / reynolds);
    }
    length_m / bore_m / (root * root) * density / 2.0 * velocity * velocity
}

/// Where a falling function of the flow passes through nothing (l/h), by halving.
fn flow_where(over: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (70.0, 400.0);
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if over(middle) > 0.0 { low = middle } else { high = middle }
    }
    low
}

/// Output of the radiator at a flow (l/h, W): EN 442 by the logarithmic excess, and what the water loses, by halving of the return.
fn radiator_w(flow_l_h: f64) -> f64 {
    let carries = flow_l_h / 3.6e6 * WATER.0 * WATER.2;
    let (mut low, mut high) = (21.000_001_f64, 49.999_999_f64);
    for _ in 0..100 {
        let back = 0.5 * (low + high);
        let excess = (50.0 - back) / ln(29.0 / (back - 21.0));
        if 2055.0 * pow(excess / 49.833, 1.3) > carries * (50.0 - back) { high = back } else { low = back }
    }
    carries * (50.0 - low)
}

fn codes(answer: &Value) -> Vec<&str> {
    answer["pipework"]["unmet"].as_array().unwrap().iter().map(|unmet| unmet["code"].as_str().unwrap()).collect()
}

/// The valve of the radiator with its lockshield open, by what it takes at the quoted flow (Pa).
fn valve_pa(answer: &Value, flow_l_h: f64) -> f64 {
    let quoted_l_h = number(&answer["pipework"]["sections"][0]["flow_l_h"]);
    let share = flow_l_h / quoted_l_h;
    number(&answer["pipework"]["circuits"][0]["end_pressure_drop_pa"]) * share * share
}

/// Sources: the equations of the helpers above. 120 m of 8.8 mm take some 105 kPa, and the strongest circulator gives 77: what it lets
/// through falls short and is told, beside the pump that is wanting. Nothing of it is told where 20 m lie there.
#[tokio::test]
async fn what_no_pump_carries_is_told_as_heat() {
    let service = shared_service();
    let answer = service.answer("/v1/pipework", &narrow(120.0, 0.01)).await;
    assert_eq!(codes(&answer), ["hidden_tube_too_narrow", "no_second_pump"], "{}", answer["pipework"]["unmet"]);
    let hidden = &answer["pipework"]["hidden_tubes"][0];
    close(&hidden["heat_wanted_w"], 900.0, 1e-3);
    // the curve of the shipped pump: 78 kPa at rest, 68.6 at 1,840 l/h
    let strongest_pa = |flow_l_h: f64| 1000.0 * (78.0 - 9.4 * flow_l_h / 1840.0);
    let through = flow_where(|flow| strongest_pa(flow) - tube_pa(flow, 120.0) - valve_pa(&answer, flow));
    let likely_w = radiator_w(through);
    assert!((860.0..890.0).contains(&likely_w), "{likely_w} W at {through} l/h");
    close(&hidden["heat_w"], likely_w, 1e-3);
    let strongest = row(&hidden["pumps"], "pump", "strongest");
    assert_eq!((&strongest["circulator"], &strongest["heat_w"]), (&json!("pump_8"), &hidden["heat_w"]));
    // as long as the readings allow: its greatest drop over its likely one
    let longer = number(&hidden["pressure_drop_greatest_pa"]) / number(&hidden["pressure_drop_pa"]);
    let least = flow_where(|flow| strongest_pa(flow) - longer * tube_pa(flow, 120.0) - valve_pa(&answer, flow));
    close(&hidden["heat_least_w"], radiator_w(least), 1e-3);
    let told = row(&answer["pipework"]["unmet"], "code", "hidden_tube_too_narrow");
    assert_eq!(told["values"]["pump"], "strongest");
    assert_eq!((&told["reached"], &told["pointer"]), (&hidden["heat_w"], &json!("/pipework/runs/hidden/readings")));
    assert!(told["detail"].as_str().unwrap().starts_with("with the strongest circulator of the price book"), "{told}");
    let enough = service.answer("/v1/pipework", &narrow(20.0, 0.01)).await;
    assert_eq!(codes(&enough), [""; 0]);
    for with in enough["pipework"]["hidden_tubes"][0]["pumps"].as_array().unwrap() {
        close(&with["heat_w"], 900.0, 1e-3);
        close(&with["heat_least_w"], 900.0, 1e-3);
    }
}

/// Sources: as above. A tube that the strongest pump carries as it likely lies, and not with the greatest drop of its readings, may lack:
/// that is told as a warning, with the least heat.
#[tokio::test]
async fn what_a_pump_may_not_carry_is_told_as_that() {
    let answer = shared_service().answer("/v1/pipework", &narrow(74.0, 0.05)).await;
    assert_eq!(codes(&answer), ["no_second_pump"], "{}", answer["pipework"]["unmet"]);
    let hidden = &answer["pipework"]["hidden_tubes"][0];
    close(&hidden["heat_w"], 900.0, 1e-3);
    let longer = number(&hidden["pressure_drop_greatest_pa"]) / number(&hidden["pressure_drop_pa"]);
    let least = flow_where(|flow| {
        1000.0 * (78.0 - 9.4 * flow / 1840.0) - longer * tube_pa(flow, 74.0) - valve_pa(&answer, flow)
    });
    assert!(radiator_w(least) < 899.0, "{} W at {least} l/h", radiator_w(least));
    close(&hidden["heat_least_w"], radiator_w(least), 1e-3);
    let told = warned(&answer, "hidden_tube_may_lack");
    assert_eq!((told.len(), &told[0]["values"]["pump"]), (1, &json!("strongest")));
    close(&told[0]["values"]["least_w"], radiator_w(least), 1e-3);
}

/// Sources: as above. The heat source's own pump gives less than the one that was chosen behind a separation: both are told, the own one
/// with plant room and system in one circuit.
#[tokio::test]
async fn the_own_pump_is_told_beside_the_second_one() {
    let mut job = narrow(60.0, 0.01);
    job["pipework"]["plant_kv_m3_h"] = json!(0.8);
    let point = |outside: f64, flow: f64| json!({"outside_c": outside, "flow_c": flow, "capacity_w": 4000, "cop": 2});
    job["plant"] = json!({"heat_source": {"kind": "given", "description": "unit", "water_l": 2, "defrost_included": true,
        "points": [point(-15.0, 35.0), point(-15.0, 55.0), point(7.0, 35.0), point(7.0, 55.0)],
        "pump": [{"flow_l_h": 100, "head_kpa": 38}, {"flow_l_h": 1000, "head_kpa": 20}]}});
    let answer = shared_service().answer("/v1/pipework", &job).await;
    assert_eq!((codes(&answer), &answer["pipework"]["arrangement"]["kind"]), (vec![], &json!("separated")));
    let hidden = &answer["pipework"]["hidden_tubes"][0];
    let [own, second] = ["own", "second"].map(|pump| row(&hidden["pumps"], "pump", pump));
    assert_eq!(second["circulator"], answer["pipework"]["arrangement"]["second_pump"]);
    assert_eq!(second["heat_w"], hidden["heat_w"]);
    close(&hidden["heat_w"], 900.0, 1e-3);
    let unit_l_h = number(&answer["pipework"]["arrangement"]["unit_flow_l_h"]);
    let plant_pa = number(&answer["pipework"]["plant_pressure_drop_pa"]) / (unit_l_h * unit_l_h);
    let own_pa = |flow: f64| 1000.0 * (38.0 - 18.0 * (flow - 100.0) / 900.0);
    let through =
        flow_where(|flow| own_pa(flow) - plant_pa * flow * flow - tube_pa(flow, 60.0) - valve_pa(&answer, flow));
    assert!((820.0..890.0).contains(&radiator_w(through)), "{} W at {through} l/h", radiator_w(through));
    close(&own["heat_w"], radiator_w(through), 1e-3);
    assert!(own.get("circulator").is_none() && warned(&answer, "hidden_tube_may_lack").is_empty());
}
