//! Prints the tables of the doubt: how often stated intervals hold the truth, how often verdicts are
//! right. They stand in the documentation of `pacewright_core::doubt`.
//!
//! ```text
//! cargo run --release -p pacewright-demo --bin doubt-study [ATHLETES]
//! ```

use std::io::Write;
use std::process::ExitCode;

/// Fixes all chance, so that the tables can be made again.
const SEED: u64 = 2026;
/// Enough for a share to be known to half a percent.
const ATHLETES: usize = 20_000;

fn main() -> ExitCode {
    let athletes = match std::env::args().nth(1).map(|text| text.parse()) {
        None => ATHLETES,
        Some(Ok(athletes)) => athletes,
        Some(Err(_)) => {
            let said = writeln!(std::io::stderr(), "Give the number of athletes, or nothing.");
            return ExitCode::from(if said.is_ok() { 2 } else { 1 });
        }
    };
    let report = pacewright_demo::study::report(athletes, SEED);
    match std::io::stdout().write_all(report.as_bytes()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(_) => ExitCode::FAILURE,
    }
}
