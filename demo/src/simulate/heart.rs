//! The heart: a straight line from speed, first-order kinetics, a slow upward drift.

use super::{DayForm, Runner};

/// What drift adds, on average, to the heart rate of a 20-minute all-out run; taken off the line so
/// that such a run comes out at the runner's own share of the highest heart rate.
const DRIFT_IN_TWENTY_MINUTES_BPM: f64 = 4.0;

/// Drift per minute at 87 % of the 20-minute speed (about 95 % of the highest steady speed), where
/// runners gained 7 beats in 40 minutes; it doubles by 92 %, where they gained 14.
const DRIFT_BPM_PER_MINUTE: f64 = 0.22;
const DRIFT_AT_SHARE: f64 = 0.87;
const DRIFT_SCALE: f64 = 0.07;
const DRIFT_LIMIT_BPM_PER_MINUTE: f64 = 0.6;

/// A heart in motion.
pub(super) struct Heart {
    runner: Runner,
    day_bpm: f64,
    rate_bpm: f64,
    drift_bpm: f64,
    follow: f64,
}

impl Heart {
    /// A runner who stands, a little excited, before the warm-up.
    pub(super) fn standing(runner: Runner, form: DayForm) -> Self {
        Self {
            runner,
            day_bpm: form.heart_rate_bpm,
            rate_bpm: runner.resting_heart_rate_bpm + 25.0,
            drift_bpm: 0.0,
            follow: 1.0 - (-1.0 / runner.time_constant_s).exp(),
        }
    }

    /// The rate now, in beats per minute.
    pub(super) fn rate_bpm(&self) -> f64 {
        self.rate_bpm
    }

    /// A second at a level-ground speed.
    pub(super) fn run(&mut self, level_speed_m_per_s: f64) {
        self.drift(level_speed_m_per_s / self.runner.twenty_minute_speed_m_per_s);
        let wanted = line_bpm(&self.runner, level_speed_m_per_s) + self.day_bpm + self.drift_bpm;
        let steady = below_highest(wanted, self.runner.max_heart_rate_bpm);
        self.rate_bpm += (steady - self.rate_bpm) * self.follow;
    }

    fn drift(&mut self, share: f64) {
        if share > 0.5 {
            let per_minute = DRIFT_BPM_PER_MINUTE * ((share - DRIFT_AT_SHARE) / DRIFT_SCALE).exp();
            self.drift_bpm += per_minute.min(DRIFT_LIMIT_BPM_PER_MINUTE) / 60.0;
        } else {
            // at a walk it goes in about ten minutes
            self.drift_bpm -= self.drift_bpm / 600.0;
        }
    }
}

/// Steady heart rate of a rested runner at a speed.
pub(super) fn line_bpm(runner: &Runner, speed_m_per_s: f64) -> f64 {
    let at_twenty = runner.twenty_minute_heart_rate_share * runner.max_heart_rate_bpm
        - DRIFT_IN_TWENTY_MINUTES_BPM;
    let faster = speed_m_per_s - runner.twenty_minute_speed_m_per_s;
    let walking = runner.resting_heart_rate_bpm + 15.0 + 12.0 * speed_m_per_s.min(2.0);
    (at_twenty + runner.gain_bpm_per_m_per_s * faster).max(walking)
}

/// Bends the line towards the highest heart rate from 95 % of it, without reaching it.
fn below_highest(wanted_bpm: f64, highest_bpm: f64) -> f64 {
    let bend = 0.95 * highest_bpm;
    let room = highest_bpm - bend;
    if wanted_bpm <= bend {
        wanted_bpm
    } else {
        bend + room * (1.0 - (-(wanted_bpm - bend) / room).exp())
    }
}
