//! A real server on a free port with a store of its own, and what tests ask it with.

use std::io::{Read as _, Write as _};
use std::net::{Ipv4Addr, SocketAddr, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::{LazyLock, Once, mpsc};
use std::thread::JoinHandle;
use std::time::Duration;

use reqwest::header::CONTENT_TYPE;
use reqwest::{Client, Response};
use serde_json::{Value, json};
use tempfile::TempDir;
use tundish::http::{self, Running, Stopper};
use tundish::settings::Settings;

/// A running service; it stops when it is dropped.
pub struct TestService {
    pub address: SocketAddr,
    pub client: Client,
    stopper: Stopper,
    thread: Option<JoinHandle<()>>,
    _data: Option<TempDir>,
}

/// The one open service of all tests that only ask: design endpoints keep nothing, so nobody sees who else asks.
pub fn shared_service() -> &'static TestService {
    static SHARED: LazyLock<TestService> = LazyLock::new(|| {
        let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("shared_services");
        // nothing ends with a process: what runs that are over have left goes when the next one begins
        let left = std::fs::read_dir(&folder).into_iter().flatten().flatten();
        left.filter(|one| !Path::new("/proc").join(one.file_name()).exists()).for_each(|one| {
            let _ = std::fs::remove_dir_all(one.path());
        });
        start(&settings_in(folder.join(std::process::id().to_string())), None)
    });
    &SHARED
}

/// A service of the test's own on loopback, open, with the usual settings: where state or edge is the subject.
pub fn spawn_service() -> TestService {
    spawn_service_with(|_| {})
}

/// A service of the test's own on loopback whose settings are changed before it starts.
pub fn spawn_service_with(change: impl FnOnce(&mut Settings)) -> TestService {
    let data = tempfile::tempdir().unwrap();
    let mut settings = settings_in(data.path().to_owned());
    change(&mut settings);
    start(&settings, Some(data))
}

fn settings_in(data: PathBuf) -> Settings {
    let mut settings = Settings::new((Ipv4Addr::LOCALHOST, 0).into(), data, None);
    // a build for tests is some twenty times slower
    settings.times.quick = Duration::from_secs(2);
    settings.times.wait = Duration::from_mins(1);
    settings
}

fn start(settings: &Settings, data: Option<TempDir>) -> TestService {
    let settings = settings.clone();
    let (send, receive) = mpsc::channel();
    let thread = std::thread::spawn(move || {
        actix_web::rt::System::new().block_on(async move {
            let Running { address, server, stopper } = http::start(&settings).unwrap();
            send.send((address, stopper)).unwrap();
            server.await.unwrap();
        });
    });
    let (address, stopper) = receive.recv().unwrap();
    TestService { address, client: client(), stopper, thread: Some(thread), _data: data }
}

/// A client without proxies or redirects: what the service says is what the test sees. No connection outlives its answer,
/// so that a test may block its runtime, or another test's runtime end, between two questions.
pub fn client() -> Client {
    static PROVIDER: Once = Once::new();
    PROVIDER.call_once(|| rustls::crypto::ring::default_provider().install_default().unwrap());
    Client::builder()
        .no_proxy()
        .pool_max_idle_per_host(0)
        .redirect(reqwest::redirect::Policy::none())
        .timeout(Duration::from_mins(1))
        .build()
        .unwrap()
}

impl Drop for TestService {
    fn drop(&mut self) {
        self.stopper.end();
        if let Some(thread) = self.thread.take() {
            // a thread that panicked has told so already
            let _ = thread.join();
        }
    }
}

impl TestService {
    pub fn url(&self, target: &str) -> String {
        format!("http://{}{target}", self.address)
    }

    pub async fn get(&self, target: &str) -> Response {
        self.client.get(self.url(target)).send().await.unwrap()
    }

    /// Sends a text as JSON.
    pub async fn post_text(&self, target: &str, body: impl Into<reqwest::Body>) -> Response {
        self.client.post(self.url(target)).header(CONTENT_TYPE, "application/json").body(body).send().await.unwrap()
    }

    pub async fn post(&self, target: &str, document: &Value) -> Response {
        self.post_text(target, document.to_string()).await
    }

    /// Asks for an answer that must be there.
    pub async fn answer(&self, target: &str, document: &Value) -> Value {
        let response = self.post(target, document).await;
        let status = response.status();
        let text = response.text().await.unwrap();
        assert_eq!(status, 200, "{text}");
        serde_json::from_str(&text).unwrap()
    }

    /// Sends bytes as they are and reads what comes back until the service closes or falls silent.
    pub fn raw(&self, bytes: &[u8]) -> String {
        let mut stream = TcpStream::connect(self.address).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(5))).unwrap();
        // a service that has refused a body may have closed before all of it is sent
        let _ = stream.write_all(bytes);
        let mut answer = Vec::new();
        let mut buffer = [0; 4096];
        while let Ok(n @ 1..) = stream.read(&mut buffer) {
            answer.extend_from_slice(&buffer[..n]);
        }
        String::from_utf8_lossy(&answer).into_owned()
    }
}

