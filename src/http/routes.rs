//! Every resource of the service, in one list.

use actix_web::middleware::from_fn;
use utoipa::openapi::OpenApi;
use utoipa_actix_web::service_config::ServiceConfig;
use utoipa_actix_web::{AppExt as _, scope};

use super::{auth, docs, health, outline, quotes, stages};

/// Registers every resource.
pub fn register(config: &mut ServiceConfig) {
    let v1 = scope::scope("/v1")
        .wrap(from_fn(auth::with_key))
        .service(stages::heat_loss)
        .service(stages::emitters)
        .service(stages::flow_temperatures)
        .service(stages::pipework)
        .service(stages::plant)
        .service(stages::bill)
        .service(stages::programme)
        .service(stages::price)
        .service(stages::proposal)
        .service(outline::outline)
        .service(quotes::create)
        .service(quotes::read);
    config.service(v1).service(health::live).service(health::ready).service(docs::openapi);
}

/// The document of every registered resource.
pub fn paths() -> OpenApi {
    actix_web::App::new().into_utoipa_app().configure(register).split_for_parts().1
}
