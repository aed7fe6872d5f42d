//! What walls, roof, floor, windows and doors are taken to be made of: typical elements by year and improvement.
//!
//! The spread of a U-value is the relative standard deviation between the dwellings of the class in the typology whose
//! years hold the year of construction, averages over the stock included: they tell how far dwellings have moved from
//! what they were built as. It is no less than what the program takes for an assumed U-value, and no more than that
//! where the facts say what was done.

use super::facts::{Facts, FloorImprovement, Glazing, Improvements, WallImprovement};
use super::plan::Plan;
use super::proportions::{classes, counts, scatter};
use crate::catalogue::typology::TypologyBuilding;
use crate::intake::Id;
use crate::job::certainty::Known;
use crate::job::constructions::{Construction, Soil};
use crate::job::dwelling::DwellingKind;
use crate::job::layers::Layer;
use crate::methods::math::min;
use crate::survey::What;

/// First year in which outer walls are taken to have a cavity, and so party walls.
const CAVITY_FROM: u32 = 1930;
/// Thickness of outer walls round a ground floor (mm).
const WALL_MM: f64 = 300.0;
/// Conductivity of insulation under a floor (W/(mK)).
const FLOOR_INSULATION_W_MK: f64 = 0.035;
/// Least insulation of a floor that was improved (mm).
const IMPROVED_FLOOR_MM: f64 = 75.0;
/// U-values of what stands between rooms and between dwellings (W/(m²K)).
const PARTITION_W_M2K: f64 = 1.8;
const INNER_FLOOR_W_M2K: f64 = 1.7;
const PARTY_FLOOR_W_M2K: f64 = 1.0;
/// Insulation that a loft has by the first year of building with it (mm), and the thicknesses with a typical U-value.
const LOFT_AS_BUILT_MM: [(u32, u32); 7] =
    [(0, 0), (1967, 12), (1976, 50), (1983, 100), (1991, 150), (2003, 270), (2012, 300)];
const LOFTS_MM: [u32; 13] = [0, 12, 25, 50, 75, 100, 150, 200, 250, 270, 300, 350, 400];
/// Insulation that a ground floor has by the first year of building with it (mm).
const FLOOR_AS_BUILT_MM: [(u32, f64); 4] = [(0, 0.0), (1996, 25.0), (2003, 75.0), (2007, 100.0)];

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
    pub why: String,
}

/// Every construction that a plan needs.
#[must_use]
pub fn choose(facts: &Facts, plan: &Plan, typology: &[TypologyBuilding], without: Option<&str>) -> Vec<Chosen> {
    let year = facts.construction_year;
    let as_built = Improvements::default();
    let done = facts.improvements.as_ref().unwrap_or(&as_built);
    let least = What::UValue(0).spread(Known::Assumed);
    let alike: Vec<&TypologyBuilding> = typology
        .iter()
        .filter(|row| classes(facts.dwelling_kind).contains(&row.size_class) && row.holds(year))
        .filter(|row| counts(row, typology, without))
        .collect();
    let spread = |is_told: bool, u_value: fn(&TypologyBuilding) -> f64| {
        if is_told { least } else { min(scatter(&alike, u_value).max(least), 1.0) }
    };
    let told = |is_told: bool| if is_told { "as the facts say" } else { "as usual for the year" };
    let typical = |id, element: String, is_told: bool, u_value| Chosen {
        id,
        why: format!("{element} of {year}, {}", told(is_told)),
        construction: Construction::Typical { element: Id(element), construction_year: Some(year), description: None },
        spread: spread(is_told, u_value),
    };
    let mut chosen = vec![
        typical("wall", wall(year, done.walls).to_owned(), done.walls.is_some(), |row| row.wall_u_value_w_m2k),
        typical("window", glazing(year, done.windows).to_owned(), done.windows.is_some(), |row| {
            row.window_u_value_w_m2k
        }),
    ];
    let is_told = done.loft_insulation_mm.is_some();
    chosen.push(typical("roof", loft(year, done.loft_insulation_mm), is_told, |row| row.roof_u_value_w_m2k));
    let floor_mm = floor(year, done.floor);
    chosen.push(Chosen {
        id: "ground_floor",
        construction: ground_floor(plan, floor_mm),
        spread: spread(done.floor.is_some(), |row| row.floor_u_value_w_m2k),
        why: format!("a slab on clay with {floor_mm} mm of insulation, {}", told(done.floor.is_some())),
    });
    let practice = |id, u_value_w_m2k: f64, what: &str| Chosen {
        id,
        construction: Construction::Known { u_value_w_m2k, solar_factor: None, description: Some(what.to_owned()) },
        spread: least,
        why: format!("{what}: {u_value_w_m2k} W/(m²K) (common practice)"),
    };
    let is_flat = facts.dwelling_kind == DwellingKind::Flat;
    if !is_flat {
        chosen.push(typical("door", "external_door".to_owned(), false, |row| row.door_u_value_w_m2k));
    }
    if plan.free.left < 1.0 {
        let element = if year < CAVITY_FROM { "party_wall_solid" } else { "party_wall_cavity" };
        // the typology knows no party walls
        chosen.push(typical("party_wall", element.to_owned(), true, |row| row.wall_u_value_w_m2k));
        if let Some(party_wall) = chosen.last_mut() {
            party_wall.why = format!("{element}, as usual for the year");
        }
    }
    chosen.push(practice("partition", PARTITION_W_M2K, "wall between rooms"));
    if plan.depths_m.len() > 1 {
        chosen.push(practice("inner_floor", INNER_FLOOR_W_M2K, "floor between storeys"));
    }
    if is_flat {
        chosen.push(practice("party_floor", PARTY_FLOOR_W_M2K, "floor between dwellings"));
    }
    chosen
}

