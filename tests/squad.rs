//! A small squad for the journeys: a library in memory, a roster as text, runs as tables.

use std::fmt::Write;
use std::fs;
use std::io::{Write as _, stderr};
use std::path::{Path, PathBuf};
use std::process::Command;

use chrono::{Days, NaiveDate, TimeDelta};
use pacewright_core::calibration::Calibration;
use pacewright_core::test::{Decision, TestKind};
use pacewright_core::units::UnitSystem;
use pacewright_desk::book::{self, Book, Page};
use pacewright_desk::confirm::{Confirmed, confirm};
use pacewright_desk::decide::{Choice, Decided, decide};
use pacewright_desk::due::{DueLine, due};
use pacewright_desk::papers::{WeeklyAsked, weekly};
use pacewright_desk::read_in::{Incoming, Outcome, ReadLine, Said, take_in};
use pacewright_desk::roster::{parse, take_in_rows};
use pacewright_desk::{Desk, Now};
use tempfile::TempDir;

pub(crate) struct Squad {
    pub(crate) desk: Desk,
}

/// So many days after the first of September 2026.
pub(crate) fn day(after: u64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 9, 1).unwrap() + Days::new(after)
}

pub(crate) fn noon(after: u64) -> Now {
    Now::noon_of(day(after))
}

/// A steady run as a table, a row a second from nine in the morning.
pub(crate) fn table(on: NaiveDate, kind: TestKind, m_per_s: f64, bpm: f64) -> Vec<u8> {
    let start = on.and_hms_opt(9, 0, 0).unwrap();
    let mut text = "time,distance,heart_rate\n".to_owned();
    for second in 0..=kind.minutes() * 60 {
        let time = (start + TimeDelta::seconds(i64::from(second))).format("%Y-%m-%dT%H:%M:%SZ");
        // a rate that never changes would be a fault of the sensor: one beat up, one down
        let beat = bpm + f64::from(second / 10 % 3) - 1.0;
        writeln!(text, "{time},{:.2},{beat}", f64::from(second) * m_per_s).unwrap();
    }
    text.into_bytes()
}

impl Squad {
    /// A squad from a roster's text.
    pub(crate) fn of(roster: &str) -> Self {
        Self::of_day(roster, 0)
    }

    /// A squad from a roster's text that was taken in on a day.
    pub(crate) fn of_day(roster: &str, after: u64) -> Self {
        let squad = Self { desk: Desk::in_memory().unwrap() };
        let (rows, refused) = parse(roster).unwrap();
        assert_eq!(refused, []);
        let outcome = take_in_rows(&squad.desk, rows, &noon(after)).unwrap();
        assert_eq!(outcome.refused, []);
        squad
    }

    /// A test as the coach's folder holds it, read on its day.
    pub(crate) fn reads(&self, name: &str, kind: TestKind, after: u64, m_per_s: f64, bpm: f64) {
        let bytes = table(day(after), kind, m_per_s, bpm);
        let line = self.reads_file(&format!("{name}.csv"), bytes, kind, after);
        assert_eq!(line.outcome, Outcome::TakenIn, "{:?}", line.reason);
    }

    pub(crate) fn reads_file(
        &self,
        name: &str,
        bytes: Vec<u8>,
        kind: TestKind,
        after: u64,
    ) -> ReadLine {
        let said = Said { kind: Some(kind), ..Said::default() };
        let file = Incoming { path: PathBuf::from(name), bytes, said };
        take_in(&self.desk, vec![file], &noon(after)).unwrap().remove(0)
    }

    pub(crate) fn confirms(&self, after: u64) -> Vec<Confirmed> {
        confirm(&self.desk, None, &noon(after)).unwrap()
    }

    /// Whatever still waits counts, for a reason.
    pub(crate) fn counts_the_rest(&self, after: u64) {
        let book = self.book();
        let tests = book.pages.iter().flat_map(|page| page.tests.iter().map(move |t| (page, t)));
        let waits = tests.filter(|(_, test)| test.decision == Decision::ToConfirm);
        let decided = waits.map(|(page, test)| Decided {
            test: test.clone(),
            choice: Choice::NewZones,
            reason: Some("looked at".to_owned()),
            good_for: page.good_for(test),
        });
        let _outcomes = decide(&self.desk, &book, decided.collect(), &noon(after)).unwrap();
    }

    /// The 20-minute test read and confirmed.
    pub(crate) fn tested(&self, name: &str, after: u64, m_per_s: f64, bpm: f64) {
        self.reads(name, TestKind::TwentyMinutes, after, m_per_s, bpm);
        assert_eq!(self.confirms(after).len(), 1);
    }

    pub(crate) fn book(&self) -> Book {
        book::open(&self.desk).unwrap()
    }

    pub(crate) fn page(&self, name: &str) -> Page {
        self.book().of_athlete(name).unwrap().clone()
    }

    pub(crate) fn zones(&self, name: &str, after: u64) -> Option<Calibration> {
        self.page(name).current(day(after)).cloned()
    }

    pub(crate) fn due(&self, name: &str, after: u64) -> Vec<DueLine> {
        let lines = due(&self.book(), &noon(after));
        lines.into_iter().filter(|line| line.athlete == name).collect()
    }

    pub(crate) fn papers(&self, now: &Now) -> Papers {
        Papers::of(&self.desk, now)
    }
}

/// The weekly papers in a folder.
pub(crate) struct Papers {
    folder: TempDir,
}

impl Papers {
    pub(crate) fn of(desk: &Desk, now: &Now) -> Self {
        let folder = TempDir::new().unwrap();
        let asked = WeeklyAsked {
            out: folder.path().to_owned(),
            club: Some("Invented".to_owned()),
            units: Some(UnitSystem::Kilometres),
        };
        let outcome = weekly(desk, &asked, now).unwrap();
        assert_eq!(outcome.warnings, Vec::<String>::new());
        Self { folder }
    }

    pub(crate) fn text(&self, name: &str) -> String {
        fs::read_to_string(self.folder.path().join(name)).unwrap()
    }

    /// The words of a document in the order they were laid out; `None` where the reader is missing.
    pub(crate) fn printed(&self, name: &str) -> Option<String> {
        printed(&self.folder.path().join(name))
    }
}

/// The words of a PDF in the order they were laid out; `None` where the reader is missing.
pub(crate) fn printed(path: &Path) -> Option<String> {
    match Command::new("pdftotext").arg("-raw").arg(path).arg("-").output() {
        Ok(output) => {
            assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
            // line breaks inside sentences are the layout's
            Some(String::from_utf8(output.stdout).unwrap().replace('\u{c}', "\n"))
        }
        Err(why) => {
            let required = std::env::var_os("PACEWRIGHT_TOOLS_REQUIRED").is_some();
            assert!(!required, "pdftotext is required here: {why}");
            // past what keeps a passing test's words back
            stderr().write_all(b"skipped: no pdftotext\n").unwrap();
            None
        }
    }
}
