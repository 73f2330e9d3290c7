//! Distances that were measured by other means than the recording: a typed distance, laps of a
//! measured course, a treadmill's own speed. They override the recording's distance.

use serde::{Deserialize, Serialize};

use crate::physiology::slope::level_speed_factor;
use crate::recording::Span;
use crate::units::{Distance, Laps, Seconds, Slope, Speed};

/// What a course is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Surface {
    /// A running track.
    Track,
    /// Asphalt, concrete or paving.
    Road,
    /// Gravel, grass, woodland paths.
    Trail,
}

/// A measured loop or stretch, named once and used again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Course {
    /// What the coach calls it.
    pub name: String,
    /// Length of one lap.
    pub length: Distance,
    /// What it is made of.
    pub surface: Surface,
    /// Net slope of a stretch run one way (rise over run); zero for a loop.
    pub slope: Slope,
}

/// The line of a standard 400 m track: two straights of 84.39 m and two bends of 36.50 m to the
/// kerb, measured 0.30 m out in lane 1 and 0.20 m out in the others; lanes 1.22 m wide.
///
/// # Source
/// World Athletics technical rules on track measurement (from memory); lane 1 comes to 400.00 m.
const STRAIGHT_M: f64 = 84.39;
const KERB_RADIUS_M: f64 = 36.50;
const LANE_WIDTH_M: f64 = 1.22;
const OUT_IN_LANE_1_M: f64 = 0.30;
const OUT_IN_OTHER_LANES_M: f64 = 0.20;

/// A lane of a standard track, 1 to 9.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(try_from = "u8", into = "u8")]
pub struct Lane(u8);

/// A lane no standard track has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a standard track has lanes 1 to 9, not {0}")]
pub struct NoSuchLane(u8);

impl TryFrom<u8> for Lane {
    type Error = NoSuchLane;

    fn try_from(number: u8) -> Result<Self, NoSuchLane> {
        if (1..=9).contains(&number) { Ok(Self(number)) } else { Err(NoSuchLane(number)) }
    }
}

impl From<Lane> for u8 {
    fn from(lane: Lane) -> Self {
        lane.0
    }
}

impl Lane {
    /// One lap in this lane, in metres.
    fn lap_m(self) -> f64 {
        let out = if self.0 == 1 {
            OUT_IN_LANE_1_M
        } else {
            LANE_WIDTH_M * f64::from(self.0 - 1) + OUT_IN_OTHER_LANES_M
        };
        2.0 * (STRAIGHT_M + std::f64::consts::PI * (KERB_RADIUS_M + out))
    }
}

impl Course {
    /// A standard 400 m track, in one lane.
    pub fn track(lane: Lane) -> Option<Self> {
        Some(Self {
            name: format!("track, lane {}", lane.0),
            length: Distance::from_m(lane.lap_m()).ok()?,
            surface: Surface::Track,
            slope: Slope::from_ratio(0.0).ok()?,
        })
    }
}

/// How far an effort went, as somebody measured it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Measured {
    /// The whole distance of the effort, typed.
    Distance(Distance),
    /// Laps of a measured course.
    Laps {
        /// Which course.
        course: Course,
        /// How many.
        laps: Laps,
    },
    /// A treadmill's own speed and incline.
    Treadmill {
        /// Belt speed.
        speed: Speed,
        /// Incline, rise over run.
        incline: Slope,
    },
}

/// Ends of stretches that are nearer than this (seconds) are the same: only rounding parts them.
const SAME_END_S: f64 = 1e-3;

/// How far somebody measured an effort to be, and the stretch of its recording they meant.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MeasuredEffort {
    /// How far.
    pub measured: Measured,
    /// The effort it was measured for; `None` where it is that of whatever effort is found.
    pub over: Option<Span>,
}

impl MeasuredEffort {
    /// Whether it counts for a stretch. A belt has its speed wherever the edges stand. A distance or
    /// laps are those of the effort they were measured for and of no other: with another length the
    /// pace would be wrong, and of the same length elsewhere nobody has counted them.
    pub fn counts_for(&self, span: Span) -> bool {
        let Some(over) = self.over else { return true };
        let same = |a: Seconds, b: Seconds| (a.s() - b.s()).abs() < SAME_END_S;
        self.measured.is_treadmill() || (same(over.from, span.from) && same(over.to, span.to))
    }
}

