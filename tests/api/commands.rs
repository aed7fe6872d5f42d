//! The commands as a user types them: `serve`, `demo`, `price`.

use std::io::Write as _;
use std::path::PathBuf;
use std::process::{Output, Stdio};

use reqwest::header::CONTENT_TYPE;
use serde_json::Value;
use tundish::proposal::ANSWERS;

use super::helpers::{fixture, shared_service};
use super::process::{Process, program};

fn said(output: &Output) -> (String, String) {
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    (text(&output.stdout), text(&output.stderr))
}

fn job_file(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(format!("fixtures/jobs/{name}.json"))
}

/// The last word of the line that begins with a word.
fn figure<'t>(text: &'t str, line: &str) -> &'t str {
    let line = text.lines().rfind(|found| found.starts_with(line)).unwrap_or_else(|| panic!("no line {line}: {text}"));
    line.split_whitespace().last().unwrap()
}

/// An amount as it is printed, read back.
fn amount(text: &str) -> Option<f64> {
    assert_eq!(text.len() - text.rfind('.').unwrap(), 3, "{text} has no two decimals");
    text.replace(',', "").parse().ok()
}

#[tokio::test]
async fn the_line_that_serve_prints_works_as_printed() {
    let data = tempfile::tempdir().unwrap();
    let mut process = Process::serve(program(), data.path());
    let line = process.read_until("try: curl");
    assert!(line.contains(&format!("data lie in {}", data.path().display())), "{line}");
    let line = line.lines().last().unwrap();
    let (url, job) = (line.split_whitespace().nth(3).unwrap(), line.split('\'').nth(3).unwrap());
    assert!(url.starts_with(&process.base) && line.contains("-H 'Content-Type: application/json'"), "{line}");
    let answer = process.client.post(url).header(CONTENT_TYPE, "application/json").body(job.to_owned());
    let answer: Value = answer.send().await.unwrap().json().await.unwrap();
    assert!(answer["heat_loss"]["dwelling"]["design_heat_loss_w"].as_f64().unwrap() > 0.0, "{answer}");
}

#[tokio::test]
async fn the_demo_shows_the_whole_way_and_goes_on_serving() {
    let data = tempfile::tempdir().unwrap();
    let mut command = program();
    command.args(["demo", "--listen", "127.0.0.1:0", "--data-dir"]).arg(data.path());
    let mut process = Process::start(command);
    let text = process.read_until("Ctrl-C stops it");
    for path in ANSWERS.iter().map(|answered| answered.path).chain(["/proposal", "/quotes"]) {
        assert!(text.contains(&format!("POST /v1{path} ")), "{path}: {text}");
    }
    assert!(text.contains(&format!("{}/docs/", process.base)), "{text}");
    let location = text.split("kept as ").nth(1).unwrap().lines().next().unwrap();
    let quote: Value = process.client.get(process.url(location)).send().await.unwrap().json().await.unwrap();
    assert_eq!(quote["job"], fixture("chapel"));
    assert_eq!(amount(figure(&text, "payable")), quote["proposal"]["price"]["payable"].as_f64());
}

#[test]
fn the_demo_stops_when_told_to_and_takes_the_key_where_one_is_needed() {
    let data = tempfile::tempdir().unwrap();
    let mut command = program();
    command.args(["demo", "--once", "--listen", "0.0.0.0:0", "--data-dir"]).arg(data.path());
    let refused = command.output().unwrap();
    assert_eq!(refused.status.code(), Some(1));
    assert!(said(&refused).1.contains("TUNDISH_KEY"), "{refused:?}");
    let shown = command.env("TUNDISH_KEY", "k".repeat(32)).output().unwrap();
    let (out, err) = said(&shown);
    assert!(shown.status.success(), "{out}{err}");
    assert!(out.contains("kept as /v1/quotes/") && out.contains("\npayable ") && !out.contains("goes on"), "{out}");
}

#[tokio::test]
async fn price_prints_what_the_service_answers_with_the_totals_last() {
    let service = shared_service();
    for name in ["chapel", "terrace", "bungalow"] {
        let output = program().arg("price").arg(job_file(name)).output().unwrap();
        let (out, err) = said(&output);
        assert!(output.status.success() && err.is_empty(), "{err}");
        let answer = service.answer("/v1/proposal", &fixture(name)).await;
        assert!(out.starts_with(fixture(name)["title"].as_str().unwrap()), "{out}");
        for room in fixture(name)["rooms"].as_object().unwrap().keys() {
            assert!(out.contains(&format!("\n{room} ")), "{room}: {out}");
        }
        for line in answer["bill"]["lines"].as_array().unwrap() {
            assert!(out.contains(line["description"].as_str().unwrap()), "{line}: {out}");
        }
        for caution in answer["notes"]["cautions"].as_array().unwrap() {
            let beginning: String = caution["detail"].as_str().unwrap().chars().take(40).collect();
            assert!(out.contains(&beginning), "{beginning}: {out}");
        }
        let price = |member: &str| answer["price"][member].as_f64();
        assert_eq!(amount(figure(&out, "price")), price("gross"), "{name}");
        assert_eq!(amount(figure(&out, "grant")), price("grant").map(|grant| -grant), "{name}");
        assert_eq!(amount(figure(&out, "payable")), price("payable"), "{name}");
        let last: Vec<&str> = out.lines().rev().take(3).map(|line| line.split_whitespace().next().unwrap()).collect();
        assert_eq!(last, ["payable", "grant", "price"], "{out}");
    }
}

