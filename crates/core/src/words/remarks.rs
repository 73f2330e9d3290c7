//! One sentence for each remark: what was seen with its number, and what to do.

mod asks;
mod recorded;

use self::asks::Asks;
use super::{marker, marker_heading, marker_pace, test};
use crate::format::{clock, half_up, metres_per_unit, pace_seconds, pace_unit, percent};
use crate::markers::MarkerName;
use crate::physiology::conditions::{Celsius, HeatAdvice, Unlike, heat_advice};
use crate::physiology::heart_rate_gain::ANOTHER_PACE_BPM;
use crate::remark::{Finding, Remark};
use crate::test::Decision;
use crate::units::{Origin, Speed, UnitSystem};

/// One or two sentences for a remark: what was seen with its number and place, and what to do.
pub fn remark(remark: &Remark, units: UnitSystem) -> String {
    said(remark, Asks::Now, units)
}

/// The same of a test by what was decided on it: once it counts nobody is told to repeat it, but what
/// to do in the next.
pub fn remark_of(remark: &Remark, decision: &Decision, units: UnitSystem) -> String {
    let asks = if decision.is_accepted() { Asks::NextTime } else { Asks::Now };
    said(remark, asks, units)
}

fn said(remark: &Remark, asks: Asks, units: UnitSystem) -> String {
    let at = |prefix: &str| {
        // the recording's clock, not the effort's
        remark.span.map_or_else(String::new, |span| {
            format!("{prefix}{} of the recording", clock(half_up(span.from.s())))
        })
    };
    match &remark.finding {
        Finding::PauseInside { longest_s } => format!(
            "Every stretch of this length holds a pause, the longest {}{}. {}",
            clock(half_up(*longest_s)),
            at(" at "),
            asks.about(&remark.finding)
        ),
        Finding::NotAllOut { neighbour_share } => format!(
            "The minute beside this stretch was run at {} of its speed, so it was not an all-out test of this length. {}",
            percent(*neighbour_share),
            asks.about(&remark.finding)
        ),
        Finding::JumpsBridged { .. }
        | Finding::PositionsJumped { .. }
        | Finding::DistanceEntered { .. }
        | Finding::MeasuredElsewhere { .. }
        | Finding::PauseAvoided { .. }
        | Finding::PausesElsewhere { .. }
        | Finding::UnevenPace { .. }
        | Finding::TwoSpeeds { .. }
        | Finding::FinishSprint { .. }
        | Finding::Slope { .. }
        | Finding::HighAltitude { .. }
        | Finding::Treadmill { .. }
        | Finding::TimeOffTarget { .. }
        | Finding::Fade { .. } => recorded::speed(&remark.finding, &at(" at "), asks, units),
        Finding::HeartRateImplausible { .. }
        | Finding::HeartRateStep { .. }
        | Finding::HeartRateDropout { .. }
        | Finding::HeartRateFlat { .. }
        | Finding::CadenceLock { .. }
        | Finding::HeartRateLag { .. } => recorded::heart_rate(&remark.finding, &at(" at ")),
        Finding::DistanceFromPositions | Finding::NoDistance | Finding::ImpossibleSpeed { .. } => {
            distance(&remark.finding, units)
        }
        Finding::HeartRateMissing { present_share } => missing_heart_rate(*present_share),
        Finding::NoTarget
        | Finding::NoTargetOnMedication
        | Finding::Heat { .. }
        | Finding::OffTarget { .. } => run_as(&remark.finding, asks, units),
        Finding::TakenShort { .. }
        | Finding::ClockSpike { .. }
        | Finding::ClockBackwards { .. }
        | Finding::ClockWithoutDate
        | Finding::ChainedParts { .. }
        | Finding::CutOff
        | Finding::WrongChecksum
        | Finding::SecondRecording { .. }
        | Finding::SecondRecordingStands
        | Finding::FilesJoined { .. }
        | Finding::AnotherSport { .. } => file(&remark.finding, &at(" at "), asks),
        _ => markers(&remark.finding, units),
    }
}

fn distance(finding: &Finding, units: UnitSystem) -> String {
    match finding {
        Finding::DistanceFromPositions => "The distance was measured from positions; expect 3 to 6 % of error. A measured course typed in by hand is better.".to_owned(),
        Finding::NoDistance => "The recording holds neither distance nor positions. Type the distance run, if you know it.".to_owned(),
        Finding::ImpossibleSpeed { speed_m_per_s } => impossible(*speed_m_per_s, units),
        _ => String::new(),
    }
}

