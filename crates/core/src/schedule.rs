//! What stands in the calendar: booked tests and spans without tests.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::ids::{AthleteId, AwayId, BookingId};
use crate::test::{Decision, Test, TestKind};

/// A planned test.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Booking {
    /// Identity in the library.
    pub id: BookingId,
    /// Who.
    pub athlete: AthleteId,
    /// Which test.
    pub kind: TestKind,
    /// When.
    pub on: NaiveDate,
}

/// A test closes a booking of its kind from so many days before the day booked ...
const EARLY_DAYS: i64 = 3;
/// ... to so many days after it: whoever missed the day catches up within the week (judgement).
const LATE_DAYS: i64 = 7;

impl Booking {
    /// Whether a test that was run, and not set aside, closes the booking.
    pub fn is_done(&self, tests: &[Test]) -> bool {
        tests.iter().any(|test| {
            test.athlete == self.athlete
                && test.kind == self.kind
                && !matches!(test.decision, Decision::SetAside { .. })
                && (-EARLY_DAYS..=LATE_DAYS).contains(&(test.on - self.on).num_days())
        })
    }
}

/// Why an athlete is away.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum AwayKind {
    /// Hurt.
    Injury,
    /// Ill.
    Illness,
    /// On holiday.
    Holiday,
    /// At a camp.
    Camp,
}

/// A span without tests.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Away {
    /// Identity in the library.
    pub id: AwayId,
    /// Who.
    pub athlete: AthleteId,
    /// Why.
    pub kind: AwayKind,
    /// First day away.
    pub from: NaiveDate,
    /// Last day away; `None` while it is open.
    pub to: Option<NaiveDate>,
    /// The day that running without pain (or symptoms) was noted, after injury or illness.
    pub well_on: Option<NaiveDate>,
}
