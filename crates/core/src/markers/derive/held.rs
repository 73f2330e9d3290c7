//! Whether the pace of a 40-minute test is LT1 pace.

use super::super::{Attempt, MarkerEvidence, MarkerName};
use super::heart_rates::thresholds_by_rule;
use super::known_target;
use crate::physiology::heart_rate_gain::{ANOTHER_PACE_BPM, BPM_PER_M_PER_S, speed_change_for};
use crate::physiology::{ratios, reliability};
use crate::units::{HeartRate, Speed};

/// What the pace of a 40-minute test is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Held {
    /// LT1 pace, as far as can be told.
    AtLt1,
    /// Nobody knew what to hold it at: an estimate.
    Untargeted,
    /// Held so far from LT1 heart rate that it says nothing of LT1 pace.
    Elsewhere,
}

/// How the 40-minute test of some evidence was held; without one, as it should be.
pub(crate) fn held(evidence: &MarkerEvidence) -> Held {
    let trusted = !evidence.rate_lowering_medication && !evidence.wrist_sensor;
    let Some(forty) = evidence.forty.filter(|_| trusted) else { return Held::AtLt1 };
    let rate = forty.heart_rate();
    let twenty = evidence.twenty.and_then(|test| test.heart_rate());
    let (lt1, _) = thresholds_by_rule(evidence, twenty, rate);
    match (rate.map(|(rate, _)| rate), known_target(lt1)) {
        (Some(rate), Some(target)) if apart(rate, target) => Held::Elsewhere,
        (_, Some(_)) => Held::AtLt1,
        // distances alone, beside an LT2 pace: nothing speaks against it
        (None, None) if knows_lt2(evidence) => Held::AtLt1,
        (_, None) => Held::Untargeted,
    }
}

/// Whether a held heart rate is too far from LT1 heart rate for LT1 pace.
fn apart(held: HeartRate, lt1: HeartRate) -> bool {
    (held.bpm() - lt1.bpm()).abs() > ANOTHER_PACE_BPM
}

fn knows_lt2(evidence: &MarkerEvidence) -> bool {
    evidence.twenty.is_some()
        || evidence.race.is_some()
        || evidence.newest_in_laboratory(MarkerName::Lt2).is_some()
}

/// The evidence that speeds follow from: without a 40-minute test that was held elsewhere.
pub(super) fn that_counts(evidence: &MarkerEvidence) -> MarkerEvidence {
    let forty: Option<Attempt> = evidence.forty.filter(|_| held(evidence) != Held::Elsewhere);
    MarkerEvidence { forty, ..evidence.clone() }
}

/// Validity of LT1 pace in m/s from a run at LT1 heart rate by rule; of one that had no target as
/// much more as LT1 pace spreads beside LT2 pace between runners (judgement: such a run can be no
/// surer than an estimate).
pub(super) fn speed_validity(ran: Speed, held: Held) -> f64 {
    let by_rule = speed_change_for(reliability::LT1_HEART_RATE_VALIDITY_BPM);
    match held {
        Held::Untargeted => by_rule.hypot(ran.m_per_s() * ratios::LT1_OF_LT2_SPEED.relative_sd),
        Held::AtLt1 | Held::Elsewhere => by_rule,
    }
}

/// The same of the heart rate such a run was held at, in beats, by the published gain.
pub(super) fn untargeted_beats(evidence: &MarkerEvidence) -> f64 {
    let ran = evidence.forty.and_then(|forty| forty.performance.mean_speed());
    ran.map_or(reliability::LT1_HEART_RATE_VALIDITY_BPM, |ran| {
        BPM_PER_M_PER_S * speed_validity(ran, Held::Untargeted)
    })
}

#[cfg(test)]
mod tests;
