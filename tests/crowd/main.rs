//! A crowd at the door: many who ask little beside a few who ask much, sheets, large bodies, clients who leave, and the end.
//!
//! `cargo test --test crowd` is short and holds what everybody is answered. `cargo test --profile image --test crowd -- long`
//! takes longer, prints the times and holds those that are promised. On loopback, with a service of its own, and it ends itself.

#![expect(clippy::unwrap_used, reason = "whatever is not as it must be ends the run")]

mod client;

use std::net::SocketAddr;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use client::{Answer, Client, percentile, request};
use serde_json::{Value, json};
use tundish::http::{self, Running, Stopper};
use tundish::settings::Settings;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Clients who ask little, and who ask much.
const LIGHT: usize = 64;
const HEAVY: usize = 4;
/// Cells of a sheet.
const CELLS: usize = 300;
/// Who sends a body of the greatest size at once.
const LARGE: usize = 100;

fn main() {
    let is_long = std::env::args().any(|argument| argument == "long");
    let span = Duration::from_secs(if is_long { 10 } else { 2 });
    let service = Service::start();
    let light = request("POST", "/v1/price", "", &house(1, 1).to_string());
    let rooms = if cfg!(debug_assertions) { 24 } else { 200 };
    let heavy = request("POST", "/v1/proposal", "Accept-Encoding: gzip\r\n", &house(rooms, 8).to_string());

    let idle = crowd(service.address, span, &light, None);
    idle.tell("light alone");
    let loaded = crowd(service.address, span, &light, Some(&heavy));
    loaded.tell("light beside heavy");
    // nobody who asks little is turned away, and whoever asks much is answered or told when to ask again
    for answer in idle.light.iter().chain(&loaded.light) {
        assert_eq!(answer.status, 200);
    }
    let turned_away = |answer: &Answer| answer.status == 503 && answer.retry_after_s.is_some();
    assert!(loaded.heavy.iter().all(|answer| answer.status == 200 || turned_away(answer)));
    assert!(loaded.heavy.iter().any(|answer| answer.status == 200));
    let ratio = loaded.light_p99().as_secs_f64() / idle.light_p99().as_secs_f64();
    let live = loaded.live_p99();
    println!("light p99 is {ratio:.1} times what it is alone; live p99 {live:?}");
    assert!(!is_long || (ratio <= 4.0 && live < Duration::from_millis(50)), "{ratio} {live:?}");

    sheet(service.address);
    large_bodies(service.address);
    leavers(&service, &heavy);
    service.stop(&heavy);
}

/// So many rooms with so many radiators each.
fn house(rooms: usize, radiators: usize) -> Value {
    let radiators: Value = (0..radiators).map(|one| (format!("radiator_{one}"), json!({"kind": "radiator"}))).collect();
    let room = json!({"use": "study", "floor_area_m2": 12, "height_m": 2.4, "emitters": radiators,
        "surfaces": {"north": {"part": "wall", "construction": "wall", "area_m2": 9.6}}});
    let rooms: Value = (0..rooms).map(|one| (format!("room_{one}"), room.clone())).collect();
    json!({"schema": 1, "site": {"nation": "england", "climate": {"kind": "given", "outside_design_c": -3}},
        "dwelling": {}, "constructions": {"wall": {"kind": "known", "u_value_w_m2k": 0.3}}, "rooms": rooms,
        "heating": {"flow_temperature": {"kind": "fixed", "flow_temperature_c": 45}, "drop_k": 5},
        "commercial": {"quote_date": "2026-11-02"}})
}

/// A service of its own, with the usual settings where it is optimised.
struct Service {
    address: SocketAddr,
    stopper: Stopper,
    thread: std::thread::JoinHandle<()>,
    _data: tempfile::TempDir,
}

impl Service {
    fn start() -> Self {
        let data = tempfile::tempdir().unwrap();
        let mut settings = Settings::new(([127, 0, 0, 1], 0).into(), data.path().to_owned(), None);
        if cfg!(debug_assertions) {
            // a build that is not optimised takes ten times as long for everything
            settings.times.quick *= 10;
            settings.times.wait *= 10;
        }
        let (send, receive) = std::sync::mpsc::channel();
        let thread = std::thread::spawn(move || {
            actix_web::rt::System::new().block_on(async move {
                let Running { address, server, stopper } = http::start(&settings).unwrap();
                send.send((address, stopper)).unwrap();
                server.await.unwrap();
            });
        });
        let (address, stopper) = receive.recv().unwrap();
        Self { address, stopper, thread, _data: data }
    }

    /// Stops while somebody waits for a long answer: it is given, or said that the service stops.
    fn stop(self, heavy: &[u8]) {
        let mut client = Client::new(self.address).unwrap();
        let (begun, asked) = std::thread::scope(|scope| {
            let asked = scope.spawn(|| client.ask(heavy).unwrap());
            std::thread::sleep(Duration::from_millis(100));
            let begun = Instant::now();
            futures_util::FutureExt::now_or_never(self.stopper.stop());
            (begun, asked.join().unwrap())
        });
        self.thread.join().unwrap();
        println!("stopped within {:?}, a long question answered with {}", begun.elapsed(), asked.status);
        assert!([200, 503].contains(&asked.status));
    }
}

/// What a crowd was answered.
struct Crowd {
    light: Vec<Answer>,
    heavy: Vec<Answer>,
    live: Vec<Answer>,
}

impl Crowd {
    fn light_p99(&self) -> Duration {
        percentile(&mut self.light.iter().map(|answer| answer.took).collect::<Vec<_>>(), 99)
    }

