//! A hidden tube by its readings, where chance, errors and laws of friction have closed forms.

use std::f64::consts::PI;

use crate::fixture::assert_within;
use tundish::methods::friction::{Bore, in_tube};
use tundish::methods::hidden_tube::{Carried, Lengths, Pair, Reading, Spread, Tried, carry, pairs};
use tundish::methods::math::exp;
use tundish::methods::water::{Liquid, water};
use tundish::methods::{Budget, Off};

/// As rough as charts go, so that fast water has a factor of friction that no longer falls.
const TUBE: Bore = Bore { inside_diameter_mm: 20.0, roughness_mm: 1.0 };
const LENGTH_M: f64 = 24.0;

fn liquid() -> Liquid {
    water(40.0).unwrap()
}

/// The flow at a Reynolds number: Re = 4·m/(π·d·η).
fn flow_kg_s(reynolds: f64) -> f64 {
    reynolds * PI * 0.02 * liquid().dynamic_viscosity_pa_s / 4.0
}

/// What is read on the tube at a Reynolds number, `off` in the logarithm of its pressure.
fn reading(reynolds: f64, off: f64) -> Reading {
    let flow_kg_s = flow_kg_s(reynolds);
    let gradient_pa_m = in_tube(TUBE, &liquid(), flow_kg_s, &mut Off).unwrap().gradient_pa_m;
    Reading { flow_kg_s, drop_pa: LENGTH_M * gradient_pa_m * exp(off), liquid: liquid() }
}

const ANY: Lengths = Lengths { min_m: 1.0, max_m: 1000.0, spread: 0.05 };

fn with_bends(readings: &[Reading], spread: Spread, zeta: f64, lengths: Lengths) -> Option<Pair> {
    pairs(readings, spread, &[Tried { bore: TUBE, zeta }], lengths, &Budget::unbounded()).unwrap().pop()
}

fn explained(readings: &[Reading], spread: Spread) -> Option<Pair> {
    with_bends(readings, spread, 0.0, ANY)
}

fn carried(pair: Pair, reynolds: f64) -> Carried {
    carry(pair, TUBE, flow_kg_s(reynolds), &liquid(), &mut Off).unwrap()
}

/// Pressure of the tube at a Reynolds number by a factor of friction, with bends: (f · l/d + ζ) · ρ/2 · v².
fn pressure_pa(reynolds: f64, factor: f64, zeta: f64) -> f64 {
    let velocity_m_s = reynolds * liquid().dynamic_viscosity_pa_s / liquid().density_kg_m3 / 0.02;
    (factor * LENGTH_M / 0.02 + zeta) * liquid().density_kg_m3 / 2.0 * velocity_m_s * velocity_m_s
}

/// Source: χ² exceeded once in a thousand times, of any table: 10.828, 16.266 and 20.515 for 1, 3 and 5 readings to spare. Half of
/// the readings high by x and half low have a misfit of n·x²/s²; 3 % below the table they are explained, 5 % above refused.
#[test]
fn a_tube_is_refused_where_chance_gives_such_readings_once_in_a_thousand_times() {
    let spread = Spread { flow: 0.0, drop: 0.02 };
    for (readings, table) in [(2_u32, 10.828_f64), (4, 16.266), (6, 20.515)] {
        let told = |misfit: f64| {
            let off = 0.02 * (misfit / f64::from(readings)).sqrt();
            let read: Vec<_> =
                (0..readings).map(|index| reading(1000.0, if index % 2 == 0 { off } else { -off })).collect();
            explained(&read, spread)
        };
        let found = told(0.97 * table).unwrap_or_else(|| panic!("{readings} readings are explained"));
        assert_within("misfit", found.misfit, 0.97 * table, 1e-6);
        assert_within("length", found.length_m, LENGTH_M, 1e-6);
        assert!(told(1.05 * table).is_none(), "{readings}");
    }
}

