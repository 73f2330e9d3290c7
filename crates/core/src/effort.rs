//! The stretch of a recording that is the test: distance line, pauses, search, measures.
//!
//! The arrow of this module is [`find()`]: a recording and a kind of test in, an [`Effort`] out.
//! What is wrong with it is said by [`crate::checks`].

mod ascent;
mod edges;
mod fastest;
mod find;
mod ground;
pub(crate) mod heart_rate;
mod jumps;
pub(crate) mod level;
mod line;
pub(crate) mod pauses;
mod trust;

use serde::{Deserialize, Serialize};

use crate::recording::Span;
use crate::units::{Distance, HeartRate, Share, Speed};

pub use edges::{Edge, with_edge};
pub use fastest::{Window, fastest_window};
pub use find::{NoEffort, find, kind_by_lap, kind_by_length, measure};
pub use jumps::Jump;
pub use line::{DistanceLine, DistanceSource};
pub(crate) use pauses::closed_spans;
pub use trust::{FLAT_FAULT_S, FLAT_SUSPECT_S, FaultKind, HeartRateFault, heart_rate_faults};

/// A recording may be this much shorter than its test and still be taken whole (share of the
/// test's length; the program's own rule).
pub const SHORTEST_SHARE: f64 = 0.97;

/// How an effort was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum FoundBy {
    /// A marked lap.
    #[serde(rename = "lap")]
    Lap,
    /// The whole recording is the test.
    #[serde(rename = "whole recording")]
    WholeRecording,
    /// The fastest stretch of the test's length.
    #[serde(rename = "fastest")]
    Fastest,
    /// The coach set its edges.
    #[serde(rename = "by hand")]
    ByHand,
}

/// The stretch of a recording that is the test, and its numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Where it stands on the elapsed clock of the recording.
    pub span: Span,
    /// How it was found.
    pub found_by: FoundBy,
    /// Distance covered.
    pub distance: Distance,
    /// Distance over time, pauses inside included.
    pub mean_speed: Speed,
    /// The speed on level ground that would have cost the same, where altitude is known. Shown
    /// beside the mean, never in its place.
    pub flat_speed: Option<Speed>,
    /// Time-weighted mean over the trustworthy seconds.
    pub mean_heart_rate: Option<HeartRate>,
    /// The same without the first three minutes, in which the heart still catches up.
    pub settled_heart_rate: Option<HeartRate>,
    /// Share of the effort those seconds are.
    pub heart_rate_share: Share,
    /// Highest trustworthy heart rate inside.
    pub peak_heart_rate: Option<HeartRate>,
    /// Metres climbed, with a hysteresis of 3 m.
    pub ascent: Option<Distance>,
    /// The longest pause inside, where one could not be avoided: the part that lies inside.
    pub pause_inside: Option<Span>,
}
