//! Starting and stopping the service.

use std::io;
use std::net::SocketAddr;
use std::sync::Arc;

use actix_server::{Server, ServerHandle};
use actix_web::App;
use actix_web::middleware::from_fn;
use actix_web::web::{self, Data};

use super::auth::Key;
use super::docs::{self, Page};
use super::edge::{self, Routes};
use super::hosts::Hosts;
use super::listen;
use super::openapi::GENERATED;
use super::quotes::InHand;
use super::request::Room;
use super::routes;
use super::service::{Readers, Service};
use super::tally::Tally;
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
    pub stopper: Stopper,
}

/// Stops a service.
#[derive(Clone)]
pub struct Stopper {
    handle: ServerHandle,
    work: Work,
    tally: Arc<Tally>,
}

impl Stopper {
    /// Takes no more connections, lets every question that was asked be answered within some seconds, and ends.
    pub async fn stop(&self) {
        self.work.stop();
        self.handle.stop(true).await;
        self.tally.tell();
    }

    /// Ends at once, whoever waits for an answer. Whether it has ended is told by the server.
    pub fn end(&self) {
        self.work.stop();
        drop(self.handle.stop(false));
    }
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
        work: Work::new(settings.times),
        room: Room::default(),
        times: settings.times,
        in_hand: InHand::default(),
    });
    let work = service.work.clone();
    let key = Data::new(Key(settings.key.clone()));
    let known = Data::new(Routes::from_document(&GENERATED));
    let page = Data::new(Page::new());
    let (hosts, tally) = (Data::new(Hosts::new(settings)), Arc::new(Tally::default()));
    let (address, counted) = (settings.listen, Data::from(tally.clone()));
    let (listener, address) = listen::listener(address).map_err(|error| ServeError::Listen { address, error })?;
    let app = move || {
        App::new()
            .app_data(hosts.clone())
            .app_data(counted.clone())
            .app_data(service.clone())
            .app_data(key.clone())
            .app_data(known.clone())
            .app_data(page.clone())
            .configure(routes::register)
            .service(docs::root)
            .service(docs::docs)
            .service(docs::page)
            .default_service(web::to(edge::otherwise))
            .wrap(from_fn(edge::edge))
    };
    let server = listen::serve(listener, (tally.clone(), settings.times), app)
        .map_err(|error| ServeError::Listen { address, error })?;
    actix_web::rt::spawn(tally.clone().keep_telling());
    Ok(Running { address, stopper: Stopper { handle: server.handle(), work, tally }, server })
}
