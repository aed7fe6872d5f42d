//! Emitters at a flow, and rooms whose emitters are not throttled, against equations solved outside of this program.

use crate::fixture::{assert_within, rows};
use serde::Deserialize;
use tundish::methods::en_442::Mean;
use tundish::methods::floor_circuit::{Circuit, Law, Rule};
use tundish::methods::friction::Bore;
use tundish::methods::math::exp;
use tundish::methods::radiator_flow::{Radiator, Water};
use tundish::methods::warmed_room::Losing;
use tundish::methods::{Off, water};

const SPECIFIC_HEAT: f64 = 4180.0;

fn water_of(flow_c: f64, flow_kg_h: f64) -> Water {
    Water { flow_c, specific_heat_j_kgk: SPECIFIC_HEAT, mass_flow_kg_s: flow_kg_h / 3600.0 }
}

#[derive(Deserialize)]
struct AtFlow {
    mean: String,
    rated_w: f64,
    exponent: f64,
    flow_c: f64,
    room_c: f64,
    flow_kg_h: f64,
    output_w: f64,
    return_c: f64,
}

/// Both were searched to some 1e-13.
#[test]
fn radiators_at_a_flow() {
    let table = rows::<AtFlow>("radiator_flow.csv");
    assert_eq!(table.len(), 16);
    for row in table {
        let mean = if row.mean == "arithmetic" { Mean::Arithmetic } else { Mean::Logarithmic };
        let radiator = Radiator { mean, installed_w: row.rated_w, exponent: row.exponent };
        let given = radiator.at_flow(water_of(row.flow_c, row.flow_kg_h), row.room_c, &mut Off).unwrap();
        assert_within("output", given.output_w, row.output_w, 1e-9 * row.output_w);
        assert_within("return", given.return_c, row.return_c, 1e-9);
        assert!(given.residual.abs() <= 1e-12, "{given:?}");
    }
}

#[derive(Deserialize)]
struct Warmed {
    rated_w: f64,
    exponent: f64,
    flow_c: f64,
    room_c: f64,
    outside_c: f64,
    flow_kg_h: f64,
    loss_w: f64,
    warm_c: f64,
}

#[test]
fn rooms_whose_radiators_are_not_throttled() {
    let table = rows::<Warmed>("warmed_room.csv");
    assert_eq!(table.len(), 5);
    for row in table {
        let radiator = Radiator { mean: Mean::Logarithmic, installed_w: row.rated_w, exponent: row.exponent };
        let room = Losing { room_c: row.room_c, outside_c: row.outside_c, loss_w: row.loss_w };
        let gives = |warm_c: f64| Ok(radiator.at_flow(water_of(row.flow_c, row.flow_kg_h), warm_c, &mut Off)?.output_w);
        assert_within("room", room.warmed(row.flow_c, gives, &mut Off).unwrap(), row.warm_c, 1e-8);
    }
}

/// A floor by a slope without heat downward is a heat exchanger against a room of one temperature: the excess of its water falls to
/// e^(-NTU), NTU = area x slope over what the flow carries by kelvin (any handbook of heat transfer).
#[test]
fn a_floor_at_a_flow_is_a_heat_exchanger_against_its_room() {
    let law = [Law::Slope { kh_w_m2k: 5.54, upward_m2k_w: 0.13, below: &[] }];
    let circuit = Circuit {
        flow_c: 35.0,
        room_c: 21.0,
        area_m2: 14.0,
        loops: 2.0,
        laws: &law,
        lines: &[],
        water: water::water(32.5).unwrap(),
        conductivity_w_mk: 0.62,
        bore: Bore { inside_diameter_mm: 12.0, roughness_mm: 0.007 },
        rule: Rule::Logarithm,
    };
    for flow_kg_h in [2.0, 15.0, 60.0, 200.0, 900.0] {
        let carries_w_k = circuit.water.specific_heat_j_kgk * flow_kg_h / 3600.0;
        let return_c = 21.0 + 14.0 * exp(-14.0 * 5.54 / carries_w_k);
        let found = circuit.at_flow((flow_kg_h / 3600.0, 0.0), &mut Off).unwrap();
        assert_within("return", found.return_c, return_c, 1e-8);
        assert_within("output", 14.0 * found.output_w_m2, carries_w_k * (35.0 - return_c), 1e-7);
    }
}
