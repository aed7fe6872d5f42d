//! What a product's own members must agree on.
//!
//! The schema bounds each number by itself; these are the rules between numbers of one product.

use super::error::Problem;
use super::product_points::fan_table;
use super::products::{BoardOutput, OperatingPoint, Product, PumpPoint, ValvePreset};
use crate::methods::friction::RELATIVE_ROUGHNESS;
use crate::methods::performance_map::{GridPoint, PerformanceMap};
use crate::money::Money;

/// How far a bore may be from what diameter and wall leave, mm: plastics are sold by nominal sizes.
const BORE_TOLERANCE_MM: f64 = 0.5;

impl Product {
    /// What does not agree within this product; pointers start at the product.
    #[must_use]
    pub fn problems(&self) -> Vec<Problem> {
        let mut found = match self {
            Self::FloorTube {
                outside_diameter_mm,
                wall_mm,
                sheath_outside_diameter_mm,
                sheath_conductivity_w_mk,
                roughness_mm,
                ..
            } => {
                let sheath = sheath_fits(*outside_diameter_mm, *sheath_outside_diameter_mm, *sheath_conductivity_w_mk);
                let bore_mm = outside_diameter_mm - 2.0 * wall_mm;
                let walls = wall_fits(*outside_diameter_mm, *wall_mm).into_iter().chain(sheath);
                walls.chain(roughness_fits(*roughness_mm, bore_mm)).collect()
            }
            Self::FanConvector { speeds, outputs, .. } => {
                let table = fan_table(speeds, outputs);
                table.err().map(|error| Problem::new("/outputs", error.to_string())).into_iter().collect()
            }
            Self::FloorBoard { outputs, .. } => outputs_fall(outputs).into_iter().collect(),
            Self::Tube { outside_diameter_mm, wall_mm, bore_mm, roughness_mm, .. } => {
                let bore = bore_fits(*outside_diameter_mm, *wall_mm, *bore_mm).into_iter();
                bore.chain(roughness_fits(*roughness_mm, *bore_mm)).collect()
            }
            Self::HeatSource { points, pump, minimum_flow_l_h, maximum_flow_l_h, .. } => {
                let least = least_flow(*minimum_flow_l_h, *maximum_flow_l_h, pump);
                grid(points).into_iter().chain(efficiency(points)).chain(curve(pump)).chain(least).collect()
            }
            Self::RadiatorValves { presets, .. } | Self::Manifold { presets, .. } => {
                presets_rise(presets).into_iter().chain(presets_alike(presets)).collect()
            }
            Self::Circulator { pump, .. } => curve(pump).into_iter().collect(),
            Self::Screed { least_charge, .. } => {
                let below = least_charge.is_some_and(Money::is_negative);
                below
                    .then(|| Problem::new("/least_charge", "a visit cannot cost less than nothing"))
                    .into_iter()
                    .collect()
            }
            Self::Radiator { .. }
            | Self::FusedSpur { .. }
            | Self::FlowLimiter { .. }
            | Self::ConductingPlate { .. }
            | Self::InsulationBoard { .. }
            | Self::SeparatingLayer { .. }
            | Self::EdgeStrip { .. }
            | Self::Cylinder { .. }
            | Self::ExpansionVessel { .. }
            | Self::PlantKit { .. }
            | Self::PipeInsulation { .. }
            | Self::BufferVessel { .. }
            | Self::BypassValve { .. }
            | Self::LoopActuator { .. }
            | Self::RoomThermostat { .. }
            | Self::FreezeValve { .. }
            | Self::FlexibleHose { .. }
            | Self::Antifreeze { .. }
            | Self::Inhibitor { .. } => Vec::new(),
        };
        if self.unit_cost().is_negative() {
            found.push(Problem::new("/unit_cost", "a product cannot cost less than nothing"));
        }
        found
    }
}

/// A tube must have room for water between its walls.
fn wall_fits(outside_diameter_mm: f64, wall_mm: f64) -> Vec<Problem> {
    if 2.0 * wall_mm < outside_diameter_mm {
        Vec::new()
    } else {
        vec![Problem::new("/wall_mm", format!("two walls of {wall_mm} mm leave no bore in {outside_diameter_mm} mm"))]
    }
}

