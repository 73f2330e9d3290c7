//! A field test: what was run, on what evidence, and what the coach decided.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::effort::FoundBy;
use crate::ids::{AthleteId, ConditionsId, RecordingId, TestId};
use crate::physiology::conditions::Conditions;
use crate::recording::Span;
use crate::units::{Distance, HeartRate, Seconds, Share, Speed};

/// Which of the three field tests.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum TestKind {
    /// 5 minutes all-out: pace at VO2max.
    FiveMinutes,
    /// 20 minutes all-out: the second lactate threshold.
    TwentyMinutes,
    /// 40 minutes held at LT1 heart rate: first threshold pace.
    FortyMinutes,
}

impl TestKind {
    /// The three, shortest first.
    pub const ALL: [Self; 3] = [Self::FiveMinutes, Self::TwentyMinutes, Self::FortyMinutes];

    /// The length of the test in whole minutes: 5, 20 or 40.
    pub fn minutes(self) -> u32 {
        match self {
            Self::FiveMinutes => 5,
            Self::TwentyMinutes => 20,
            Self::FortyMinutes => 40,
        }
    }

    /// The test of 5, 20 or 40 minutes; `None` for any other number.
    pub fn from_minutes(minutes: u32) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.minutes() == minutes)
    }

    /// The length of the test in seconds: 300, 1200 or 2400.
    pub fn length_s(self) -> f64 {
        f64::from(self.minutes()) * 60.0
    }

    /// Whether it is run as hard as possible (5 and 20 minutes) or held at a heart rate.
    pub fn all_out(self) -> bool {
        self != Self::FortyMinutes
    }
}

/// What was run: the numbers of one effort.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Performance {
    /// Distance covered.
    pub distance: Distance,
    /// Time taken: the test's length, or a little less where a short recording was taken whole.
    pub duration: Seconds,
    /// Mean heart rate over the trustworthy seconds.
    pub mean_heart_rate: Option<HeartRate>,
    /// Share of the effort those seconds are; 1 where the coach typed the mean.
    pub heart_rate_share: Share,
    /// Highest heart rate, where a recording shows one.
    pub peak_heart_rate: Option<HeartRate>,
}

impl Performance {
    /// The mean speed; `None` only for a time of zero.
    pub fn mean_speed(&self) -> Option<Speed> {
        Speed::over(self.distance, self.duration)
    }
}

/// Where a test's numbers come from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Evidence {
    /// Typed in by the coach.
    Typed,
    /// Found in a recording.
    Recorded {
        /// Which.
        recording: RecordingId,
        /// Where in it the effort stands.
        span: Span,
        /// How it was found.
        found_by: FoundBy,
    },
}

/// What the coach says of a test.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum Decision {
    /// Not looked at yet.
    ToConfirm,
    /// It counts. A reason where it counts against what the remarks say.
    Accepted {
        /// Why, in the coach's words.
        reason: Option<String>,
    },
    /// It counts as tested again, but its change was inside the error: the zones stay as they are.
    Renewed {
        /// Why, in the coach's words.
        reason: Option<String>,
    },
    /// It does not count.
    SetAside {
        /// Why, in the coach's words.
        reason: String,
    },
}

impl Decision {
    /// Whether the test counts: for its retest window, and for the trend.
    pub fn is_accepted(&self) -> bool {
        matches!(self, Self::Accepted { .. } | Self::Renewed { .. })
    }

    /// Whether zones stand on the test.
    pub fn sets_zones(&self) -> bool {
        matches!(self, Self::Accepted { .. })
    }
}

/// One performance of a field test by an athlete.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Test {
    /// Its identity in the library.
    pub id: TestId,
    /// Whose.
    pub athlete: AthleteId,
    /// Which test.
    pub kind: TestKind,
    /// The day it was run, at the athlete's place.
    pub on: NaiveDate,
    /// What was run.
    pub performance: Performance,
    /// Where the numbers come from.
    pub evidence: Evidence,
    /// What the coach says of it.
    pub decision: Decision,
}

/// Where and in what weather a test was run, as far as the coach noted it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TestConditions {
    /// Identity in the library.
    pub id: ConditionsId,
    /// Whose.
    pub athlete: AthleteId,
    /// Which test.
    pub test: TestId,
    /// What was noted.
    pub conditions: Conditions,
}
