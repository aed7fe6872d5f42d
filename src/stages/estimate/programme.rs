//! The visits in their order, with hours, days and earliest dates.

use jiff::ToSpan as _;
use jiff::civil::{Date, Weekday};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::EstimateError;
use super::bill::Bill;
use super::visits::{self, COMMISSIONING, SCREED};
use crate::design::findings::Pointed;
use crate::survey::{Commercial, HeatedBy};

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
    /// Days that the house is without heating, weekends and waits among them; told where people live there meanwhile.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<i32>)]
    pub without_heating_days: Option<u32>,
    /// The same of hot water.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<i32>)]
    pub without_hot_water_days: Option<u32>,
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
    /// Days that the house is without heating from its first day to the next visit, or to its own end where it is the last; told
    /// where people live there meanwhile.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<i32>)]
    pub without_heating_days: Option<u32>,
    /// The same of hot water.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<i32>)]
    pub without_hot_water_days: Option<u32>,
    /// Earliest first day. Where people live there, visits that take heating or hot water away wait until the one that brings both back
    /// can follow them at once.
    #[schema(value_type = String, format = Date)]
    pub earliest_start: Date,
    /// Earliest last day.
    #[schema(value_type = String, format = Date)]
    pub earliest_finish: Date,
}

/// Makes the programme: one visit after the other on working days, no heating of a young screed, and nobody left in the cold while
/// it dries.
///
/// # Errors
/// [`EstimateError::BeyondCalendar`].
pub fn compute(bill: &Bill, commercial: &Commercial) -> Result<ProgrammeAnswer, EstimateError> {
    let mut next = working(commercial.programme_start)?;
    let mut heat_from = None;
    let mut visits = Vec::new();
    for visit in in_order(bill) {
        if visit == COMMISSIONING {
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
            needs: visits::needs(&visit, heat_from.is_some(), commercial.lived_in.is_some(), tasks.is_empty()),
            hands_over: visits::hands_over(&visit, screed_days),
            without_heating_days: None,
            without_hot_water_days: None,
            earliest_start,
            earliest_finish,
            visit,
        });
    }
    if let Some(heated_by) = commercial.lived_in {
        draw_together(&mut visits, bill, heated_by)?;
        go_without(&mut visits, bill, heated_by);
    }
    let labour_h = visits.iter().map(|visit| visit.labour_h).sum();
    let days = visits.iter().map(|visit| visit.days).sum();
    let sum = |of: fn(&VisitRow) -> Option<u32>| commercial.lived_in.map(|_| visits.iter().filter_map(of).sum());
    let without_heating_days = sum(|visit| visit.without_heating_days);
    let without_hot_water_days = sum(|visit| visit.without_hot_water_days);
    Ok(ProgrammeAnswer { visits, labour_h, days, without_heating_days, without_hot_water_days })
}

/// Moves the visits which take away what heats the people who live there up to the one that brings it back: while a screed dries the
/// house keeps what it has.
fn draw_together(visits: &mut [VisitRow], bill: &Bill, heated_by: HeatedBy) -> Result<(), EstimateError> {
    let Some(screed) = visits.iter().position(|visit| visit.visit == SCREED) else { return Ok(()) };
    let (mut is_cold, mut is_dry, mut first) = (false, false, None);
    for (number, visit) in visits.iter().enumerate() {
        let (takes_heating, takes_hot_water) = takes(visit, bill, heated_by);
        if number > screed && (takes_heating && !is_cold || takes_hot_water && !is_dry) {
            first = first.or(Some(number));
        }
        (is_cold, is_dry) = (is_cold || takes_heating, is_dry || takes_hot_water);
    }
    let Some(first) = first else { return Ok(()) };
    for number in (first..visits.len().saturating_sub(1)).rev() {
        let finish = before(visits[number + 1].earliest_start)?;
        let visit = &mut visits[number];
        if finish > visit.earliest_finish {
            visit.earliest_start = (1..visit.days).try_fold(finish, |day, _| before(day))?;
            visit.earliest_finish = finish;
        }
    }
    Ok(())
}

/// Whether a visit takes heating away, and whether hot water.
fn takes(visit: &VisitRow, bill: &Bill, heated_by: HeatedBy) -> (bool, bool) {
    let tasks = || bill.tasks.iter().filter(|task| task.visit == visit.visit);
    (tasks().any(|task| visits::takes_heating(task, heated_by)), tasks().any(visits::takes_hot_water))
}

/// Tells of every visit how long the house goes without: from the first that takes heating or hot water away to the end of the
/// last, which brings both back.
fn go_without(visits: &mut [VisitRow], bill: &Bill, heated_by: HeatedBy) {
    let begins: Vec<Date> = visits.iter().skip(1).map(|visit| visit.earliest_start).collect();
    let (mut is_cold, mut is_dry) = (false, false);
    for (number, visit) in visits.iter_mut().enumerate() {
        let (takes_heating, takes_hot_water) = takes(visit, bill, heated_by);
        (is_cold, is_dry) = (is_cold || takes_heating, is_dry || takes_hot_water);
        let until = begins.get(number).copied();
        let days = match until {
            Some(next) => whole_days(visit.earliest_start, next),
            None => whole_days(visit.earliest_start, visit.earliest_finish) + 1,
        };
        let days_if = |is_without: bool| if is_without { days } else { 0 };
        visit.without_heating_days = Some(days_if(is_cold));
        visit.without_hot_water_days = Some(days_if(is_dry));
        if let Some(told) = visits::goes_without(is_cold, is_dry, days).filter(|_| until.is_some()) {
            visit.hands_over.push_str("; ");
            visit.hands_over.push_str(&told);
        }
    }
}

/// Days from one date to a later one.
fn whole_days(from: Date, to: Date) -> u32 {
    // visits follow one another: never below nothing
    from.until(to).map_or(0, |span| u32::try_from(span.get_days()).unwrap_or(0))
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
    visits.sort_by_key(|visit| visits::rank(visit));
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

/// The working day before.
fn before(day: Date) -> Result<Date, EstimateError> {
    let before = day.yesterday().map_err(|_| EstimateError::BeyondCalendar)?;
    match before.weekday() {
        Weekday::Saturday | Weekday::Sunday => {
            before.nth_weekday(-1, Weekday::Friday).map_err(|_| EstimateError::BeyondCalendar)
        }
        Weekday::Monday | Weekday::Tuesday | Weekday::Wednesday | Weekday::Thursday | Weekday::Friday => Ok(before),
    }
}

/// It says nothing of places.
impl Pointed for ProgrammeAnswer {}
