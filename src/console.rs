//! What the commands of the command line do.

use tracing_subscriber::EnvFilter;

use crate::http::{self, Running};
use crate::settings::Settings;

/// Serves until it is stopped by the keyboard or by a signal.
///
/// # Errors
/// Why the service could not start or failed, in words for whoever started it.
pub fn serve(settings: &Settings) -> Result<(), String> {
    log();
    actix_web::rt::System::new().block_on(async {
        let Running { address, server, handle } = http::start(settings).map_err(|error| error.to_string())?;
        println!("tundish serves at http://{address}, its interactive page is http://{address}/docs/");
        println!("data lie in {}", settings.data_dir.display());
        println!("try: {}", curl(&address.to_string(), settings.key.is_some()));
        actix_web::rt::spawn(async move {
            stopped().await;
            handle.stop(true).await;
        });
        server.await.map_err(|error| error.to_string())
    })
}

/// One line that works as printed.
fn curl(address: &str, with_key: bool) -> String {
    let key = if with_key { " -H \"Authorization: Bearer $TUNDISH_KEY\"" } else { "" };
    let job = r#"{"schema":1,"site":{"nation":"england","climate":{"kind":"given","outside_design_c":-3}},"dwelling":{},"constructions":{"wall":{"kind":"known","u_value_w_m2k":0.3}},"rooms":{"study":{"use":"study","floor_area_m2":12,"height_m":2.4,"surfaces":{"north":{"part":"wall","construction":"wall","area_m2":9.6}}}}}"#;
    format!("curl -s http://{address}/v1/heat-loss{key} -H 'Content-Type: application/json' -d '{job}'")
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
    let filter = EnvFilter::try_from_env("TUNDISH_LOG").unwrap_or_else(|_| EnvFilter::new("warn,tundish=info"));
    // a second start in one process keeps the first log
    let _ = tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr).try_init();
}
