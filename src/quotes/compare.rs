//! What moved between two revisions of a quote: in its job, in its price by section, in hours and days.

use std::collections::BTreeSet;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use utoipa::ToSchema;

use super::QuoteError;
use super::differences::{Difference, differences};
use crate::estimate::bill::BillAnswer;
use crate::estimate::price::PriceAnswer;
use crate::estimate::programme::{ProgrammeAnswer, VisitRow};
use crate::money::Money;

/// What moved between two revisions.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Changes {
    /// What of the job is another, each with its place; the first thousand.
    pub input: Vec<Difference>,
    /// What the price moved.
    pub price: PriceMoved,
    /// What each section of the bill moved: material or labour of a supply.
    pub sections: Vec<SectionMoved>,
    /// Lines of the bill that are others.
    pub lines: Vec<LineMoved>,
    /// What the hours moved.
    pub hours: HoursMoved,
    /// Visits whose days are others.
    pub visits: Vec<VisitMoved>,
    /// What the last day of the work moved.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub finish: Option<DayMoved>,
}

/// An amount then and now.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct AmountMoved {
    /// Then.
    pub from: Money,
    /// Now.
    pub to: Money,
    /// What it is more now, or less.
    pub change: Money,
}

impl AmountMoved {
    fn of(from: Money, to: Money) -> Self {
        Self { from, to, change: to - from }
    }
}

/// The price then and now.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct PriceMoved {
    /// Net price.
    pub net: AmountMoved,
    /// Tax.
    pub tax: AmountMoved,
    /// Net and tax.
    pub gross: AmountMoved,
    /// Grant.
    pub grant: AmountMoved,
    /// What the client pays.
    pub payable: AmountMoved,
}

/// Net amount of a section of the bill then and now.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct SectionMoved {
    /// Supply for tax.
    pub supply: String,
    /// `material` or `labour`.
    pub of: &'static str,
    /// Its net amount.
    pub net: AmountMoved,
}

/// A line of the bill then and now.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LineMoved {
    /// Code of the product.
    pub code: String,
    /// What it is.
    pub description: String,
    /// What one is sold as.
    pub unit: String,
    /// How many then.
    pub from_quantity: f64,
    /// How many now.
    pub to_quantity: f64,
    /// Its net amount.
    pub net: AmountMoved,
}

/// Hours of labour then and now.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct HoursMoved {
    /// Then (h).
    pub from_h: f64,
    /// Now (h).
    pub to_h: f64,
    /// What it is more now, or less (h).
    pub change_h: f64,
}

/// A day then and now.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct DayMoved {
    /// Then.
    #[schema(value_type = String, format = Date)]
    pub from: Date,
    /// Now.
    #[schema(value_type = String, format = Date)]
    pub to: Date,
    /// Days that it is later now, or earlier.
    pub days: i32,
}

/// The days of a visit then and now; a side is left out where there was no such visit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct VisitMoved {
    /// Id of the visit.
    pub visit: String,
    /// Its first day then.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = Date)]
    pub from_start: Option<Date>,
    /// Its first day now.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = Date)]
    pub to_start: Option<Date>,
    /// Its last day then.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = Date)]
    pub from_finish: Option<Date>,
    /// Its last day now.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = Date)]
    pub to_finish: Option<Date>,
}

/// What a comparison reads of a proposal.
#[derive(Debug, Deserialize)]
struct Proposal {
    bill: BillAnswer,
    programme: ProgrammeAnswer,
    price: PriceAnswer,
}

/// What moved from one job and its proposal to another, both as they are kept.
///
/// # Errors
/// [`QuoteError::NotJson`] if one of them cannot be read.
pub fn changes(from: (&str, &str), to: (&str, &str)) -> Result<Changes, QuoteError> {
    let (job, then): (Value, Proposal) = (serde_json::from_str(from.0)?, serde_json::from_str(from.1)?);
    let (other, now): (Value, Proposal) = (serde_json::from_str(to.0)?, serde_json::from_str(to.1)?);
    let amount = |of: fn(&PriceAnswer) -> Money| AmountMoved::of(of(&then.price), of(&now.price));
    let (from_h, to_h) = (then.programme.labour_h, now.programme.labour_h);
    Ok(Changes {
        input: differences(&job, &other),
        price: PriceMoved {
            net: amount(|price| price.net),
            tax: amount(|price| price.tax),
            gross: amount(|price| price.gross),
            grant: amount(|price| price.grant),
            payable: amount(|price| price.payable),
        },
        sections: sections(&then.bill, &now.bill),
        lines: lines(&then.bill, &now.bill),
        hours: HoursMoved { from_h, to_h, change_h: to_h - from_h },
        visits: visits(&then.programme, &now.programme),
        finish: finish(&then.programme, &now.programme),
    })
}

