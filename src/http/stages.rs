//! `POST /v1/heat-loss`, `/v1/emitters`, `/v1/flow-temperatures`, `/v1/pipework`, `/v1/plant`, `/v1/bill`, `/v1/programme`, `/v1/price`,
//! `/v1/proposal`: one job in, that stage out.

use actix_web::web::Data;
use actix_web::{HttpResponse, post};
use serde::Serialize;

use super::answer;
use super::error::{ApiError, Problem};
use super::request::JsonRequest;
use super::service::{Service, StageQuery};
use crate::job::Job;
use crate::proposal::{
    BillReport, EmittersReport, FlowTemperaturesReport, HeatLossReport, Needs, PipeworkReport, PlantReport, Prepared,
    PriceReport, ProgrammeReport, ProposalError, ProposalReport,
};

/// Reads the question, computes the stage, writes the answer.
async fn answered<R: Serialize + Send + 'static>(
    service: Data<Service>,
    request: JsonRequest,
    needs: Needs,
    stage: fn(Prepared, bool) -> Result<R, ProposalError>,
) -> Result<HttpResponse, ApiError> {
    let readers = service.readers.clone();
    let report = service.work.run(move || {
        let (prepared, query) = readers.stage(&request, needs)?;
        Ok(stage(prepared, query.workings)?)
    });
    answer::ok(&report.await?)
}

/// Declares the handler of a stage.
macro_rules! stage {
    ($path:literal, $id:literal, $name:ident, $needs:ident, $report:ty, $says:literal, $(#[$doc:meta])*) => {
        $(#[$doc])*
        #[utoipa::path(
            tag = "design",
            operation_id = $id,
            params(StageQuery),
            request_body(content = Job, description = "The job: at most 2 MiB of JSON, nested at most 32 levels deep", content_type = "application/json"),
            responses(
                (status = 200, description = $says, body = $report),
                (status = "4XX", description = "What is wrong with the request", body = Problem, content_type = "application/problem+json"),
                (status = "5XX", description = "The service could not answer", body = Problem, content_type = "application/problem+json"),
            )
        )]
        #[post($path)]
        pub async fn $name(service: Data<Service>, request: JsonRequest) -> Result<HttpResponse, ApiError> {
            answered(service, request, Needs::$needs, crate::proposal::$name).await
        }
    };
}

stage! { "/heat-loss", "heat_loss", heat_loss, Design, HeatLossReport, "The heat loss",
    /// Heat loss of every room and of the dwelling
    ///
    /// Design heat loss by EN 12831, steady state: transmission, thermal bridges and ventilation, with signed flows
    /// between rooms that cancel in the dwelling's total.
}
stage! { "/emitters", "emitters", emitters, Design, EmittersReport, "The emitters",
    /// Emitters of every room
    ///
    /// Radiators by EN 442, the cheapest or smallest that fits and carries its room; fan convectors by their data; heated
    /// floors by EN 1264, ISO 11855-2 or their test, and by conduction, the widest spacing within the limits. All on one flow
    /// temperature, each with its own return.
}
stage! { "/flow-temperatures", "flow_temperatures", flow_temperatures, Design, FlowTemperaturesReport, "The flow temperatures",
    /// Flow temperatures side by side
    ///
    /// Emitters, their cost and the heat source at every flow temperature from 30 to 55 °C, on the design day and on two
    /// milder ones, rooms that are not carried by name, and the lowest that carries every room with what holds it there.
}
stage! { "/pipework", "pipework", pipework, Design, PipeworkReport, "The pipework",
    /// Two-pipe tree: flows, tube sizes, pressures, pump duty
    ///
    /// Flows from loads and drops, tubes by gradient and velocity, Darcy-Weisbach with Colebrook-White, the index
    /// circuit and what the pump must do.
}
stage! { "/plant", "plant", plant, Design, PlantReport, "The plant",
    /// Heat source, cylinder, water content, expansion vessel
    ///
    /// The heat source by the day's balance of space loss and hot water at the design outside temperature.
}
stage! { "/bill", "bill", bill, Money, BillReport, "The bill",
    /// Bill of materials and labour
    ///
    /// Quantities from the design, each with where it comes from; labour hours from task norms; cost and cost with
    /// mark-up. Needs `commercial.quote_date`.
}
stage! { "/programme", "programme", programme, Money, ProgrammeReport, "The programme",
    /// Visits in their order
    ///
    /// Tasks, hours, days, what must be there before each visit and what it leaves behind, earliest dates. Needs
    /// `commercial.quote_date`.
}
stage! { "/price", "price", price, Money, PriceReport, "The price",
    /// Net, tax, gross, grant and what is left to pay
    ///
    /// Tax by supply at the rate of each tax point, the grant off the gross. Needs `commercial.quote_date`.
}
stage! { "/proposal", "proposal", proposal, Money, ProposalReport, "Every stage",
    /// Every stage at once
    ///
    /// One computation where a caller wants all. Needs `commercial.quote_date`.
}
