//! Prints the table of half a year with the planner, beside testing whoever is there.
//!
//! ```text
//! cargo run --release --workspace --bin planner-study [SEASONS]
//! ```

use std::io::Write;
use std::process::ExitCode;

use chrono::NaiveDate;

/// Enough for the shares to be known to a percent.
const SEASONS: u64 = 10;

fn main() -> ExitCode {
    let seasons = match std::env::args().nth(1).map(|text| text.parse()) {
        None => SEASONS,
        Some(Ok(seasons)) => seasons,
        Some(Err(_)) => {
            let said = writeln!(std::io::stderr(), "Give the number of seasons, or nothing.");
            return ExitCode::from(if said.is_ok() { 2 } else { 1 });
        }
    };
    // a Monday
    let from = NaiveDate::from_ymd_opt(2026, 11, 23).unwrap_or_default();
    let written = match pacewright_demo::planning::report(seasons, from) {
        Ok(table) => std::io::stdout().write_all(table.as_bytes()),
        Err(problem) => {
            let _said = writeln!(std::io::stderr(), "{problem}");
            return ExitCode::FAILURE;
        }
    };
    if written.is_ok() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
