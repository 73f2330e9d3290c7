//! What a slope costs, and the speed on level ground that costs the same.

/// Slopes are taken no steeper than this (rise over run): the range that was measured.
pub const STEEPEST: f64 = 0.45;

/// Energy cost of running in joules per kilogram and metre at a slope (rise over run).
///
/// # Source
/// Minetti AE, Moia C, Roi GS, Susta D, Ferretti G. J Appl Physiol 2002;93:1039-1046, doi
/// 10.1152/japplphysiol.01177.2001: ten runners on a treadmill, slopes of -0.45 to 0.45. Downhill
/// it over-credits: braking, not energy, limits the speed there (the authors say so).
pub fn cost_j_per_kg_m(slope: f64) -> f64 {
    let i = slope.clamp(-STEEPEST, STEEPEST);
    ((((155.4 * i - 30.4) * i - 43.3) * i + 46.3) * i + 19.5) * i + 3.6
}

/// How much faster (over 1) the same work goes on level ground: the cost at the slope over the
/// equation's own cost at zero slope.
pub fn level_speed_factor(slope: f64) -> f64 {
    cost_j_per_kg_m(slope) / cost_j_per_kg_m(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_curve_and_its_minimum() {
        // a public library documents the curve's minimum as 1.781269 at -0.181355
        assert!((cost_j_per_kg_m(-0.181_355) - 1.781_269).abs() < 1e-5);
        assert!(cost_j_per_kg_m(-0.18) > 1.781_269 && cost_j_per_kg_m(-0.183) > 1.781_269);
        // worked by hand from the published coefficients
        for (slope, cost) in [(0.0, 3.6), (0.1, 5.9682), (-0.1, 2.1517), (0.2, 9.0067), (-0.2, 1.8)]
        {
            assert!((cost_j_per_kg_m(slope) - cost).abs() < 1e-4, "{slope}");
        }
        // measured in the source: 1.73 at -0.20, 18.93 at +0.45
        assert!((cost_j_per_kg_m(-0.2) - 1.73).abs() < 0.10);
        assert!((cost_j_per_kg_m(0.45) - 18.93).abs() < 0.55);
    }

    #[test]
    fn ten_km_per_h_at_five_per_cent() {
        // 10 x 4.6852 / 3.6 = 13.014 km/h, worked by hand
        assert!((10.0 * level_speed_factor(0.05) - 13.014).abs() < 0.001);
        assert!((level_speed_factor(0.0) - 1.0).abs() < 1e-12);
        assert!((level_speed_factor(0.9) - level_speed_factor(STEEPEST)).abs() < 1e-12);
    }
}
