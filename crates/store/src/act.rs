//! What a coach does to the library in one go, and what comes back.

use std::collections::BTreeSet;

use chrono::{DateTime, Utc};

use crate::change::Change;

/// Changes that belong together: all of them are done, or none.
#[derive(Debug, Clone, PartialEq)]
pub struct Act {
    /// What is done, in words for the list of what can be undone: "Confirm the zones of Ida Berg".
    pub what: String,
    /// When, by the caller's clock.
    pub at: DateTime<Utc>,
    /// The changes, in order.
    pub changes: Vec<Change>,
}

/// What kinds of facts an act touched, so that a window knows what to read again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Done {
    /// The words of the act that was done, undone or redone.
    pub what: String,
    /// What changed.
    pub changed: BTreeSet<Kind>,
}

/// A kind of facts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Athletes and the squads they are in.
    Athletes,
    /// Squads.
    Squads,
    /// Recordings.
    Recordings,
    /// Tests.
    Tests,
    /// Calibrations.
    Calibrations,
    /// Bookings.
    Bookings,
    /// Spans away.
    Aways,
    /// Races, laboratory values, factors, medication, conditions of tests.
    Evidence,
    /// Settings.
    Settings,
}
