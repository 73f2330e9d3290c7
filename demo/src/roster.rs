//! The squad as a roster file.

use chrono::NaiveDate;
use pacewright_core::athlete::{Screening, Sensor, Sex};
use pacewright_core::units::HeartRate;

use crate::{DemoAthlete, DemoSquad};

const HEADER: &str = "name,squad,born,sex,resting_heart_rate,max_heart_rate,medication,screening,alias,sensor,notes,guardian_consent";

/// The roster as CSV: a header row, then one row an athlete; several squads or aliases in one cell
/// are parted by "; ".
pub fn roster_csv(squad: &DemoSquad) -> String {
    let mut text = String::from(HEADER);
    text.push('\n');
    for athlete in &squad.athletes {
        text.push_str(&row(athlete).map(|cell| quoted(&cell)).join(","));
        text.push('\n');
    }
    text
}

fn row(athlete: &DemoAthlete) -> [String; 12] {
    [
        athlete.name.clone(),
        athlete.squads.join("; "),
        athlete.born.to_string(),
        match athlete.sex {
            Sex::Female => "female".to_owned(),
            Sex::Male => "male".to_owned(),
        },
        beats(athlete.resting_heart_rate),
        beats(athlete.max_heart_rate),
        if athlete.rate_lowering_medication { "yes" } else { "no" }.to_owned(),
        screening(athlete.screening),
        athlete.aliases.join("; "),
        match athlete.sensor {
            Sensor::Strap => "strap".to_owned(),
            Sensor::Wrist => "wrist".to_owned(),
        },
        athlete.notes.clone(),
        day(athlete.guardian_consent),
    ]
}

fn beats(rate: Option<HeartRate>) -> String {
    rate.map(|rate| rate.bpm().to_string()).unwrap_or_default()
}

fn day(date: Option<NaiveDate>) -> String {
    date.map(|date| date.to_string()).unwrap_or_default()
}

fn screening(screening: Screening) -> String {
    match screening {
        Screening::NotAsked => "not asked".to_owned(),
        Screening::Cleared { on } => format!("cleared {on}"),
        Screening::Hold { since } => format!("hold {}", day(since)).trim_end().to_owned(),
    }
}

/// A cell as CSV (RFC 4180): in quotes where it holds a comma, a quote or a line break.
fn quoted(cell: &str) -> String {
    if cell.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.to_owned()
    }
}
