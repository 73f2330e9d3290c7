//! Tests to markers: the rules, the estimates for what was not tested, and what contradicts.

use super::{Marker, MarkerName, Markers};
use crate::physiology::critical_speed::critical_speed;
use crate::physiology::heart_rate_gain::BPM_PER_M_PER_S;
use crate::physiology::heart_rate_max::{self, Known, Maximum, MaximumFrom};
use crate::physiology::oxygen_cost::speed_at_share;
use crate::physiology::ratios::{self, Ratio};
use crate::physiology::{reliability, thresholds};
use crate::remark::{BearsOn, Finding, Remark, Severity};
use crate::test::{Performance, TestKind};
use crate::units::{Estimate, HeartRate, Origin, Speed, Spread, Years};
use crate::words;
use crate::zones;

/// The floor must stand at least this many beats under LT1, else it is estimated from LT1.
const FLOOR_UNDER_LT1_BPM: f64 = 3.0;
/// Beyond this share of LT2 speed critical speed disagrees with it (judgement: the bracket 0.965 to
/// 0.973 of the 20-minute speed over the rule's 0.95, and both errors).
const CRITICAL_SPEED_APART: f64 = 0.08;

/// What markers are derived from: the newest accepted test of each kind and what is known besides.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MarkerEvidence {
    /// 5 minutes all-out.
    pub five: Option<Performance>,
    /// Whether it was the athlete's first: practice.
    pub five_is_first: bool,
    /// 20 minutes all-out.
    pub twenty: Option<Performance>,
    /// 40 minutes at LT1 heart rate.
    pub forty: Option<Performance>,
    /// Maximal heart rate typed in.
    pub entered_maximum: Option<HeartRate>,
    /// Highest credible peak of accepted all-out efforts.
    pub peak: Option<HeartRate>,
    /// Age on the day.
    pub age: Option<Years>,
    /// Medication that lowers the heart rate: no heart rates at all.
    pub rate_lowering_medication: bool,
    /// Heart rates were measured at the wrist: none is trusted.
    pub wrist_sensor: bool,
}

/// Markers with what has to be said about them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Derived {
    /// The markers.
    pub markers: Markers,
    /// Critical speed, where the two all-out tests give one.
    pub critical_speed: Option<Speed>,
    /// What contradicts or is doubtful, worst first.
    pub remarks: Vec<Remark>,
}

/// Markers from tests. Empty evidence gives empty markers.
pub fn derive(evidence: &MarkerEvidence) -> Derived {
    let mut remarks = Vec::new();
    let mut markers = speeds(evidence);
    if evidence.rate_lowering_medication {
        remarks.push(Remark::new(
            Finding::RateLoweringMedication,
            Severity::Note,
            BearsOn::HeartRate,
        ));
    } else if evidence.wrist_sensor {
        remarks.push(Remark::new(Finding::WristSensor, Severity::Note, BearsOn::HeartRate));
    } else {
        heart_rates(evidence, &mut markers, &mut remarks);
    }
    if evidence.five.is_some() && evidence.five_is_first {
        remarks.push(Remark::new(Finding::FirstFiveMinutes, Severity::Note, BearsOn::Speed));
    }
    let critical_speed = both_all_out(evidence, &markers, &mut remarks);
    remarks.extend(order(&markers));
    remarks.sort_by_key(|remark| std::cmp::Reverse(remark.severity));
    Derived { markers, critical_speed, remarks }
}

/// The target of the next 40-minute test: LT1 heart rate by rule, if there is one.
pub fn forty_minute_target(markers: &Markers) -> Option<HeartRate> {
    markers.lt1.heart_rate.map(|lt1| lt1.value)
}

fn speeds(evidence: &MarkerEvidence) -> Markers {
    let measured = |test: Option<Performance>, kind: TestKind, first: bool, validity: f64| {
        let speed = test?.mean_speed()?;
        let percent = reliability::speed_percent(kind, first);
        Some(estimate(speed, validity, speed.m_per_s() * percent / 100.0, Origin::Measured))
    };
    let vo2max = measured(
        evidence.five,
        TestKind::FiveMinutes,
        evidence.five_is_first,
        reliability::VO2MAX_SPEED_VALIDITY_M_PER_S,
    );
    let lt2 = measured(
        evidence.twenty,
        TestKind::TwentyMinutes,
        false,
        reliability::LT2_SPEED_VALIDITY_M_PER_S,
    )
    .and_then(|twenty| {
        let value = thresholds::lt2_speed(twenty.value)?;
        let repeatability =
            Spread::new(twenty.repeatability.m_per_s() * value.m_per_s() / twenty.value.m_per_s());
        Some(Estimate { value, repeatability, ..twenty })
    });
    let lt1_validity = reliability::LT1_HEART_RATE_VALIDITY_BPM / BPM_PER_M_PER_S;
    let lt1 = measured(evidence.forty, TestKind::FortyMinutes, false, lt1_validity);
    let (lt1, lt2, vo2max) = fill_in(lt1, lt2, vo2max);
    let speed_only = |speed| Marker { speed, heart_rate: None };
    Markers {
        aerobic_floor: speed_only(vo2max.and_then(floor_speed)),
        lt1: speed_only(lt1),
        lt2: speed_only(lt2),
        vo2max: speed_only(vo2max),
    }
}

