//! The answer to each question: its stage, the notes, the sources, and the workings on request.

use serde::Serialize;
use utoipa::ToSchema;

use super::chain::{self, Designed, Estimated, Shown};
use super::cited::{CitedSource, Working, cited};
use super::flow_temperatures::{self, FlowTemperaturesAnswer};
use super::places::Places;
use super::{Prepared, ProposalError, cautions, gaps};
use crate::design::emitters::{EmittersAnswer, Tells};
use crate::design::heat_loss::HeatLossAnswer;
use crate::design::pipework::PipeworkAnswer;
use crate::design::plant::PlantAnswer;
use crate::design::{
    emitters as emitters_stage, heat_loss as heat_loss_stage, pipework as pipework_stage, plant as plant_stage,
};
use crate::estimate::bill::BillAnswer;
use crate::estimate::price::PriceAnswer;
use crate::estimate::programme::ProgrammeAnswer;
use crate::job::Job;
use crate::methods::Step;
use crate::notes::{Notes, Stage};
use crate::sources::Source;
use crate::survey::Survey;

/// Declares the answer to a question: the stages that it holds, and what every answer holds beside them.
macro_rules! report {
    ($(#[$doc:meta])* $name:ident { $($(#[$field_doc:meta])* $field:ident: $answer:ty),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
        pub struct $name {
            $($(#[$field_doc])* pub $field: $answer,)+
            /// What was assumed, what looks wrong, what to beware of.
            pub notes: Notes,
            /// Published sources that the figures rest on.
            pub sources: Vec<CitedSource>,
            /// The equations, on request.
            #[serde(skip_serializing_if = "Option::is_none")]
            pub workings: Option<Vec<Working>>,
        }
    };
}

report! {
    /// Answer to a question for heat loss.
    HeatLossReport {
        /// Design heat loss of every room and of the dwelling.
        heat_loss: HeatLossAnswer,
    }
}
report! {
    /// Answer to a question for emitters.
    EmittersReport {
        /// Emitters of every room.
        emitters: EmittersAnswer,
    }
}
report! {
    /// Answer to a question for flow temperatures.
    FlowTemperaturesReport {
        /// Flow temperatures side by side.
        flow_temperatures: FlowTemperaturesAnswer,
    }
}
report! {
    /// Answer to a question for pipework.
    PipeworkReport {
        /// The two-pipe tree, sized.
        pipework: PipeworkAnswer,
    }
}
report! {
    /// Answer to a question for the plant.
    PlantReport {
        /// Heat source, cylinder, water content and expansion vessel.
        plant: PlantAnswer,
    }
}
report! {
    /// Answer to a question for the bill.
    BillReport {
        /// Materials and labour.
        bill: BillAnswer,
    }
}
report! {
    /// Answer to a question for the programme.
    ProgrammeReport {
        /// Visits in their order.
        programme: ProgrammeAnswer,
    }
}
report! {
    /// Answer to a question for the price.
    PriceReport {
        /// Net, tax, gross, grant and what is left to pay.
        price: PriceAnswer,
    }
}
report! {
    /// Every stage at once.
    ProposalReport {
        /// Design heat loss of every room and of the dwelling.
        heat_loss: HeatLossAnswer,
        /// Emitters of every room.
        emitters: EmittersAnswer,
        /// The two-pipe tree, sized.
        pipework: PipeworkAnswer,
        /// Heat source, cylinder, water content and expansion vessel.
        plant: PlantAnswer,
        /// Materials and labour.
        bill: BillAnswer,
        /// Visits in their order.
        programme: ProgrammeAnswer,
        /// Net, tax, gross, grant and what is left to pay.
        price: PriceAnswer,
    }
}

/// Workings as they are answered, if they were asked for.
fn shown(asked: bool, steps: Vec<Step>) -> Option<Vec<Working>> {
    asked.then(|| steps.into_iter().map(Working::from).collect())
}

/// Sources of the stages up to the plant.
fn design_sources(survey: &Survey) -> Vec<&'static Source> {
    let mut sources = heat_loss_stage::sources(survey);
    sources.extend(emitters_stage::sources(survey));
    sources.extend(pipework_stage::sources(survey));
    sources.extend(plant_stage::sources(survey));
    sources
}

/// Makes an answer from a job; should that fail, the reasons point at places that the job has.
fn of_job<R>(
    prepared: Prepared,
    answer: impl FnOnce(&Job, &Survey, Notes) -> Result<R, ProposalError>,
) -> Result<R, ProposalError> {
    let Prepared { job, survey, notes } = prepared;
    answer(&job, &survey, notes).or_else(|error| {
        let mut faults = error.into_faults()?;
        Places::of(&job).settle_faults(&mut faults);
        Err(ProposalError::Faults(faults))
    })
}

/// Computes the heat loss of a job.
///
/// # Errors
/// [`ProposalError::Faults`] if part of the job describes nothing physical.
pub fn heat_loss(prepared: Prepared, workings: bool) -> Result<HeatLossReport, ProposalError> {
    of_job(prepared, |job, survey, notes| {
        let mut notes = notes.up_to(Stage::HeatLoss);
        let mut steps = Vec::new();
        let loss = chain::loss(survey, Shown { heat_loss: workings, ..Shown::default() }, &mut steps)?;
        loss.warnings.iter().for_each(|warning| warning.note(survey, &mut notes));
        Places::of(job).settle_notes(&mut notes);
        let sources = cited(&heat_loss_stage::sources(survey));
        let uncertainty = heat_loss_stage::uncertainty(survey, &loss)?;
        Ok(HeatLossReport {
            heat_loss: loss.answer(survey, uncertainty),
            notes,
            sources,
            workings: shown(workings, steps),
        })
    })
}

/// Computes the emitters of a job.
///
/// # Errors
/// As [`heat_loss`].
pub fn emitters(prepared: Prepared, workings: bool) -> Result<EmittersReport, ProposalError> {
    of_job(prepared, |job, survey, notes| {
        let mut notes = notes.up_to(Stage::Emitters);
        let mut steps = Vec::new();
        let (_, found) =
            chain::emitted(survey, Tells::All, Shown { emitters: workings, ..Shown::default() }, &mut steps)?;
        found.warnings.iter().for_each(|warning| warning.note(survey, &mut notes));
        cautions::emitters(survey, &mut notes);
        let mut emitters = found.answer(survey);
        let places = Places::of(job);
        places.settle_notes(&mut notes);
        places.settle_unmet(&mut emitters.unmet);
        if let Some(held_by) = &mut emitters.held_by {
            places.settle_unmet(std::slice::from_mut(held_by));
        }
        let sources = cited(&emitters_stage::sources(survey));
        Ok(EmittersReport { emitters, notes, sources, workings: shown(workings, steps) })
    })
}

/// Compares flow temperatures. Its workings are an empty list: ask a stage at one of them.
///
/// # Errors
/// As [`heat_loss`].
pub fn flow_temperatures(prepared: Prepared, workings: bool) -> Result<FlowTemperaturesReport, ProposalError> {
    of_job(prepared, |job, survey, notes| {
        let mut notes = notes.up_to(Stage::Plant);
        let (mut flow_temperatures, warnings) = flow_temperatures::compute(survey)?;
        for warning in &warnings {
            warning.note(survey, &mut notes);
        }
        cautions::emitters(survey, &mut notes);
        let places = Places::of(job);
        places.settle_notes(&mut notes);
        let lowest = &mut flow_temperatures.lowest;
        places.settle_unmet(&mut lowest.also_held_by);
        for unmet in lowest.held_by.iter_mut().chain(&mut lowest.blocked_by) {
            places.settle_unmet(std::slice::from_mut(unmet));
        }
        let mut sources = heat_loss_stage::sources(survey);
        sources.extend(emitters_stage::sources(survey));
        sources.extend(plant_stage::sources(survey));
        let workings = shown(workings, Vec::new());
        Ok(FlowTemperaturesReport { flow_temperatures, notes, sources: cited(&sources), workings })
    })
}

/// Computes the pipework of a job.
///
/// # Errors
/// As [`heat_loss`].
pub fn pipework(prepared: Prepared, workings: bool) -> Result<PipeworkReport, ProposalError> {
    of_job(prepared, |job, survey, notes| {
        let mut notes = notes.up_to(Stage::Plant);
        let mut steps = Vec::new();
        let designed =
            chain::designed(survey, Tells::Duty, Shown { pipework: workings, ..Shown::default() }, &mut steps)?;
        designed.pipework.warnings.iter().for_each(|warning| warning.note(survey, &mut notes));
        cautions::pipework(survey, &mut notes);
        let mut pipework = designed.pipework.answer(survey, &designed.emitters);
        let places = Places::of(job);
        places.settle_notes(&mut notes);
        places.settle_unmet(&mut pipework.unmet);
        let sources = cited(&pipework_stage::sources(survey));
        Ok(PipeworkReport { pipework, notes, sources, workings: shown(workings, steps) })
    })
}

/// Computes the plant of a job.
///
/// # Errors
/// As [`heat_loss`].
pub fn plant(prepared: Prepared, workings: bool) -> Result<PlantReport, ProposalError> {
    of_job(prepared, |job, survey, notes| {
        let mut notes = notes.up_to(Stage::Plant);
        let mut steps = Vec::new();
        let designed = chain::designed(survey, Tells::Duty, Shown { plant: workings, ..Shown::default() }, &mut steps)?;
        designed.source.warnings.iter().for_each(|warning| warning.note(survey, &mut notes));
        cautions::plant(survey, &mut notes);
        let mut plant = designed.plant.answer(survey, &designed.source);
        let places = Places::of(job);
        places.settle_notes(&mut notes);
        places.settle_unmet(&mut plant.unmet);
        let sources = cited(&plant_stage::sources(survey));
        Ok(PlantReport { plant, notes, sources, workings: shown(workings, steps) })
    })
}

/// The whole way, computed; what each answer takes from it is its own.
struct Whole {
    designed: Designed,
    estimated: Estimated,
    bill: BillAnswer,
    price: PriceAnswer,
    notes: Notes,
    sources: Vec<CitedSource>,
}

fn whole(
    job: &Job,
    survey: &Survey,
    mut notes: Notes,
    tells: Tells,
    shown: Shown,
    steps: &mut Vec<Step>,
) -> Result<Whole, ProposalError> {
    chain::commercial(survey)?;
    let designed = chain::designed(survey, tells, shown, steps)?;
    let estimated = chain::estimated(survey, &designed)?;
    let warnings = designed.warnings().chain(&estimated.price.warnings);
    warnings.for_each(|warning| warning.note(survey, &mut notes));
    cautions::emitters(survey, &mut notes);
    cautions::pipework(survey, &mut notes);
    cautions::plant(survey, &mut notes);
    cautions::price(&mut notes);
    gaps::note_design(survey, designed.unmet(), &mut notes);
    gaps::note_labour(&estimated.bill, &mut notes);
    let mut bill = estimated.bill.answer(survey, designed.unmet().next().is_none());
    let price = estimated.price.answer(survey, bill.complete);
    let places = Places::of(job);
    places.settle_notes(&mut notes);
    places.settle_unmet(&mut bill.unmet);
    let sources = cited(&design_sources(survey));
    Ok(Whole { designed, estimated, bill, price, notes, sources })
}

/// Makes the bill of a job. Money has no equation of a published method, so that its workings are an empty list:
/// each line says where its quantity comes from.
///
/// # Errors
/// [`ProposalError::Faults`] if part of the job describes nothing physical, or money cannot be reckoned.
pub fn bill(prepared: Prepared, workings: bool) -> Result<BillReport, ProposalError> {
    of_job(prepared, |job, survey, notes| {
        let Whole { bill, notes, sources, .. } =
            whole(job, survey, notes, Tells::Duty, Shown::default(), &mut Vec::new())?;
        Ok(BillReport { bill, notes, sources, workings: shown(workings, Vec::new()) })
    })
}

/// Makes the programme of a job. Its workings are an empty list, as those of the bill.
///
/// # Errors
/// As [`bill`].
pub fn programme(prepared: Prepared, workings: bool) -> Result<ProgrammeReport, ProposalError> {
    of_job(prepared, |job, survey, notes| {
        let Whole { estimated, notes, sources, .. } =
            whole(job, survey, notes, Tells::Duty, Shown::default(), &mut Vec::new())?;
        let programme = estimated.programme;
        Ok(ProgrammeReport { programme, notes, sources, workings: shown(workings, Vec::new()) })
    })
}

/// Makes the price of a job. Its workings are an empty list, as those of the bill.
///
/// # Errors
/// As [`bill`].
pub fn price(prepared: Prepared, workings: bool) -> Result<PriceReport, ProposalError> {
    of_job(prepared, |job, survey, notes| {
        let Whole { price, notes, sources, .. } =
            whole(job, survey, notes, Tells::Duty, Shown::default(), &mut Vec::new())?;
        Ok(PriceReport { price, notes, sources, workings: shown(workings, Vec::new()) })
    })
}

/// Runs every stage of a job.
///
/// # Errors
/// As [`bill`].
pub fn proposal(prepared: Prepared, workings: bool) -> Result<ProposalReport, ProposalError> {
    of_job(prepared, |job, survey, notes| {
        let mut steps = Vec::new();
        let asked = if workings { Shown::ALL } else { Shown::default() };
        let Whole { designed, estimated, bill, price, notes, sources } =
            whole(job, survey, notes, Tells::All, asked, &mut steps)?;
        let mut emitters = designed.emitters.answer(survey);
        let mut pipework = designed.pipework.answer(survey, &designed.emitters);
        let mut plant = designed.plant.answer(survey, &designed.source);
        let places = Places::of(job);
        for unmet in [&mut emitters.unmet, &mut pipework.unmet, &mut plant.unmet] {
            places.settle_unmet(unmet);
        }
        if let Some(held_by) = &mut emitters.held_by {
            places.settle_unmet(std::slice::from_mut(held_by));
        }
        let uncertainty = heat_loss_stage::uncertainty(survey, &designed.loss)?;
        Ok(ProposalReport {
            heat_loss: designed.loss.answer(survey, uncertainty),
            emitters,
            pipework,
            plant,
            bill,
            programme: estimated.programme,
            price,
            notes,
            sources,
            workings: shown(workings, steps),
        })
    })
}
