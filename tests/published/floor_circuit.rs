//! The water of a heated floor: quoted flow temperatures, its balance and its properties.

use proptest::prelude::*;
use tundish::methods::floor_circuit::{Below, Circuit, Law, Line, Rule, State};
use tundish::methods::floor_conduction::{Pipe, Response, Section, solve};
use tundish::methods::friction::Bore;
use tundish::methods::water::{conductivity, water};
use tundish::methods::{Budget, MethodError, Off, root};

use super::fixture::assert_within;

const PIPE: Pipe = Pipe { outside_m: 0.016, wall_m: 0.002, conductivity_w_mk: 0.35, sheath: None };

fn response(spacing_m: f64, covering_m2k_w: f64) -> Response {
    let section = Section {
        spacing_m,
        pipe: PIPE,
        film_w_m2k: 700.0,
        under_m: 0.0,
        cover_m: 0.045,
        screed_w_mk: 1.2,
        covering_m2k_w,
        surface_w_m2k: 10.8,
        below_m2k_w: 1.25,
    };
    solve(&section, &Budget::unbounded()).unwrap().response
}

fn circuit<'a>(laws: &'a [Law<'a>], lines: &'a [Line], loops: f64) -> Circuit<'a> {
    Circuit {
        flow_c: 35.0,
        room_c: 21.0,
        area_m2: 14.0,
        loops,
        laws,
        lines,
        water: water(32.5).unwrap(),
        conductivity_w_mk: conductivity(32.5).unwrap(),
        bore: Bore { inside_diameter_mm: 12.0, roughness_mm: 0.007 },
        rule: Rule::Logarithm,
    }
}

