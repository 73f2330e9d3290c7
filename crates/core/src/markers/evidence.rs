//! What markers are derived from.

use chrono::NaiveDate;

use super::MarkerName;
use crate::doubt::EffortDoubt;
use crate::laboratory::LaboratoryValue;
use crate::physiology::conditions::Conditions;
use crate::physiology::reliability;
use crate::physiology::thresholds::FirstThresholdFactor;
use crate::race::Ran;
use crate::rules::Rules;
use crate::test::{Performance, TestKind};
use crate::units::{HeartRate, Speed, Years};

/// One field test that counts, with all that decides how far it is believed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Attempt {
    /// What was run.
    pub performance: Performance,
    /// Whether it was the athlete's first of its kind.
    pub first: bool,
    /// How much its remarks doubt it.
    pub doubt: EffortDoubt,
    /// When, where known.
    pub on: Option<NaiveDate>,
    /// Where and in what weather, as far as known.
    pub conditions: Conditions,
}

impl From<Performance> for Attempt {
    /// A practised, undoubted test of no known day.
    fn from(performance: Performance) -> Self {
        Self {
            performance,
            first: false,
            doubt: EffortDoubt::NONE,
            on: None,
            conditions: Conditions::default(),
        }
    }
}

impl Attempt {
    /// The mean speed and its repeatability, relative to it: the kind's own, wider for a first
    /// attempt and where remarks doubt it.
    pub fn speed(&self, kind: TestKind) -> Option<(Speed, f64)> {
        let percent = reliability::speed_percent(kind, self.first) * self.doubt.speed_factor();
        Some((self.performance.mean_speed()?, percent / 100.0))
    }

    /// The mean heart rate and its repeatability, relative to it.
    pub fn heart_rate(&self) -> Option<(HeartRate, f64)> {
        let percent = reliability::HEART_RATE_PERCENT * self.doubt.heart_rate_factor();
        Some((self.performance.mean_heart_rate?, percent / 100.0))
    }
}

/// What markers are derived from: the newest accepted test of each kind and what is known besides.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MarkerEvidence {
    /// 5 minutes all-out.
    pub five: Option<Attempt>,
    /// 20 minutes all-out.
    pub twenty: Option<Attempt>,
    /// 40 minutes at LT1 heart rate.
    pub forty: Option<Attempt>,
    /// The newest race or time trial of 3 to 10 km; it stands in where there is no 20-minute test,
    /// or only one whose window has closed.
    pub race: Option<Ran>,
    /// The newest laboratory value of each marker; it stands for its marker until a newer test.
    pub laboratory: Vec<LaboratoryValue>,
    /// LT1 heart rate over LT2 heart rate.
    pub factor: FirstThresholdFactor,
    /// The rules of the library.
    pub rules: Rules,
    /// Maximal heart rate typed in.
    pub entered_maximum: Option<HeartRate>,
    /// Heart rate at rest, typed in.
    pub resting: Option<HeartRate>,
    /// Highest credible peak of accepted all-out efforts and races.
    pub peak: Option<HeartRate>,
    /// Age on the day.
    pub age: Option<Years>,
    /// Medication that lowers the heart rate: no heart rates at all.
    pub rate_lowering_medication: bool,
    /// Heart rates were measured at the wrist: none is trusted.
    pub wrist_sensor: bool,
}

impl MarkerEvidence {
    /// The newest laboratory value of a marker.
    pub fn newest_in_laboratory(&self, marker: MarkerName) -> Option<&LaboratoryValue> {
        let of_marker = self.laboratory.iter().filter(|value| value.marker == marker);
        of_marker.max_by_key(|value| (value.on, value.id))
    }
}
