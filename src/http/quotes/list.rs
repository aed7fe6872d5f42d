//! `GET /v1/quotes`

use actix_web::http::header::LINK;
use actix_web::web::Data;
use actix_web::{HttpRequest, HttpResponse, get};
use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD as BASE64URL;
use jiff::civil::Date;
use jiff::{Span, Timestamp};
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;
use validator::Validate;

use crate::http::answer::{self, Body, Coding};
use crate::http::error::ApiError;
use crate::http::problems::Listing;
use crate::http::service::Service;
use crate::intake::{Fault, FaultCode, read_parameters};
use crate::money::Money;
use crate::quotes::{self, State, first_moment};
use crate::store::{Asked, Listed, Store};

/// Quotes of a page where the asker does not say how many.
const USUAL: u32 = 50;
/// Digits of the filter that a cursor carries.
const FILTER: usize = 8;

/// What is asked of a list.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema, IntoParams, Validate)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct ListQuery {
    /// How many quotes a page has at most; 50 when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 1000)]
    #[param(minimum = 1, maximum = 1000)]
    pub limit: Option<u32>,
    /// Where a page begins: as the page before it says in `next`. It holds for the same filter only.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 100)]
    #[param(max_length = 100)]
    pub cursor: Option<String>,
    /// State that quotes stand in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[param(inline)]
    pub state: Option<State>,
    /// First day on which they were created.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = Date)]
    #[param(value_type = Option<String>, format = Date)]
    pub created_from: Option<Date>,
    /// Last day on which they were created.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = Date)]
    #[param(value_type = Option<String>, format = Date)]
    pub created_to: Option<Date>,
    /// First day on which what was issued may lapse.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = Date)]
    #[param(value_type = Option<String>, format = Date)]
    pub valid_until_from: Option<Date>,
    /// Last day on which what was issued may lapse.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = Date)]
    #[param(value_type = Option<String>, format = Date)]
    pub valid_until_to: Option<Date>,
    /// Reference of the job, whole; capitals and small letters are the same.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(min_length = 1, max_length = 200)]
    #[param(min_length = 1, max_length = 200)]
    pub reference: Option<String>,
    /// Words, each of which begins a word of title, reference or client; capitals and marks of letters do not matter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(min_length = 1, max_length = 200)]
    #[param(min_length = 1, max_length = 200)]
    pub text: Option<String>,
}

/// A page of a list of quotes, the latest first.
#[derive(Debug, Serialize, ToSchema)]
pub struct QuoteList {
    /// The quotes.
    pub quotes: Vec<QuoteRow>,
    /// Path and query of the next page, where there is one; the header `Link` says the same.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next: Option<String>,
}

/// A quote in a list.
#[derive(Debug, Serialize, ToSchema)]
pub struct QuoteRow {
    /// Its id.
    #[schema(value_type = String, format = "uuid")]
    pub id: String,
    /// Number of its latest revision.
    #[schema(value_type = i32, minimum = 1)]
    pub revision: u32,
    /// Where it stands.
    pub state: State,
    /// Title of its job.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// Reference of its job.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reference: Option<String>,
    /// For whom it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub client: Option<String>,
    /// When its first revision was written.
    #[schema(value_type = String, format = DateTime)]
    pub created_at: Timestamp,
    /// When its latest revision was written.
    #[schema(value_type = String, format = DateTime)]
    pub changed_at: Timestamp,
    /// Last day on which it can be accepted, once it is issued and until it is answered.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = Date)]
    pub valid_until: Option<Date>,
    /// What the client pays.
    pub payable: Money,
    /// Whether that is the whole.
    pub complete: bool,
}

impl QuoteRow {
    fn of(Listed { id, revision, card }: Listed, day: Date) -> Self {
        let state = card.state.on(day, card.valid_until);
        Self {
            id: id.to_string(),
            revision,
            state,
            title: card.title,
            reference: card.reference,
            client: card.client,
            created_at: card.created_at,
            changed_at: card.changed_at,
            valid_until: card.valid_until,
            payable: card.payable,
            complete: card.complete,
        }
    }
}

