//! Where a number comes from: the test, the rule, the source, and the standing of that source.
//!
//! Any number on screen or paper can be asked; the answer is built from the same evidence the number
//! was made from, so that it cannot tell another story.

use chrono::NaiveDate;

use crate::laboratory::Protocol;
use crate::markers::{Held, MarkerEvidence, MarkerName, Markers, held};
use crate::physiology::heart_rate_max::MaximumFrom;
use crate::physiology::power_law::Exponent;
use crate::physiology::thresholds::{FirstThresholdFactor, SecondThresholdShare};
use crate::remark::BearsOn;
use crate::rules::FloorMethod;
use crate::test::TestKind;
use crate::units::Origin;

/// How far a source carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Standing {
    /// In a named publication.
    Published,
    /// A rule of thumb that many use and no publication tests.
    CommonPractice,
    /// The program's own.
    Judgement,
    /// Measured: no rule stands between the test and the number.
    Measured,
    /// Typed in by the coach.
    Entered,
}

/// A rule by which a number was made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rule {
    /// LT2 = a share of the mean of 20 minutes.
    SecondThreshold(SecondThresholdShare),
    /// The same share of the speed of 20 minutes read from a race.
    RaceByPowerLaw(SecondThresholdShare),
    /// LT1 heart rate = a factor of LT2 heart rate.
    FirstThreshold(FirstThresholdFactor),
    /// The rate the 40 minutes were held at.
    HeldRate,
    /// LT1 pace = mean speed of 40 minutes.
    FirstThresholdPace,
    /// The same of a run that had no target.
    UntargetedPace,
    /// VO2max pace = mean speed of 5 minutes.
    Vo2maxPace,
    /// The floor's speed: 56 % of the uptake at VO2max pace.
    FloorByCost,
    /// The floor's heart rate: the published line at 56 %, of a maximum from somewhere.
    FloorByMaximum(MaximumFrom),
    /// The floor's heart rate: the published line at 56 %, of the reserve up to a maximum from
    /// somewhere.
    FloorByReserve(MaximumFrom),
    /// The floor's heart rate from LT1's.
    FloorFromFirstThreshold,
    /// An untested marker from another by a published ratio.
    PublishedRatio,
    /// As a laboratory gave it.
    Laboratory(Protocol),
    /// A change by the trend.
    Trend,
    /// A race by the power law, with the athlete's own exponent or the published one.
    Outlook {
        /// The exponent.
        exponent: Exponent,
        /// Whether the exponent is the athlete's own.
        own: bool,
    },
    /// Critical speed: the line through distance and time of two all-out runs.
    CriticalSpeed,
    /// The weakest quality, against published ratios.
    Balance,
    /// When to test again.
    RetestWindow,
}

/// What was run, or measured, for a number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum From {
    /// A field test.
    Test(TestKind, Option<NaiveDate>),
    /// A race.
    Race(NaiveDate),
    /// A laboratory.
    Laboratory(NaiveDate),
    /// Nothing but the athlete's age or maximum.
    Roster,
    /// All tests of a kind that count.
    AllTests(TestKind),
    /// The newest all-out tests and races.
    AllOut,
    /// The 5- and the 20-minute test behind the zones.
    BothAllOut,
    /// The markers of the zones in force.
    Markers,
}

/// The answer to "where from".
#[derive(Debug, Clone, PartialEq)]
pub struct WhereFrom {
    /// What was run.
    pub from: From,
    /// The rule.
    pub rule: Rule,
    /// The rule's source, in one line.
    pub source: &'static str,
    /// Its standing.
    pub standing: Standing,
}

impl WhereFrom {
    /// The answer for what was run and a rule.
    pub fn of(from: From, rule: Rule) -> Self {
        let (source, standing) = source(rule);
        Self { from, rule, source, standing }
    }
}

