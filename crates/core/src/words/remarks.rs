//! One sentence for each remark: what was seen with its number, and what to do.

mod recorded;

use super::{marker, marker_heading};
use crate::format::{clock, half_up, metres_per_unit, pace_seconds, pace_unit, percent};
use crate::physiology::conditions::{Celsius, HeatAdvice, Unlike, heat_advice};
use crate::physiology::heart_rate_gain::ANOTHER_PACE_BPM;
use crate::remark::{Finding, Remark};
use crate::units::{Speed, UnitSystem};

/// One or two sentences for a remark: what was seen with its number and place, and what to do.
pub fn remark(remark: &Remark, units: UnitSystem) -> String {
    let at = |prefix: &str| {
        // the recording's clock, not the effort's
        remark.span.map_or_else(String::new, |span| {
            format!("{prefix}{} of the recording", clock(half_up(span.from.s())))
        })
    };
    match &remark.finding {
        Finding::TakenShort { missing_s } => format!(
            "The recording is {} s shorter than the test and was taken whole. Start the watch before the whistle next time.",
            half_up(*missing_s)
        ),
        Finding::PauseInside { longest_s } => format!(
            "Every stretch of this length holds a pause, the longest {}{}. A test with a pause is no test: repeat it without stopping the watch.",
            clock(half_up(*longest_s)),
            at(" at ")
        ),
        Finding::NotAllOut { neighbour_share } => format!(
            "The minute beside this stretch was run at {} of its speed, so it was not an all-out test of this length. Set the edges by hand, or repeat the test.",
            percent(*neighbour_share)
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
        | Finding::Fade { .. } => recorded::speed(&remark.finding, &at(" at "), units),
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
        Finding::NoTarget | Finding::Heat { .. } | Finding::OffTarget { .. } => {
            run_as(&remark.finding, units)
        }
        Finding::ClockSpike { .. }
        | Finding::ClockBackwards { .. }
        | Finding::ClockWithoutDate
        | Finding::ChainedParts { .. }
        | Finding::CutOff
        | Finding::WrongChecksum
        | Finding::SecondRecording { .. }
        | Finding::SecondRecordingStands
        | Finding::FilesJoined { .. }
        | Finding::AnotherSport { .. } => file(&remark.finding, &at(" at ")),
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
fn run_as(finding: &Finding, units: UnitSystem) -> String {
    match finding {
        Finding::NoTarget => "No LT1 heart rate was known for this run, so its pace need not be LT1 pace. Accept it with the reason if it was held at a pace for easy talk; else repeat it by the talk test, or on target once a 20-minute test with a heart rate to trust has given one.".to_owned(),
        Finding::Heat { wet_bulb_globe_degrees, estimated } => heat(*wet_bulb_globe_degrees, *estimated),
        Finding::OffTarget { by_bpm, pace_effect_s_per_km } => off_target(*by_bpm, *pace_effect_s_per_km, units),
        _ => String::new(),
    }
}

fn off_target(by_bpm: f64, pace_effect_s_per_km: f64, units: UnitSystem) -> String {
    let (side, pace) = if by_bpm > 0.0 { ("above", "faster") } else { ("below", "slower") };
    let seconds = pace_effect_s_per_km.abs() * metres_per_unit(units) / 1_000.0;
    let counts = if by_bpm.abs() > ANOTHER_PACE_BPM {
        "Its pace is not LT1 pace, which is estimated from other tests instead: repeat it on target."
    } else {
        "Repeat it on target before trusting LT1 pace."
    };
    format!(
        "Held {} beats {side} the target; that likely made it about {} s per {} {pace}. {counts}",
        half_up(by_bpm.abs()),
        half_up(seconds),
        pace_unit(units)
    )
}

fn heat(degrees: f64, estimated: bool) -> String {
    let about = if estimated {
        format!("about {degrees:.0} \u{b0}C, estimated")
    } else {
        format!("{degrees:.0} \u{b0}C")
    };
    let advice = match Celsius::from_degrees(degrees).map(|heat| heat_advice(heat, true)) {
        Some(HeatAdvice::Refuse) => {
            "too hot for any all-out effort: the result says little, and no such test should be run. Repeat it on a cool day"
        }
        Some(HeatAdvice::Postpone) => {
            "so hot that the result is clearly slower and the heart rate higher than on a cool day. Repeat it on a cool day before the zones follow it"
        }
        _ => "so the result is slower than on a cool day. Compare it only with tests in like heat",
    };
    format!("Run at a wet-bulb globe temperature of {about}: {advice}.")
}

fn file(finding: &Finding, at: &str) -> String {
    match finding {
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
            "The test stood in {count} files, joined here with the gap between them as a pause. Repeat it without stopping the watch."
        ),
        Finding::AnotherSport { name } => format!(
            "The device says this was {name}, not running. If it was a run, accept it with that reason."
        ),
        _ => String::new(),
    }
}

fn markers(finding: &Finding, units: UnitSystem) -> String {
    match finding {
        Finding::MarkersOutOfOrder { lower, upper } => format!(
            "{} does not stand below {}: the tests contradict each other, so no zones between them can be given. Repeat the less certain test.",
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
        Finding::HeldApartFromLt1 { by_bpm } => format!(
            "The 40-minute test was held {} beats {} LT1 heart rate. {}: repeat it on target.",
            half_up(by_bpm.abs()),
            if *by_bpm > 0.0 { "above" } else { "below" },
            match by_bpm {
                by if by.abs() > ANOTHER_PACE_BPM =>
                    "Its pace is not LT1 pace, which is estimated from other tests instead",
                by if *by > 0.0 => "Its pace is likely faster than LT1 pace",
                _ => "Its pace is likely slower than LT1 pace",
            }
        ),
        Finding::UnlikelyShareOfMaximum { share } => format!(
            "LT2 heart rate is {} of the maximum; nearly everyone's is 75 to 100 %. Check the maximum, the sensor, and whether the test was all-out.",
            percent(*share)
        ),
        Finding::UnusualSpacing { lower, upper, ratio, usual } => format!(
            "{} stands at {} of {}; {} is usual. Check the two tests behind them, or what stands in for one.",
            marker_heading(*lower),
            percent(*ratio),
            marker(*upper),
            percent(*usual)
        ),
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