    fn live_p99(&self) -> Duration {
        percentile(&mut self.live.iter().map(|answer| answer.took).collect::<Vec<_>>(), 99)
    }

    fn tell(&self, name: &str) {
        for (who, answers) in [("light", &self.light), ("heavy", &self.heavy), ("live", &self.live)] {
            let given: Vec<&Answer> = answers.iter().filter(|answer| answer.status == 200).collect();
            let mut took: Vec<Duration> = given.iter().map(|answer| answer.took).collect();
            let [p50, p99, most] = [50, 99, 100].map(|hundredths| percentile(&mut took, hundredths));
            let (away, bytes) = (answers.len() - given.len(), given.iter().map(|answer| answer.bytes).max());
            println!(
                "{name}: {who} {} answered, p50 {p50:?}, p99 {p99:?}, most {most:?}, up to {} bytes; {away} turned away",
                given.len(),
                bytes.unwrap_or(0)
            );
        }
    }
}

/// All who ask little, and some who ask much, over and over for a while; whoever is turned away waits a little.
fn crowd(address: SocketAddr, span: Duration, light: &[u8], heavy: Option<&[u8]>) -> Crowd {
    let is_over = AtomicBool::new(false);
    let live = request("GET", "/health/live", "", "");
    let again = |request: &[u8], pause: Duration| {
        let (mut client, mut answers) = (Client::new(address).unwrap(), Vec::new());
        while !is_over.load(Ordering::Relaxed) {
            let answer = client.ask(request).unwrap();
            answers.push(answer);
            std::thread::sleep(if answer.status == 503 { Duration::from_millis(200) } else { pause });
        }
        answers
    };
    std::thread::scope(|scope| {
        let lights: Vec<_> = (0..LIGHT).map(|_| scope.spawn(|| again(light, Duration::ZERO))).collect();
        let heavies: Vec<_> =
            heavy.iter().flat_map(|heavy| (0..HEAVY).map(|_| scope.spawn(|| again(heavy, Duration::ZERO)))).collect();
        let live = scope.spawn(|| again(&live, Duration::from_millis(5)));
        std::thread::sleep(span);
        is_over.store(true, Ordering::Relaxed);
        let all = |threads: Vec<std::thread::ScopedJoinHandle<'_, Vec<Answer>>>| {
            threads.into_iter().flat_map(|thread| thread.join().unwrap()).collect()
        };
        Crowd { light: all(lights), heavy: all(heavies), live: live.join().unwrap() }
    })
}

/// A sheet that opens: for every cell OPTIONS, HEAD and GET of a quote, all cells at once.
fn sheet(address: SocketAddr) {
    let mut client = Client::new(address).unwrap();
    assert_eq!(client.ask(&request("POST", "/v1/quotes", "", &house(1, 1).to_string())).unwrap().status, 201);
    let (quote, begun) = (client.location, Instant::now());
    std::thread::scope(|scope| {
        let cells: Vec<_> = (0..CELLS)
            .map(|_| {
                scope.spawn(|| {
                    let mut client = Client::new(address).unwrap();
                    for (method, status) in [("OPTIONS", 204), ("HEAD", 200), ("GET", 200)] {
                        let answer = client.ask(&request(method, &quote, "", "")).unwrap();
                        assert_eq!(answer.status, status);
                    }
                })
            })
            .collect();
        for cell in cells {
            cell.join().unwrap();
        }
    });
    println!("a sheet of {CELLS} cells in {:?}", begun.elapsed());
}

/// Many bodies of the greatest size at once: each is read, or turned away; the service lives on beside them.
fn large_bodies(address: SocketAddr) {
    let large = request("POST", "/v1/heat-loss", "", &format!("{{\"schema\":1}}{}", " ".repeat(2 * 1024 * 1024 - 100)));
    let live = request("GET", "/health/live", "", "");
    let is_over = AtomicBool::new(false);
    let mut took = std::thread::scope(|scope| {
        let live = scope.spawn(|| {
            let (mut client, mut took) = (Client::new(address).unwrap(), Vec::new());
            while !is_over.load(Ordering::Relaxed) {
                took.push(client.ask(&live).unwrap().took);
            }
            took
        });
        let bodies: Vec<_> =
            (0..LARGE).map(|_| scope.spawn(|| Client::new(address).unwrap().ask(&large).ok())).collect();
        for body in bodies {
            // one whose body was refused may be cut off before it has read why
            if let Some(answer) = body.join().unwrap() {
                assert!([422, 503].contains(&answer.status), "{answer:?}");
            }
        }
        is_over.store(true, Ordering::Relaxed);
        live.join().unwrap()
    });
    println!("beside {LARGE} bodies of 2 MiB live p99 {:?}", percentile(&mut took, 99));
}

/// Clients who ask much and leave: their work ends, and whoever comes then does not wait for it.
fn leavers(service: &Service, heavy: &[u8]) {
    use std::io::Write as _;
    for _ in 0..8 {
        let mut stream = std::net::TcpStream::connect(service.address).unwrap();
        stream.write_all(heavy).unwrap();
        std::thread::sleep(Duration::from_millis(20));
    }
    let mut client = Client::new(service.address).unwrap();
    let begun = Instant::now();
    loop {
        let answer = client.ask(heavy).unwrap();
        if answer.status == 200 {
            println!("after clients who left a long question is answered in {:?}", begun.elapsed());
            return;
        }
        assert!(answer.status == 503 && begun.elapsed() < Duration::from_mins(1), "{answer:?}");
        std::thread::sleep(Duration::from_millis(100));
    }
}
