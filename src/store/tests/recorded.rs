//! The power fails at any moment of a recorded log of system calls: what was written and not synced is there block by block, or
//! not, and names that no synced folder holds are there up to a moment, or not.
//!
//! Needs `strace`: `TUNDISH_POWER_CUTS=50 cargo test --lib recorded` makes as many cuts as are asked for; left out otherwise.

use std::collections::{BTreeMap, HashMap};
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng as _, SeedableRng as _};

use super::*;

/// How many cuts are asked for.
const CUTS: &str = "TUNDISH_POWER_CUTS";
/// What a disk writes whole (bytes).
const BLOCK: usize = 512;
/// Where the recorded process keeps its store.
const FOLDER: &str = "TUNDISH_RECORDED";
/// What it says of each document.
const KEPT: &str = "kept";
/// How many write at once, and how much.
const WRITERS: u32 = 8;
const QUOTES: u32 = 96;
/// Calls that change what is on a disk.
const CALLS: &str = "openat,write,pwrite64,lseek,fsync,fdatasync,ftruncate,rename,unlink,mkdir,rmdir";

/// What the process that is recorded does: sixteen write at once, and say what was acknowledged.
#[test]
#[ignore = "the process whose calls are recorded"]
fn writes_for_a_log() {
    let Some(folder) = std::env::var_os(FOLDER) else { return };
    let store = Store::open(Path::new(&folder)).unwrap();
    std::thread::scope(|scope| {
        for writer in 0..WRITERS {
            let store = &store;
            scope.spawn(move || {
                for number in (writer..QUOTES).step_by(WRITERS as usize) {
                    let id = Uuid::now_v7();
                    wait(store.put(Put::new(id, 0, card("a house"), &value(number)))).unwrap();
                    // one call for each, past what the harness captures
                    std::io::stdout().lock().write_all(format!("{KEPT} {id} {number}\n").as_bytes()).unwrap();
                }
            });
        }
    });
}

/// A change of a file that is not synced.
#[derive(Clone)]
enum Change {
    Write(usize, Vec<u8>),
    Cut(usize),
}

/// A change of names that no synced folder holds.
#[derive(Clone)]
enum Naming {
    Folder(PathBuf),
    File(PathBuf, usize),
    Rename(PathBuf, PathBuf),
    Gone(PathBuf),
}

impl Naming {
    /// The folder that holds it.
    fn folder(&self) -> Option<&Path> {
        let (Self::Folder(path) | Self::File(path, _) | Self::Rename(_, path) | Self::Gone(path)) = self;
        path.parent()
    }

    fn befall(&self, names: &mut BTreeMap<PathBuf, Option<usize>>) {
        match self {
            Self::Folder(path) => _ = names.insert(path.clone(), None),
            Self::File(path, file) => _ = names.insert(path.clone(), Some(*file)),
            Self::Rename(from, to) => {
                if let Some(file) = names.remove(from) {
                    names.insert(to.clone(), file);
                }
            }
            Self::Gone(path) => _ = names.remove(path),
        }
    }
}

/// Makes a change, block by block, each where the disk got to it.
fn change(bytes: &mut Vec<u8>, change: &Change, mut is_there: impl FnMut() -> bool) {
    match change {
        Change::Cut(length) => {
            if is_there() {
                bytes.resize(*length, 0);
            }
        }
        Change::Write(offset, data) => {
            let mut from = *offset;
            while from < offset + data.len() {
                let end = ((from / BLOCK + 1) * BLOCK).min(offset + data.len());
                if is_there() {
                    bytes.resize(bytes.len().max(end), 0);
                    bytes[from..end].copy_from_slice(&data[from - offset..end - offset]);
                }
                from = end;
            }
        }
    }
}

/// What is on a disk, and what is on its way there.
#[derive(Default)]
struct Disk {
    /// Names as the process sees them: a folder has no file.
    seen: BTreeMap<PathBuf, Option<usize>>,
    names: BTreeMap<PathBuf, Option<usize>>,
    namings: Vec<Naming>,
    files: Vec<(Vec<u8>, Vec<Change>)>,
    /// Where each open file is written next, by its number.
    places: HashMap<String, usize>,
    kept: Vec<(Uuid, u32)>,
}

impl Disk {
    fn name(&mut self, naming: Naming) {
        naming.befall(&mut self.seen);
        self.namings.push(naming);
    }