type SpeedEstimate = Option<Estimate<Speed>>;

/// Estimates what was not tested from the nearest marker that was, by published ratios.
fn fill_in(
    lt1: SpeedEstimate,
    lt2: SpeedEstimate,
    vo2max: SpeedEstimate,
) -> (SpeedEstimate, SpeedEstimate, SpeedEstimate) {
    let by = |from: SpeedEstimate, ratio: Ratio| from.and_then(|e| scaled(e, ratio));
    let by_inverse =
        |from: SpeedEstimate, ratio: Ratio| by(from, Ratio { mean: 1.0 / ratio.mean, ..ratio });
    let all_lt2 = lt2
        .or_else(|| by(vo2max, ratios::LT2_OF_VO2MAX_SPEED))
        .or_else(|| by_inverse(lt1, ratios::LT1_OF_LT2_SPEED));
    let all_vo2max = vo2max
        .or_else(|| by_inverse(lt2, ratios::LT2_OF_VO2MAX_SPEED))
        .or_else(|| by_inverse(lt1, ratios::LT1_OF_VO2MAX_SPEED));
    let all_lt1 = lt1
        .or_else(|| by(lt2, ratios::LT1_OF_LT2_SPEED))
        .or_else(|| by(vo2max, ratios::LT1_OF_VO2MAX_SPEED));
    (all_lt1, all_lt2, all_vo2max)
}

/// A marker's speed from another's by a ratio between people: the other's errors scaled, and the
/// ratio's own spread added to the validity.
fn scaled(from: Estimate<Speed>, ratio: Ratio) -> Option<Estimate<Speed>> {
    let value = Speed::from_m_per_s(from.value.m_per_s() * ratio.mean).ok()?;
    let validity =
        (from.validity.m_per_s() * ratio.mean).hypot(value.m_per_s() * ratio.relative_sd);
    Some(estimate(value, validity, from.repeatability.m_per_s() * ratio.mean, Origin::Estimated))
}

fn floor_speed(vo2max: Estimate<Speed>) -> Option<Estimate<Speed>> {
    let value = speed_at_share(vo2max.value, thresholds::floor_share()?)?;
    // the floor moves by its share of VO2max for each m/s of the pace at VO2max
    let moved = |spread: Spread<Speed>| thresholds::FLOOR_OF_VO2MAX * spread.m_per_s();
    let validity = reliability::FLOOR_SPEED_VALIDITY_M_PER_S.hypot(moved(vo2max.validity));
    let origin =
        if vo2max.origin == Origin::Estimated { Origin::Estimated } else { Origin::ByRule };
    Some(estimate(value, validity, moved(vo2max.repeatability), origin))
}

