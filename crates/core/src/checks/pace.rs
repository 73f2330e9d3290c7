//! Remarks about how evenly an effort was run, and over what ground.

use super::Evidence;
use crate::effort::{DistanceLine, Effort};
use crate::recording::Span;
use crate::remark::{BearsOn, Finding, Remark, Severity};
use crate::units::{Altitude, Seconds};

/// Coefficient of variation of minute splits: above the first it is noted, above the second worth a
/// look (judgement).
const UNEVEN: (f64, f64) = (0.03, 0.05);
/// The sprint at the end: the last tenth of the effort, at most a minute (judgement).
const FINISH_SHARE: f64 = 0.1;
const LONGEST_FINISH_S: f64 = 60.0;
/// So much faster than the rest it is noted, and worth a look (judgement).
const SPRINT: (f64, f64) = (0.06, 0.12);
/// Flat-equivalent speed away from the mean by so much is noted, and worth a look: under 1 % the
/// error of altitude outweighs a correction (judgement).
const SLOPE: (f64, f64) = (0.005, 0.01);
/// From this height the loss of speed is measurable: 580 m in MacInnis et al. 2015.
const HIGH_M: f64 = 580.0;

pub(super) fn remarks(
    evidence: &Evidence<'_>,
    effort: &Effort,
    line: &DistanceLine,
    one_effort: bool,
) -> Vec<Remark> {
    // how evenly two speeds were run says nothing
    let paced = evidence.kind.all_out() && one_effort;
    let remarks = [
        paced.then(|| uneven(effort, line)).flatten(),
        paced.then(|| sprint(effort, line)).flatten(),
        slope(effort),
        height(evidence, effort),
        treadmill(evidence),
    ];
    remarks.into_iter().flatten().collect()
}

/// Mean speed in metres per second between two times.
pub(super) fn speed_between(line: &DistanceLine, from: f64, to: f64) -> Option<f64> {
    let span = Span { from: Seconds::from_s(from).ok()?, to: Seconds::from_s(to).ok()? };
    Some(line.between(span)?.m() / (to - from))
}

/// Speeds of so many equal parts of a stretch.
pub(super) fn parts(line: &DistanceLine, span: Span, count: u32) -> Option<Vec<f64>> {
    let (start, each) = (span.from.s(), span.length_s() / f64::from(count));
    let edge = |index: u32| start + each * f64::from(index);
    (0..count).map(|index| speed_between(line, edge(index), edge(index + 1))).collect()
}

fn uneven(effort: &Effort, line: &DistanceLine) -> Option<Remark> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "5 to 20")]
    let minutes = (effort.span.length_s() / 60.0).round().clamp(2.0, 60.0) as u32;
    let splits = parts(line, effort.span, minutes)?;
    let count = splits.len() as f64;
    let mean = splits.iter().sum::<f64>() / count;
    let squares = splits.iter().map(|speed| (speed - mean).powi(2)).sum::<f64>();
    let variation = (squares / (count - 1.0)).sqrt() / mean;
    let quarters = parts(line, effort.span, 4)?.iter().map(|speed| speed / mean).collect();
    let severity = graded(variation, UNEVEN)?;
    let finding = Finding::UnevenPace { variation, quarters };
    Some(Remark::new(finding, severity, BearsOn::Speed).at(effort.span))
}

/// A strong sprint at the end: the rest was held back. It stands out from the half before it too, or
/// only the start was slow.
fn sprint(effort: &Effort, line: &DistanceLine) -> Option<Remark> {
    let (from, to) = (effort.span.from.s(), effort.span.to.s());
    let start = to - (FINISH_SHARE * effort.span.length_s()).min(LONGEST_FINISH_S);
    let than =
        |since: f64| Some(speed_between(line, start, to)? / speed_between(line, since, start)?);
    let faster_by = than(from)?.min(than(f64::midpoint(from, to))?) - 1.0;
    let severity = graded(faster_by, SPRINT)?;
    let span = Span { from: Seconds::from_s(start).ok()?, to: effort.span.to };
    Some(Remark::new(Finding::FinishSprint { faster_by }, severity, BearsOn::Speed).at(span))
}

fn slope(effort: &Effort) -> Option<Remark> {
    let mean = effort.mean_speed.m_per_s();
    let flat_m_per_s = effort.flat_speed?.m_per_s();
    let by = flat_m_per_s / mean - 1.0;
    let severity = graded(by.abs(), SLOPE)?;
    let finding = Finding::Slope { flat_m_per_s, by };
    Some(Remark::new(finding, severity, BearsOn::Speed).at(effort.span))
}

fn height(evidence: &Evidence<'_>, effort: &Effort) -> Option<Remark> {
    let inside = |time: Seconds| (effort.span.from..=effort.span.to).contains(&time);
    let samples = evidence.recording.samples().iter().filter(|sample| inside(sample.time));
    let heights: Vec<f64> = samples.filter_map(|s| s.altitude).map(Altitude::m).collect();
    let above_sea_m = heights.iter().sum::<f64>() / heights.len() as f64;
    let finding = Finding::HighAltitude { above_sea_m };
    (above_sea_m >= HIGH_M)
        .then(|| Remark::new(finding, Severity::Note, BearsOn::Speed).at(effort.span))
}

/// A treadmill with typed speed is a series of its own; without, its distance comes from the swing
/// of an arm.
fn treadmill(evidence: &Evidence<'_>) -> Option<Remark> {
    let typed = evidence.measured;
    let severity = match typed {
        Some(measured) if measured.is_treadmill() => Severity::Note,
        _ if evidence.recording.circumstances().indoors => Severity::Check,
        _ => return None,
    };
    let finding = Finding::Treadmill { speed_typed: typed.is_some() };
    Some(Remark::new(finding, severity, BearsOn::Speed))
}

/// Note above the first bound, check above the second.
fn graded(amount: f64, (note, check): (f64, f64)) -> Option<Severity> {
    match amount {
        amount if amount > check => Some(Severity::Check),
        amount if amount > note => Some(Severity::Note),
        _ => None,
    }
}
