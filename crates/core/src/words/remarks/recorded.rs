//! Sentences for what a recording shows of pace and heart rate.

use super::{Asks, counted, half_up};
use crate::format::{clock, metres, pace_seconds, pace_unit, percent};
use crate::remark::Finding;
use crate::units::{Distance, Speed, UnitSystem};

pub(super) fn speed(finding: &Finding, at: &str, asks: Asks, units: UnitSystem) -> String {
    match finding {
        Finding::JumpsBridged { count, largest_m } => format!(
            "{}, repaired: bridged at the speed around. Compare the distance with the laps you counted.",
            jumps(*count, &at.replacen(" at ", " from ", 1), *largest_m)
        ),
        Finding::PositionsJumped { count, largest_m } => format!(
            "{}; the distance used rests on none of that. Nothing to do.",
            jumps(*count, at, *largest_m)
        ),
        Finding::DistanceEntered { recorded_m, longer_by } => entered(*recorded_m, *longer_by),
        Finding::MeasuredElsewhere { measured_m, from_s, to_s, recorded } => {
            measured_elsewhere(*measured_m, (*from_s, *to_s), *recorded)
        }
        Finding::PauseAvoided { length_s } => format!(
            "A pause of {}{at} stands where the test was likely run; the stretch found only avoids it. {}",
            clock(half_up(*length_s)),
            asks.about(finding)
        ),
        Finding::PausesElsewhere { count, longest_s } => format!(
            "{} outside the effort, {}{}{at}. Nothing to do.",
            counted(*count, "pause", "pauses"),
            if *count == 1 { "of " } else { "the longest " },
            clock(half_up(*longest_s))
        ),
        Finding::UnevenPace { variation, quarters } => format!(
            "Minute splits vary by {}; the quarters went at {} of the mean. {}",
            one_decimal(*variation),
            listed(quarters),
            paced(quarters)
        ),
        Finding::TwoSpeeds { minutes, slow_share, slow_s, slow_first } => format!(
            "The {} {} of this stretch went at {} of the speed of the rest: it is not {minutes} minutes of one effort, so neither its pace nor its heart rate counts as one. {}",
            if *slow_first { "first" } else { "last" },
            clock(half_up(*slow_s)),
            percent(*slow_share),
            asks.about(finding)
        ),
        Finding::FinishSprint { faster_by } => format!(
            "From {} on the pace was {} above the rest: something was held back until then. Spread the effort next time.",
            at.trim_start_matches(" at "),
            percent(*faster_by)
        ),
        Finding::Slope { flat_m_per_s, by } => slope(*flat_m_per_s, *by, asks.about(finding), units),
        Finding::HighAltitude { above_sea_m } => format!(
            "Run at about {} m above sea level, which costs speed. Compare it only with tests within 300 m of that height.",
            half_up(*above_sea_m)
        ),
        Finding::Treadmill { speed_typed: true } => "Run on a treadmill, by its typed speed: kept as a series of its own. Do not compare it with tests on the ground.".to_owned(),
        Finding::Treadmill { speed_typed: false } => "Run indoors, where the device guesses the distance from the swing of the arm. Type the treadmill's speed and incline.".to_owned(),
        Finding::TimeOffTarget { on_target_share } => format!(
            "Heart rate was within 3 beats of the target for {} of the time. Hold it closer next time: look at the watch every minute.",
            percent(*on_target_share)
        ),
        Finding::Fade { slower_by, worth_bpm, speed_per_beat } => {
            fade(*slower_by, *worth_bpm, *speed_per_beat, asks.about(finding))
        }
        _ => String::new(),
    }
}

pub(super) fn heart_rate(finding: &Finding, at: &str) -> String {
    match finding {
        Finding::HeartRateImplausible { worst_bpm } => format!(
            "Heart rate {}{at} is no heart's; such values count as missing. Check the sensor.",
            half_up(*worst_bpm)
        ),
        Finding::HeartRateStep { by_bpm } => format!(
            "Heart rate {} by {} beats within seconds{at}, which no heart does: one side of the step is wrong. Look at the trace before trusting the mean.",
            if *by_bpm > 0.0 { "rose" } else { "fell" },
            half_up(by_bpm.abs())
        ),
        Finding::HeartRateDropout { by_bpm, lasted_s } => format!(
            "Heart rate fell by {} beats{at} and stayed low for {}; the mean leaves that out. Fasten the sensor more tightly next time.",
            half_up(*by_bpm),
            clock(half_up(*lasted_s))
        ),
        Finding::HeartRateFlat { lasted_s } if *lasted_s >= crate::effort::FLAT_FAULT_S => format!(
            "Heart rate stood at one value for {}{at}: the sensor repeated itself, and the mean leaves that out. Check the sensor's battery.",
            clock(half_up(*lasted_s))
        ),
        Finding::HeartRateFlat { lasted_s } => format!(
            "Heart rate stood at one value for {}{at}; that may be a steady heart or a sensor that repeats itself. Look at the trace.",
            clock(half_up(*lasted_s))
        ),
        Finding::CadenceLock { steps_per_minute, lasted_s, left_out: false } => format!(
            "Heart rate was about as high as the steps ({} a minute) for {}{at}, perhaps by chance. Look at the trace: a heart drifts, steps do not.",
            half_up(*steps_per_minute),
            clock(half_up(*lasted_s))
        ),
        Finding::CadenceLock { steps_per_minute, lasted_s, left_out: true } => format!(
            "Heart rate followed the steps ({} a minute) for {}{at}: the sensor may have counted steps, so the mean leaves that out. Look at the trace, and fasten the sensor more tightly next time.",
            half_up(*steps_per_minute),
            clock(half_up(*lasted_s))
        ),
        Finding::HeartRateLag { settled_bpm, by_bpm } => format!(
            "Without the first three minutes, in which the heart catches up, the mean is {}, {} {}.",
            half_up(*settled_bpm),
            // of the two means as they are shown
            counted_beats(f64::from(half_up(*settled_bpm).abs_diff(half_up(settled_bpm - by_bpm)))),
            if *by_bpm > 0.0 { "higher" } else { "lower" }
        ),
        _ => String::new(),
    }
}

