//! Settings of the service: flags, environment, defaults, one typed page.

use std::net::{SocketAddr, ToSocketAddrs as _};
use std::path::PathBuf;
use std::time::Duration;

use clap::{Args, Parser, Subcommand};
use validator::{Validate, ValidationError};

/// Shortest key that is taken, in characters.
pub const SHORTEST_KEY: u64 = 32;

/// The whole job of a small heating firm: a surveyed house in, a priced quote out, over HTTP.
#[derive(Debug, Parser)]
#[command(version, args_conflicts_with_subcommands = true)]
pub struct CommandLine {
    /// What to do; serves when left out.
    #[command(subcommand)]
    pub command: Option<Command>,
    /// Where to serve, when no command is named.
    #[command(flatten)]
    pub flags: Flags,
}

/// What the program can do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Serves until it is stopped.
    Serve(Flags),
    /// Serves, sends an invented house through every stage over HTTP, prints its quote, and goes on serving.
    Demo {
        /// Stops once the quote is printed.
        #[arg(long)]
        once: bool,
        /// Where to serve.
        #[command(flatten)]
        flags: Flags,
    },
    /// Prints the proposal of a job as a readable summary; ends with 3 where its price is not complete, with 1 where the
    /// job has faults.
    Price {
        /// File that holds the job; `-` reads it from standard input.
        job: PathBuf,
    },
    /// Says what a folder of data holds, part by part; ends with 3 where a part lacks something. No service may use it meanwhile.
    Check {
        /// Where the data lie.
        #[command(flatten)]
        data: Data,
    },
    /// Writes every record of a folder of data that is whole in one part or another, a line of JSON each; ends with 3 where
    /// something is lost. Put as `journal` into an empty folder they are its data again.
    Export {
        /// File to write, which must not be there yet; standard output when left out.
        #[arg(long)]
        out: Option<PathBuf>,
        /// Where the data lie.
        #[command(flatten)]
        data: Data,
    },
    /// Prints the OpenAPI document.
    Openapi,
}

/// Where data lie.
#[derive(Debug, Args)]
pub struct Data {
    /// Folder that the data lie in; `tundish` in the user's own data folder when left out.
    #[arg(long, env = "TUNDISH_DATA_DIR")]
    pub data_dir: Option<PathBuf>,
}

impl Data {
    /// The folder.
    #[must_use]
    pub fn folder(self) -> PathBuf {
        self.data_dir.unwrap_or_else(|| own_data_dir("tundish"))
    }
}

/// Where to serve.
#[derive(Debug, Args)]
pub struct Flags {
    /// Address or name of a host, and port, to listen on.
    #[arg(long, env = "TUNDISH_LISTEN", default_value = "127.0.0.1:8080")]
    pub listen: String,
    /// Folder that the data lie in; `tundish` in the user's own data folder when left out, `tundish-demo` for a demo.
    #[arg(long, env = "TUNDISH_DATA_DIR")]
    pub data_dir: Option<PathBuf>,
    /// Name of a host that an open service may be asked by besides localhost; several apart by commas.
    #[arg(long = "host", env = "TUNDISH_HOSTS", value_name = "NAME", value_delimiter = ',')]
    pub hosts: Vec<String>,
}

impl Flags {
    /// The settings of a service whose data are the firm's own.
    ///
    /// # Errors
    /// Why there is nowhere to listen, in words for whoever starts the service.
    pub fn settings(self) -> Result<Settings, String> {
        self.settings_in("tundish")
    }

    /// The settings of a demo, whose invented quotes stay apart from the firm's own.
    ///
    /// # Errors
    /// As [`Flags::settings`].
    pub fn demo_settings(self) -> Result<Settings, String> {
        self.settings_in("tundish-demo")
    }

    /// The key comes from the environment alone: a flag would show it to everybody on the machine.
    fn settings_in(self, folder: &str) -> Result<Settings, String> {
        let key = std::env::var("TUNDISH_KEY").ok().filter(|key| !key.is_empty());
        let listen = address(&self.listen)?;
        let settings = Settings::new(listen, self.data_dir.unwrap_or_else(|| own_data_dir(folder)), key);
        let hosts = self.hosts.into_iter().filter(|name| !name.is_empty()).collect();
        Ok(Settings { hosts, ..settings })
    }
}

/// The address that a host with a port stands for; of several the first of the older kind, which everybody reaches.
fn address(listen: &str) -> Result<SocketAddr, String> {
    let example = "such as 127.0.0.1:8080, [::1]:8080 or localhost:8080";
    let port = listen.rsplit_once(':').map(|(_, port)| port.parse::<u16>());
    if !matches!(port, Some(Ok(_))) || listen.starts_with(':') {
        return Err(format!("--listen takes a host and a port, {example}, and {listen} is none"));
    }
    let found: Vec<SocketAddr> = listen.to_socket_addrs().map(Iterator::collect).unwrap_or_default();
    let older = found.iter().find(|address| address.is_ipv4()).or(found.first());
    older.copied().ok_or_else(|| format!("--listen takes a host and a port, {example}; no host is found for {listen}"))
}

/// A folder in the user's own data folder, or here where there is none.
fn own_data_dir(folder: &str) -> PathBuf {
    let variable = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|path| path.is_absolute());
    let base = variable("XDG_DATA_HOME").or_else(|| variable("HOME").map(|home| home.join(".local").join("share")));
    base.map_or_else(|| PathBuf::from(format!("{folder}-data")), |base| base.join(folder))
}

