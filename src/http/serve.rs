//! Starting and stopping the service.

use std::io;
use std::net::SocketAddr;

use actix_web::dev::{Server, ServerHandle};
use actix_web::middleware::{Compress, from_fn};
use actix_web::web::{self, Data};
use actix_web::{App, HttpServer};

use super::auth::Key;
use super::docs::{self, Page};
use super::edge::{self, Routes};
use super::openapi::GENERATED;
use super::routes;
use super::service::{Readers, Service};
use super::work::Work;
use crate::settings::Settings;
use crate::store::{Store, StoreError};

/// The service could not start.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// The settings are refused.
    #[error("{0}")]
    Settings(String),
    /// The address cannot be listened on.
    #[error("cannot listen on {address}: {error}; --listen takes another address")]
    Listen {
        /// The address.
        address: SocketAddr,
        /// Why not.
        error: io::Error,
    },
    /// The store cannot be opened.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The program is at fault.
    #[error("{0}")]
    Program(String),
}

/// A service that runs until it is stopped.
pub struct Running {
    /// Where it listens.
    pub address: SocketAddr,
    /// The server; it runs while this is awaited.
    pub server: Server,
    /// Stops it.
    pub handle: ServerHandle,
}

/// Starts the service: settings checked, store opened, address bound.
///
/// # Errors
/// [`ServeError`]: nothing is left running.
pub fn start(settings: &Settings) -> Result<Running, ServeError> {
    if let Some(reason) = settings.refused() {
        return Err(ServeError::Settings(reason));
    }
    let readers = Readers::shared().map_err(ServeError::Program)?;
    let store = Store::open(&settings.data_dir)?;
    let service = Data::new(Service {
        readers,
        store,
        work: Work::new(settings.queue, settings.longest),
        patience: settings.patience,
    });
    let key = Data::new(Key(settings.key.clone()));
    let known = Data::new(Routes::from_document(&GENERATED));
    let page = Data::new(Page::new());
    let server = HttpServer::new(move || {
        App::new()
            .app_data(service.clone())
            .app_data(key.clone())
            .app_data(known.clone())
            .app_data(page.clone())
            .configure(routes::register)
            .service(docs::root)
            .service(docs::docs)
            .service(docs::page)
            .default_service(web::to(edge::otherwise))
            .wrap(Compress::default())
            .wrap(from_fn(edge::edge))
    });
    let address = settings.listen;
    let server = server.bind(address).map_err(|error| ServeError::Listen { address, error })?;
    let address = server.addrs().first().copied().unwrap_or(address);
    let server = server.disable_signals().shutdown_timeout(10).run();
    Ok(Running { address, handle: server.handle(), server })
}
