//! Typology of British dwellings: the areas and U-values of dwellings that stand for their kind and their years.

use serde::{Deserialize, Serialize};

use super::error::CatalogueError;
use super::provenance::Confidence;
use super::rows::{self, data_file};

/// Size class of a building.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum SizeClass {
    /// Single-family house, detached.
    #[serde(rename = "SFH")]
    Detached,
    /// Terraced house.
    #[serde(rename = "TH")]
    Terraced,
    /// Block of few flats.
    #[serde(rename = "MFH")]
    SmallBlock,
    /// Block of many flats.
    #[serde(rename = "AB")]
    LargeBlock,
}

/// What a row stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stands {
    /// One dwelling.
    Single,
    /// A whole block of flats.
    Block,
    /// An average over the stock.
    StockAverage,
}

/// A building of the typology.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TypologyBuilding {
    /// Its id in the data set.
    pub building: String,
    /// Size class.
    pub size_class: SizeClass,
    /// What the row stands for.
    pub what: Stands,
    /// First year of its age band; 0 where it has no beginning.
    pub year_from: u32,
    /// Last year of its age band; 9999 where it has no end.
    pub year_to: u32,
    /// Reference floor area, m².
    pub reference_floor_area_m2: f64,
    /// Height of its rooms, m.
    pub room_height_m: f64,
    /// Area of its outer walls without windows and doors, m².
    pub wall_area_m2: f64,
    /// Area of its roof, m².
    pub roof_area_m2: f64,
    /// Area of its lowest floor, m².
    pub floor_area_m2: f64,
    /// Area of its windows, m².
    pub window_area_m2: f64,
    /// Area of its doors, m².
    pub door_area_m2: f64,
    /// U-value of its walls, W/(m² K).
    pub wall_u_value_w_m2k: f64,
    /// U-value of its roof, W/(m² K).
    pub roof_u_value_w_m2k: f64,
    /// U-value of its lowest floor, W/(m² K).
    pub floor_u_value_w_m2k: f64,
    /// U-value of its windows, W/(m² K).
    pub window_u_value_w_m2k: f64,
    /// U-value of its doors, W/(m² K).
    pub door_u_value_w_m2k: f64,
    /// Share of its walls that the data set counts (0–1).
    pub wall_factor: f64,
    /// Addition of thermal bridges to U-values, W/(m² K).
    pub bridging_w_m2k: f64,
    /// Air changes by use and infiltration, 1/h.
    pub air_changes_per_h: f64,
    /// Document that the row comes from.
    pub source: String,
    /// How far it is to be trusted.
    pub confidence: Confidence,
}

impl TypologyBuilding {
    /// Outer walls with their windows and doors, m².
    #[must_use]
    pub fn gross_wall_m2(&self) -> f64 {
        self.wall_area_m2 + self.window_area_m2 + self.door_area_m2
    }

    /// Whether its age band holds this year.
    #[must_use]
    pub fn holds(&self, year: u32) -> bool {
        (self.year_from..=self.year_to).contains(&year)
    }

    /// Whether two rows are one building but for rounding: same class, and every area within one in a hundred.
    #[must_use]
    pub fn is_twin_of(&self, other: &Self) -> bool {
        let areas = |row: &Self| {
            let Self { reference_floor_area_m2, wall_area_m2, roof_area_m2, window_area_m2, .. } = *row;
            [reference_floor_area_m2, wall_area_m2, roof_area_m2, window_area_m2]
        };
        let alike = |(one, two): (f64, f64)| (one - two).abs() <= 0.01 * one.max(two);
        self.size_class == other.size_class && areas(self).into_iter().zip(areas(other)).all(alike)
    }
}

/// The shipped typology.
pub(super) fn read() -> Result<Vec<TypologyBuilding>, CatalogueError> {
    rows::typed(data_file!("typology.csv"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sixteen_are_single_dwellings_eleven_are_blocks_and_nine_are_averages() {
        let rows = read().unwrap();
        let count = |what| rows.iter().filter(|row| row.what == what).count();
        assert_eq!([Stands::Single, Stands::Block, Stands::StockAverage].map(count), [16, 11, 9]);
        assert_eq!(rows.iter().filter(|row| row.building.contains(".SyAv.")).count(), 9);
        let blocks = |row: &&TypologyBuilding| matches!(row.size_class, SizeClass::SmallBlock | SizeClass::LargeBlock);
        // three of the averages are averages of blocks
        assert_eq!(rows.iter().filter(blocks).count(), 14);
    }

    #[test]
    fn single_dwellings_of_a_class_stand_in_bands_without_gap() {
        let rows = read().unwrap();
        for class in [SizeClass::Detached, SizeClass::Terraced] {
            let bands: Vec<_> =
                rows.iter().filter(|row| row.size_class == class && row.what == Stands::Single).collect();
            assert_eq!((bands.len(), bands[0].year_from, bands[7].year_to), (8, 0, 9_999));
            assert!(bands.is_sorted_by(|a, b| a.year_to + 1 == b.year_from));
        }
    }

    #[test]
    fn the_two_youngest_houses_of_a_class_are_one_building() {
        let rows = read().unwrap();
        let find = |id: &str| rows.iter().find(|row| row.building.starts_with(id)).unwrap();
        assert!(find("GB.ENG.TH.07").is_twin_of(find("GB.ENG.TH.08")));
        assert!(find("GB.ENG.SFH.07").is_twin_of(find("GB.ENG.SFH.08")));
        assert!(!find("GB.ENG.SFH.06").is_twin_of(find("GB.ENG.SFH.07")));
    }

    #[test]
    fn figures_lie_within_their_bounds() {
        for row in read().unwrap() {
            assert!(row.reference_floor_area_m2 > 50.0 && row.room_height_m == 2.5, "{}", row.building);
            assert!(row.gross_wall_m2() > row.window_area_m2 && row.roof_area_m2 > 0.0, "{}", row.building);
            assert!(row.wall_factor == 1.0 || row.wall_factor == 0.5, "{}", row.building);
            assert_eq!(row.confidence, Confidence::Published);
        }
    }
}
