//! The stretch of a recording that is the test.

use serde::{Deserialize, Serialize};

/// How an effort was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum FoundBy {
    /// A marked lap.
    Lap,
    /// The whole recording is the test.
    WholeRecording,
    /// The fastest stretch of the test's length.
    Fastest,
}