/// A wall is no rougher than the equation of friction holds for.
fn roughness_fits(roughness_mm: f64, bore_mm: f64) -> Option<Problem> {
    let most = RELATIVE_ROUGHNESS.max;
    (bore_mm > 0.0 && roughness_mm > most * bore_mm).then(|| {
        let detail = format!(
            "a roughness of {roughness_mm} mm is more than {most} of a bore of {bore_mm} mm, where friction is known"
        );
        Problem::new("/roughness_mm", detail)
    })
}

/// A sheath lies round its tube, and is known by both its figures.
fn sheath_fits(outside_diameter_mm: f64, sheath_mm: Option<f64>, conductivity_w_mk: Option<f64>) -> Option<Problem> {
    match (sheath_mm, conductivity_w_mk) {
        (None, None) => None,
        (Some(sheath_mm), Some(_)) => (sheath_mm <= outside_diameter_mm).then(|| {
            let detail = format!("a sheath of {sheath_mm} mm does not go round a tube of {outside_diameter_mm} mm");
            Problem::new("/sheath_outside_diameter_mm", detail)
        }),
        (Some(_), None) | (None, Some(_)) => {
            Some(Problem::new("", "a sheath is known by its outside diameter and its conductivity together"))
        }
    }
}

/// The settings of a valve open it more and more.
fn presets_rise(presets: &[ValvePreset]) -> Option<Problem> {
    let rise = presets.windows(2).all(|pair| pair[0].kv_m3_h < pair[1].kv_m3_h);
    (!rise).then(|| Problem::new("/presets", "the settings must go by rising flow coefficient"))
}

/// A valve is set by positions or by turns, and its turns open it.
fn presets_alike(presets: &[ValvePreset]) -> Option<Problem> {
    let by_position = presets.iter().all(|preset| preset.position.is_some() && preset.turns.is_none());
    let by_turns = presets.iter().all(|preset| preset.position.is_none() && preset.turns.is_some());
    let opens = presets.windows(2).all(|pair| pair[0].turns < pair[1].turns);
    let detail = "every setting of a valve has a position, or every one has turns, and these rise";
    (!(by_position || by_turns && opens)).then(|| Problem::new("/presets", detail))
}

/// A board gives less the more lies on it.
fn outputs_fall(outputs: &[BoardOutput]) -> Option<Problem> {
    let falls = outputs
        .windows(2)
        .all(|pair| pair[0].covering_m2k_w < pair[1].covering_m2k_w && pair[0].output_w_m2k > pair[1].output_w_m2k);
    let detail = "the outputs must go by rising covering, and fall with it";
    (!falls || outputs.is_empty()).then(|| Problem::new("/outputs", detail))
}

/// Diameter, wall and bore of a tube must be those of one tube.
fn bore_fits(outside_diameter_mm: f64, wall_mm: f64, bore_mm: f64) -> Vec<Problem> {
    let left_mm = outside_diameter_mm - 2.0 * wall_mm;
    if (left_mm - bore_mm).abs() <= BORE_TOLERANCE_MM {
        Vec::new()
    } else {
        let detail = format!("{outside_diameter_mm} mm with two walls of {wall_mm} mm is not {bore_mm} mm inside");
        vec![Problem::new("/bore_mm", detail)]
    }
}

/// No unit can need more flow than its own pump gives with nothing before it, or than it bears.
fn least_flow(least: Option<f64>, most: Option<f64>, pump: &[PumpPoint]) -> Option<Problem> {
    let (least_l_h, last_l_h) = (least?, pump.last()?.flow_l_h);
    let most_l_h = most.unwrap_or(f64::INFINITY);
    let detail = if least_l_h > last_l_h {
        format!("a least flow of {least_l_h} l/h lies beyond the pump's curve, which ends at {last_l_h} l/h")
    } else {
        format!("it cannot run with {least_l_h} l/h at least and {most_l_h} l/h at most")
    };
    (least_l_h > last_l_h.min(most_l_h)).then(|| Problem::new("/minimum_flow_l_h", detail))
}

