//! The test-day sheet: who runs what, how, and who must not; with room to write what was run.

use chrono::NaiveDate;
use pacewright_core::format::{day, pace, pace_unit, whole_beats};
use pacewright_core::test::TestKind;
use pacewright_core::units::{HeartRate, Speed, UnitSystem};
use serde::Serialize;

use crate::paper::Paper;
use crate::typeset::{Document, Name, SheetError, Template, typeset};

const TEMPLATE: Template = Template {
    name: "test-day sheet",
    source: include_str!("../../../assets/documents/test-day.typ"),
};

/// What the sheet says.
#[derive(Debug, Clone, PartialEq)]
pub struct TestDayFacts {
    /// The squad's name.
    pub squad: String,
    /// The day of the tests.
    pub on: NaiveDate,
    /// Units of the paces.
    pub units: UnitSystem,
    /// Paper to print on.
    pub paper: Paper,
    /// Who runs which test, one entry a test.
    pub tests: Vec<(TestKind, Vec<Runner>)>,
    /// Who must not run all-out. Names only: the reasons are private and never printed.
    pub must_not_run: Vec<String>,
    /// Who has not been asked about their health yet: to ask before any all-out effort.
    pub not_asked: Vec<String>,
    /// What the weather means for the day, where it is known.
    pub weather: Option<String>,
}

/// One athlete on the sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Runner {
    /// The name.
    pub name: String,
    /// The heart rate to hold in the 40-minute test; `None` on rate-lowering medication.
    pub target_heart_rate: Option<HeartRate>,
    /// A pace to set out at.
    pub pace_hint: Option<Speed>,
    /// What the coach should keep in mind: a short line, nothing private.
    pub remark: Option<String>,
}

/// Lays out the sheet.
///
/// # Errors
/// The layout failed: a fault of the program.
pub fn test_day(facts: &TestDayFacts) -> Result<Document, SheetError> {
    let written = Written {
        paper: facts.paper,
        squad: facts.squad.clone(),
        on: day(facts.on),
        pace_head: format!("Set out at, per {}", pace_unit(facts.units)),
        tests: facts
            .tests
            .iter()
            .map(|(kind, runners)| write(*kind, runners, facts.units))
            .collect(),
        must_not_run: facts.must_not_run.clone(),
        not_asked: facts.not_asked.clone(),
        weather: facts.weather.clone(),
    };
    typeset(&TEMPLATE, &written)
}

#[derive(Serialize)]
struct Written {
    paper: Paper,
    squad: String,
    on: String,
    pace_head: String,
    tests: Vec<WrittenTest>,
    must_not_run: Vec<String>,
    not_asked: Vec<String>,
    weather: Option<String>,
}

#[derive(Serialize)]
struct WrittenTest {
    title: String,
    minutes: u32,
    runners: Vec<WrittenRunner>,
}

#[derive(Serialize)]
struct WrittenRunner {
    name: Name,
    target: String,
    pace: String,
    remark: String,
}

fn write(kind: TestKind, runners: &[Runner], units: UnitSystem) -> WrittenTest {
    let runner = |runner: &Runner| WrittenRunner {
        name: Name::of(&runner.name),
        target: runner
            .target_heart_rate
            .map_or_else(|| "by feel".to_owned(), |rate| whole_beats(rate).to_string()),
        pace: runner.pace_hint.map_or_else(String::new, |speed| pace(speed, units)),
        remark: runner.remark.clone().unwrap_or_default(),
    };
    WrittenTest {
        title: format!("{}-minute test", kind.minutes()),
        minutes: kind.minutes(),
        runners: runners.iter().map(runner).collect(),
    }
}
