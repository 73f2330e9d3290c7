//! Recording to effort to remarks to use, in one call.

use crate::checks::{self, Evidence};
use crate::effort::{self, DistanceLine, Effort, NoEffort};
use crate::recording::{Recording, Span};
use crate::remark::{BearsOn, Remark, Severity, Use};
use crate::test::{Performance, TestKind};
use crate::units::{HeartRate, Seconds, Share};

/// What a recording is worth as a test.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessment {
    /// The effort found.
    pub effort: Option<Effort>,
    /// What the effort is good for.
    pub good_for: Use,
    /// What the checks say, worst first.
    pub remarks: Vec<Remark>,
}

/// Finds the effort of a test in a recording and judges it.
///
/// # Errors
/// A recording under 97 % of the test's length. (A recording without distance is no error: it has
/// no effort, a remark that says so, and is unusable.)
pub fn assess(
    recording: &Recording,
    kind: TestKind,
    target: Option<HeartRate>,
) -> Result<Assessment, NoEffort> {
    let line = DistanceLine::of(recording);
    let effort = match effort::find(recording, line.as_ref(), kind) {
        Ok(effort) => Some(effort),
        Err(NoEffort::NoDistance) => None,
        Err(too_short @ NoEffort::TooShort { .. }) => return Err(too_short),
    };
    let evidence =
        Evidence { recording, line: line.as_ref(), effort: effort.as_ref(), kind, target };
    let remarks = checks::judge(&evidence);
    Ok(Assessment {
        good_for: if effort.is_some() { Use::of(&remarks) } else { Use::Unusable },
        effort,
        remarks,
    })
}

/// Judges a stretch the coach chose as the effort of a test.
///
/// # Errors
/// A stretch under 97 % of the test's length.
pub fn assess_at(
    recording: &Recording,
    kind: TestKind,
    span: Span,
    target: Option<HeartRate>,
) -> Result<Assessment, NoEffort> {
    let shortest_s = effort::SHORTEST_SHARE * kind.length_s();
    if span.length_s() < shortest_s {
        return Err(NoEffort::TooShort { have_s: span.length_s(), need_s: kind.length_s() });
    }
    let line = DistanceLine::of(recording).ok_or(NoEffort::NoDistance)?;
    let effort = effort::measure(recording, &line, span).ok_or(NoEffort::NoDistance)?;
    let evidence = Evidence { recording, line: Some(&line), effort: Some(&effort), kind, target };
    let remarks = checks::judge(&evidence);
    Ok(Assessment { good_for: Use::of(&remarks), effort: Some(effort), remarks })
}

impl Assessment {
    /// The numbers a test keeps of this effort; a spoiled mean heart rate is not one of them.
    pub fn performance(&self) -> Option<Performance> {
        let effort = self.effort?;
        let spoiled = self
            .remarks
            .iter()
            .any(|r| r.severity == Severity::Spoils && r.bears_on == Some(BearsOn::HeartRate));
        Some(Performance {
            distance: effort.distance,
            duration: Seconds::from_s(effort.span.length_s()).ok()?,
            mean_heart_rate: effort.mean_heart_rate.filter(|_| !spoiled),
            heart_rate_share: if spoiled {
                Share::from_ratio(0.0).ok()?
            } else {
                effort.heart_rate_share
            },
            peak_heart_rate: effort.peak_heart_rate,
        })
    }
}
