//! The program as a process of its own, as a user starts it.

use std::io::{BufRead as _, BufReader, Read as _};
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Stdio};

use reqwest::Client;

use super::helpers::client;

/// The program, without settings of whoever runs the tests.
pub fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tundish"));
    clean(&mut command);
    command
}

/// The program under a shell's limit on the size of files (blocks of 512 bytes): writing beyond it fails, as on a
/// full disk.
#[cfg(unix)]
pub fn program_with_small_files(blocks: u32) -> Command {
    let mut command = Command::new("sh");
    command.args([
        "-c",
        &format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\""),
        env!("CARGO_BIN_EXE_tundish"),
    ]);
    clean(&mut command);
    // what the failing store says in the log is no news
    command.stderr(Stdio::null());
    command
}

fn clean(command: &mut Command) {
    for variable in ["TUNDISH_LISTEN", "TUNDISH_DATA_DIR", "TUNDISH_KEY", "TUNDISH_LOG", "TUNDISH_HOSTS"] {
        command.env_remove(variable);
    }
    command.stdin(Stdio::null());
}

/// The program serving on a free port of loopback; killed when it is dropped.
pub struct Process {
    child: Child,
    said: BufReader<ChildStdout>,
    pub base: String,
    pub client: Client,
}

impl Process {
    /// Serves on a store in a folder, as soon as the address is known.
    pub fn serve(mut command: Command, data: &Path) -> Self {
        command.args(["serve", "--listen", "127.0.0.1:0", "--data-dir"]).arg(data);
        Self::start(command)
    }

    /// Starts a command that serves.
    pub fn start(mut command: Command) -> Self {
        let mut child = command.stdout(Stdio::piped()).spawn().unwrap();
        let mut said = BufReader::new(child.stdout.take().unwrap());
        let line = read_until(&mut said, "http://");
        let address =
            line.split("http://").nth(1).unwrap().split(|c: char| c != '.' && c != ':' && !c.is_ascii_digit());
        let base = format!("http://{}", address.into_iter().next().unwrap());
        Self { child, said, base, client: client() }
    }

    /// Reads what it says on until a line that holds a text.
    pub fn read_until(&mut self, text: &str) -> String {
        read_until(&mut self.said, text)
    }

    pub fn url(&self, target: &str) -> String {
        format!("{}{target}", self.base)
    }

    /// Tells it to end, and waits until it has; what it wrote to its log, where that is a pipe.
    #[cfg(unix)]
    pub fn terminate(&mut self) -> String {
        let told = Command::new("kill").args(["-TERM", &self.child.id().to_string()]).status().unwrap();
        assert!(told.success());
        let mut log = String::new();
        self.child.stderr.take().map(|mut said| said.read_to_string(&mut log).unwrap());
        assert!(self.child.wait().unwrap().success());
        log
    }

    /// Kills it, without a chance to put anything in order.
    pub fn kill(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}

/// Lines up to and with the first that holds a text.
fn read_until(said: &mut BufReader<ChildStdout>, text: &str) -> String {
    let mut read = String::new();
    loop {
        let start = read.len();
        assert!(said.read_line(&mut read).unwrap() > 0, "it ended before it said {text}: {read}");
        if read[start..].contains(text) {
            return read;
        }
    }
}

impl Drop for Process {
    fn drop(&mut self) {
        // it may be gone already
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
