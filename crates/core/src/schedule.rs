//! What stands in the calendar: booked tests and spans without tests.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::ids::{AthleteId, AwayId, BookingId};
use crate::test::TestKind;

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
