//! Trees whose flows are found from valves as they are set and a pump: by hand where the flows have a closed form, and
//! against other programs where they have none.

use std::collections::BTreeMap;
use std::f64::consts::PI;

use crate::fixture::{assert_within, rows};
use serde::Deserialize;
use tundish::methods::friction::Bore;
use tundish::methods::math::pow;
use tundish::methods::network_flow::{Drive, End, Network, Part, Pump, Section, Solution, Tube};
use tundish::methods::water::Liquid;
use tundish::methods::{Budget, Off};

const DENSE: f64 = 1000.0;

fn valve(kv_m3_h: f64) -> Part {
    Part::Valve { kv_m3_h, density_kg_m3: DENSE }
}

fn section(from: Option<usize>, parts: &[Part]) -> Section {
    Section { from, parts: parts.to_vec() }
}

fn end(at: Option<usize>, parts: &[Part]) -> End {
    End { at, parts: parts.to_vec() }
}

fn solved(network: &Network, drive: Drive<'_>) -> Solution {
    let found = network.solve(&Pump { drive, density_kg_m3: DENSE }, &Budget::unbounded(), &mut Off).unwrap();
    println!("{} steps, residual {:.1e}", found.iterations, found.residual);
    assert!(found.residual < 1e-10, "{found:?}");
    found
}

/// Tolerance: rounding, where the flow has a closed form.
#[track_caller]
fn exactly(what: &str, figure: f64, by_hand: f64) {
    assert_within(what, figure, by_hand, 1e-10 * by_hand.abs());
}

/// Source: the definition of Kv. In series 1/Kv² add up, side by side Kv do; 1 m³/h of water of 1,000 kg/m³ at 1 bar.
#[test]
fn valves_in_series_and_side_by_side() {
    // 3 and 4 side by side are 7, behind 24 they are 6.72: 1/24² + 1/7² = (49 + 576)/168² = 25²/168²; and a bypass of 0.28
    let network = Network {
        sections: vec![section(None, &[valve(24.0)])],
        ends: vec![end(Some(0), &[valve(3.0)]), end(None, &[valve(0.28)]), end(Some(0), &[valve(4.0)])],
    };
    // at 25 kPa half of Kv flows: 7 makes 3,500 l/h
    let found = solved(&network, Drive::Constant { head_pa: 25_000.0 });
    exactly("pump", found.duty.flow_l_h, 3500.0);
    exactly("bypass", found.ends[1].flow_l_h, 140.0);
    exactly("section", found.sections[0].flow_l_h, 3360.0);
    exactly("3 of 7", found.ends[0].flow_l_h, 1440.0);
    exactly("4 of 7", found.ends[2].flow_l_h, 1920.0);
    // 3.36 m³/h through Kv 24: 0.14² bar
    exactly("behind the section", found.sections[0].head_pa, 25_000.0 - 1960.0);
    exactly("before an end", found.ends[2].head_pa, 25_000.0 - 1960.0);
    exactly("before the bypass", found.ends[1].head_pa, 25_000.0);
    exactly("mass", found.duty.mass_flow_kg_s, 3500.0 / 3600.0);
    // 3,500 l/h at 25 kPa
    exactly("power", found.duty.hydraulic_w, 25.0 * 3500.0 / 3600.0);
}

/// Source: as above; three joints deep, with valves in series in sections and ends. By hand: 3 and 4 in series are 2.4,
/// with 4.6 beside them 7; that behind 24 is 6.72, with 0.28 beside it 7; that behind 24 is 6.72 again.
#[test]
fn valves_three_joints_deep() {
    let network = Network {
        sections: vec![
            section(None, &[valve(40.0), valve(30.0)]), // in series 24
            section(Some(0), &[valve(24.0)]),
            section(Some(1), &[]),
        ],
        ends: vec![end(Some(2), &[valve(4.6)]), end(Some(0), &[valve(0.28)]), end(Some(2), &[valve(3.0), valve(4.0)])],
    };
    let found = solved(&network, Drive::Constant { head_pa: 100_000.0 });
    exactly("pump", found.duty.flow_l_h, 6720.0);
    // of 7 parts 0.28, and of what goes on 4.6 and 2.4 of 7
    exactly("first", found.ends[1].flow_l_h, 6720.0 * 0.04);
    exactly("second", found.ends[0].flow_l_h, 6720.0 * 0.96 * 4.6 / 7.0);
    exactly("third", found.ends[2].flow_l_h, 6720.0 * 0.96 * 2.4 / 7.0);
    exactly("section without parts", found.sections[2].flow_l_h, 6720.0 * 0.96);
    exactly("behind it nothing is lost", found.sections[2].head_pa, found.sections[1].head_pa);
}

