//! The grant that a job asks for: its rule and date, what in the job contradicts it, and what is doubtful of it.

use jiff::civil::Date;

use super::Gathering;
use super::assumed::Money as Assumed;
use super::commercial::NEW_DWELLING;
use super::plausible::is_new;
use crate::catalogue::rules::{self, Replaced, RuleKind, RuleTerm};
use crate::job::commercial::{Commercial as Written, Grant};
use crate::job::dwelling::ExistingHeating;
use crate::terms;

/// A grant that is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AskedGrant {
    /// Key of its rule.
    pub rule: String,
    /// Date of the application.
    pub application_date: Date,
    /// A condition that the job contradicts: it is not taken off then.
    pub contradicted: Option<GrantCondition>,
    /// What is doubtful of it.
    pub doubts: Vec<GrantDoubt>,
    /// What belongs to it beside its amount.
    pub terms: Vec<GrantTerm>,
    /// Last day that it is told to have and that its scheme does not confirm, and the later of its application and the first visit.
    pub end_told: Option<(Date, Date)>,
}

/// A condition of a grant for a heat pump.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GrantCondition {
    /// The dwelling has no heat pump yet.
    NoHeatPumpYet,
    /// A heating is replaced.
    HeatingReplaced,
    /// The heating that is replaced is one that the rule is for.
    HeatingOfTheRule,
    /// The heat source carries the whole dwelling.
    WholeDemand,
    /// Hot water is made and kept.
    HotWater,
    /// Work begins after the scheme's written offer.
    OfferFirst,
}

terms! {
    GrantCondition {
        NoHeatPumpYet: "heat_pump_already", "the dwelling has a heat pump already";
        HeatingReplaced: "nothing_replaced", "no heating is replaced";
        HeatingOfTheRule: "other_heating_replaced", "the heating that is replaced is none that the rule is for";
        WholeDemand: "demand_not_covered", "no heat source carries the whole dwelling and its hot water";
        OfferFirst: "work_before_offer", "work begins before the scheme's written offer";
        HotWater: "hot_water_not_covered", "no cylinder holds the hot water that is needed";
    }
}

/// What is doubtful of a grant for a heat pump.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GrantDoubt {
    /// The dwelling has a heat pump already.
    HeatPumpAlready,
    /// No heating is replaced.
    NothingReplaced,
    /// The dwelling is taxed as a new one.
    NewDwelling,
    /// The dwelling is built in the year of the application or in the one before.
    JustBuilt,
    /// The job does not say what is replaced.
    HeatingNotTold,
    /// The offer is dated before its application.
    OfferBeforeApplication,
    /// It is applied for when work has begun.
    AppliedAfterStart,
}

terms! {
    GrantDoubt {
        HeatPumpAlready: "heat_pump_already", "the dwelling has a heat pump already";
        NothingReplaced: "nothing_replaced", "no heating is replaced";
        NewDwelling: "new_dwelling", "the dwelling is taxed as a new one";
        JustBuilt: "just_built", "the dwelling is built in the year of the application or in the one before";
        HeatingNotTold: "heating_not_told", "the job does not say what heating is replaced";
        OfferBeforeApplication: "offer_before_application", "the offer is dated before its application";
        AppliedAfterStart: "applied_after_start", "it is applied for after the work begins, which a scheme may allow for no more than some months, or not at all";
    }
}

/// What belongs to a grant beside its amount, where the job does not settle it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GrantTerm {
    /// The amount is the most that is paid.
    Ceiling,
    /// No work before an offer that the job does not date.
    OfferNotTold,
    /// The rule is for homes on the gas grid, and what is replaced burns no gas.
    OffGasNotTold,
    /// What the category pays is not known.
    AmountNotKnown,
}

terms! {
    GrantTerm {
        Ceiling: "ceiling", "the scheme pays up to the amount that is taken off: its written offer says how much";
        OfferNotTold: "offer_not_told", "the scheme pays for no work that began before its written offer, and the job does not say when that comes (offer_date): begin nothing before it";
        OffGasNotTold: "off_gas_not_told", "the amount taken off is that of homes on the gas grid: one off it has a category of its own by what it replaces; make sure which holds";
        AmountNotKnown: "amount_not_known", "there is such a category, and what it pays is not known here: nothing is taken off; ask the scheme";
    }
}

