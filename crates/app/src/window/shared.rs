//! The facts every screen reads: the book, the ledger's rows, settings, today.

use std::path::PathBuf;
use std::sync::Arc;

use pacewright_core::units::UnitSystem;
use pacewright_desk::book::{self, Book};
use pacewright_desk::settings::{self, Settings};
use pacewright_desk::standing::{self, StandingRow};
use pacewright_desk::{Desk, Now, Problem};

use super::dialogs::Dialogs;
use super::ink::Ink;
use super::opening::{Opened, Start};
use super::test_day::Draft;

/// The whole library but its recordings, and where everyone stands: read off the window's thread.
#[derive(Debug, Clone)]
pub struct Facts {
    pub(super) book: Arc<Book>,
    pub(super) rows: Arc<Vec<StandingRow>>,
    /// What is ahead of everybody, in a sentence.
    ahead: String,
    /// The settings, where they may have changed too: what is shown of them is ahead of the library
    /// while a change is on its way there.
    settings: Option<Settings>,
}

impl Facts {
    /// Reads them after something was taken back or done again, the settings too.
    pub(super) fn read_all(desk: &Desk, now: &Now) -> Result<Self, Problem> {
        Ok(Self { settings: Some(settings::settings(desk)?), ..Self::read(desk, now)? })
    }

    /// Reads them.
    pub(super) fn read(desk: &Desk, now: &Now) -> Result<Self, Problem> {
        let book = book::open(desk)?;
        let (rows, ahead) = standing::rows_and_ahead(&book, now);
        Ok(Self { book: Arc::new(book), rows: Arc::new(rows), ahead, settings: None })
    }
}

/// What every screen may read; only the window changes it.
#[derive(Debug)]
pub(super) struct Shared {
    /// The open library.
    pub(super) desk: Arc<Desk>,
    /// Everything but the recordings, as last read.
    pub(super) book: Arc<Book>,
    /// The squad's ledger, most urgent first.
    pub(super) rows: Arc<Vec<StandingRow>>,
    /// What is ahead of everybody, in a sentence.
    pub(super) ahead: String,
    /// How the coach likes it.
    pub(super) settings: Settings,
    /// What is typed on test day and does not count yet.
    pub(super) draft: Option<Draft>,
    /// How files are asked for.
    pub(super) dialogs: Arc<dyn Dialogs>,
    /// What time it is, asked anew whenever it matters.
    clock: fn() -> Now,
}

impl Shared {
    pub(super) fn new(opened: Opened) -> Self {
        let Opened { desk, facts, settings, clock, dialogs, .. } = opened;
        let Facts { book, rows, ahead, .. } = facts;
        Self { desk, book, rows, ahead, settings, draft: None, dialogs, clock }
    }

    /// Takes in the facts as they are after a change.
    pub(super) fn refresh(&mut self, facts: Facts) {
        (self.book, self.rows, self.ahead) = (facts.book, facts.rows, facts.ahead);
        self.settings = facts.settings.unwrap_or_else(|| self.settings.clone());
    }

    /// What another library, or the demo where none is named, is opened with.
    pub(super) fn start(&self, library: Option<PathBuf>) -> Start {
        let dialogs = Arc::clone(&self.dialogs);
        Start { demo: library.is_none(), library, clock: self.clock, dialogs }
    }

    /// This moment.
    pub(super) fn now(&self) -> Now {
        (self.clock)()
    }

    /// The inks of the chosen theme.
    pub(super) fn ink(&self) -> Ink {
        Ink::new(self.settings.dark)
    }

    /// The chosen units.
    pub(super) fn units(&self) -> UnitSystem {
        self.settings.units
    }

    /// What the window calls the squad.
    pub(super) fn club(&self) -> &str {
        if self.settings.club.is_empty() { "Pacewright" } else { &self.settings.club }
    }
}

/// The line at the foot.
#[derive(Debug)]
pub(super) struct Notice {
    pub(super) words: String,
    /// Whether it can be taken back.
    pub(super) undo: bool,
    /// Whether it says what went wrong.
    pub(super) problem: bool,
}

impl Notice {
    /// Something was done and can be taken back.
    pub(super) fn done(words: impl Into<String>) -> Self {
        Self { words: words.into(), undo: true, problem: false }
    }

    /// Something to know.
    pub(super) fn said(words: impl Into<String>) -> Self {
        Self { words: words.into(), undo: false, problem: false }
    }

    /// Something went wrong.
    #[expect(clippy::needless_pass_by_value, reason = "a problem ends where it is said")]
    pub(super) fn problem(problem: Problem) -> Self {
        Self { words: problem.to_string(), undo: false, problem: true }
    }
}
