//! A store with a damaged file, as its service and its commands tell of it.

use std::fs;
use std::path::Path;
use std::process::Output;

use reqwest::header::CONTENT_TYPE;
use serde_json::Value;

use super::helpers::{fixture, problem};
use super::process::{Process, program};

const QUOTES: &str = "/v1/quotes";

/// Keeps a fixture: where it can be read, and the body that said so.
async fn keep(process: &Process, job: &str) -> (String, String) {
    let request = process.client.post(process.url(QUOTES)).header(CONTENT_TYPE, "application/json");
    let response = request.body(fixture(job).to_string()).send().await.unwrap();
    assert_eq!(response.status(), 201);
    (response.headers()["location"].to_str().unwrap().to_owned(), response.text().await.unwrap())
}

async fn ready(process: &Process) -> Value {
    process.client.get(process.url("/health/ready")).send().await.unwrap().json().await.unwrap()
}

/// Asks until what is restored is told: the values are looked at beside the work.
async fn restored(process: &Process) -> Value {
    for _ in 0..500 {
        let ready = ready(process).await;
        if ready.get("restored").is_some() {
            return ready;
        }
        tokio::time::sleep(std::time::Duration::from_millis(20)).await;
    }
    panic!("nothing is told to be restored")
}

/// A service with three quotes that was killed: where they can be read, and what is answered there.
async fn killed(data: &Path) -> Vec<(String, String)> {
    let mut process = Process::serve(program(), data);
    let mut kept = Vec::new();
    for job in ["terrace", "chapel", "bungalow"] {
        kept.push(keep(&process, job).await);
    }
    process.kill();
    kept
}

fn run(arguments: &[&str], data: &Path) -> Output {
    program().args(arguments).arg("--data-dir").arg(data).output().unwrap()
}

fn said(output: &Output) -> String {
    let said = [&output.stdout[..], &output.stderr].concat();
    String::from_utf8(said).unwrap()
}

/// The service is killed and a file of its store is cut: nothing is lost, and what was restored is told.
#[tokio::test]
async fn a_cut_journal_and_a_damaged_copy_are_restored_and_told() {
    let data = tempfile::tempdir().unwrap();
    let kept = killed(data.path()).await;
    let journal = data.path().join("journal");
    let whole = fs::read(&journal).unwrap();
    let copy = data.path().join("copy").join("db");
    for (file, part, tenths) in [(&journal, "journal", 6), (&copy, "copy", 1)] {
        let mut bytes = fs::read(file).unwrap();
        bytes.truncate(bytes.len() * tenths / 10);
        fs::write(file, &bytes).unwrap();
        let checked = run(&["check"], data.path());
        assert_eq!(checked.status.code(), Some(3), "{}", said(&checked));
        assert!(said(&checked).contains("3 records:"), "{}", said(&checked));

        let logged = tempfile::NamedTempFile::new().unwrap();
        let mut command = program();
        command.stderr(logged.reopen().unwrap());
        let mut process = Process::serve(command, data.path());
        for (location, body) in &kept {
            let read = process.client.get(process.url(location)).send().await.unwrap();
            assert_eq!(&read.text().await.unwrap(), body, "{part}");
        }
        let ready = restored(&process).await;
        assert_eq!(ready["health"], "ready");
        assert!(ready["restored"][part].as_u64().unwrap() > 0, "{ready}");
        process.terminate();
        let log = fs::read_to_string(logged.path()).unwrap();
        assert!(log.contains("records were restored"), "{log}");
        assert!(!log.contains("panicked") && !log.contains("backtrace"), "{log}");
        assert_eq!(fs::read(&journal).unwrap(), whole, "the same journal to the byte");
        let checked = run(&["check"], data.path());
        assert_eq!(checked.status.code(), Some(0), "{}", said(&checked));
    }
}