fn impossible(speed_m_per_s: f64, units: UnitSystem) -> String {
    let pace = Speed::from_m_per_s(speed_m_per_s)
        .ok()
        .and_then(|speed| pace_seconds(speed, units))
        .map_or_else(
            || "this speed".to_owned(),
            |s| format!("{} per {}", clock(s), pace_unit(units)),
        );
    format!(
        "Nobody has run {pace} for so long: the distance is wrong. Type the distance run, if you know it."
    )
}

fn missing_heart_rate(present_share: f64) -> String {
    if present_share <= 0.0 {
        return "No heart rate to trust was recorded. Check that the sensor is paired and sits tight before the next test.".to_owned();
    }
    format!(
        "Heart rate is missing or cannot be trusted for {} of the effort; the mean rests on the rest. Check how the sensor sits, and its battery, before the next test.",
        percent(1.0 - present_share)
    )
}

/// In what a test was not run as it should be.
fn run_as(finding: &Finding, asks: Asks, units: UnitSystem) -> String {
    match finding {
        Finding::NoTarget => format!(
            "No LT1 heart rate was known for this run, so its pace need not be LT1 pace. {}",
            asks.about(finding)
        ),
        Finding::NoTargetOnMedication => format!(
            "On medication that lowers the heart rate no heart rate is a target, so this pace need not be LT1 pace. {}",
            asks.about(finding)
        ),
        Finding::Heat { wet_bulb_globe_degrees, estimated } => {
            heat(*wet_bulb_globe_degrees, *estimated, asks)
        }
        Finding::OffTarget { by_bpm, pace_effect_s_per_km } => {
            off_target(*by_bpm, *pace_effect_s_per_km, asks, units)
        }
        _ => String::new(),
    }
}

fn off_target(by_bpm: f64, pace_effect_s_per_km: f64, asks: Asks, units: UnitSystem) -> String {
    let (side, pace) = if by_bpm > 0.0 { ("above", "faster") } else { ("below", "slower") };
    let seconds = pace_effect_s_per_km.abs() * metres_per_unit(units) / 1_000.0;
    let counts = if by_bpm.abs() > ANOTHER_PACE_BPM {
        asks.of(
            "Its pace is not LT1 pace, which is estimated from other tests instead: repeat it on target.",
            "Its pace is not LT1 pace, which is estimated from other tests instead. Hold the next one at the target on the card.",
        )
    } else {
        asks.of(
            "Repeat it on target before trusting LT1 pace.",
            "Hold the next one at the target on the card.",
        )
    };
    format!(
        "Held {} beats {side} that day's target; that likely made it about {} s per {} {pace}. {counts}",
        half_up(by_bpm.abs()),
        half_up(seconds),
        pace_unit(units)
    )
}

fn heat(degrees: f64, estimated: bool, asks: Asks) -> String {
    let about = if estimated {
        format!("about {degrees:.0} \u{b0}C, estimated")
    } else {
        format!("{degrees:.0} \u{b0}C")
    };
    let advice = match Celsius::from_degrees(degrees).map(|heat| heat_advice(heat, true)) {
        Some(HeatAdvice::Refuse) => {
            asks.of(
                "too hot for any all-out effort: the result says little, and no such test should be run. Repeat it on a cool day",
                "too hot for any all-out effort: the result says little, and no such test should be run. Run the next one on a cool day",
            )
        }
        Some(HeatAdvice::Postpone) => {
            asks.of(
                "so hot that the result is clearly slower and the heart rate higher than on a cool day. Repeat it on a cool day before the zones follow it",
                "so hot that the result is clearly slower and the heart rate higher than on a cool day. Run the next one on a cool day",
            )
        }
        _ => "so the result is slower than on a cool day. Compare it only with tests in like heat",
    };
    format!("Run at a wet-bulb globe temperature of {about}: {advice}.")
}

fn file(finding: &Finding, at: &str, asks: Asks) -> String {
    match finding {
        Finding::TakenShort { missing_s } => format!(
            "The recording is {} s shorter than the test and was taken whole. Start the watch before the whistle next time.",
            half_up(*missing_s)
        ),
        Finding::ClockSpike { ahead_s } => format!(
            "One record{at} stood {} ahead of its neighbours; it was left out.",
            clock(half_up(*ahead_s))
        ),
        Finding::ClockBackwards { count } => format!(
            "{} back in time{at} and after; left out.",
            counted(*count, "record went", "records went")
        ),
        Finding::ClockWithoutDate => "The device's clock has no date. Give the day of the test by hand.".to_owned(),
        Finding::ChainedParts { count } => format!(
            "The file holds {count} recordings one after the other; those that go back in time were left out. Export each on its own to be sure."
        ),
        Finding::CutOff => format!(
            "The file breaks off{at}; what stands before was read. Copy it from the device again."
        ),
        Finding::WrongChecksum => "The file's checksum is wrong: something changed after it was recorded. Copy it from the device again.".to_owned(),
        Finding::SecondRecording { kept: true, because } => format!(
            "Two devices recorded this effort; this recording is kept because {because}. The other is set aside."
        ),
        Finding::SecondRecording { kept: false, because } => format!(
            "Two devices recorded this effort; the other recording is kept because {because}. Accept this one instead if you know better."
        ),
        Finding::SecondRecordingStands => "Two devices recorded this effort and neither recording is set aside: it would count twice. Accept the better one, and the other is set aside with it.".to_owned(),
        Finding::FilesJoined { count } => format!(
            "The test stood in {count} files, joined here with the gap between them as a pause. {}",
            asks.about(finding)
        ),
        Finding::AnotherSport { name } => format!(
            "The device says this was {name}, not running. {}",
            asks.about(finding)
        ),
        _ => String::new(),
    }
}