/// The rule by which a test's number follows from its mean.
pub fn rule_of_test(kind: TestKind, share: SecondThresholdShare) -> Rule {
    match kind {
        TestKind::FiveMinutes => Rule::Vo2maxPace,
        TestKind::TwentyMinutes => Rule::SecondThreshold(share),
        TestKind::FortyMinutes => Rule::FirstThresholdPace,
    }
}

/// Where a marker's number comes from; `None` where there is no such number.
pub fn where_from(
    evidence: &MarkerEvidence,
    markers: &Markers,
    marker: MarkerName,
    number: BearsOn,
) -> Option<WhereFrom> {
    let (from, rule) = match number {
        BearsOn::Speed => speed(evidence, markers, marker)?,
        BearsOn::HeartRate => heart_rate(evidence, markers, marker)?,
    };
    Some(WhereFrom::of(from, rule))
}

fn test(evidence: &MarkerEvidence, kind: TestKind) -> Option<From> {
    let attempt = match kind {
        TestKind::FiveMinutes => evidence.five,
        TestKind::TwentyMinutes => evidence.twenty,
        TestKind::FortyMinutes => evidence.forty,
    };
    attempt.map(|attempt| From::Test(kind, attempt.on))
}

fn in_laboratory(evidence: &MarkerEvidence, marker: MarkerName) -> Option<(From, Rule)> {
    let value = evidence.newest_in_laboratory(marker)?;
    Some((From::Laboratory(value.on), Rule::Laboratory(value.protocol)))
}

fn speed(evidence: &MarkerEvidence, markers: &Markers, marker: MarkerName) -> Option<(From, Rule)> {
    let origin = markers.get(marker).speed?.origin;
    if origin == Origin::Entered {
        return in_laboratory(evidence, marker);
    }
    let of = |kind, rule| Some((test(evidence, kind)?, rule));
    let share = evidence.rules.second_threshold;
    match (marker, origin) {
        (MarkerName::AerobicFloor, _) => {
            let from = speed(evidence, markers, MarkerName::Vo2max)?.0;
            Some((from, Rule::FloorByCost))
        }
        (MarkerName::Lt1, Origin::Estimated) if held(evidence) == Held::Untargeted => {
            of(TestKind::FortyMinutes, Rule::UntargetedPace)
        }
        (_, Origin::Estimated) => Some((nearest_tested(evidence, markers)?, Rule::PublishedRatio)),
        (MarkerName::Lt1, _) => of(TestKind::FortyMinutes, Rule::FirstThresholdPace),
        (MarkerName::Lt2, Origin::Measured) => {
            of(TestKind::TwentyMinutes, Rule::SecondThreshold(share))
        }
        (MarkerName::Lt2, _) => Some((From::Race(evidence.race?.on), Rule::RaceByPowerLaw(share))),
        (MarkerName::Vo2max, _) => of(TestKind::FiveMinutes, Rule::Vo2maxPace),
    }
}

/// What an estimated speed was scaled from: LT2 before VO2max pace before LT1, as the estimate does.
fn nearest_tested(evidence: &MarkerEvidence, markers: &Markers) -> Option<From> {
    [MarkerName::Lt2, MarkerName::Vo2max, MarkerName::Lt1]
        .into_iter()
        .filter(|name| {
            markers.get(*name).speed.is_some_and(|speed| speed.origin != Origin::Estimated)
        })
        .find_map(|name| Some(speed(evidence, markers, name)?.0))
        .or_else(|| test(evidence, TestKind::FortyMinutes))
}