/// Source: laws of friction. The pressure goes with the flow where it is laminar (64/Re) and with its square where the tube is
/// wholly rough: 3 % of pressure and 4 % of flow are √(0.03² + 0.04²) = 0.05 and √(0.03² + 0.08²) = 0.085440. Of two readings the
/// length is the mean weighed by 1/s², its spread √(1/Σ1/s²), and the misfit x²/(s1² + s2²) for logarithms that are x apart.
#[test]
fn each_reading_counts_by_how_sure_it_is() {
    let spread = Spread { flow: 0.04, drop: 0.03 };
    let (slow, fast) = (reading(1000.0, 0.06), reading(1e6, -0.04));
    let alone = |reading: Reading| explained(&[reading], spread).unwrap().length_spread;
    assert_within("laminar", alone(slow), 0.05, 1e-5);
    // normal deviation exceeded once in twenty-five times: 1.7507, times 0.05
    let Pair { length_m, least_m, most_m, .. } = explained(&[slow], spread).unwrap();
    assert_within("shorter", least_m, length_m * exp(-0.087_534), 1e-4);
    assert_within("longer", most_m, length_m * exp(0.087_534), 1e-4);
    assert_within("rough", alone(fast), 0.085_440, 5e-5);
    let found = explained(&[slow, fast], spread).unwrap();
    // 1/0.0025 = 400 and 1/0.0073 = 136.986: 0.06 · 400 - 0.04 · 136.986 = 18.5206, by 536.986 is 0.034490
    assert_within("length", found.length_m, LENGTH_M * exp(0.034_490), 1e-3);
    assert_within("spread", found.length_spread, 0.043_154, 2e-5);
    // 0.1²/(0.0025 + 0.0073)
    assert_within("misfit", found.misfit, 1.020_408, 1e-3);
}

/// Source: definition of the transition, Re 2000 to 4000. It is told of the flow that is asked for and of the readings, either
/// way; at Re 3000 the drop lies between those of 64/Re and of Colebrook-White, by hand at k/d 0.05: from 1/√f = 3.49
/// -2·log10(0.05/3.7 + 2.51 · 3.49/3000) = 3.5685, again 3.5651, 3.5652: f 0.078673.
#[test]
fn the_transition_is_told_of_the_flow_and_of_the_readings() {
    let pair = |is_transition| Pair {
        bore: 0,
        zeta: 0.0,
        length_m: LENGTH_M,
        length_spread: 0.0,
        least_m: LENGTH_M,
        most_m: LENGTH_M,
        misfit: 0.0,
        is_transition,
    };
    for (reynolds, of_reading, is_transition) in
        [(1000.0, false, false), (3000.0, false, true), (9000.0, false, false), (9000.0, true, true)]
    {
        assert_eq!(carried(pair(of_reading), reynolds).is_transition, is_transition, "{reynolds} {of_reading}");
    }
    let found = carried(pair(false), 3000.0);
    assert_within("laminar", found.low_pa, pressure_pa(3000.0, 64.0 / 3000.0, 0.0), 1e-6 * found.low_pa);
    assert_within("turbulent", found.high_pa, pressure_pa(3000.0, 0.078_673, 0.0), 2e-5 * found.high_pa);
}

/// Source: 64/Re and Δp = ζ · ρ/2 · v². At Re 1000 a length of 1,200 bores has f · l/d = 76.8 and bends of 25.6 a quarter of the pressure:
/// 2 % of that are 2 %/0.75 of the length. Taken for length, the bends would be carried to Re 1800 in proportion to the flow.
#[test]
fn bends_that_are_known_are_no_length() {
    let (zeta, spread) = (25.6, Spread { flow: 0.0, drop: 0.02 });
    let read = Reading { flow_kg_s: flow_kg_s(1000.0), drop_pa: pressure_pa(1000.0, 0.064, zeta), liquid: liquid() };
    let found = with_bends(&[read], spread, zeta, ANY).unwrap();
    assert_within("length", found.length_m, LENGTH_M, 1e-8);
    assert_within("spread", found.length_spread, 0.02 / 0.75, 1e-8);
    let truth_pa = pressure_pa(1800.0, 64.0 / 1800.0, zeta);
    assert_within("carried", carried(found, 1800.0).drop_pa, truth_pa, 1e-9 * truth_pa);
    let as_length = carried(explained(&[read], spread).unwrap(), 1800.0);
    // 1.8 · 102.4 = 184.32 for 1.8² · (42.667 + 25.6) = 221.18
    assert_within("as length", as_length.drop_pa / truth_pa, 184.32 / 221.184, 1e-6);
    assert!(as_length.high_pa < truth_pa);
    // bends that take more than is read leave no length
    assert!(with_bends(&[read], spread, 200.0, ANY).is_none());
}