fn grid(points: &[OperatingPoint]) -> Option<Problem> {
    points_fault(points).map(|detail| Problem::new("/points", detail))
}

/// What is wrong with the points of a heat source, between which its output is read: one that stands twice, named, or too few of
/// them to read between.
pub(crate) fn points_fault(points: &[OperatingPoint]) -> Option<String> {
    let pair = |point: &OperatingPoint| (point.outside_c + 0.0, point.flow_c + 0.0);
    let is_twice =
        |(place, point): &(usize, &OperatingPoint)| points[..*place].iter().any(|one| pair(one) == pair(point));
    if let Some((_, twice)) = points.iter().enumerate().find(is_twice) {
        let (outside_c, flow_c) = pair(twice);
        return Some(format!("the point of {outside_c} °C outside and {flow_c} °C of flow stands twice"));
    }
    PerformanceMap::new(points.iter().map(GridPoint::from).collect()).err().map(|error| error.to_string())
}

/// No heat source does better than Carnot's between flow and outside air.
fn efficiency(points: &[OperatingPoint]) -> Vec<Problem> {
    let beyond = points.iter().enumerate().filter(|(_, point)| {
        let lift_k = point.flow_c - point.outside_c;
        lift_k > 0.0 && point.cop * lift_k > point.flow_c + 273.15
    });
    let detail = |point: &OperatingPoint| {
        format!(
            "no heat pump reaches {} from {} to {} C: beyond Carnot's limit",
            point.cop, point.outside_c, point.flow_c
        )
    };
    beyond.map(|(at, point)| Problem::new(format!("/points/{at}/cop"), detail(point))).collect()
}