fn markers(finding: &Finding, units: UnitSystem) -> String {
    match finding {
        Finding::MarkersOutOfOrder { lower, upper } => format!(
            "{} does not stand below {}: the tests or values they come from contradict each other, so no zones between them can be given. Measure the less certain one again.",
            marker_heading(*lower),
            marker(*upper)
        ),
        Finding::TestsContradict { ratio } => format!(
            "The 5-minute test was run at {} of the 20-minute speed; it should be faster. Repeat the 5-minute test before using it.",
            percent(*ratio)
        ),
        Finding::CriticalSpeedApart { critical_speed_m_per_s } => {
            let pace = Speed::from_m_per_s(*critical_speed_m_per_s)
                .ok()
                .and_then(|speed| pace_seconds(speed, units))
                .map_or_else(String::new, clock);
            format!(
                "Critical speed from the 5- and 20-minute tests is {pace} per {}, well apart from LT2. One of the two was likely not all-out.",
                pace_unit(units)
            )
        }
        Finding::HeartRateMaxEstimated { bpm, from_test: true } => format!(
            "The maximal heart rate is not known; {} is estimated from the 20-minute test (common practice, no source). Enter it if you know it.",
            half_up(*bpm)
        ),
        Finding::HeartRateMaxEstimated { bpm, from_test: false } => format!(
            "The maximal heart rate is not known; {} is estimated from age and can be 10 beats off either way. Enter it if you know it.",
            half_up(*bpm)
        ),
        Finding::FloorFromLt1 { by_method_bpm: Some(bpm) } => format!(
            "By the highest heart rate the aerobic floor would be {}, too near LT1; it was estimated from LT1 instead. Ask about medication and check the highest heart rate.",
            half_up(*bpm)
        ),
        Finding::FloorFromLt1 { by_method_bpm: None } => "No highest heart rate is known; the aerobic floor's heart rate is estimated from LT1. Enter it if you know it.".to_owned(),
        Finding::RestingHeartRateUnknown => "The resting heart rate is not known, and this library takes the aerobic floor from the reserve; its heart rate is estimated from LT1. Enter the resting heart rate.".to_owned(),
        Finding::HeartRateMaxTooLow { maximum_bpm, held_bpm } => format!(
            "The maximal heart rate {} is below the {} held for 20 minutes. Correct it.",
            half_up(*maximum_bpm),
            half_up(*held_bpm)
        ),
        Finding::WristSensor => "Heart rate from a wrist sensor sets no heart-rate zones. Wear a chest strap in the next 20-minute test.".to_owned(),
        Finding::RateLoweringMedication => "On medication that lowers the heart rate: no heart-rate zones. Run by pace, talk test and feel, and follow the clinician.".to_owned(),
        Finding::FirstFiveMinutes => "A first 5-minute test is practice; its repeat gains about 1.2 % by learning alone.".to_owned(),
        _ => together(finding),
    }
}

