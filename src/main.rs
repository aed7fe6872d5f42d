//! The command line.

use std::process::ExitCode;

use clap::Parser as _;
use tundish::console::Priced;
use tundish::settings::{Command, CommandLine};
use tundish::{console, http};

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// The status where something is told that is not the whole.
const NOT_COMPLETE: u8 = 3;

fn main() -> ExitCode {
    let CommandLine { command, flags } = CommandLine::parse();
    let done = match command.unwrap_or(Command::Serve(flags)) {
        Command::Serve(flags) => flags.settings().and_then(|settings| console::serve(&settings)),
        Command::Demo { once, flags } => flags.demo_settings().and_then(|settings| console::demo(&settings, once)),
        Command::Price { job } => match console::price(&job) {
            Ok(Priced::NotComplete) => return ExitCode::from(NOT_COMPLETE),
            priced => priced.map(|_| ()),
        },
        Command::Check { data } => match console::check(&data.folder()) {
            Ok(false) => return ExitCode::from(NOT_COMPLETE),
            checked => checked.map(|_| ()),
        },
        Command::Export { out, data } => match console::export(&data.folder(), out.as_deref()) {
            Ok(false) => return ExitCode::from(NOT_COMPLETE),
            exported => exported.map(|_| ()),
        },
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
