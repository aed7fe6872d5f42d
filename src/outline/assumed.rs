//! What an outline fills in, and what looks wrong with it.

use crate::findings;
use crate::notes::{At, Finding, Registered};

findings! {
    /// What an outline fills in.
    #[derive(Debug, Clone, PartialEq)]
    pub enum Assumed: Assumption of nothing: () {
        /// How outlines were found to agree with dwellings that are known.
        "agreement" Agreement { agreement: &'static str }
        at ""
        says "{agreement}";

        /// Bedrooms, by the floor area.
        "bedrooms" Bedrooms { bedrooms: u32 }
        at "/dwelling/bedrooms"
        says "{bedrooms} bedrooms by the floor area";

        /// Storeys, by the kind of dwelling.
        "storeys" Storeys { storeys: u32 }
        at "/rooms"
        says "storeys by the kind of dwelling: {storeys}";

        /// A construction, and how far it is known.
        "construction" Construction { construction: String, why: String, spread: f64 }
        at "/constructions/{construction}"
        says "{why}; spread {spread:.2}";

        /// The air, and how far it is known.
        "tightness" Tightness { spread: f64 }
        at "/dwelling/ventilation"
        says "air changes by use of the rooms and year of construction; spread {spread:.2}";

        /// What thermal bridges add, as in the typology.
        "thermal_bridging" ThermalBridging { allowance_w_m2k: f64 }
        at "/dwelling/thermal_bridging"
        says "thermal bridges add {allowance_w_m2k:.3} W/(m²K), as in the typology";

        /// The area of outer walls, by the proportions of dwellings of the typology.
        "outer_walls" OuterWalls { area_m2: f64, dwellings: String, spread: f64 }
        at "/rooms"
        says "{area_m2:.1} m² of outer walls with their windows and doors, as in the dwellings {dwellings} of the typology; spread {spread:.2}";

        /// The area of windows, by the same.
        "windows" Windows { area_m2: f64, dwellings: String, spread: f64 }
        at "/rooms"
        says "{area_m2:.1} m² of windows, as in the dwellings {dwellings} of the typology; spread {spread:.2}";

        /// The area of doors to outside, by the same.
        "doors" Doors { area_m2: f64, dwellings: String, spread: f64 }
        at "/rooms"
        says "{area_m2:.1} m² of doors to outside, as in the dwellings {dwellings} of the typology; spread {spread:.2}";

        /// The area of floor on the ground, by the same.
        "ground" Ground { area_m2: f64, dwellings: String, spread: f64 }
        at "/rooms"
        says "{area_m2:.1} m² of floor on the ground, as in the dwellings {dwellings} of the typology; spread {spread:.2}";

        /// The area of roof, by the same.
        "roof" Roof { area_m2: f64, dwellings: String, spread: f64 }
        at "/rooms"
        says "{area_m2:.1} m² of roof, as in the dwellings {dwellings} of the typology; spread {spread:.2}";

        /// The plan of storeys and rooms.
        "plan" Plan { width_m: f64, depth_m: f64, height_m: f64, spread: f64 }
        at "/rooms"
        says "storeys are plain rectangles {width_m:.1} m wide, the lowest {depth_m:.1} m deep, rooms {height_m:.2} m high, cut into a front and a back row; walls look to no known direction; other areas have a spread of {spread:.2}";

        /// What heats a room: one radiator of any size.
        "emitter" Emitter { at: At, room: String }
        at "{at}"
        says "one radiator that may be of any size";
    }
}

findings! {
    /// What looks wrong with an outline.
    #[derive(Debug, Clone, PartialEq)]
    pub enum Doubted: Warning of nothing: () {
        /// An old dwelling is outlined as it was built.
        "as_built" AsBuilt { construction_year: u32 }
        at "/constructions"
        says "the dwelling is outlined as it was built: most of its age were improved since, and lose far less; say what was done in improvements";

        /// A room is small: the dwelling may have fewer.
        "small_room" SmallRoom { room: String, floor_area_m2: f64 }
        at "/rooms/{room}"
        says "{floor_area_m2:.1} m² are little for a room: the dwelling may have fewer";
    }
}

/// The entries of all of them in the register of codes.
#[must_use]
pub fn registered() -> Vec<Registered> {
    [<Assumed as Finding<()>>::registered(), <Doubted as Finding<()>>::registered()].concat()
}
