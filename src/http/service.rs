//! What every handler shares: gates, catalogue, store, and the place where work is done.

use std::sync::{Arc, OnceLock};

use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use validator::Validate;

use super::BODY_LIMIT;
use super::error::{ApiError, QuoteProblem};
use super::quotes::{ChangesQuery, InHand, Issue, ListQuery};
use super::request::{JsonRequest, LARGE, Room};
use super::work::{Turn, Work};
use crate::catalogue::Catalogue;
use crate::intake::{Document, Gate, read_parameters};
use crate::job::Job;
use crate::outline::{self, Facts, Outline};
use crate::proposal::{self, Limits, Needs, Prepared};
use crate::settings::Times;
use crate::store::Store;

/// What every handler shares.
#[derive(Debug)]
pub struct Service {
    /// What lies before the stages.
    pub readers: Arc<Readers>,
    /// Where quotes lie.
    pub store: Store,
    /// Where work is done.
    pub work: Work,
    /// Room for bodies that come in.
    pub room: Room,
    /// How long everything may take.
    pub times: Times,
    /// Questions that may be asked twice and are worked on.
    pub in_hand: InHand,
}

/// Compiled schemas and the catalogue.
#[derive(Debug)]
pub struct Readers {
    /// Gate of the job document.
    pub job: Gate,
    /// Gate of the facts of an outline.
    pub facts: Gate,
    /// Gate of the query of a stage.
    pub stage_query: Gate,
    /// Gate of a query that must be empty.
    pub no_query: Gate,
    /// Gate of the query of a list of quotes.
    pub list_query: Gate,
    /// Gate of the query of a comparison.
    pub changes_query: Gate,
    /// Gate of what is said when a quote is issued.
    pub issue: Gate,
    /// What the program ships.
    pub catalogue: Arc<Catalogue>,
}

/// Parameters of a question to a stage.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema, IntoParams, Validate)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct StageQuery {
    /// Whether the answer shows every equation with its values and source.
    #[serde(default)]
    #[param(required = false)]
    #[schema(required = false)]
    pub workings: bool,
}

/// The query of a resource that takes no parameters.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize, ToSchema, Validate)]
#[serde(deny_unknown_fields)]
pub struct NoQuery {}

/// Begins to read a request, in the lane for documents of its size.
fn begin(request: &JsonRequest, turn: &Turn) -> Result<(), ApiError> {
    if request.body.len() > LARGE { turn.lengthen() } else { turn.step() }
}

impl Readers {
    /// Reads a question to a stage, watched by its turn: every fault of document and query at once.
    ///
    /// # Errors
    /// [`ApiError::Faults`].
    pub fn stage(
        &self,
        request: JsonRequest,
        needs: Needs,
        turn: &Arc<Turn>,
    ) -> Result<(Prepared, StageQuery), ApiError> {
        self.job(&self.stage_query, request, needs, turn)
    }

    /// Reads a job that is to be kept, watched by its turn: every fault of document and query at once.
    ///
    /// # Errors
    /// [`ApiError::Faults`].
    pub fn kept_job(&self, request: JsonRequest, turn: &Arc<Turn>) -> Result<Prepared, ApiError> {
        self.job::<NoQuery>(&self.no_query, request, Needs::Money, turn).map(|(prepared, _)| prepared)
    }

    /// Reads a job that was made of one that is kept, watched by its turn: every fault at once, at its place in that job.
    ///
    /// # Errors
    /// [`QuoteProblem::Patched`].
    pub fn patched_job(&self, text: &str, turn: &Arc<Turn>) -> Result<Prepared, ApiError> {
        if text.len() > BODY_LIMIT {
            return Err(ApiError::TooLarge);
        }
        if text.len() > LARGE { turn.lengthen() } else { turn.step() }?;
        match proposal::read(&self.job, &self.catalogue, text.as_bytes(), Needs::Money) {
            Ok(mut prepared) => {
                prepared.limits.watch = Some(turn.clone());
                Ok(prepared)
            }
            Err(error) => Err(QuoteProblem::Patched(error.into_faults()?).into()),
        }
    }

    /// Reads facts and makes a job of them, watched by its turn: every fault of document and query at once.
    ///
    /// # Errors
    /// [`ApiError::Faults`].
    pub fn outline(&self, request: &JsonRequest, turn: &Arc<Turn>) -> Result<Outline, ApiError> {
        begin(request, turn)?;
        let limits = Limits { watch: Some(turn.clone()), ..Limits::default() };
        let query = read_parameters::<NoQuery>(&self.no_query, &request.query).faults;
        match outline::read(&self.facts, &self.catalogue, &request.body, &limits) {
            Ok(outline) if query.is_empty() => Ok(outline),
            Ok(_) => Err(ApiError::Faults { document: Vec::new(), query }),
            Err(document) => Err(ApiError::Faults { document, query }),
        }
    }

    /// Refuses every parameter.
    ///
    /// # Errors
    /// [`ApiError::Faults`].
    pub fn no_parameters(&self, query: &str) -> Result<(), ApiError> {
        let query = read_parameters::<NoQuery>(&self.no_query, query).faults;
        if query.is_empty() { Ok(()) } else { Err(ApiError::Faults { document: Vec::new(), query }) }
    }

    fn job<Q: Document>(
        &self,
        gate: &Gate,
        request: JsonRequest,
        needs: Needs,
        turn: &Arc<Turn>,
    ) -> Result<(Prepared, Q), ApiError> {
        begin(&request, turn)?;
        let query = read_parameters::<Q>(gate, &request.query);
        let prepared = proposal::read(&self.job, &self.catalogue, &request.body, needs);
        // the body is read: its place is another's
        drop(request);
        match (prepared, query.document) {
            (Ok(mut prepared), Some(parameters)) if query.faults.is_empty() => {
                prepared.limits.watch = Some(turn.clone());
                Ok((prepared, parameters))
            }
            (Err(error), _) => Err(ApiError::Faults { document: error.into_faults()?, query: query.faults }),
            (Ok(_), _) => Err(ApiError::Faults { document: Vec::new(), query: query.faults }),
        }
    }

    /// The readers of this process; the first call compiles the schemas.
    ///
    /// # Errors
    /// A fault of the program: a schema or a data file that the tests would have refused.
    pub fn shared() -> Result<Arc<Self>, String> {
        static MADE: OnceLock<Result<Arc<Readers>, String>> = OnceLock::new();
        MADE.get_or_init(|| Self::compiled().map(Arc::new)).clone()
    }

    fn compiled() -> Result<Self, String> {
        Ok(Self {
            job: Gate::for_type::<Job>().map_err(|error| error.to_string())?,
            facts: Gate::for_type::<Facts>().map_err(|error| error.to_string())?,
            stage_query: Gate::for_type::<StageQuery>().map_err(|error| error.to_string())?,
            no_query: Gate::for_type::<NoQuery>().map_err(|error| error.to_string())?,
            list_query: Gate::for_type::<ListQuery>().map_err(|error| error.to_string())?,
            changes_query: Gate::for_type::<ChangesQuery>().map_err(|error| error.to_string())?,
            issue: Gate::for_type::<Issue>().map_err(|error| error.to_string())?,
            catalogue: Catalogue::try_built_in().map_err(|error| error.to_string())?,
        })
    }
}