#[test]
fn price_tells_every_fault_with_its_place() {
    let data = tempfile::tempdir().unwrap();
    let mut job = fixture("terrace");
    job["rooms"]["hall"]["floor_area_m2"] = (-1).into();
    job["dwelling"]["colour"] = "blue".into();
    let file = data.path().join("job.json");
    std::fs::write(&file, job.to_string()).unwrap();
    let output = program().arg("price").arg(&file).output().unwrap();
    let (out, err) = said(&output);
    assert_eq!((output.status.code(), out.as_str()), (Some(1), ""));
    assert!(err.contains("has 2 faults\n") && err.contains("\n  /rooms/hall/floor_area_m2: "), "{err}");
    assert!(err.contains("\n  /dwelling/colour: "), "{err}");
    let output = program().arg("price").arg(data.path().join("none.json")).output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    assert!(said(&output).1.contains("none.json cannot be read"), "{output:?}");
}

/// What the design does not meet stands before the price, and the price says that it is not the whole.
#[test]
fn price_says_what_is_not_met() {
    let data = tempfile::tempdir().unwrap();
    let mut job = fixture("terrace");
    job["rooms"]["bath"].as_object_mut().unwrap().remove("emitters");
    job["pipework"]["runs"].as_object_mut().unwrap().retain(|_, run| {
        !run["serves"].as_array().is_some_and(|serves| serves.iter().any(|end| end["room"] == "bath"))
    });
    let file = data.path().join("job.json");
    std::fs::write(&file, job.to_string()).unwrap();
    let output = program().arg("price").arg(&file).output().unwrap();
    let (out, err) = said(&output);
    assert_eq!((output.status.code(), err.as_str()), (Some(3), ""));
    assert!(
        out.contains("Not met: the price is not complete")
            && out.contains("room bath loses")
            && out.contains("and has no emitter"),
        "{out}"
    );
    assert!(out.lines().last().unwrap().starts_with("payable, not complete "), "{out}");
}

/// The lines under a heading, up to the next one.
fn under<'o>(out: &'o str, heading: &str) -> Vec<&'o str> {
    let lines: Vec<&str> = out.lines().collect();
    let at = lines.iter().position(|line| line.starts_with(heading)).unwrap_or_else(|| panic!("no {heading} in {out}"));
    lines[at + 2..].iter().copied().take_while(|line| !line.is_empty()).collect()
}

/// An entry a code with its places, what is recalled gathered once, and what the price does not hold right before it.
#[tokio::test]
async fn a_summary_tells_notes_by_their_codes() {
    let output = program().arg("price").arg("fixtures/jobs/farmhouse.json").output().unwrap();
    let (out, err) = said(&output);
    assert!(output.status.success(), "{err}");
    let answer = shared_service().answer("/v1/proposal", &fixture("farmhouse")).await;
    let codes: std::collections::BTreeSet<&str> =
        answer["notes"]["assumptions"].as_array().unwrap().iter().map(|note| note["code"].as_str().unwrap()).collect();
    let entries = under(&out, "Assumed").into_iter().filter(|line| line.starts_with('*')).count();
    // what is not in the bill stands beside the price; what is left free about a radiator is two sentences
    assert_eq!(entries, codes.len(), "{out}");
    assert_eq!(out.to_lowercase().matches("from memory").count(), 1, "{out}");
    let one_line = under(&out, "Assumed").join(" ").split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(one_line.contains("[living, kitchen, study; hall, utility, bed1, bed2: 18 °C; bath: 22 °C]"), "{one_line}");
    assert!(under(&out, "From memory").join(" ").contains("CIBSE Domestic Heating Design Guide"), "{out}");
    let (before, price) = (out.find("Not in the price").unwrap(), out.find("Price in GBP").unwrap());
    assert!(
        before < price && out[before..price].matches("---").count() > 0 && !out[before..price].contains("Cautions")
    );
}

