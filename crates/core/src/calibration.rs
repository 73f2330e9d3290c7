//! Markers and zones the coach confirmed: what was handed out, and therefore never changed.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::ids::{AthleteId, CalibrationId, TestId};
use crate::markers::Markers;
use crate::test::TestKind;
use crate::zones::Zones;

/// A test that stands behind a calibration.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Basis {
    /// Which test.
    pub kind: TestKind,
    /// When it was run.
    pub on: NaiveDate,
    /// Its identity.
    pub test: TestId,
}

/// Markers and zones in force from a date.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Calibration {
    /// Identity in the library.
    pub id: CalibrationId,
    /// Whose.
    pub athlete: AthleteId,
    /// In force from this day on, until a later one.
    pub from: NaiveDate,
    /// The tests behind it, newest of each kind.
    pub basis: Vec<Basis>,
    /// The markers.
    pub markers: Markers,
    /// The zones as they were handed out.
    pub zones: Zones,
}
