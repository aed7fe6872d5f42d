//! The chain at every flow temperature, compared.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::changes::{NextChange, next_changes};
use super::citations::{CitedSource, Working};
use super::question::Question;
use super::reports::{Said, answered, report};
use super::run::Shown;
use super::{Prepared, ProposalError};
use crate::catalogue::offer::HeatSource;
use crate::catalogue::products::Product;
use crate::design::DesignError;
use crate::design::emitters::{self, Asked, Emitters, Kind, Lowest, Sought, Unmet};
use crate::design::findings::{self, Pointed, UnmetRow};
use crate::design::heat_loss::HeatLoss;
use crate::design::known::Known;
use crate::design::source::{self, Source};
use crate::estimate::{Counted, emitter_cost};
use crate::list::Index;
use crate::methods::Off;
use crate::methods::workings::{Cited, Citing};
use crate::money::Money;
use crate::notes::{Finding, Notes};
use crate::survey::{Flow, Room, Survey};

/// Flow temperatures side by side.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FlowTemperaturesAnswer {
    /// The lowest flow temperature, to half a kelvin, at which every room is carried that sets it: between the bounds of the job,
    /// or 25 and 55 °C.
    pub lowest: LowestRow,
    /// What each flow temperature asks for and gives.
    pub candidates: Vec<FlowCandidate>,
}

/// The lowest flow temperature.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LowestRow {
    /// Flow temperature (°C); the highest of the bounds where none carries every room that sets it.
    pub flow_temperature_c: f64,
    /// Whether every room is carried there, those that were set aside as well.
    pub complete: bool,
    /// Rooms that do not set it and lack heat there: why each is set aside (no emitter, a floor at the limit of its surface, a
    /// bathroom, or what is too weak even at the hottest), what it lacks, and a radiator that would give that.
    #[serde(default)]
    #[schema(required = true)]
    pub set_aside: Vec<UnmetRow>,
    /// The rooms that ask for the warmest water, the first of them first, three at most.
    #[serde(default)]
    #[schema(required = true)]
    pub worst_rooms: Vec<WorstRoom>,
    /// The need that is furthest from being met half a kelvin below, or at the highest of the bounds where that does not
    /// carry every room. Absent where the lowest bound carries every room.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub held_by: Option<UnmetRow>,
    /// The other needs that are not met there.
    pub also_held_by: Vec<UnmetRow>,
    /// What would lower it next, the greatest gain first: a change to the emitter that holds it, with those to the others
    /// that hold it too. Empty where one of them cannot be changed so that it would be enough: see `blocked_by`.
    pub next_changes: Vec<NextChange>,
    /// Where there is something that holds it and no change that would lower it: the need that none would meet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub blocked_by: Option<UnmetRow>,
}

/// A room that asks for the warmest water.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WorstRoom {
    /// Id of the room.
    pub room: String,
    /// Lowest flow temperature without it (°C); absent where no other room sets one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub without_c: Option<f64>,
    /// Lowest flow temperature without it and those before it (°C); absent where no other room sets one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub without_these_c: Option<f64>,
}

/// One flow temperature.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FlowCandidate {
    /// Flow temperature (°C).
    pub flow_temperature_c: f64,
    /// Whether every room is carried and nothing else of the emitters is unmet.
    pub complete: bool,
    /// Rooms that are not carried.
    pub not_carried: Vec<ShortRoom>,
    /// Codes of all that is unmet of the emitters there, each once: of rooms, and of whatever else keeps it from being complete, as
    /// water that is too hot for a screed.
    #[serde(default)]
    #[schema(required = true)]
    pub unmet: Vec<Cow<'static, str>>,
    /// Emitters of every room.
    pub emitters: Vec<FlowEmitter>,
    /// Cost of new radiators and fan convectors with what they are connected by, of manifolds and of floor tube by the metre:
    /// to the firm, before mark-up and tax. Where none is enough, that of the strongest that fits: less than what it would
    /// take.
    pub emitter_cost: Money,
    /// The heat source in design conditions; absent where none can be taken.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heat_source: Option<FlowSource>,
    /// The same on milder days, the flow by a straight heating curve; days that its data do not reach are left out.
    pub part_load: Vec<PartLoadRow>,
}