impl ListQuery {
    /// What is asked of the store on a day: what was issued has lapsed after its last.
    fn asked(&self, day: Date) -> Result<Asked, ApiError> {
        let (mut first, mut last) = (self.valid_until_from, self.valid_until_to);
        let state = match self.state {
            Some(State::Issued) => {
                first = Some(first.map_or(day, |first| first.max(day)));
                Some(State::Issued)
            }
            Some(State::Lapsed) => {
                let yesterday = day.saturating_sub(Span::new().days(1));
                last = Some(last.map_or(yesterday, |last| last.min(yesterday)));
                Some(State::Issued)
            }
            other => other,
        };
        if self.text.as_deref().is_some_and(|text| !text.chars().any(char::is_alphanumeric)) {
            let fault = Fault::unreadable("/text", FaultCode::WrongForm, "there is no word in it");
            return Err(ApiError::Faults { document: Vec::new(), query: vec![fault] });
        }
        let end = self.created_to.map(|last| first_moment(last.saturating_add(Span::new().days(1))));
        Ok(Asked {
            state,
            ends: (first, last),
            created: (self.created_from.map(first_moment), end),
            reference: self.reference.clone(),
            text: self.text.clone(),
            after: self.cursor.as_deref().map(|cursor| self.read_cursor(cursor)).transpose()?,
            limit: usize::try_from(self.limit.unwrap_or(USUAL)).unwrap_or(usize::MAX),
        })
    }

    /// The query without what changes from page to page.
    fn filter(&self) -> Self {
        Self { limit: None, cursor: None, ..self.clone() }
    }

    fn digest(&self) -> Result<[u8; FILTER], ApiError> {
        let text = serde_json::to_vec(&self.filter()).map_err(|_| ApiError::Internal)?;
        let mut digest = [0; FILTER];
        digest.copy_from_slice(&Sha256::digest(text)[..FILTER]);
        Ok(digest)
    }

    /// The cursor behind a quote of this list.
    fn cursor(&self, last: Uuid) -> Result<String, ApiError> {
        Ok(BASE64URL.encode([&last.as_bytes()[..], &self.digest()?].concat()))
    }

    fn read_cursor(&self, cursor: &str) -> Result<Uuid, ApiError> {
        let refused = |detail: &str| {
            let fault = Fault::unreadable("/cursor", FaultCode::WrongForm, detail);
            ApiError::Faults { document: Vec::new(), query: vec![fault] }
        };
        let bytes = BASE64URL.decode(cursor).unwrap_or_default();
        let Some((id, digest)) = bytes.split_first_chunk::<16>() else {
            return Err(refused("a cursor is taken as the page before it gave it"));
        };
        if digest != self.digest()? {
            return Err(refused("this cursor is one of a list with another filter"));
        }
        Ok(Uuid::from_bytes(*id))
    }

    /// Path and query of the page behind a quote.
    fn next(&self, last: Uuid) -> Result<String, ApiError> {
        let query = Self { cursor: Some(self.cursor(last)?), ..self.clone() };
        let members = serde_json::to_value(&query).map_err(|_| ApiError::Internal)?;
        let pairs: Vec<String> = members
            .as_object()
            .into_iter()
            .flatten()
            .map(|(name, value)| match value.as_str() {
                Some(text) => format!("{name}={}", encoded(text)),
                None => format!("{name}={value}"),
            })
            .collect();
        Ok(format!("/v1/quotes?{}", pairs.join("&")))
    }
}

/// A text as a query holds it (RFC 3986, 2.1 and 2.3).
fn encoded(text: &str) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.' | b'_' | b'~');
    text.bytes().map(|byte| if plain(byte) { char::from(byte).to_string() } else { format!("%{byte:02X}") }).collect()
}

/// List quotes
///
/// The latest first, page by page; a quote that is created meanwhile does not shift the pages behind. What is deleted is not in it.
#[utoipa::path(
    tag = "quotes",
    operation_id = "list_quotes",
    params(ListQuery),
    responses(
        (status = 200, description = "A page of the list", body = QuoteList, headers(("Link" = Option<String>, description = "The next page, where there is one (`rel=\"next\"`)"))),
        Listing,
    )
)]
#[get("/quotes")]
pub async fn list(request: HttpRequest, service: Data<Service>) -> Result<HttpResponse, ApiError> {
    let read = read_parameters::<ListQuery>(&service.readers.list_query, request.query_string());
    let Some(query) = read.document.filter(|_| read.faults.is_empty()) else {
        return Err(ApiError::Faults { document: Vec::new(), query: read.faults });
    };
    let (store, coding): (Store, _) = (service.store.clone(), Coding::asked_by(&request));
    let found = service.work.run_cheap(move |turn| {
        let day = quotes::day(quotes::now());
        let (listed, has_more) = store.list(&query.asked(day)?);
        let last = listed.last().filter(|_| has_more).map(|listed| listed.id);
        let next = last.map(|last| query.next(last)).transpose()?;
        let quotes = listed.into_iter().map(|listed| QuoteRow::of(listed, day)).collect();
        let body = Body::written(&QuoteList { quotes, next: next.clone() }, coding, turn)?;
        Ok((next, body))
    });
    let (next, body) = found.await?;
    let mut response = answer::response(actix_web::http::StatusCode::OK);
    if let Some(next) = next {
        response.insert_header((LINK, format!("<{next}>; rel=\"next\"")));
    }
    Ok(body.sent_by(response))
}
