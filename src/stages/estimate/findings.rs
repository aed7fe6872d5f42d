//! What a bill cannot price, and what looks wrong with a price.

use jiff::civil::Date;

use crate::catalogue::binder::Binder;
use crate::findings;
use crate::list::Index;
use crate::money::Money;
use crate::survey::{Commercial, GrantCondition, GrantDoubt, GrantTerm, Room, Survey};
use crate::terms;

findings! {
    /// What a bill cannot price.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum Unmet: Unmet of survey: Survey {
        /// No flexible hose of the price book is wide and long enough.
        "no_hose" Hoses { length_m: f64, need_m3_h: f64, reached_m3_h: f64 }
        at "/pipework/primary/hoses"
        wants (*need_m3_h, *reached_m3_h, "m³/h")
        says "no flexible hose of the price book is {length_m} m long with a Kv of {need_m3_h} m³/h: of those long enough the widest has {reached_m3_h} m³/h; none is in the bill";

        /// Something is given with the job and has no price.
        "no_price" GivenInsulation {}
        at "/pipework"
        wants (1.0, 0.0, "each")
        says "insulation that is given with the job has no price; it is not in the bill";

        /// The heat source is given with the job and has no price.
        "no_price" GivenHeatSource {}
        at "/plant/heat_source"
        wants (1.0, 0.0, "each")
        says "the heat source is given with the job and has no price; it is not in the bill";

        /// The boards of the price book are thinner than the insulation that a floor is designed with.
        "board_too_thin" Board { room: Index<Room>, need_mm: f64, reached_mm: f64 }
        at "/rooms/{room}"
        wants (*need_mm, *reached_mm, "mm")
        says "the floor of room {room} is designed with {need_mm:.0} mm of insulation, and the thickest board has {reached_mm:.0} mm";

        /// No screed of the price book has the binder that floors are designed with.
        "no_screed_of_binder" ScreedBinder { binder: Binder }
        at "/commercial"
        wants (1.0, 0.0, "each")
        says "the price book has no {binder} screed; the one nearest in conductivity is in the bill";

        /// A loop is longer than the coils that it would be cut from.
        "coil_too_short" Coil { loop_m: f64, coil_m: f64 }
        at "/rooms"
        wants (*loop_m, *coil_m, "m")
        says "a loop of {loop_m:.1} m is longer than the coils of its pipe, {coil_m:.0} m; lay shorter loops";

        /// The price book has no product of a kind that the bill needs.
        "no_product" Product { product: Wanted }
        at "/commercial"
        wants (1.0, 0.0, "each")
        says "the price book has no {product}; it is not in the bill";
    }
}