/// A room that is not carried.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ShortRoom {
    /// Id of the room.
    pub room: String,
    /// What its emitters should give (W).
    pub needed_w: f64,
    /// What they give (W).
    pub reached_w: f64,
}

/// An emitter at a flow temperature.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FlowEmitter {
    /// Id of the room.
    pub room: String,
    /// Id of the emitter.
    pub emitter: String,
    /// Code of the radiator or fan convector; absent for floors, where none that fits is enough or it is left out, and for one
    /// known by its rating alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product: Option<String>,
    /// Code of the strongest that fits, where none is enough.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strongest: Option<String>,
    /// Pipe spacing of a floor (mm).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spacing_mm: Option<f64>,
    /// What it gives (W).
    pub output_w: f64,
    /// What it could give at the nominal drop (W).
    pub capacity_w: f64,
}

/// The heat source in design conditions.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FlowSource {
    /// Its code; absent for a unit given with the job, and where none is enough.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product: Option<String>,
    /// Code of the strongest, where none is enough: the figures are its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strongest: Option<String>,
    /// Flow temperature that its data are read at (°C): their lowest, where the flow lies below, on the safe side.
    pub read_at_c: f64,
    /// Output at the design outside temperature (W).
    pub capacity_w: f64,
    /// Coefficient of performance there.
    pub cop: f64,
    /// Whether it carries the house and its hot water.
    pub enough: bool,
}

/// The heat source on a milder day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PartLoadRow {
    /// Outside temperature (°C).
    pub outside_c: f64,
    /// Flow temperature by the heating curve (°C).
    pub flow_temperature_c: f64,
    /// Flow temperature that its data are read at (°C): their lowest, where the curve lies below, on the safe side.
    pub read_at_c: f64,
    /// Load of the house, without gains (W).
    pub load_w: f64,
    /// Full output there (W).
    pub capacity_w: f64,
    /// Coefficient of performance there, at full output.
    pub cop: f64,
}

report! {
    /// Answer to a question for flow temperatures.
    FlowTemperaturesReport {
        /// Flow temperatures side by side.
        flow_temperatures: FlowTemperaturesAnswer,
    }
}

impl Pointed for FlowTemperaturesAnswer {
    fn pointers(&mut self) -> Vec<&mut String> {
        let LowestRow { held_by, also_held_by, set_aside, blocked_by, .. } = &mut self.lowest;
        held_by.iter_mut().chain(also_held_by).chain(set_aside).chain(blocked_by).map(|row| &mut row.pointer).collect()
    }
}

/// Compares flow temperatures. Its workings are an empty list: ask a stage at one of them.
///
/// # Errors
/// [`ProposalError`] if part of the job describes nothing physical.
pub fn flow_temperatures(prepared: &Prepared, workings: bool) -> Result<FlowTemperaturesReport, ProposalError> {
    let (flow_temperatures, said) = answered(prepared, Question::FlowTemperatures, workings, |run| {
        let survey = run.survey();
        let loss = run.heat_loss()?;
        let cited = Cited::default();
        let mut w = Citing::new(Off, &cited);
        let known = Known::of(survey);
        let asked = Asked { known: Some(&known), ..run.asked() };
        let sought = emitters::lowest(asked, loss, bounds(survey), &mut w)?;
        // of all others it is only told how they run
        let duty = asked.duty();
        let worst = worst_rooms(duty, loss, &sought)?;
        let Sought { lowest, found, below, hottest } = sought;
        let source = source::compute(survey, loss, &found, &mut w)?;
        let lowest = lowest_row(duty, (&lowest, worst), &found, below.as_ref())?;
        let seen = [Some(&found), below.as_ref(), Some(&hottest)];
        let answer = FlowTemperaturesAnswer { lowest, candidates: candidates(duty, loss, &seen)? };
        let shown = [
            run.shown_heat_loss()?,
            Shown::from_stage(&found, &cited, survey),
            Shown::from_stage(&source, &cited, survey),
        ];
        Ok((answer, shown.into()))
    })?;
    let Said { title, reference, notes, sources, workings } = said;
    Ok(FlowTemperaturesReport { title, reference, flow_temperatures, notes, sources, workings })
}