    fn file(&self, path: &Path) -> Option<usize> {
        self.seen.get(path).copied().flatten()
    }

    /// How many changes a sync that begins now waits for.
    fn changes(&self, path: &Path) -> usize {
        self.file(path).map_or(self.namings.len(), |file| self.files[file].1.len())
    }

    fn sync(&mut self, path: &Path, changes: usize) {
        if let Some(file) = self.file(path) {
            let (bytes, waiting) = &mut self.files[file];
            for one in waiting.drain(..changes) {
                change(bytes, &one, || true);
            }
        } else {
            let (held, others): (Vec<_>, _) = self.namings.drain(..).partition(|naming| naming.folder() == Some(path));
            self.namings = others;
            for naming in held {
                naming.befall(&mut self.names);
            }
        }
    }

    /// What a call that has ended did.
    fn call(&mut self, call: &Call) {
        let Call { name, at: (number, path), texts, rest, result } = call;
        let numbers: Vec<usize> = rest.split(", ").filter_map(|text| text.trim_end_matches(')').parse().ok()).collect();
        let written = texts.first().cloned().unwrap_or_default();
        match &**name {
            "openat" => {
                let to = path_of(&written);
                self.places.insert(result.split('<').next().unwrap_or_default().to_owned(), 0);
                if rest.contains("O_CREAT") && self.file(&to).is_none() {
                    self.files.push(Default::default());
                    self.name(Naming::File(to, self.files.len() - 1));
                }
            }
            "write" if number == "1" => {
                let said = String::from_utf8_lossy(&written).into_owned();
                let mut words = said.split_whitespace();
                if words.next() == Some(KEPT) {
                    self.kept.push((words.next().unwrap().parse().unwrap(), words.next().unwrap().parse().unwrap()));
                }
            }
            "write" | "pwrite64" => {
                let place = self.places.entry(number.clone()).or_default();
                let offset = if name == "write" { *place } else { *numbers.last().unwrap() };
                *place += if name == "write" { written.len() } else { 0 };
                assert_eq!(result, &written.len().to_string(), "written whole, and recorded whole");
                if let Some(file) = self.file(path) {
                    self.files[file].1.push(Change::Write(offset, written));
                }
            }
            "lseek" => _ = self.places.insert(number.clone(), result.parse().unwrap()),
            "ftruncate" => {
                if let Some(file) = self.file(path) {
                    self.files[file].1.push(Change::Cut(*numbers.last().unwrap()));
                }
            }
            "rename" => self.name(Naming::Rename(path_of(&written), path_of(&texts[1]))),
            "mkdir" => self.name(Naming::Folder(path_of(&written))),
            "unlink" | "rmdir" => self.name(Naming::Gone(path_of(&written))),
            _ => panic!("{name} is not understood"),
        }
    }

    /// The folder as it may be found when the power is back: what is on its way is there with a chance in four quarters.
    fn found(&self, recorded: &Path, quarters: u32, random: &mut ChaCha8Rng) -> TempDir {
        let mut names = self.names.clone();
        let mut is_there = || random.next_u32() % 4 < quarters;
        for naming in &self.namings {
            if is_there() {
                naming.befall(&mut names);
            }
        }
        let found = tempfile::tempdir().unwrap();
        for (path, file) in &names {
            let Ok(within) = path.strip_prefix(recorded) else { continue };
            let Some(file) = file else {
                fs::create_dir_all(found.path().join(within)).unwrap();
                continue;
            };
            let (mut bytes, waiting) = self.files[*file].clone();
            for one in waiting {
                change(&mut bytes, &one, &mut is_there);
            }
            // a file whose folder is not there is not there either
            _ = fs::write(found.path().join(within), bytes);
        }
        found
    }
}

/// A call of the system, as it was recorded.
struct Call {
    name: String,
    /// The open file that it is about: its number and its path.
    at: (String, PathBuf),
    texts: Vec<Vec<u8>>,
    /// What is neither.
    rest: String,
    result: String,
}

/// Bytes of `\x61\x62`.
fn bytes_of(text: &str) -> Vec<u8> {
    text.split("\\x").skip(1).map(|digits| u8::from_str_radix(digits, 16).unwrap()).collect()
}

