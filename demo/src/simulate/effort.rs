//! What is run between warm-up and cool-down: all-out with a runner's usual pacing, held at a heart
//! rate, or steady.

use rand_chacha::ChaCha8Rng;

use super::heart::line_bpm;
use super::noise::{Wander, normal};
use super::{DayForm, Runner};

/// How an all-out run is paced, as shares of its mean speed; zeros pace it evenly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pacing {
    /// How much too fast the start is; it dies away within the first two minutes.
    pub fast_start: f64,
    /// How deep the sag is after two thirds.
    pub sag: f64,
    /// How much the last minute gains.
    pub kick: f64,
    /// How unsteady it is from moment to moment.
    pub wobble: f64,
}

impl Pacing {
    /// The usual one: a fast first minute, a sag, a kick.
    pub const USUAL: Self = Self { fast_start: 0.05, sag: 0.018, kick: 0.035, wobble: 0.008 };
    /// Perfectly even.
    pub const EVEN: Self = Self { fast_start: 0.0, sag: 0.0, kick: 0.0, wobble: 0.0 };
}

/// What is run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Effort {
    /// As far as possible in so many seconds.
    AllOut {
        /// Length in whole seconds.
        length_s: u16,
        /// How it is paced.
        pacing: Pacing,
    },
    /// Speed adjusted to hold a heart rate.
    HeldAtHeartRate {
        /// Length in whole seconds.
        length_s: u16,
        /// The heart rate to hold.
        target_bpm: f64,
    },
    /// One level-ground speed throughout.
    Steady {
        /// Length in whole seconds.
        length_s: u16,
        /// The speed.
        speed_m_per_s: f64,
    },
}

impl Effort {
    pub(super) fn length_s(self) -> u16 {
        let (Self::AllOut { length_s, .. }
        | Self::HeldAtHeartRate { length_s, .. }
        | Self::Steady { length_s, .. }) = self;
        length_s
    }
}

/// Decides a level-ground speed for each second of the effort.
pub(super) enum Pacer {
    Planned {
        speeds_m_per_s: Vec<f64>,
    },
    Holding {
        target_bpm: f64,
        speed_m_per_s: f64,
        gentleness: f64,
        limit_m_per_s: f64,
        wobble: Wander,
    },
}

/// Runners know that the heart lags, and wait before they trust its rate.
const TRUSTS_RATE_AFTER_S: u32 = 180;

/// Damping of a runner who corrects by feel: a little under critical, one slow overshoot.
const DAMPING: f64 = 0.8;

impl Pacer {
    pub(super) fn new(
        effort: Effort,
        runner: &Runner,
        form: DayForm,
        rng: &mut ChaCha8Rng,
    ) -> Self {
        match effort {
            Effort::AllOut { length_s, pacing } => {
                let ordinary = runner.all_out_speed(f64::from(length_s));
                let mean = ordinary * (1.0 + form.speed_percent / 100.0);
                Self::Planned { speeds_m_per_s: paced(mean, length_s, pacing, rng) }
            }
            Effort::HeldAtHeartRate { target_bpm, .. } => {
                let over = target_bpm - line_bpm(runner, runner.twenty_minute_speed_m_per_s);
                let known = runner.twenty_minute_speed_m_per_s + over / runner.gain_bpm_per_m_per_s;
                // integral control of a first-order lag, for the damping above
                let loop_gain = runner.time_constant_s * runner.gain_bpm_per_m_per_s;
                Self::Holding {
                    target_bpm,
                    speed_m_per_s: known * (1.0 + 0.015 * normal(rng)),
                    gentleness: 1.0 / (4.0 * DAMPING * DAMPING * loop_gain),
                    limit_m_per_s: runner.twenty_minute_speed_m_per_s,
                    wobble: Wander::new(0.010, 20.0, rng),
                }
            }
            Effort::Steady { length_s, speed_m_per_s } => {
                Self::Planned { speeds_m_per_s: vec![speed_m_per_s; usize::from(length_s)] }
            }
        }
    }

    /// The speed for this second, with the heart rate the runner sees now.
    pub(super) fn speed_m_per_s(
        &mut self,
        second: u32,
        rate_bpm: f64,
        rng: &mut ChaCha8Rng,
    ) -> f64 {
        match self {
            Self::Planned { speeds_m_per_s } => {
                speeds_m_per_s.get(second as usize).copied().unwrap_or_default()
            }
            Self::Holding { target_bpm, speed_m_per_s, gentleness, limit_m_per_s, wobble } => {
                let off_bpm = *target_bpm - rate_bpm;
                if second >= TRUSTS_RATE_AFTER_S && off_bpm.abs() > 0.5 {
                    *speed_m_per_s += *gentleness * off_bpm;
                }
                *speed_m_per_s = speed_m_per_s.clamp(1.0, *limit_m_per_s);
                *speed_m_per_s * (1.0 + wobble.step(rng))
            }
        }
    }
}

/// A paced run of exactly this mean speed.
fn paced(mean_m_per_s: f64, length_s: u16, pacing: Pacing, rng: &mut ChaCha8Rng) -> Vec<f64> {
    let length = f64::from(length_s);
    let kick_s = (length / 5.0).min(60.0);
    let mut wobble = Wander::new(pacing.wobble, 15.0, rng);
    let shape: Vec<f64> = (0..length_s)
        .map(|second| {
            let now = f64::from(second);
            let start = pacing.fast_start * (-now / 40.0).exp();
            let sagging = (now / length - 0.7) / 0.2;
            let sag = pacing.sag * (-0.5 * sagging * sagging).exp();
            let kick = pacing.kick * ((now - (length - kick_s)) / kick_s).max(0.0);
            1.0 + start - sag + kick + wobble.step(rng)
        })
        .collect();
    let total: f64 = shape.iter().sum();
    shape.iter().map(|share| share / total * mean_m_per_s * length).collect()
}
