//! The `airwright` program: a command line over `api`. Reads the job folder, asks, prints, writes.

mod alert;
mod cli;
mod clock;
mod files;
mod intake;
mod pack;
mod pages;
#[cfg(feature = "pdf")]
mod pdf;
mod plain;
mod progress;
mod serve;
mod store;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
