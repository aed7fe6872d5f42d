//! The visits in their order, with hours, days and earliest dates.

use jiff::ToSpan as _;
use jiff::civil::{Date, Weekday};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::EstimateError;
use super::bill::Bill;
use crate::design::findings::Pointed;
use crate::survey::Commercial;

/// A visit that the trade knows: what must be there before it, and what it leaves behind.
struct Known {
    visit: &'static str,
    needs: &'static str,
    hands_over: &'static str,
}

/// Visits in the order of the work. One that is not here comes after these and before commissioning.
const ORDER: [Known; 5] = [
    Known {
        visit: "first_fix",
        needs: "floors up or walls open along the runs",
        hands_over: "runs in place and tested before they are closed in",
    },
    Known {
        visit: "floor",
        needs: "walls plastered, subfloor level and swept, everything below the insulation boards in place and tested",
        hands_over: "loops laid, filled, tested at 5 bar for an hour and left at 2 to 3 bar",
    },
    Known {
        visit: SCREED,
        needs: "loops tested and under pressure, room above 5 °C",
        hands_over: "screed laid; not walked on for three days",
    },
    Known {
        visit: "second_fix",
        needs: "walls plastered and dry where radiators hang",
        hands_over: "radiators hung, piped and tested",
    },
    Known {
        visit: "plant",
        needs: "base for the outdoor unit, electrical supply by a registered electrician, cold main at the cylinder",
        hands_over: "heat source, cylinder and vessel set, the system tested under pressure",
    },
];

const COMMISSIONING: Known = Known {
    visit: "commissioning",
    needs: "system tested, power on",
    hands_over: "system filled, treated, balanced and running, papers handed to the client",
};
/// What commissioning needs besides, where there is a screed.
const SCREED_NEEDS: &str = "system tested, power on, screed old enough to be heated";

/// What the visit of a screed needs that another trade lays.
const LAID_NEEDS: &str = "the screed layer booked, loops tested and under pressure, room above 5 °C";

/// The visit after which a screed must wait.
const SCREED: &str = "screed";

/// The programme as it is answered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ProgrammeAnswer {
    /// Visits in their order.
    pub visits: Vec<VisitRow>,
    /// Hours of all visits (h).
    pub labour_h: f64,
    /// Working days of all visits.
    #[schema(value_type = i32)]
    pub days: u32,
}

/// One visit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct VisitRow {
    /// Id of the visit.
    pub visit: String,
    /// Its tasks.
    pub tasks: Vec<String>,
    /// Hours of its tasks (h).
    pub labour_h: f64,
    /// People of the firm who come; none where another trade works alone.
    #[schema(value_type = i32)]
    pub people: u32,
    /// Working days.
    #[schema(value_type = i32)]
    pub days: u32,
    /// What must be there before it.
    pub needs: String,
    /// What it leaves behind.
    pub hands_over: String,
    /// Earliest first day.
    #[schema(value_type = String, format = Date)]
    pub earliest_start: Date,
    /// Earliest last day.
    #[schema(value_type = String, format = Date)]
    pub earliest_finish: Date,
}