/// A room that the next one heats, and what pipes lose outside the rooms, stand where a reader looks for them.
#[test]
fn a_summary_tells_what_heats_a_room_without_an_emitter_and_what_pipes_lose() {
    let data = tempfile::tempdir().unwrap();
    let mut job = fixture("terrace");
    job["rooms"]["landing"].as_object_mut().unwrap().remove("emitters");
    job["rooms"]["landing"]["heated_from"] = "hall".into();
    job["pipework"]["runs"].as_object_mut().unwrap().retain(|_, run| {
        !run["serves"].as_array().is_some_and(|serves| serves.iter().any(|end| end["room"] == "landing"))
    });
    // its first run lies in an unheated place
    assert_eq!(job["pipework"]["runs"]["primary"]["place"], "unheated");
    let file = data.path().join("job.json");
    std::fs::write(&file, job.to_string()).unwrap();
    let output = program().arg("price").arg(&file).output().unwrap();
    let out = said(&output).0.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(out.contains("heated from hall:") && out.contains("with the door open"), "{out}");
    assert!(out.contains("of them lost by pipes outside the rooms"), "{out}");
}

/// Hours that the price book does not count stand beside the price, and not among what looks wrong.
#[test]
fn what_is_not_in_the_price_stands_beside_it() {
    let data = tempfile::tempdir().unwrap();
    let mut job = super::helpers::published("hand_house");
    let tasks = job["commercial"]["price_book"]["labour"]["tasks"].as_object_mut().unwrap();
    tasks.retain(|_, task| task["per"] != "radiator");
    let file = data.path().join("job.json");
    std::fs::write(&file, job.to_string()).unwrap();
    let output = program().arg("price").arg(&file).output().unwrap();
    let (out, err) = said(&output);
    assert!(output.status.success(), "{err}");
    let beside = under(&out, "Not in the price").join(" ");
    assert!(beside.contains("counts no hours per radiator hung (4)"), "{out}");
    assert_eq!(out.matches("counts no hours").count(), 1, "{out}");
}

/// The page that opens the project shows a question with its answer: both are real.
#[tokio::test]
async fn the_answer_that_the_readme_shows_is_the_one_that_is_given() {
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    let job = readme.split("-d '").nth(1).unwrap().split('\'').next().unwrap().to_owned();
    let shown = readme.split("```json\n").nth(1).unwrap().lines().next().unwrap();
    let answer = shared_service().post_text("/v1/heat-loss", job).await.text().await.unwrap();
    assert_eq!(answer, shown, "write it into README.md");
}

/// What a job brings is shown and steers nothing, whether it is a fault's place or a name on the disk.
#[test]
fn nothing_that_a_file_brings_steers_the_terminal() {
    let data = tempfile::tempdir().unwrap();
    let mut job = fixture("terrace");
    job["title"] = "red \u{1b}[31m".into();
    job["rooms"]["hall"]["\u{9b}2J\u{202e}"] = 1.into();
    let file = data.path().join("job\u{1b}[2J.json");
    std::fs::write(&file, job.to_string()).unwrap();
    for file in [file, data.path().join("none\u{1b}]0;.json")] {
        let (out, err) = said(&program().arg("price").arg(&file).output().unwrap());
        assert!(out.is_empty() && err.contains("\\u{1b}"), "{err}");
        assert!(!err.chars().any(|c| c != '\n' && (c.is_control() || c == '\u{202e}')), "{err:?}");
    }
}

#[test]
fn price_takes_a_job_from_standard_input() {
    let asked = |text: &str| {
        let mut command = program();
        command.args(["price", "-"]).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().unwrap();
        child.stdin.take().unwrap().write_all(text.as_bytes()).unwrap();
        child.wait_with_output().unwrap()
    };
    let from_file = program().arg("price").arg(job_file("terrace")).output().unwrap();
    let piped = asked(&fixture("terrace").to_string());
    assert!(piped.status.success(), "{piped:?}");
    assert_eq!(said(&piped).0, said(&from_file).0);
    let (out, err) = said(&asked("{"));
    assert!(out.is_empty() && err.starts_with("tundish: standard input: the job has one fault\n"), "{err}");
    let (_, err) = said(&asked(""));
    assert_eq!(err, "tundish: standard input is empty\n");
}

