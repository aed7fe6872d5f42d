//! The price: net by supply, tax at the rate of each tax point, grant off the gross, and what is left to pay.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::bill::Bill;
use super::payments::{self, PaymentRow};
use super::programme::ProgrammeAnswer;
use super::visits::SCREED;
use super::{Design, EstimateError, Warning};
use crate::catalogue::rules::{self, Found};
use crate::design::findings::Pointed;
use crate::money::Money;
use crate::survey::{Commercial, GrantCondition, Survey};

/// Result of the stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Price {
    /// Net, tax and gross of each supply.
    pub supplies: Vec<SupplyRow>,
    /// Payments.
    pub payments: Vec<PaymentRow>,
    /// Grant.
    pub grant: Money,
    /// Last day on which the quote can be accepted.
    pub valid_until: Date,
    /// What looks wrong.
    pub warnings: Vec<Warning>,
}

/// Tax of one supply at one tax point.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SupplyRow {
    /// The supply.
    pub supply: String,
    /// Key of its rule of tax.
    pub tax_rule: String,
    /// Date that the rate is taken from.
    #[schema(value_type = String, format = Date)]
    pub tax_point: Date,
    /// Rate of tax (a ratio).
    pub rate: f64,
    /// Net amount.
    pub net: Money,
    /// Tax on it, rounded once.
    pub tax: Money,
}

/// Makes the price, from the bill and the days on which its work is done.
///
/// # Errors
/// [`EstimateError`] if no rule holds on a date, or an amount cannot be reckoned exactly.
pub fn compute(
    design: Design<'_>,
    commercial: &Commercial,
    (bill, programme): (&Bill, &ProgrammeAnswer),
) -> Result<Price, EstimateError> {
    let mut rules = Rules { survey: design.survey, commercial, warnings: Vec::new() };
    let nets = by_supply(commercial, bill)?;
    let mut left: Vec<Money> = nets.iter().map(|(.., net)| *net).collect();
    let (mut supplies, mut payments) = (Vec::new(), Vec::new());
    let done = programme.visits.last().map(|visit| visit.earliest_finish);
    for (index, payment) in commercial.payments.iter().enumerate() {
        let is_last = index + 1 == commercial.payments.len();
        let (mut net_sum, mut tax_sum, mut more) = (Money::ZERO, Money::ZERO, Money::ZERO);
        for ((supply, tax_rule, net), left) in nets.iter().zip(&mut left) {
            // the last payment takes what the others left, so that the shares add up to the penny
            let part = if is_last { *left } else { net.times(payment.share).ok_or(EstimateError::TooLarge)? };
            *left = *left - part;
            let rate = rules.rate(tax_rule, payment.tax_point)?;
            let tax = part.times(rate).ok_or(EstimateError::TooLarge)?;
            let now = rules.on(tax_rule, commercial.quote_date).and_then(|now| part.times(now)).unwrap_or(tax);
            // a price that no payment is told of is mostly paid when the work is done
            let then = done.filter(|_| !commercial.has_payments).and_then(|done| rules.on(tax_rule, done));
            let due = then.and_then(|then| part.times(then)).map_or(tax, |then| then.max(tax));
            more += due - now.min(due);
            net_sum += part;
            tax_sum += tax;
            let (supply, tax_rule, tax_point) = (supply.clone(), tax_rule.clone(), payment.tax_point);
            supplies.push(SupplyRow { supply, tax_rule, tax_point, rate, net: part, tax });
        }
        if more > Money::ZERO {
            let paid = done.filter(|_| !commercial.has_payments).unwrap_or(payment.tax_point);
            rules.warnings.push(Warning::rate_ends(commercial, (&payment.name, paid), more));
        }
        payments.push(PaymentRow::before_grant(payment, net_sum, tax_sum));
    }
    let grant = rules.grant(design)?;
    let Rules { mut warnings, .. } = rules;
    warnings.dedup();
    payments::take_grant(&mut payments, grant);
    let of_screed = bill.tasks.iter().filter(|task| bill.is_laid_by_others && task.visit == SCREED);
    warnings.extend(of_screed.map(|task| {
        let (task, labour_h) = (task.task.clone(), task.labour_h);
        Warning::ScreedLaidTwice { task, labour_h }
    }));
    warnings.extend(payments::warnings(design.survey, commercial, &payments, done));
    Ok(Price { supplies, payments, grant, valid_until: commercial.valid_until, warnings })
}

/// Net amount of every supply that the bill holds, with its rule of tax, in the order of the bill.
fn by_supply(commercial: &Commercial, bill: &Bill) -> Result<Vec<(String, String, Money)>, EstimateError> {
    let mut nets: Vec<(String, String, Money)> = Vec::new();
    for (supply, net) in bill.nets() {
        if let Some((.., sum)) = nets.iter_mut().find(|(known, ..)| known == supply) {
            *sum += net;
            continue;
        }
        let rule = commercial.supplies.iter().find(|(id, _)| id == supply).map(|(_, rule)| rule.clone());
        let rule = rule.ok_or_else(|| EstimateError::NoSupply { supply: supply.to_owned() })?;
        nets.push((supply.to_owned(), rule, net));
    }
    Ok(nets)
}