fn bounds(survey: &Survey) -> (f64, f64) {
    match survey.heating.flow {
        Flow::Fixed(_) => (survey.defaults.lowest_flow_from_c.value, survey.defaults.lowest_flow_to_c.value),
        Flow::Lowest(least_c, most_c) => (least_c, most_c),
    }
}

fn lowest_row(
    asked: Asked<'_>,
    (lowest, worst_rooms): (&Lowest, Vec<WorstRoom>),
    found: &Emitters,
    below: Option<&Emitters>,
) -> Result<LowestRow, ProposalError> {
    let survey = asked.survey;
    let (next_changes, blocked_by) = next_changes(asked, lowest, found, bounds(survey))?;
    // half a kelvin below, or where not even the highest carries every room there
    let unmet = if lowest.carries { below.map_or(&[][..], |below| &below.unmet) } else { &found.unmet };
    let others = unmet.iter().filter(|unmet| lowest.held_by.is_none_or(|held_by| held_by != **unmet));
    let others = others.filter(|unmet| lowest.counts(unmet));
    let set_aside = found.unmet.iter().filter(|unmet| matches!(unmet, Unmet::SetAside { .. }));
    Ok(LowestRow {
        flow_temperature_c: lowest.flow_c,
        complete: found.unmet.is_empty(),
        set_aside: findings::rows(survey, set_aside),
        worst_rooms,
        next_changes,
        blocked_by: blocked_by.and_then(|unmet| findings::row(survey, &unmet)),
        held_by: lowest.holding(survey, &lowest.held_by).pop(),
        also_held_by: lowest.holding(survey, others),
    })
}

/// The rooms that ask for the warmest water, and what the house would ask for without them.
fn worst_rooms(asked: Asked<'_>, loss: &HeatLoss, sought: &Sought) -> Result<Vec<WorstRoom>, ProposalError> {
    const MOST: usize = 3;
    let without =
        |rooms: &[Index<Room>]| emitters::lowest_without(asked, loss, bounds(asked.survey), (sought, rooms), &mut Off);
    let (mut worst, mut rows) = (Vec::new(), Vec::new());
    let lowest = &sought.lowest;
    let mut holder = lowest.held_by.filter(|_| lowest.carries).and_then(|unmet| unmet.room());
    while let Some(room) = holder.filter(|_| rows.len() < MOST) {
        worst.push(room);
        let without_these = without(&worst)?;
        let without_it = if worst.len() == 1 { without_these.clone() } else { without(&[room])? };
        rows.push(WorstRoom {
            room: asked.survey.names.rooms[room].clone(),
            without_c: without_it.map(|lowest| lowest.flow_c),
            without_these_c: without_these.as_ref().map(|lowest| lowest.flow_c),
        });
        holder = without_these.and_then(|lowest| lowest.held_by?.room());
    }
    Ok(rows)
}

/// Every flow temperature that is looked at; those that were looked at before are not computed again.
fn candidates(
    asked: Asked<'_>,
    loss: &HeatLoss,
    seen: &[Option<&Emitters>],
) -> Result<Vec<FlowCandidate>, ProposalError> {
    let survey = asked.survey;
    let (first_c, count) = (survey.defaults.compared_flow_from_c.value, survey.defaults.compared_flows.value);
    let flows = (0..count).map(|step| first_c + f64::from(step));
    let each = flows.map(|flow_c| {
        let before = seen.iter().flatten().find(|found| found.flow_c.to_bits() == flow_c.to_bits());
        before.map_or_else(|| candidate(asked, loss, flow_c), |found| compared(asked.survey, loss, found))
    });
    each.collect()
}