fn heart_rates(evidence: &MarkerEvidence, markers: &mut Markers, remarks: &mut Vec<Remark>) {
    let twenty = evidence.twenty.and_then(|test| test.mean_heart_rate);
    let forty = evidence.forty.and_then(|test| test.mean_heart_rate);
    let repeat = |rate: HeartRate| rate.bpm() * reliability::HEART_RATE_PERCENT / 100.0;
    let (lt1_validity, lt2_validity) =
        (reliability::LT1_HEART_RATE_VALIDITY_BPM, reliability::LT2_HEART_RATE_VALIDITY_BPM);
    if let Some(lt2) = twenty.and_then(thresholds::lt2_heart_rate) {
        markers.lt2.heart_rate = Some(beats(lt2, lt2_validity, repeat(lt2), Origin::Measured));
        markers.lt1.heart_rate = thresholds::lt1_heart_rate(lt2)
            .map(|lt1| beats(lt1, lt1_validity, repeat(lt1), Origin::ByRule));
    } else if let Some(lt1) = forty {
        // no 20-minute heart rate yet: the rate the run was held at stands in
        markers.lt1.heart_rate = Some(beats(lt1, lt1_validity, repeat(lt1), Origin::Measured));
        markers.lt2.heart_rate = HeartRate::from_bpm(lt1.bpm() / thresholds::LT1_OF_LT2_HEART_RATE)
            .ok()
            .map(|lt2| beats(lt2, lt2_validity, repeat(lt2), Origin::Estimated));
    }
    let known = Known {
        entered: evidence.entered_maximum,
        peak: evidence.peak,
        twenty_minute_mean: twenty,
        age: evidence.age,
    };
    let maximum = heart_rate_max::choose(&known);
    remarks.extend(maximum.and_then(|m| about_maximum(m, twenty)));
    markers.aerobic_floor.heart_rate = floor_heart_rate(maximum, markers.lt1.heart_rate, remarks);
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

/// The floor's heart rate from the maximum; from LT1 where there is no maximum, or where the floor
/// would come within 3 beats of LT1.
fn floor_heart_rate(
    maximum: Option<Maximum>,
    lt1: Option<Estimate<HeartRate>>,
    remarks: &mut Vec<Remark>,
) -> Option<Estimate<HeartRate>> {
    let percent = thresholds::floor_share().map(heart_rate_max::percent_of_max_at)?;
    let by_maximum = maximum.and_then(|maximum| {
        let rate = HeartRate::from_bpm(maximum.rate.bpm() * percent / 100.0).ok()?;
        let spread = maximum.rate.bpm() * reliability::FLOOR_HEART_RATE_VALIDITY_PERCENT / 100.0;
        let validity = spread.hypot(maximum.error_bpm() * percent / 100.0);
        let origin = if maximum.is_estimate() { Origin::Estimated } else { Origin::ByRule };
        Some(beats(rate, validity, 0.0, origin))
    });
    let Some(lt1) = lt1 else { return by_maximum };
    let fits =
        |floor: &Estimate<HeartRate>| floor.value.bpm() <= lt1.value.bpm() - FLOOR_UNDER_LT1_BPM;
    if let Some(floor) = by_maximum.filter(fits) {
        return Some(floor);
    }
    let finding =
        Finding::FloorFromLt1 { by_maximum_bpm: by_maximum.map(|floor| floor.value.bpm()) };
    let severity = if by_maximum.is_some() { Severity::Check } else { Severity::Note };
    remarks.push(Remark::new(finding, severity, BearsOn::HeartRate));
    let ratio = ratios::FLOOR_OF_LT1_HEART_RATE;
    let rate = HeartRate::from_bpm(lt1.value.bpm() * ratio.mean).ok()?;
    let validity = (lt1.validity.bpm() * ratio.mean).hypot(rate.bpm() * ratio.relative_sd);
    Some(beats(rate, validity, lt1.repeatability.bpm() * ratio.mean, Origin::Estimated))
}

/// Critical speed, and what the two all-out tests say of each other.
fn both_all_out(
    evidence: &MarkerEvidence,
    markers: &Markers,
    remarks: &mut Vec<Remark>,
) -> Option<Speed> {
    let (five, twenty) = (evidence.five?, evidence.twenty?);
    let ratio = five.mean_speed()?.m_per_s() / twenty.mean_speed()?.m_per_s();
    if ratio <= 1.0 {
        let finding = Finding::TestsContradict { ratio };
        remarks.push(Remark::new(finding, Severity::Spoils, BearsOn::Speed));
        return None;
    }
    // distances over the tests' exact lengths, should one have been taken a little short
    let over = |test: Performance, kind: TestKind| {
        crate::units::Distance::from_m(test.mean_speed()?.m_per_s() * kind.length_s()).ok()
    };
    let critical =
        critical_speed(over(five, TestKind::FiveMinutes)?, over(twenty, TestKind::TwentyMinutes)?)?;
    let lt2 = markers.lt2.speed?.value;
    if (critical.m_per_s() / lt2.m_per_s() - 1.0).abs() > CRITICAL_SPEED_APART {
        let finding = Finding::CriticalSpeedApart { critical_speed_m_per_s: critical.m_per_s() };
        remarks.push(Remark::new(finding, Severity::Check, BearsOn::Speed));
    }
    Some(critical)
}

/// Markers that stand in the wrong order, or too close to tell their zones apart, spoil what they
/// bear on: no zone is ever drawn between crossed markers.
fn order(markers: &Markers) -> Vec<Remark> {
    let crossed = zones::crossed_pairs(markers);
    crossed
        .into_iter()
        .map(|(lower, upper, bears_on)| {
            let name = |marker: MarkerName| words::marker(marker).to_owned();
            let finding = Finding::MarkersOutOfOrder { lower: name(lower), upper: name(upper) };
            Remark::new(finding, Severity::Spoils, bears_on)
        })
        .collect()
}

fn estimate(value: Speed, validity: f64, repeatability: f64, origin: Origin) -> Estimate<Speed> {
    Estimate {
        value,
        validity: Spread::new(validity),
        repeatability: Spread::new(repeatability),
        origin,
    }
}

fn beats(
    value: HeartRate,
    validity: f64,
    repeatability: f64,
    origin: Origin,
) -> Estimate<HeartRate> {
    Estimate {
        value,
        validity: Spread::new(validity),
        repeatability: Spread::new(repeatability),
        origin,
    }
}
