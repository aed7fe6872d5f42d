//! What is filled in about money and days.

use crate::catalogue::binder::Binder;
use crate::catalogue::provenance::Provenance;
use crate::{findings, terms};

/// What the price does not hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotInThePrice {
    /// Work on what is there.
    TakingOut,
    /// Work of other trades.
    OtherTrades,
    /// What the outdoor unit stands on and drains to.
    BaseAndDrain,
    /// What the job names for runs.
    Fittings,
    /// Hours against frost.
    FrostHours,
    /// Controls.
    Controls,
    /// Insulation of pipes where the house is heated: what lies in the cold is insulated.
    PipeInsulation,
    /// The circuit to the cylinder, where the job tells none.
    ToCylinder,
    /// The circuit to the outdoor unit, where the job tells none.
    ToOutdoorUnit,
    /// The cylinder's own water: what comes in cold, and what its valves let out.
    ColdMain,
    /// What keeps dirt from the heat source.
    Filter,
    /// Flushing what stays, where the book counts no hours for it.
    Flushing,
    /// Valves of radiators that stay.
    KeptValves,
    /// Antifreeze or valves.
    FrostProtection,
    /// What heats a store against legionella, where it is kept below that temperature.
    Disinfection,
}

terms! {
    NotInThePrice {
        TakingOut: "old_plant_taken_out", "taking out an old heat source or cylinder";
        OtherTrades: "builders_and_electrical_work", "builder's and electrical work";
        BaseAndDrain: "outdoor_base_and_drain", "the outdoor unit's base and drain";
        Fittings: "fittings_named_for_runs", "valves, strainers and other fittings that the job names for runs";
        FrostHours: "frost_protection_hours", "hours for hoses and freeze-protection valves";
        Controls: "controls", "controls";
        PipeInsulation: "pipe_insulation", "insulation of pipes where the house is heated";
        ToCylinder: "tube_to_the_cylinder", "pipe from the plant to the cylinder";
        ToOutdoorUnit: "tube_to_the_outdoor_unit", "pipe between the plant and the outdoor unit, its insulation and hours";
        ColdMain: "cold_main_and_discharge", "the cylinder's cold main and discharge pipe";
        Filter: "filter", "a filter that keeps dirt from the heat source";
        Flushing: "flushing", "flushing the old system that stays";
        KeptValves: "valves_of_what_stays", "new valves for radiators that stay";
        FrostProtection: "frost_protection", "frost protection";
        Disinfection: "weekly_disinfection", "an immersion heater for the weekly disinfection, where the cylinder has none, its timer and its supply";
    }
}

findings! {
    /// What is filled in about money and days.
    #[derive(Debug, Clone, PartialEq)]
    pub enum Money: Assumption of nothing: () {
        /// When work begins.
        "programme_start" ProgrammeStart { programme_start: String }
        at "/commercial"
        says "work begins on {programme_start}, the Monday after the quote";

        /// How long the quote holds.
        "valid_until" ValidUntil { valid_until: String, days: u32 }
        at "/commercial"
        says "the quote can be accepted until {valid_until}, {days} days after its date";

        /// Who works, and how long a day.
        "crew" Crew { people: u32, hours_per_day_h: f64 }
        at "/commercial"
        says "{people} people of {hours_per_day_h} hours a day";

        /// What is added to costs.
        "margins" Margins { materials: f64, labour: f64 }
        at "/commercial"
        says "mark-up of {materials} on materials and {labour} on labour";

        /// The board under a heated floor whose insulation is not described.
        "board_thickness" BoardThickness { room: String }
        at "/rooms/{room}"
        says "what insulates the underfloor heating is not described by thickness: the thinnest board of the price book is billed";

        /// What the price does not hold.
        "not_in_the_bill" NotInTheBill { lacking: Vec<NotInThePrice> }
        at "/commercial"
        says "the price holds what the bill lists and no more: {lacking} are not in it";

        /// What the programme takes for granted.
        "programme" Programme {}
        at "/commercial"
        says "visits follow one another on working days; public holidays, other trades and deliveries are not counted";

        /// Whether people live there while the work is done.
        "lived_in" LivedIn {}
        at "/dwelling"
        says "people live in the house while the work is done, because something heats it now";

        /// How long a screed waits for its first heating.
        "screed_age" ScreedAge { days: u32, binder: Binder, origin: Provenance }
        at "/commercial"
        says "a screed is first heated {days} days after it is laid, as a {binder} one ({origin})";

        /// The rule of tax of a supply.
        "tax_rule" TaxRule { supply: String, rule: String }
        at "/commercial"
        says "VAT on the supply {supply} goes by the rule {rule}";

        /// A rule that rests on memory.
        "rule_from_memory" TaxFromMemory { rule: String, tax_rate: f64, from: String, origin: Provenance }
        at "/commercial"
        says "the rule {rule} says {tax_rate} from {from} on ({origin})";

        /// A grant whose rule rests on memory.
        "rule_from_memory" GrantFromMemory { rule: String, grant: f64, from: String, origin: Provenance }
        at "/commercial"
        says "the rule {rule} says {grant} from {from} on ({origin})";

        /// When the price is taxed.
        "tax_point" TaxPoint { tax_point: String }
        at "/commercial"
        says "one payment, taxed by the rates of the quote's date {tax_point}";

        /// The conditions of a grant are taken as met.
        "grant_conditions" GrantConditions {}
        at "/commercial/grant"
        says "the grant's conditions are taken as met: nation, owner, what is replaced, capacity, certificate; the scheme decides";

        /// No grant is applied for.
        "grant" NoGrant {}
        at "/commercial"
        says "no grant is applied for";
    }
}