/// Source: the definition of Kv with a density: the mass flow goes with its root, 1,000·Kv·√(density/1,000) kg/h at 1 bar.
#[test]
fn mass_is_what_divides_where_water_is_of_several_densities() {
    let light = Part::Valve { kv_m3_h: 4.0, density_kg_m3: 810.0 };
    let network = Network { sections: Vec::new(), ends: vec![end(None, &[light]), end(None, &[valve(2.0)])] };
    let found = solved(&network, Drive::Constant { head_pa: 100_000.0 });
    exactly("light", found.ends[0].mass_flow_kg_s, 3600.0 / 3600.0);
    exactly("light, by volume", found.ends[0].flow_l_h, 3600.0 / 0.81);
    exactly("dense", found.ends[1].mass_flow_kg_s, 2000.0 / 3600.0);
    exactly("pump", found.duty.flow_l_h, 5600.0);
}

/// Source: H = H0 − a·Q² meets Q²/Kv² at √(H0/(a + 1/Kv²)). With 60 kPa, 20 kPa less at 1 m³/h and Kv 1.5811 (40 kPa at
/// 1 m³/h) that is 1 m³/h at 40 kPa. The curve's points lie on it, one of them there.
#[test]
fn a_quadratic_pump_on_a_quadratic_system() {
    let curve = [0.0, 400.0, 1000.0, 1500.0].map(|flow_l_h: f64| (flow_l_h, 60.0 - 20e-6 * flow_l_h * flow_l_h));
    let network = Network { sections: Vec::new(), ends: vec![end(None, &[valve(2.5_f64.sqrt())])] };
    let found = solved(&network, Drive::Curve { points: &curve, speed: 1.0 });
    exactly("flow", found.duty.flow_l_h, 1000.0);
    exactly("head", found.duty.head_pa, 40_000.0);
}

/// Source: H = H0 − b·Q meets Q²/Kv² at half of Kv²·(√(b² + 4·H0/Kv²) − b). Kv 2, 60 kPa and 40 kPa less at 1 m³/h: 25·Q² =
/// 60 − 40·Q, Q = (√7600 − 40)/50.
#[test]
fn a_straight_pump_on_a_quadratic_system() {
    let network = Network { sections: Vec::new(), ends: vec![end(None, &[valve(2.0)])] };
    let found = solved(&network, Drive::Curve { points: &[(0.0, 60.0), (1500.0, 0.0)], speed: 1.0 });
    exactly("flow", found.duty.flow_l_h, 1000.0 * (7600.0_f64.sqrt() - 40.0) / 50.0);
}

/// Source: the laws of similarity on one system: at 65 % of the speed 65 % of the flow, 42.25 % of the head, 27 % of the power.
#[test]
fn a_pump_at_another_speed() {
    let points = [(0.0, 62.0), (500.0, 58.0), (1000.0, 48.0), (1500.0, 33.0), (2000.0, 12.0)];
    let network = Network {
        sections: vec![section(None, &[valve(3.0)])],
        ends: vec![end(Some(0), &[valve(1.0)]), end(Some(0), &[valve(0.7)]), end(None, &[valve(0.1)])],
    };
    let full = solved(&network, Drive::Curve { points: &points, speed: 1.0 });
    let slow = solved(&network, Drive::Curve { points: &points, speed: 0.65 });
    exactly("flow", slow.duty.flow_l_h, 0.65 * full.duty.flow_l_h);
    exactly("head", slow.duty.head_pa, 0.4225 * full.duty.head_pa);
    exactly("power", slow.duty.hydraulic_w, 0.274_625 * full.duty.hydraulic_w);
    for (slow, full) in slow.ends.iter().zip(&full.ends) {
        exactly("end", slow.flow_l_h, 0.65 * full.flow_l_h);
    }
}

/// Source: Hagen-Poiseuille, Δp = 128·μ·L·Q/(π·d⁴), in series by the sum and side by side by the sum of the inverse; an end
/// of them at 0.1 l/min. Everything laminar: Re 886 at most.
#[test]
fn laminar_tubes() {
    let liquid = Liquid { density_kg_m3: 990.0, specific_heat_j_kgk: 4180.0, dynamic_viscosity_pa_s: 6e-4 };
    let tube = |inside_diameter_mm, length_m| {
        let bore = Bore { inside_diameter_mm, roughness_mm: 0.007 };
        Part::Tube(Tube { bore, length_m, zeta: 0.0, liquid })
    };
    let resistance = |diameter_m: f64, length_m: f64| 128.0 * 6e-4 * length_m / (PI * pow(diameter_m, 4.0));
    let network = Network {
        sections: vec![section(None, &[tube(12.0, 10.0), tube(10.0, 4.0)])],
        ends: vec![end(Some(0), &[tube(8.0, 30.0)]), end(Some(0), &[tube(6.0, 18.0)])],
    };
    let trunk = resistance(0.012, 10.0) + resistance(0.010, 4.0);
    let ends = [resistance(0.008, 30.0), resistance(0.006, 18.0)];
    let together = 1.0 / (1.0 / ends[0] + 1.0 / ends[1]);
    // 0.1 l/min through the second end
    let behind_pa = ends[1] * 0.1 / 60_000.0;
    let head_pa = behind_pa * (1.0 + trunk / together);
    let found = solved(&network, Drive::Constant { head_pa });
    exactly("0.1 l/min", found.ends[1].flow_l_h, 6.0);
    exactly("first", found.ends[0].flow_l_h, 6.0 * ends[1] / ends[0]);
    exactly("section", found.sections[0].flow_l_h, 6.0 * (1.0 + ends[1] / ends[0]));
    exactly("behind it", found.sections[0].head_pa, behind_pa);
    assert!(4.0 * found.sections[0].mass_flow_kg_s / (PI * 0.010 * 6e-4) < 2000.0);
}

