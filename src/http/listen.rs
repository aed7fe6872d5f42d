//! The server below the application: one address, HTTP/1.1, and every connection wrapped in [`Wire`].

use std::io;
use std::net::{SocketAddr, TcpListener};
use std::sync::Arc;
use std::time::Duration;

use actix_http::HttpService;
use actix_server::Server;
use actix_service::{IntoServiceFactory, ServiceFactory, ServiceFactoryExt as _, fn_service, map_config};
use actix_web::Error;
use actix_web::body::MessageBody;
use actix_web::dev::{AppConfig, Service, ServiceResponse};
use actix_web::rt::net::TcpStream;
use socket2::{Domain, Protocol, Socket, Type};

use super::tally::Tally;
use super::wire::{Patience, Wire};
use crate::settings::Times;

/// Connections that may wait to be taken: several workbooks that open at once.
const BACKLOG: i32 = 1024;

/// How long the head of a request may take.
const HEAD: Duration = Duration::from_secs(5);

/// How long a client whose body is refused is listened to, so that he reads why.
const LINGER: Duration = Duration::from_secs(1);

/// A listener at an address, and where that is: port 0 takes a free one.
///
/// # Errors
/// The address cannot be listened on.
pub fn listener(address: SocketAddr) -> io::Result<(TcpListener, SocketAddr)> {
    let socket = Socket::new(Domain::for_address(address), Type::STREAM, Some(Protocol::TCP))?;
    #[cfg(not(windows))]
    socket.set_reuse_address(true)?;
    socket.bind(&address.into())?;
    socket.listen(BACKLOG)?;
    let listener = TcpListener::from(socket);
    let address = listener.local_addr()?;
    Ok((listener, address))
}

/// How long a service that was told to stop waits for connections: a little longer than for work.
const LAST: u64 = 5;

/// Serves an application at a listener.
///
/// # Errors
/// The listener cannot be taken.
pub fn serve<A, I, S, B>(listener: TcpListener, (tally, times): (Arc<Tally>, Times), app: A) -> io::Result<Server>
where
    A: Fn() -> I + Send + Clone + 'static,
    I: IntoServiceFactory<S, actix_http::Request>,
    S: ServiceFactory<actix_http::Request, Config = AppConfig, Response = ServiceResponse<B>, Error = Error> + 'static,
    S::InitError: std::fmt::Debug,
    <S::Service as Service<actix_http::Request>>::Future: 'static,
    S::Service: 'static,
    B: MessageBody + 'static,
{
    let patience = Patience { taking: times.taking, unanswered: times.body + times.wait + times.work + times.taking };
    let server = Server::build();
    let stops = server.graceful_shutdown_signal();
    let server = server.disable_signals().shutdown_timeout(LAST).listen("http", listener, move || {
        let (tally, stops) = (tally.clone(), stops.clone());
        let http = HttpService::build()
            .client_request_timeout(HEAD)
            .client_disconnect_timeout(LINGER)
            // a client that has closed its side has left: nobody works on for it
            .h1_allow_half_closed(false)
            .graceful_shutdown_signal(move || {
                let stops = stops.clone();
                async move { stops.notified().await }
            })
            .h1(map_config(app(), |()| AppConfig::default()));
        fn_service(move |stream: TcpStream| {
            let wire = Wire::new(stream, tally.clone(), patience);
            async move { Ok((wire, None)) }
        })
        .and_then(http)
    })?;
    Ok(server.run())
}
