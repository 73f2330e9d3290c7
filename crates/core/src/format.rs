//! How values are written and rounded. Rounding happens here only, half up, and only for showing.

mod split_time;

use crate::units::{Distance, HeartRate, Seconds, Slope, Speed, Spread, UnitSystem};

pub use split_time::{SplitTime, TimeBand, pace_over, times_inside};

/// Metres in a mile (the international mile, exact).
pub(crate) const METRES_PER_MILE: f64 = 1_609.344;

/// The half marathon, metres (half of 42.195 km).
pub const HALF_MARATHON_M: f64 = 21_097.5;

/// The nearest whole number, halves upwards: 142.5 gives 143. Negative and huge values saturate.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "float to integer casts saturate, and every shown quantity is far inside u32"
)]
pub(crate) fn half_up(value: f64) -> u32 {
    // A millionth of a unit of grace: 142.5 computed as 142.49999999 is still a half.
    (value + 0.5 + 1e-6).floor() as u32
}

/// The metres of one kilometre or one mile.
pub(crate) fn metres_per_unit(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Kilometres => 1_000.0,
        UnitSystem::Miles => METRES_PER_MILE,
    }
}

/// A heart rate in whole beats a minute, half up.
pub fn whole_beats(rate: HeartRate) -> u16 {
    u16::try_from(half_up(rate.bpm())).unwrap_or(u16::MAX)
}

/// The error of a heart rate in whole beats a minute, half up.
pub fn beats_error(error: Spread<HeartRate>) -> u32 {
    half_up(error.bpm())
}

/// A pace in whole seconds per kilometre or mile, half up; `None` for a speed of zero.
pub fn pace_seconds(speed: Speed, units: UnitSystem) -> Option<u32> {
    (speed.m_per_s() > 0.01).then(|| half_up(metres_per_unit(units) / speed.m_per_s()))
}

/// A pace in seconds per kilometre, unrounded, for scripts; `None` for a speed of zero.
pub fn seconds_per_km(speed: Speed) -> Option<f64> {
    (speed.m_per_s() > 0.01).then(|| 1_000.0 / speed.m_per_s())
}

/// Seconds as minutes and seconds ("4:05"), or hours too from an hour up ("1:02:09").
pub fn clock(seconds: u32) -> String {
    let (hours, minutes, rest) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    if hours > 0 {
        format!("{hours}:{minutes:02}:{rest:02}")
    } else {
        format!("{minutes}:{rest:02}")
    }
}

/// A time on a recording's clock, to the second.
pub fn time(time: Seconds) -> String {
    clock(half_up(time.s()))
}

/// A pace without its unit: "4:05"; a dash for a speed of zero.
pub fn pace(speed: Speed, units: UnitSystem) -> String {
    pace_seconds(speed, units).map_or_else(|| "–".to_owned(), clock)
}

/// The error of a pace from the error of its speed: "0:05"; a dash for a speed of zero.
///
/// To first order: pace x error / speed.
pub fn pace_error(speed: Speed, error: Spread<Speed>, units: UnitSystem) -> String {
    if speed.m_per_s() <= 0.01 {
        return "–".to_owned();
    }
    let seconds = metres_per_unit(units) / speed.m_per_s();
    clock(half_up(seconds * error.m_per_s() / speed.m_per_s()))
}

/// The speed of a pace in whole seconds per kilometre or mile; `None` for zero seconds.
pub fn speed_of_pace(seconds: u32, units: UnitSystem) -> Option<Speed> {
    Speed::from_m_per_s(metres_per_unit(units) / f64::from(seconds)).ok()
}

/// The unit a pace is per: "km" or "mile".
pub fn pace_unit(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Kilometres => "km",
        UnitSystem::Miles => "mile",
    }
}

