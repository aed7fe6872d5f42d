//! `/v1/quotes`: jobs kept with their proposals, changed, listed, issued and answered by the client.

pub mod change;
pub mod create;
mod found;
pub mod history;
pub mod list;
mod once;
mod patches;
mod precondition;
pub mod read;
pub mod steps;

use actix_web::HttpResponse;
use actix_web::http::StatusCode;
use actix_web::http::header::{ETAG, EntityTag, LOCATION};
use jiff::Timestamp;
use jiff::civil::Date;
use serde::Serialize;
use serde_json::value::RawValue;
use utoipa::ToSchema;
use uuid::Uuid;

use super::answer::{self, Body, Coding};
use super::error::ApiError;
use super::service::Service;
use super::work::Turn;
use crate::job::Job;
use crate::proposal::ProposalReport;
use crate::quotes::{self, Card, Issued, Revision, State, Variation, Varied};

pub use history::ChangesQuery;
pub use list::ListQuery;
pub use once::InHand;
pub use steps::Issue;

/// A quote, as it is kept.
#[derive(Debug, Serialize, ToSchema)]
pub struct Quote<'r> {
    /// Its id.
    #[schema(value_type = String, format = "uuid")]
    pub id: String,
    /// Number of this revision, from 1.
    #[schema(value_type = i32, minimum = 1)]
    pub revision: u32,
    /// Where it stands; `lapsed` once the last day of what was issued is over.
    pub state: State,
    /// The program that made the proposal: its version, with the commit that it is built from (where known) and the digest of
    /// its catalogue, twelve digits each, as build metadata: `0.1.0+commit.0123456789ab.catalogue.ba9876543210`. A program of
    /// before kept its version alone.
    pub program: &'r str,
    /// When its first revision was written.
    #[schema(value_type = String, format = DateTime)]
    pub created_at: Timestamp,
    /// When this revision was written.
    #[schema(value_type = String, format = DateTime)]
    pub changed_at: Timestamp,
    /// What was frozen when it was issued.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub issued: Option<&'r Issued>,
    /// When the client accepted it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub accepted_at: Option<Timestamp>,
    /// When the client declined it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub declined_at: Option<Timestamp>,
    /// What was changed of what the client has accepted.
    #[serde(skip_serializing_if = "<[Variation]>::is_empty")]
    #[schema(required = false)]
    pub variations: &'r [Variation],
    /// The job as the last variation left it, and its proposal.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub varied: Option<&'r Varied>,
    /// The job, as it was sent, or as patches left it.
    #[schema(value_type = Job)]
    pub job: &'r RawValue,
    /// The proposal, as it was answered when the job was kept.
    #[schema(value_type = ProposalReport)]
    pub proposal: &'r RawValue,
}

/// A revision of a quote that is to be answered.
#[derive(Debug, Clone)]
struct Shown {
    id: Uuid,
    number: u32,
    card: Card,
    revision: Revision,
    /// Whether it is shown as it was kept, and not as it stands today.
    is_as_kept: bool,
}

impl Shown {
    /// Where it stands on a day.
    fn state(&self, day: Date) -> State {
        if self.is_as_kept { self.card.state } else { self.card.state.on(day, self.card.valid_until) }
    }

    /// Its tag on a day: another with every revision, and once it has lapsed.
    fn tag(&self, day: Date) -> EntityTag {
        tag(self.number, self.state(day))
    }

    /// The quote, written.
    fn written(&self, day: Date, (coding, turn): (Coding, &Turn)) -> Result<Body, ApiError> {
        let Revision { program, job, proposal, issued, accepted_at, declined_at, variations, varied, .. } =
            &self.revision;
        let quote = Quote {
            id: self.id.to_string(),
            revision: self.number,
            state: self.state(day),
            program,
            created_at: self.card.created_at,
            changed_at: self.card.changed_at,
            issued: issued.as_ref(),
            accepted_at: *accepted_at,
            declined_at: *declined_at,
            variations,
            varied: varied.as_ref(),
            job,
            proposal,
        };
        Body::written(&quote, coding, turn)
    }
}

fn tag(number: u32, state: State) -> EntityTag {
    let lapsed = if state == State::Lapsed { "-lapsed" } else { "" };
    EntityTag::new_strong(format!("{number}{lapsed}"))
}

/// A quote as it is answered, with its tag.
fn answered(status: StatusCode, id: Uuid, tag: EntityTag, body: Body) -> HttpResponse {
    let mut response = answer::response(status);
    if status == StatusCode::CREATED {
        response.insert_header((LOCATION, format!("/v1/quotes/{id}")));
    }
    response.insert_header((ETAG, tag));
    body.sent_by(response)
}

/// The answer to a question that was asked before: the revision that it wrote, as it was then.
async fn answered_again(
    service: &Service,
    (id, number): (Uuid, u32),
    (status, coding): (StatusCode, Coding),
) -> Result<HttpResponse, ApiError> {
    let (store, day) = (service.store.clone(), quotes::day(quotes::now()));
    let again = service.work.run_cheap(move |turn| {
        let shown = Shown::as_written(&store, id, number)?;
        Ok((shown.tag(day), shown.written(day, (coding, turn))?))
    });
    let (tag, body) = again.await?;
    Ok(answered(status, id, tag, body))
}

/// The id of a path: one spelling for each quote, the one that it was given.
fn id_of(path: &str) -> Result<Uuid, ApiError> {
    Uuid::try_parse(path).ok().filter(|uuid| uuid.to_string() == path).ok_or(ApiError::NoQuote)
}
