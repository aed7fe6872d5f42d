//! Mixtures of water and glycol against a library's tables and other published fits.

use crate::fixture::{assert_within, rows};
use serde::Deserialize;
use tundish::methods::fluid::Fluid;
use tundish::methods::glycol::{Substance, conductivity, freezing_point, glycol};
use tundish::methods::{Off, en_12828};

#[derive(Deserialize)]
struct Row {
    #[serde(rename = "glycol_mass_fraction")]
    fraction: f64,
    #[serde(rename = "temperature_C")]
    temperature_c: f64,
    #[serde(rename = "freezing_point_C")]
    freezing_c: f64,
    density_kg_m3: f64,
    #[serde(rename = "dyn_viscosity_Pa_s")]
    viscosity_pa_s: f64,
    #[serde(rename = "specific_heat_J_kgK")]
    specific_heat_j_kgk: f64,
    #[serde(rename = "conductivity_W_mK")]
    conductivity_w_mk: f64,
    mpg2_density_kg_m3: Option<f64>,
    #[serde(rename = "mpg2_dyn_viscosity_Pa_s")]
    mpg2_viscosity_pa_s: Option<f64>,
    #[serde(rename = "mpg2_specific_heat_J_kgK")]
    mpg2_specific_heat_j_kgk: Option<f64>,
    #[serde(rename = "apg_specific_heat_J_kgK")]
    apg_specific_heat_j_kgk: Option<f64>,
}

fn share(what: &str, figure: f64, published: f64, share: f64) {
    assert_within(what, figure, published, share * published.abs());
}

/// Source and tolerance stand in the files. The library carries the same polynomials: 1e-6 shows that they are whole.
#[test]
fn the_same_polynomials_in_a_library() {
    for (file, substance) in [("glycol.csv", Substance::Propylene), ("ethylene_glycol.csv", Substance::Ethylene)] {
        // below a tenth of glycol nothing is promised
        let known = rows::<Row>(file).into_iter().filter(|row| row.fraction >= 0.1);
        for Row {
            fraction,
            temperature_c,
            freezing_c,
            density_kg_m3,
            viscosity_pa_s,
            specific_heat_j_kgk,
            conductivity_w_mk,
            ..
        } in known
        {
            let found = glycol(substance, fraction, temperature_c).unwrap();
            share("density", found.density_kg_m3, density_kg_m3, 1e-6);
            share("viscosity", found.dynamic_viscosity_pa_s, viscosity_pa_s, 1e-6);
            share("specific heat", found.specific_heat_j_kgk, specific_heat_j_kgk, 1e-6);
            share("conductivity", conductivity(substance, fraction, temperature_c).unwrap(), conductivity_w_mk, 1e-6);
            assert_within("freezing", freezing_point(substance, fraction).unwrap(), freezing_c, 1e-3);
        }
    }
}

/// Source and tolerance stand in the file: the second fit of the same book and that of a handbook, which are others.
#[test]
fn other_published_fits_of_propylene_glycol() {
    let mut seen = 0;
    for row in rows::<Row>("glycol.csv").iter().filter(|row| row.fraction >= 0.1) {
        let found = glycol(Substance::Propylene, row.fraction, row.temperature_c).unwrap();
        let heat = if row.temperature_c >= 5.0 { 0.025 } else { 0.04 };
        if let (Some(density), Some(viscosity), Some(specific_heat)) =
            (row.mpg2_density_kg_m3, row.mpg2_viscosity_pa_s, row.mpg2_specific_heat_j_kgk)
        {
            share("density", found.density_kg_m3, density, 0.001);
            share("viscosity", found.dynamic_viscosity_pa_s, viscosity, 0.04);
            share("specific heat", found.specific_heat_j_kgk, specific_heat, heat);
            seen += 1;
        }
        if let Some(specific_heat) = row.apg_specific_heat_j_kgk {
            share("specific heat", found.specific_heat_j_kgk, specific_heat, heat);
            seen += 1;
        }
    }
    assert!(seen > 80, "{seen} comparisons");
}

#[derive(Deserialize)]
struct Point {
    #[serde(rename = "glycol_mass_fraction")]
    fraction: f64,
    #[serde(rename = "freezing_point_C")]
    freezing_c: f64,
    #[serde(rename = "mpg2_freezing_point_C")]
    mpg2_freezing_c: Option<f64>,
}

/// Source and tolerance stand in the file.
#[test]
fn freezing_points() {
    for row in rows::<Point>("glycol_freezing.csv").iter().filter(|row| row.fraction >= 0.1) {
        let found = freezing_point(Substance::Propylene, row.fraction).unwrap();
        assert_within("freezing", found, row.freezing_c, 1e-3);
        if let Some(other) = row.mpg2_freezing_c {
            assert_within("freezing, second fit", found, other, 0.4);
        }
    }
}

/// Source: hand checks of the trade. 25 % propylene glycol expands by 1.85 % from 10 to 50 °C, water by 1.18 %; 7 kW at
/// 5 K and 35 °C is 1,213 l/h of water and about 1,250 to 1,260 l/h of the mixture. Tolerance: half of the last digit;
/// 0.3 % on the water's flow.
#[test]
fn a_mixture_expands_more_and_carries_less() {
    let expansion = |fluid: Fluid| {
        let density = |c| fluid.at(c).unwrap().density_kg_m3;
        100.0 * en_12828::expansion(density(10.0), density(50.0), &mut Off).unwrap()
    };
    let mixture = Fluid::Glycol(Substance::Propylene, 0.25);
    assert_within("water", expansion(Fluid::Water), 1.18, 0.005);
    assert_within("mixture", expansion(mixture), 1.85, 0.005);
    let flow_kg_h = |fluid: Fluid| 7000.0 / (fluid.at(35.0).unwrap().specific_heat_j_kgk * 5.0) * 3600.0;
    let flow_l_h = |fluid: Fluid| flow_kg_h(fluid) / fluid.at(35.0).unwrap().density_kg_m3 * 1000.0;
    share("kg/h", flow_kg_h(Fluid::Water), 1206.0, 0.003);
    share("l/h", flow_l_h(Fluid::Water), 1213.0, 0.003);
    assert_within("l/h of the mixture", flow_l_h(mixture), 1255.0, 5.0);
}