findings! {
    /// What looks wrong with a price.
    #[derive(Debug, Clone, PartialEq)]
    pub enum Warning: Warning of survey: Survey {
        /// A grant is asked for, and no heat source is in the bill that it could be for.
        "grant_without_heat_source" GrantWithoutSource {}
        at "/commercial/grant"
        says "no heat source is in the bill, so no grant is taken off";

        /// A grant is asked for a heat source above the scheme's limit.
        "grant_above_limit" GrantAboveLimit { capacity_kw: f64, most_kw: f64 }
        at "/commercial/grant"
        says "the heat source gives {capacity_kw:.1} kW, and the scheme ends at {most_kw} kW: no grant is taken off";

        /// A grant is asked for, and a condition of it is not met: it is not taken off.
        "grant_not_met" GrantNotMet { condition: GrantCondition }
        at "/commercial/grant"
        says "{condition}: the conditions of the grant are not met, and it is not taken off";

        /// A grant is asked for, and it is doubtful whether its conditions are met.
        "grant_doubtful" GrantDoubtful { doubt: GrantDoubt }
        at "/commercial/grant"
        says "{doubt}: make sure of the grant with its scheme before it is promised";

        /// The first payment is more than the client owes at all.
        "deposit_above_owed" DepositAboveOwed { payment: String, asked: Money, owed: Money }
        at "/commercial/stage_payments/0"
        says (
            "the payment “{payment}” asks for {asked}, and {owed} is all that the client owes after the grant: ask for no more",
            asked = survey.book.amount(asked), owed = survey.book.amount(owed)
        );

        /// A screed is bought laid, and the firm's own hours of its visit are in the price as well.
        "screed_laid_twice" ScreedLaidTwice { task: String, labour_h: f64 }
        at "/commercial/price_book/labour/tasks"
        says "the screed is bought laid, and {task} has {labour_h:.1} h of the firm's own in its visit: count them per screed_m2, or not at all";

        /// More is paid before the work is done than insurance of deposits covers.
        "paid_before_done" PaidBeforeDone { paid: Money, price: Money, most_percent: f64 }
        at "/commercial/stage_payments"
        says (
            "{paid} of {price} is paid before the work is done: what insures deposits and stage payments covers {most_percent:.0} % of the contract price, and what is paid above that is at the client's own risk",
            paid = survey.book.amount(paid), price = survey.book.amount(price)
        );

        /// More is paid before work begins than goods and labour by then can be worth.
        "paid_before_work" PaidBeforeWork { paid: Money, price: Money, most_percent: f64 }
        at "/commercial/stage_payments"
        says (
            "{paid} of {price} is paid before work begins: codes of the trade end at {most_percent:.0} % before goods are there",
            paid = survey.book.amount(paid), price = survey.book.amount(price)
        );

        /// A payment falls due before the quote.
        "tax_point_before_quote" TaxPointBeforeQuote { payment: String, number: usize, tax_point: String, quote_date: String }
        at "/commercial/stage_payments/{number}/tax_point"
        says "the payment “{payment}” has its tax point on {tax_point}, before the quote of {quote_date}";

        /// A payment falls due before one that stands before it.
        "tax_points_out_of_order" TaxPointOutOfOrder { payment: String, number: usize, tax_point: String, later: String }
        at "/commercial/stage_payments/{number}/tax_point"
        says "the payment “{payment}” has its tax point on {tax_point}, and one before it on {later}";

        /// A payment falls due after a rate has gone up.
        "rate_goes_up" RateGoesUp { payment: String, tax_point: String, quote_date: String, more_tax: Money }
        at "/commercial/stage_payments"
        says ("the payment “{payment}” of {tax_point} bears {more_tax} more VAT than at the rates of {quote_date}: an accountant says whether it can fall due before the rate goes up", more_tax = survey.book.amount(more_tax));

        /// What belongs to a grant beside its amount.
        "grant_terms" GrantTerms { term: GrantTerm }
        at "/commercial/grant"
        says "{term}";

        /// The last day of a grant is told of and not confirmed by its scheme.
        "grant_end_not_confirmed" GrantEnd { rule: String, end_told: String, date: String }
        at "/commercial/grant"
        says {
            let holds = if date > end_told {
                format!("too late, for it is applied for or work begins on {date}")
            } else {
                format!("time enough, for it is applied for and work begins by {date}")
            };
            format!("the grant {rule} is said to end on {end_told}: {holds}; its scheme does not confirm that day, so ask for it before the amount is promised")
        };

        /// A tax or grant rule ends before the date that it is asked for; the last one known is used.
        "rule_beyond" RuleBeyond { rule: String, date: String }
        at "/commercial"
        says "a date lies after the last rule known; the last one is used and must be confirmed";
    }
}

impl Warning {
    /// What a payment costs more because a rate has gone up since the quote.
    pub(super) fn rate_ends(commercial: &Commercial, (payment, paid): (&str, Date), more_tax: Money) -> Self {
        let (tax_point, quote_date) = (paid.to_string(), commercial.quote_date.to_string());
        Self::RateGoesUp { payment: payment.to_owned(), tax_point, quote_date, more_tax }
    }
}

findings! {
    /// What to beware of with a price.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum Caution: Caution of survey: Survey {
        /// Rates of tax are confirmed by an accountant.
        "tax" Tax {}
        at "/commercial"
        says "VAT follows each supply and its tax point; an accountant confirms them";
    }
}

/// A kind of product that a bill needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// Valves of a radiator.
    RadiatorValves,
    /// The thermostat of a room with a heated floor.
    RoomThermostat,
    /// What shuts a loop of a heated floor.
    LoopActuator,
    /// The electrical connection of a fan convector.
    FusedSpur,
    /// The limiter of a floor's flow temperature.
    FlowLimiter,
    /// Insulation boards.
    InsulationBoard,
    /// Separating layer under a calcium sulphate screed.
    SeparatingLayer,
    /// Edge strip.
    EdgeStrip,
    /// Screed.
    Screed,
    /// Strainer, valves and gauges of the plant room.
    PlantKit,
    /// Corrosion inhibitor.
    Inhibitor,
    /// Insulation for tubes.
    PipeInsulation,
    /// Valve that lets water out before it freezes.
    FreezeValve,
    /// Antifreeze.
    Antifreeze,
}

terms! {
    Wanted {
        RadiatorValves: "radiator_valves", "radiator valves";
        RoomThermostat: "room_thermostat", "room thermostat of underfloor heating";
        LoopActuator: "loop_actuator", "actuator of a floor loop";
        FusedSpur: "fused_spur", "fused spur";
        FlowLimiter: "flow_limiter", "flow temperature limiter";
        InsulationBoard: "insulation_board", "insulation board";
        SeparatingLayer: "separating_layer", "separating layer";
        EdgeStrip: "edge_strip", "edge strip";
        Screed: "screed", "screed";
        PlantKit: "plant_kit", "plant kit";
        Inhibitor: "inhibitor", "inhibitor";
        PipeInsulation: "pipe_insulation", "insulation for a pipe of the runs";
        FreezeValve: "freeze_valve", "freeze-protection valve";
        Antifreeze: "antifreeze", "antifreeze of the kind that the job names";
    }
}
