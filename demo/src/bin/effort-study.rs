//! The study of the finder as a command: draws and judges recordings, prints the table, and fails
//! where a mark is missed.

use std::io::Write;
use std::process::ExitCode;

use pacewright_demo::finder::study;

const USAGE: &str = "\
effort-study [COUNT [SEED]]

Judges COUNT simulated recordings (4000 unless told) drawn from SEED (1 unless told), and prints how
often efforts and faults were found. The misses go to standard error.
";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let number = |index: usize, usual: u64| {
        arguments.get(index).map_or(Some(usual), |text| text.parse::<u64>().ok())
    };
    let asked =
        number(0, 4_000).and_then(|count| Some((u32::try_from(count).ok()?, number(1, 1)?)));
    let Some((count, seed)) = asked.filter(|_| arguments.len() <= 2) else {
        say(&mut std::io::stderr(), USAGE);
        return ExitCode::from(2);
    };
    match study(count, seed) {
        Ok(tally) => {
            say(&mut std::io::stderr(), &(tally.misses.join("\n") + "\n"));
            say(&mut std::io::stdout(), &tally.to_string());
            let failures = tally.failures();
            say(&mut std::io::stdout(), &failures.join("\n"));
            if failures.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
        }
        Err(error) => {
            say(&mut std::io::stderr(), &format!("{error}\n"));
            ExitCode::FAILURE
        }
    }
}

/// A closed pipe has nobody to tell.
fn say(to: &mut impl Write, text: &str) {
    let _closed_pipe = to.write_all(text.as_bytes());
}
