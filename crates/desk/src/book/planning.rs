//! When an athlete's tests are repeated.

use chrono::NaiveDate;
use pacewright_core::programme::{OwnWindow, Programme};
use pacewright_core::retest::RetestWindow;
use pacewright_core::test::TestKind;

/// When an athlete's tests are repeated, and when their squad meets for them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Planning {
    /// Of the first of their squads that has one.
    pub programme: Option<Programme>,
    /// Their own window; it counts before the squad's.
    pub own: Option<OwnWindow>,
}

impl Planning {
    /// The window that counts.
    pub fn window(&self) -> RetestWindow {
        let squads = || self.programme.as_ref().map(|programme| programme.window);
        self.own.map(|own| own.window).or_else(squads).unwrap_or_default()
    }

    /// Whether a test is part of the squad's season on a day.
    pub fn in_season(&self, kind: TestKind, on: NaiveDate) -> bool {
        self.programme.as_ref().is_none_or(|programme| programme.has(kind, on))
    }
}