fn entered(recorded_m: Option<f64>, longer_by: Option<f64>) -> String {
    match recorded_m.zip(longer_by) {
        None => "The distance was entered; the recording holds none to compare it with.".to_owned(),
        Some((metres, by)) => format!(
            "The distance was entered; the recording itself says {}, {} {}. If that is more than laps can explain, count them again.",
            grouped_metres(metres),
            one_decimal(by.abs()),
            // the recording is short where the entered distance is longer
            if by > 0.0 { "less" } else { "more" }
        ),
    }
}

/// "2 jumps in the positions at 3:20 of the recording, the largest 30 m"
fn jumps(count: usize, at: &str, largest_m: f64) -> String {
    let size = if count == 1 { "of" } else { "the largest" };
    let jumps = counted(count, "jump", "jumps");
    format!("{jumps} in the positions{at}, {size} {} m", half_up(largest_m))
}

/// "5,160 m"
fn grouped_metres(m: f64) -> String {
    Distance::from_m(m).map_or_else(|_| "\u{2013}".to_owned(), metres)
}

fn measured_elsewhere(measured_m: f64, (from_s, to_s): (f64, f64), recorded: bool) -> String {
    let instead = if recorded {
        "the recording\u{2019}s own distance counts"
    } else {
        "the recording holds no distance of its own, so the pace is only a guess"
    };
    let metres = Distance::from_m(measured_m).map(metres).unwrap_or_default();
    format!(
        "The {metres} were measured from {} to {}, and the effort stands elsewhere now: {instead}. Put the edges back, or enter how far it was between these.",
        clock(half_up(from_s)),
        clock(half_up(to_s)),
    )
}

fn slope(flat_m_per_s: f64, by: f64, asks: &str, units: UnitSystem) -> String {
    let pace = Speed::from_m_per_s(flat_m_per_s)
        .ok()
        .and_then(|speed| pace_seconds(speed, units))
        .map_or_else(String::new, clock);
    let side = if by > 0.0 { "faster" } else { "slower" };
    let unit = pace_unit(units);
    if by.abs() > 0.01 {
        format!(
            "The ground was not level: the same effort on the flat is worth about {pace} per {unit}, {} {side}. The pace is not corrected. {}",
            one_decimal(by.abs()),
            asks
        )
    } else {
        format!(
            "On level ground the same effort is worth about {pace} per {unit}, {} {side}: less than altitude can be measured. Nothing to do.",
            one_decimal(by.abs())
        )
    }
}

fn fade(slower_by: f64, worth_bpm: f64, speed_per_beat: Option<f64>, asks: &str) -> String {
    let per_beat = speed_per_beat.map_or_else(String::new, |change| {
        format!(
            " (speed per beat {} {})",
            one_decimal(change.abs()),
            if change < 0.0 { "lower" } else { "higher" }
        )
    });
    let speed = if slower_by >= 0.0 { "slower" } else { "faster" };
    format!(
        "The second half was {} {speed} than the first, worth about {}{per_beat}: likely above LT1, hot or short of water. {}",
        one_decimal(slower_by.abs()),
        counted_beats(worth_bpm),
        asks
    )
}

/// Quarters this close (of the mean speed) were run alike (judgement).
const QUARTERS_ALIKE: f64 = 0.04;
/// First and last quarters this close were, where those between were not (judgement).
const ENDS_ALIKE: f64 = 0.02;

/// What to do otherwise, by which end was the faster. Minutes apart within quarters alike is how hills,
/// corners or a watch that loses its satellites read: nobody is told to pace otherwise for that.
fn paced(quarters: &[f64]) -> &'static str {
    let fastest = quarters.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let slowest = quarters.iter().copied().fold(f64::INFINITY, f64::min);
    let ends = quarters.first().zip(quarters.last());
    let slower = ends.map_or(0.0, |(first, last)| first - last);
    if fastest - slowest <= QUARTERS_ALIKE && slower <= ENDS_ALIKE {
        return "The quarters are alike: look whether hills, corners or the recording made the minutes uneven.";
    }
    match slower {
        slower if slower > ENDS_ALIKE => {
            "An evenly run test is worth more: start slower next time."
        }
        slower if slower < -ENDS_ALIKE => {
            "An evenly run test is worth more: start faster next time."
        }
        _ => "An evenly run test is worth more: hold one pace next time.",
    }
}

fn counted_beats(bpm: f64) -> String {
    counted(usize::try_from(half_up(bpm)).unwrap_or_default(), "beat", "beats")
}

fn listed(shares: &[f64]) -> String {
    let words: Vec<String> = shares.iter().map(|share| percent(*share)).collect();
    match words.split_last() {
        Some((last, before)) if !before.is_empty() => format!("{} and {last}", before.join(", ")),
        _ => words.concat(),
    }
}

/// "3.2 %".
fn one_decimal(share: f64) -> String {
    format!("{:.1} %", share * 100.0)
}
