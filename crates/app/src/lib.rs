//! Pacewright: from field tests to zone cards, for a whole squad.
//!
//! The command line and the window: they parse, draw and print; every use case lives in
//! `pacewright-desk`.

mod arguments;
mod clock;
mod commands;
mod json;
mod output;
pub mod window;

use std::process::ExitCode;

use clap::Parser;

/// Parses the command line, does what it asks, prints what there is to say.
pub fn main_with_arguments() -> ExitCode {
    let arguments = arguments::Arguments::parse();
    if let Err(wrong) = arguments.demo_stands_alone() {
        wrong.exit();
    }
    let output = commands::run(&arguments).unwrap_or_else(output::Output::from);
    output.print()
}
