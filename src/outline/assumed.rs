//! What an outline fills in, and what looks wrong with it.

use super::grant::InNation;
use super::radiators::Wall;
use crate::catalogue::provenance::Provenance;
use crate::notes::{At, Finding, Registered};
use crate::{findings, terms};

/// By what something was chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// The facts say so.
    Facts,
    /// It is usual for the year of construction.
    Year,
}

terms! {
    By {
        Facts: "facts", "as the facts say";
        Year: "year", "as usual for the year";
    }
}

/// That something is as in so many dwellings of the typology, whose names stand in the values.
fn like(dwellings: &str) -> String {
    match dwellings.split(", ").count() {
        1 => "as in a like dwelling of the typology".to_owned(),
        many => format!("as in {many} like dwellings of the typology"),
    }
}

findings! {
    /// What an outline fills in.
    #[derive(Debug, Clone, PartialEq)]
    pub enum Assumed: Assumption of nothing: () {
        /// How outlines were found to agree with dwellings that are known.
        "agreement" Agreement {
            measured_on: &'static str,
            single_dwellings: u32,
            mean_above_percent: f64,
            mean_off_percent: f64,
            most_off_percent: f64,
            single_within: u32,
            stock_averages: u32,
            stock_mean_above_percent: f64,
            stock_within: u32,
        }
        at ""
        says "measured on {measured_on} on dwellings of a typology, each left out of the means that describe it: the loss coefficient of an outline by kind, year and floor area alone lay {mean_above_percent:.1} % above what is published of {single_dwellings} single dwellings as built ({mean_off_percent:.1} % off either way, {most_off_percent:.1} % at most), and {single_within} of the {single_dwellings} within the outline's 10 to 90 %; it lay {stock_mean_above_percent:.1} % above that of {stock_averages} averages over the stock as it stands, with what was improved since, and {stock_within} of those within";

        /// Bedrooms, by the floor area.
        "bedrooms" Bedrooms { bedrooms: u32 }
        at "/dwelling/bedrooms"
        says "{bedrooms} bedrooms by the floor area";

        /// Storeys, by the kind of dwelling.
        "storeys" Storeys { storeys: u32 }
        at "/rooms"
        says "storeys by the kind of dwelling: {storeys}";

        /// A construction by a typical element, and how far it is known.
        "construction" Element { construction: &'static str, element: String, construction_year: u32, chosen: By, spread: f64 }
        at "/constructions/{construction}"
        says {
            let what = element.replace('_', " ");
            format!("{what} of {construction_year}, {chosen}; spread {spread:.2}")
        };

        /// The floor on the ground, and how far it is known.
        "construction" Slab { construction: &'static str, insulation_mm: f64, chosen: By, spread: f64 }
        at "/constructions/{construction}"
        says "a slab on clay with {insulation_mm} mm of insulation, {chosen}; spread {spread:.2}";

        /// A construction between heated spaces, by common practice.
        "construction" Between { construction: &'static str, u_value_w_m2k: f64, origin: Provenance, spread: f64 }
        at "/constructions/{construction}"
        says {
            let what = construction.replace('_', " ");
            format!("{what} with {u_value_w_m2k} W/(m²K) ({origin}); spread {spread:.2}")
        };

        /// The air, and how far it is known.
        "tightness" Tightness { spread: f64 }
        at "/dwelling/ventilation"
        says "air changes by use of the rooms and year of construction; spread {spread:.2}";

        /// What thermal bridges add, as in the typology.
        "thermal_bridging" ThermalBridging { allowance_w_m2k: f64 }
        at "/dwelling/thermal_bridging"
        says "thermal bridges add {allowance_w_m2k:.3} W/(m²K), as in the like dwellings of the typology";

        /// The area of outer walls, by the proportions of dwellings of the typology.
        "outer_walls" OuterWalls { area_m2: f64, dwellings: Vec<String>, spread: f64 }
        at "/rooms"
        says ("{area_m2:.1} m² of outer walls with their windows and doors, {like}; spread {spread:.2}", like = like(&dwellings));

        /// The area of windows, by the same.
        "windows" Windows { area_m2: f64, dwellings: Vec<String>, spread: f64 }
        at "/rooms"
        says ("{area_m2:.1} m² of windows, {like}; spread {spread:.2}", like = like(&dwellings));

        /// The area of doors to outside, by the same.
        "doors" Doors { area_m2: f64, dwellings: Vec<String>, spread: f64 }
        at "/rooms"
        says ("{area_m2:.1} m² of doors to outside, {like}; spread {spread:.2}", like = like(&dwellings));

        /// The area of floor on the ground, by the same.
        "ground" Ground { area_m2: f64, dwellings: Vec<String>, spread: f64 }
        at "/rooms"
        says ("{area_m2:.1} m² of floor on the ground, {like}; spread {spread:.2}", like = like(&dwellings));

        /// The area of roof, by the same.
        "roof" Roof { area_m2: f64, dwellings: Vec<String>, spread: f64 }
        at "/rooms"
        says ("{area_m2:.1} m² of roof, {like}; spread {spread:.2}", like = like(&dwellings));

        /// The plan of storeys and rooms.
        "plan" Plan { width_m: f64, depth_m: f64, height_m: f64, spread: f64 }
        at "/rooms"
        says "storeys are plain rectangles {width_m:.1} m wide, the lowest {depth_m:.1} m deep, rooms {height_m:.2} m high, cut into a front and a back row; walls look to no known direction; other areas have a spread of {spread:.2}";

        /// What heats a room: a radiator, where it hangs, and how much wall is clear for it.
        "emitter" Emitter { at: At, room: String, wall: Wall, clear_wall_mm: f64, usual: bool }
        at "{at}"
        says {
            let why = if usual { "" } else { ", for fewer do not carry the room" };
            format!("a radiator {wall} with {clear_wall_mm:.0} mm of clear wall{why}")
        };

        /// How warm the flow is, and how wide the drop.
        "heating" Heating { flow_temperature_c: f64, drop_k: f64, from_c: f64, to_c: f64, step_k: f64 }
        at "/heating"
        says "a flow of {flow_temperature_c} °C, of {from_c} to {to_c} °C in steps of {step_k} K the coolest that suits radiators on these walls and the heat sources of the price book, with a drop of {drop_k} K";

        /// Old radiators, which are taken off.
        "old_radiators" OldRadiators { radiators: u32 }
        at "/rooms"
        says "{radiators} old radiators, one in every room, are taken off; one that turns out large enough may stay, so measure them";

        /// Pipes of the old heating, which stay.
        "pipes_kept" PipesKept { least_mm: f64, most_mm: f64 }
        at "/pipework/existing"
        says "copper pipes of the usual sizes, {least_mm} to {most_mm} mm, lie to the old radiators and stay; look at them before a price is given";

        /// Where a flat lies that does not say.
        "flat_storey" FlatStorey { ground_percent: f64, roof_percent: f64 }
        at "/rooms"
        says "where the flat lies in its building is not told: {ground_percent:.0} % of it lies on the ground and {roof_percent:.0} % under the roof, as flats do on average; say flat_storey";

        /// The grant that is asked for.
        "grant_rule" Grant { rule: String, date: String }
        at "/commercial/grant"
        says "the grant by the rule {rule}, as it is on {date}";

        /// Mains gas is taken to be at hand.
        "grant_with_gas" GrantWithGas {}
        at "/commercial/grant"
        says "whether mains gas is at hand is not told: the grant is that of a house that has it, and more may be had without; say mains_gas";
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

        /// Pipes are said to stay of a heating that mostly has none.
        "pipes_kept_doubtful" PipesKeptDoubtful {}
        at "/pipework/existing"
        says "pipes are said to stay, and electric heaters and stoves mostly have none: they and the old radiators are outlined as those of a boiler; look before a price is given";

        /// A grant is wanted that the nation does not have.
        "no_grant" NoGrant { nation: InNation, date: String }
        at "/commercial"
        says "no grant for a heat pump is known in {nation} on {date}: none is asked for";

        /// The design of the outline leaves something unmet.
        "cannot_be_heated" CannotBeHeated { codes: Vec<String>, reason: String }
        at "/heating"
        says "this house cannot be heated so: {reason}";
    }
}

/// The entries of all of them in the register of codes.
#[must_use]
pub fn registered() -> Vec<Registered> {
    [<Assumed as Finding<()>>::registered(), <Doubted as Finding<()>>::registered()].concat()
}
