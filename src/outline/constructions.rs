//! What walls, roof, floor, windows and doors are taken to be made of: typical elements by year and improvement.
//!
//! The spread of a U-value is the relative standard deviation between the dwellings of the class in the typology whose
//! years hold the year of construction, averages over the stock included: they tell how far dwellings have moved from
//! what they were built as. It is no less than what the program takes for an assumed U-value, and no more than that
//! where the facts say what was done.

use super::assumed::{Assumed, By};
use super::facts::{Facts, FloorImprovement, Glazing, Improvements, WallImprovement};
use super::plan::Plan;
use super::proportions::{classes, counts, scatter};
use crate::catalogue::default_rows::DefaultRow;
use crate::catalogue::typology::TypologyBuilding;
use crate::catalogue::{Catalogue, Defaults};
use crate::intake::Id;
use crate::job::certainty::Known;
use crate::job::constructions::{Construction, Soil};
use crate::job::dwelling::DwellingKind;
use crate::job::layers::Layer;
use crate::list::Index;
use crate::methods::math::min;
use crate::survey::What;

/// Insulation of lofts that has a typical U-value (mm).
const LOFTS_MM: [u32; 13] = [0, 12, 25, 50, 75, 100, 150, 200, 250, 270, 300, 350, 400];

/// One construction of the outline.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    /// Id in the job.
    pub id: &'static str,
    /// What it is.
    pub construction: Construction,
    /// Relative standard deviation of its U-value.
    pub spread: f64,
    /// Why it was chosen.
    pub note: Assumed,
}

/// Every construction that a plan needs.
#[must_use]
pub fn choose(facts: &Facts, plan: &Plan, catalogue: &Catalogue, without: Option<&str>) -> Vec<Chosen> {
    let Catalogue { typology, defaults, .. } = catalogue;
    let year = facts.construction_year;
    let as_built = Improvements::default();
    let done = facts.improvements.as_ref().unwrap_or(&as_built);
    let least = What::UValue(Index::new(0)).spread(Known::Assumed, defaults);
    let alike: Vec<&TypologyBuilding> = typology
        .iter()
        .filter(|row| classes(facts.dwelling_kind).contains(&row.size_class) && row.holds(year))
        .filter(|row| counts(row, typology, without))
        .collect();
    let spread = |is_told: bool, u_value: fn(&TypologyBuilding) -> f64| {
        if is_told { least } else { min(scatter(&alike, u_value).max(least), 1.0) }
    };
    let by = |is_told: bool| if is_told { By::Facts } else { By::Year };
    let typical = |id, element: String, chosen: By, spread: f64| Chosen {
        id,
        note: Assumed::Element { construction: id, element: element.clone(), construction_year: year, chosen, spread },
        construction: Construction::Typical { element: Id(element), construction_year: Some(year), description: None },
        spread,
    };
    let known =
        |id, element: String, is_told: bool, u_value| typical(id, element, by(is_told), spread(is_told, u_value));
    let mut chosen = vec![
        known("wall", wall(year, done.walls, defaults).to_owned(), done.walls.is_some(), |row| row.wall_u_value_w_m2k),
        known("window", glazing(year, done.windows, defaults).to_owned(), done.windows.is_some(), |row| {
            row.window_u_value_w_m2k
        }),
    ];
    let is_told = done.loft_insulation_mm.is_some();
    if plan.roof_share > 0.0 {
        chosen
            .push(known("roof", loft(year, done.loft_insulation_mm, defaults), is_told, |row| row.roof_u_value_w_m2k));
    }
    let floor_mm = floor(year, done.floor, defaults);
    let (id, floor_spread) = ("ground_floor", spread(done.floor.is_some(), |row| row.floor_u_value_w_m2k));
    let slab = Chosen {
        id,
        construction: ground_floor(plan, floor_mm, defaults),
        spread: floor_spread,
        note: Assumed::Slab {
            construction: id,
            insulation_mm: floor_mm,
            chosen: by(done.floor.is_some()),
            spread: floor_spread,
        },
    };
    chosen.extend((plan.ground_share > 0.0).then_some(slab));
    let practice = |id, u_value: &DefaultRow<f64>, what: &str| Chosen {
        id,
        construction: Construction::Known {
            u_value_w_m2k: u_value.value,
            solar_factor: None,
            description: Some(what.to_owned()),
        },
        spread: least,
        note: Assumed::Between {
            construction: id,
            u_value_w_m2k: u_value.value,
            origin: u_value.provenance.clone(),
            spread: least,
        },
    };
    let is_flat = facts.dwelling_kind == DwellingKind::Flat;
    if !is_flat {
        chosen.push(known("door", "external_door".to_owned(), false, |row| row.door_u_value_w_m2k));
    }
    if plan.free.left < 1.0 {
        let element =
            if year < defaults.outline_cavity_from_year.value { "party_wall_solid" } else { "party_wall_cavity" };
        // the typology knows no party walls
        chosen.push(typical("party_wall", element.to_owned(), By::Year, least));
    }
    chosen.push(practice("partition", &defaults.outline_partition_w_m2k, "wall between rooms"));
    if plan.depths_m.len() > 1 {
        chosen.push(practice("inner_floor", &defaults.outline_inner_floor_w_m2k, "floor between storeys"));
    }
    if is_flat {
        chosen.push(practice("party_floor", &defaults.outline_party_floor_w_m2k, "floor between dwellings"));
    }
    chosen
}

