//! What the tests say of each other: order, spacing, critical speed, days and conditions.

use super::super::{MarkerEvidence, MarkerName, Markers};
use crate::physiology::conditions::unlike;
use crate::physiology::critical_speed::{CriticalSpeed, critical_speed};
use crate::physiology::power_law::{BETWEEN_PEOPLE, Exponent};
use crate::physiology::ratios::{self, Ratio};
use crate::remark::{BearsOn, Finding, Remark, Severity};
use crate::test::TestKind;
use crate::units::{Distance, Origin, Seconds, Speed};
use crate::zones;

/// Tests of one set of zones should lie within this many days (judgement: a window's eight weeks and
/// the four of the next; after that the older test describes another athlete).
const APART_DAYS: i64 = 84;
/// So many standard errors make a disagreement (two-sided 95 %).
const DISAGREES: f64 = 1.96;
/// Below this age adult figures are extrapolated, years.
const ADULT_YEARS: f64 = 18.0;

pub(super) fn remarks(evidence: &MarkerEvidence, markers: &Markers) -> Vec<Remark> {
    let mut remarks = order(markers);
    let share = evidence.rules.second_threshold.ratio();
    remarks.extend(spacing(
        markers,
        (MarkerName::Lt1, MarkerName::Lt2),
        ratios::LT1_OF_LT2_SPEED,
        1.0,
    ));
    let upper = (MarkerName::Lt2, MarkerName::Vo2max);
    remarks.extend(spacing(markers, upper, ratios::LT2_OF_VO2MAX_SPEED, share));
    remarks.extend(apart(evidence));
    remarks.extend(in_unlike_conditions(evidence));
    remarks.extend(evidence.age.filter(|age| age.years() < ADULT_YEARS).map(|age| {
        let finding = Finding::AdultFigures { age_years: age.years() };
        Remark::new(finding, Severity::Note, None)
    }));
    remarks
}

/// Critical speed, and what the two all-out tests say of each other.
pub(super) fn both_all_out(
    evidence: &MarkerEvidence,
    remarks: &mut Vec<Remark>,
) -> Option<CriticalSpeed> {
    let (short, short_error) = evidence.five?.speed(TestKind::FiveMinutes)?;
    let (long, long_error) = evidence.twenty?.speed(TestKind::TwentyMinutes)?;
    let ratio = short.m_per_s() / long.m_per_s();
    if ratio <= 1.0 {
        let finding = Finding::TestsContradict { ratio };
        // one of the two is wrong, and nobody knows which: no zones are handed out on them
        remarks.push(Remark::new(finding, Severity::Spoils, BearsOn::Speed));
        return None;
    }
    // distances over the tests' exact lengths, should one have been taken a little short
    let over = |ran: Speed, kind: TestKind| Distance::from_m(ran.m_per_s() * kind.length_s()).ok();
    let critical = critical_speed(
        (over(short, TestKind::FiveMinutes)?, short_error),
        (over(long, TestKind::TwentyMinutes)?, long_error),
    )?;
    if disagrees(&critical, (short, short_error), (long, long_error))? {
        let finding =
            Finding::CriticalSpeedApart { critical_speed_m_per_s: critical.speed.m_per_s() };
        remarks.push(Remark::new(finding, Severity::Check, BearsOn::Speed));
    }
    Some(critical)
}

/// Whether critical speed lies further from where LT2 puts it than the errors of both runs and the
/// spread of endurance between people explain. Both are worked out from the same 20-minute run, so
/// their errors are not independent: the difference is taken as a sum of the two runs.
fn disagrees(
    critical: &CriticalSpeed,
    (short, short_error): (Speed, f64),
    (long, long_error): (Speed, f64),
) -> Option<bool> {
    let seconds = |kind: TestKind| Seconds::from_s(kind.length_s()).ok();
    let (short_time, long_time) =
        (seconds(TestKind::FiveMinutes)?, seconds(TestKind::TwentyMinutes)?);
    let exponent = Exponent::published();
    let usual_short = exponent.speed_ratio(long_time, short_time);
    // the line through both runs: critical = long_weight x long - short_weight x short
    let short_weight = short_time.s() / (long_time.s() - short_time.s());
    let long_weight = 1.0 + short_weight;
    let usual = long_weight - short_weight * usual_short;
    let expected = usual * long.m_per_s();
    let runs = ((long_weight - usual) * long.m_per_s() * long_error)
        .hypot(short_weight * short.m_per_s() * short_error);
    let people = short_weight
        * usual_short
        * long.m_per_s()
        * BETWEEN_PEOPLE
        * exponent.sensitivity(long_time, short_time);
    Some((critical.speed.m_per_s() - expected).abs() > DISAGREES * runs.hypot(people))
}

