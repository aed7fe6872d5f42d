//! Every resource of the service, in one list.

use actix_web::middleware::from_fn;
use actix_web::web::{self, ServiceConfig};
use utoipa::openapi::OpenApi;
use utoipa_actix_web::{AppExt as _, scope};

use super::{auth, docs, health, outline, quotes, stages};

/// The list. Each worker registers it as it is; once a process it is registered so that it also describes itself, which
/// takes a hundred times as long.
macro_rules! resources {
    ($config:ident, $scope:path, $stages:path) => {
        let v1 = $scope("/v1")
            .wrap(from_fn(auth::with_key))
            .configure($stages)
            .service(outline::outline)
            .service(quotes::list::list)
            .service(quotes::create::create)
            .service(quotes::read::read)
            .service(quotes::change::replace)
            .service(quotes::change::patch)
            .service(quotes::change::delete)
            .service(quotes::read::read_revision)
            .service(quotes::steps::issue)
            .service(quotes::steps::accept)
            .service(quotes::steps::decline)
            .service(quotes::change::vary)
            .service(quotes::history::changes)
            .service(quotes::history::proof);
        $config.service(v1).service(health::live).service(health::ready).service(docs::openapi);
    };
}

/// Registers every resource.
pub fn register(config: &mut ServiceConfig) {
    resources!(config, web::scope, stages::register);
}

/// The document of every registered resource.
pub fn paths() -> OpenApi {
    let app = actix_web::App::new().into_utoipa_app().configure(|config| {
        resources!(config, scope::scope, stages::describe);
    });
    app.split_for_parts().1
}
