//! The answer to each question: its row, the notes, the sources, and the workings on request.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::citations::{CitedSource, Working};
use super::places::Places;
use super::question::Question;
use super::run::{Run, Shown};
use super::{Prepared, ProposalError, incomplete};
use crate::design::emitters::EmittersAnswer;
use crate::design::findings::{Pointed, UnmetRow};
use crate::design::heat_loss::{HeatLossAnswer, uncertainty};
use crate::design::hydraulics::PipeworkAnswer;
use crate::design::plant::PlantAnswer;
use crate::each_stage;
use crate::estimate::bill::BillAnswer;
use crate::estimate::price::PriceAnswer;
use crate::estimate::programme::ProgrammeAnswer;
use crate::job::Job;
use crate::methods::workings::Cited;
use crate::notes::{Notes, Stage};

/// Declares a report: the rows that it holds, and what every report holds beside them.
macro_rules! report {
    ($(#[$doc:meta])* $report:ident { $($(#[$field:meta])* $name:ident: $row:ty),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
        pub struct $report {
            /// What the firm calls the job, where it says so.
            #[serde(skip_serializing_if = "Option::is_none")]
            pub title: Option<String>,
            /// The firm's own reference, where the job has one.
            #[serde(skip_serializing_if = "Option::is_none")]
            pub reference: Option<String>,
            $($(#[$field])* pub $name: $row,)+
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
pub(super) use report;

macro_rules! reports {
    ($(stage $stage:ident: $result:ident {
        from |$from:ident| $before:expr;
        notes $notes:ident;
        told $told:ident;
        $(answers $name:ident: $question:ident {
            $(#[$of:meta])* report $report:ident;
            $(#[$field:meta])* row $row:ident = |$run:ident| $answer:expr;
            $(#[$operation:meta])* at $path:literal for $needs:ident says $says:literal;
            figures [$($figure:ident($pointer:literal, $unit:literal)),+];
        })?
    })*) => {
        $($(
            report! {
                $(#[$of])*
                $report { $(#[$field])* $name: $row }
            }

            #[doc = concat!("Answers a question for `", stringify!($name), "`.")]
            ///
            /// # Errors
            /// [`ProposalError`] if part of the job describes nothing physical, or money cannot be reckoned.
            pub fn $name(prepared: &Prepared, workings: bool) -> Result<$report, ProposalError> {
                let (row, said) = answered(prepared, Question::$question, workings, |$run| {
                    let answer = $answer;
                    Ok((answer, $run.shown()?))
                })?;
                let Said { title, reference, notes, sources, workings } = said;
                Ok($report { title, reference, $name: row, notes, sources, workings })
            }
        )?)*

        report! {
            /// Every stage at once.
            ProposalReport { $($($(#[$field])* $name: $row,)?)* }
        }

        /// The rows of a proposal.
        struct Rows { $($($name: $row,)?)* }

        impl Pointed for Rows {
            fn pointers(&mut self) -> Vec<&mut String> {
                let mut all = Vec::new();
                $($(all.extend(self.$name.pointers());)?)*
                all
            }
        }

        fn rows(run: &Run<'_>) -> Result<Rows, ProposalError> {
            Ok(Rows { $($($name: { let $run = run; $answer },)?)* })
        }

        /// Runs every stage of a job.
        ///
        /// # Errors
        /// As [`price`].
        pub fn proposal(prepared: &Prepared, workings: bool) -> Result<ProposalReport, ProposalError> {
            let (rows, said) = answered(prepared, Question::Proposal, workings, |run| Ok((rows(run)?, run.shown()?)))?;
            let Rows { $($($name,)?)* } = rows;
            let Said { title, reference, notes, sources, workings } = said;
            Ok(ProposalReport { title, reference, $($($name,)?)* notes, sources, workings })
        }

        /// Every stage that answers a question by itself, in order.
        pub const ANSWERS: &[Answered] = &[$($(Answered {
            name: stringify!($name),
            path: $path,
            figures: &[$(Figure::$figure($pointer, $unit)),+],
        },)?)*];
    };
}

each_stage!(reports);

/// A stage that answers a question by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Answered {
    /// Its member of an answer.
    pub name: &'static str,
    /// Where it is asked, below the version.
    pub path: &'static str,
    /// The figures that are told of it first.
    pub figures: &'static [Figure],
}

/// A figure of an answer: where it stands in the stage's own row, and what is said behind it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Figure {
    /// As it is, with its unit.
    As(&'static str, &'static str),
    /// An amount of money.
    Money(&'static str, &'static str),
}

/// What an answer says beside its rows.
pub(super) struct Said {
    pub title: Option<String>,
    pub reference: Option<String>,
    pub notes: Notes,
    pub sources: Vec<CitedSource>,
    pub workings: Option<Vec<Working>>,
}

/// Answers a question about a job by its row and what the stages behind it show, under the names that the firm gave the job.
/// Whatever is told, in an answer as in a refusal, points at places that the job has: this is the only way out.
pub(super) fn answered<R: Pointed>(
    prepared: &Prepared,
    question: Question,
    workings: bool,
    row: impl FnOnce(&Run<'_>) -> Result<(R, Vec<Shown>), ProposalError>,
) -> Result<(R, Said), ProposalError> {
    let places = Places::new(&prepared.job);
    let run = Run::new(&prepared.survey, question, workings, prepared.limits.budget());
    let found = row(&run).and_then(|(row, shown)| Ok((row, said(run, question, (prepared, shown), &places)?)));
    match found {
        Ok((mut row, said)) => {
            places.settle(row.pointers());
            Ok((row, said))
        }
        Err(error) => Err(error.settled(&places)),
    }
}

fn said(
    run: Run<'_>,
    question: Question,
    (prepared, shown): (&Prepared, Vec<Shown>),
    places: &Places<'_>,
) -> Result<Said, ProposalError> {
    let Job { title, reference, .. } = &prepared.job;
    let mut notes = prepared.notes.up_to(question.notes());
    let cited = Cited::default();
    for shown in shown {
        notes.append(shown.notes);
        cited.join(&shown.cited);
    }
    if question.notes() == Stage::Estimate {
        incomplete::note_design(run.design_unmet()?, places, &mut notes);
        incomplete::note_labour(run.bill()?, &mut notes);
    }
    places.settle(notes.pointers());
    let workings = run.into_steps().map(|steps| steps.into_iter().map(Working::from).collect());
    let sources = cited.sources().map(CitedSource::from).collect();
    Ok(Said { title: title.clone(), reference: reference.clone(), notes, sources, workings })
}

/// Needs that the design of a job leaves unmet, as they are answered, in the order of its stages.
///
/// # Errors
/// [`ProposalError`] if the job cannot be computed.
pub fn design_unmet(prepared: &Prepared) -> Result<Vec<UnmetRow>, ProposalError> {
    let places = Places::new(&prepared.job);
    let run = Run::new(&prepared.survey, Question::Plant, false, prepared.limits.budget());
    let mut unmet = run.design_unmet().map_err(|error| error.settled(&places))?;
    places.settle(unmet.iter_mut().map(|row| &mut row.pointer));
    Ok(unmet)
}

/// Computes every stage of a job and holds each result against what must be true of it: the stages of money where the job
/// gives a date to quote at. For tests.
///
/// # Errors
/// [`ProposalError`] if the job cannot be computed; what is not true, in words.
pub fn check(prepared: &Prepared) -> Result<Result<(), String>, ProposalError> {
    Run::new(&prepared.survey, Question::Proposal, false, prepared.limits.budget()).check()
}
