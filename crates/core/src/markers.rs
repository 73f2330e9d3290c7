//! The four physiological points the zones stand on.

use serde::{Deserialize, Serialize};

use crate::test::TestKind;
use crate::units::{Estimate, HeartRate, Speed};

mod derive;
mod evidence;

pub use derive::{Derived, derive, forty_minute_target};
pub(crate) use derive::{Held, floor_by_method, held, maximum};
pub use evidence::{Attempt, MarkerEvidence};

/// Which physiological point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MarkerName {
    /// 56 % of VO2max: the floor of aerobic conditioning.
    AerobicFloor,
    /// The first threshold.
    Lt1,
    /// The second lactate threshold.
    Lt2,
    /// The pace at VO2max.
    Vo2max,
}

impl MarkerName {
    /// All four, slowest first.
    pub const ALL: [Self; 4] = [Self::AerobicFloor, Self::Lt1, Self::Lt2, Self::Vo2max];

    /// The marker a test gives.
    pub const fn of(kind: TestKind) -> Self {
        match kind {
            TestKind::FiveMinutes => Self::Vo2max,
            TestKind::TwentyMinutes => Self::Lt2,
            TestKind::FortyMinutes => Self::Lt1,
        }
    }

    /// The test that gives it anew; the floor follows from VO2max pace.
    pub const fn renewed_by(self) -> TestKind {
        match self {
            Self::AerobicFloor | Self::Vo2max => TestKind::FiveMinutes,
            Self::Lt1 => TestKind::FortyMinutes,
            Self::Lt2 => TestKind::TwentyMinutes,
        }
    }
}

/// A marker's speed and heart rate, as far as they are known.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Marker {
    /// Speed.
    pub speed: Option<Estimate<Speed>>,
    /// Heart rate; absent at VO2max and on rate-lowering medication.
    pub heart_rate: Option<Estimate<HeartRate>>,
}

/// The four markers of an athlete.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Markers {
    /// 56 % of VO2max.
    pub aerobic_floor: Marker,
    /// The first threshold.
    pub lt1: Marker,
    /// The second lactate threshold.
    pub lt2: Marker,
    /// The pace at VO2max.
    pub vo2max: Marker,
}

impl Markers {
    /// The marker of a name.
    pub fn get(&self, name: MarkerName) -> &Marker {
        match name {
            MarkerName::AerobicFloor => &self.aerobic_floor,
            MarkerName::Lt1 => &self.lt1,
            MarkerName::Lt2 => &self.lt2,
            MarkerName::Vo2max => &self.vo2max,
        }
    }
}
