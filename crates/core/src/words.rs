//! The sentences for remarks, reasons and verdicts: value and unit system in, sentence out.

use crate::remark::{Finding, Remark};
use crate::units::UnitSystem;

/// One sentence for a remark: what was seen with its number, and what to do.
pub fn remark(remark: &Remark, _units: UnitSystem) -> String {
    match &remark.finding {
        Finding::CutOff => "The file is cut off.".to_owned(),
        other => format!("{other:?}"),
    }
}
