//! Pacewright: from field tests to zone cards, for a whole squad.
//!
//! This crate parses arguments and prints; every use case lives in `pacewright-desk`.

mod arguments;
mod clock;
mod commands;
mod json;
mod output;

use std::process::ExitCode;

use clap::Parser;

use arguments::Arguments;

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    if let Err(wrong) = arguments.demo_stands_alone() {
        wrong.exit();
    }
    let output = commands::run(&arguments).unwrap_or_else(output::Output::from);
    output.print()
}
