//! Critical speed from the 5- and 20-minute tests.

use crate::units::{Distance, Speed};

/// Length of the shorter test, seconds.
const SHORT_S: f64 = 300.0;
/// Length of the longer test, seconds.
const LONG_S: f64 = 1_200.0;

/// Critical speed from the distances of a 5- and a 20-minute all-out run: the slope of the line
/// distance = D' + CS x time through both. `None` where the line has no meaning: the 5-minute run
/// not faster than the 20-minute one.
///
/// D' from two points is nearly useless (20 % error at 1.5 % in each run) and is not given. A
/// 20-minute trial lies outside the usual 2 to 15 minutes: expect the result a little low.
///
/// # Source
/// Monod H, Scherrer J. Ergonomics 1965;8:329-338; for running Hughson RL, Orok CJ, Staudt LE. Int
/// J Sports Med 1984;5:23-25, doi 10.1055/s-2008-1025875.
pub fn critical_speed(five_minutes: Distance, twenty_minutes: Distance) -> Option<Speed> {
    let slope = (twenty_minutes.m() - five_minutes.m()) / (LONG_S - SHORT_S);
    let reserve_m = five_minutes.m() - slope * SHORT_S;
    (slope > 0.0 && reserve_m > 0.0).then(|| Speed::from_m_per_s(slope).ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(five: f64, twenty: f64) -> Option<Speed> {
        critical_speed(Distance::from_m(five).unwrap(), Distance::from_m(twenty).unwrap())
    }

    #[test]
    fn two_point_model_worked_by_hand() {
        // (5400 - 1500) / 900 and (4900 - 1350) / 900
        assert!((of(1500.0, 5400.0).unwrap().m_per_s() - 4.3333).abs() < 0.0001);
        assert!((of(1350.0, 4900.0).unwrap().m_per_s() - 3.9444).abs() < 0.0001);
    }

    #[test]
    fn a_five_minute_run_slower_than_the_twenty_has_none() {
        assert_eq!(of(1300.0, 5400.0), None);
        assert_eq!(of(1350.0, 5400.0), None);
    }
}
