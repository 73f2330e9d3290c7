//! The speeds of the markers.

use super::super::{Marker, MarkerEvidence, MarkerName, Markers};
use super::held::{Held, held, speed_validity};
use super::{laboratory, speed};
use crate::laboratory::LaboratoryValue;
use crate::physiology::oxygen_cost::speed_at_share;
use crate::physiology::ratios::{self, Ratio};
use crate::physiology::{reliability, thresholds};
use crate::race::as_twenty_minutes;
use crate::retest::RetestWindow;
use crate::test::TestKind;
use crate::units::{Estimate, Origin, Speed};

type SpeedEstimate = Option<Estimate<Speed>>;

pub(super) fn speeds(evidence: &MarkerEvidence) -> Markers {
    let vo2max = vo2max(evidence);
    let lt2 = second_threshold(evidence);
    let lt1 = first_threshold(evidence);
    let floor = entered(evidence, MarkerName::AerobicFloor, None);
    let (lt1, lt2, vo2max) = fill_in(lt1, lt2, vo2max);
    let speed_only = |speed| Marker { speed, heart_rate: None };
    Markers {
        aerobic_floor: speed_only(floor.or_else(|| vo2max.and_then(floor_speed))),
        lt1: speed_only(lt1),
        lt2: speed_only(lt2),
        vo2max: speed_only(vo2max),
    }
}

fn vo2max(evidence: &MarkerEvidence) -> SpeedEstimate {
    entered(evidence, MarkerName::Vo2max, evidence.five.as_ref()).or_else(|| {
        let (ran, error) = evidence.five?.speed(TestKind::FiveMinutes)?;
        let validity = reliability::VO2MAX_SPEED_VALIDITY_M_PER_S;
        Some(speed(ran, validity, ran.m_per_s() * error, Origin::Measured))
    })
}

/// LT2 from the laboratory, the 20-minute test, or a race that stands in for it.
fn second_threshold(evidence: &MarkerEvidence) -> SpeedEstimate {
    let validity = reliability::LT2_SPEED_VALIDITY_M_PER_S;
    let by_rule = |ran: Speed, read_error: f64, error: f64, origin| {
        let value = thresholds::lt2_speed(ran, evidence.rules.second_threshold)?;
        let validity = validity.hypot(value.m_per_s() * read_error);
        Some(speed(value, validity, value.m_per_s() * error, origin))
    };
    let from_test = || {
        let (ran, error) = evidence.twenty?.speed(TestKind::TwentyMinutes)?;
        by_rule(ran, 0.0, error, Origin::Measured)
    };
    let from_race = || {
        let race = as_twenty_minutes(&evidence.race?)?;
        by_rule(race.speed, race.validity, race.repeatability, Origin::ByRule)
    };
    entered(evidence, MarkerName::Lt2, evidence.twenty.as_ref())
        .or_else(|| if race_stands_in(evidence) { from_race() } else { None })
        .or_else(from_test)
        .or_else(from_race)
}

/// Whether a race replaces the 20-minute test there is: only where its window had closed by then.
pub(super) fn race_stands_in(evidence: &MarkerEvidence) -> bool {
    let Some(race) = evidence.race else { return false };
    let Some(twenty) = evidence.twenty else { return true };
    let closes_days = i64::from(RetestWindow::default().closes_weeks) * 7;
    twenty.on.is_some_and(|tested| (race.on - tested).num_days() > closes_days)
}

fn first_threshold(evidence: &MarkerEvidence) -> SpeedEstimate {
    entered(evidence, MarkerName::Lt1, evidence.forty.as_ref()).or_else(|| {
        let (ran, error) = evidence.forty?.speed(TestKind::FortyMinutes)?;
        let held = held(evidence);
        let origin = if held == Held::Untargeted { Origin::Estimated } else { Origin::Measured };
        Some(speed(ran, speed_validity(ran, held), ran.m_per_s() * error, origin))
    })
}

fn entered(
    evidence: &MarkerEvidence,
    marker: MarkerName,
    test: Option<&super::Attempt>,
) -> SpeedEstimate {
    let of = |value: &LaboratoryValue| {
        let found = value.speed?;
        let share = |percent: f64| found.m_per_s() * percent / 100.0;
        Some(speed(
            found,
            share(reliability::LABORATORY_SPEED_VALIDITY_PERCENT),
            share(reliability::LABORATORY_SPEED_PERCENT),
            Origin::Entered,
        ))
    };
    laboratory(evidence, marker, test).and_then(of)
}

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
fn scaled(from: Estimate<Speed>, ratio: Ratio) -> SpeedEstimate {
    let value = Speed::from_m_per_s(from.value.m_per_s() * ratio.mean).ok()?;
    let validity =
        (from.validity.m_per_s() * ratio.mean).hypot(value.m_per_s() * ratio.relative_sd);
    Some(speed(value, validity, from.repeatability.m_per_s() * ratio.mean, Origin::Estimated))
}

/// The floor's speed by the published cost line from the pace at VO2max.
fn floor_speed(vo2max: Estimate<Speed>) -> SpeedEstimate {
    let value = speed_at_share(vo2max.value, thresholds::floor_share()?)?;
    // the floor moves by its share of VO2max for each m/s of the pace at VO2max
    let moved = |m_per_s: f64| thresholds::FLOOR_OF_VO2MAX * m_per_s;
    let validity =
        reliability::FLOOR_SPEED_VALIDITY_M_PER_S.hypot(moved(vo2max.validity.m_per_s()));
    let origin =
        if vo2max.origin == Origin::Estimated { Origin::Estimated } else { Origin::ByRule };
    Some(speed(value, validity, moved(vo2max.repeatability.m_per_s()), origin))
}