/// Markers that stand in the wrong order, or too close to tell their zones apart, spoil what they
/// bear on: no zone is ever drawn between crossed markers.
fn order(markers: &Markers) -> Vec<Remark> {
    let crossed = zones::crossed_pairs(markers);
    crossed
        .into_iter()
        .map(|(lower, upper, bears_on)| {
            let finding = Finding::MarkersOutOfOrder { lower, upper };
            Remark::new(finding, Severity::Spoils, bears_on)
        })
        .collect()
}

/// Two tested markers further together or apart than two standard deviations of 1,411 runners. From
/// the ratio `said_at` on something else says so: that they cross, or that all-out tests contradict
/// each other.
fn spacing(
    markers: &Markers,
    (lower, upper): (MarkerName, MarkerName),
    usual: Ratio,
    said_at: f64,
) -> Option<Remark> {
    let tested =
        |name: MarkerName| markers.get(name).speed.filter(|e| e.origin != Origin::Estimated);
    let (slow, fast) = (tested(lower)?, tested(upper)?);
    let ratio = slow.value.m_per_s() / fast.value.m_per_s();
    let off = (ratio / usual.mean).ln().abs();
    let (lower_origin, upper_origin, usual_ratio) = (slow.origin, fast.origin, usual.mean);
    let finding = Finding::UnusualSpacing {
        lower,
        upper,
        lower_origin,
        upper_origin,
        ratio,
        usual: usual_ratio,
    };
    (off > 2.0 * usual.relative_sd && ratio < said_at)
        .then(|| Remark::new(finding, Severity::Check, BearsOn::Speed))
}

fn apart(evidence: &MarkerEvidence) -> Option<Remark> {
    let days = [evidence.five, evidence.twenty, evidence.forty].map(|test| test?.on);
    let (first, last) = (days.iter().flatten().min()?, days.iter().flatten().max()?);
    let days = (*last - *first).num_days();
    let finding = Finding::TestsFarApart { days };
    (days > APART_DAYS).then(|| Remark::new(finding, Severity::Check, BearsOn::Speed))
}

fn in_unlike_conditions(evidence: &MarkerEvidence) -> Option<Remark> {
    let tests = [evidence.five, evidence.twenty, evidence.forty];
    let ran: Vec<_> = tests.into_iter().flatten().collect();
    let mut pairs =
        ran.iter().enumerate().flat_map(|(at, a)| ran.iter().skip(at + 1).map(move |b| (a, b)));
    let how = pairs.find_map(|(a, b)| unlike(&a.conditions, &b.conditions))?;
    Some(Remark::new(Finding::TestsUnlike { how }, Severity::Check, BearsOn::Speed))
}

#[cfg(test)]
mod tests {
    use chrono::NaiveDate;

    use super::super::derive;
    use super::*;
    use crate::ids::{AthleteId, LaboratoryId};
    use crate::laboratory::{LaboratoryValue, Protocol};
    use crate::test::Performance;
    use crate::units::{Share, UnitSystem};
    use crate::words;

    #[test]
    fn markers_that_stand_oddly_are_looked_at_by_what_they_stand_on() {
        let ran = |kind: TestKind, metres: f64| Performance {
            distance: Distance::from_m(metres).unwrap(),
            duration: Seconds::from_s(kind.length_s()).unwrap(),
            mean_heart_rate: None,
            heart_rate_share: Share::WHOLE,
            peak_heart_rate: None,
        };
        let said = |evidence: &MarkerEvidence| -> String {
            let odd = |r: &&Remark| matches!(r.finding, Finding::UnusualSpacing { .. });
            let remarks = derive(evidence).remarks;
            remarks.iter().filter(odd).map(|r| words::remark(r, UnitSystem::Kilometres)).collect()
        };
        // LT2 0.95 x 4.5 = 4.275 m/s is 76 % of 5.6 m/s; 87.6 % is usual (Esteve-Lanao 2026)
        let twenty = Some(ran(TestKind::TwentyMinutes, 5_400.0).into());
        let five = Some(ran(TestKind::FiveMinutes, 1_680.0).into());
        let both = said(&MarkerEvidence { five, twenty, ..MarkerEvidence::default() });
        assert!(both.ends_with("Check that both tests were run as they should be."), "{both}");
        let value = LaboratoryValue {
            id: LaboratoryId(1),
            athlete: AthleteId(1),
            on: NaiveDate::from_ymd_opt(2026, 5, 3).unwrap(),
            marker: MarkerName::Vo2max,
            speed: Speed::from_m_per_s(5.6).ok(),
            heart_rate: None,
            protocol: Protocol::GasExchange,
            notes: String::new(),
        };
        let laboratory = vec![value];
        let measured = said(&MarkerEvidence { twenty, laboratory, ..MarkerEvidence::default() });
        let look = "Check how the 20-minute test was run, and the laboratory\u{2019}s VO2max pace and its protocol.";
        assert!(measured.ends_with(look), "{measured}");
    }
}
