//! The heart rates of the markers.

use super::super::{MarkerEvidence, MarkerName, Markers};
use super::held::untargeted_beats;
use super::{beats, known_target, laboratory};
use crate::laboratory::{LaboratoryValue, Protocol};
use crate::physiology::heart_rate_max::{self, Known, Maximum, MaximumFrom};
use crate::physiology::thresholds::FirstThresholdFactor;
use crate::physiology::{heart_rate_reserve, ratios, reliability, thresholds};
use crate::remark::{BearsOn, Finding, Remark, Severity};
use crate::rules::FloorMethod;
use crate::units::{Estimate, HeartRate, Origin};

/// The floor must stand at least this many beats under LT1, else it is estimated from LT1.
const FLOOR_UNDER_LT1_BPM: f64 = 3.0;
/// LT2 heart rate as a share of HRmax is believed inside this range: 89 (7) % at maximal lactate
/// steady state, two standard deviations either way (Hafen PS, Vehrs PR. Sports 2018;6:154).
const LT2_OF_MAXIMUM: std::ops::RangeInclusive<f64> = 0.75..=1.0;
/// A 40-minute run held further than this from LT1 heart rate by rule, in beats, is remarked (judgement:
/// 5 beats are about 0.2 m/s by the published gain).
const HELD_APART_BPM: f64 = 5.0;

pub(super) fn heart_rates(
    evidence: &MarkerEvidence,
    markers: &mut Markers,
    remarks: &mut Vec<Remark>,
) {
    let wrist = evidence.wrist_sensor;
    if wrist {
        remarks.push(Remark::new(Finding::WristSensor, Severity::Note, BearsOn::HeartRate));
    }
    let of = |test: Option<super::Attempt>| test.filter(|_| !wrist).and_then(|t| t.heart_rate());
    let (twenty, forty) = (of(evidence.twenty), of(evidence.forty));
    (markers.lt1.heart_rate, markers.lt2.heart_rate) = thresholds_by_rule(evidence, twenty, forty);
    if wrist && markers.lt1.heart_rate.is_none() && markers.lt2.heart_rate.is_none() {
        return;
    }
    remarks.extend(held_apart(forty, markers));
    let maximum = maximum(evidence);
    remarks.extend(maximum.and_then(|m| about_maximum(m, twenty.map(|(rate, _)| rate))));
    remarks.extend(maximum.and_then(|m| unlikely_share(m, markers.lt2.heart_rate)));
    markers.aerobic_floor.heart_rate = floor(evidence, markers.lt1.heart_rate, remarks);
}

/// The maximal heart rate the floor goes by.
pub(crate) fn maximum(evidence: &MarkerEvidence) -> Option<Maximum> {
    let measured = |rate: Option<HeartRate>| rate.filter(|_| !evidence.wrist_sensor);
    heart_rate_max::choose(&Known {
        entered: evidence.entered_maximum,
        peak: measured(evidence.peak),
        twenty_minute_mean: measured(
            evidence.twenty.and_then(|test| test.performance.mean_heart_rate),
        ),
        age: evidence.age,
    })
}

/// LT1 and LT2 heart rate, from mean heart rates of tests with their repeatability.
pub(super) fn thresholds_by_rule(
    evidence: &MarkerEvidence,
    twenty: Option<(HeartRate, f64)>,
    forty: Option<(HeartRate, f64)>,
) -> (Option<Estimate<HeartRate>>, Option<Estimate<HeartRate>>) {
    let lt2_validity = reliability::LT2_HEART_RATE_VALIDITY_BPM;
    let lt1_validity = reliability::LT1_HEART_RATE_VALIDITY_BPM;
    let in_laboratory = |marker, test: Option<&super::Attempt>| {
        laboratory(evidence, marker, test).filter(|value| value.heart_rate.is_some())
    };
    let lt2_measured = in_laboratory(MarkerName::Lt2, evidence.twenty.as_ref());
    // LT1 heart rate rests on the 20-minute test by rule, so that is what a laboratory must be newer
    // than; but where LT1 pace still comes from it, the heart rate measured at that pace goes with it
    let at_its_pace = || {
        let of_pace = in_laboratory(MarkerName::Lt1, evidence.forty.as_ref());
        of_pace.filter(|value| value.speed.is_some())
    };
    let lt1_measured =
        in_laboratory(MarkerName::Lt1, evidence.twenty.as_ref()).or_else(at_its_pace);
    let mut factor = evidence.factor;
    let mut lt2 = None;
    if let Some(value) = lt2_measured {
        lt2 = entered(value);
        if value.protocol == Protocol::GasExchange {
            factor = FirstThresholdFactor::ventilatory().lower(factor);
        }
    } else if let Some((rate, error)) = twenty {
        lt2 = thresholds::lt2_heart_rate(rate, evidence.rules.second_threshold)
            .map(|lt2| beats(lt2, lt2_validity, lt2.bpm() * error, Origin::Measured));
    }
    let lt1 = match (lt1_measured, lt2) {
        (Some(value), _) => entered(value),
        (None, Some(lt2)) => thresholds::lt1_heart_rate(lt2.value, factor).map(|lt1| {
            beats(lt1, lt1_validity, lt2.repeatability.bpm() * factor.ratio(), Origin::ByRule)
        }),
        // no LT2 heart rate yet: the rate the run was held at stands in, an estimate
        (None, None) => forty.map(|(lt1, error)| {
            beats(lt1, untargeted_beats(evidence), lt1.bpm() * error, Origin::Estimated)
        }),
    };
    if let (None, Some(lt1)) = (lt2, lt1) {
        let validity = lt2_validity.max(lt1.validity.bpm() / factor.ratio());
        let repeatability = lt1.repeatability.bpm() / factor.ratio();
        lt2 = thresholds::lt2_from_lt1(lt1.value, factor)
            .map(|lt2| beats(lt2, validity, repeatability, Origin::Estimated));
    }
    (lt1, lt2)
}

