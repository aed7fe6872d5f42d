//! The grant that a job asks for: its rule and date, what in the job contradicts it, and what is doubtful of it.

use jiff::civil::Date;

use super::Gathering;
use super::assumed::Money as Assumed;
use super::commercial::NEW_DWELLING;
use crate::catalogue::rules::{self, Replaced, RuleKind};
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
}

terms! {
    GrantCondition {
        NoHeatPumpYet: "heat_pump_already", "the dwelling has a heat pump already";
        HeatingReplaced: "nothing_replaced", "no heating is replaced";
        HeatingOfTheRule: "other_heating_replaced", "the heating that is replaced is none that the rule is for";
        WholeDemand: "demand_not_covered", "no heat source carries the whole dwelling and its hot water";
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
    /// The job does not say what is replaced.
    HeatingNotTold,
}

terms! {
    GrantDoubt {
        HeatPumpAlready: "heat_pump_already", "the dwelling has a heat pump already";
        NothingReplaced: "nothing_replaced", "no heating is replaced";
        NewDwelling: "new_dwelling", "the dwelling is taxed as a new one";
        HeatingNotTold: "heating_not_told", "the job does not say what heating is replaced";
    }
}

impl Gathering<'_> {
    pub(super) fn grant(&mut self, written: &Written) -> Option<AskedGrant> {
        match &written.grant {
            Some(Grant::Scheme { rule, application_date }) => {
                self.check_rule("/commercial/grant/rule", rule, RuleKind::Grant);
                self.rule_on(rule, *application_date, "/commercial/grant/application_date");
                self.notes.add(&Assumed::GrantConditions {});
                let found = rules::find(rule, self.job.site.nation, *application_date, &self.book.rules);
                let replaces = found.map(|found| found.row.replaces.as_slice()).unwrap_or_default();
                let (contradicted, mut doubts) = held(replaces, self.job.dwelling.existing_heating.as_ref());
                if written.supplies.values().any(|supply| &*supply.tax_rule == NEW_DWELLING) {
                    doubts.push(GrantDoubt::NewDwelling);
                }
                Some(AskedGrant { rule: rule.0.clone(), application_date: *application_date, contradicted, doubts })
            }
            Some(Grant::None {}) => None,
            None => {
                self.notes.add(&Assumed::NoGrant {});
                None
            }
        }
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
