//! Oxygen cost of running against speed, and the speed at a share of VO2max.

use crate::units::{Share, Speed};

/// Resting part of the cost, ml/kg/min.
const AT_REST: f64 = 3.5;
/// Cost of level running, ml/kg/min for each m/min.
const PER_M_PER_MIN: f64 = 0.2;
/// Cost of climbing, ml/kg/min for each m/min at a slope of 1.
const CLIMBING: f64 = 0.9;

/// Oxygen uptake of running, gross, in ml/kg/min: 0.2 v + 0.9 v G + 3.5 with v in m/min and the
/// slope G as a fraction.
///
/// Valid for v over 134 m/min, or 80 to 134 m/min if truly running, on a treadmill. It tends to
/// overestimate (29 of 33 runners; JSCR 1999;13(3):219-223). The program never shows its result as
/// an athlete's uptake; it only uses its shape.
///
/// # Source
/// American College of Sports Medicine. Guidelines for Exercise Testing and Prescription, 10th
/// edition, 2018 (book from memory; equation seen on a secondary page).
pub fn uptake_ml_per_kg_min(speed: Speed, slope: f64) -> f64 {
    let m_per_min = speed.m_per_s() * 60.0;
    PER_M_PER_MIN * m_per_min + CLIMBING * m_per_min * slope + AT_REST
}

/// The level speed at a share of VO2max, from the speed at VO2max: the equation above inverted,
/// v = p vmax - a (1 - p) / b. `None` where it would be below zero.
///
/// One person's error is about 1.2 km/h whichever published line is taken (aggregates of 499 open
/// treadmill tests; Mongin D et al. PhysioNet 2021, doi 10.13026/7ezk-j442), see
/// [`super::reliability::FLOOR_SPEED_VALIDITY_M_PER_S`].
pub fn speed_at_share(at_vo2max: Speed, share: Share) -> Option<Speed> {
    let p = share.ratio();
    let m_per_min = p * at_vo2max.m_per_s() * 60.0 - AT_REST * (1.0 - p) / PER_M_PER_MIN;
    Speed::from_m_per_s(m_per_min / 60.0).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn km_per_h(v: f64) -> Speed {
        Speed::from_m_per_s(v / 3.6).unwrap()
    }

    #[test]
    fn worked_values_of_the_equation() {
        // arithmetic on the published equation: 12 km/h level, 10 km/h at 5 %
        assert!((uptake_ml_per_kg_min(km_per_h(12.0), 0.0) - 43.5).abs() < 0.001);
        assert!((uptake_ml_per_kg_min(km_per_h(10.0), 0.05) - 44.333).abs() < 0.001);
    }

    #[test]
    fn fifty_six_percent_of_16_km_per_h() {
        let share = Share::from_ratio(0.56).unwrap();
        let speed = speed_at_share(km_per_h(16.0), share).unwrap();
        assert!((speed.m_per_s() * 3.6 - 8.498).abs() < 0.001);
        // the whole of VO2max gives its own speed back
        let whole = speed_at_share(km_per_h(16.0), Share::from_ratio(1.0).unwrap()).unwrap();
        assert!((whole.m_per_s() * 3.6 - 16.0).abs() < 1e-9);
    }
}
