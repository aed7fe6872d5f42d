//! The command line.

use std::process::ExitCode;

use clap::Parser as _;
use tundish::settings::{Command, CommandLine};
use tundish::{console, http};

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    let CommandLine { command, flags } = CommandLine::parse();
    let done = match command.unwrap_or(Command::Serve(flags)) {
        Command::Serve(flags) => flags.settings().and_then(|settings| console::serve(&settings)),
        Command::Demo { once, flags } => flags.demo_settings().and_then(|settings| console::demo(&settings, once)),
        Command::Price { job } => console::price(&job),
        Command::Openapi => {
            println!("{:#}", http::openapi_document());
            Ok(())
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(reason) => {
            eprintln!("tundish: {}", console::plain_lines(&reason));
            ExitCode::FAILURE
        }
    }
}
