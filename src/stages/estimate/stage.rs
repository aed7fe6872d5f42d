//! Bill, programme and price as they are run with the other stages, and what must be true of them.

use super::bill::{self, Bill};
use super::price::{self, Price};
use super::programme::{self, ProgrammeAnswer};
use super::{Caution, Design, EstimateError, Unmet, Warning};
use crate::catalogue::price_book::FITTINGS;
use crate::design::stage::{Asked, NoCaution, NoWarning, NothingUnmet, Stage, same, so};
use crate::methods::Workings;
use crate::money::Money;
use crate::survey::{Commercial, Survey};

/// The firm's side of the job, which money cannot do without.
fn commercial(survey: &Survey) -> Result<&Commercial, EstimateError> {
    survey.commercial.as_ref().ok_or(EstimateError::NoDate)
}

impl Stage for Bill {
    type Before<'b> = Design<'b>;
    type Error = EstimateError;
    type Unmet = Unmet;
    type Warning = NoWarning;
    type Caution = NoCaution;

    fn compute<W: Workings>(asked: Asked<'_>, design: Design<'_>, _: &mut W) -> Result<Self, EstimateError> {
        bill::compute(design, commercial(asked.survey)?)
    }

    fn unmet(&self) -> &[Self::Unmet] {
        &self.unmet
    }

    /// Each line is its quantity at its cost, with a mark-up that takes nothing off, of a product that the book has.
    fn check(&self, survey: &Survey, _: Design<'_>) -> Result<(), String> {
        for line in &self.lines {
            so(line.quantity > 0.0, || format!("{} of {}", line.quantity, line.code))?;
            let cost = line.unit_cost.times(line.quantity);
            let cost = cost.map(|cost| line.least_charge.map_or(cost, |least| least.max(cost)));
            so(cost == Some(line.cost), || format!("{}: {} at {}", line.code, line.quantity, line.unit_cost))?;
            so(line.net >= line.cost, || format!("{}: net {} of {}", line.code, line.net, line.cost))?;
            let is_known = line.code == FITTINGS || survey.book.products.contains_key(&line.code);
            so(is_known, || format!("{} in the book", line.code))?;
        }
        for task in &self.tasks {
            so(task.labour_h > 0.0 && task.net >= task.cost, || format!("task {}", task.task))?;
        }
        let totals = self.answer(survey, true).totals;
        let whole: Money = self.nets().map(|(_, net)| net).sum();
        so(totals.net == whole, || format!("totals of {} for {whole}", totals.net))?;
        let hours_h: f64 = self.tasks.iter().map(|task| task.labour_h).sum();
        same(totals.labour_h, hours_h, || "hours of labour".to_owned())
    }
}

impl Stage for ProgrammeAnswer {
    type Before<'b> = &'b Bill;
    type Error = EstimateError;
    type Unmet = NothingUnmet;
    type Warning = NoWarning;
    type Caution = NoCaution;

    fn compute<W: Workings>(asked: Asked<'_>, bill: &Bill, _: &mut W) -> Result<Self, EstimateError> {
        programme::compute(bill, commercial(asked.survey)?)
    }

    /// Every hour of the bill falls to one visit, and visits come one after the other.
    fn check(&self, _: &Survey, bill: &Bill) -> Result<(), String> {
        let hours_h: f64 = bill.tasks.iter().map(|task| task.labour_h).sum();
        let of_visits_h: f64 = self.visits.iter().map(|visit| visit.labour_h).sum();
        same(of_visits_h, hours_h, || "hours of the visits".to_owned())?;
        same(self.labour_h, hours_h, || "hours of the programme".to_owned())?;
        let tasks: usize = self.visits.iter().map(|visit| visit.tasks.len()).sum();
        so(tasks == bill.tasks.len(), || format!("{tasks} of {} tasks", bill.tasks.len()))?;
        let days: u32 = self.visits.iter().map(|visit| visit.days).sum();
        so(days == self.days, || format!("{days} days of {}", self.days))?;
        for visit in &self.visits {
            so(visit.earliest_start <= visit.earliest_finish, || format!("visit {}", visit.visit))?;
        }
        for pair in self.visits.windows(2) {
            let [first, then] = pair else { continue };
            so(first.earliest_finish < then.earliest_start, || format!("{} before {}", first.visit, then.visit))?;
        }
        Ok(())
    }
}

impl Stage for Price {
    type Before<'b> = (Design<'b>, &'b Bill, &'b ProgrammeAnswer);
    type Error = EstimateError;
    type Unmet = NothingUnmet;
    type Warning = Warning;
    type Caution = Caution;

    fn compute<W: Workings>(
        asked: Asked<'_>,
        (design, bill, programme): Self::Before<'_>,
        _: &mut W,
    ) -> Result<Self, EstimateError> {
        price::compute(design, commercial(asked.survey)?, (bill, programme))
    }

    fn warnings(&self) -> &[Self::Warning] {
        &self.warnings
    }

    fn cautions(_: &Survey) -> Vec<Self::Caution> {
        vec![Caution::Tax {}]
    }

    /// Payments and supplies both come to the bill, to the penny, and a grant never to more than the price.
    fn check(&self, survey: &Survey, (_, bill, _): Self::Before<'_>) -> Result<(), String> {
        let of_bill: Money = bill.nets().map(|(_, net)| net).sum();
        let of_payments: Money = self.payments.iter().map(|payment| payment.net).sum();
        let of_supplies: Money = self.supplies.iter().map(|supply| supply.net).sum();
        so(of_payments == of_bill, || format!("payments of {of_payments} for a bill of {of_bill}"))?;
        so(of_supplies == of_bill, || format!("supplies of {of_supplies} for a bill of {of_bill}"))?;
        for supply in &self.supplies {
            so(supply.net.times(supply.rate) == Some(supply.tax), || format!("tax of {}", supply.supply))?;
        }
        for payment in &self.payments {
            so(payment.gross == payment.net + payment.tax, || format!("payment {}", payment.name))?;
        }
        let answer = self.answer(survey, true);
        so(answer.gross == answer.net + answer.tax, || "gross is net and tax".to_owned())?;
        so(answer.payable == answer.gross - answer.grant, || "what is left to pay".to_owned())?;
        so(answer.payable >= Money::ZERO, || "nobody is paid for taking it".to_owned())
    }
}
