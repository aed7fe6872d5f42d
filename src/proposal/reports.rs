//! The answer to each question: its stage, the notes, the sources, and the workings on request.

use serde::Serialize;
use utoipa::ToSchema;

use super::chain::{self, Shown};
use super::cited::{CitedSource, Working, cited};
use super::{Prepared, ProposalError, cautions};
use crate::design::emitters::EmittersAnswer;
use crate::design::heat_loss::HeatLossAnswer;
use crate::design::pipework::PipeworkAnswer;
use crate::design::plant::PlantAnswer;
use crate::design::{
    emitters as emitters_stage, heat_loss as heat_loss_stage, pipework as pipework_stage, plant as plant_stage,
};
use crate::estimate::bill::BillAnswer;
use crate::estimate::price::PriceAnswer;
use crate::estimate::programme::{ProgrammeAnswer, SCREED_DAYS};
use crate::methods::Step;
use crate::notes::Notes;
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
    sources.extend(pipework_stage::SOURCES);
    sources.extend(plant_stage::SOURCES);
    sources
}

/// Computes the heat loss of a job.
///
/// # Errors
/// [`ProposalError::Design`] if part of the job describes nothing physical.
pub fn heat_loss(prepared: Prepared, workings: bool) -> Result<HeatLossReport, ProposalError> {
    let Prepared { survey, notes, .. } = prepared;
    let mut steps = Vec::new();
    let loss = chain::loss(&survey, Shown { heat_loss: workings, ..Shown::default() }, &mut steps)?;
    let sources = cited(&heat_loss_stage::sources(&survey));
    Ok(HeatLossReport { heat_loss: loss.answer(&survey), notes, sources, workings: shown(workings, steps) })
}

/// Computes the emitters of a job.
///
/// # Errors
/// As [`heat_loss`].
pub fn emitters(prepared: Prepared, workings: bool) -> Result<EmittersReport, ProposalError> {
    let Prepared { survey, mut notes, .. } = prepared;
    let mut steps = Vec::new();
    let (_, emitters) = chain::emitted(&survey, Shown { emitters: workings, ..Shown::default() }, &mut steps)?;
    emitters.warnings.iter().for_each(|warning| warning.note(&survey, &mut notes));
    cautions::emitters(&survey, &mut notes);
    let sources = cited(&emitters_stage::sources(&survey));
    Ok(EmittersReport { emitters: emitters.answer(&survey), notes, sources, workings: shown(workings, steps) })
}

/// Computes the pipework of a job.
///
/// # Errors
/// As [`heat_loss`].
pub fn pipework(prepared: Prepared, workings: bool) -> Result<PipeworkReport, ProposalError> {
    let Prepared { survey, mut notes, .. } = prepared;
    let mut steps = Vec::new();
    let designed = chain::designed(&survey, Shown { pipework: workings, ..Shown::default() }, &mut steps)?;
    designed.pipework.warnings.iter().for_each(|warning| warning.note(&survey, &mut notes));
    cautions::pipework(&survey, &mut notes);
    let sources = cited(&pipework_stage::SOURCES);
    let pipework = designed.pipework.answer(&survey, &designed.emitters);
    Ok(PipeworkReport { pipework, notes, sources, workings: shown(workings, steps) })
}

/// Computes the plant of a job.
///
/// # Errors
/// As [`heat_loss`].
pub fn plant(prepared: Prepared, workings: bool) -> Result<PlantReport, ProposalError> {
    let Prepared { survey, mut notes, .. } = prepared;
    let mut steps = Vec::new();
    let designed = chain::designed(&survey, Shown { plant: workings, ..Shown::default() }, &mut steps)?;
    designed.source.warnings.iter().for_each(|warning| warning.note(&survey, &mut notes));
    cautions::plant(&survey, &mut notes);
    let sources = cited(&plant_stage::SOURCES);
    let plant = designed.plant.answer(&survey, &designed.source);
    Ok(PlantReport { plant, notes, sources, workings: shown(workings, steps) })
}

/// Makes the bill of a job.
///
/// # Errors
/// [`ProposalError`] if part of the job describes nothing physical, or money cannot be reckoned.
pub fn bill(prepared: Prepared, workings: bool) -> Result<BillReport, ProposalError> {
    let report = proposal(prepared, workings)?;
    let ProposalReport { bill, notes, sources, workings, .. } = report;
    Ok(BillReport { bill, notes, sources, workings })
}

/// Makes the programme of a job.
///
/// # Errors
/// As [`bill`].
pub fn programme(prepared: Prepared, workings: bool) -> Result<ProgrammeReport, ProposalError> {
    let ProposalReport { programme, notes, sources, workings, .. } = proposal(prepared, workings)?;
    Ok(ProgrammeReport { programme, notes, sources, workings })
}

/// Makes the price of a job.
///
/// # Errors
/// As [`bill`].
pub fn price(prepared: Prepared, workings: bool) -> Result<PriceReport, ProposalError> {
    let ProposalReport { price, notes, sources, workings, .. } = proposal(prepared, workings)?;
    Ok(PriceReport { price, notes, sources, workings })
}

/// Runs every stage of a job.
///
/// # Errors
/// As [`bill`].
pub fn proposal(prepared: Prepared, workings: bool) -> Result<ProposalReport, ProposalError> {
    let Prepared { survey, mut notes, .. } = prepared;
    chain::commercial(&survey)?;
    let mut steps = Vec::new();
    let designed = chain::designed(&survey, if workings { Shown::ALL } else { Shown::default() }, &mut steps)?;
    let estimated = chain::estimated(&survey, &designed)?;
    let warnings = designed.warnings().chain(&estimated.price.warnings);
    warnings.for_each(|warning| warning.note(&survey, &mut notes));
    note_programme(&estimated.programme, &mut notes);
    cautions::emitters(&survey, &mut notes);
    cautions::pipework(&survey, &mut notes);
    cautions::plant(&survey, &mut notes);
    cautions::price(&mut notes);
    let designed_whole = designed.unmet().next().is_none();
    let bill = estimated.bill.answer(&survey, designed_whole);
    let price = estimated.price.answer(&survey, bill.complete);
    Ok(ProposalReport {
        heat_loss: designed.loss.answer(&survey),
        emitters: designed.emitters.answer(&survey),
        pipework: designed.pipework.answer(&survey, &designed.emitters),
        plant: designed.plant.answer(&survey, &designed.source),
        bill,
        programme: estimated.programme,
        price,
        notes,
        sources: cited(&design_sources(&survey)),
        workings: shown(workings, steps),
    })
}

fn note_programme(programme: &ProgrammeAnswer, notes: &mut Notes) {
    let detail =
        "visits follow one another on working days; public holidays, other trades and deliveries are not counted";
    notes.assume("programme", "/commercial", detail);
    if programme.visits.iter().any(|visit| visit.visit == "screed") {
        let detail = format!(
            "a screed is first heated {SCREED_DAYS} days after it is laid, as a cement one (EN 1264-4; from memory, confirm)"
        );
        notes.assume("screed_age", "/commercial", detail);
    }
}