/// On what a test was run: results on one are no series with results on the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Series {
    /// On the ground.
    Outdoors,
    /// On a treadmill or otherwise indoors.
    Treadmill,
}

impl Measured {
    /// The distance run in a time; `None` where no quantity can hold it.
    pub fn distance(&self, time: Seconds) -> Option<Distance> {
        match self {
            Self::Distance(distance) => Some(*distance),
            Self::Laps { course, laps } => Distance::from_m(course.length.m() * laps.count()).ok(),
            Self::Treadmill { speed, .. } => Distance::from_m(speed.m_per_s() * time.s()).ok(),
        }
    }

    /// The level speed that costs the same as this mean speed, where the slope is known.
    pub(crate) fn level_speed(&self, mean: Speed) -> Option<Speed> {
        let slope = match self {
            Self::Distance(_) => return None,
            Self::Laps { course, .. } => course.slope,
            Self::Treadmill { incline, .. } => *incline,
        };
        Speed::from_m_per_s(mean.m_per_s() * level_speed_factor(slope.ratio())).ok()
    }

    /// Whether it was run on a treadmill.
    pub fn is_treadmill(&self) -> bool {
        matches!(self, Self::Treadmill { .. })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn laps_of_a_standard_track() {
        let lap = |number| Course::track(Lane::try_from(number).unwrap()).unwrap().length.m();
        // lane 1 is 400 m by definition; lane 2 is 407.04 m in any table of lane lengths (from memory)
        assert!((lap(1) - 400.0).abs() < 0.01, "{}", lap(1));
        assert!((lap(2) - 407.04).abs() < 0.01, "{}", lap(2));
        assert!((lap(8) - 453.03).abs() < 0.01, "{}", lap(8));
        assert!(Lane::try_from(0).is_err() && Lane::try_from(10).is_err());
    }

    #[test]
    fn what_was_measured_counts_for_the_effort_it_was_measured_for() {
        let seconds = |s| Seconds::from_s(s).unwrap();
        let span = |from, to| Span { from: seconds(from), to: seconds(to) };
        let course = Course::track(Lane::try_from(1).unwrap()).unwrap();
        let laps = Measured::Laps { course, laps: Laps::from_count(13.0).unwrap() };
        let plain = Measured::Distance(Distance::from_m(5_200.0).unwrap());
        let belt = Measured::Treadmill {
            speed: Speed::from_m_per_s(4.0).unwrap(),
            incline: Slope::from_ratio(0.0).unwrap(),
        };
        let of = |measured: &Measured, over| MeasuredEffort { measured: measured.clone(), over };
        let over = Some(span(600.0, 1_800.0));
        // where it was measured, but for the last bits; longer; shorter; as long, but later
        let spans =
            [(600.0, 1_800.000_000_1), (600.0, 1_830.0), (630.0, 1_800.0), (601.0, 1_801.0)];
        for (measured, counts) in [
            (&laps, [true, false, false, false]),
            (&plain, [true, false, false, false]),
            (&belt, [true; 4]),
        ] {
            let found = spans.map(|(from, to)| of(measured, over).counts_for(span(from, to)));
            assert_eq!(found, counts, "{measured:?}");
            assert!(of(measured, None).counts_for(span(5.0, 1_205.0)), "wherever it is found");
        }
    }

    #[test]
    fn a_treadmill_counts_by_time_and_a_course_by_laps() {
        let treadmill = Measured::Treadmill {
            speed: Speed::from_m_per_s(4.0).unwrap(),
            incline: Slope::from_ratio(0.05).unwrap(),
        };
        let time = Seconds::from_s(300.0).unwrap();
        assert_eq!(treadmill.distance(time), Distance::from_m(1_200.0).ok());
        // 4.6852 / 3.6 at 5 %, worked by hand from the published cost of slopes
        let level = treadmill.level_speed(Speed::from_m_per_s(4.0).unwrap()).unwrap();
        assert!((level.m_per_s() - 4.0 * 1.3014).abs() < 0.001);
        let course = Course::track(Lane::try_from(1).unwrap()).unwrap();
        let laps = Measured::Laps { course, laps: Laps::from_count(3.5).unwrap() };
        assert!((laps.distance(time).unwrap().m() - 1_400.0).abs() < 0.02);
    }
}