/// A test's distance in whole metres with a thin group mark: "5,172 m".
pub fn metres(distance: Distance) -> String {
    let whole = half_up(distance.m()).to_string();
    let mut grouped = String::new();
    for (index, digit) in whole.chars().enumerate() {
        if index > 0 && (whole.len() - index).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    grouped + " m"
}

/// A distance in metres with one decimal and no unit, for tables: "5172.4".
pub fn metres_number(distance: Distance) -> String {
    format!("{:.1}", distance.m())
}

/// Within this share of a distance that has a name, it is called by it.
const AS_NAMED: f64 = 0.002;

/// The distance of a race as runners say it: "1,500 m", "5 km", "half marathon".
pub fn race_distance(distance: Distance) -> String {
    let is = |metres: f64| (distance.m() / metres - 1.0).abs() < AS_NAMED;
    if is(HALF_MARATHON_M) {
        return "half marathon".to_owned();
    }
    if is(2.0 * HALF_MARATHON_M) {
        return "marathon".to_owned();
    }
    if distance.m() < 3_000.0 {
        return metres(distance);
    }
    let km = format!("{:.2}", distance.m() / 1_000.0);
    format!("{} km", km.trim_end_matches('0').trim_end_matches('.'))
}

/// The distance of a repetition as it is said at the track: "1,000 m", "2 km", "1 mile".
pub fn run_distance(distance: Distance) -> String {
    let is_whole = |of: f64| {
        let count = distance.m() / of;
        (count >= 0.999 && (count - count.round()).abs() * of < 0.01).then(|| half_up(count))
    };
    match (is_whole(METRES_PER_MILE), is_whole(100.0)) {
        (Some(1), _) => "1 mile".to_owned(),
        (Some(miles), None) => format!("{miles} miles"),
        (_, Some(hundreds)) if hundreds >= 20 && hundreds.is_multiple_of(10) => {
            format!("{} km", hundreds / 10)
        }
        (_, Some(hundreds)) if hundreds >= 30 => format!("{}.{} km", hundreds / 10, hundreds % 10),
        _ => metres(distance),
    }
}

/// A slope in percent with one decimal: "0.5 %", "-0.4 %".
pub fn slope_percent(slope: Slope) -> String {
    format!("{:.1} %", slope.ratio() * 100.0)
}

/// A share as whole percent: "86 %".
pub fn percent(ratio: f64) -> String {
    format!("{} %", half_up(ratio * 100.0))
}

/// A change in percent with its sign and one decimal, half rounded away from nothing: "+3.4 %"; "no
/// change" where that leaves none.
pub fn signed_percent(percent: f64) -> String {
    // decimals have no exact double, so that a half may stand a hair below it
    let tenths = (percent * 10.0 * (1.0 + 4.0 * f64::EPSILON)).round();
    if tenths == 0.0 {
        return "no change".to_owned();
    }
    format!("{:+.1} %", tenths / 10.0).replace('-', "\u{2212}")
}

/// A change in percent beside its error: "+1.2 ± 1.1 %".
pub fn percent_and_error(percent: f64, error: f64) -> String {
    let by = signed_percent(percent);
    let by = by.strip_suffix(" %").unwrap_or("0.0");
    format!("{by} ± {error:.1} %")
}

/// A day as it is written on screens and documents: "19 November 2026".
pub fn day(date: chrono::NaiveDate) -> String {
    date.format("%-d %B %Y").to_string()
}

/// A day without its year, for dates near today: "19 November".
pub fn day_short(date: chrono::NaiveDate) -> String {
    date.format("%-d %B").to_string()
}

/// A day with its weekday: "Thu 19 November".
pub fn weekday(date: chrono::NaiveDate) -> String {
    date.format("%a %-d %B").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halves_round_up() {
        // 142.5 shows 143 (the design's rule; half-even rounding would give 142)
        assert_eq!(whole_beats(HeartRate::from_bpm(142.5).unwrap()), 143);
        assert_eq!(whole_beats(HeartRate::from_bpm(142.4999).unwrap()), 142);
    }

    #[test]
    fn paces_are_written_to_the_second() {
        let speed = Speed::from_m_per_s(4.0).unwrap();
        assert_eq!(pace(speed, UnitSystem::Kilometres), "4:10");
        // 1609.344 / 4 = 402.3 s
        assert_eq!(pace(speed, UnitSystem::Miles), "6:42");
        // 2 % of 4:10 is 5 s
        assert_eq!(pace_error(speed, Spread::new(0.08), UnitSystem::Kilometres), "0:05");
    }

    #[test]
    fn long_times_carry_hours_and_metres_carry_groups() {
        assert_eq!(clock(3_729), "1:02:09");
        assert_eq!(metres(Distance::from_m(5_172.4).unwrap()), "5,172 m");
        assert_eq!(metres(Distance::from_m(972.0).unwrap()), "972 m");
        let race = |m| race_distance(Distance::from_m(m).unwrap());
        assert_eq!([1_500.0, 5_000.0, 12_500.0].map(race), ["1,500 m", "5 km", "12.5 km"]);
        assert_eq!([21_100.0, 42_195.0].map(race), ["half marathon", "marathon"]);
        let run = |m| run_distance(Distance::from_m(m).unwrap());
        assert_eq!([400.0, 1_000.0, 1_200.0].map(run), ["400 m", "1,000 m", "1,200 m"]);
        assert_eq!([2_000.0, 3_500.0, 10_000.0].map(run), ["2 km", "3.5 km", "10 km"]);
        assert_eq!([1_609.344, 4_828.032, 1_609.0].map(run), ["1 mile", "3 miles", "1,609 m"]);
        assert_eq!(signed_percent(-3.85), "\u{2212}3.9 %");
        // 5,100 m after 4,800 m are + 6.25 % (arithmetic)
        assert_eq!(signed_percent(100.0 * (5_100.0 / 4_800.0 - 1.0)), "+6.3 %");
        assert_eq!(signed_percent(-0.04), "no change");
    }
}