/// Reads a problem and holds it against what every problem must be: its media type, and the same status within
/// as without.
pub async fn problem(response: Response, status: u16) -> Value {
    assert_eq!(response.status(), status);
    assert_eq!(response.headers()[CONTENT_TYPE], "application/problem+json");
    let problem: Value = response.json().await.unwrap();
    assert_eq!(problem["status"], status, "{problem}");
    assert_eq!(problem["type"], "about:blank");
    let code = problem["code"].as_str().unwrap();
    assert!(!code.is_empty() && code.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_'));
    assert!(!problem["detail"].as_str().unwrap().is_empty());
    problem
}

/// Every fault of a problem as `(pointer, code)`.
pub fn faults(problem: &Value) -> Vec<(&str, &str)> {
    let errors = problem["errors"].as_array().unwrap().iter();
    errors.map(|item| (item["pointer"].as_str().unwrap(), item["code"].as_str().unwrap())).collect()
}

/// A job from `fixtures/jobs`.
pub fn fixture(name: &str) -> Value {
    read(&format!("jobs/{name}.json"))
}

/// A job from `fixtures/published`.
pub fn published(name: &str) -> Value {
    read(&format!("published/{name}.json"))
}

fn read(name: &str) -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures").join(name);
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    serde_json::from_str(&text).unwrap()
}

/// The least job that is answered: one room with one wall to outside.
pub fn study() -> Value {
    json!({
        "schema": 1,
        "site": {"nation": "england", "climate": {"kind": "given", "outside_design_c": -3}},
        "dwelling": {},
        "constructions": {"wall": {"kind": "known", "u_value_w_m2k": 0.3}},
        "rooms": {
            "study": {
                "use": "study",
                "floor_area_m2": 12,
                "height_m": 2.4,
                "surfaces": {"north": {"part": "wall", "construction": "wall", "area_m2": 9.6}}
            }
        }
    })
}

/// A house of rooms at 21 °C that lose so much (W) over their floors (m²) through walls of 1 W/(m²K) at -3 °C outside, each
/// with emitters of its own; the lowest flow temperature is asked for.
pub fn rooms_of(rooms: &[(f64, f64, Value)]) -> Value {
    let rooms = rooms.iter().enumerate().map(|(index, (loss_w, floor_m2, emitters))| {
        let room = json!({
            "use": "living", "floor_area_m2": floor_m2, "height_m": 2.4, "inside_design_c": 21, "air_changes_per_h": 0,
            "surfaces": {"wall": {"part": "wall", "construction": "wall", "area_m2": loss_w / 24.0},
                "floor": {"part": "floor", "construction": "floor", "area_m2": floor_m2,
                    "faces": {"kind": "temperature", "temperature_c": 21}}},
            "emitters": emitters
        });
        (format!("r{index}"), room)
    });
    let rooms: serde_json::Map<String, Value> = rooms.collect();
    json!({
        "schema": 1,
        "site": {"nation": "england",
            "climate": {"kind": "given", "outside_design_c": -3, "annual_mean_outside_c": 10}},
        "dwelling": {"thermal_bridging": {"kind": "allowance", "allowance_w_m2k": 0}, "air_heat_wh_m3k": 0.34},
        "constructions": {"wall": {"kind": "known", "u_value_w_m2k": 1}, "floor": {"kind": "known", "u_value_w_m2k": 0.2}},
        "rooms": rooms,
        "heating": {"flow_temperature": {"kind": "lowest", "least_c": 25, "most_c": 55}, "drop_k": 5},
        "pipework": {"manifolds": {"m": {}}}
    })
}

/// The row of a list that names something.
pub fn row<'v>(rows: &'v Value, key: &str, id: &str) -> &'v Value {
    rows.as_array().unwrap().iter().find(|row| row[key] == id).unwrap_or_else(|| panic!("no row {id}"))
}

/// A figure is what it should be, but for a relative difference.
pub fn close(found: &Value, expected: f64, relative: f64) {
    let found = found.as_f64().unwrap();
    assert!((found - expected).abs() <= relative * expected.abs(), "{found} where {expected} was expected");
}

/// Warnings of a kind.
pub fn warned<'a>(answer: &'a Value, code: &str) -> Vec<&'a Value> {
    answer["notes"]["warnings"].as_array().unwrap().iter().filter(|warning| warning["code"] == code).collect()
}

/// How many assumptions of a kind there are.
pub fn assumed(answer: &Value, code: &str) -> usize {
    answer["notes"]["assumptions"].as_array().unwrap().iter().filter(|note| note["code"] == code).count()
}

/// A job that asks for its lowest flow temperature between bounds (°C).
pub fn lowest(mut job: Value, least_c: f64, most_c: f64) -> Value {
    job["heating"]["flow_temperature"] = json!({"kind": "lowest", "least_c": least_c, "most_c": most_c});
    job
}

/// A figure is what it should be, to the sixth digit.
pub fn same(found: &Value, expected: f64) {
    let found = found.as_f64().unwrap();
    assert!((found - expected).abs() <= 1e-6 * expected.abs().max(1.0), "{found} where {expected} was expected");
}

/// A plant with a unit of so many kilowatts that tells nothing of flow and water, but for what is added.
pub fn unit_of(kw: f64, told: &Value) -> Value {
    let point = |outside_c: f64, flow_c: f64| json!({"outside_c": outside_c, "flow_c": flow_c, "capacity_w": 1000.0 * kw, "cop": 2.5});
    let mut unit = json!({"kind": "given", "description": "unit", "water_l": 2.4, "defrost_included": true,
        "points": [point(-15.0, 35.0), point(-15.0, 60.0), point(7.0, 35.0), point(7.0, 60.0)],
        "pump": [{"flow_l_h": 0, "head_kpa": 75}, {"flow_l_h": 4000, "head_kpa": 45}]});
    unit.as_object_mut().unwrap().extend(told.as_object().unwrap().clone());
    json!({"heat_source": unit, "cylinder": {"kind": "choose"}})
}
