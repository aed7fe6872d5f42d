//! `tundish demo`: serves, and sends an invented house through every stage over HTTP, as a client would.

use serde_json::Value;

use super::plain_lines;
use super::serve::Served;
use crate::client::Client;
use crate::proposal::{ANSWERS, Answered, Figure};
use crate::render::summary;
use crate::settings::Settings;

/// The house: a fixture job, carried in the program.
const HOUSE: &str = include_str!("../../fixtures/jobs/chapel.json");

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
                println!("the quote is {}{}", served.base(), plain_lines(&location));
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
    for Answered { name, path, figures } in ANSWERS {
        let path = format!("/v1{path}");
        let answer = client.post(&path, HOUSE).await.map_err(|error| error.to_string())?;
        println!("POST {path:<14} {}", plain_lines(&told(&read(&answer.text)?[name], figures)));
    }
    let whole = client.post("/v1/proposal", HOUSE).await.map_err(|error| error.to_string())?;
    let is_complete = read(&whole.text)?["price"]["complete"] == true;
    println!("POST /v1/proposal   {}", if is_complete { "complete" } else { "not complete" });
    let kept = client.post("/v1/quotes", HOUSE).await.map_err(|error| error.to_string())?;
    let location = kept.location.ok_or("the service does not say where the quote is")?;
    let place = plain_lines(&location);
    println!("POST /v1/quotes     kept as {place}");
    let quote = read(&client.get(&location).await.map_err(|error| error.to_string())?.text)?;
    println!("GET  {place}");
    println!();
    let title = quote["job"]["title"].as_str().unwrap_or("Proposal");
    let summary = summary::text(title, &quote["proposal"].to_string()).map_err(|error| error.to_string())?;
    print!("{}", plain_lines(&summary));
    println!();
    println!("House, products, prices and labour hours are invented.");
    Ok(location)
}

fn read(text: &str) -> Result<Value, String> {
    serde_json::from_str(text).map_err(|error| format!("the service answers what is not JSON: {error}"))
}

/// Figures of a stage's row in words.
fn told(row: &Value, figures: &[Figure]) -> String {
    let told = figures.iter().map(|figure| match *figure {
        Figure::Money(pointer, what) => match row.pointer(pointer).and_then(Value::as_f64) {
            Some(amount) => format!("{amount:.2} {what}"),
            None => format!("no {what}"),
        },
        Figure::As(pointer, unit) => match row.pointer(pointer) {
            Some(Value::String(text)) => format!("{text} {unit}"),
            Some(value) => format!("{value} {unit}"),
            None => format!("no {unit}"),
        },
    });
    told.map(|told| told.trim_end().to_owned()).collect::<Vec<_>>().join(", ")
}
