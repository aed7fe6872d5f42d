//! The firm's side of the job, with every default filled.

use jiff::civil::{Date, Weekday};

use super::{Gathering, Room};
use crate::catalogue::rules::Nation;
use crate::intake::Fault;
use crate::job::commercial::{Commercial as Written, Grant};

/// Supply that the heating itself belongs to.
pub const HEATING: &str = "heating";
/// Supply that boards, strip and screed under a heated floor belong to.
pub const FLOOR_BUILD: &str = "floor_build";

/// Days from laying a cement screed to its first heating: EN 1264-4; from memory, to be confirmed.
pub const SCREED_DAYS: i64 = 21;

/// Rules of tax for supplies that the job does not name.
const DEFAULT_TAX: [(&str, &str); 2] = [(HEATING, "energy_saving_materials"), (FLOOR_BUILD, "standard_rate")];
/// Defaults of crew and margins.
const PEOPLE: u32 = 2;
const HOURS_PER_DAY_H: f64 = 7.5;
const MARGINS: (f64, f64) = (0.2, 0.35);

/// The firm's side of the job.
#[derive(Debug, Clone, PartialEq)]
pub struct Commercial {
    /// Nation whose rules hold.
    pub nation: Nation,
    /// Date of the quote.
    pub quote_date: Date,
    /// People who come.
    pub people: u32,
    /// Working hours of a day (h).
    pub hours_per_day_h: f64,
    /// Mark-up on materials.
    pub materials_margin: f64,
    /// Mark-up on labour.
    pub labour_margin: f64,
    /// Rule of tax of each supply, by the supply's id.
    pub supplies: Vec<(String, String)>,
    /// Share and tax point of each payment, and its name.
    pub payments: Vec<Payment>,
    /// Key of the grant's rule and date of the application.
    pub grant: Option<(String, Date)>,
    /// First day of work.
    pub programme_start: Date,
}

/// A payment.
#[derive(Debug, Clone, PartialEq)]
pub struct Payment {
    /// What it is for.
    pub name: String,
    /// Share of the price (0–1).
    pub share: f64,
    /// Date that its rate of tax is taken from.
    pub tax_point: Date,
}

impl Gathering<'_> {
    /// The firm's side; nothing where the job has no date to quote at, which a stage that needs money then tells.
    pub(super) fn commercial(&mut self, rooms: &[Room]) -> Option<Commercial> {
        let default = Written::default();
        let written = self.job.commercial.as_ref().unwrap_or(&default);
        let supplies = self.supplies(written);
        let quote_date = written.quote_date?;
        let payments = self.payments(written, quote_date);
        let grant = self.grant(written);
        let programme_start = written.programme_start.unwrap_or_else(|| {
            let start = next_monday(quote_date);
            self.notes.assume(
                "programme_start",
                "/commercial",
                format!("work begins on {start}, the Monday after the quote"),
            );
            start
        });
        let (people, hours_per_day_h) = written.crew.as_ref().map_or_else(
            || {
                let detail = format!("{PEOPLE} people of {HOURS_PER_DAY_H} hours a day");
                self.notes.assume("crew", "/commercial", detail);
                (PEOPLE, HOURS_PER_DAY_H)
            },
            |crew| (crew.people, crew.hours_per_day_h),
        );
        let (materials_margin, labour_margin) = written.margins.as_ref().map_or_else(
            || {
                let detail = format!("mark-up of {} on materials and {} on labour", MARGINS.0, MARGINS.1);
                self.notes.assume("margins", "/commercial", detail);
                MARGINS
            },
            |margins| (margins.materials, margins.labour),
        );
        self.programme(rooms);
        let nation = self.job.site.nation;
        Some(Commercial {
            nation,
            quote_date,
            people,
            hours_per_day_h,
            materials_margin,
            labour_margin,
            supplies,
            payments,
            grant,
            programme_start,
        })
    }

    /// What the programme takes for granted.
    fn programme(&mut self, rooms: &[Room]) {
        let detail =
            "visits follow one another on working days; public holidays, other trades and deliveries are not counted";
        self.notes.assume("programme", "/commercial", detail);
        if rooms.iter().any(|room| room.heated_floor_m2 > 0.0) {
            let detail = format!(
                "a screed is first heated {SCREED_DAYS} days after it is laid, as a cement one (EN 1264-4; from memory, confirm)"
            );
            self.notes.assume("screed_age", "/commercial", detail);
        }
    }

    /// The rule of tax of every supply that the bill can hold.
    fn supplies(&mut self, written: &Written) -> Vec<(String, String)> {
        let mut supplies = Vec::new();
        for (id, supply) in &written.supplies {
            self.check_rule(&format!("/commercial/supplies/{id}/tax_rule"), &supply.tax_rule, "tax");
            supplies.push((id.clone(), supply.tax_rule.0.clone()));
        }
        let used = self.book.labour.tasks.values().map(|task| task.supply.as_str()).chain([HEATING, FLOOR_BUILD]);
        let mut missing: Vec<String> =
            used.filter(|used| !supplies.iter().any(|(id, _)| id == used)).map(str::to_owned).collect();
        missing.sort_unstable();
        missing.dedup();
        for id in missing {
            match DEFAULT_TAX.iter().find(|(known, _)| *known == id) {
                Some((_, rule)) => {
                    self.notes.assume(
                        "tax_rule",
                        "/commercial",
                        format!("the supply {id} is taxed by the rule {rule}"),
                    );
                    supplies.push((id, (*rule).to_owned()));
                }
                None => {
                    let detail = format!("labour tasks name the supply {id}, which the job does not describe");
                    self.faults
                        .push(Fault::new("/commercial", "unknown_supply", detail).rests_on("/commercial/supplies"));
                }
            }
        }
        supplies
    }

    fn check_rule(&mut self, at: &str, key: &str, what: &str) {
        let nation = self.job.site.nation;
        if !self.book.rules.iter().any(|rule| rule.key == key && rule.nation == nation) {
            let detail = format!("there is no rule of {what} {key} for this nation");
            self.faults
                .push(Fault::new(at, "unknown_rule", detail).rests_on("/site").rests_on("/commercial/price_book"));
        }
    }

    fn payments(&mut self, written: &Written, quote_date: Date) -> Vec<Payment> {
        if written.stage_payments.is_empty() {
            let detail = format!("one payment, taxed by the rates of the quote's date {quote_date}");
            self.notes.assume("tax_point", "/commercial", detail);
            return vec![Payment { name: "the whole price".to_owned(), share: 1.0, tax_point: quote_date }];
        }
        let payments = written.stage_payments.iter();
        payments
            .map(|payment| Payment { name: payment.name.clone(), share: payment.share, tax_point: payment.tax_point })
            .collect()
    }

    fn grant(&mut self, written: &Written) -> Option<(String, Date)> {
        match &written.grant {
            Some(Grant::Scheme { rule, application_date }) => {
                self.check_rule("/commercial/grant/rule", rule, "grant");
                let detail = "the grant's conditions are taken as met: nation, owner, what is replaced, capacity, certificate; the scheme decides";
                self.notes.assume("grant_conditions", "/commercial/grant", detail);
                Some((rule.0.clone(), *application_date))
            }
            Some(Grant::None {}) => None,
            None => {
                self.notes.assume("grant", "/commercial", "no grant is applied for");
                None
            }
        }
    }
}

/// The Monday after a date.
fn next_monday(date: Date) -> Date {
    // the last days of the calendar have no Monday after them
    date.nth_weekday(1, Weekday::Monday).unwrap_or(date)
}
