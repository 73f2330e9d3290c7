//! Remarks about the file as such: cut, altered, chained, another sport, its clock, its distance.

use super::Evidence;
use crate::effort::{DistanceLine, DistanceSource, Jump};
use crate::recording::{Recording, Repair, Span, Sport};
use crate::remark::{BearsOn, Finding, Remark, Severity};
use crate::units::{Distance, Seconds};

pub(super) fn remarks(evidence: &Evidence<'_>) -> Vec<Remark> {
    let mut remarks: Vec<Remark> = evidence.recording.repairs().iter().filter_map(repair).collect();
    for remark in &mut remarks {
        if matches!(remark.finding, Finding::ChainedParts { .. }) {
            remark.span = second_part(evidence.recording);
        }
    }
    remarks.extend(sport(evidence));
    remarks.extend(distance(evidence));
    remarks
}

/// What a repair means for a test. Repairs that change nothing (equal times merged, a counter
/// joined, single cells ignored) make no remark.
fn repair(repair: &Repair) -> Option<Remark> {
    let here = |at: &crate::units::Seconds| Span { from: *at, to: *at };
    Some(match repair {
        Repair::ClockSpike { at, ahead_s } => {
            Remark::new(Finding::ClockSpike { ahead_s: *ahead_s }, Severity::Note, None)
                .at(here(at))
        }
        Repair::TimesBackwards { count, at } => {
            Remark::new(Finding::ClockBackwards { count: *count }, Severity::Note, None)
                .at(here(at))
        }
        Repair::NoDate => Remark::new(Finding::ClockWithoutDate, Severity::Check, None),
        Repair::Truncated { at } => {
            Remark::new(Finding::CutOff, Severity::Check, None).at(here(at))
        }
        Repair::ChecksumMismatch => Remark::new(Finding::WrongChecksum, Severity::Check, None),
        Repair::Parts { count } => {
            Remark::new(Finding::ChainedParts { count: *count }, Severity::Check, None)
        }
        Repair::FilesJoined { count, at } => {
            Remark::new(Finding::FilesJoined { count: *count }, Severity::Check, None).at(here(at))
        }
        Repair::EqualTimesMerged { .. }
        | Repair::TimelessDropped { .. }
        | Repair::CounterRestarted { .. }
        | Repair::CellsIgnored { .. } => return None,
    })
}

/// Where the second of several chained parts begins, as far as that can be seen: at its leg, or where
/// its records went back in time.
fn second_part(recording: &Recording) -> Option<Span> {
    let back = recording.repairs().iter().find_map(|repair| match repair {
        Repair::TimesBackwards { at, .. } => Some(Span { from: *at, to: *at }),
        _ => None,
    });
    recording.legs().get(1).map(|leg| leg.span).or(back)
}

/// Another sport than running spoils the speed, unless one of its legs is a run: then only the
/// runs are searched.
fn sport(evidence: &Evidence<'_>) -> Option<Remark> {
    let recording = evidence.recording;
    let Sport::Other(name) = recording.sport() else {
        return None;
    };
    if recording.legs().iter().any(|leg| leg.sport == Sport::Running) {
        return None;
    }
    let finding = Finding::AnotherSport { name: name.clone() };
    Some(Remark::new(finding, Severity::Spoils, BearsOn::Speed))
}

/// Entered and recorded distance further apart than this are worth a look: what positions are off
/// in town and forest (share; Gilgen-Ammann et al. 2020, doi 10.2196/17118: 3 to 6 %, at most 9).
const ENTERED_APART: f64 = 0.06;
/// Jumps closer together than this (seconds) are told as one.
const JUMPS_TOGETHER_S: f64 = 60.0;

fn distance(evidence: &Evidence<'_>) -> Vec<Remark> {
    let Some(line) = evidence.line else {
        return vec![Remark::new(Finding::NoDistance, Severity::Spoils, BearsOn::Speed)];
    };
    let mut remarks = jumps(evidence, line);
    remarks.extend(entered_elsewhere(evidence, line));
    match (evidence.measured, line.source()) {
        (Some(_), _) => remarks.extend(entered(evidence)),
        (None, DistanceSource::Positions) => {
            let finding = Finding::DistanceFromPositions;
            remarks.push(Remark::new(finding, Severity::Note, BearsOn::Speed));
        }
        (None, DistanceSource::Device | DistanceSource::Entered) => {}
    }
    remarks
}

/// An entered distance overrides the recording's; where they are far apart one of them is wrong.
fn entered(evidence: &Evidence<'_>) -> Option<Remark> {
    let effort = evidence.effort?;
    let recorded_m = evidence.recorded.map(Distance::m).filter(|metres| *metres > 0.0);
    let longer_by = recorded_m.map(|metres| effort.distance.m() / metres - 1.0);
    let apart = longer_by.is_some_and(|by| by.abs() > ENTERED_APART);
    let severity = if apart { Severity::Check } else { Severity::Note };
    let finding = Finding::DistanceEntered { recorded_m, longer_by };
    Some(Remark::new(finding, severity, BearsOn::Speed).at(effort.span))
}

/// What was measured of another stretch than the effort does not count for it: the recording's own
/// distance does, where there is one.
fn entered_elsewhere(evidence: &Evidence<'_>, line: &DistanceLine) -> Option<Remark> {
    let effort = evidence.effort?;
    let entered = evidence.known.measured.as_ref().filter(|_| evidence.measured.is_none())?;
    let over = entered.over?;
    let measured_m = entered.measured.distance(Seconds::from_s(over.length_s()).ok()?)?.m();
    let recorded = line.source() != DistanceSource::Entered;
    let severity = if recorded { Severity::Check } else { Severity::Spoils };
    let (from_s, to_s) = (over.from.s(), over.to.s());
    let finding = Finding::MeasuredElsewhere { measured_m, from_s, to_s, recorded };
    Some(Remark::new(finding, severity, BearsOn::Speed).at(effort.span))
}

/// Jumps that were bridged inside the effort must be looked at; jumps elsewhere, and those that the
/// distance does not rest on, are only noted.
fn jumps(evidence: &Evidence<'_>, line: &DistanceLine) -> Vec<Remark> {
    let bridged = line.source() == DistanceSource::Positions && evidence.measured.is_none();
    let near = |a: &Jump, b: &Jump| b.at.s() - a.at.s() <= JUMPS_TOGETHER_S;
    line.jumps()
        .chunk_by(near)
        .filter_map(|together| {
            let (first, last) = (together.first()?, together.last()?);
            let touches = evidence.effort.is_some_and(|effort| {
                together.iter().any(|j| j.at >= effort.span.from && j.at <= effort.span.to)
            });
            let count = together.len();
            let largest_m = together.iter().map(|j| j.length.m()).fold(0.0, f64::max);
            let finding = if bridged {
                Finding::JumpsBridged { count, largest_m }
            } else {
                Finding::PositionsJumped { count, largest_m }
            };
            let look = bridged && touches;
            let severity = if look { Severity::Check } else { Severity::Note };
            let span = Span { from: first.at, to: last.at };
            Some(Remark::new(finding, severity, BearsOn::Speed).at(span))
        })
        .collect()
}