/// Source: of two deviations that are shared so that their squares are least, x²/s² + (D - x)²/t², the sum is D²/(s² + t²). Readings sure
/// to 3 % and limits sure to 4 % go together up to 3.0902 · 5 % = 15.45 %, which chance gives once in a thousand times.
#[test]
fn limits_of_length_are_as_soft_as_readings_and_route_are_unsure() {
    let (read, spread) = ([reading(1000.0, 0.0)], Spread { flow: 0.0, drop: 0.03 });
    for (beyond, is_found) in [(-0.1, true), (0.0, true), (0.15, true), (0.16, false)] {
        let too_short = Lengths { min_m: LENGTH_M * exp(beyond), max_m: 1000.0, spread: 0.04 };
        let too_long = Lengths { min_m: 1.0, max_m: LENGTH_M * exp(-beyond), spread: 0.04 };
        for lengths in [too_short, too_long] {
            assert_eq!(with_bends(&read, spread, 0.0, lengths).is_some(), is_found, "{beyond} {lengths:?}");
        }
    }
}

/// Source: laws of friction. A reading at Re 3000 that went by 64/Re, or by Colebrook-White (f 0.078673), and one that is surely turbulent
/// are of one tube: no misfit, and the sure one tells the length. What lies beyond both laws does not go with it.
#[test]
fn either_law_is_no_misfit() {
    let spread = Spread { flow: 0.0, drop: 0.01 };
    let at = |factor: f64| Reading {
        flow_kg_s: flow_kg_s(3000.0),
        drop_pa: pressure_pa(3000.0, factor, 0.0),
        liquid: liquid(),
    };
    let sure = reading(9000.0, 0.0);
    for factor in [64.0 / 3000.0, 0.05, 0.078_673] {
        let found = explained(&[at(factor), sure], spread).unwrap();
        assert_within("misfit", found.misfit, 0.0, 1e-4);
        assert_within("length", found.length_m, LENGTH_M, 1e-3 * LENGTH_M);
    }
    // between the laws the sure reading alone tells: 1 %, 1.7507 times either way
    let between = explained(&[at(0.05), sure], spread).unwrap();
    assert_within("interval", between.most_m / between.least_m, exp(0.035_014), 1e-4);
    for factor in [0.9 * 64.0 / 3000.0, 1.1 * 0.078_673] {
        assert!(explained(&[at(factor), sure], spread).is_none(), "{factor}");
    }
    // alone it leaves every length from the one law to the other: their ratio, and 1.7507 % either way
    let alone = explained(&[at(0.05)], spread).unwrap();
    assert_within("alone", alone.most_m / alone.least_m, 0.078_673 * 3000.0 / 64.0 * exp(0.035_014), 1e-3);
}

/// Source: definition of the transition. A flow that is read 3.8 % above Re 3950 lies at Re 4100; water that still went by 64/Re there is
/// no misfit where flows are sure to 5 %, and one where they are sure to 0.5 %.
#[test]
fn the_transition_is_as_wide_as_flows_are_unsure() {
    let drop_pa = pressure_pa(3950.0, 64.0 / 3950.0, 0.0);
    let near = Reading { flow_kg_s: flow_kg_s(4100.0), drop_pa, liquid: liquid() };
    let told = |flow: f64| explained(&[reading(1000.0, 0.0), near], Spread { flow, drop: 0.005 });
    assert!(told(0.05).is_some_and(|found| found.is_transition) && told(0.005).is_none());
}
