//! What is typed on test day and does not count yet. The window keeps it while other pages are
//! looked at, so that nothing typed is lost.

use chrono::NaiveDate;
use pacewright_core::ids::AthleteId;
use pacewright_core::test::TestKind;
use pacewright_desk::book::Book;
use pacewright_desk::typed::{Entry, Occasion, Reading, booked, day, lap, read};

use crate::window::shared::Shared;

/// The test, the day, the course, and the rows as they were typed.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::window) struct Draft {
    pub(super) kind: TestKind,
    pub(super) day: String,
    pub(super) lap: String,
    pub(super) rows: Vec<Entry>,
}

impl Draft {
    /// A day's: the test that is booked then, with who is booked for it; else an empty 20-minute test.
    pub(super) fn on(today: NaiveDate, book: &Book) -> Self {
        let [five, twenty, forty] = TestKind::ALL;
        let (kind, athletes) = [twenty, forty, five]
            .into_iter()
            .map(|kind| (kind, booked(book, kind, today, today)))
            .find(|(_, athletes)| !athletes.is_empty())
            .unwrap_or((twenty, Vec::new()));
        Self {
            kind,
            day: today.to_string(),
            lap: String::new(),
            rows: athletes.into_iter().map(Entry::new).collect(),
        }
    }

    /// Adds somebody, unless they are there.
    pub(super) fn add(&mut self, athlete: AthleteId) {
        if self.rows.iter().all(|row| row.athlete != athlete) {
            self.rows.push(Entry::new(athlete));
        }
    }

    /// Adds who is booked for the test on the day; while nothing is typed they alone stand there.
    pub(super) fn add_booked(&mut self, shared: &Shared) {
        let Ok(on) = day(&self.day, shared.now().today) else { return };
        let booked = booked(&shared.book, self.kind, on, shared.now().today);
        if !booked.is_empty() && self.rows.iter().all(Entry::is_blank) {
            self.rows.clear();
        }
        for athlete in booked {
            self.add(athlete);
        }
    }

    fn occasion(&self, shared: &Shared) -> Option<Occasion> {
        Some(Occasion {
            kind: self.kind,
            on: day(&self.day, shared.now().today).ok()?,
            lap: lap(&self.lap).ok().flatten(),
            today: shared.now().today,
            units: shared.units(),
        })
    }

    /// What every row says.
    pub(super) fn readings(&self, shared: &Shared) -> Vec<Reading> {
        (0..self.rows.len()).map(|row| self.reading(row, shared)).collect()
    }

    /// What a row says; without a day it says nothing yet.
    pub(super) fn reading(&self, row: usize, shared: &Shared) -> Reading {
        let entry = self.rows.get(row);
        let page = entry.and_then(|entry| shared.book.of_id(entry.athlete).ok());
        match (entry, page, self.occasion(shared)) {
            (Some(entry), Some(page), Some(occasion)) => read(entry, page, &occasion),
            _ => Reading::Empty,
        }
    }
}
