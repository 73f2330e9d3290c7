//! One file a group of commands; each asks the desk and words the answer.

mod assess;
mod numbers;

use pacewright_desk::Problem;

use crate::arguments::{Arguments, Command};
use crate::output::Output;

/// Runs what was asked.
///
/// # Errors
/// The one sentence that says why it could not.
pub(crate) fn run(arguments: &Arguments) -> Result<Output, Problem> {
    match &arguments.command {
        Some(Command::Assess(asked)) => assess::assess(asked),
        Some(Command::Zones(asked)) => numbers::zones(asked),
        Some(Command::Compare(asked)) => numbers::compare(asked),
        _ => Err(Problem::new("not yet")),
    }
}

fn to_json<T: serde::Serialize>(value: &T) -> Result<Output, Problem> {
    serde_json::to_string_pretty(value)
        .map(Output::text)
        .map_err(|e| Problem::new(format!("The answer could not be written as JSON ({e}).")))
}