fn entered(value: &LaboratoryValue) -> Option<Estimate<HeartRate>> {
    let rate = value.heart_rate?;
    let repeatability = rate.bpm() * reliability::HEART_RATE_PERCENT / 100.0;
    let validity = reliability::LABORATORY_HEART_RATE_VALIDITY_BPM;
    Some(beats(rate, validity, repeatability, Origin::Entered))
}

/// The 40-minute test against the LT1 heart rate that holds now.
fn held_apart(forty: Option<(HeartRate, f64)>, markers: &Markers) -> Option<Remark> {
    let (held, by_rule) = (forty?.0, known_target(markers.lt1.heart_rate)?);
    let by_bpm = held.bpm() - by_rule.bpm();
    let finding = Finding::HeldApartFromLt1 { by_bpm, lt1_bpm: by_rule.bpm() };
    (by_bpm.abs() > HELD_APART_BPM).then(|| Remark::new(finding, Severity::Check, BearsOn::Speed))
}

fn about_maximum(maximum: Maximum, held: Option<HeartRate>) -> Option<Remark> {
    if maximum.is_estimate() {
        let from_test = maximum.from == MaximumFrom::TwentyMinutes;
        let finding = Finding::HeartRateMaxEstimated { bpm: maximum.rate.bpm(), from_test };
        return Some(Remark::new(finding, Severity::Note, BearsOn::HeartRate));
    }
    let held = held.filter(|held| held.bpm() >= maximum.rate.bpm())?;
    let finding =
        Finding::HeartRateMaxTooLow { maximum_bpm: maximum.rate.bpm(), held_bpm: held.bpm() };
    Some(Remark::new(finding, Severity::Check, BearsOn::HeartRate))
}

/// LT2 heart rate where hardly anyone's stands, beside a maximum that is known.
fn unlikely_share(maximum: Maximum, lt2: Option<Estimate<HeartRate>>) -> Option<Remark> {
    let share = lt2?.value.bpm() / maximum.rate.bpm();
    let unlikely = !maximum.is_estimate() && !LT2_OF_MAXIMUM.contains(&share);
    let finding = Finding::UnlikelyShareOfMaximum { share };
    unlikely.then(|| Remark::new(finding, Severity::Check, BearsOn::HeartRate))
}

/// The floor's heart rate by the library's method, where what it needs is known.
pub(crate) fn floor_by_method(evidence: &MarkerEvidence) -> Option<Estimate<HeartRate>> {
    let (maximum, share) = (maximum(evidence)?, thresholds::floor_share()?);
    let (rate, of_maximum) = match evidence.rules.floor {
        FloorMethod::OfMaximum => {
            let of_maximum = heart_rate_max::percent_of_max_at(share) / 100.0;
            (HeartRate::from_bpm(maximum.rate.bpm() * of_maximum).ok()?, of_maximum)
        }
        FloorMethod::OfReserve => {
            let resting = evidence.resting.filter(|resting| *resting < maximum.rate)?;
            let percent = heart_rate_reserve::percent_of_reserve_at(share);
            let rate = heart_rate_reserve::at_percent_of_reserve(percent, resting, maximum.rate)?;
            (rate, percent / 100.0)
        }
    };
    // the spread between people was measured against the maximum; against the reserve no other figure
    // was found, so the same is stated (judgement)
    let spread = maximum.rate.bpm() * reliability::FLOOR_HEART_RATE_VALIDITY_PERCENT / 100.0;
    let validity = spread.hypot(maximum.error_bpm() * of_maximum);
    let origin = if maximum.is_estimate() { Origin::Estimated } else { Origin::ByRule };
    Some(beats(rate, validity, 0.0, origin))
}

/// The floor's heart rate by the library's method; from LT1 where that lacks a number, or where the
/// floor would come within 3 beats of LT1. One method for everybody: who lacks the resting heart rate
/// is not given the other method's number.
fn floor(
    evidence: &MarkerEvidence,
    lt1: Option<Estimate<HeartRate>>,
    remarks: &mut Vec<Remark>,
) -> Option<Estimate<HeartRate>> {
    let by_method = floor_by_method(evidence);
    let Some(lt1) = lt1 else { return by_method };
    let fits =
        |floor: &Estimate<HeartRate>| floor.value.bpm() <= lt1.value.bpm() - FLOOR_UNDER_LT1_BPM;
    if let Some(floor) = by_method.filter(fits) {
        return Some(floor);
    }
    let unrested = evidence.rules.floor == FloorMethod::OfReserve && evidence.resting.is_none();
    let finding = if unrested {
        Finding::RestingHeartRateUnknown
    } else {
        Finding::FloorFromLt1 { by_method_bpm: by_method.map(|floor| floor.value.bpm()) }
    };
    let severity = if by_method.is_some() { Severity::Check } else { Severity::Note };
    remarks.push(Remark::new(finding, severity, BearsOn::HeartRate));
    let ratio = ratios::FLOOR_OF_LT1_HEART_RATE;
    let rate = HeartRate::from_bpm(lt1.value.bpm() * ratio.mean).ok()?;
    let validity = (lt1.validity.bpm() * ratio.mean).hypot(rate.bpm() * ratio.relative_sd);
    Some(beats(rate, validity, lt1.repeatability.bpm() * ratio.mean, Origin::Estimated))
}
