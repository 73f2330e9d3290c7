//! Oxygen cost of running against speed, and the speed at a share of VO2max.
//!
//! The program uses one line, [`CostLine::Acsm`]. The others are published too; they show how little
//! the choice matters beside one person's own spread (about 0.5 against 1.2 km/h).

use crate::units::{Share, Speed};

/// A published line of oxygen uptake (ml/kg/min, gross) against speed of level running.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CostLine {
    /// 3.5 + 0.2 v, v in m/min: American College of Sports Medicine. Guidelines for Exercise Testing
    /// and Prescription, 10th edition, 2018 (book from memory; equation seen on a secondary page).
    /// Valid over 134 m/min, or 80 to 134 m/min if truly running, on a treadmill. It tends to
    /// overestimate (29 of 33 runners; JSCR 1999;13(3):219-223), but of the four it lay nearest the
    /// measured speeds at 56 % (open treadmill tests; Mongin D et al. PhysioNet 2021).
    Acsm,
    /// 2.209 + 3.163 v, v in km/h, treadmill: Léger L, Mercier D. Sports Med 1984;1(4):270-277, doi
    /// 10.2165/00007256-198401040-00003.
    LegerMercierTreadmill,
    /// The same with air resistance, 2.209 + 3.163 v + 0.000525542 v^3, track (same source; the
    /// abstract says "cubic", the exponent itself was not seen).
    LegerMercierTrack,
    /// 3.5 v: the same source's straight stand-in for the track line, 8 to 25 km/h.
    Proportional,
}

/// The cubic term of the track line, ml/kg/min per (km/h)^3.
const AIR: f64 = 0.000_525_542;
/// Cost of climbing, ml/kg/min for each m/min at a slope of 1 (with [`CostLine::Acsm`]).
const CLIMBING: f64 = 0.9;

impl CostLine {
    /// All four.
    pub const ALL: [Self; 4] =
        [Self::Acsm, Self::LegerMercierTreadmill, Self::LegerMercierTrack, Self::Proportional];

    /// At rest (ml/kg/min), for each km/h, and for each cubed km/h.
    fn coefficients(self) -> (f64, f64, f64) {
        match self {
            Self::Acsm => (3.5, 0.2 / 0.06, 0.0),
            Self::LegerMercierTreadmill => (2.209, 3.163, 0.0),
            Self::LegerMercierTrack => (2.209, 3.163, AIR),
            Self::Proportional => (0.0, 3.5, 0.0),
        }
    }

    /// Uptake of level running in ml/kg/min. Only its shape is used: the program never shows an
    /// athlete's uptake.
    pub fn uptake_ml_per_kg_min(self, speed: Speed) -> f64 {
        let (rest, line, cube) = self.coefficients();
        let v = speed.m_per_s() * 3.6;
        rest + line * v + cube * v.powi(3)
    }

    /// The level speed at a share of VO2max, from the speed at VO2max. `None` where the line gives
    /// none above zero.
    ///
    /// One person's error is about 1.2 km/h whichever line is taken, see
    /// [`super::reliability::FLOOR_SPEED_VALIDITY_M_PER_S`].
    pub fn speed_at_share(self, at_vo2max: Speed, share: Share) -> Option<Speed> {
        let (rest, line, cube) = self.coefficients();
        let wanted = share.ratio() * self.uptake_ml_per_kg_min(at_vo2max);
        if wanted < rest {
            return None;
        }
        let straight = (wanted - rest) / line;
        // Newton's method on a line that only bends upwards comes down to the root from the
        // straight line's answer and never passes it; without a cubic term one step is exact
        let mut v = straight;
        for _ in 0..20 {
            v -= (rest + line * v + cube * v.powi(3) - wanted) / (line + 3.0 * cube * v * v);
        }
        Speed::from_m_per_s(v / 3.6).ok()
    }
}

/// Uptake of running up a slope (a fraction) by the line of [`CostLine::Acsm`], ml/kg/min. Its
/// source warns against using it outdoors, so no slope is corrected with it.
pub fn uptake_uphill_ml_per_kg_min(speed: Speed, slope: f64) -> f64 {
    CostLine::Acsm.uptake_ml_per_kg_min(speed) + CLIMBING * speed.m_per_s() * 60.0 * slope
}

/// The speed at a share of VO2max by the program's line.
pub fn speed_at_share(at_vo2max: Speed, share: Share) -> Option<Speed> {
    CostLine::Acsm.speed_at_share(at_vo2max, share)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_whole_of_vo2max_gives_its_own_speed_back() {
        for line in CostLine::ALL {
            for v in [2.5, 4.0, 6.5] {
                let speed = Speed::from_m_per_s(v).unwrap();
                let back = line.speed_at_share(speed, Share::from_ratio(1.0).unwrap()).unwrap();
                assert!((back.m_per_s() - v).abs() < 1e-9, "{line:?}");
            }
        }
    }
}
