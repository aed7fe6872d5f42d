//! The command line.

use std::process::ExitCode;

use clap::Parser as _;
use tundish::settings::{Command, CommandLine, Settings};
use tundish::{console, http};

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    let CommandLine { command, flags } = CommandLine::parse();
    let done = match command {
        None | Some(Command::Serve) => console::serve(&Settings::from(flags)),
        Some(Command::Openapi) => {
            println!("{:#}", http::openapi_document());
            Ok(())
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(reason) => {
            eprintln!("tundish: {reason}");
            ExitCode::FAILURE
        }
    }
}