/// A pump's curve goes by rising flow and never up.
fn curve(pump: &[PumpPoint]) -> Option<Problem> {
    let falls = pump.iter().zip(pump.iter().skip(1)).all(|(a, b)| a.flow_l_h < b.flow_l_h && a.head_kpa >= b.head_kpa);
    let powers = pump.iter().filter(|point| point.power_w.is_some()).count();
    if powers > 0 && powers < pump.len() {
        return Some(Problem::new("/pump", "a power stands at every point of the curve or at none"));
    }
    (!falls).then(|| Problem::new("/pump", "the points must go by rising flow, and the head must not rise with it"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn pointers(product: serde_json::Value) -> Vec<String> {
        let product: Product = serde_json::from_value(product).unwrap();
        product.problems().into_iter().map(|problem| problem.pointer).collect()
    }

    fn heat_source(points: &[(f64, f64, f64)], pump: &[(f64, f64)]) -> serde_json::Value {
        let point = |(outside_c, flow_c, cop): &(f64, f64, f64)| json!({"outside_c": outside_c, "flow_c": flow_c, "capacity_w": 5000, "cop": cop});
        let points: Vec<_> = points.iter().map(point).collect();
        let pump: Vec<_> = pump.iter().map(|(flow, head)| json!({"flow_l_h": flow, "head_kpa": head})).collect();
        json!({"kind": "heat_source", "description": "x", "water_l": 2, "defrost_included": true, "points": points,
            "pump": pump, "unit": "each", "unit_cost": 1})
    }

    #[test]
    fn a_whole_grid_and_a_falling_curve_pass() {
        let points = [(-7.0, 35.0, 2.8), (-7.0, 55.0, 1.8), (7.0, 35.0, 4.5), (7.0, 55.0, 2.9)];
        assert!(pointers(heat_source(&points, &[(0.0, 70.0), (1000.0, 40.0)])).is_empty());
    }

    #[test]
    fn a_map_with_a_double_or_on_a_line_is_refused() {
        let pump = [(0.0, 70.0), (1000.0, 40.0)];
        let ragged = [(-7.0, 35.0, 2.8), (-7.0, 55.0, 1.8), (7.0, 35.0, 4.5)];
        assert!(pointers(heat_source(&ragged, &pump)).is_empty());
        let double = [(-7.0, 35.0, 2.8), (-7.0, 35.0, 2.9)];
        assert_eq!(pointers(heat_source(&double, &pump)), ["/points"]);
        // nothing can be read between points that have one flow temperature
        let line = [(-7.0, 35.0, 2.8), (7.0, 35.0, 4.5)];
        assert_eq!(pointers(heat_source(&line, &pump)), ["/points"]);
    }

    #[test]
    fn more_than_carnot_and_a_rising_curve_are_refused() {
        // 328.15 K over a lift of 48 K: 6.84.
        let grid = |cop| [(7.0, 55.0, cop), (7.0, 35.0, 4.5), (-7.0, 35.0, 2.8), (-7.0, 55.0, 1.8)];
        let product = heat_source(&grid(6.9), &[(0.0, 40.0), (1000.0, 70.0)]);
        assert_eq!(pointers(product), ["/points/0/cop", "/pump"]);
        assert!(pointers(heat_source(&grid(6.8), &[(0.0, 40.0), (1.0, 40.0)])).is_empty());
    }

    #[test]
    fn a_tube_must_be_one_tube() {
        let tube = |bore_mm: f64| {
            json!({"kind": "tube", "description": "x", "outside_diameter_mm": 15, "wall_mm": 0.7, "bore_mm": bore_mm,
                "roughness_mm": 0.0015, "pack_m": 3, "unit": "length", "unit_cost": -0.01})
        };
        assert_eq!(pointers(tube(13.6)), ["/unit_cost"]);
        assert_eq!(pointers(tube(15.0)), ["/bore_mm", "/unit_cost"]);
    }

    #[test]
    fn a_sheath_goes_round_its_tube_and_is_wholly_known() {
        assert!(sheath_fits(16.0, None, None).is_none() && sheath_fits(16.0, Some(20.0), Some(0.2)).is_none());
        assert!(sheath_fits(16.0, Some(16.0), Some(0.2)).is_some());
        assert!(sheath_fits(16.0, Some(20.0), None).is_some() && sheath_fits(16.0, None, Some(0.2)).is_some());
    }

    #[test]
    fn a_fan_convector_has_a_whole_table() {
        let unit = |outputs: &[(f64, u32, f64)]| {
            let output = |&(difference_k, speed, output_w)| json!({"difference_k": difference_k, "speed": speed, "output_w": output_w});
            let outputs: Vec<_> = outputs.iter().map(output).collect();
            let speed = json!({"fan_w": 10, "air_m3_h": 100, "sound_db": 30});
            json!({"kind": "fan_convector", "description": "x", "height_mm": 600, "length_mm": 700, "depth_mm": 130,
                "water_l": 1, "speeds": [speed, speed], "outputs": outputs, "unit": "each", "unit_cost": 1})
        };
        let whole = [(30.0, 2, 970.0), (20.0, 1, 300.0), (20.0, 2, 440.0), (30.0, 1, 700.0)];
        assert!(pointers(unit(&whole)).is_empty());
        assert_eq!(pointers(unit(&whole[1..])), ["/outputs"]);
        assert_eq!(pointers(unit(&[whole.as_slice(), &whole[..1]].concat())), ["/outputs"]);
        assert_eq!(pointers(unit(&[whole[1], whole[2], (30.0, 1, 700.0), (30.0, 2, 430.0)])), ["/outputs"]);
    }

    #[test]
    fn a_board_gives_less_under_more() {
        let row = |covering_m2k_w, output_w_m2k| BoardOutput { covering_m2k_w, output_w_m2k, limit_w_m2: 90.0 };
        assert!(outputs_fall(&[row(0.0, 4.0), row(0.1, 3.0)]).is_none());
        assert!(outputs_fall(&[row(0.0, 4.0), row(0.1, 4.1)]).is_some());
        assert!(outputs_fall(&[row(0.1, 3.0), row(0.0, 4.0)]).is_some());
        assert!(outputs_fall(&[]).is_some());
    }

    #[test]
    fn a_tube_must_have_a_bore() {
        assert_eq!(wall_fits(16.0, 8.0).len(), 1);
        assert!(wall_fits(16.0, 2.0).is_empty());
    }
}