/// One flow temperature: emitters, their cost and the heat source.
///
/// # Errors
/// Those of the stages up to the heat source, and of money.
pub fn candidate(asked: Asked<'_>, loss: &HeatLoss, flow_c: f64) -> Result<FlowCandidate, ProposalError> {
    compared(asked.survey, loss, &emitters::at(asked.duty(), loss, flow_c, &mut Off)?)
}

fn compared(survey: &Survey, loss: &HeatLoss, found: &Emitters) -> Result<FlowCandidate, ProposalError> {
    let source = source::compute(survey, loss, found, &mut Off)?;
    let not_carried = found.not_carried().into_iter().map(|(room, needed_w, reached_w)| ShortRoom {
        room: survey.names.rooms[room].clone(),
        needed_w,
        reached_w,
    });
    Ok(FlowCandidate {
        flow_temperature_c: found.flow_c,
        complete: found.unmet.is_empty(),
        not_carried: not_carried.collect(),
        unmet: codes(&found.unmet),
        emitters: rows(survey, found),
        emitter_cost: emitter_cost(survey, found, Counted::Strongest)?,
        heat_source: in_design(survey, &source),
        part_load: part_load(survey, loss, &source)?,
    })
}

/// Codes of needs, each once.
fn codes(unmet: &[Unmet]) -> Vec<Cow<'static, str>> {
    let mut codes: Vec<Cow<'static, str>> = Vec::new();
    for code in unmet.iter().map(|unmet| Finding::<Survey>::code(unmet)) {
        if !codes.iter().any(|known| known == code) {
            codes.push(code.into());
        }
    }
    codes
}

fn rows(survey: &Survey, found: &Emitters) -> Vec<FlowEmitter> {
    let code = |product: Index<Product>| survey.book.product(product).0.to_owned();
    let mut rows = Vec::new();
    for (room, emitters) in found.rooms.enumerate() {
        for (index, emitter) in emitters.enumerate() {
            let (product, strongest) = match emitter.kind.product() {
                Some((product, true)) => (Some(code(product)), None),
                Some((product, false)) => (None, Some(code(product))),
                None => (None, None),
            };
            let spacing_mm = match &emitter.kind {
                Kind::Floor(floor) => Some(floor.spacing_mm()),
                Kind::Radiator(_) | Kind::FanConvector(_) | Kind::BeyondTables(_) => None,
            };
            rows.push(FlowEmitter {
                room: survey.names.rooms[room].clone(),
                emitter: survey.names.emitters[room][index].clone(),
                product,
                strongest,
                spacing_mm,
                output_w: emitter.at_load.output_w,
                capacity_w: emitter.capacity_w,
            });
        }
    }
    rows
}

fn in_design(survey: &Survey, source: &Source) -> Option<FlowSource> {
    let reckoned = source.candidate()?;
    let code = |offer: Index<HeatSource>| {
        survey.offer.heat_sources[offer].product.map(|index| survey.book.product(index).0.to_owned())
    };
    Some(FlowSource {
        product: source.chosen.and_then(code),
        strongest: source.strongest.and_then(code),
        read_at_c: reckoned.read_at_c,
        capacity_w: reckoned.capacity_w,
        cop: reckoned.cop,
        enough: reckoned.is_enough(),
    })
}

fn part_load(survey: &Survey, loss: &HeatLoss, source: &Source) -> Result<Vec<PartLoadRow>, DesignError> {
    let milder_c = [survey.defaults.mild_day_c.value, survey.defaults.milder_day_c.value];
    let mut rows = Vec::with_capacity(milder_c.len());
    for outside_c in milder_c.into_iter().filter(|outside_c| *outside_c > loss.outside_design_c) {
        if let Some(found) = source.part_load(survey, loss, outside_c)? {
            rows.push(PartLoadRow {
                outside_c: found.outside_c,
                flow_temperature_c: found.flow_c,
                read_at_c: found.read_at_c,
                load_w: found.load_w,
                capacity_w: found.capacity_w,
                cop: found.cop,
            });
        }
    }
    Ok(rows)
}