/// Makes the programme: one visit after the other on working days, and no heating of a young screed.
///
/// # Errors
/// [`EstimateError::BeyondCalendar`].
pub fn compute(bill: &Bill, commercial: &Commercial) -> Result<ProgrammeAnswer, EstimateError> {
    let mut next = working(commercial.programme_start)?;
    let mut heat_from = None;
    let mut visits = Vec::new();
    for visit in in_order(bill) {
        let known = ORDER.iter().find(|known| known.visit == visit);
        let known = known.or_else(|| Some(&COMMISSIONING).filter(|known| known.visit == visit));
        if visit == COMMISSIONING.visit {
            next = heat_from.map_or(Ok(next), |from: Date| working(from.max(next)))?;
        }
        let tasks: Vec<_> = bill.tasks.iter().filter(|task| task.visit == visit).collect();
        let labour_h: f64 = tasks.iter().map(|task| task.labour_h).sum();
        let days = days(labour_h, commercial);
        let earliest_start = next;
        let earliest_finish = (1..days).try_fold(earliest_start, |day, _| after(day))?;
        next = after(earliest_finish)?;
        let screed_days = commercial.screed_days.filter(|_| visit == SCREED);
        if let Some(screed_days) = screed_days {
            let later = |days: i64| earliest_finish.checked_add(days.days()).map_err(|_| EstimateError::BeyondCalendar);
            heat_from = Some(later(screed_days)?);
            next = working(later(commercial.screed_rest_days + 1)?)?;
        }
        visits.push(VisitRow {
            tasks: tasks.iter().map(|task| task.task.clone()).collect(),
            labour_h,
            people: if tasks.is_empty() { 0 } else { commercial.people },
            days,
            needs: needs(known, heat_from.is_some(), tasks.is_empty()),
            hands_over: hands_over(known, screed_days),
            earliest_start,
            earliest_finish,
            visit,
        });
    }
    let labour_h = visits.iter().map(|visit| visit.labour_h).sum();
    let days = visits.iter().map(|visit| visit.days).sum();
    Ok(ProgrammeAnswer { visits, labour_h, days })
}

/// What must be there before a visit.
fn needs(known: Option<&Known>, after_screed: bool, by_others: bool) -> String {
    let needs = match known {
        Some(known) if known.visit == SCREED && by_others => LAID_NEEDS,
        Some(known) if known.visit == COMMISSIONING.visit && after_screed => SCREED_NEEDS,
        Some(known) => known.needs,
        None => "the visits before it",
    };
    needs.to_owned()
}

/// What a visit leaves behind; that of the screed tells how long it is not heated.
fn hands_over(known: Option<&Known>, screed_days: Option<i64>) -> String {
    match (known, screed_days) {
        (Some(known), Some(days)) => format!("{}, not heated for {days}", known.hands_over),
        (Some(known), None) if known.visit != SCREED => known.hands_over.to_owned(),
        (Some(_), None) | (None, _) => "its tasks done".to_owned(),
    }
}

/// The visits that have tasks, and that of another trade which lays the screed, in the order of the work.
fn in_order(bill: &Bill) -> Vec<String> {
    let mut visits: Vec<String> = Vec::new();
    let laid = bill.is_laid_by_others.then_some(SCREED);
    for visit in bill.tasks.iter().map(|task| task.visit.as_str()).chain(laid) {
        if !visits.iter().any(|known| known == visit) {
            visits.push(visit.to_owned());
        }
    }
    let rank = |visit: &str| match ORDER.iter().position(|known| known.visit == visit) {
        Some(rank) => rank,
        None if visit == COMMISSIONING.visit => ORDER.len() + 1,
        None => ORDER.len(),
    };
    visits.sort_by_key(|visit| rank(visit));
    visits
}

/// Whole working days of the crew, at least one.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a small number of days, not below nothing"
)]
fn days(labour_h: f64, commercial: &Commercial) -> u32 {
    let a_day_h = f64::from(commercial.people) * commercial.hours_per_day_h;
    ((labour_h / a_day_h - 1e-9).ceil() as u32).max(1)
}

/// The day itself, or the Monday after a weekend. Public holidays are not counted.
fn working(day: Date) -> Result<Date, EstimateError> {
    match day.weekday() {
        Weekday::Saturday | Weekday::Sunday => {
            day.nth_weekday(1, Weekday::Monday).map_err(|_| EstimateError::BeyondCalendar)
        }
        Weekday::Monday | Weekday::Tuesday | Weekday::Wednesday | Weekday::Thursday | Weekday::Friday => Ok(day),
    }
}

/// The next working day.
fn after(day: Date) -> Result<Date, EstimateError> {
    day.tomorrow().map_err(|_| EstimateError::BeyondCalendar).and_then(working)
}

/// It says nothing of places.
impl Pointed for ProgrammeAnswer {}