fn heart_rate(
    evidence: &MarkerEvidence,
    markers: &Markers,
    marker: MarkerName,
) -> Option<(From, Rule)> {
    let estimate = markers.get(marker).heart_rate?;
    let twenty = || test(evidence, TestKind::TwentyMinutes);
    let forty = || test(evidence, TestKind::FortyMinutes);
    match (marker, estimate.origin) {
        (_, Origin::Entered) => in_laboratory(evidence, marker),
        (MarkerName::Lt2, Origin::Measured) => {
            Some((twenty()?, Rule::SecondThreshold(evidence.rules.second_threshold)))
        }
        (MarkerName::Lt2, _) => Some((forty()?, Rule::FirstThreshold(evidence.factor))),
        (MarkerName::Lt1, Origin::Estimated) => Some((forty()?, Rule::HeldRate)),
        (MarkerName::Lt1, _) => {
            let lt2 = in_laboratory(evidence, MarkerName::Lt2)
                .filter(|_| markers.lt2.heart_rate.is_some_and(|e| e.origin == Origin::Entered));
            let factor = match lt2 {
                Some((_, Rule::Laboratory(Protocol::GasExchange))) => {
                    FirstThresholdFactor::ventilatory().lower(evidence.factor)
                }
                _ => evidence.factor,
            };
            let from = lt2.map(|(from, _)| from).or_else(twenty)?;
            Some((from, Rule::FirstThreshold(factor)))
        }
        (MarkerName::AerobicFloor, _) => floor(evidence, markers),
        (MarkerName::Vo2max, _) => None,
    }
}

fn floor(evidence: &MarkerEvidence, markers: &Markers) -> Option<(From, Rule)> {
    let shown = markers.aerobic_floor.heart_rate?.value;
    let by_method = crate::markers::floor_by_method(evidence);
    if by_method.is_none_or(|floor| (floor.value.bpm() - shown.bpm()).abs() > 1e-6) {
        let from = heart_rate(evidence, markers, MarkerName::Lt1)?.0;
        return Some((from, Rule::FloorFromFirstThreshold));
    }
    let maximum = crate::markers::maximum(evidence)?.from;
    let from = match maximum {
        MaximumFrom::TwentyMinutes => test(evidence, TestKind::TwentyMinutes)?,
        _ => From::Roster,
    };
    let rule = match evidence.rules.floor {
        FloorMethod::OfMaximum => Rule::FloorByMaximum(maximum),
        FloorMethod::OfReserve => Rule::FloorByReserve(maximum),
    };
    Some((from, rule))
}

fn source(rule: Rule) -> (&'static str, Standing) {
    match rule {
        Rule::SecondThreshold(_) | Rule::RaceByPowerLaw(_) => second_threshold(rule),
        Rule::FirstThreshold(factor) if factor == FirstThresholdFactor::default() => (
            "no source; fits a lactate steady state, high against a second ventilatory threshold",
            Standing::CommonPractice,
        ),
        Rule::FirstThreshold(factor) if factor == FirstThresholdFactor::ventilatory() => (
            "Esteve-Lanao and others, Sports 2026: 85.1 over 93.5 % of the maximum",
            Standing::Published,
        ),
        Rule::FirstThreshold(_) => ("the coach's own factor", Standing::Entered),
        Rule::HeldRate => (
            "no LT2 heart rate is known, so it stands in; it may lie anywhere around LT1",
            Standing::Judgement,
        ),
        Rule::FirstThresholdPace => ("the mean speed at LT1 heart rate", Standing::Measured),
        Rule::UntargetedPace => (
            "held at no known LT1 heart rate, so it may lie anywhere around LT1",
            Standing::Judgement,
        ),
        Rule::Vo2maxPace => (
            "Berthon and others, Eur J Appl Physiol 1997: 17.1 against 16.9 km/h on a treadmill",
            Standing::Published,
        ),
        Rule::FloorByCost => (
            "56 % of VO2max (a convention) by the running equation of the American College of Sports Medicine, 2018",
            Standing::Published,
        ),
        Rule::FloorByMaximum(MaximumFrom::TwentyMinutes) => (
            "Swain and others, Med Sci Sports Exerc 1994, of a maximum taken as the 20-minute mean over 0.925 (from memory)",
            Standing::CommonPractice,
        ),
        Rule::FloorByMaximum(MaximumFrom::Age) => (
            "Swain and others 1994, of a maximum by age: Tanaka and others, J Am Coll Cardiol 2001",
            Standing::Published,
        ),
        Rule::FloorByMaximum(_) => (
            "Swain and others, Med Sci Sports Exerc 1994: 73 % of the maximum at 56 % of VO2max",
            Standing::Published,
        ),
        Rule::FloorByReserve(from) => by_reserve(from),
        Rule::FloorFromFirstThreshold => (
            "0.856 of LT1 heart rate: 72.84 % (Swain 1994) over 85.1 % (Esteve-Lanao 2026) of the maximum",
            Standing::Published,
        ),
        Rule::PublishedRatio => (
            "Esteve-Lanao and others, Sports 2026: thresholds at 73.9 and 87.6 % of VO2max speed in 1,411 runners",
            Standing::Published,
        ),
        Rule::Laboratory(_) => ("as the laboratory gave it", Standing::Entered),
        Rule::Trend
        | Rule::Outlook { .. }
        | Rule::CriticalSpeed
        | Rule::Balance
        | Rule::RetestWindow => of_many(rule),
    }
}

