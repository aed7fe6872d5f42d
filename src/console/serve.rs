//! `tundish serve`: the service, until it is stopped.

use std::io::IsTerminal as _;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};

use tracing_subscriber::EnvFilter;

use super::plain_lines;
use crate::http::{self, Running};
use crate::settings::Settings;

/// Serves until it is stopped by the keyboard or by a signal.
///
/// # Errors
/// Why the service could not start or failed, in words for whoever started it.
pub fn serve(settings: &Settings) -> Result<(), String> {
    actix_web::rt::System::new().block_on(async {
        let served = Served::start(settings)?;
        println!("try: {}", curl(&served.base(), settings.key.is_some()));
        served.until_stopped().await
    })
}

/// A service that runs beside the command that started it.
pub(super) struct Served {
    address: SocketAddr,
    server: actix_web::rt::task::JoinHandle<std::io::Result<()>>,
    stopper: http::Stopper,
}

impl Served {
    /// Starts the service, and says where it is and where its data lie.
    pub(super) fn start(settings: &Settings) -> Result<Self, String> {
        log();
        let Running { address, server, stopper } = http::start(settings).map_err(|error| error.to_string())?;
        let served = Self { address, server: actix_web::rt::spawn(server), stopper };
        println!("tundish serves at {0}, its interactive page is {0}/docs/", served.base());
        println!("data lie in {}", plain_lines(&settings.data_dir.display().to_string()));
        Ok(served)
    }

    /// Where this machine reaches it: an address that stands for every one is none that can be asked.
    pub(super) fn base(&self) -> String {
        let mut address = self.address;
        if address.ip().is_unspecified() {
            address.set_ip(match address.ip() {
                IpAddr::V4(_) => Ipv4Addr::LOCALHOST.into(),
                IpAddr::V6(_) => Ipv6Addr::LOCALHOST.into(),
            });
        }
        format!("http://{address}")
    }

    /// Serves until it is stopped by the keyboard or by a signal.
    pub(super) async fn until_stopped(self) -> Result<(), String> {
        let stopper = self.stopper.clone();
        actix_web::rt::spawn(async move {
            stopped().await;
            stopper.stop().await;
        });
        self.ended().await
    }

    /// Stops it.
    pub(super) async fn stop(self) -> Result<(), String> {
        self.stopper.stop().await;
        self.ended().await
    }

    async fn ended(self) -> Result<(), String> {
        self.server.await.map_err(|error| error.to_string())?.map_err(|error| error.to_string())
    }
}

/// One line that works as printed.
fn curl(base: &str, with_key: bool) -> String {
    let key = if with_key { " -H \"Authorization: Bearer $TUNDISH_KEY\"" } else { "" };
    let job = r#"{"schema":1,"site":{"nation":"england","climate":{"kind":"given","outside_design_c":-3}},"dwelling":{},"constructions":{"wall":{"kind":"known","u_value_w_m2k":0.3}},"rooms":{"study":{"use":"study","floor_area_m2":12,"height_m":2.4,"surfaces":{"north":{"part":"wall","construction":"wall","area_m2":9.6}}}}}"#;
    format!("curl -s {base}/v1/heat-loss{key} -H 'Content-Type: application/json' -d '{job}'")
}

async fn stopped() {
    let keyboard = tokio::signal::ctrl_c();
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        if let Ok(mut terminate) = signal(SignalKind::terminate()) {
            tokio::select! { _ = keyboard => {}, _ = terminate.recv() => {} }
            return;
        }
    }
    // without signals there is nothing to wait for but the keyboard
    let _ = keyboard.await;
}

fn log() {
    // what HTTP's parser refuses is told as a problem, and counted
    let usual = || EnvFilter::new("warn,tundish=info,actix_http=off");
    let filter = EnvFilter::try_from_env("TUNDISH_LOG").unwrap_or_else(|_| usual());
    let is_seen = std::io::stderr().is_terminal();
    // a second start in one process keeps the first log
    let _ =
        tracing_subscriber::fmt().with_env_filter(filter).with_ansi(is_seen).with_writer(std::io::stderr).try_init();
}
