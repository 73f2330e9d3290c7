//! Times over a lap or a repetition that keep to a printed band of paces.

use std::fmt;

use super::{clock, metres_per_unit};
use crate::units::{Distance, UnitSystem};

/// A time to run a lap or a repetition in, to a tenth of a second. It is written in whole seconds
/// where it is whole: "1:36", else "1:36.4".
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SplitTime(u32);

impl SplitTime {
    /// From tenths of a second.
    pub fn from_tenths(tenths: u32) -> Self {
        Self(tenths)
    }

    /// In tenths of a second.
    pub fn tenths(self) -> u32 {
        self.0
    }

    /// In seconds.
    pub fn s(self) -> f64 {
        f64::from(self.0) / 10.0
    }

    /// The time of so many of them on end.
    #[must_use]
    pub fn times(self, count: u32) -> Self {
        Self(self.0.saturating_mul(count))
    }
}

impl fmt::Display for SplitTime {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (whole, tenth) = (clock(self.0 / 10), self.0 % 10);
        if tenth == 0 { out.write_str(&whole) } else { write!(out, "{whole}.{tenth}") }
    }
}

/// The times over one distance that keep to a band of paces; `None` is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TimeBand {
    /// The shortest time.
    pub fastest: Option<SplitTime>,
    /// The longest time.
    pub slowest: Option<SplitTime>,
}

impl TimeBand {
    /// Whether a time keeps to it.
    pub fn holds(self, time: SplitTime) -> bool {
        self.fastest.is_none_or(|fastest| fastest <= time)
            && self.slowest.is_none_or(|slowest| time <= slowest)
    }

    /// The time in the middle of the band, as [`Self::nearest`] writes it; of an open one its closed end.
    pub fn middle(self) -> SplitTime {
        let fastest = self.fastest.or(self.slowest).unwrap_or(SplitTime(0));
        let slowest = self.slowest.unwrap_or(fastest);
        self.nearest(fastest.s().midpoint(slowest.s()))
    }

    /// The time of the band that stands nearest to some seconds: a whole second where the band holds
    /// one, else a tenth; of two that are as near the slower.
    pub fn nearest(self, seconds: f64) -> SplitTime {
        let (from, to) = (self.fastest.map_or(0, |t| t.0), self.slowest.map_or(u32::MAX, |t| t.0));
        let step = if from.next_multiple_of(10) <= to { 10 } else { 1 };
        let (first, last) = (from.next_multiple_of(step), to / step * step);
        let near = super::half_up(seconds * 10.0 / f64::from(step)).saturating_mul(step);
        SplitTime(near.clamp(first, last.max(first)))
    }
}

impl fmt::Display for TimeBand {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.fastest, self.slowest) {
            (Some(fast), Some(slow)) if fast == slow => write!(out, "{fast}"),
            (Some(fast), Some(slow)) => write!(out, "{slow} \u{2013} {fast}"),
            (Some(fast), None) => write!(out, "{fast} and slower"),
            (None, Some(slow)) => write!(out, "{slow} and faster"),
            (None, None) => out.write_str("\u{2013}"),
        }
    }
}

/// The pace of a time over a distance, in whole seconds, half up, without its unit: "4:00".
pub fn pace_over(time: SplitTime, distance: Distance, units: UnitSystem) -> String {
    clock(super::half_up(time.s() * metres_per_unit(units) / distance.m()))
}

/// A hair of a step, so that a bound which falls on a whole second is not lost to a double.
const GRACE: f64 = 1e-6;

/// The times over a distance whose pace lies inside whole seconds per kilometre or mile, as they are
/// printed: 4:53 to 4:05 per km give 1:57 to 1:38 over 400 m, never 1:58, which is a pace of 4:55.
///
/// Rounded inwards to whole seconds; where the band holds none, to tenths; where it holds none of
/// these either (one second of pace), to the nearest tenth, if its pace still rounds into the band.
/// `None` where it does not: the band is too narrow for so short a distance.
pub fn times_inside(
    (fastest_s, slowest_s): (Option<u32>, Option<u32>),
    distance: Distance,
    units: UnitSystem,
) -> Option<TimeBand> {
    let share = distance.m() / metres_per_unit(units);
    let exact = |pace: Option<u32>| pace.map(|pace| f64::from(pace) * share);
    let (fast, slow) = (exact(fastest_s), exact(slowest_s));
    let between = || {
        // of two tenths that are as near the faster: a half rounds up, out of the band
        let tenths = f64::midpoint(fast?, slow?) * 10.0;
        let time = SplitTime(whole((tenths - 0.5 - GRACE).ceil()));
        let pace = super::half_up(time.s() / share);
        let fits = fastest_s.is_some_and(|f| f <= pace) && slowest_s.is_some_and(|s| pace <= s);
        fits.then_some(TimeBand { fastest: Some(time), slowest: Some(time) })
    };
    inwards(fast, slow, 10).or_else(|| inwards(fast, slow, 1)).or_else(between)
}

