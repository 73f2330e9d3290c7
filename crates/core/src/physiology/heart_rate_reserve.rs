//! Heart rate against reserve: another way to a heart rate at a share of VO2max.
//!
//! By default a library uses the line against HRmax (see [`super::heart_rate_max`]), and one method
//! for everybody; at low intensities the two differ by 10 to 15 beats for the same person, which is a
//! reason to state every floor with its doubt.

use crate::units::{HeartRate, Share};

/// Percent of heart rate reserve at a share of VO2max, treadmill: 1.10 x percent - 6.1.
///
/// # Source
/// Swain DP et al. Med Sci Sports Exerc 1998;30(2):318-321, n 50.
pub fn percent_of_reserve_at(vo2max: Share) -> f64 {
    1.10 * vo2max.ratio() * 100.0 - 6.1
}

/// The heart rate at a percentage of the reserve between resting and maximal; `None` outside what a
/// heart rate can be.
pub fn at_percent_of_reserve(
    percent: f64,
    resting: HeartRate,
    maximal: HeartRate,
) -> Option<HeartRate> {
    HeartRate::from_bpm(resting.bpm() + percent / 100.0 * (maximal.bpm() - resting.bpm())).ok()
}

/// Uptake at rest, ml/kg/min: one metabolic equivalent (convention).
const REST_ML_PER_KG_MIN: f64 = 3.5;

/// Percent of VO2 reserve from percent of VO2max, for a VO2max in ml/kg/min.
pub fn percent_of_uptake_reserve(percent_of_vo2max: f64, vo2max_ml_per_kg_min: f64) -> f64 {
    let uptake = percent_of_vo2max / 100.0 * vo2max_ml_per_kg_min;
    100.0 * (uptake - REST_ML_PER_KG_MIN) / (vo2max_ml_per_kg_min - REST_ML_PER_KG_MIN)
}

/// Percent of VO2max from percent of VO2 reserve: the inverse. At 45 % of reserve, the published
/// minimum for the fitter, about 49 % (Swain DP, Franklin BA. Med Sci Sports Exerc
/// 2002;34(1):152-157, doi 10.1097/00005768-200201000-00023).
pub fn percent_of_vo2max(percent_of_reserve: f64, vo2max_ml_per_kg_min: f64) -> f64 {
    let reserve = percent_of_reserve / 100.0 * (vo2max_ml_per_kg_min - REST_ML_PER_KG_MIN);
    100.0 * (reserve + REST_ML_PER_KG_MIN) / vo2max_ml_per_kg_min
}