/// Where the service listens, where its data lies, who may ask.
#[derive(Clone, Validate)]
#[validate(schema(function = "strangers_need_a_key", skip_on_field_errors = false))]
pub struct Settings {
    /// Address and port; port 0 takes a free one.
    pub listen: SocketAddr,
    /// Folder of the store.
    pub data_dir: PathBuf,
    /// The key that every `/v1` request must bring, if there is one.
    #[validate(length(min = SHORTEST_KEY, message = "TUNDISH_KEY must hold at least 32 characters"))]
    pub key: Option<String>,
    /// Names of hosts under which the service may be asked besides the usual ones.
    pub hosts: Vec<String>,
    /// How long everything may take.
    pub times: Times,
}

/// How long everything may take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Times {
    /// A sender's silence in the middle of a body.
    pub silence: Duration,
    /// A body's coming, from its head to its end.
    pub body: Duration,
    /// A reader's silence in the middle of an answer.
    pub taking: Duration,
    /// Work's wait for its turn; what would wait longer is turned away with 503.
    pub wait: Duration,
    /// Work that is let run before all that is longer.
    pub quick: Duration,
    /// The running of one piece of work; a question that takes longer is told 503.
    pub work: Duration,
}

impl Default for Times {
    fn default() -> Self {
        Self {
            silence: Duration::from_secs(10),
            body: Duration::from_secs(30),
            taking: Duration::from_secs(30),
            wait: Duration::from_secs(2),
            quick: Duration::from_millis(50),
            work: Duration::from_mins(1),
        }
    }
}

impl Settings {
    /// Settings with the usual times and no more names.
    #[must_use]
    pub fn new(listen: SocketAddr, data_dir: PathBuf, key: Option<String>) -> Self {
        Self { listen, data_dir, key, hosts: Vec::new(), times: Times::default() }
    }

    /// What is wrong with these settings, in words for whoever starts the service.
    #[must_use]
    pub fn refused(&self) -> Option<String> {
        let errors = self.validate().err()?;
        let mut reasons: Vec<String> = errors
            .errors()
            .iter()
            .flat_map(|(name, kind)| match kind {
                validator::ValidationErrorsKind::Field(broken) => {
                    broken.iter().map(|rule| rule.message.as_deref().unwrap_or(name).to_owned()).collect::<Vec<_>>()
                }
                validator::ValidationErrorsKind::Struct(_) | validator::ValidationErrorsKind::List(_) => {
                    vec![name.to_string()]
                }
            })
            .collect();
        reasons.sort();
        Some(reasons.join("; "))
    }
}

/// A key is a secret: it never stands in a log.
impl std::fmt::Debug for Settings {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Settings")
            .field("listen", &self.listen)
            .field("data_dir", &self.data_dir)
            .field("key", &self.key.as_ref().map(|_| "…"))
            .field("hosts", &self.hosts)
            .field("times", &self.times)
            .finish()
    }
}

/// On loopback the service is open; anywhere else it needs a key.
fn strangers_need_a_key(settings: &Settings) -> Result<(), ValidationError> {
    if settings.listen.ip().is_loopback() || settings.key.is_some() {
        return Ok(());
    }
    let message = format!(
        "{} can be reached from other machines: set TUNDISH_KEY to a key of at least {SHORTEST_KEY} characters, or listen on 127.0.0.1",
        settings.listen
    );
    Err(ValidationError::new("key_missing").with_message(message.into()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn settings(listen: &str, key: Option<&str>) -> Settings {
        Settings::new(listen.parse().unwrap(), PathBuf::new(), key.map(str::to_owned))
    }

    #[test]
    fn loopback_is_open_and_strangers_need_a_key() {
        assert_eq!(settings("127.0.0.1:0", None).refused(), None);
        assert_eq!(settings("[::1]:0", None).refused(), None);
        assert!(settings("0.0.0.0:80", None).refused().unwrap().contains("TUNDISH_KEY"));
        assert!(settings("0.0.0.0:80", Some("short")).refused().unwrap().contains("32"));
        assert!(settings("127.0.0.1:0", Some("short")).refused().is_some());
        assert_eq!(settings("0.0.0.0:80", Some(&"k".repeat(32))).refused(), None);
    }

    #[test]
    fn hosts_are_found_by_address_and_by_name() {
        for (listen, found) in
            [("127.0.0.1:80", "127.0.0.1:80"), ("[::1]:80", "[::1]:80"), ("localhost:80", "127.0.0.1:80")]
        {
            assert_eq!(address(listen).map(|address| address.to_string()), Ok(found.to_owned()));
        }
        for listen in ["localhost", ":80", "localhost:", "localhost:http", "localhost:65536", "", "::1"] {
            let refused = address(listen).unwrap_err();
            assert!(refused.contains("localhost:8080") && refused.contains(listen), "{refused}");
        }
        assert!(address("no such host:80").unwrap_err().contains("no host is found"));
    }

    #[test]
    fn a_key_never_stands_in_a_log() {
        let text = format!("{:?}", settings("127.0.0.1:0", Some("secret-secret-secret-secret-secret")));
        assert!(!text.contains("secret"));
    }
}
