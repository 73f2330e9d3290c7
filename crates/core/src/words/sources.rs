//! "Where from" in sentences.

use super::test;
use crate::doubt::NINE_IN_TEN;
use crate::format::{day, half_up, metres, pace, pace_unit, percent, time};
use crate::laboratory::Protocol;
use crate::physiology::reliability::speed_percent;
use crate::physiology::thresholds::SecondThresholdShare;
use crate::sources::{From, Rule, Standing, WhereFrom, rule_of_test};
use crate::test::{Evidence, Test, TestKind};
use crate::units::{Estimate, HeartRate, Speed, UnitSystem};

/// How far a source carries.
pub fn standing(standing: Standing) -> &'static str {
    match standing {
        Standing::Published => "published",
        Standing::CommonPractice => "common practice",
        Standing::Judgement => "judgement",
        Standing::Measured => "measured",
        Standing::Entered => "entered",
    }
}

/// A speed with its doubt: "4:10 per km (nine in ten: 3:45 to 4:41)".
pub fn speed_range(estimate: &Estimate<Speed>, units: UnitSystem) -> String {
    let half = NINE_IN_TEN * estimate.error().m_per_s();
    let at = |m_per_s: f64| {
        Speed::from_m_per_s(m_per_s.max(0.0)).map_or_else(|_| "–".to_owned(), |s| pace(s, units))
    };
    let value = estimate.value.m_per_s();
    let (fast, slow) = (at(value + half), at(value - half));
    format!("{} per {} (nine in ten: {fast} to {slow})", at(value), pace_unit(units))
}

/// A heart rate with its doubt: "150 beats (nine in ten: 137 to 163)".
pub fn beats_range(estimate: &Estimate<HeartRate>) -> String {
    let half = NINE_IN_TEN * estimate.error().bpm();
    let at = |bpm: f64| half_up(bpm.max(0.0));
    let value = estimate.value.bpm();
    format!("{} beats (nine in ten: {} to {})", at(value), at(value - half), at(value + half))
}

/// "From the 20-minute test of 3 May 2026: 95 % of its mean. Common practice: no source; ..."
pub fn where_from(answer: &WhereFrom) -> String {
    let from = match answer.from {
        From::Test(kind, Some(on)) => format!("From the {} of {}", test(kind), day(on)),
        From::Test(kind, None) => format!("From the {}", test(kind)),
        From::Race(on) => format!("From the race of {}", day(on)),
        From::Laboratory(on) => format!("From the laboratory, {}", day(on)),
        From::Roster => "From what is known of the athlete".to_owned(),
        From::AllTests(kind) => format!("From every {} that counts", test(kind)),
        From::AllOut => "From the newest all-out tests and races".to_owned(),
        From::BothAllOut => "From the 5- and the 20-minute test behind the zones".to_owned(),
        From::Markers => "From the markers of the zones in force".to_owned(),
    };
    let standing = super::capital(standing(answer.standing));
    format!("{from}: {}. {standing}: {}.", rule(answer.rule), answer.source)
}

/// Where the mark of one test comes from: what was run, the rule, and what its error is.
pub fn of_test(test: &Test, share: SecondThresholdShare, practice: bool) -> String {
    let ran = test.performance;
    let read = match test.evidence {
        Evidence::Typed => "typed in",
        Evidence::Recorded { .. } => "from its recording",
    };
    let percent = speed_percent(test.kind, practice);
    let error = match test.kind {
        TestKind::FortyMinutes => "judgement: no study repeats a run at a held heart rate",
        _ => "judgement within published figures",
    };
    let rule = WhereFrom::of(From::Test(test.kind, Some(test.on)), rule_of_test(test.kind, share));
    format!(
        "{} {} in {}, {read}. Its error is what the same athlete differs by from one such test to the next, {percent:.1} % ({error}).",
        where_from(&rule),
        metres(ran.distance),
        time(ran.duration)
    )
}

fn rule(rule: Rule) -> String {
    match rule {
        Rule::SecondThreshold(share) => format!("{} of its mean", percent(share.ratio())),
        Rule::RaceByPowerLaw(share) => format!(
            "{} of the 20-minute speed that the power law reads from it",
            percent(share.ratio())
        ),
        Rule::FirstThreshold(factor) => {
            format!("LT1 heart rate is {} of LT2 heart rate", percent(factor.ratio()))
        }
        Rule::HeldRate => "the heart rate it was held at".to_owned(),
        Rule::FirstThresholdPace | Rule::UntargetedPace | Rule::Vo2maxPace => {
            "its mean speed".to_owned()
        }
        Rule::FloorByCost => "the speed at 56 % of the oxygen uptake of VO2max pace".to_owned(),
        Rule::FloorByMaximum(_) => "73 % of the highest heart rate".to_owned(),
        Rule::FloorByReserve(_) => {
            "the resting heart rate and 55.5 % of the way to the highest".to_owned()
        }
        Rule::FloorFromFirstThreshold => "86 % of LT1 heart rate".to_owned(),
        Rule::PublishedRatio => "a published ratio; this marker was not tested".to_owned(),
        Rule::Trend => "the line through all of them, and how sure its change is".to_owned(),
        Rule::Outlook { exponent, own } => format!(
            "the power law with {} exponent, {:.2}",
            if own { "the athlete's own" } else { "the published" },
            exponent.value()
        ),
        Rule::CriticalSpeed => "the slope of the line through distance and time of both".to_owned(),
        Rule::Balance => "the quality that stands lowest against the other two".to_owned(),
        Rule::RetestWindow => "the window to repeat it in".to_owned(),
        Rule::Laboratory(Protocol::Lactate) => "by blood lactate".to_owned(),
        Rule::Laboratory(Protocol::GasExchange) => "by gas exchange".to_owned(),
        Rule::Laboratory(Protocol::Other) => "by its own protocol".to_owned(),
    }
}