/// The flow temperature at which a floor gives 45 W/m² with a drop of 5 K (°C).
fn flow_for_45(laws: &[Law<'_>], loops: f64) -> f64 {
    let short = |flow_c: f64| -> Result<f64, MethodError> {
        Ok(Circuit { flow_c, ..circuit(laws, &[], loops) }.capacity(5.0, &mut Off)?.output_w_m2 - 45.0)
    };
    root::between("flow", (27.0, 60.0), 1e-9, short).unwrap().at
}

/// Source: 45 W/m² at 21 °C on bare tile at 150 mm with a drop of 5 K needs 31.88 °C by EN 1264-2 and the logarithm. By
/// conduction, from the finite elements of d05 in `floor_conduction.csv` by hand: 1/5.036353 without a film and
/// 1/4.584960 behind one of 250 W/(m²K) lie on a straight line in the film's resistance, so behind a laminar one of
/// 48/11·0.619/0.012 = 225 W/(m²K) it is 4.540; 45/4.540 = 9.912 K, 21 + 5/(1 - exp(-5/9.912)) = 33.62 °C with what lies
/// below as warm as the room. With 10 °C below the room gives 0.2236 + 5.036·0.5478/(5.036 + 0.5478 + 225·π·0.012/0.15)
/// = 0.2680 W/(m²K) to it, (45 + 0.2680·11)/4.540 = 10.56 K, 34.26 °C. Loops are so short here that the water runs laminar.
#[test]
fn a_quoted_floor_needs_its_flow_temperature_through_its_own_film() {
    let by_conduction = response(0.15, 0.0);
    let laid = |below_c: f64| Law::Conduction { response: &by_conduction, pipe: PIPE, below_c };
    let below = [Below { share: 1.0, downward_m2k_w: 1.25, below_c: 10.0 }];
    let standard = Law::Slope { kh_w_m2k: 5.539_605, upward_m2k_w: 0.13, below: &below };
    assert_within("by the standard", flow_for_45(&[standard], 1.0), 31.88, 0.005);
    assert_within("by conduction", flow_for_45(&[laid(21.0)], 6.0), 33.62, 0.05);
    assert_within("10 °C below", flow_for_45(&[laid(10.0)], 6.0), 34.26, 0.05);
    // of both the one that needs more
    let both = flow_for_45(&[standard, laid(10.0)], 6.0);
    assert_within("the lower of both", both, flow_for_45(&[laid(10.0)], 6.0), 1e-9);
}

/// Water side against what goes up, down and into the rooms that lines pass, relative.
fn imbalance(circuit: &Circuit<'_>, state: &State) -> f64 {
    let water_w = circuit.water.specific_heat_j_kgk * state.mass_flow_kg_s * (circuit.flow_c - state.return_c);
    let floor_w = circuit.area_m2 * (state.output_w_m2 + state.downward_w_m2);
    (water_w - floor_w - state.lines_up_w - state.lines_down_w) / water_w
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_balance_closes_and_duty_and_capacity_agree(
        flow_c in 28.0..50.0, drop_k in 2.0..6.0, loops in 1u32..6, below_c in -5.0..20.0, part in 0.2..1.0,
        strip_m2 in 0.0..3.0, approximate: bool,
    ) {
        let by_conduction = response(0.15, 0.03);
        let below = [Below { share: 0.9, downward_m2k_w: 1.25, below_c }];
        let laws = [
            Law::Slope { kh_w_m2k: 4.5, upward_m2k_w: 0.16, below: &below },
            Law::Conduction { response: &by_conduction, pipe: PIPE, below_c },
        ];
        let lines = [Line::along(20.0, strip_m2, 5.0, 0.16, &below)];
        let rule = if approximate { Rule::Approximation } else { Rule::Logarithm };
        let circuit = Circuit { flow_c, rule, ..circuit(&laws, &lines, f64::from(loops)) };
        let capacity = circuit.capacity(drop_k, &mut Off).unwrap();
        prop_assume!(capacity.output_w_m2 > 0.0);
        prop_assert!((flow_c - capacity.return_c - drop_k).abs() < 1e-9);
        prop_assert!(imbalance(&circuit, &capacity).abs() < 1e-8, "{capacity:?}");
        let least = circuit.outputs(&capacity).fold(f64::INFINITY, f64::min);
        prop_assert!((least - capacity.output_w_m2).abs() < 1e-9);
        let duty = circuit.duty(part * capacity.output_w_m2, &mut Off).unwrap();
        prop_assert!(imbalance(&circuit, &duty).abs() < 1e-8, "{duty:?}");
        if !approximate {
            prop_assert!(duty.return_c <= capacity.return_c + 1e-6, "{duty:?} {capacity:?}");
            let full = circuit.duty(capacity.output_w_m2, &mut Off).unwrap();
            prop_assert!((full.mass_flow_kg_s / capacity.mass_flow_kg_s - 1.0).abs() < 1e-6, "{full:?} {capacity:?}");
        }
        let warmer = Circuit { flow_c: flow_c + 1.0, ..circuit }.capacity(drop_k, &mut Off).unwrap();
        prop_assert!(warmer.output_w_m2 > capacity.output_w_m2);
    }
}

#[test]
fn what_lies_below_may_give_enough_by_itself() {
    let by_conduction = response(0.15, 0.0);
    let laws = [Law::Conduction { response: &by_conduction, pipe: PIPE, below_c: 29.0 }];
    let circuit = circuit(&laws, &[], 1.0);
    let state = circuit.duty(1.5, &mut Off).unwrap();
    assert!((state.output_w_m2 - 1.5).abs() < 1e-12 && state.mass_flow_kg_s <= 0.0, "{state:?}");
    assert!(circuit.duty(12.0, &mut Off).unwrap().mass_flow_kg_s > 0.0);
}

#[test]
fn a_flow_too_cool_is_refused_and_no_output_is_at_rest() {
    let law = [Law::Slope { kh_w_m2k: 4.5, upward_m2k_w: 0.16, below: &[] }];
    let circuit = circuit(&law, &[], 1.0);
    assert!(circuit.duty(70.0, &mut Off).is_err());
    assert!(circuit.duty(0.0, &mut Off).unwrap().mass_flow_kg_s <= 0.0);
    // near the room the approximation knows no drop of 5 K, which the logarithm does
    let near = Circuit { flow_c: 26.2, rule: Rule::Approximation, ..circuit };
    assert!(near.capacity(5.0, &mut Off).unwrap().output_w_m2 <= 0.0);
    assert!(Circuit { rule: Rule::Logarithm, ..near }.capacity(5.0, &mut Off).unwrap().output_w_m2 > 5.0);
    let cold = Circuit { flow_c: 25.0, ..circuit };
    assert!(cold.capacity(5.0, &mut Off).unwrap().output_w_m2 <= 0.0);
}

/// A strip of 2 m² with pipes like those of a floor of 5 W/(m²K), 0.16 m²K/W over them, 0.8 under them, before 10 °C.
fn strip(room_c: f64) -> Line {
    Line::along(room_c, 2.0, 5.0, 0.16, &[Below { share: 1.0, downward_m2k_w: 0.8, below_c: 10.0 }])
}

/// Source: EN 1264-3, downward flux (Ro·q + θi − θu)/Ru, by hand: water of 35 °C in a strip of 2 m² of a room at 20 °C gives 5 · 15 =
/// 75 W/m² upward and (0.16 · 75 + 20 - 10)/0.8 = 27.5 W/m² downward. Half of it before 20 °C and 1.6 m²K/W instead loses there
/// 0.16 · 75/1.6 = 7.5 W/m², so 0.5 · 27.5 + 0.5 · 7.5 in all. A pipe as cool as its room gives nothing.
#[test]
fn a_passing_line_heats_its_room_and_what_lies_below() {
    let (up_w, down_w) = strip(20.0).gives(35.0, &mut Off);
    assert_within("up", up_w, 150.0, 1e-9);
    assert_within("down", down_w, 55.0, 1e-9);
    let two = [(0.8, 10.0), (1.6, 20.0)];
    let two = two.map(|(downward_m2k_w, below_c)| Below { share: 0.5, downward_m2k_w, below_c });
    assert_within("down, in halves", Line::along(20.0, 2.0, 5.0, 0.16, &two).gives(35.0, &mut Off).1, 35.0, 1e-9);
    assert_eq!(strip(20.0).gives(20.0, &mut Off), (0.0, 0.0));
}

/// Source: heat balance. What lines lose on the way is what the water loses there: one line there and back through a strip loses
/// 2 · (5 · (T - 20)) up and 2 · (0.16 · 5 · (T - 20) + 10)/0.8 down at T, 35 °C on the way in and that of the floor's end on the way
/// back; two such lines twice as much.
#[test]
fn lines_lose_upward_and_downward_on_both_ways() {
    let laws = [Law::Slope { kh_w_m2k: 4.5, upward_m2k_w: 0.16, below: &[] }];
    for lines in [vec![strip(20.0)], vec![strip(20.0), strip(20.0)]] {
        let state = circuit(&laws, &lines, 2.0).capacity(5.0, &mut Off).unwrap();
        #[expect(clippy::cast_precision_loss, reason = "one line or two")]
        let count = lines.len() as f64;
        let over_k = 35.0 - 20.0 + state.field_return_c - 20.0;
        assert_within("up", state.lines_up_w, count * 10.0 * over_k, 1e-6);
        assert_within("down", state.lines_down_w, count * (2.0 * over_k + 50.0), 1e-6);
    }
}
