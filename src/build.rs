//! Tells the program which commit it is built from: `TUNDISH_COMMIT` where that is set, or else what git says. Empty where
//! neither knows.

use std::path::Path;
use std::process::Command;

/// Digits of a commit that the program names.
const DIGITS: usize = 12;

fn main() {
    println!("cargo::rerun-if-changed=src/build.rs");
    println!("cargo::rerun-if-env-changed=TUNDISH_COMMIT");
    let told = std::env::var("TUNDISH_COMMIT").unwrap_or_default();
    let commit = if told.is_empty() { head() } else { told };
    if !commit.is_empty() && (commit.len() < DIGITS || !commit.bytes().all(|byte| byte.is_ascii_hexdigit())) {
        println!("cargo::error=TUNDISH_COMMIT must be a commit of {DIGITS} hexadecimal digits or more, not {commit:?}");
        return;
    }
    let short: String = commit.to_ascii_lowercase().chars().take(DIGITS).collect();
    println!("cargo::rustc-env=TUNDISH_BUILT_FROM={short}");
}

/// The commit that is checked out here, and a watch on whatever tells that it is another one.
fn head() -> String {
    // a folder of sources within the repository of somebody else has no commit of its own; in a worktree it is a file
    if !Path::new(".git").exists() {
        return String::new();
    }
    let branch = git(&["symbolic-ref", "--quiet", "HEAD"]);
    for file in ["HEAD", "logs/HEAD", "packed-refs", branch.as_str()].into_iter().filter(|file| !file.is_empty()) {
        let path = git(&["rev-parse", "--git-path", file]);
        // what is not there counts as changed at every build
        if !path.is_empty() && Path::new(&path).exists() {
            println!("cargo::rerun-if-changed={path}");
        }
    }
    git(&["rev-parse", "--verify", "--quiet", "HEAD"])
}

/// What git answers, empty where it is not there or does not know.
fn git(arguments: &[&str]) -> String {
    let output = Command::new("git").args(arguments).output().ok().filter(|output| output.status.success());
    output.map(|output| String::from_utf8_lossy(&output.stdout).trim().to_owned()).unwrap_or_default()
}
