//! The stages of one job, each computed when it is first asked for, from those that it names.

use std::cell::{OnceCell, RefCell};

use super::ProposalError;
use super::incomplete::LeftOut;
use super::question::Question;
use crate::design::DesignError;
use crate::design::emitters::{Emitters, Tells};
use crate::design::findings::{self, UnmetRow};
use crate::design::heat_loss::HeatLoss;
use crate::design::hydraulics::Hydraulics;
use crate::design::pipework::Pipework;
use crate::design::plant::Plant;
use crate::design::source::Source;
use crate::design::stage::{Asked, Stage};
use crate::each_stage;
use crate::estimate::Design;
use crate::estimate::bill::Bill;
use crate::estimate::price::Price;
use crate::estimate::programme::ProgrammeAnswer;
use crate::intake::FaultCode;
use crate::methods::workings::{Cited, Citing};
use crate::methods::{Book, Budget, Step};
use crate::notes::{self, Finding as _, Notes, Registered};
use crate::survey::{self, Survey};

/// What a stage shows of itself.
pub(super) struct Shown {
    /// Its warnings and cautions in words.
    pub notes: Notes,
    pub cited: Cited,
}

impl Shown {
    /// Of a stage for a survey.
    pub(super) fn from_stage<S: Stage>(found: &S, cited: &Cited, survey: &Survey) -> Self {
        let mut notes = Notes::default();
        for warning in found.warnings() {
            notes.take(warning, survey);
        }
        for caution in S::cautions(survey) {
            notes.take(&caution, survey);
        }
        Self { notes, cited: cited.clone() }
    }
}

macro_rules! run {
    ($(stage $name:ident: $result:ident {
        from |$run:ident| $before:expr;
        notes $notes:ident;
        told $told:ident;
        $($rest:tt)*
    })*) => {
        /// The stages of one job.
        pub(super) struct Run<'s> {
            survey: &'s Survey,
            question: Question,
            budget: Budget,
            /// Whether workings are wanted.
            is_shown: bool,
            steps: RefCell<Vec<Step>>,
            $($name: OnceCell<(Cited, $result)>,)*
        }

        impl<'s> Run<'s> {
            /// A run for a question, in which nothing is computed yet.
            pub(super) fn new(survey: &'s Survey, question: Question, is_shown: bool, budget: Budget) -> Self {
                Self { survey, question, budget, is_shown, steps: RefCell::default(), $($name: OnceCell::new(),)* }
            }

            $(
                #[doc = concat!("The result `", stringify!($name), "`.")]
                pub(super) fn $name(&self) -> Result<&$result, ProposalError> {
                    if let Some((_, found)) = self.$name.get() {
                        return Ok(found);
                    }
                    let $run = self;
                    let before = $before;
                    let found = self.computed::<$result>(before, Question::$told)?;
                    Ok(&self.$name.get_or_init(|| found).1)
                }
            )*

            /// What the stages show that its question tells of, in their order.
            pub(super) fn shown(&self) -> Result<Vec<Shown>, ProposalError> {
                let mut shown = Vec::new();
                $(if self.question.tells_of(Question::$told) {
                    let found = self.$name()?;
                    let cited = self.$name.get().map(|(cited, _)| cited.clone()).unwrap_or_default();
                    shown.push(Shown::from_stage(found, &cited, self.survey));
                })*
                Ok(shown)
            }

            /// Needs that the design does not meet, in the order of its stages.
            pub(super) fn design_unmet(&self) -> Result<Vec<UnmetRow>, ProposalError> {
                let mut unmet = Vec::new();
                $(if notes::Stage::$notes < notes::Stage::Estimate {
                    unmet.extend(findings::rows(self.survey, self.$name()?.unmet()));
                })*
                Ok(unmet)
            }

            /// Whether the design leaves no need unmet.
            pub(super) fn is_design_met(&self) -> Result<bool, ProposalError> {
                Ok(true $(&& (notes::Stage::$notes >= notes::Stage::Estimate || self.$name()?.unmet().is_empty()))*)
            }

            /// Holds every result against what must be true of it; those of money where the job gives a date to quote at.
            pub(super) fn check(&self) -> Result<Result<(), String>, ProposalError> {
                $(if notes::Stage::$notes < notes::Stage::Estimate || self.survey.commercial.is_some() {
                    let $run = self;
                    let checked = self.$name()?.check(self.survey, $before);
                    if let Err(what) = checked {
                        return Ok(Err(format!("{}: {what}", stringify!($name))));
                    }
                })*
                Ok(Ok(()))
            }
        }
    };
}

