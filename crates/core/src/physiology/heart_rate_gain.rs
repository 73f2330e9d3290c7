//! How much heart rate a change of speed costs.

use crate::units::{HeartRate, Speed};

/// Beats per minute for each metre per second.
///
/// # Source
/// Hunt KJ, Fankhauser SE, Saengsuwan J. BioMed Eng OnLine 2015;14:117, doi
/// 10.1186/s12938-015-0112-7: 24.2 (8.3) bpm per m/s, n 24, treadmill.
pub const BPM_PER_M_PER_S: f64 = 24.2;

/// A run held further than this from a heart rate, in beats, was not run at that heart rate's pace
/// (judgement: by the gain above 8 beats are 0.33 m/s, 9 % of a usual LT1 pace, as much as the spread
/// of an LT1 pace estimated from LT2, 8.7 %; beyond it that estimate is the nearer one).
pub const ANOTHER_PACE_BPM: f64 = 8.0;

/// The change of speed in m/s that a difference in heart rate (bpm) likely stands for.
pub fn speed_change_for(difference_bpm: f64) -> f64 {
    difference_bpm / BPM_PER_M_PER_S
}

/// How much the speed for each beat changed from one stretch to another, as a share: -0.0385 is 3.9 %
/// less. At an even effort it falls as the heart drifts.
pub fn speed_per_beat_change(
    (first, first_rate): (Speed, HeartRate),
    (second, second_rate): (Speed, HeartRate),
) -> f64 {
    (second.m_per_s() / second_rate.bpm()) / (first.m_per_s() / first_rate.bpm()) - 1.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn eight_beats_move_the_pace_as_much_as_an_estimate_spreads() {
        // 8 / 24.2 of 3.7 m/s is 8.9 %; 0.0866 is the spread of VT1 over VT2 speed in 1,411 runners
        // (Esteve-Lanao 2026), both read as independent
        let share = speed_change_for(ANOTHER_PACE_BPM) / 3.7;
        assert!((share - 0.0866).abs() < 0.005, "{share}");
    }

    #[test]
    fn five_beats_are_three_quarters_of_a_km_per_h() {
        // 5 / 24.2 m/s, worked by hand from the source's gain
        assert!((speed_change_for(5.0) * 3.6 - 0.744).abs() < 0.001);
    }
}
