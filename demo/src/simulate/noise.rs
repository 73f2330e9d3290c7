//! Noise with a memory.

use rand::Rng;
use rand_chacha::ChaCha8Rng;
use rand_distr::StandardNormal;

/// One draw from the normal distribution of mean 0 and SD 1.
pub(crate) fn normal(rng: &mut ChaCha8Rng) -> f64 {
    rng.sample(StandardNormal)
}

/// A value that wanders around zero: a first-order autoregression, stepped once a second.
pub(super) struct Wander {
    level: f64,
    keep: f64,
    push: f64,
}

impl Wander {
    /// With a standard deviation, and a memory in seconds after which a third (1/e) is left.
    pub(super) fn new(spread: f64, memory_s: f64, rng: &mut ChaCha8Rng) -> Self {
        let keep = (-1.0 / memory_s).exp();
        Self { level: spread * normal(rng), keep, push: spread * (1.0 - keep * keep).sqrt() }
    }

    /// The value a second later.
    pub(super) fn step(&mut self, rng: &mut ChaCha8Rng) -> f64 {
        self.level = self.level * self.keep + self.push * normal(rng);
        self.level
    }
}

/// A wander that is smooth: one that follows another, so that its steps from second to second are
/// small, as position errors are.
pub(super) struct SmoothWander {
    lead: Wander,
    level: f64,
}

impl SmoothWander {
    /// With a standard deviation and a memory in seconds.
    pub(super) fn new(spread: f64, memory_s: f64, rng: &mut ChaCha8Rng) -> Self {
        // following at its own pace halves the variance of what is followed
        let lead = Wander::new(spread * std::f64::consts::SQRT_2, memory_s, rng);
        Self { level: spread * normal(rng), lead }
    }

    /// The value a second later.
    pub(super) fn step(&mut self, rng: &mut ChaCha8Rng) -> f64 {
        let target = self.lead.step(rng);
        self.level += (target - self.level) * (1.0 - self.lead.keep);
        self.level
    }
}
