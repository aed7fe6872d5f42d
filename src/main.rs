//! The command line.

use std::process::ExitCode;

use clap::Parser as _;
use tundish::settings::{Command, CommandLine};
use tundish::{console, http};

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    let CommandLine { command, flags } = CommandLine::parse();
    let done = match command {
        None | Some(Command::Serve) => console::serve(&flags.settings()),
        Some(Command::Demo { once }) => console::demo(&flags.demo_settings(), once),
        Some(Command::Price { job }) => console::price(&job),
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
