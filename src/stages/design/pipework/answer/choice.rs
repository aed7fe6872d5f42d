//! How tubes were chosen and how things are put together, as it is answered.

use serde::Serialize;
use utoipa::ToSchema;

use super::code;
use crate::design::pipework::Pipework;
use crate::design::pipework::arrangement::{Joined, Reason};
use crate::design::pipework::sizing::Sized;
use crate::design::units::kpa;
use crate::money::Money;
use crate::survey::{Rule, Survey};

/// Sizings of the front that an answer holds: the ends, the one that is held, and others evenly between.
const MOST_ROWS: usize = 40;

/// How tubes were chosen. The loss of a fitting is charged to the tube behind it, at the velocity in that tube: so the choice
/// of all tubes together is exact.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ChoiceRow {
    /// The rule that decides: `least_cost` or `gradient`.
    pub rule: &'static str,
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
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
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
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
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
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ChangedRow {
    /// Id of the run, `primary`, or `hot_water_circuit`.
    pub section: String,
    /// Code of the tube; absent where one that nobody can see stays.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tube: Option<String>,
}

/// How heat source and system are put together.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ArrangementRow {
    /// `direct`: the heat source's own pump carries the system. `added_water`: the same, and a vessel in the return adds
    /// water. `separated`: a vessel parts it from the system, which a second pump carries.
    pub kind: &'static str,
    /// Why, in words.
    pub detail: String,
    /// What speaks against the plainest: `head`, `minimum_flow`, `water`.
    pub reasons: Vec<&'static str>,
    /// Flow that is left with every thermostat shut (l/h).
    pub open_flow_l_h: f64,
    /// Least flow of the heat source (l/h), where its data tell it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minimum_flow_l_h: Option<f64>,
    /// Flow of the heat source's own pump (l/h): that of the system, or behind a separation its least if that is more.
    pub unit_flow_l_h: f64,
    /// Head that it carries (kPa): the whole, or before a separation primary and plant room.
    pub unit_head_kpa: f64,
    /// Speed of that pump, as a share of its full speed, where its curve reaches there (0–1).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit_speed: Option<f64>,
    /// Water that is open to it with every thermostat shut, before any vessel is added (l).
    pub open_water_l: f64,
    /// Water that it needs then (l), where its data tell it: its own least, or what a defrost cools by 10 K.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub needed_water_l: Option<f64>,
    /// Water that a vessel must add or hold (l), where the arrangement has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub vessel_needed_l: Option<f64>,
    /// Code of the vessel.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub vessel: Option<String>,
    /// Code of the second pump.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub second_pump: Option<String>,
    /// Head that the second pump must give (kPa).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub second_pump_head_kpa: Option<f64>,
}

/// An amount rounded to the penny.
fn money(amount: f64) -> Money {
    #[expect(clippy::cast_possible_truncation, reason = "costs of a house are far below what pennies in i64 hold")]
    Money::from_pennies((100.0 * amount).round() as i64)
}

