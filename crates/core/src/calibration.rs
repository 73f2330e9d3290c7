//! Markers and zones the coach confirmed: what was handed out, and therefore never changed.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::athlete::{Athlete, Sensor};
use crate::ids::{AthleteId, CalibrationId, TestId};
use crate::markers::{self, Derived, MarkerEvidence, Markers};
use crate::remark::Severity;
use crate::screening;
use crate::test::{Performance, Test, TestKind};
use crate::units::HeartRate;
use crate::zones::{self, Scheme, Zones};

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

/// A peak heart rate is believed only where at least this share of the effort had a trustworthy
/// heart rate (judgement).
const CREDIBLE_PEAK_SHARE: f64 = 0.9;

/// Markers and zones that would come into force, and what has to be said about them first.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// The tests behind them, newest of each kind, shortest test first.
    pub basis: Vec<Basis>,
    /// Markers, critical speed, remarks.
    pub derived: Derived,
    /// The zones of the default scheme.
    pub zones: Zones,
}

impl Proposal {
    /// Whether a remark forbids handing it out.
    pub fn is_spoiled(&self) -> bool {
        self.derived.remarks.iter().any(|remark| remark.severity == Severity::Spoils)
    }
}

/// What an athlete's accepted tests up to a day say; `None` without an accepted test.
pub fn propose(athlete: &Athlete, tests: &[Test], on: NaiveDate) -> Option<Proposal> {
    let counted = || tests.iter().filter(|t| t.decision.is_accepted() && t.on <= on);
    let newest = |kind| {
        counted().filter(|t| t.kind == kind && t.decision.sets_zones()).max_by_key(|t| (t.on, t.id))
    };
    let performance = |kind| newest(kind).map(|test: &Test| test.performance);
    let basis: Vec<Basis> = TestKind::ALL
        .into_iter()
        .filter_map(newest)
        .map(|test| Basis { kind: test.kind, on: test.on, test: test.id })
        .collect();
    if basis.is_empty() {
        return None;
    }
    let fives = counted().filter(|t| t.kind == TestKind::FiveMinutes).count();
    let derived = markers::derive(&MarkerEvidence {
        five: performance(TestKind::FiveMinutes),
        five_is_first: fives == 1,
        twenty: performance(TestKind::TwentyMinutes),
        forty: performance(TestKind::FortyMinutes),
        entered_maximum: athlete.max_heart_rate,
        peak: counted()
            .filter(|t| t.kind.all_out())
            .filter_map(|t| peak(&t.performance))
            .reduce(higher),
        age: athlete.born.and_then(|born| screening::age(born, on)),
        rate_lowering_medication: athlete.rate_lowering_medication,
        wrist_sensor: athlete.sensor == Some(Sensor::Wrist),
    });
    let zones = zones::derive(&derived.markers, &Scheme::five_zones());
    Some(Proposal { basis, derived, zones })
}

fn peak(performance: &Performance) -> Option<HeartRate> {
    let credible = performance.heart_rate_share.ratio() >= CREDIBLE_PEAK_SHARE;
    performance.peak_heart_rate.filter(|_| credible)
}

fn higher(a: HeartRate, b: HeartRate) -> HeartRate {
    if b > a { b } else { a }
}