/// What tests and markers say of each other.
fn together(finding: &Finding) -> String {
    match finding {
        Finding::HeldApartFromLt1 { by_bpm, lt1_bpm } => format!(
            "The 40-minute test was held {} beats {} the LT1 heart rate of these zones, {lt1}. {}. With these zones in force, hold the next one at {lt1}.",
            half_up(by_bpm.abs()),
            if *by_bpm > 0.0 { "above" } else { "below" },
            match by_bpm {
                by if by.abs() > ANOTHER_PACE_BPM =>
                    "Its pace is not LT1 pace, which is estimated from other tests instead",
                by if *by > 0.0 => "Its pace is likely faster than LT1 pace",
                _ => "Its pace is likely slower than LT1 pace",
            },
            lt1 = half_up(*lt1_bpm)
        ),
        Finding::UnlikelyShareOfMaximum { share } => format!(
            "LT2 heart rate is {} of the maximum; nearly everyone's is 75 to 100 %. Check the maximum, the sensor, and whether the test was all-out.",
            percent(*share)
        ),
        Finding::UnusualSpacing { lower, upper, lower_origin, upper_origin, ratio, usual } => {
            format!(
                "{} stands at {} of {}; {} is usual. {}",
                marker_heading(*lower),
                percent(*ratio),
                marker(*upper),
                percent(*usual),
                look_at_both((*lower, *lower_origin), (*upper, *upper_origin))
            )
        }
        Finding::TestsFarApart { days } => format!(
            "The oldest of these tests is {} weeks older than the newest. Repeat it before you trust the zone between them.",
            days / 7
        ),
        Finding::TestsUnlike { how } => format!(
            "The tests behind these zones were not run alike: {}. Repeat one in the conditions of the others.",
            unlike(*how)
        ),
        Finding::AdultFigures { age_years } => format!(
            "At {} these are adults' figures, carried over: take every estimate with more caution.",
            age_years.floor()
        ),
        Finding::LowerFactorOffered { factor } => format!(
            "Two 40-minute tests faded clearly in cool weather: LT1 is likely lower. Consider LT1 heart rate at {} of LT2; the next 40-minute test then starts a new series.",
            percent(*factor)
        ),
        _ => String::new(),
    }
}

/// What to check of two markers that stand oddly, by what each stands on.
fn look_at_both(lower: (MarkerName, Origin), upper: (MarkerName, Origin)) -> String {
    if lower.1 == Origin::Measured && upper.1 == Origin::Measured {
        return "Check that both tests were run as they should be.".to_owned();
    }
    let of = |(name, origin): (MarkerName, Origin)| match origin {
        Origin::Entered => {
            format!("the laboratory's {} and its protocol", marker_pace(name))
        }
        Origin::ByRule => format!("the race behind {}", marker_pace(name)),
        Origin::Measured | Origin::Estimated => {
            format!("how the {} was run", test(name.renewed_by()))
        }
    };
    format!("Check {}, and {}.", of(lower), of(upper))
}

fn unlike(how: Unlike) -> &'static str {
    match how {
        Unlike::Treadmill => "one was on a treadmill",
        Unlike::Altitude => "their heights differ by more than 300 m",
        Unlike::Surface => "one was on soft or uneven ground",
        Unlike::Heat => "one was in clearly more heat",
    }
}

fn counted(count: usize, one: &str, many: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{count} {many}") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::remark::{BearsOn, Severity};

    #[test]
    fn a_test_that_counts_is_not_told_to_be_repeated() {
        // judgement: what counts is decided; what was seen stays, what it asks is for the next test
        let by = |by_bpm| Finding::OffTarget { by_bpm, pace_effect_s_per_km: 9.0 };
        let fade = Finding::Fade { slower_by: 0.06, worth_bpm: 6.0, speed_per_beat: None };
        let asking = [
            Finding::PauseInside { longest_s: 40.0 },
            Finding::NotAllOut { neighbour_share: 0.98 },
            Finding::PauseAvoided { length_s: 40.0 },
            Finding::TwoSpeeds { minutes: 20, slow_share: 0.6, slow_s: 200.0, slow_first: true },
            Finding::Slope { flat_m_per_s: 4.2, by: 0.03 },
            Finding::Heat { wet_bulb_globe_degrees: 24.0, estimated: true },
            Finding::Heat { wet_bulb_globe_degrees: 29.0, estimated: true },
            Finding::FilesJoined { count: 2 },
            Finding::AnotherSport { name: "cycling".to_owned() },
            Finding::NoTarget,
            Finding::NoTargetOnMedication,
            by(6.0),
            by(-20.0),
            fade,
        ];
        let accepted = Decision::Accepted { reason: None };
        let aside = Decision::SetAside { reason: "unwell".to_owned() };
        for finding in asking {
            let one = Remark::new(finding, Severity::Check, BearsOn::Speed);
            let of = |decision: &Decision| remark_of(&one, decision, UnitSystem::Kilometres);
            let (waits, counts) = (of(&Decision::ToConfirm), of(&accepted));
            let lower = counts.to_lowercase();
            assert!(!lower.contains("repeat") && !lower.contains("accept it"), "{counts}");
            assert!(counts.contains("next one"), "{counts}");
            let asks = waits.to_lowercase();
            assert!(asks.contains("repeat") || asks.contains("accept it"), "{waits}");
            assert_eq!(waits, of(&aside));
            assert_eq!(waits, remark(&one, UnitSystem::Kilometres));
            let seen = |text: &str| text.split(['.', ':']).next().map(str::to_owned);
            assert_eq!(seen(&waits), seen(&counts), "what was seen stays");
        }
    }
}