impl Pipework {
    pub(super) fn choice_row(&self, survey: &Survey) -> ChoiceRow {
        let sizes = &self.sizes;
        let least = sizes.least.map(|least| &sizes.front[least]);
        let gradient = self.sized(&sizes.gradient);
        let least_row = least.map(|least| self.sized(least));
        ChoiceRow {
            rule: match survey.pipes.sizing.rule {
                Rule::LeastCost => "least_cost",
                Rule::Gradient => "gradient",
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
        let is_separated = self.arrangement.kind == Joined::Separated;
        let head_pa = sized.head_pa + if is_separated { 0.0 } else { self.plant_pa };
        let before_pa = if is_separated { sized.before_pa + self.plant_pa } else { 0.0 };
        let electricity = self.sizes.head_costs * head_pa + self.sizes.before_costs * before_pa;
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
        let row = |section: &str, tube: Option<usize>| ChangedRow {
            section: section.to_owned(),
            tube: tube.and_then(|tube| code(survey, survey.offer.tubes[tube].product)),
        };
        let changed = runs.filter_map(|(index, run)| {
            let now = tube(after, index)?;
            let then = before.and_then(|before| tube(before, index));
            (then != Some(now)).then(|| row(&run.id, now))
        });
        // the tube of the hot-water circuit hangs on that of the primary
        let of_hot_water = |sized: &Sized| {
            let place = if survey.pipes.primary.is_some() { sized.picks.first().copied()? } else { 0 };
            *self.hot_water_tubes.get(place)?
        };
        let hot_water = of_hot_water(after).filter(|now| before.and_then(of_hot_water) != Some(*now));
        changed.chain(hot_water.map(|tube| row("hot_water_circuit", Some(tube)))).collect()
    }

    pub(super) fn arrangement_row(&self, survey: &Survey) -> ArrangementRow {
        let found = &self.arrangement;
        let buffer = found.buffer.map(|index| survey.offer.buffers[index].product);
        let second = found.second_pump.map(|index| survey.offer.circulators[index].product);
        ArrangementRow {
            kind: match found.kind {
                Joined::Direct => "direct",
                Joined::AddedWater => "added_water",
                Joined::Separated => "separated",
            },
            detail: self.arrangement_words(),
            reasons: found.reasons.iter().map(|reason| reason_code(*reason)).collect(),
            open_flow_l_h: found.open_flow_l_h,
            minimum_flow_l_h: found.minimum_flow_l_h,
            unit_flow_l_h: self.own.flow_l_h,
            unit_head_kpa: self.carried_kpa(),
            unit_speed: self.unit_speed.map(|found| found.speed),
            open_water_l: found.open_water_l,
            needed_water_l: found.needed_water_l,
            vessel_needed_l: (found.kind != Joined::Direct).then_some(found.added_water_l),
            vessel: buffer.and_then(|product| code(survey, product)),
            second_pump: second.and_then(|product| code(survey, product)),
            second_pump_head_kpa: found.second_head_kpa,
        }
    }

    fn arrangement_words(&self) -> String {
        let found = &self.arrangement;
        let all_open = found.open_flow_l_h >= self.flow_l_h * (1.0 - 1e-9);
        if self.flow_l_h <= 0.0 {
            return "nothing flows: no emitter has anything to carry".to_owned();
        }
        let reasons: Vec<String> =
            found.reasons.iter().map(|reason| reason_words(*reason, all_open, found.is_by_defrost)).collect();
        match found.kind {
            Joined::Direct => {
                let own = self.own.head_kpa.map_or_else(
                    || "no heat source is chosen whose pump could be held against it".to_owned(),
                    |own_kpa| {
                        let head_kpa = self.head_kpa();
                        format!("the heat source's own pump has {own_kpa:.1} kPa for the {head_kpa:.1} kPa that the system takes")
                    },
                );
                format!(
                    "{own}; what stays open gives it {:.0} l/h and {:.0} l",
                    found.open_flow_l_h, found.open_water_l
                )
            }
            Joined::AddedWater => format!(
                "{}: so a vessel in the return adds {:.0} l, and the own pump still carries the system",
                reasons.join("; "),
                found.added_water_l
            ),
            Joined::Separated => {
                let least = found.least_would_do_kpa.map_or_else(String::new, |kpa| {
                    format!("; tubes at least cost would take {kpa:.1} kPa, which its own pump has: `sizing` decides")
                });
                format!(
                    "{}: so a vessel parts heat source and system, the own pump moves {:.0} l/h through primary and plant room, and a second pump gives the system {:.0} l/h at {:.1} kPa{least}",
                    reasons.join("; "),
                    self.own.flow_l_h,
                    self.flow_l_h,
                    found.second_head_kpa.unwrap_or(0.0)
                )
            }
        }
    }
}

fn reason_code(reason: Reason) -> &'static str {
    match reason {
        Reason::Head(..) => "head",
        Reason::MinimumFlow(..) => "minimum_flow",
        Reason::Water(..) => "water",
    }
}

fn reason_words(reason: Reason, all_open: bool, is_by_defrost: bool) -> String {
    let with = if all_open { "with everything open" } else { "with every thermostat shut" };
    match reason {
        Reason::Head(own_kpa, head_kpa) => {
            format!("the system takes {head_kpa:.1} kPa, and the heat source's own pump has {own_kpa:.1} kPa")
        }
        Reason::MinimumFlow(open_l_h, least_l_h) => {
            let smaller = if all_open { "; a smaller drop would give it more" } else { "" };
            format!("{with} {open_l_h:.0} l/h flow, and the heat source needs {least_l_h:.0} l/h{smaller}")
        }
        Reason::Water(open_l, needed_l) => {
            let what = if is_by_defrost { "a defrost" } else { "the heat source" };
            format!("{with} {open_l:.0} l are open to it, and {what} needs {needed_l:.0} l")
        }
    }
}
