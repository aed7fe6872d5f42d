//! How large walls, windows, doors, roof and ground floor are for a floor area: means over the dwellings of the
//! typology that describe this one, and how far those dwellings scatter.
//!
//! A house is described by the single dwellings of its class whose age band is that of its year, the one before or
//! the one after; a flat by the blocks. Averages over the stock describe nothing here: they are kept for checks.
//!
//! Outer walls of houses are carried over by *girth*: gross wall area by room height and by the root of floor area
//! times storeys. It is the proportion to the floor area for a dwelling as large as those of the typology, and lets a
//! smaller one have more wall for each square metre, as a smaller rectangle has. A house has as much door as another,
//! whatever its size.
//!
//! The spread of a figure is its relative standard deviation between all dwellings of the class (all ages), and no
//! less than what the program takes for an assumed area.

use crate::catalogue::Catalogue;
use crate::catalogue::typology::{SizeClass, Stands, TypologyBuilding};
use crate::job::certainty::Known;
use crate::job::dwelling::DwellingKind;
use crate::list::Index;
use crate::methods::math::sqrt;
use crate::survey::What;

/// A mean over dwellings with its relative standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mean {
    /// The mean.
    pub mean: f64,
    /// Relative standard deviation.
    pub spread: f64,
}

/// What a dwelling of a kind and year is like.
#[derive(Debug, Clone, PartialEq)]
pub struct Proportions {
    /// Outer walls with windows and doors: for a house by height and root of floor area times storeys, for a flat by
    /// floor area.
    pub wall: Mean,
    /// Windows by floor area.
    pub window: Mean,
    /// Doors of a house (m²); a flat has none to outside.
    pub door_m2: Mean,
    /// Ground floor: for a house by the floor area of an even storey, for a flat by floor area.
    pub ground: Mean,
    /// Roof of a flat by floor area; the roof of a house is as large as its ground floor.
    pub roof: Mean,
    /// Addition of thermal bridges to U-values (W/(m²K)).
    pub bridging_w_m2k: f64,
    /// Height of rooms (m).
    pub height_m: f64,
    /// Buildings that the means were taken over.
    pub buildings: Vec<String>,
}

/// The classes of the typology that describe a kind of dwelling.
#[must_use]
pub fn classes(kind: DwellingKind) -> &'static [SizeClass] {
    match kind {
        DwellingKind::Detached | DwellingKind::Bungalow => &[SizeClass::Detached],
        DwellingKind::SemiDetached | DwellingKind::EndTerrace | DwellingKind::MidTerrace => &[SizeClass::Terraced],
        DwellingKind::Flat => &[SizeClass::SmallBlock, SizeClass::LargeBlock],
    }
}

/// Whether a building may describe anything, where one is left out: neither that one nor its twins do.
pub(super) fn counts(row: &TypologyBuilding, typology: &[TypologyBuilding], without: Option<&str>) -> bool {
    let left_out = typology.iter().find(|other| without == Some(other.building.as_str()));
    left_out.is_none_or(|other| row.building != other.building && !row.is_twin_of(other))
}

/// The proportions of a kind of dwelling of a year. Nothing if the typology has no dwelling of its class left.
#[must_use]
pub fn proportions(catalogue: &Catalogue, kind: DwellingKind, year: u32, without: Option<&str>) -> Option<Proportions> {
    let Catalogue { typology, defaults, .. } = catalogue;
    let storeys = defaults.typology_house_storeys.value;
    let examples = typology.iter().filter(|row| row.what != Stands::StockAverage);
    let class: Vec<_> = examples.filter(|row| classes(kind).contains(&row.size_class)).collect();
    let mut bands: Vec<(u32, u32)> = class.iter().map(|row| (row.year_from, row.year_to)).collect();
    bands.sort_unstable();
    bands.dedup();
    let own = bands.iter().position(|(from, to)| (*from..=*to).contains(&year))?;
    let near = &bands[own.saturating_sub(1)..(own + 2).min(bands.len())];
    let class: Vec<_> = class.into_iter().filter(|row| counts(row, typology, without)).collect();
    let close: Vec<_> = class.iter().copied().filter(|row| near.contains(&(row.year_from, row.year_to))).collect();
    let close = if close.is_empty() { class.clone() } else { close };
    let of = |figure: &dyn Fn(&TypologyBuilding) -> f64| {
        Some(Mean {
            mean: mean(&close, figure)?,
            spread: scatter(&class, figure).max(What::Area(Index::new(0)).spread(Known::Assumed, defaults)),
        })
    };
    let is_flat = kind == DwellingKind::Flat;
    Some(Proportions {
        wall: of(&|row| if is_flat { wall_of_block(row) } else { girth(row, storeys) })?,
        window: of(&|row| row.window_area_m2 / row.reference_floor_area_m2)?,
        door_m2: of(&|row| if is_flat { 0.0 } else { row.door_area_m2 })?,
        ground: of(&|row| if is_flat { ground_of_block(row) } else { ground_of_house(row, storeys) })?,
        roof: of(&|row| row.roof_area_m2 / row.reference_floor_area_m2)?,
        bridging_w_m2k: mean(&close, |row| row.bridging_w_m2k)?,
        height_m: mean(&close, |row| row.room_height_m)?,
        buildings: close.iter().map(|row| row.building.clone()).collect(),
    })
}