fn wall(year: u32, done: Option<WallImprovement>, defaults: &Defaults) -> &'static str {
    let has_cavity = year >= defaults.outline_cavity_from_year.value;
    match done {
        None | Some(WallImprovement::None) if has_cavity => "cavity_wall",
        None | Some(WallImprovement::None) => "solid_brick_wall",
        Some(WallImprovement::CavityFilled) => "cavity_wall_filled",
        Some(WallImprovement::Insulated) if has_cavity => "cavity_wall_filled_insulated_50",
        Some(WallImprovement::Insulated) => "solid_wall_insulated_50",
    }
}

fn glazing(year: u32, now: Option<Glazing>, defaults: &Defaults) -> &'static str {
    let as_built = if year < defaults.outline_double_glazing_from_year.value {
        Glazing::Single
    } else if year < defaults.outline_coated_glazing_from_year.value {
        Glazing::Double
    } else {
        Glazing::DoubleLowE
    };
    match now.unwrap_or(as_built) {
        Glazing::Single => "single_glazed_window",
        Glazing::Double => "double_glazed_window",
        Glazing::DoubleLowE => "double_glazed_window_argon_low_e",
        Glazing::Triple => "triple_glazed_window_low_e",
    }
}

/// The roof over a loft with the greatest thickness of the table that is no more than there is.
fn loft(year: u32, now_mm: Option<f64>, defaults: &Defaults) -> String {
    let as_built_mm = || defaults.outline_loft_by_year_mm.value.at(f64::from(year)).unwrap_or(0.0);
    let there_mm = now_mm.unwrap_or_else(as_built_mm);
    let step_mm = LOFTS_MM.iter().rfind(|step_mm| f64::from(**step_mm) <= there_mm).copied().unwrap_or(0);
    format!("pitched_roof_loft_{step_mm}")
}

/// Insulation of the lowest floor (mm).
fn floor(year: u32, done: Option<FloorImprovement>, defaults: &Defaults) -> f64 {
    let as_built_mm: f64 = defaults.outline_floor_by_year_mm.value.at(f64::from(year)).unwrap_or(0.0);
    match done {
        Some(FloorImprovement::Insulated) => as_built_mm.max(defaults.outline_improved_floor_mm.value),
        Some(FloorImprovement::None) | None => as_built_mm,
    }
}

fn ground_floor(plan: &Plan, insulation_mm: f64, defaults: &Defaults) -> Construction {
    let depth_m = plan.depths_m.first().copied().unwrap_or(0.0);
    let exposed_m = 2.0 * plan.width_m * plan.free.front_and_back + depth_m * (plan.free.left + plan.free.right);
    let insulation = Layer::Conductivity {
        thickness_mm: insulation_mm,
        conductivity_w_mk: defaults.outline_floor_insulation_w_mk.value,
        bridged_by: None,
        taper: None,
    };
    Construction::GroundFloor {
        area_m2: super::rounded(plan.width_m * depth_m * plan.ground_share),
        exposed_perimeter_m: super::rounded(exposed_m * plan.ground_share),
        wall_thickness_mm: defaults.outline_wall_mm.value,
        soil: Soil::Clay,
        layers: if insulation_mm > 0.0 { vec![insulation] } else { Vec::new() },
        edge_insulation: None,
        description: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_choice_stands_in_the_catalogue_and_none_is_worse_than_as_built() {
        let catalogue = Catalogue::try_built_in().unwrap();
        let defaults = &catalogue.defaults;
        for year in [1000, 1899, 1929, 1930, 1966, 1975, 1982, 1990, 1995, 2002, 2006, 2011, 2100] {
            let u = |element: &str| catalogue.typical(element, year).unwrap().u_value_w_m2k;
            for done in [WallImprovement::CavityFilled, WallImprovement::Insulated] {
                assert!(u(wall(year, Some(done), defaults)) <= u(wall(year, None, defaults)), "{year}");
            }
            let lofts = [None, Some(300.0), Some(500.0)];
            assert!(lofts.map(|mm| u(&loft(year, mm, defaults))).is_sorted_by(|a, b| a >= b), "{year}");
            assert!(u(glazing(year, Some(Glazing::Triple), defaults)) <= u(glazing(year, None, defaults)), "{year}");
        }
    }

    #[test]
    fn lofts_take_the_step_below() {
        let loft = |year, there_mm| loft(year, there_mm, &Defaults::try_built_in().unwrap());
        for (there_mm, step) in [(0.0, 0), (11.9, 0), (99.0, 75), (100.0, 100), (269.9, 250), (500.0, 400)] {
            assert_eq!(loft(1950, Some(there_mm)), format!("pitched_roof_loft_{step}"));
        }
        assert_eq!(
            (loft(1950, None), loft(2000, None)),
            ("pitched_roof_loft_0".into(), "pitched_roof_loft_150".into())
        );
    }
}
