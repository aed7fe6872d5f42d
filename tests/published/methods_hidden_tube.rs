//! A hidden tube by its readings, where chance, errors and laws of friction have closed forms.

use std::f64::consts::PI;

use crate::fixture::assert_within;
use tundish::methods::friction::{Bore, in_tube};
use tundish::methods::hidden_tube::{Lengths, Pair, Reading, Spread, carry, pairs};
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

fn explained(readings: &[Reading], spread: Spread) -> Option<Pair> {
    let lengths = Lengths { min_m: 1.0, max_m: 1000.0 };
    pairs(readings, spread, &[TUBE], lengths, &Budget::unbounded()).unwrap().pop()
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
    let pair = |doubt| Pair { bore: 0, length_m: LENGTH_M, length_spread: 0.0, misfit: 0.0, doubt };
    let told = |reynolds, doubt| carry(pair(doubt), TUBE, flow_kg_s(reynolds), &liquid(), &mut Off).unwrap();
    let sure = (1.0, 1.0);
    for (reynolds, doubt, is_transition) in [
        (1000.0, sure, false),
        (3000.0, sure, true),
        (9000.0, sure, false),
        (9000.0, (0.9, 1.0), true),
        (9000.0, (1.0, 1.1), true),
    ] {
        assert_eq!(told(reynolds, doubt).is_transition, is_transition, "{reynolds} {doubt:?}");
    }
    let found = told(3000.0, sure);
    // f · l/d · ρ/2 · v²
    let velocity_m_s = 3000.0 * liquid().dynamic_viscosity_pa_s / liquid().density_kg_m3 / 0.02;
    let drop_pa = |factor: f64| factor * LENGTH_M / 0.02 * liquid().density_kg_m3 / 2.0 * velocity_m_s * velocity_m_s;
    assert_within("laminar", found.low_pa, drop_pa(64.0 / 3000.0), 1e-6 * found.low_pa);
    assert_within("turbulent", found.high_pa, drop_pa(0.078_673), 2e-5 * found.high_pa);
}
