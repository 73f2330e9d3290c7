//! Published ratios between markers, used only for markers that were not tested.

/// Speeds at the first and second ventilatory thresholds as shares of the speed at VO2peak, with
/// their standard deviations: VT1 73.9 (5.5) %, VT2 87.6 (3.9) %; n 1,411 runners.
///
/// # Source
/// Esteve-Lanao J, Sellés-Pérez S, Arévalo-Chico H, Cejuela R. Sports 2026;14(1):29 (PMC12845794).
pub const LT1_OF_VO2MAX_SPEED: Ratio = Ratio { mean: 0.739, relative_sd: 5.5 / 73.9 };
/// See [`LT1_OF_VO2MAX_SPEED`].
pub const LT2_OF_VO2MAX_SPEED: Ratio = Ratio { mean: 0.876, relative_sd: 3.9 / 87.6 };
/// The two divided: 0.844. Its spread takes both as independent, so it is an upper bound.
pub const LT1_OF_LT2_SPEED: Ratio = Ratio { mean: 73.9 / 87.6, relative_sd: 0.0866 };

/// Floor heart rate as a share of LT1 heart rate where no maximum helps: 72.84 % of HRmax at 56 %
/// of VO2max (see [`super::heart_rate_max`]) over VT1 at 85.1 % of HRpeak (same source as above).
pub const FLOOR_OF_LT1_HEART_RATE: Ratio = Ratio { mean: 0.856, relative_sd: 0.10 };

/// A mean ratio and its spread between people, relative to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ratio {
    /// The mean.
    pub mean: f64,
    /// Standard deviation over mean.
    pub relative_sd: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ratios_of_1411_runners() {
        // 85.1 / 93.5 and 73.9 / 87.6 of the source, worked by hand
        assert!((LT1_OF_LT2_SPEED.mean - 0.8436).abs() < 0.0001);
        assert!((FLOOR_OF_LT1_HEART_RATE.mean - 72.84 / 85.1).abs() < 0.0005);
    }
}
