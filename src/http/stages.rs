//! One job in, one stage out: `POST /v1/heat-loss` and its like for every stage that answers by itself,
//! `/v1/flow-temperatures` for many side by side, and `/v1/proposal` for all of them.

use actix_web::web::{Data, ServiceConfig};
use actix_web::{HttpResponse, post};
use serde::Serialize;
use tundish_stages::each_stage;
use utoipa_actix_web::service_config;

use super::answer::{self, Body};
use super::error::ApiError;
use super::problems::Question;
use super::request::JsonRequest;
use super::service::{Service, StageQuery};
use crate::job::Job;
use crate::proposal::{
    BillReport, EmittersReport, FlowTemperaturesReport, HeatLossReport, Needs, PipeworkReport, PlantReport, Prepared,
    PriceReport, ProgrammeReport, ProposalError, ProposalReport,
};

/// Reads the question, computes the stage and writes the answer, all away from the threads that serve connections.
async fn answered<R: Serialize + Send + 'static>(
    service: Data<Service>,
    request: JsonRequest,
    needs: Needs,
    stage: fn(&Prepared, bool) -> Result<R, ProposalError>,
) -> Result<HttpResponse, ApiError> {
    let readers = service.readers.clone();
    let body = service.work.run(move |turn| {
        let (coding, (prepared, query)) = (request.coding, readers.stage(request, needs, turn)?);
        Body::written(&stage(&prepared, query.workings)?, coding, turn)
    });
    Ok(answer::ok(body.await?))
}

/// Declares the handler of a question.
macro_rules! handler {
    ($(#[$doc:meta])* $name:ident at $path:literal for $needs:ident says $says:literal: $report:ident) => {
        $(#[$doc])*
        #[utoipa::path(
            tag = "design",
            operation_id = stringify!($name),
            params(StageQuery),
            request_body(content = Job, description = "The job: at most 2 MiB of JSON, nested at most 32 levels deep", content_type = "application/json"),
            responses(
                (status = 200, description = $says, body = $report),
                Question,
            )
        )]
        #[post($path)]
        pub async fn $name(service: Data<Service>, request: JsonRequest) -> Result<HttpResponse, ApiError> {
            answered(service, request, Needs::$needs, crate::proposal::$name).await
        }
    };
}

/// The handler of every stage that answers by itself, and their registration.
macro_rules! handlers {
    ($(stage $stage:ident: $result:ident {
        from |$from:ident| $before:expr;
        notes $notes:ident;
        told $told:ident;
        $(answers $name:ident: $question:ident {
            $(#[$of:meta])* report $report:ident;
            $(#[$field:meta])* row $row:ident = |$run:ident| $answer:expr;
            $(#[$doc:meta])* at $path:literal for $needs:ident says $says:literal;
            figures $figures:tt;
        })?
    })*) => {
        $($(handler! { $(#[$doc])* $name at $path for $needs says $says: $report })?)*

        /// Registers every question to the stages.
        pub fn register(config: &mut ServiceConfig) {
            $($(config.service($name);)?)*
            config.service(flow_temperatures).service(proposal);
        }

        /// The same, so that they also describe themselves.
        pub fn describe(config: &mut service_config::ServiceConfig<'_>) {
            $($(config.service($name);)?)*
            config.service(flow_temperatures).service(proposal);
        }
    };
}

each_stage!(handlers);

handler! {
    /// Flow temperatures side by side
    ///
    /// Emitters, their cost and the heat source at every flow temperature from 30 to 55 °C, on the design day and on two
    /// milder ones, rooms that are not carried by name, and the lowest that carries every room which sets it, with what holds it there.
    flow_temperatures at "/flow-temperatures" for Design says "The flow temperatures": FlowTemperaturesReport
}

handler! {
    /// Every stage at once
    ///
    /// One computation where a caller wants all. Needs `commercial.quote_date`.
    proposal at "/proposal" for Money says "Every stage": ProposalReport
}
