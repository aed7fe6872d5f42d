//! The grant that a client may ask for: by nation, date, what heats now and whether mains gas is at hand.

use jiff::civil::Date;

use super::assumed::{Assumed, Doubted};
use super::facts::Facts;
use crate::catalogue::rules::{self, Nation, Replaced, Rule, RuleKind};
use crate::intake::Id;
use crate::job::commercial::{Commercial, Grant};
use crate::job::dwelling::ExistingHeating;
use crate::notes::Notes;

/// Key of the rule of a heat pump's grant, and how the keys of those begin that are for houses without mains gas.
const GRANT: &str = "grant_air_to_water";
const OFF_GAS: &str = "grant_air_to_water_off_gas";

/// The firm's side of the job: the date of the quote, and the grant that is wanted or not.
#[must_use]
pub fn commercial(facts: &Facts, rules: &[Rule], notes: &mut Notes) -> Option<Commercial> {
    let quote_date = facts.quote_date;
    let grant = facts.grant_wanted.map(|is_wanted| {
        let rule = quote_date.filter(|_| is_wanted).map(|date| (date, rule(facts, date, rules)));
        match rule {
            Some((date, Some(key))) => {
                let is_oil_or_lpg = matches!(
                    facts.existing_heating,
                    Some(ExistingHeating::OilBoiler {} | ExistingHeating::LpgBoiler {})
                );
                if facts.mains_gas.is_none() && is_oil_or_lpg {
                    notes.add(&Assumed::GrantWithGas {});
                }
                notes.add(&Assumed::Grant { rule: key.to_owned(), date: date.to_string() });
                Grant::Scheme { rule: Id(key.to_owned()), application_date: date, offer_date: None }
            }
            Some((date, None)) => {
                notes.add(&Doubted::NoGrant { nation: facts.nation.into(), date: date.to_string() });
                Grant::None {}
            }
            None => Grant::None {},
        }
    });
    (quote_date.is_some() || grant.is_some()).then(|| Commercial { quote_date, grant, ..Commercial::default() })
}

/// Key of the rule: that of a house without mains gas whose fuel is told, where there is one, or the plain one.
fn rule<'r>(facts: &Facts, date: Date, rules: &'r [Rule]) -> Option<&'r str> {
    let holds = |row: &&Rule| {
        row.nation == facts.nation && row.gives(RuleKind::Grant) && row.kind != Some(RuleKind::Tax) && {
            let found = rules::find(&row.key, facts.nation, date, rules);
            found.is_some_and(|found| std::ptr::eq(found.row, *row))
        }
    };
    let replaced = facts.existing_heating.as_ref().and_then(replaced);
    let off_gas = rules.iter().filter(holds).find(|row| {
        let is_for = replaced.is_some_and(|replaced| row.replaces.contains(&replaced));
        facts.mains_gas == Some(false) && row.key.starts_with(OFF_GAS) && is_for
    });
    off_gas.or_else(|| rules.iter().filter(holds).find(|row| row.key == GRANT)).map(|row| row.key.as_str())
}

/// What is replaced, as rules of grants name it.
fn replaced(existing: &ExistingHeating) -> Option<Replaced> {
    match existing {
        ExistingHeating::GasBoiler {} => Some(Replaced::GasBoiler),
        ExistingHeating::OilBoiler {} => Some(Replaced::OilBoiler),
        ExistingHeating::LpgBoiler {} => Some(Replaced::LpgBoiler),
        ExistingHeating::Electric {} => Some(Replaced::Electric),
        ExistingHeating::SolidFuel {} => Some(Replaced::SolidFuel),
        ExistingHeating::HeatPump {} | ExistingHeating::None {} => None,
    }
}

/// A nation in words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InNation {
    /// England.
    England,
    /// Wales.
    Wales,
    /// Scotland.
    Scotland,
    /// Northern Ireland.
    NorthernIreland,
}

impl From<Nation> for InNation {
    fn from(nation: Nation) -> Self {
        match nation {
            Nation::England => Self::England,
            Nation::Wales => Self::Wales,
            Nation::Scotland => Self::Scotland,
            Nation::NorthernIreland => Self::NorthernIreland,
        }
    }
}

crate::terms! {
    InNation {
        England: "england", "England";
        Wales: "wales", "Wales";
        Scotland: "scotland", "Scotland";
        NorthernIreland: "northern_ireland", "Northern Ireland";
    }
}
