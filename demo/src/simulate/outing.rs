//! What happened, second by second: warm-up, a stroll to the line, the effort, cool-down.

use std::ops::RangeInclusive;

use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

use super::course::speed_on_slope;
use super::effort::Pacer;
use super::heart::Heart;
use super::noise::Wander;
use super::{Fault, Marks, Run};

/// The state at one whole second.
#[derive(Debug, Clone, Copy)]
pub(super) struct Moment {
    /// Over ground, since the start of the warm-up.
    pub(super) distance_m: f64,
    /// What the same work would have covered on level ground.
    pub(super) level_distance_m: f64,
    /// The heart's own rate.
    pub(super) heart_rate_bpm: f64,
    /// What the same work would do on level ground in the second that follows.
    pub(super) level_speed_m_per_s: f64,
}

/// The whole of it.
pub(super) struct Outing {
    /// One a second, from 0 on.
    pub(super) moments: Vec<Moment>,
    /// The seconds at which the effort starts and ends.
    pub(super) effort: RangeInclusive<usize>,
}

/// Strides: how long each, how far apart, how much faster than the 20-minute speed.
const STRIDE_S: u32 = 15;
const STRIDE_APART_S: u32 = 90;
const STRIDE_SHARE: f64 = 1.25;
const STROLL_M_PER_S: f64 = 1.3;

impl Outing {
    pub(super) fn of(run: &Run) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(run.seed);
        let effort_s = u32::from(run.effort.length_s());
        let warm_up_s = u32::from(run.warm_up_s);
        let total_s = warm_up_s + effort_s + u32::from(run.cool_down_s);
        let mut pacer = Pacer::new(run.effort, &run.runner, run.form, &mut rng);
        let mut heart = Heart::standing(run.runner, run.form);
        let mut jog_wobble = Wander::new(0.03, 20.0, &mut rng);
        let (mut distance_m, mut level_distance_m) = (0.0, 0.0);
        let mut moments = Vec::with_capacity(total_s as usize + 1);
        for second in 0..=total_s {
            let wobble = 1.0 + jog_wobble.step(&mut rng);
            let since_effort_s = f64::from(second) - f64::from(run.warm_up_s);
            let level_speed_m_per_s = if run.stands(since_effort_s) {
                0.0
            } else if let Some(into) = second.checked_sub(warm_up_s).filter(|&into| into < effort_s)
            {
                pacer.speed_m_per_s(into, heart.rate_bpm(), &mut rng)
            } else {
                run.easy_speed(second) * wobble
            };
            let heart_rate_bpm = heart.rate_bpm();
            moments.push(Moment {
                distance_m,
                level_distance_m,
                heart_rate_bpm,
                level_speed_m_per_s,
            });
            distance_m += level_speed_m_per_s * speed_on_slope(run.course.slope(distance_m));
            level_distance_m += level_speed_m_per_s;
            heart.run(level_speed_m_per_s);
        }
        let start = usize::from(run.warm_up_s);
        Self { moments, effort: start..=start + effort_s as usize }
    }

    /// The seconds the device was running.
    pub(super) fn recorded(&self, marks: Marks) -> RangeInclusive<usize> {
        match marks {
            Marks::Lap | Marks::None => 0..=self.moments.len().saturating_sub(1),
            Marks::StartedAtTheGun => self.effort.clone(),
        }
    }

    /// The moments at which the effort starts and ends.
    pub(super) fn effort_ends(&self) -> (Moment, Moment) {
        // one moment a second was pushed, the effort's last included
        (self.moments[*self.effort.start()], self.moments[*self.effort.end()])
    }

    /// The heart's mean rate over the effort.
    pub(super) fn mean_heart_rate_bpm(&self) -> f64 {
        let rates = self.moments[self.effort.clone()].iter().map(|moment| moment.heart_rate_bpm);
        rates.sum::<f64>() / (self.effort.end() - self.effort.start() + 1) as f64
    }
}

impl Run {
    fn stands(&self, since_effort_s: f64) -> bool {
        self.faults
            .iter()
            .filter(|fault| fault.is_pause())
            .any(|fault: &Fault| fault.covers(since_effort_s))
    }

    /// Warm-up and cool-down: an easy jog, and a stroll on both sides of the effort.
    fn easy_speed(&self, second: u32) -> f64 {
        let jog = self.runner.twenty_minute_speed_m_per_s;
        let warm_up_s = u32::from(self.warm_up_s);
        let effort_end = warm_up_s + u32::from(self.effort.length_s());
        let stroll_s = u32::from(self.stroll_s);
        let walks = if second < warm_up_s {
            second + stroll_s >= warm_up_s
        } else {
            second < effort_end + stroll_s
        };
        // the last stride ends a whole space before the effort
        let before_s = warm_up_s.saturating_sub(second);
        let strides = u32::from(self.strides) * STRIDE_APART_S;
        let in_stride = before_s % STRIDE_APART_S < STRIDE_S && before_s / STRIDE_APART_S >= 1;
        if walks {
            STROLL_M_PER_S
        } else if second < warm_up_s && before_s <= strides + STRIDE_S && in_stride {
            jog * STRIDE_SHARE
        } else if second < warm_up_s {
            // from very easy to easy
            jog * (self.easy_share + 0.08 * f64::from(second) / f64::from(self.warm_up_s))
        } else {
            jog * self.easy_share
        }
    }
}