fn path_of(bytes: &[u8]) -> PathBuf {
    PathBuf::from(String::from_utf8_lossy(bytes).into_owned())
}

impl Call {
    fn read(text: &str) -> Option<Self> {
        let (name, rest) = text.split_once('(')?;
        let (rest, result) = rest.rsplit_once(" = ").unwrap_or((rest, "?"));
        let quoted: Vec<&str> = rest.split('"').collect();
        let texts = quoted.iter().skip(1).step_by(2).map(|text| bytes_of(text)).collect();
        let rest: String = quoted.iter().step_by(2).copied().collect();
        let (number, path) = rest.split_once('<').unwrap_or_default();
        let path = path_of(&bytes_of(path.split('>').next()?));
        Some(Self { name: name.to_owned(), at: (number.to_owned(), path), texts, result: result.to_owned(), rest })
    }

    fn is_sync(&self) -> bool {
        matches!(&*self.name, "fsync" | "fdatasync")
    }
}

/// The disk after so many lines of a log.
fn played(lines: &[&str]) -> Disk {
    let mut disk = Disk::default();
    // calls that have begun, by thread, and what a sync waits for
    let mut begun: HashMap<&str, (String, usize)> = HashMap::new();
    for line in lines {
        let Some((thread, text)) = line.split_once(' ') else { continue };
        let text = text.trim_start();
        let (text, waits_for) = if let Some(text) = text.strip_suffix(" <unfinished ...>") {
            let waits_for = Call::read(text).filter(Call::is_sync).map_or(0, |call| disk.changes(&call.at.1));
            begun.insert(thread, (text.to_owned(), waits_for));
            continue;
        } else if let Some((_, end)) = text.split_once(" resumed>") {
            let (text, waits_for) = begun.remove(thread).unwrap();
            (text + end, Some(waits_for))
        } else {
            (text.to_owned(), None)
        };
        let Some(call) = Call::read(&text).filter(|call| !call.result.starts_with('-')) else { continue };
        if call.is_sync() {
            let waits_for = waits_for.unwrap_or_else(|| disk.changes(&call.at.1));
            disk.sync(&call.at.1, waits_for);
        } else {
            disk.call(&call);
        }
    }
    disk
}

/// Records what a process does that keeps documents in a folder.
fn recorded(folder: &Path, log: &Path) {
    let mut command = Command::new("strace");
    command.args(["-f", "-qq", "-y", "-xx", "-s", "10000000", "-e", &format!("trace={CALLS}"), "-o"]).arg(log);
    command.arg(std::env::current_exe().unwrap()).args(["--exact", "store::tests::recorded::writes_for_a_log"]);
    let output = command.args(["--ignored", "--nocapture"]).env(FOLDER, folder).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
}

/// Whatever moment the power fails at: what was acknowledged before is there, and nothing else is told as lost.
#[test]
fn the_power_fails_at_any_moment_of_a_log() {
    let Some(cuts) = std::env::var(CUTS).ok().and_then(|cuts| cuts.parse().ok()) else {
        let why = format!("the_power_fails_at_any_moment_of_a_log: left out, it needs strace: {CUTS}=50 runs it\n");
        // past what the harness captures, so that it is seen
        std::io::stderr().write_all(why.as_bytes()).unwrap();
        return;
    };
    let place = tempfile::tempdir().unwrap();
    let (folder, log) = (place.path().join("store"), place.path().join("log"));
    recorded(&folder, &log);
    let text = fs::read_to_string(&log).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(played(&lines).kept.len(), QUOTES as usize, "all that was acknowledged is in the log");
    let mut random = ChaCha8Rng::seed_from_u64(27);
    for cut in 0..cuts {
        let moment = usize::try_from(random.next_u64() % lines.len() as u64).unwrap();
        let disk = played(&lines[..moment]);
        let found = disk.found(&folder, cut % 5, &mut random);
        let all: All = disk.kept.iter().map(|(id, number)| (*id, 1, value(*number))).collect();
        let store = Store::open(found.path()).unwrap();
        let at = format!("cut {cut} after {moment} calls");
        assert_eq!(missing(&store, &all), [], "{at}");
        store.0.verified();
        assert_eq!((missing(&store, &all), store.told().lost), (Vec::new(), Vec::new()), "{at}");
        drop(store);
        assert!(examine(found.path()).unwrap().is_whole(), "{at}");
    }
}
