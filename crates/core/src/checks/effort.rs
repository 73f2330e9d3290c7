//! Remarks about the effort itself: its length, pauses, whether it was all-out, its heart rate.

use super::{Evidence, closed, plausible};
use crate::effort::{DistanceLine, Effort, FoundBy};
use crate::recording::Span;
use crate::remark::{BearsOn, Finding, Remark, Severity};
use crate::test::TestKind;
use crate::units::{Seconds, Speed};

/// The stretch beside the window that is compared with it, seconds (judgement).
const NEIGHBOUR_S: f64 = 60.0;
/// A neighbouring minute at this share of the window's speed is not clearly slower (judgement).
const NOT_CLEARLY_SLOWER: f64 = 0.95;
/// Beyond this much of its length missing, a short recording is worth a look (share; judgement).
const SHORT_WORTH_A_LOOK: f64 = 0.01;
/// Under these shares of trustworthy heart rate the mean is noted, doubted, spoiled (judgement).
const HEART_RATE_SHARES: (f64, f64, f64) = (0.99, 0.90, 0.50);

pub(super) fn remarks(
    evidence: &Evidence<'_>,
    effort: &Effort,
    line: &DistanceLine,
) -> Vec<Remark> {
    [
        taken_short(evidence.kind, effort),
        pause(effort),
        not_all_out(evidence, effort, line),
        impossible(evidence.kind, effort),
        heart_rate_missing(evidence.kind, effort),
        off_target(evidence, effort),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn taken_short(kind: TestKind, effort: &Effort) -> Option<Remark> {
    let missing_s = kind.length_s() - effort.span.length_s();
    if effort.found_by != FoundBy::WholeRecording || missing_s < 0.5 {
        return None;
    }
    let look = missing_s > SHORT_WORTH_A_LOOK * kind.length_s();
    let severity = if look { Severity::Check } else { Severity::Note };
    Some(Remark::new(Finding::TakenShort { missing_s }, severity, BearsOn::Speed).at(effort.span))
}

fn pause(effort: &Effort) -> Option<Remark> {
    let longest_s = effort.pause_inside?.s();
    let finding = Finding::PauseInside { longest_s };
    Some(Remark::new(finding, Severity::Spoils, BearsOn::Speed).at(effort.span))
}

/// A window inside a longer run whose neighbouring minute was nearly as fast was no all-out test.
fn not_all_out(evidence: &Evidence<'_>, effort: &Effort, line: &DistanceLine) -> Option<Remark> {
    if !evidence.kind.all_out() {
        return None;
    }
    let (from, to) = (effort.span.from.s(), effort.span.to.s());
    let closed = closed(evidence, line);
    let share = [(from - NEIGHBOUR_S, from), (to, to + NEIGHBOUR_S)]
        .into_iter()
        .filter(|(start, end)| *start >= 0.0 && *end <= evidence.recording.duration().s())
        .filter_map(|(start, end)| {
            Some(Span { from: Seconds::from_s(start).ok()?, to: Seconds::from_s(end).ok()? })
        })
        .filter(|minute| !closed.iter().any(|c| c.from < minute.to && c.to > minute.from))
        .filter_map(|minute| Speed::over(line.between(minute)?, Seconds::from_s(NEIGHBOUR_S).ok()?))
        .map(|speed| speed.m_per_s() / effort.mean_speed.m_per_s())
        .fold(0.0, f64::max);
    let finding = Finding::NotAllOut { neighbour_share: share };
    (share >= NOT_CLEARLY_SLOWER)
        .then(|| Remark::new(finding, Severity::Check, BearsOn::Speed).at(effort.span))
}

fn impossible(kind: TestKind, effort: &Effort) -> Option<Remark> {
    let speed_m_per_s = effort.mean_speed.m_per_s();
    (speed_m_per_s > plausible::fastest_m_per_s(kind)).then(|| {
        let finding = Finding::ImpossibleSpeed { speed_m_per_s };
        Remark::new(finding, Severity::Spoils, BearsOn::Speed).at(effort.span)
    })
}

/// The 5-minute test sets no heart rate, so there it is only noted.
fn heart_rate_missing(kind: TestKind, effort: &Effort) -> Option<Remark> {
    let present_share = effort.heart_rate_share.ratio();
    let (noted, doubted, spoiled) = HEART_RATE_SHARES;
    let severity = match present_share {
        share if share >= noted => return None,
        _ if kind == TestKind::FiveMinutes => Severity::Note,
        share if share >= doubted => Severity::Note,
        share if share >= spoiled => Severity::Check,
        _ => Severity::Spoils,
    };
    let finding = Finding::HeartRateMissing { present_share };
    Some(Remark::new(finding, severity, BearsOn::HeartRate).at(effort.span))
}

/// A 40-minute run held off its target is remarked with the likely effect on its pace, never
/// silently corrected.
fn off_target(evidence: &Evidence<'_>, effort: &Effort) -> Option<Remark> {
    let held = super::off_target(
        evidence.kind,
        effort.mean_heart_rate?,
        evidence.target?,
        effort.mean_speed,
    )?;
    Some(held.at(effort.span))
}
