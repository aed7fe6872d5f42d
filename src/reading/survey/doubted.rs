//! What looks wrong in a job as it is meant.

use crate::catalogue::provenance::Provenance;
use crate::findings;
use crate::notes::At;
use crate::survey::serves::Serves;
use crate::terms;

findings! {
    /// What looks wrong in a job as it is meant.
    #[derive(Debug, Clone, PartialEq)]
    pub enum Doubted: Warning of nothing: () {
        /// A supply is taxed at several rates.
        "several_tax_rates" SeveralTaxRates { supply: String, least_percent: f64, most_percent: f64 }
        at "/commercial/stage_payments"
        says "VAT on the supply {supply} is {least_percent} to {most_percent} %, by the tax points of its payments; an accountant confirms them";

        /// Tax as of a dwelling that is lived in, where it may be another.
        "other_rates_may_hold" OtherRatesMayHold { why: OtherRates }
        at "/commercial/supplies"
        says "{why}: work on dwellings that are new, converted or empty for two years or more may be taxed at other rates (rules new_dwelling and reduced_rate); an accountant says which holds";

        /// The job lets a surface under timber come to more than timber bears.
        "timber_above_its_limit" TimberAboveItsLimit { at: At, surface_c: f64, bears_c: f64, origin: Provenance }
        at "{at}"
        says "the job lets the surface come to {surface_c} °C under a covering that by {origin} bears {bears_c} °C: have its maker confirm that";

        /// A taper outside a well ventilated layer counts for nothing.
        "layer_not_counted" TaperOutside { at: At, layer: usize }
        at "{at}/layers/{layer}/taper"
        says "the taper lies in or outside a well ventilated layer of air, and counts for nothing";

        /// Corrections in a construction with a taper count for nothing.
        "layer_not_counted" CorrectionsWithTaper { at: At }
        at "{at}/corrections"
        says "corrections count for nothing in a construction with a tapered layer";

        /// Corrected insulation outside a well ventilated layer counts for nothing.
        "layer_not_counted" CorrectedOutside { at: At }
        at "{at}/corrections"
        says "the insulation that is corrected lies in or outside a well ventilated layer of air, and counts for nothing";

        /// Openings of an air layer in the ground count for nothing.
        "layer_not_counted" OpenInTheGround { at: At, layer: usize }
        at "{at}/{layer}/openings_mm2_m"
        says "openings of a layer of air count for nothing in the ground";

        /// Hot water is to be stored hotter than it is made.
        "flow_below_storage" FlowBelowStorage { flow_temperature_c: f64, storage_temperature_c: f64 }
        at "/hot_water"
        says "hot water is made at a flow of {flow_temperature_c} °C and stored at {storage_temperature_c} °C: the heat source cannot reach that";

        /// The job has runs, and none serves something.
        "run_missing" RunMissing { serves: Serves }
        at "/pipework/runs"
        says "the job has runs, and none of them serves {serves}: one is estimated for it";

        /// Tubes stay, and nothing that stood before hangs on them.
        "kept_tubes_lead_nowhere" KeptTubesLeadNowhere {}
        at "/pipework/existing"
        says "pipes of the system before are kept, and none leads anywhere: they lie where an emitter is `existing` whose run the job does not draw, and there is none";

        /// Rooms take more of a slab than it has.
        "slab_smaller_than_rooms" SlabSmallerThanRooms { construction: String, rooms_m2: f64, slab_m2: f64 }
        at "/constructions/{construction}/area_m2"
        says "the rooms take {rooms_m2:.2} m² of a slab of {slab_m2} m²";

        /// A room loses nothing through what bounds it.
        "room_without_surfaces" RoomWithoutSurfaces { room: String }
        at "/rooms/{room}/surfaces"
        says "room {room} has no surfaces: it loses heat by its air alone";

        /// A floor, ceiling or roof is far larger than its room.
        "surface_larger_than_room" SurfaceLargerThanRoom { room: String, surface: String, area_m2: f64, floor_area_m2: f64 }
        at "/rooms/{room}/surfaces/{surface}/area_m2"
        says "the surface {surface}, with others of its part, has {area_m2} m², and the room's floor {floor_area_m2} m²: one of the two is likely wrong";

        /// A construction that nothing is made of.
        "construction_unused" ConstructionUnused { construction: String }
        at "/constructions/{construction}"
        says "construction {construction} is not used: no surface and no opening names it";

        /// The dwelling is built long after the quote.
        "construction_year_ahead" BuiltAhead { construction_year: u32, quote_date: String }
        at "/dwelling/construction_year"
        says "the dwelling is said to be built in {construction_year}, and the quote is of {quote_date}";

        /// Work begins before it is quoted.
        "programme_before_quote" ProgrammeBeforeQuote { programme_start: String, quote_date: String }
        at "/commercial/programme_start"
        says "work begins on {programme_start}, before the quote of {quote_date}";

        /// A date long after all rules.
        "date_beyond_rules" DateBeyondRules { at: At, date: String, newest: String }
        at "{at}"
        says "{date} lies long after the newest rule of VAT and grants that the price book has, of {newest}: what holds then is not known";

        /// How something is known that nothing hangs on.
        "basis_without_effect" BasisWithoutEffect { basis: String, at: At }
        at "/basis/{at}"
        says "how {basis} is known counts for nothing: constructions, the dwelling's air and the areas of surfaces are drawn, nothing within or beside them";

        /// A source is told of something that is no area.
        "source_without_effect" SourceWithoutEffect { basis: String, at: At }
        at "/basis/{at}"
        says "the source that {basis} is known by counts for nothing: areas of one source are drawn together, and no area is known by it";

        /// Supply and extract differ.
        "ventilation_unbalanced" VentilationUnbalanced { supply_m3_h: f64, extract_m3_h: f64 }
        at "/rooms"
        says "the rooms are supplied with {supply_m3_h:.1} m³/h and {extract_m3_h:.1} m³/h are extracted";

        /// Extract air that comes from no room named.
        "air_from_outside" AirFromOutside { room: String, flow_m3_h: f64 }
        at "/rooms/{room}/extract_m3_h"
        says "{flow_m3_h:.1} m³/h of the room's extract come from no room that is named, and are taken to come from outside";

        /// A member about air that counts for nothing with this ventilation.
        "air_not_counted" AirNotCounted { room: String, member: &'static str, ventilated: &'static str }
        at "/rooms/{room}/{member}"
        says "{member} counts for nothing: the dwelling is ventilated {ventilated}";
    }
}

/// Why other rates of tax may hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OtherRates {
    /// It is new.
    New,
    /// Nothing heats it.
    Unheated,
}

terms! {
    OtherRates {
        New: "new", "the dwelling was built in the year of the quote, or in the one before";
        Unheated: "unheated", "nothing heats the dwelling now";
    }
}