/// Seconds rounded inwards to steps of so many tenths; `None` where no step lies between them.
fn inwards(fast: Option<f64>, slow: Option<f64>, step: u32) -> Option<TimeBand> {
    let steps = |seconds: f64| seconds * 10.0 / f64::from(step);
    let up = |seconds: f64| whole((steps(seconds) - GRACE).ceil()).saturating_mul(step);
    let down = |seconds: f64| whole((steps(seconds) + GRACE).floor()).saturating_mul(step);
    let band = TimeBand {
        fastest: fast.map(|fast| SplitTime(up(fast))),
        slowest: slow.map(|slow| SplitTime(down(slow))),
    };
    let is_empty = band.fastest.zip(band.slowest).is_some_and(|(fast, slow)| fast > slow);
    (!is_empty && band.slowest.is_none_or(|slow| slow.0 > 0)).then_some(band)
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "float to integer casts saturate, and a day has fewer tenths than u32"
)]
fn whole(value: f64) -> u32 {
    value as u32
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn inside(paces: (Option<u32>, Option<u32>), metres: f64, units: UnitSystem) -> String {
        let distance = Distance::from_m(metres).unwrap();
        times_inside(paces, distance, units).map_or_else(String::new, |band| band.to_string())
    }

    #[test]
    fn lap_times_keep_to_the_printed_paces() {
        let km = |paces, metres| inside(paces, metres, UnitSystem::Kilometres);
        // 4:05 = 245 s/km: 245 x 0.4 = 98.0 s; 4:53 = 293 s/km: 117.2 s (arithmetic)
        assert_eq!(km((Some(245), Some(293)), 400.0), "1:57 \u{2013} 1:38");
        // 4:00/km is 96 s a lap of a standard track, 240 s a kilometre
        assert_eq!(km((Some(240), Some(240)), 400.0), "1:36");
        assert_eq!(km((Some(240), Some(240)), 1_000.0), "4:00");
        // 209 x 0.4 = 83.6; 394 x 0.4 = 157.6
        assert_eq!(km((None, Some(209)), 400.0), "1:23 and faster");
        assert_eq!(km((Some(394), None), 400.0), "2:38 and slower");
        // 6:00 a mile over 400 m: 360 x 400 / 1609.344 = 89.48; 6:30: 96.93
        assert_eq!(inside((Some(360), Some(390)), 400.0, UnitSystem::Miles), "1:36 \u{2013} 1:30");
    }

    #[test]
    fn a_band_without_a_whole_second_is_given_in_tenths() {
        // 243 and 244 s/km over 400 m: 97.2 to 97.6 s
        let km = |paces, metres| inside(paces, metres, UnitSystem::Kilometres);
        assert_eq!(km((Some(243), Some(244)), 400.0), "1:37.6 \u{2013} 1:37.2");
        // 243 s/km over 250 m: 60.75 s; 60.7 s is a pace of 242.8, 4:03
        assert_eq!(km((Some(243), Some(243)), 250.0), "1:00.7");
        // over 50 m: 12.15 s; 12.1 s is a pace of 242, 4:02
        assert_eq!(km((Some(243), Some(243)), 50.0), "");
    }

    #[test]
    fn the_nearest_time_is_a_whole_second_where_there_is_one() {
        let band =
            |from, to| TimeBand { fastest: Some(SplitTime(from)), slowest: Some(SplitTime(to)) };
        assert_eq!(band(840, 970).nearest(90.5).to_string(), "1:31");
        assert_eq!(band(840, 970).nearest(99.0).to_string(), "1:37");
        assert_eq!(band(845, 970).nearest(10.0).to_string(), "1:25");
        assert_eq!(band(972, 976).nearest(97.44).to_string(), "1:37.4");
    }

    proptest! {
        #[test]
        fn no_time_is_ever_outside_the_paces(
            fast in 120_u32..600,
            wide in 0_u32..120,
            metres in 100.0_f64..20_000.0,
            in_miles in any::<bool>(),
        ) {
            let units = if in_miles { UnitSystem::Miles } else { UnitSystem::Kilometres };
            let distance = Distance::from_m(metres).unwrap();
            let unit = if in_miles { 1_609.344 } else { 1_000.0 };
            // over a mile a tenth is finer, over a lap of 100 m it is a second of pace
            let Some(band) = times_inside((Some(fast), Some(fast + wide)), distance, units) else {
                prop_assert!(in_miles && metres < 170.0);
                return Ok(());
            };
            for time in [band.fastest.unwrap(), band.slowest.unwrap()] {
                let pace = time.s() * unit / metres;
                let rounded = (pace + 0.5).floor();
                prop_assert!(rounded >= f64::from(fast) && rounded <= f64::from(fast + wide), "{pace}");
            }
            prop_assert!(band.fastest <= band.slowest);
        }
    }
}
