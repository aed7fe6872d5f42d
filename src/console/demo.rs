//! `tundish demo`: serves, and sends an invented house through every stage over HTTP, as a client would.

use serde_json::Value;

use super::serve::Served;
use crate::client::Client;
use crate::render::summary;
use crate::settings::Settings;

/// The house: a fixture job, carried in the program.
const HOUSE: &str = include_str!("../../fixtures/jobs/chapel.json");

/// How a figure of an answer is told: as it is with its unit, or as money.
#[derive(Clone, Copy)]
enum Told {
    As(&'static str),
    Money(&'static str),
}
use Told::{As, Money};

/// Every stage in its order: its path, and the figures of its answer that are told.
const STAGES: [(&str, &[(&str, Told)]); 8] = [
    (
        "/v1/heat-loss",
        &[("/heat_loss/dwelling/design_heat_loss_w", As("W")), ("/heat_loss/outside_design_c", As("°C outside"))],
    ),
    ("/v1/emitters", &[("/emitters/flow_temperature_c", As("°C flow"))]),
    ("/v1/pipework", &[("/pipework/pump/flow_l_h", As("l/h")), ("/pipework/pump/head_kpa", As("kPa"))]),
    ("/v1/plant", &[("/plant/heat_source/description", As("")), ("/plant/cylinder/volume_l", As("l cylinder"))]),
    ("/v1/bill", &[("/bill/totals/net", Money("net")), ("/bill/totals/labour_h", As("hours"))]),
    ("/v1/programme", &[("/programme/days", As("working days"))]),
    ("/v1/price", &[("/price/gross", Money("gross")), ("/price/payable", Money("payable"))]),
    ("/v1/proposal", &[("/price/complete", As("complete"))]),
];

/// Serves and shows the whole way; goes on serving unless told to stop after it.
///
/// # Errors
/// Why the service could not start, or what went wrong on the way.
pub fn demo(settings: &Settings, once: bool) -> Result<(), String> {
    actix_web::rt::System::new().block_on(async {
        let served = Served::start(settings)?;
        let shown = show(&served.base(), settings.key.clone()).await;
        match shown {
            Ok(location) if !once => {
                println!();
                println!("the quote is {}{location}", served.base());
                println!(
                    "the service goes on at {0}, its interactive page is {0}/docs/; Ctrl-C stops it",
                    served.base()
                );
                served.until_stopped().await
            }
            shown => served.stop().await.and(shown.map(|_| ())),
        }
    })
}

/// Sends the house through every stage, keeps it as a quote, reads it back and prints it. Answers where it is kept.
async fn show(base: &str, key: Option<String>) -> Result<String, String> {
    let client = Client::new(base, key).map_err(|error| error.to_string())?;
    println!();
    for (path, figures) in STAGES {
        let answer = client.post(path, HOUSE).await.map_err(|error| error.to_string())?;
        println!("POST {path:<14} {}", told(&read(&answer.text)?, figures));
    }
    let kept = client.post("/v1/quotes", HOUSE).await.map_err(|error| error.to_string())?;
    let location = kept.location.ok_or("the service does not say where the quote is")?;
    println!("POST /v1/quotes     kept as {location}");
    let quote = read(&client.get(&location).await.map_err(|error| error.to_string())?.text)?;
    println!("GET  {location}");
    println!();
    let title = quote["job"]["title"].as_str().unwrap_or("Proposal");
    let summary = summary::of(title, &quote["proposal"].to_string()).map_err(|error| error.to_string())?;
    print!("{summary}");
    println!();
    println!("House, products, prices and labour hours are invented.");
    Ok(location)
}

fn read(text: &str) -> Result<Value, String> {
    serde_json::from_str(text).map_err(|error| format!("the service answers what is not JSON: {error}"))
}

/// Figures of an answer in words.
fn told(answer: &Value, figures: &[(&str, Told)]) -> String {
    let told = figures.iter().map(|(pointer, told)| match (answer.pointer(pointer), told) {
        (Some(Value::String(text)), As(unit)) => format!("{text} {unit}"),
        (Some(Value::Bool(true)), As(what)) => (*what).to_owned(),
        (Some(Value::Bool(false)), As(what)) => format!("not {what}"),
        (Some(value), As(unit)) => format!("{value} {unit}"),
        (Some(value), Money(what)) => format!("{:.2} {what}", value.as_f64().unwrap_or_default()),
        (None, As(what) | Money(what)) => format!("no {what}"),
    });
    told.map(|told| told.trim_end().to_owned()).collect::<Vec<_>>().join(", ")
}
