//! The bill: materials and labour, each line with where it comes from.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::labour::{self, Task};
use super::takeoff::{Item, take_off};
use super::{Design, EstimateError, Unmet};
use crate::catalogue::labour::Per;
use crate::catalogue::price_book::FITTINGS;
use crate::design::findings::{self, Pointed, UnmetRow};
use crate::money::Money;
use crate::survey::{Commercial, HEATING, Survey};

/// Result of the stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Bill {
    /// Materials.
    pub lines: Vec<Line>,
    /// Labour.
    pub tasks: Vec<Task>,
    /// Needs that are not met.
    pub unmet: Vec<Unmet>,
    /// What the price book counts no hours for, and how much of it there is.
    pub without_norm: Vec<(Per, f64)>,
    /// Whether another trade comes to lay a screed.
    pub is_laid_by_others: bool,
}

/// One line of materials.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Line {
    /// Code of the product.
    pub code: String,
    /// What it is.
    pub description: String,
    /// Unit that the quantity is counted in.
    pub unit: String,
    /// Quantity, in that unit.
    pub quantity: f64,
    /// Cost of one.
    pub unit_cost: Money,
    /// Cost of the line: quantity at the cost of one, or the least charge where that is more.
    pub cost: Money,
    /// Least charge of a visit, where the cost is that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least_charge: Option<Money>,
    /// Cost with the mark-up.
    pub net: Money,
    /// Supply for tax.
    pub supply: String,
    /// Where the quantity comes from.
    pub quantity_from: String,
}

/// Makes the bill.
///
/// # Errors
/// [`EstimateError::TooLarge`] if an amount cannot be reckoned exactly.
pub fn compute(design: Design<'_>, commercial: &Commercial) -> Result<Bill, EstimateError> {
    let survey = design.survey;
    let taken = take_off(design)?;
    let mut lines: Vec<Line> = Vec::with_capacity(taken.items.len() + 1);
    let mut tube = Money::ZERO;
    let last_tube = taken.items.iter().rposition(|item| item.is_run_tube);
    for (index, item) in taken.items.iter().enumerate() {
        let line = line(survey, commercial, item)?;
        if item.is_run_tube {
            tube += line.cost;
        }
        lines.push(line);
        if last_tube == Some(index) && survey.book.fittings_share_of_tube_cost > 0.0 {
            lines.push(fittings(survey, commercial, tube)?);
        }
    }
    let tasks = labour::tasks(survey, commercial, &taken.quantities)?;
    let without_norm = labour::without_norm(survey, &taken.quantities);
    Ok(Bill { lines, tasks, unmet: taken.unmet, without_norm, is_laid_by_others: taken.is_laid_by_others })
}

fn line(survey: &Survey, commercial: &Commercial, item: &Item) -> Result<Line, EstimateError> {
    let (code, product) = survey.book.product(item.product);
    let by_quantity = product.unit_cost().times(item.quantity).ok_or(EstimateError::TooLarge)?;
    let least_charge = item.least_charge.filter(|least| *least > by_quantity);
    let cost = least_charge.unwrap_or(by_quantity);
    let at_least = least_charge.map_or_else(String::new, |least| format!(", {least} at least for the visit"));
    Ok(Line {
        code: code.to_owned(),
        description: product.description().to_owned(),
        unit: product.unit().to_owned(),
        quantity: item.quantity,
        unit_cost: product.unit_cost(),
        cost,
        net: cost.marked_up(commercial.materials_margin).ok_or(EstimateError::TooLarge)?,
        supply: item.supply.to_owned(),
        quantity_from: format!("{}{at_least}", item.quantity_from),
        least_charge,
    })
}

/// Fittings of the runs, as a share of the cost of their tube.
fn fittings(survey: &Survey, commercial: &Commercial, tube: Money) -> Result<Line, EstimateError> {
    let share = survey.book.fittings_share_of_tube_cost;
    let cost = tube.times(share).ok_or(EstimateError::TooLarge)?;
    Ok(Line {
        code: FITTINGS.to_owned(),
        description: "fittings and brackets for the pipe of the runs".to_owned(),
        unit: "lot".to_owned(),
        quantity: 1.0,
        unit_cost: cost,
        cost,
        least_charge: None,
        net: cost.marked_up(commercial.materials_margin).ok_or(EstimateError::TooLarge)?,
        supply: HEATING.to_owned(),
        quantity_from: format!("{share} x {tube} of pipe"),
    })
}

/// The bill as it is answered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BillAnswer {
    /// Currency of every amount, by ISO 4217.
    pub currency: String,
    /// Materials.
    pub lines: Vec<Line>,
    /// Labour.
    pub labour: Vec<Task>,
    /// Sums of the lines.
    pub totals: BillTotals,
    /// Needs that the bill could not price.
    pub unmet: Vec<UnmetRow>,
    /// Whether everything that the design needs is in the bill.
    pub complete: bool,
}

/// Sums of the bill's rounded lines.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BillTotals {
    /// Cost of materials.
    pub materials_cost: Money,
    /// Materials with the mark-up.
    pub materials_net: Money,
    /// Hours of labour (h).
    pub labour_h: f64,
    /// Cost of labour.
    pub labour_cost: Money,
    /// Labour with the mark-up.
    pub labour_net: Money,
    /// Materials and labour with the mark-up.
    pub net: Money,
}

impl Bill {
    /// Net amounts with the supply that each belongs to.
    pub fn nets(&self) -> impl Iterator<Item = (&str, Money)> {
        let lines = self.lines.iter().map(|line| (line.supply.as_str(), line.net));
        lines.chain(self.tasks.iter().map(|task| (task.supply.as_str(), task.net)))
    }

    /// The bill as it is answered; `complete_before` says whether the design left no need unmet.
    #[must_use]
    pub fn answer(&self, survey: &Survey, complete_before: bool) -> BillAnswer {
        let materials_net: Money = self.lines.iter().map(|line| line.net).sum();
        let labour_net: Money = self.tasks.iter().map(|task| task.net).sum();
        BillAnswer {
            currency: survey.book.currency.clone(),
            lines: self.lines.clone(),
            labour: self.tasks.clone(),
            totals: BillTotals {
                materials_cost: self.lines.iter().map(|line| line.cost).sum(),
                materials_net,
                labour_h: self.tasks.iter().map(|task| task.labour_h).sum(),
                labour_cost: self.tasks.iter().map(|task| task.cost).sum(),
                labour_net,
                net: materials_net + labour_net,
            },
            unmet: findings::rows(survey, &self.unmet),
            complete: complete_before && self.unmet.is_empty(),
        }
    }
}

impl Pointed for BillAnswer {
    fn pointers(&mut self) -> Vec<&mut String> {
        self.unmet.iter_mut().map(|row| &mut row.pointer).collect()
    }
}
