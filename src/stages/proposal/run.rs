//! The stages of one job, each computed when it is first asked for, from those that it names.

use std::cell::{OnceCell, RefCell};

use super::ProposalError;
use super::question::Question;
use crate::design::emitters::{Emitters, Tells};
use crate::design::findings::{Unmet, Warning};
use crate::design::heat_loss::HeatLoss;
use crate::design::hydraulics::Hydraulics;
use crate::design::pipework::Pipework;
use crate::design::plant::Plant;
use crate::design::source::Source;
use crate::design::stage::{Asked, Caution, Stage};
use crate::each_stage;
use crate::estimate::Design;
use crate::estimate::bill::Bill;
use crate::estimate::price::Price;
use crate::estimate::programme::ProgrammeAnswer;
use crate::methods::{Book, Step};
use crate::notes;
use crate::sources::Source as Published;
use crate::survey::Survey;

/// What a stage shows of itself.
pub(super) struct Shown {
    pub warnings: Vec<Warning>,
    pub sources: Vec<&'static Published>,
    pub cautions: Vec<Caution>,
}

impl Shown {
    /// Of a stage for a survey.
    pub(super) fn of<S: Stage>(found: &S, survey: &Survey) -> Self {
        Self { warnings: found.warnings().to_vec(), sources: S::sources(survey), cautions: S::cautions(survey) }
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
            /// Whether workings are wanted.
            is_shown: bool,
            steps: RefCell<Vec<Step>>,
            $($name: OnceCell<$result>,)*
        }

        impl<'s> Run<'s> {
            /// A run for a question, in which nothing is computed yet.
            pub(super) fn new(survey: &'s Survey, question: Question, is_shown: bool) -> Self {
                Self { survey, question, is_shown, steps: RefCell::default(), $($name: OnceCell::new(),)* }
            }

            $(
                #[doc = concat!("The result `", stringify!($name), "`.")]
                pub(super) fn $name(&self) -> Result<&$result, ProposalError> {
                    if let Some(found) = self.$name.get() {
                        return Ok(found);
                    }
                    let $run = self;
                    let before = $before;
                    let found = self.computed::<$result>(before, Question::$told)?;
                    Ok(self.$name.get_or_init(|| found))
                }
            )*

            /// What the stages show that its question tells of, in their order.
            pub(super) fn shown(&self) -> Result<Vec<Shown>, ProposalError> {
                let mut shown = Vec::new();
                $(if self.question.tells_of(Question::$told) {
                    shown.push(Shown::of(self.$name()?, self.survey));
                })*
                Ok(shown)
            }

            /// Needs that the design does not meet, in the order of its stages.
            pub(super) fn design_unmet(&self) -> Result<Vec<&Unmet>, ProposalError> {
                let mut unmet = Vec::new();
                $(if notes::Stage::$notes < notes::Stage::Estimate {
                    unmet.extend(self.$name()?.unmet());
                })*
                Ok(unmet)
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

impl<'s> Run<'s> {
    /// The job as meant.
    pub(super) fn survey(&self) -> &'s Survey {
        self.survey
    }

    fn computed<S: Stage<Error: Into<ProposalError>>>(
        &self,
        before: S::Before<'_>,
        told: Question,
    ) -> Result<S, ProposalError> {
        // the flow that cools is known by what floors tell of it
        let tells = if self.survey.cooling.is_some() { Tells::All } else { self.question.floors() };
        let mut steps = Vec::new();
        let mut book = (self.is_shown && self.question.shows(told)).then(|| Book::new(&mut steps));
        let found = S::compute(Asked { survey: self.survey, tells }, before, &mut book).map_err(Into::into)?;
        self.steps.borrow_mut().extend(steps);
        Ok(found)
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

    /// Whether the design leaves no need unmet.
    pub(super) fn is_design_met(&self) -> Result<bool, ProposalError> {
        Ok(self.design_unmet()?.is_empty())
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