/// What is lost in every part is told by name, wherever it is asked for, and new quotes are taken.
#[tokio::test]
async fn what_is_lost_is_told_and_is_not_simply_absent() {
    let data = tempfile::tempdir().unwrap();
    let kept = killed(data.path()).await;
    let journal = data.path().join("journal");
    let whole = fs::read_to_string(&journal).unwrap();
    let mut lines: Vec<&str> = whole.lines().collect();
    lines.remove(1);
    fs::write(&journal, lines.join("\n") + "\n").unwrap();
    fs::remove_dir_all(data.path().join("copy")).unwrap();

    let exported = run(&["export"], data.path());
    assert_eq!(exported.status.code(), Some(3), "{}", said(&exported));
    assert_eq!(String::from_utf8(exported.stdout).unwrap(), fs::read_to_string(&journal).unwrap());
    let id = kept[1].0.strip_prefix("/v1/quotes/").unwrap();
    let told = String::from_utf8(exported.stderr).unwrap();
    assert!(told.contains(&format!("lost: revision 1 of {id}")), "{told}");

    for _ in 0..2 {
        let process = Process::serve(program(), data.path());
        let ready = ready(&process).await;
        assert_eq!(ready["health"], "degraded");
        assert_eq!(ready["missing"], serde_json::json!([{"record": 2, "id": id, "revision": 1}]));
        let lost = process.client.get(process.url(&kept[1].0)).send().await.unwrap();
        assert_eq!(problem(lost, 500).await["code"], "damaged");
        for (location, body) in [&kept[0], &kept[2]] {
            let read = process.client.get(process.url(location)).send().await.unwrap();
            assert_eq!(&read.text().await.unwrap(), body);
        }
        keep(&process, "chapel").await;
    }
    // with the line back in its place everything is there again
    let now = fs::read_to_string(&journal).unwrap();
    let (first, rest) = now.split_once('\n').unwrap();
    fs::write(&journal, format!("{first}\n{}\n{rest}", whole.lines().nth(1).unwrap())).unwrap();
    let process = Process::serve(program(), data.path());
    assert_eq!(ready(&process).await["health"], "ready");
    let read = process.client.get(process.url(&kept[1].0)).send().await.unwrap();
    assert_eq!(read.text().await.unwrap(), kept[1].1);
}

/// A folder that cannot be used is told in one line.
#[test]
fn a_store_that_cannot_be_opened_is_told_in_one_line() {
    let data = tempfile::tempdir().unwrap();
    fs::write(data.path().join("journal"), "").unwrap();
    fs::create_dir(data.path().join("register")).unwrap();
    for arguments in [&["serve", "--listen", "127.0.0.1:0"][..], &["check"], &["export"]] {
        let refused = run(arguments, data.path());
        assert_eq!(refused.status.code(), Some(1), "{arguments:?}");
        let told = String::from_utf8(refused.stderr).unwrap();
        assert!(told.lines().count() == 1 && told.starts_with("tundish: the folder "), "{told}");
    }
    let nothing = tempfile::tempdir().unwrap();
    assert!(said(&run(&["check"], nothing.path())).contains("it holds no store"));
    assert_eq!(fs::read_dir(nothing.path()).unwrap().count(), 0);
}

#[cfg(unix)]
fn look(path: &Path, seen: &mut u32) {
    use std::os::unix::fs::PermissionsExt as _;

    let mode = fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode, if path.is_dir() { 0o700 } else { 0o600 }, "{}", path.display());
    *seen += 1;
    for entry in path.is_dir().then(|| fs::read_dir(path).unwrap()).into_iter().flatten() {
        look(&entry.unwrap().path(), seen);
    }
}

/// What others on the machine may not read.
#[cfg(unix)]
#[tokio::test]
async fn the_folder_is_for_nobody_else() {
    let data = tempfile::tempdir().unwrap();
    let folder = data.path().join("store");
    let process = Process::serve(program(), &folder);
    keep(&process, "chapel").await;
    let mut seen = 0;
    look(&folder, &mut seen);
    assert!(seen > 6, "{seen}");
}