fn wall(year: u32, done: Option<WallImprovement>) -> &'static str {
    let has_cavity = year >= CAVITY_FROM;
    match done {
        None | Some(WallImprovement::None) if has_cavity => "cavity_wall",
        None | Some(WallImprovement::None) => "solid_brick_wall",
        Some(WallImprovement::CavityFilled) => "cavity_wall_filled",
        Some(WallImprovement::Insulated) if has_cavity => "cavity_wall_filled_insulated_50",
        Some(WallImprovement::Insulated) => "solid_wall_insulated_50",
    }
}

fn glazing(year: u32, now: Option<Glazing>) -> &'static str {
    let as_built = match year {
        ..1976 => Glazing::Single,
        1976..2003 => Glazing::Double,
        2003.. => Glazing::DoubleLowE,
    };
    match now.unwrap_or(as_built) {
        Glazing::Single => "single_glazed_window",
        Glazing::Double => "double_glazed_window",
        Glazing::DoubleLowE => "double_glazed_window_argon_low_e",
        Glazing::Triple => "triple_glazed_window_low_e",
    }
}

/// The roof over a loft with the greatest thickness of the table that is no more than there is.
fn loft(year: u32, now_mm: Option<f64>) -> String {
    let as_built =
        LOFT_AS_BUILT_MM.iter().rfind(|(from, _)| *from <= year).map_or(0, |(_, thickness_mm)| *thickness_mm);
    let there_mm = now_mm.unwrap_or(f64::from(as_built));
    let step_mm = LOFTS_MM.iter().rfind(|step_mm| f64::from(**step_mm) <= there_mm).copied().unwrap_or(0);
    format!("pitched_roof_loft_{step_mm}")
}

/// Insulation of the lowest floor (mm).
fn floor(year: u32, done: Option<FloorImprovement>) -> f64 {
    let as_built_mm = FLOOR_AS_BUILT_MM.iter().rfind(|(from, _)| *from <= year).map_or(0.0, |(_, mm)| *mm);
    match done {
        Some(FloorImprovement::Insulated) => as_built_mm.max(IMPROVED_FLOOR_MM),
        Some(FloorImprovement::None) | None => as_built_mm,
    }
}

fn ground_floor(plan: &Plan, insulation_mm: f64) -> Construction {
    let depth_m = plan.depths_m.first().copied().unwrap_or(0.0);
    let exposed_m = 2.0 * plan.width_m * plan.free.front_and_back + depth_m * (plan.free.left + plan.free.right);
    let insulation = Layer::Conductivity {
        thickness_mm: insulation_mm,
        conductivity_w_mk: FLOOR_INSULATION_W_MK,
        bridged_by: None,
        taper: None,
    };
    Construction::GroundFloor {
        area_m2: super::rounded(plan.width_m * depth_m * plan.ground_share),
        exposed_perimeter_m: super::rounded(exposed_m * plan.ground_share),
        wall_thickness_mm: WALL_MM,
        soil: Soil::Clay,
        layers: if insulation_mm > 0.0 { vec![insulation] } else { Vec::new() },
        edge_insulation: None,
        description: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;

    #[test]
    fn every_choice_stands_in_the_catalogue_and_none_is_worse_than_as_built() {
        let catalogue = Catalogue::try_built_in().unwrap();
        for year in [1000, 1899, 1929, 1930, 1966, 1975, 1982, 1990, 1995, 2002, 2006, 2011, 2100] {
            let u = |element: &str| catalogue.typical(element, year).unwrap().u_value_w_m2k;
            for done in [WallImprovement::CavityFilled, WallImprovement::Insulated] {
                assert!(u(wall(year, Some(done))) <= u(wall(year, None)), "{year}");
            }
            let lofts = [None, Some(300.0), Some(500.0)];
            assert!(lofts.map(|mm| u(&loft(year, mm))).is_sorted_by(|a, b| a >= b), "{year}");
            assert!(u(glazing(year, Some(Glazing::Triple))) <= u(glazing(year, None)), "{year}");
        }
    }

    #[test]
    fn lofts_take_the_step_below() {
        for (there_mm, step) in [(0.0, 0), (11.9, 0), (99.0, 75), (100.0, 100), (269.9, 250), (500.0, 400)] {
            assert_eq!(loft(1950, Some(there_mm)), format!("pitched_roof_loft_{step}"));
        }
        assert_eq!(
            (loft(1950, None), loft(2000, None)),
            ("pitched_roof_loft_0".into(), "pitched_roof_loft_150".into())
        );
    }
}