fn girth(row: &TypologyBuilding, storeys: f64) -> f64 {
    row.gross_wall_m2() / (row.room_height_m * sqrt(storeys * row.reference_floor_area_m2))
}

fn ground_of_house(row: &TypologyBuilding, storeys: f64) -> f64 {
    storeys * row.floor_area_m2 / row.reference_floor_area_m2
}

fn wall_of_block(row: &TypologyBuilding) -> f64 {
    row.gross_wall_m2() / row.reference_floor_area_m2
}

fn ground_of_block(row: &TypologyBuilding) -> f64 {
    row.floor_area_m2 / row.reference_floor_area_m2
}

fn mean(rows: &[&TypologyBuilding], figure: impl Fn(&TypologyBuilding) -> f64) -> Option<f64> {
    let (sum, count) = rows.iter().fold((0.0, 0.0), |(sum, count), row| (sum + figure(row), count + 1.0));
    (count > 0.0).then(|| sum / count)
}

/// Relative standard deviation between dwellings; 0 where fewer than two are there to differ.
pub(super) fn scatter(rows: &[&TypologyBuilding], figure: impl Fn(&TypologyBuilding) -> f64) -> f64 {
    let Some(mean) = mean(rows, &figure).filter(|mean| *mean > 0.0) else { return 0.0 };
    let (squares, count) = rows.iter().fold((0.0, 0.0), |(squares, count), row| {
        let off = figure(row) - mean;
        (squares + off * off, count + 1.0)
    });
    if count > 1.0 { sqrt(squares / (count - 1.0)) / mean } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn catalogue() -> std::sync::Arc<Catalogue> {
        Catalogue::try_built_in().unwrap()
    }

    #[test]
    fn a_dwelling_is_described_by_its_age_band_and_those_beside_it() {
        let of = |year, without| proportions(&catalogue(), DwellingKind::EndTerrace, year, without).unwrap().buildings;
        let short = |ids: Vec<String>| ids.iter().map(|id| id[7..12].to_owned()).collect::<Vec<_>>();
        assert_eq!(short(of(1950, None)), ["TH.02", "TH.03", "TH.04"]);
        assert_eq!(short(of(1850, None)), ["TH.01", "TH.02"]);
        assert_eq!(short(of(1950, Some("GB.ENG.TH.03.Gen.ReEx.001.001"))), ["TH.02", "TH.04"]);
        // 07 and 08 are one building
        assert_eq!(short(of(2015, None)), ["TH.07", "TH.08"]);
        assert_eq!(short(of(2006, Some("GB.ENG.TH.07.Gen.ReEx.001.001"))), ["TH.06"]);
    }

    #[test]
    fn means_give_back_what_a_building_alone_is_like() {
        let mut alone = Catalogue::clone(&catalogue());
        alone.typology.retain(|row| row.building.starts_with("GB.ENG.SFH.03"));
        let found = proportions(&alone, DwellingKind::Detached, 1950, None).unwrap();
        let row = &alone.typology[0];
        let gross_m2 = found.wall.mean * found.height_m * sqrt(2.0 * row.reference_floor_area_m2);
        assert!((gross_m2 - row.gross_wall_m2()).abs() < 1e-9);
        assert!((found.ground.mean * row.reference_floor_area_m2 / 2.0 - row.floor_area_m2).abs() < 1e-9);
        assert_eq!((found.wall.spread, found.door_m2.mean), (0.1, row.door_area_m2));
    }

    #[test]
    fn every_kind_and_year_is_described() {
        for kind in [DwellingKind::Detached, DwellingKind::Bungalow, DwellingKind::MidTerrace, DwellingKind::Flat] {
            for year in [1000, 1918, 1919, 1944, 1964, 1980, 1990, 2003, 2009, 2100] {
                let found = proportions(&catalogue(), kind, year, None).unwrap();
                assert!(found.wall.mean > 0.4 && found.wall.spread >= 0.1, "{kind:?} of {year}");
                assert!((0.15..0.3).contains(&found.window.mean), "{kind:?} of {year}");
            }
        }
    }
}