impl Gathering<'_> {
    pub(super) fn grant(&mut self, written: &Written) -> Option<AskedGrant> {
        match &written.grant {
            Some(Grant::Scheme { rule, application_date, offer_date }) => {
                self.check_rule("/commercial/grant/rule", rule, RuleKind::Grant);
                self.rule_on(rule, *application_date, "/commercial/grant/application_date");
                self.notes.add(&Assumed::GrantConditions {});
                let found = rules::find(rule, self.job.site.nation, *application_date, &self.book.rules);
                let replaces = found.map(|found| found.row.replaces.as_slice()).unwrap_or_default();
                let existing = self.job.dwelling.existing_heating.as_ref();
                let (mut contradicted, mut doubts) = held(replaces, existing);
                let terms = found.map(|found| found.row.terms.as_slice()).unwrap_or_default();
                let offer = Offer { application_date: *application_date, offer_date: *offer_date };
                if terms.contains(&RuleTerm::OfferFirst) && offer.is_after(written.programme_start) {
                    contradicted = contradicted.or(Some(GrantCondition::OfferFirst));
                }
                let terms = terms.iter().filter_map(|term| unsettled(*term, offer, existing)).collect();
                let starts = written.programme_start.unwrap_or(*application_date);
                let end_told = found.and_then(|found| found.row.end_told);
                let end_told = end_told.map(|end_told| (end_told, starts.max(*application_date)));
                if written.supplies.values().any(|supply| &*supply.tax_rule == NEW_DWELLING) {
                    doubts.push(GrantDoubt::NewDwelling);
                } else if is_new(self.job.dwelling.construction_year, *application_date) {
                    doubts.push(GrantDoubt::JustBuilt);
                }
                if offer_date.is_some_and(|offered| offered < *application_date) {
                    doubts.push(GrantDoubt::OfferBeforeApplication);
                }
                if *application_date > starts {
                    doubts.push(GrantDoubt::AppliedAfterStart);
                }
                let (rule, application_date) = (rule.0.clone(), *application_date);
                Some(AskedGrant { rule, application_date, contradicted, doubts, terms, end_told })
            }
            Some(Grant::None {}) => None,
            None => {
                self.notes.add(&Assumed::NoGrant {});
                None
            }
        }
    }
}

/// When a grant is asked for, and when its offer comes.
#[derive(Clone, Copy)]
struct Offer {
    application_date: Date,
    offer_date: Option<Date>,
}

impl Offer {
    /// Whether it comes after work has begun; no offer comes before its application.
    fn is_after(self, start: Option<Date>) -> bool {
        let offered = self.offer_date.map_or(self.application_date, |offered| offered.max(self.application_date));
        start.is_some_and(|start| start < offered)
    }
}

/// What of a term the job leaves open.
fn unsettled(term: RuleTerm, offer: Offer, existing: Option<&ExistingHeating>) -> Option<GrantTerm> {
    match term {
        RuleTerm::Ceiling => Some(GrantTerm::Ceiling),
        RuleTerm::OfferFirst => offer.offer_date.is_none().then_some(GrantTerm::OfferNotTold),
        RuleTerm::OnGasGrid => {
            let burns_other = existing.is_some_and(|existing| *existing != ExistingHeating::GasBoiler {});
            burns_other.then_some(GrantTerm::OffGasNotTold)
        }
        RuleTerm::AmountNotKnown => Some(GrantTerm::AmountNotKnown),
    }
}

/// What is replaced, held against what a rule asks for: what contradicts it, and what is doubtful. A rule that asks for nothing
/// contradicts nothing.
fn held(replaces: &[Replaced], existing: Option<&ExistingHeating>) -> (Option<GrantCondition>, Vec<GrantDoubt>) {
    let is_asked = !replaces.is_empty();
    let replaced = match existing {
        None => return (None, Vec::from_iter(is_asked.then_some(GrantDoubt::HeatingNotTold))),
        Some(ExistingHeating::HeatPump {}) if is_asked => return (Some(GrantCondition::NoHeatPumpYet), Vec::new()),
        Some(ExistingHeating::HeatPump {}) => return (None, vec![GrantDoubt::HeatPumpAlready]),
        Some(ExistingHeating::None {}) if is_asked => return (Some(GrantCondition::HeatingReplaced), Vec::new()),
        Some(ExistingHeating::None {}) => return (None, vec![GrantDoubt::NothingReplaced]),
        Some(ExistingHeating::GasBoiler {}) => Replaced::GasBoiler,
        Some(ExistingHeating::OilBoiler {}) => Replaced::OilBoiler,
        Some(ExistingHeating::LpgBoiler {}) => Replaced::LpgBoiler,
        Some(ExistingHeating::Electric {}) => Replaced::Electric,
        Some(ExistingHeating::SolidFuel {}) => Replaced::SolidFuel,
    };
    let is_other = is_asked && !replaces.contains(&replaced);
    (is_other.then_some(GrantCondition::HeatingOfTheRule), Vec::new())
}
