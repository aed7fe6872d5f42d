//! `GET /openapi.json` and the interactive page at `/docs/`, which needs no network.

use std::sync::{Arc, LazyLock};

use actix_web::http::header::{CONTENT_ENCODING, CONTENT_TYPE, ContentEncoding, LOCATION};
use actix_web::web::{Data, Path};
use actix_web::{HttpRequest, HttpResponse, get};
use utoipa_swagger_ui::Config;

use super::answer::{Body, Coding};
use super::error::ApiError;
use super::openapi::PUBLISHED;
use super::problems::Program;

/// The page's own settings.
pub struct Page(Arc<Config<'static>>);

impl Page {
    /// A page that reads our document and asks nobody else.
    #[must_use]
    pub fn new() -> Self {
        Self(Arc::new(Config::new(["/openapi.json"]).validator_url("none").try_it_out_enabled(true)))
    }
}

/// The interface of this service
#[utoipa::path(
    tag = "operation",
    operation_id = "openapi",
    responses(
        (status = 200, description = "OpenAPI 3.1 document", body = Object, content_type = "application/json"),
        Program,
    )
)]
#[get("/openapi.json")]
pub async fn openapi(request: HttpRequest) -> HttpResponse {
    static PLAIN: LazyLock<Body> = LazyLock::new(|| Body::coded(PUBLISHED.as_bytes().to_vec(), Coding::Plain));
    static GZIP: LazyLock<Body> = LazyLock::new(|| Body::coded(PUBLISHED.as_bytes().to_vec(), Coding::Gzip));
    let body = match Coding::asked_by(&request) {
        Coding::Plain => &*PLAIN,
        Coding::Gzip => &*GZIP,
    };
    let mut response = HttpResponse::Ok();
    response.insert_header((CONTENT_TYPE, "application/json"));
    body.clone().sent_by(response)
}

/// Sends whoever comes without a path to the interactive page.
#[get("/")]
pub async fn root() -> HttpResponse {
    to_page()
}

/// Sends the reader to the page's own folder, which its relative links need.
#[get("/docs")]
pub async fn docs() -> HttpResponse {
    to_page()
}

fn to_page() -> HttpResponse {
    HttpResponse::Found().insert_header((LOCATION, "/docs/")).finish()
}

/// The interactive page and its files, from within the program.
///
/// # Errors
/// [`ApiError::NotFound`] for a file that the page does not have.
#[get("/docs/{file:.*}")]
pub async fn page(file: Path<String>, page: Data<Page>) -> Result<HttpResponse, ApiError> {
    let file = utoipa_swagger_ui::serve(&file, page.0.clone()).map_err(|error| {
        tracing::error!(%error, "the interactive page cannot be served");
        ApiError::Internal
    })?;
    let file = file.ok_or(ApiError::NotFound)?;
    let mut response = HttpResponse::Ok();
    if file.gzpipped {
        response.insert_header((CONTENT_ENCODING, ContentEncoding::Gzip));
    }
    let bytes = if file.content_type.starts_with("text/html") { titled(&file.bytes) } else { file.bytes.to_vec() };
    Ok(response.content_type(file.content_type).body(bytes))
}

/// A page under our own title.
fn titled(html: &[u8]) -> Vec<u8> {
    let html = String::from_utf8_lossy(html);
    let parts = html.split_once("<title>").and_then(|(before, rest)| Some((before, rest.split_once("</title>")?.1)));
    let Some((before, after)) = parts else { return html.into_owned().into_bytes() };
    format!("{before}<title>tundish</title>{after}").into_bytes()
}
