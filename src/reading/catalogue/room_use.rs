//! Room uses: default inside temperature and air changes.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::error::CatalogueError;
use super::provenance::Confidence;
use super::rows::{self, data_file};
use crate::terms;

/// What a room is used for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum RoomUse {
    /// Living room.
    Living,
    /// Living room, family room or breakfast room with a kitchen in it.
    LivingKitchen,
    /// Dining room.
    Dining,
    /// Kitchen.
    Kitchen,
    /// Hall.
    Hall,
    /// Landing.
    Landing,
    /// Bedroom.
    Bedroom,
    /// Bedroom with an en-suite bathroom open to it.
    BedroomEnSuite,
    /// Bathroom.
    Bathroom,
    /// Shower room.
    ShowerRoom,
    /// Toilet.
    Toilet,
    /// Utility room.
    Utility,
    /// Study.
    Study,
    /// Store room.
    Store,
    /// Dressing room.
    Dressing,
}

impl RoomUse {
    /// Whether it is held as a bathroom: EN 1264 allows its floor more, and it does not set the common flow temperature.
    #[must_use]
    pub fn is_bathroom(self) -> bool {
        matches!(self, Self::Bathroom | Self::ShowerRoom)
    }

    /// Every use.
    pub const ALL: [Self; 15] = [
        Self::Living,
        Self::LivingKitchen,
        Self::Dining,
        Self::Kitchen,
        Self::Hall,
        Self::Landing,
        Self::Bedroom,
        Self::BedroomEnSuite,
        Self::Bathroom,
        Self::ShowerRoom,
        Self::Toilet,
        Self::Utility,
        Self::Study,
        Self::Store,
        Self::Dressing,
    ];
}

/// How tight a dwelling is, by the year of its construction or of a renewal that made it as tight.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
pub enum TightnessClass {
    /// Built before 2000.
    #[serde(rename = "before_2000")]
    Before2000,
    /// Built from 2000 to 2005.
    #[serde(rename = "from_2000")]
    From2000,
    /// Built in 2006 or later.
    #[serde(rename = "from_2006")]
    From2006,
}

impl TightnessClass {
    /// The class of a dwelling that was built in this year and not made tighter since.
    #[must_use]
    pub fn of_construction_year(year: i32) -> Self {
        match year {
            ..2000 => Self::Before2000,
            2000..2006 => Self::From2000,
            2006.. => Self::From2006,
        }
    }
}

terms! {
    TightnessClass {
        Before2000: "before_2000", "built before 2000";
        From2000: "from_2000", "built from 2000 on";
        From2006: "from_2006", "built from 2006 on";
    }
}

/// Defaults of a room use.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RoomUseDefaults {
    /// The use.
    pub code: RoomUse,
    /// Inside design temperature, °C.
    #[schema(minimum = 0, maximum = 40)]
    pub inside_design_c: f64,
    /// Air changes per hour in a dwelling built before 2000, 1/h.
    #[schema(minimum = 0, maximum = 20)]
    pub air_changes_before_2000_per_h: f64,
    /// Air changes per hour in a dwelling built from 2000 to 2005, 1/h.
    #[schema(minimum = 0, maximum = 20)]
    pub air_changes_from_2000_per_h: f64,
    /// Air changes per hour in a dwelling built in 2006 or later, 1/h.
    #[schema(minimum = 0, maximum = 20)]
    pub air_changes_from_2006_per_h: f64,
    /// Document that the row comes from.
    #[schema(min_length = 1, max_length = 200)]
    pub source: String,
    /// How far it is to be trusted.
    pub confidence: Confidence,
}

impl RoomUseDefaults {
    /// Air changes per hour in a dwelling of this class, 1/h.
    #[must_use]
    pub fn air_changes_per_h(&self, class: TightnessClass) -> f64 {
        match class {
            TightnessClass::Before2000 => self.air_changes_before_2000_per_h,
            TightnessClass::From2000 => self.air_changes_from_2000_per_h,
            TightnessClass::From2006 => self.air_changes_from_2006_per_h,
        }
    }
}

/// Defaults of every use.
#[derive(Debug, Clone, PartialEq)]
pub struct RoomUses([RoomUseDefaults; RoomUse::ALL.len()]);

impl RoomUses {
    /// The defaults of a use.
    #[must_use]
    pub fn of(&self, room_use: RoomUse) -> &RoomUseDefaults {
        // rows stand in the order of the uses
        &self.0[room_use as usize]
    }
}

/// The shipped defaults: one row for each use, in the order of [`RoomUse::ALL`].
pub(super) fn read() -> Result<RoomUses, CatalogueError> {
    let file = data_file!("room_uses.csv");
    let rows: Vec<RoomUseDefaults> = rows::typed(file)?;
    let is_in_order = rows.iter().map(|row| row.code).eq(RoomUse::ALL);
    let each = rows.try_into().ok().filter(|_| is_in_order);
    let detail = || "it must have one row for each use, in order".to_owned();
    each.map(RoomUses).ok_or_else(|| CatalogueError::File { file: file.name, detail: detail() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn newer_dwellings_are_no_leakier() {
        for row in read().unwrap().0 {
            assert!(row.air_changes_before_2000_per_h >= row.air_changes_from_2000_per_h, "{:?}", row.code);
            assert!(row.air_changes_from_2000_per_h >= row.air_changes_from_2006_per_h, "{:?}", row.code);
            assert!(row.air_changes_from_2006_per_h > 0.0 && (18.0..=22.0).contains(&row.inside_design_c));
        }
    }

    #[test]
    fn every_use_has_its_own_row() {
        let rows = read().unwrap();
        for room_use in RoomUse::ALL {
            assert_eq!(rows.of(room_use).code, room_use);
        }
    }

    #[test]
    fn classes_begin_with_their_year() {
        let classes = [1850, 1999, 2000, 2005, 2006, 2030].map(TightnessClass::of_construction_year);
        let (a, b, c) = (TightnessClass::Before2000, TightnessClass::From2000, TightnessClass::From2006);
        assert_eq!(classes, [a, a, b, b, c, c]);
        assert_eq!(serde_json::to_value(classes).unwrap()[0], "before_2000");
        assert_eq!(serde_json::from_str::<TightnessClass>("\"from_2006\"").unwrap(), c);
    }

    #[test]
    fn the_class_picks_its_column() {
        let rows = read().unwrap();
        let utility = rows.of(RoomUse::Utility);
        let classes = [TightnessClass::Before2000, TightnessClass::From2000, TightnessClass::From2006];
        assert_eq!(classes.map(|class| utility.air_changes_per_h(class)), [3.0, 2.0, 0.5]);
    }
}
