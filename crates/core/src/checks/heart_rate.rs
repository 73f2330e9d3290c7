//! Remarks about the heart rate: what of it cannot be believed, and how it lags.

use super::Evidence;
use crate::athlete::Sensor;
use crate::effort::{Effort, FLAT_FAULT_S, FaultKind, HeartRateFault, heart_rate};
use crate::recording::Span;
use crate::remark::{BearsOn, Finding, Remark, Severity};
use crate::test::TestKind;
use crate::units::Share;

/// Under these shares of trustworthy heart rate the mean is noted, doubted, spoiled (judgement).
const SHARES: (f64, f64, f64) = (0.99, 0.90, 0.50);
/// Implausible values for more than this share of the effort are worth a look (judgement).
const IMPLAUSIBLE_SHARE: f64 = 0.01;
/// The mean without the first three minutes is told where it is higher by so much (beats; judgement):
/// a heart that catches up is slow at first.
const LAG_TOLD_BPM: f64 = 1.0;

pub(super) fn remarks(evidence: &Evidence<'_>, effort: &Effort, one_effort: bool) -> Vec<Remark> {
    let mut remarks: Vec<Remark> =
        told(evidence.faults).filter_map(|f| fault(f, effort.span)).collect();
    remarks.extend(missing(evidence, effort));
    remarks.extend(lag(effort).filter(|_| one_effort));
    remarks.extend(sensor(evidence, effort));
    remarks
}

/// The faults to tell: of stretches that only may have followed the steps the longest, and none that
/// lies where another fault has the mean leave something out.
fn told(faults: &[HeartRateFault]) -> impl Iterator<Item = &HeartRateFault> {
    let maybe = |f: &HeartRateFault| f.is_suspicion() && !f.leaves_out();
    let touches = |a: &Span, b: &Span| a.from < b.to && b.from < a.to;
    let beside_others = move |fault: &HeartRateFault| {
        !faults.iter().any(|other| other.leaves_out() && touches(&other.span, &fault.span))
    };
    let longest = faults
        .iter()
        .filter(move |fault| maybe(fault) && beside_others(fault))
        .max_by(|a, b| a.span.length_s().total_cmp(&b.span.length_s()));
    faults.iter().filter(move |fault| !maybe(fault)).chain(longest)
}

/// A fault inside the effort has its own weight; one elsewhere changes nothing, and only those that
/// last are told.
fn fault(fault: &HeartRateFault, effort: Span) -> Option<Remark> {
    let lasted_s = fault.span.length_s();
    let inside_s = fault.span.to.s().min(effort.to.s()) - fault.span.from.s().max(effort.from.s());
    let inside = inside_s >= 0.0;
    let (finding, severity) = match fault.kind {
        FaultKind::Implausible { worst_bpm } => {
            let long = inside_s > IMPLAUSIBLE_SHARE * effort.length_s();
            let severity = if long { Severity::Check } else { Severity::Note };
            (Finding::HeartRateImplausible { worst_bpm }, severity)
        }
        FaultKind::Step { by_bpm } | FaultKind::Spike { by_bpm } => {
            (Finding::HeartRateStep { by_bpm }, Severity::Check)
        }
        FaultKind::Dropout { by_bpm } => {
            (Finding::HeartRateDropout { by_bpm, lasted_s }, Severity::Check)
        }
        FaultKind::Flat => {
            let severity = if lasted_s >= FLAT_FAULT_S { Severity::Check } else { Severity::Note };
            (Finding::HeartRateFlat { lasted_s }, severity)
        }
        FaultKind::CadenceLock { steps_per_minute, corroborated } => {
            let left_out = corroborated;
            let severity = if corroborated { Severity::Check } else { Severity::Note };
            (Finding::CadenceLock { steps_per_minute, lasted_s, left_out }, severity)
        }
    };
    let told = inside || fault.leaves_out();
    let severity = if inside { severity } else { Severity::Note };
    told.then(|| Remark::new(finding, severity, BearsOn::HeartRate).at(fault.span))
}

/// The 5-minute test sets no heart rate, so there it is only noted; and what is only suspected
/// never spoils.
fn missing(evidence: &Evidence<'_>, effort: &Effort) -> Option<Remark> {
    let present_share = effort.heart_rate_share.ratio();
    let (noted, doubted, spoiled) = SHARES;
    let severity = match present_share {
        share if share >= noted => return None,
        _ if evidence.kind == TestKind::FiveMinutes => Severity::Note,
        share if share >= doubted => Severity::Note,
        share if share >= spoiled => Severity::Check,
        _ if share_beside_suspicions(evidence, effort).ratio() >= spoiled => Severity::Check,
        _ => Severity::Spoils,
    };
    let finding = Finding::HeartRateMissing { present_share };
    Some(Remark::new(finding, severity, BearsOn::HeartRate).at(effort.span))
}

/// The trustworthy share, suspicions that a steady runner can raise by coincidence left aside.
fn share_beside_suspicions(evidence: &Evidence<'_>, effort: &Effort) -> Share {
    let sure: Vec<HeartRateFault> =
        evidence.faults.iter().filter(|fault| !fault.is_suspicion()).copied().collect();
    heart_rate::summarise(evidence.recording.samples(), &sure, effort.span)
        .map_or(effort.heart_rate_share, |summary| summary.share)
}

fn lag(effort: &Effort) -> Option<Remark> {
    let settled_bpm = effort.settled_heart_rate?.bpm();
    let by_bpm = settled_bpm - effort.mean_heart_rate?.bpm();
    let finding = Finding::HeartRateLag { settled_bpm, by_bpm };
    (by_bpm >= LAG_TOLD_BPM)
        .then(|| Remark::new(finding, Severity::Note, BearsOn::HeartRate).at(effort.span))
}

/// A wrist sensor the coach knows of sets no heart-rate zones anyway; one that only the file tells
/// of must be looked at first.
fn sensor(evidence: &Evidence<'_>, effort: &Effort) -> Option<Remark> {
    let _measured = effort.mean_heart_rate?;
    let told = evidence.recording.circumstances().heart_rate_sensor;
    let severity = match (evidence.known.sensor, told) {
        (Some(Sensor::Wrist), _) => Severity::Note,
        // its heart rate sets no zone anyway
        (_, Some(Sensor::Wrist)) if evidence.kind == TestKind::FiveMinutes => Severity::Note,
        (_, Some(Sensor::Wrist)) => Severity::Check,
        _ => return None,
    };
    Some(Remark::new(Finding::WristSensor, severity, BearsOn::HeartRate))
}
