//! Makes a large library of invented athletes through the program's own way of writing, for checks
//! of scale: a roster, recordings read as files, tests confirmed.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use chrono::NaiveDate;
use pacewright_demo::{LargeSquad, fill_in_steps, large_squad};
use pacewright_desk::{Desk, Now};

const USAGE: &str = "\
large-library FILE ATHLETES YEARS TESTS_PER_YEAR [STEP_DAYS]

Fills a new library FILE with invented athletes as they stand on 25 November 2026. The tests of
STEP_DAYS days (28 unless told) are read in one act and then confirmed.
";

/// The day on which every large library stands, so that the same numbers give the same library.
const ON: NaiveDate = NaiveDate::from_ymd_opt(2026, 11, 25).unwrap();

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let (said, code) = match asked(&arguments) {
        None => (USAGE.to_owned(), ExitCode::from(2)),
        Some(asked) => match make(&asked) {
            Ok(said) => (said, ExitCode::SUCCESS),
            Err(why) => (format!("{why}\n"), ExitCode::from(1)),
        },
    };
    // a closed pipe has nobody to tell
    let _closed_pipe = std::io::stderr().write_all(said.as_bytes());
    code
}

struct Asked {
    file: PathBuf,
    size: LargeSquad,
    step_days: u32,
}

fn asked(arguments: &[String]) -> Option<Asked> {
    let (file, athletes, years, tests, step) = match arguments {
        [file, athletes, years, tests] => (file, athletes, years, tests, "28"),
        [file, athletes, years, tests, step] => (file, athletes, years, tests, step.as_str()),
        _ => return None,
    };
    Some(Asked {
        file: PathBuf::from(file),
        size: LargeSquad {
            athletes: athletes.parse().ok()?,
            years: years.parse().ok()?,
            tests_per_year: tests.parse().ok()?,
            seed: 1,
        },
        step_days: step.parse().ok()?,
    })
}

fn make(asked: &Asked) -> Result<String, String> {
    if asked.file.exists() {
        return Err(format!("{} is there already; name a new file.", asked.file.display()));
    }
    let desk = Desk::open(Some(&asked.file)).map_err(|e| e.to_string())?;
    let squad = large_squad(asked.size, ON);
    fill_in_steps(&desk, &squad, asked.step_days, &Now::noon_of(ON)).map_err(|e| e.to_string())?;
    desk.close().map_err(|e| e.to_string())?;
    Ok(format!("{} athletes, {} recordings.\n", squad.athletes.len(), squad.runs.len()))
}