/// The dated rules, asked one after the other; what is doubtful of them is gathered.
struct Rules<'r> {
    survey: &'r Survey,
    commercial: &'r Commercial,
    warnings: Vec<Warning>,
}

impl<'r> Rules<'r> {
    fn rule(&mut self, key: &str, date: Date, pointer: &str) -> Result<Found<'r>, EstimateError> {
        let found = rules::find(key, self.commercial.nation, date, &self.survey.book.rules);
        let missing = || EstimateError::NoRule { pointer: pointer.to_owned(), key: key.to_owned(), date };
        let found = found.ok_or_else(missing)?;
        if found.beyond {
            self.warnings.push(Warning::RuleBeyond { rule: key.to_owned(), date: date.to_string() });
        }
        Ok(found)
    }

    fn rate(&mut self, key: &str, date: Date) -> Result<f64, EstimateError> {
        self.rule(key, date, "/commercial/supplies").map(|found| found.value)
    }

    /// The rate on a day, where there is one then.
    fn on(&self, key: &str, date: Date) -> Option<f64> {
        rules::find(key, self.commercial.nation, date, &self.survey.book.rules).map(|found| found.value)
    }

    /// The grant, where there is a heat source that it can be for; what speaks against it is warned of.
    fn grant(&mut self, design: Design<'_>) -> Result<Money, EstimateError> {
        let Some(asked) = &self.commercial.grant else { return Ok(Money::ZERO) };
        let key = &asked.rule;
        let Found { value, row, .. } = self.rule(key, asked.application_date, "/commercial/grant")?;
        let Some(candidate) = design.source.candidate() else {
            self.warnings.push(Warning::GrantWithoutSource {});
            return Ok(Money::ZERO);
        };
        let no_source = design.source.chosen.is_none().then_some(GrantCondition::WholeDemand);
        let no_cylinder = design.plant.cylinder.is_none().then_some(GrantCondition::HotWater);
        if let Some(condition) = asked.contradicted.or(no_source).or(no_cylinder) {
            self.warnings.push(Warning::GrantNotMet { condition });
            return Ok(Money::ZERO);
        }
        let capacity_kw = candidate.capacity_w / 1000.0;
        if let Some(most_kw) = row.heat_source_max_kw.filter(|most_kw| capacity_kw > *most_kw) {
            self.warnings.push(Warning::GrantAboveLimit { capacity_kw, most_kw });
            return Ok(Money::ZERO);
        }
        self.warnings.extend(asked.doubts.iter().map(|&doubt| Warning::GrantDoubtful { doubt }));
        self.warnings.extend(asked.terms.iter().map(|&term| Warning::GrantTerms { term }));
        self.warnings.extend(asked.end_told.map(|(end_told, date)| {
            let (rule, end_told, date) = (key.clone(), end_told.to_string(), date.to_string());
            Warning::GrantEnd { rule, end_told, date }
        }));
        Money::from_f64(value).ok_or_else(|| EstimateError::OddRule { key: key.clone() })
    }
}

impl Price {
    /// The price as it is answered.
    #[must_use]
    pub fn answer(&self, survey: &Survey, complete: bool) -> PriceAnswer {
        let net: Money = self.payments.iter().map(|payment| payment.net).sum();
        let tax: Money = self.payments.iter().map(|payment| payment.tax).sum();
        let gross = net + tax;
        // a grant pays no more than the price
        let grant = self.grant.min(gross);
        PriceAnswer {
            net,
            tax,
            gross,
            grant,
            payable: gross - grant,
            currency: survey.book.currency.clone(),
            valid_until: Some(self.valid_until),
            supplies: self.supplies.clone(),
            payments: self.payments.clone(),
            complete,
        }
    }
}

/// The price as it is answered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PriceAnswer {
    /// Net price.
    pub net: Money,
    /// Tax.
    pub tax: Money,
    /// Net and tax.
    pub gross: Money,
    /// Grant, which comes off the gross.
    pub grant: Money,
    /// What the client pays.
    pub payable: Money,
    /// Currency of every amount, by ISO 4217.
    pub currency: String,
    /// Last day on which the quote can be accepted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = String, format = Date, required = true)]
    pub valid_until: Option<Date>,
    /// Tax of each supply at each tax point.
    pub supplies: Vec<SupplyRow>,
    /// Payments, and what the grant leaves of each.
    pub payments: Vec<PaymentRow>,
    /// Whether the price holds everything that the design needs.
    pub complete: bool,
}

/// It says nothing of places.
impl Pointed for PriceAnswer {}
