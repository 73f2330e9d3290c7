//! Critical speed from the 5- and 20-minute tests.

use crate::test::TestKind;
use crate::units::{Distance, Speed, Spread};

/// Critical speed with one standard error, and the error of the line's other end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CriticalSpeed {
    /// The slope of distance over time.
    pub speed: Speed,
    /// One standard error of it, from the repeatability of both runs.
    pub error: Spread<Speed>,
    /// The distance the line begins at, and its error, metres. From two runs the error is a fifth of
    /// it, so it is never shown: it only tells whether the line has a meaning.
    reserve_m: (f64, f64),
}

/// Critical speed from the distances of a 5- and a 20-minute all-out run, each with its relative
/// error (0.02 for 2 %): the slope of the line distance = D' + CS x time through both. `None` where
/// the line has no meaning: the 5-minute run not faster than the 20-minute one.
///
/// A 20-minute trial lies outside the usual 2 to 15 minutes: expect the result a little low.
///
/// # Source
/// Monod H, Scherrer J. Ergonomics 1965;8:329-338; for running Hughson RL, Orok CJ, Staudt LE. Int
/// J Sports Med 1984;5:23-25, doi 10.1055/s-2008-1025875. Errors propagated through the two-point
/// line.
pub fn critical_speed(
    (five_minutes, five_error): (Distance, f64),
    (twenty_minutes, twenty_error): (Distance, f64),
) -> Option<CriticalSpeed> {
    let (short_s, long_s) = (TestKind::FiveMinutes.length_s(), TestKind::TwentyMinutes.length_s());
    let (short_m, long_m) = (five_minutes.m(), twenty_minutes.m());
    let slope = (long_m - short_m) / (long_s - short_s);
    let reserve_m = short_m - slope * short_s;
    if slope <= 0.0 || reserve_m <= 0.0 {
        return None;
    }
    let (short_error_m, long_error_m) = (short_m * five_error, long_m * twenty_error);
    let error = short_error_m.hypot(long_error_m) / (long_s - short_s);
    let weight = short_s / (long_s - short_s);
    let reserve_error_m = ((1.0 + weight) * short_error_m).hypot(weight * long_error_m);
    Some(CriticalSpeed {
        speed: Speed::from_m_per_s(slope).ok()?,
        error: Spread::new(error),
        reserve_m: (reserve_m, reserve_error_m),
    })
}

impl CriticalSpeed {
    /// The time the line gives for a distance, seconds (for checks of the line itself).
    pub fn seconds_over(&self, distance: Distance) -> f64 {
        (distance.m() - self.reserve_m.0) / self.speed.m_per_s()
    }

    /// Where the line begins and its standard error, metres (for checks of the line itself).
    pub fn reserve_m(&self) -> (f64, f64) {
        self.reserve_m
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_five_minute_run_slower_than_the_twenty_has_none() {
        let of = |five, twenty| {
            critical_speed(
                (Distance::from_m(five).unwrap(), 0.024),
                (Distance::from_m(twenty).unwrap(), 0.02),
            )
        };
        assert_eq!(of(1300.0, 5400.0), None);
        assert_eq!(of(1350.0, 5400.0), None);
        assert!(of(1351.0, 5400.0).is_some());
    }
}