/// Names of both, each once, in the order of the first and then of the second.
fn once<'n>(names: impl Iterator<Item = &'n str>) -> Vec<&'n str> {
    let mut seen = BTreeSet::new();
    names.filter(|name| seen.insert(*name)).collect()
}

fn sections(then: &BillAnswer, now: &BillAnswer) -> Vec<SectionMoved> {
    let material = |bill: &BillAnswer, supply: &str| -> Money {
        bill.lines.iter().filter(|line| line.supply == supply).map(|line| line.net).sum()
    };
    let labour = |bill: &BillAnswer, supply: &str| -> Money {
        bill.labour.iter().filter(|task| task.supply == supply).map(|task| task.net).sum()
    };
    let supplies = [then, now].into_iter().flat_map(|bill| {
        bill.lines.iter().map(|line| line.supply.as_str()).chain(bill.labour.iter().map(|task| task.supply.as_str()))
    });
    let both = once(supplies).into_iter().flat_map(|supply| {
        let section = |of, net| SectionMoved { supply: supply.to_owned(), of, net };
        [
            section("material", AmountMoved::of(material(then, supply), material(now, supply))),
            section("labour", AmountMoved::of(labour(then, supply), labour(now, supply))),
        ]
    });
    both.filter(|section| section.net.from != Money::ZERO || section.net.to != Money::ZERO).collect()
}

fn lines(then: &BillAnswer, now: &BillAnswer) -> Vec<LineMoved> {
    let codes = once([then, now].into_iter().flat_map(|bill| bill.lines.iter().map(|line| line.code.as_str())));
    let all = codes.into_iter().filter_map(|code| {
        let of = |bill: &BillAnswer| -> (f64, Money) {
            let lines = || bill.lines.iter().filter(|line| line.code == code);
            (lines().map(|line| line.quantity).sum(), lines().map(|line| line.net).sum())
        };
        let line = now.lines.iter().chain(&then.lines).find(|line| line.code == code)?;
        let ((from_quantity, from), (to_quantity, to)) = (of(then), of(now));
        let (code, description, unit) = (line.code.clone(), line.description.clone(), line.unit.clone());
        Some(LineMoved { code, description, unit, from_quantity, to_quantity, net: AmountMoved::of(from, to) })
    });
    all.filter(|line| line.net.from != line.net.to || line.from_quantity.total_cmp(&line.to_quantity).is_ne()).collect()
}

fn visits(then: &ProgrammeAnswer, now: &ProgrammeAnswer) -> Vec<VisitMoved> {
    let names = [then, now].into_iter().flat_map(|programme| programme.visits.iter().map(|row| row.visit.as_str()));
    let all = once(names).into_iter().map(|visit| {
        let of = |programme: &ProgrammeAnswer| -> (Option<Date>, Option<Date>) {
            let rows = || programme.visits.iter().filter(|row| row.visit == visit);
            (rows().map(|row| row.earliest_start).min(), rows().map(|row| row.earliest_finish).max())
        };
        let ((from_start, from_finish), (to_start, to_finish)) = (of(then), of(now));
        VisitMoved { visit: visit.to_owned(), from_start, to_start, from_finish, to_finish }
    });
    all.filter(|visit| visit.from_start != visit.to_start || visit.from_finish != visit.to_finish).collect()
}

/// What the last day of the work moved; nothing where there is no work on a side.
fn finish(then: &ProgrammeAnswer, now: &ProgrammeAnswer) -> Option<DayMoved> {
    let last = |programme: &ProgrammeAnswer| programme.visits.iter().map(|row: &VisitRow| row.earliest_finish).max();
    let (from, to) = (last(then)?, last(now)?);
    Some(DayMoved { from, to, days: (to - from).get_days() })
}
