//! What is filled in about the plant and its hot water.

use crate::findings;
use crate::notes::{Filled, Fills};

findings! {
    /// What is filled in about the plant and its hot water.
    #[derive(Debug, Clone, PartialEq)]
    pub enum Plant: Assumption of nothing: () {
        /// The book of prices, products and labour norms.
        "price_book" PriceBook {}
        at "/commercial"
        says "prices, products and labour norms are the program's own, which are invented";

        /// The height of the system above its vessel.
        "static_height" StaticHeight { static_height_m: f64 }
        at "/plant"
        says "the system stands {static_height_m:.1} m above the vessel, by its storeys from the one that the plant stands on";

        /// The safety valve.
        "safety_valve" SafetyValve { safety_valve_bar: f64 }
        at "/plant"
        says "a safety valve of {safety_valve_bar} bar";

        /// Hot water for one person more than there are bedrooms.
        "occupants" PeopleByBedrooms { people: u32 }
        at "/dwelling"
        says "hot water for one person more than there are bedrooms: {people}";

        /// Hot water for one person more than there are bedrooms, where fewer live there now.
        "occupants" MorePeople { people: u32, occupants: u32 }
        at "/dwelling/occupants"
        says "hot water for {people}, one more than there are bedrooms, not for the {occupants} who live there now";

        /// How hot water is made, stored and drawn.
        "hot_water" HotWater { filled: Filled<FilledHotWater> }
        at "/hot_water"
        says { filled.join("; ") };

        /// Bedrooms, counted from the rooms.
        "bedrooms" Bedrooms { bedrooms: u32 }
        at "/dwelling"
        says "number of bedrooms, counted from the rooms: {bedrooms}";
    }
}

/// What is filled in about hot water.
#[derive(Debug, Clone, PartialEq)]
pub struct FilledHotWater;

impl Fills for FilledHotWater {
    const NAMES: &'static [&'static str] =
        &["litres_per_person_at_60_c_l", "storage_temperature_c", "flow_temperature_c", "loss_factor"];
}
