//! Remarks about a 40-minute run held at a heart rate: on target, and without fading.

use super::Evidence;
use super::pace::speed_between;
use crate::effort::{DistanceLine, Effort, heart_rate};
use crate::physiology::heart_rate_gain::{
    BPM_PER_M_PER_S, speed_change_for, speed_per_beat_change,
};
use crate::recording::Span;
use crate::remark::{BearsOn, Finding, Remark, Severity};
use crate::test::TestKind;
use crate::units::{HeartRate, Seconds, Speed};

/// A 40-minute test is on target while its heart rate is this close (beats; judgement).
const ON_TARGET_BPM: f64 = 3.0;
/// On target for less than these shares of the time is noted, and worth a look (judgement).
const TIME_ON_TARGET: (f64, f64) = (0.80, 0.50);
/// The heart rate settles first: the halves are compared after so many seconds, and the time on
/// target counts from there (judgement).
const SETTLING_S: f64 = 300.0;
/// A second half slower by so much (share) fades a little, or likely lay above LT1 (judgement, from
/// the drift of heart rate at and above the highest steady speed).
const FADE: (f64, f64) = (0.03, 0.05);
/// The same in the beats it is worth: what 3 and 5 % of 4 m/s are at the published gain (judgement).
const FADE_BPM: (f64, f64) = (3.0, 5.0);

pub(super) fn remarks(
    evidence: &Evidence<'_>,
    effort: &Effort,
    line: &DistanceLine,
) -> Vec<Remark> {
    if evidence.kind != TestKind::FortyMinutes {
        return Vec::new();
    }
    let settled = Seconds::from_s(effort.span.from.s() + SETTLING_S);
    let settled = settled.map_or(effort.span, |from| Span { from, ..effort.span });
    [
        no_target(evidence.kind, evidence.known.target, evidence.known.medicated)
            .map(|remark| remark.at(effort.span)),
        recorded_off_target(evidence, effort),
        time_off_target(evidence, settled),
        fade(evidence, settled, line),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// A 40-minute run held off its target is remarked with the likely effect on its pace, never
/// silently corrected. `None` within 3 beats (judgement).
pub fn off_target(held: HeartRate, target: HeartRate, ran: Speed) -> Option<Remark> {
    let by_bpm = held.bpm() - target.bpm();
    let ran = ran.m_per_s();
    let on_target = (ran - speed_change_for(by_bpm)).max(0.1);
    let finding =
        Finding::OffTarget { by_bpm, pace_effect_s_per_km: 1_000.0 / on_target - 1_000.0 / ran };
    (by_bpm.abs() > ON_TARGET_BPM).then(|| Remark::new(finding, Severity::Check, BearsOn::Speed))
}

/// A 40-minute test with no target: whatever was run need not be LT1 pace, so the coach decides. On
/// rate-lowering medication no other test can give one.
pub fn no_target(kind: TestKind, target: Option<HeartRate>, medicated: bool) -> Option<Remark> {
    let finding = if medicated { Finding::NoTargetOnMedication } else { Finding::NoTarget };
    (kind == TestKind::FortyMinutes && target.is_none())
        .then(|| Remark::new(finding, Severity::Check, BearsOn::Speed))
}

fn recorded_off_target(evidence: &Evidence<'_>, effort: &Effort) -> Option<Remark> {
    let (held, target) = (effort.mean_heart_rate?, evidence.known.target?);
    Some(off_target(held, target, effort.mean_speed)?.at(effort.span))
}

fn time_off_target(evidence: &Evidence<'_>, settled: Span) -> Option<Remark> {
    let target = evidence.known.target?;
    let samples = evidence.recording.samples();
    let share = heart_rate::share_within(samples, evidence.faults, settled, target, ON_TARGET_BPM)?;
    let (note, check) = TIME_ON_TARGET;
    let severity = match share.ratio() {
        share if share >= note => return None,
        share if share >= check => Severity::Note,
        _ => Severity::Check,
    };
    let finding = Finding::TimeOffTarget { on_target_share: share.ratio() };
    Some(Remark::new(finding, severity, BearsOn::Speed).at(settled))
}

/// The second half against the first, in speed and in the beats that speed and heart rate together
/// are worth.
fn fade(evidence: &Evidence<'_>, settled: Span, line: &DistanceLine) -> Option<Remark> {
    let (from, to) = (settled.from.s(), settled.to.s());
    let middle = Seconds::from_s(f64::midpoint(from, to)).ok()?;
    let halves = [Span { to: middle, ..settled }, Span { from: middle, ..settled }];
    let [first, second] = halves.map(|half| speed_between(line, half.from.s(), half.to.s()));
    let (first, second) = (first?, second?);
    let samples = evidence.recording.samples();
    let rates = halves.map(|half| heart_rate::summarise(samples, evidence.faults, half)?.mean);
    let rise = match rates {
        [Some(first), Some(second)] => second.bpm() - first.bpm(),
        _ => 0.0,
    };
    let slower_by = 1.0 - second / first;
    let worth_bpm = (first - second) * BPM_PER_M_PER_S + rise;
    let severity = if slower_by > FADE.1 || worth_bpm > FADE_BPM.1 {
        Severity::Check
    } else if slower_by > FADE.0 || worth_bpm > FADE_BPM.0 {
        Severity::Note
    } else {
        return None;
    };
    let at = |speed: f64, rate: Option<HeartRate>| Some((Speed::from_m_per_s(speed).ok()?, rate?));
    let speed_per_beat = at(first, rates[0])
        .zip(at(second, rates[1]))
        .map(|(first, second)| speed_per_beat_change(first, second));
    let finding = Finding::Fade { slower_by, worth_bpm, speed_per_beat };
    Some(Remark::new(finding, severity, BearsOn::Speed).at(settled))
}