/// A flag that does nothing is neither listed nor taken, and one that does is, with its variable.
#[test]
fn commands_list_only_flags_that_act() {
    for (command, acts) in [
        (&[][..], true),
        (&["serve"][..], true),
        (&["demo"][..], true),
        (&["price"][..], false),
        (&["openapi"][..], false),
    ] {
        let (help, _) = said(&program().args(command).arg("--help").output().unwrap());
        for flag in ["--listen", "--data-dir", "TUNDISH_LISTEN", "TUNDISH_DATA_DIR"] {
            assert_eq!(help.contains(flag), acts, "{command:?} {flag}: {help}");
        }
        assert_eq!(help.contains("--once"), command == ["demo"], "{help}");
    }
    for arguments in [["openapi", "--listen", "127.0.0.1:0"], ["--listen", "127.0.0.1:0", "openapi"]] {
        let refused = program().args(arguments).output().unwrap();
        assert_eq!(refused.status.code(), Some(2), "{refused:?}");
        assert!(said(&refused).1.contains("--listen"), "{refused:?}");
    }
    // what is set for the service does not disturb a command that does not serve
    let priced = program().env("TUNDISH_LISTEN", "nowhere").arg("price").arg(job_file("terrace")).output().unwrap();
    assert!(priced.status.success(), "{priced:?}");
}

#[tokio::test]
async fn a_host_is_listened_on_by_its_name() {
    let data = tempfile::tempdir().unwrap();
    let mut command = program();
    command.args(["--listen", "localhost:0", "--data-dir"]).arg(data.path());
    let process = Process::start(command);
    assert!(process.base.starts_with("http://127.0.0.1:"), "{}", process.base);
    assert_eq!(process.client.get(process.url("/health/live")).send().await.unwrap().status(), 200);
    for listen in ["localhost", "nowhere.invalid:80"] {
        let refused = program().args(["serve", "--listen", listen]).output().unwrap();
        assert_eq!(refused.status.code(), Some(1), "{refused:?}");
        assert!(said(&refused).1.contains("such as 127.0.0.1:8080"), "{refused:?}");
    }
}

/// Whoever asks for much as the service is told to end is answered, or told that it stops; and it ends within seconds.
#[cfg(unix)]
#[tokio::test]
async fn a_service_that_is_told_to_end_answers_whoever_waits() {
    let data = tempfile::tempdir().unwrap();
    let mut process = Process::serve(program(), data.path());
    let mut job = fixture("bungalow");
    let room = job["rooms"].as_object().unwrap().values().next().unwrap().clone();
    for copy in 0..60 {
        job["rooms"][format!("copy_{copy}")] = room.clone();
    }
    let asked = process.client.post(process.url("/v1/flow-temperatures")).header(CONTENT_TYPE, "application/json");
    let asked = tokio::spawn(asked.body(job.to_string()).send());
    tokio::time::sleep(std::time::Duration::from_millis(300)).await;
    let begun = tokio::task::spawn_blocking(move || {
        let begun = std::time::Instant::now();
        process.terminate();
        begun
    })
    .await
    .unwrap();
    let took = begun.elapsed();
    let answer = asked.await.unwrap().unwrap();
    assert!([200, 503].contains(&answer.status().as_u16()), "{answer:?}");
    assert!(took < std::time::Duration::from_secs(9), "{took:?}");
}

/// However much is turned away, the log has one line for each kind of it, without what would steer a terminal.
#[cfg(unix)]
#[tokio::test]
async fn what_is_turned_away_is_a_counted_line_of_the_log() {
    let data = tempfile::tempdir().unwrap();
    let mut command = program();
    let logged = tempfile::NamedTempFile::new().unwrap();
    command.env("TUNDISH_KEY", "k".repeat(32)).stderr(logged.reopen().unwrap());
    let mut process = Process::serve(command, data.path());
    for _ in 0..7 {
        let response = process.client.get(process.url("/v1/quotes/none")).send().await.unwrap();
        assert_eq!(response.status(), 401);
    }
    for _ in 0..3 {
        let request = process.client.post(process.url("/v1/heat-loss")).bearer_auth("k".repeat(32));
        assert_eq!(request.header(CONTENT_TYPE, "application/json").body("{}").send().await.unwrap().status(), 422);
    }
    // told while it serves, and not only as it ends
    let told = || std::fs::read_to_string(logged.path()).unwrap();
    for _ in 0..300 {
        if told().contains("status=422") {
            break;
        }
        tokio::time::sleep(std::time::Duration::from_millis(100)).await;
    }
    assert!(told().contains("status=422"), "{}", told());
    process.terminate();
    let log = told();
    let lines: Vec<&str> = log.lines().collect();
    let counted = |status: &str| lines.iter().filter(|line| line.contains(status)).copied().collect::<Vec<_>>();
    let [unauthorized] = counted("status=401")[..] else { panic!("{log}") };
    assert!(unauthorized.contains("count=7") && unauthorized.contains("did not bring the key"), "{log}");
    let [refused] = counted("status=422")[..] else { panic!("{log}") };
    assert!(refused.contains("count=3"), "{log}");
    assert!(!log.contains('\u{1b}') && !log.contains("ERROR"), "{log}");
}