each_stage!(run);

/// Units of work that an equation takes which is shown: to be kept, and to be written.
const UNITS_OF_A_STEP: u64 = 20;

/// Where it is too much work with workings, that they can be left out.
fn without_workings(error: ProposalError) -> ProposalError {
    match error.into_faults() {
        Ok(mut faults) => {
            for fault in faults.iter_mut().filter(|fault| fault.code == FaultCode::TooMuchWork.code()) {
                fault.detail.push_str("; without `workings` it takes less");
            }
            ProposalError::Faults(faults)
        }
        Err(late) => late.into(),
    }
}

/// The entries of every note and need of a proposal in the register of codes.
#[must_use]
pub fn registered() -> Vec<Registered> {
    /// Those of one stage.
    fn of<S: Stage>() -> Vec<Registered> {
        [S::Unmet::registered(), S::Warning::registered(), S::Caution::registered()].concat()
    }
    macro_rules! of_each {
        ($(stage $name:ident: $result:ident { $($rest:tt)* })*) => {
            [survey::registered(), $(of::<$result>(),)* LeftOut::registered()].concat()
        };
    }
    each_stage!(of_each)
}

impl<'s> Run<'s> {
    /// The job as meant.
    pub(super) fn survey(&self) -> &'s Survey {
        self.survey
    }

    /// What stages are asked for.
    pub(super) fn asked(&self) -> Asked<'_> {
        // the flow that cools is known by what floors tell of it
        let least = if self.survey.cooling.is_some() { Tells::Cooling } else { Tells::Duty };
        let tells = self.question.floors().max(least);
        Asked { survey: self.survey, tells, budget: &self.budget, known: None }
    }

    /// What the heat loss shows.
    pub(super) fn shown_heat_loss(&self) -> Result<Shown, ProposalError> {
        let loss = self.heat_loss()?;
        let cited = self.heat_loss.get().map(|(cited, _)| cited.clone()).unwrap_or_default();
        Ok(Shown::from_stage(loss, &cited, self.survey))
    }

    /// Computes a stage, with what it rests on.
    fn computed<S: Stage<Error: Into<ProposalError>>>(
        &self,
        before: S::Before<'_>,
        told: Question,
    ) -> Result<(Cited, S), ProposalError> {
        let mut steps = Vec::new();
        let book = (self.is_shown && self.question.shows(told)).then(|| Book::new(&mut steps));
        let cited = Cited::default();
        let found = S::compute(self.asked(), before, &mut Citing::new(book, &cited)).map_err(Into::into);
        let charged = found.and_then(|found| {
            let spent = self.budget.spend(UNITS_OF_A_STEP * steps.len() as u64);
            spent.map(|()| found).map_err(|error| DesignError::at("")(error).into())
        });
        let found = charged.map_err(|error| if self.is_shown { without_workings(error) } else { error })?;
        self.steps.borrow_mut().extend(steps);
        Ok((cited, found))
    }

    /// What the estimate is made from.
    pub(super) fn design(&self) -> Result<Design<'_>, ProposalError> {
        Ok(Design {
            survey: self.survey,
            emitters: self.emitters()?,
            source: self.source()?,
            pipework: self.pipework()?,
            hydraulics: self.hydraulics()?,
            plant: self.plant()?,
        })
    }

    /// Whether the bill leaves none either.
    pub(super) fn is_all_met(&self) -> Result<bool, ProposalError> {
        Ok(self.is_design_met()? && self.bill()?.unmet.is_empty())
    }

    /// Workings of what was computed, where they are wanted.
    pub(super) fn into_steps(self) -> Option<Vec<Step>> {
        self.is_shown.then(|| self.steps.into_inner())
    }
}
