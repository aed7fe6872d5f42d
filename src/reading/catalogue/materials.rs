//! Building materials: conductivity, density and specific heat.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::error::CatalogueError;
use super::provenance::Confidence;
use super::rows::{self, data_file};

/// A building material.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// Id.
    #[schema(pattern = "^[a-z0-9][a-z0-9_-]{0,63}$")]
    pub code: String,
    /// What it is, in plain words.
    #[schema(min_length = 1, max_length = 200)]
    pub description: String,
    /// Thermal conductivity, W/(m K).
    #[schema(minimum = 0.004, maximum = 500)]
    pub conductivity_w_mk: f64,
    /// Density, kg/m³.
    #[schema(minimum = 1, maximum = 20_000)]
    pub density_kg_m3: f64,
    /// Specific heat, J/(kg K).
    #[schema(minimum = 100, maximum = 5_000)]
    pub specific_heat_j_kgk: f64,
    /// Document or practice that the row comes from.
    #[schema(min_length = 1, max_length = 200)]
    pub source: String,
    /// How far it is to be trusted. `published` is said of the conductivity alone.
    pub confidence: Confidence,
}

/// The shipped materials.
pub(super) fn read() -> Result<Vec<Material>, CatalogueError> {
    rows::typed(data_file!("materials.csv"))
}

#[cfg(test)]
mod tests {
    use regex::Regex;

    use super::*;
    use crate::catalogue::coverings;

    const INSULATION: [&str; 26] = [
        "mineral_wool_stud_wall",
        "mineral_wool_slab",
        "mineral_wool_roll",
        "mineral_wool_blown",
        "glass_wool_slab",
        "glass_wool_roll",
        "eps_white",
        "eps_grey",
        "eps_beads",
        "xps",
        "pur_board",
        "pir_board",
        "phenolic_board",
        "pur_spray_closed",
        "pur_spray_open",
        "cellular_glass",
        "wood_fibre_board",
        "wood_fibre_batt",
        "cellulose",
        "sheeps_wool",
        "hemp_batt",
        "cork_board",
        "calcium_silicate_insulation",
        "vermiculite_loose",
        "aerogel_blanket",
        "vacuum_insulation",
    ];
    const METALS: [&str; 6] = ["steel", "stainless_steel", "aluminium", "lead", "zinc", "copper"];

    #[test]
    fn codes_are_unique_and_well_formed() {
        let materials = read().unwrap();
        let form = Regex::new("^[a-z0-9][a-z0-9_-]{0,63}$").unwrap();
        let mut codes: Vec<_> = materials.iter().map(|row| row.code.as_str()).collect();
        assert!(codes.iter().all(|code| form.is_match(code)));
        codes.sort_unstable();
        codes.dedup();
        assert_eq!(codes.len(), materials.len());
    }

    #[test]
    fn figures_lie_within_their_bounds() {
        for row in read().unwrap() {
            assert!((0.004..=500.0).contains(&row.conductivity_w_mk), "{}", row.code);
            assert!((1.0..=20_000.0).contains(&row.density_kg_m3), "{}", row.code);
            assert!((100.0..=5_000.0).contains(&row.specific_heat_j_kgk), "{}", row.code);
            assert!((1..=200).contains(&row.description.len()) && (1..=200).contains(&row.source.len()));
        }
    }

    #[test]
    fn insulation_conducts_little_and_metals_much() {
        let materials = read().unwrap();
        let conductivity = |code: &str| materials.iter().find(|row| row.code == code).unwrap().conductivity_w_mk;
        for code in INSULATION {
            assert!(conductivity(code) < 0.07, "{code}");
        }
        for code in METALS {
            assert!(conductivity(code) > 10.0, "{code}");
        }
        // nothing else is taken for a metal
        let mut others = materials.iter().filter(|row| !METALS.contains(&row.code.as_str()));
        assert!(others.all(|row| row.conductivity_w_mk < 10.0));
    }

    #[test]
    fn denser_blocks_and_plasters_conduct_better() {
        let materials = read().unwrap();
        let row = |code: &str| materials.iter().find(|row| row.code == code).unwrap();
        for series in [
            &["block_aerated", "block_lightweight", "block_medium", "block_dense"][..],
            &["plaster_lightweight", "plaster_dense", "plaster_lime"],
            &["softwood", "hardwood"],
        ] {
            assert!(series.is_sorted_by(|a, b| row(a).density_kg_m3 < row(b).density_kg_m3), "{series:?}");
            assert!(series.is_sorted_by(|a, b| row(a).conductivity_w_mk < row(b).conductivity_w_mk), "{series:?}");
        }
    }

    #[test]
    fn conductivities_of_the_worked_wall_give_its_published_resistances() {
        // thickness in m and resistance in m²K/W, as the wall of the worked examples has them
        let layers = [
            ("brick_outer", 0.102, 0.132),
            ("sheathing_board", 0.009, 0.069),
            ("mineral_wool_stud_wall", 0.140, 3.500),
            ("softwood_stud", 0.140, 1.167),
            ("plasterboard", 0.015, 0.060),
        ];
        let materials = read().unwrap();
        for (code, thickness_m, resistance_m2k_w) in layers {
            let row = materials.iter().find(|row| row.code == code).unwrap();
            // half of the last printed digit
            assert!((thickness_m / row.conductivity_w_mk - resistance_m2k_w).abs() <= 0.0005 + 1e-9, "{code}");
            assert_eq!(row.confidence, Confidence::Published);
        }
        let worked = materials.iter().filter(|row| row.source.contains("worked examples"));
        assert_eq!(worked.count(), layers.len());
    }

    #[test]
    fn slate_conducts_alike_in_a_floor_and_on_a_roof() {
        let (materials, coverings) = (read().unwrap(), coverings::read().unwrap());
        let slate = materials.iter().find(|row| row.code == "slate").unwrap();
        let stone = coverings.iter().find(|row| row.code == "stone").unwrap();
        assert_eq!(slate.conductivity_w_mk, stone.conductivity_w_mk);
    }
}
