//! Recording to effort to remarks to use, in one call.

mod second;

use crate::checks::{self, Evidence};
use crate::course::{Measured, MeasuredEffort, Series};
use crate::effort::{self, DistanceLine, Effort, FoundBy, NoEffort, heart_rate_faults};
use crate::recording::{Recording, Span};
use crate::remark::{BearsOn, Remark, Severity, Use};
use crate::test::{Performance, TestKind};
use crate::units::{HeartRate, Seconds, Share, Speed};

pub use crate::known::Known;
pub use second::{Better, Worth, better_of};

/// What a recording is worth as a test.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessment {
    /// The effort found.
    pub effort: Option<Effort>,
    /// What the effort is good for.
    pub good_for: Use,
    /// What the checks say, worst first.
    pub remarks: Vec<Remark>,
    /// On what it was run.
    pub series: Series,
}

/// Finds the effort of a test in a recording and judges it, with at most a target heart rate known.
///
/// # Errors
/// A recording under 97 % of the test's length. (A recording without distance is no error: it has
/// no effort, a remark that says so, and is unusable.)
pub fn assess(
    recording: &Recording,
    kind: TestKind,
    target: Option<HeartRate>,
) -> Result<Assessment, NoEffort> {
    assess_known(recording, kind, &Known { target, ..Known::default() })
}

/// Finds the effort of a test in a recording and judges it by all that is known of it.
///
/// # Errors
/// As [`assess`].
pub fn assess_known(
    recording: &Recording,
    kind: TestKind,
    known: &Known,
) -> Result<Assessment, NoEffort> {
    let mut line = DistanceLine::of(recording);
    let mut found = effort::find(recording, line.as_ref(), kind);
    if let (Err(NoEffort::NoDistance), Some(measured)) = (&found, &known.measured) {
        line = even_line(recording, measured);
        // an even line places nothing: only a lap or the recording itself can be the test then
        found = effort::find(recording, line.as_ref(), kind)
            .and_then(|effort| placed_without_speed(recording, effort));
        if let Ok(effort) = &found {
            let over = measured.over.or(Some(effort.span));
            line = even_line(recording, &MeasuredEffort { over, ..measured.clone() });
            found = line
                .as_ref()
                .and_then(|line| effort::measure(recording, line, effort.span))
                .map(|measured| Effort { found_by: effort.found_by, ..measured })
                .ok_or(NoEffort::NoDistance);
        }
    }
    let recorded = match found {
        Ok(effort) => Some(effort),
        Err(NoEffort::NoDistance) => None,
        Err(too_short @ NoEffort::TooShort { .. }) => return Err(too_short),
    };
    Ok(judged(recording, kind, line.as_ref(), recorded, known))
}

/// Judges a stretch the coach chose as the effort of a test.
///
/// # Errors
/// As [`assess_at_known`].
pub fn assess_at(
    recording: &Recording,
    kind: TestKind,
    span: Span,
    target: Option<HeartRate>,
) -> Result<Assessment, NoEffort> {
    let known = Known { target, ..Known::default() };
    assess_at_known(recording, kind, span, FoundBy::ByHand, &known)
}

/// Judges a stretch that was chosen before as the effort of a test, by all that is known of it.
///
/// # Errors
/// A stretch under 97 % of the test's length, or a recording without distance.
pub fn assess_at_known(
    recording: &Recording,
    kind: TestKind,
    span: Span,
    found_by: FoundBy,
    known: &Known,
) -> Result<Assessment, NoEffort> {
    let (have_s, need_s) = (span.length_s(), kind.length_s());
    if have_s < effort::SHORTEST_SHARE * need_s {
        return Err(NoEffort::TooShort { have_s, need_s });
    }
    let line = line_of(recording, known).ok_or(NoEffort::NoDistance)?;
    let measured = effort::measure(recording, &line, span).ok_or(NoEffort::NoDistance)?;
    let effort = Effort { found_by, ..measured };
    Ok(judged(recording, kind, Some(&line), Some(effort), known))
}

/// An effort as the recording has it, with what is measured elsewhere and what the checks say.
fn judged(
    recording: &Recording,
    kind: TestKind,
    line: Option<&DistanceLine>,
    recorded: Option<Effort>,
    known: &Known,
) -> Assessment {
    let entered = known.measured.as_ref();
    let counts =
        |entered: &&MeasuredEffort| recorded.is_none_or(|effort| entered.counts_for(effort.span));
    let measured = entered.filter(counts).map(|entered| &entered.measured);
    let effort = recorded.map(|effort| overridden(effort, measured).unwrap_or(effort));
    let faults = heart_rate_faults(recording.samples());
    let evidence = Evidence {
        recording,
        line,
        recorded: recorded.map(|effort| effort.distance),
        effort: effort.as_ref(),
        kind,
        known,
        measured,
        faults: &faults,
    };
    let remarks = checks::judge(&evidence);
    let indoors = recording.circumstances().indoors || measured.is_some_and(Measured::is_treadmill);
    Assessment {
        good_for: if effort.is_some() { Use::of(&remarks) } else { Use::Unusable },
        effort,
        remarks,
        series: if indoors { Series::Treadmill } else { Series::Outdoors },
    }
}

/// The distance of a recording against time: its own, else what is measured, run evenly.
pub fn line_of(recording: &Recording, known: &Known) -> Option<DistanceLine> {
    let even = || even_line(recording, known.measured.as_ref()?);
    DistanceLine::of(recording).or_else(even)
}

/// The whole recording at the mean speed that was measured, for one that holds no distance of its
/// own.
fn even_line(recording: &Recording, entered: &MeasuredEffort) -> Option<DistanceLine> {
    let (from, to) = (recording.samples().first()?.time, recording.duration());
    let whole = Span { from, to };
    let time = Seconds::from_s(entered.over.unwrap_or(whole).length_s()).ok()?;
    let speed = Speed::over(entered.measured.distance(time)?, time)?;
    DistanceLine::even(whole, speed)
}

fn placed_without_speed(recording: &Recording, effort: Effort) -> Result<Effort, NoEffort> {
    let little = (2.0 - effort::SHORTEST_SHARE) * effort.span.length_s();
    let placed = effort.found_by != FoundBy::Fastest || recording.duration().s() <= little;
    if placed { Ok(effort) } else { Err(NoEffort::NoDistance) }
}

/// The effort with its distance as measured elsewhere.
fn overridden(effort: Effort, measured: Option<&Measured>) -> Option<Effort> {
    let time = Seconds::from_s(effort.span.length_s()).ok()?;
    let distance = measured?.distance(time)?;
    let mean_speed = Speed::over(distance, time)?;
    let longer = mean_speed.m_per_s() / effort.mean_speed.m_per_s();
    let scaled = |flat: Speed| Speed::from_m_per_s(flat.m_per_s() * longer).ok();
    let flat_speed =
        measured?.level_speed(mean_speed).or_else(|| effort.flat_speed.and_then(scaled));
    Some(Effort { distance, mean_speed, flat_speed, ..effort })
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