#[derive(Deserialize)]
struct PartRow {
    tree: String,
    way: String,
    bore_mm: Option<f64>,
    roughness_mm: Option<f64>,
    length_m: Option<f64>,
    zeta: Option<f64>,
    kv_m3_h: Option<f64>,
    density_kg_m3: f64,
    viscosity_pa_s: f64,
}

#[derive(Deserialize)]
struct WayRow {
    tree: String,
    kind: String,
    way: String,
    from: Option<String>,
    flow_kg_s: f64,
    head_pa: f64,
    general_kg_s: Option<f64>,
    general_pa: Option<f64>,
}

impl PartRow {
    fn part(&self) -> Part {
        let density_kg_m3 = self.density_kg_m3;
        match self.kv_m3_h {
            Some(kv_m3_h) => Part::Valve { kv_m3_h, density_kg_m3 },
            None => Part::Tube(Tube {
                bore: Bore { inside_diameter_mm: self.bore_mm.unwrap(), roughness_mm: self.roughness_mm.unwrap() },
                length_m: self.length_m.unwrap(),
                zeta: self.zeta.unwrap(),
                liquid: Liquid {
                    density_kg_m3,
                    specific_heat_j_kgk: 4180.0,
                    dynamic_viscosity_pa_s: self.viscosity_pa_s,
                },
            }),
        }
    }
}

fn tree_of(ways: &[&WayRow], parts: &[PartRow]) -> Network {
    let mut network = Network::default();
    let mut places = BTreeMap::new();
    for row in ways {
        let at = row.from.as_ref().map(|from| places[from]);
        let here = parts.iter().filter(|part| part.tree == row.tree && part.way == row.way);
        let parts: Vec<_> = here.map(PartRow::part).collect();
        if row.kind == "section" {
            places.insert(row.way.clone(), network.sections.len());
            network.sections.push(Section { from: at, parts });
        } else {
            network.ends.push(End { at, parts });
        }
    }
    network
}

/// Source and tolerance stand in the file.
#[test]
fn trees_of_other_programs() {
    let (rows, parts) = (rows::<WayRow>("network_flow.csv"), rows::<PartRow>("network_flow_parts.csv"));
    let points = [(0.0, 62.0), (500.0, 58.0), (1000.0, 48.0), (1500.0, 33.0), (2000.0, 12.0)];
    let house = Pump { drive: Drive::Curve { points: &points, speed: 0.8 }, density_kg_m3: 990.2 };
    let comb = Pump { drive: Drive::Constant { head_pa: 15_000.0 }, density_kg_m3: 990.2 };
    for (tree, pump) in [("house", house), ("comb", comb), ("comb_mixed", comb)] {
        let ways: Vec<_> = rows.iter().filter(|row| row.tree == tree).collect();
        let network = tree_of(&ways, &parts);
        assert_eq!(network.sections.len() + network.ends.len(), ways.len());
        let found = network.solve(&pump, &Budget::unbounded(), &mut Off).unwrap();
        println!("{tree}: {} steps, residual {:.1e}", found.iterations, found.residual);
        for (carried, row) in found.sections.iter().chain(&found.ends).zip(ways) {
            let WayRow { way, flow_kg_s, head_pa, .. } = row;
            assert_within(way, carried.mass_flow_kg_s, *flow_kg_s, 1e-9 * flow_kg_s);
            assert_within(way, carried.head_pa, *head_pa, 1e-9 * head_pa);
            if let Some((flow_kg_s, head_pa)) = row.general_kg_s.zip(row.general_pa) {
                assert_within(way, carried.mass_flow_kg_s, flow_kg_s, 5e-3 * flow_kg_s);
                assert_within(way, carried.head_pa, head_pa, 4e-3 * head_pa);
            }
        }
    }
}
