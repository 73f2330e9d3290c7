//! One file a group of commands; each asks the desk and words the answer.

mod assess;
mod enter;
mod keeping;
mod library;
mod numbers;
mod papers;
mod plan;

use chrono::NaiveDate;
use pacewright_desk::{Desk, Now, Problem};

use crate::arguments::{Arguments, Command};
use crate::clock::{machine, now};
use crate::output::Output;
use crate::window;

/// Runs what was asked.
///
/// # Errors
/// The one sentence that says why it could not.
pub(crate) fn run(arguments: &Arguments) -> Result<Output, Problem> {
    let on = |on: Option<NaiveDate>, command: &dyn Fn(&Desk, &Now) -> Result<Output, Problem>| {
        let desk = Desk::open(arguments.library.as_deref())?;
        let output = command(&desk, &now(on))?;
        desk.close()?;
        Ok(output)
    };
    match &arguments.command {
        Some(Command::Assess(asked)) => assess::assess(asked),
        Some(Command::Zones(asked)) => numbers::zones(asked),
        Some(Command::Compare(asked)) => numbers::compare(asked),
        Some(Command::Roster(asked)) => on(None, &|desk, now| library::roster(desk, asked, now)),
        Some(Command::Read(asked)) => on(None, &|desk, now| library::read(desk, asked, now)),
        Some(Command::Course(asked)) => on(None, &|desk, now| library::course(desk, asked, now)),
        Some(Command::Confirm(asked)) => on(None, &|desk, now| library::confirm(desk, asked, now)),
        Some(Command::Enter(asked)) => on(None, &|desk, now| enter::enter(desk, asked, now)),
        Some(Command::Due(asked)) => on(asked.on, &|desk, now| library::due(desk, asked, now)),
        Some(Command::Plan(asked)) => on(asked.on, &|desk, now| plan::plan(desk, asked, now)),
        Some(Command::Cards(asked)) => on(None, &|desk, now| papers::cards(desk, asked, now)),
        Some(Command::Splits(asked)) => on(asked.on, &|desk, now| papers::splits(desk, asked, now)),
        Some(Command::Weekly(asked)) => {
            papers::weekly(arguments.library.as_deref(), asked, &now(asked.on))
        }
        Some(Command::Export(asked)) => on(None, &|desk, now| keeping::export(desk, asked, now)),
        Some(Command::Backup(asked)) => on(None, &|desk, _| keeping::backup(desk, asked)),
        Some(Command::Restore(asked)) => keeping::restore(asked, arguments.library.as_deref()),
        Some(Command::Check) => on(None, &|desk, _| keeping::check(desk)),
        None => window(arguments),
    }
}

/// The window; the demo without a display writes its weekly papers instead.
fn window(arguments: &Arguments) -> Result<Output, Problem> {
    match window::run(arguments.library.clone(), arguments.demo, machine) {
        Ok(()) => Ok(Output::default()),
        Err(problem) if arguments.demo => {
            let mut output = papers::demo_into_new_folder(&now(None))?;
            output.text = format!("{problem}\n{}", output.text);
            Ok(output)
        }
        Err(problem) => Err(problem),
    }
}

fn to_json<T: serde::Serialize>(value: &T) -> Result<Output, Problem> {
    serde_json::to_string_pretty(value)
        .map(Output::text)
        .map_err(|e| Problem::new(format!("The answer could not be written as JSON ({e}).")))
}
