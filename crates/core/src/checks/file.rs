//! Remarks about the file as such: cut, altered, chained, another sport, its clock, its distance.

use super::Evidence;
use crate::effort::DistanceSource;
use crate::recording::{Repair, Span, Sport};
use crate::remark::{BearsOn, Finding, Remark, Severity};
use crate::units::Distance;

pub(super) fn remarks(evidence: &Evidence<'_>) -> Vec<Remark> {
    let mut remarks: Vec<Remark> = evidence.recording.repairs().iter().filter_map(repair).collect();
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
        Repair::EqualTimesMerged { .. }
        | Repair::TimelessDropped { .. }
        | Repair::CounterRestarted { .. }
        | Repair::CellsIgnored { .. } => return None,
    })
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

fn distance(evidence: &Evidence<'_>) -> Vec<Remark> {
    let Some(line) = evidence.line else {
        return vec![Remark::new(Finding::NoDistance, Severity::Spoils, BearsOn::Speed)];
    };
    let mut remarks = Vec::new();
    if line.source() == DistanceSource::Positions {
        remarks.push(Remark::new(Finding::DistanceFromPositions, Severity::Note, BearsOn::Speed));
    }
    remarks.extend(jumps(evidence, line.jumps()));
    remarks
}

/// Jumps inside the effort must be looked at; jumps elsewhere are only noted.
fn jumps(evidence: &Evidence<'_>, jumps: &[crate::effort::Jump]) -> Option<Remark> {
    let (first, last) = (jumps.first()?, jumps.last()?);
    let inside = |span: Span| jumps.iter().any(|j| j.at >= span.from && j.at <= span.to);
    let touches = evidence.effort.is_some_and(|effort| inside(effort.span));
    let largest_m = jumps.iter().map(|j| j.length).map(Distance::m).fold(0.0, f64::max);
    let finding = Finding::JumpsBridged { count: jumps.len(), largest_m };
    let severity = if touches { Severity::Check } else { Severity::Note };
    Some(Remark::new(finding, severity, BearsOn::Speed).at(Span { from: first.at, to: last.at }))
}
