//! The paper in the printer.

use serde::Serialize;

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub enum Paper {
    /// 210 x 297 mm.
    #[default]
    #[serde(rename = "a4")]
    A4,
    /// 8.5 x 11 inches.
    #[serde(rename = "us-letter")]
    Letter,
}