/// The sources of LT2, by the usual share or the coach's own.
fn second_threshold(rule: Rule) -> (&'static str, Standing) {
    match rule {
        Rule::SecondThreshold(share) if share.is_usual() => (
            "no source; its speed lies between maximal lactate steady state (0.90 to 0.94 of the mean) and critical speed (0.965 to 0.973), its heart rate within some 8 beats of a lactate steady state",
            Standing::CommonPractice,
        ),
        Rule::RaceByPowerLaw(share) if share.is_usual() => (
            "Riegel, American Scientist 1981, then 95 % as for a 20-minute test (common practice)",
            Standing::CommonPractice,
        ),
        Rule::RaceByPowerLaw(_) => (
            "Riegel, American Scientist 1981, then the coach's own share as for a 20-minute test",
            Standing::Entered,
        ),
        _ => ("the coach's own share, set for the whole library; 95 % is usual", Standing::Entered),
    }
}

/// The sources of the floor by the reserve.
fn by_reserve(maximum: MaximumFrom) -> (&'static str, Standing) {
    match maximum {
        MaximumFrom::TwentyMinutes => (
            "Swain and others, Med Sci Sports Exerc 1998, with a highest heart rate taken as the 20-minute mean over 0.925 (from memory)",
            Standing::CommonPractice,
        ),
        MaximumFrom::Age => (
            "Swain and others 1998, with a highest heart rate by age: Tanaka and others, J Am Coll Cardiol 2001",
            Standing::Published,
        ),
        MaximumFrom::Entered | MaximumFrom::Peak => (
            "Swain and others, Med Sci Sports Exerc 1998: 55.5 % of the reserve at 56 % of VO2max",
            Standing::Published,
        ),
    }
}

/// The sources of what is told of several tests or markers together.
fn of_many(rule: Rule) -> (&'static str, Standing) {
    match rule {
        Rule::Trend => (
            "each test weighs by its published repeatability, and the line grows less sure with time (a state-space model after Durbin and Koopman 2012; how fast fitness may move is the program's own assumption)",
            Standing::Judgement,
        ),
        Rule::Outlook { own: true, .. } => (
            "Riegel, American Scientist 1981; an exponent of one's own, between 1.03 and 1.15, after Blythe and Király, PLoS ONE 2016",
            Standing::Published,
        ),
        Rule::Outlook { own: false, .. } => (
            "Riegel, American Scientist 1981: times grow with distance to the power 1.06",
            Standing::Published,
        ),
        Rule::CriticalSpeed => (
            "Monod and Scherrer, Ergonomics 1965; in runners Hughson and others, Int J Sports Med 1984; 20 minutes lie beyond the runs it was made for, so it stands here only where it contradicts LT2",
            Standing::Published,
        ),
        Rule::RetestWindow => ("4 to 8 weeks; no source", Standing::CommonPractice),
        // the balance goes by the same ratios as an untested marker
        _ => source(Rule::PublishedRatio),
    }
}
