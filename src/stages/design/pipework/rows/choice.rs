//! How tubes were chosen and how things are put together, as it is answered.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::code;
use crate::catalogue::offer::Tube;
use crate::design::pipework::Pipework;
use crate::design::pipework::sizing::Sized;
use crate::design::units::kpa;
use crate::list::Index;
use crate::methods::Off;
use crate::methods::pump_laws::cost_of_head;
use crate::money::Money;
use crate::survey::{Rule, Survey};

/// Sizings of the front that an answer holds: the ends, the one that is held, and others evenly between.
const MOST_ROWS: usize = 40;

/// How tubes were chosen. The loss of a fitting is charged to the tube behind it, at the velocity in that tube: so the choice
/// of all tubes together is exact.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ChoiceRow {
    /// The rule that decides: `least_cost` or `gradient`.
    pub rule: Cow<'static, str>,
    /// The choice that costs least over the life.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least_cost: Option<SizedRow>,
    /// The choice of the handbook's rule: the smallest bore within the gradient beside it and the velocity of the place.
    pub gradient: SizedRow,
    /// Greatest gradient of that rule (Pa/m).
    pub gradient_max_pa_m: f64,
    /// What the handbook's rule costs more over the life; below 0 where it goes beyond what the pump or the limits allow.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gradient_costs_more: Option<Money>,
    /// Choices that no other beats in both head and cost, by rising head: what a wider tube buys.
    pub front: Vec<FrontRow>,
    /// How many there are in all; an answer holds 40 at most, the ends, the one of least cost and others evenly between.
    pub front_count: usize,
    /// Whether no choice at all beats any of these: not where so many runs follow one another that the front had to be thinned.
    pub exact: bool,
    /// Whether no choice at all keeps within the head that the heat source's pump has left.
    pub beyond_pump: bool,
}

/// A whole choice of tubes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SizedRow {
    /// Cost of the new tube with its waste and fittings, by the metre, that of primary and hot-water circuit among it.
    pub tube_cost: Money,
    /// Head of the index circuit with it (kPa), as the pump row counts it.
    pub head_kpa: f64,
    /// Electricity of the pumps over the life, at the efficiency that the job names.
    pub electricity_cost: Money,
    /// Tube and electricity together.
    pub life_cost: Money,
}

/// One choice of the front.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FrontRow {
    /// Head of the index circuit with it (kPa), as the pump row counts it.
    pub head_kpa: f64,
    /// Cost of the new tube with its waste and fittings, by the metre, that of primary and hot-water circuit among it.
    pub tube_cost: Money,
    /// Tube and electricity over the life.
    pub life_cost: Money,
    /// Whether it is the one that costs least over the life.
    pub least_cost: bool,
    /// Runs whose tube is another than in the row before, each with its tube; every run in the first row.
    pub changes: Vec<ChangedRow>,
}

/// A run with the tube that it gets.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ChangedRow {
    /// Id of the run, `primary`, or `hot_water_circuit`.
    pub section: String,
    /// Code of the tube; absent where one that nobody can see stays.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tube: Option<String>,
}

/// An amount rounded to the penny.
fn money(amount: f64) -> Money {
    #[expect(clippy::cast_possible_truncation, reason = "costs of a house are far below what pennies in i64 hold")]
    Money::from_pennies((100.0 * amount).round() as i64)
}

impl Pipework {
    pub(in crate::design) fn choice_row(&self, survey: &Survey) -> ChoiceRow {
        let sizes = &self.sizes;
        let least = sizes.least.map(|least| &sizes.front[least]);
        let gradient = self.sized(&sizes.gradient);
        let least_row = least.map(|least| self.sized(least));
        ChoiceRow {
            rule: match survey.pipes.sizing.rule {
                Rule::LeastCost => "least_cost".into(),
                Rule::Gradient => "gradient".into(),
            },
            least_cost: least_row,
            gradient,
            gradient_max_pa_m: survey.pipes.sizing.gradient_max_pa_m,
            gradient_costs_more: least.map(|least| money(sizes.life_cost(&sizes.gradient) - sizes.life_cost(least))),
            front: self.front(survey),
            front_count: sizes.front.len(),
            exact: sizes.is_exact,
            beyond_pump: sizes.is_beyond_pump,
        }
    }

    fn sized(&self, sized: &Sized) -> SizedRow {
        let (is_separated, plant_pa) = (self.joining.is_separated(), self.joining.own.plant_pa);
        let head_pa = sized.head_pa + if is_separated { 0.0 } else { plant_pa };
        let before_pa = if is_separated { sized.before_pa + plant_pa } else { 0.0 };
        let electricity = cost_of_head(self.sizes.head_costs, head_pa, &mut Off)
            + cost_of_head(self.sizes.before_costs, before_pa, &mut Off);
        SizedRow {
            tube_cost: money(sized.cost),
            head_kpa: kpa(head_pa),
            electricity_cost: money(electricity),
            life_cost: money(sized.cost + electricity),
        }
    }

    fn front(&self, survey: &Survey) -> Vec<FrontRow> {
        let (front, least) = (&self.sizes.front, self.sizes.least);
        let mut rows: Vec<usize> = if front.len() <= MOST_ROWS {
            (0..front.len()).collect()
        } else {
            // the one of least cost has a place of its own
            (0..MOST_ROWS - 1).map(|row| row * (front.len() - 1) / (MOST_ROWS - 2)).collect()
        };
        rows.extend(least);
        rows.sort_unstable();
        rows.dedup();
        let before = [None].into_iter().chain(rows.iter().copied().map(Some));
        let each = before.zip(&rows).map(|(before, &row)| {
            let sized = self.sized(&front[row]);
            FrontRow {
                head_kpa: sized.head_kpa,
                tube_cost: sized.tube_cost,
                life_cost: sized.life_cost,
                least_cost: least == Some(row),
                changes: self.changes(survey, before.map(|before| &front[before]), &front[row]),
            }
        });
        each.collect()
    }

    fn changes(&self, survey: &Survey, before: Option<&Sized>, after: &Sized) -> Vec<ChangedRow> {
        let primary = survey.pipes.primary.iter().map(|primary| &primary.run);
        let runs = primary.chain(&survey.pipes.runs).enumerate();
        let tube = |sized: &Sized, index: usize| self.tubes.get(index)?.get(*sized.picks.get(index)?).copied();
        let row = |section: &str, tube: Option<Index<Tube>>| ChangedRow {
            section: section.to_owned(),
            tube: tube.map(|tube| code(survey, survey.offer.tubes[tube].product)),
        };
        let changed = runs.filter_map(|(index, run)| {
            let now = tube(after, index)?;
            let then = before.and_then(|before| tube(before, index));
            (then != Some(now)).then(|| row(&run.id, now))
        });
        // the tube of the hot-water circuit hangs on that of the primary
        let of_hot_water = |sized: &Sized| {
            let place = if survey.pipes.primary.is_some() { sized.picks.first().copied()? } else { Index::new(0) };
            *self.hot_water_tubes.get(place)?
        };
        let hot_water = of_hot_water(after).filter(|now| before.and_then(of_hot_water) != Some(*now));
        changed.chain(hot_water.map(|tube| row("hot_water_circuit", Some(tube)))).collect()
    }
}
