//! The power law of endurance: a time over one distance, from a time over another.
//!
//! T2 = T1 (D2 / D1)^b. With the exponent fixed at 1.06 this is the published rule; where an athlete
//! has two all-out efforts, their own exponent is better (individual exponents differ: Blythe DAJ,
//! Király FJ. PLoS ONE 2016;11(6):e0157257), kept inside what has been seen.
//!
//! # Source
//! Riegel PS. American Scientist 1981;69:285-290 (from memory; rule, exponent and the range of 3.5
//! to 230 minutes seen on a secondary page).

use crate::units::{Distance, Seconds, Speed};

/// The exponent of endurance: 1 would be the same speed for ever.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Exponent(f64);

/// Own exponents outside these bounds are held at the bound (judgement around fits of 1.055 to 1.104
/// on record times).
pub const BOUNDS: (f64, f64) = (1.03, 1.15);
/// Spread of the exponent between people, one standard deviation (judgement: the bounds hold all but
/// a few).
pub const BETWEEN_PEOPLE: f64 = 0.025;
/// The published exponent.
const PUBLISHED: f64 = 1.06;

impl Exponent {
    /// The published 1.06.
    pub fn published() -> Self {
        Self(PUBLISHED)
    }

    /// An athlete's own, from two all-out efforts, held inside [`BOUNDS`]; `None` where it has no
    /// meaning: no time, or the same distance twice.
    pub fn own(short: (Distance, Seconds), long: (Distance, Seconds)) -> Option<Self> {
        let own = Self::raw(short, long)?;
        Some(Self(own.clamp(BOUNDS.0, BOUNDS.1)))
    }

    /// As [`Exponent::own`], not held inside any bounds.
    pub fn raw(short: (Distance, Seconds), long: (Distance, Seconds)) -> Option<f64> {
        let own = (long.1.s() / short.1.s()).ln() / (long.0.m() / short.0.m()).ln();
        own.is_finite().then_some(own)
    }

    /// The exponent as a number.
    pub fn value(self) -> f64 {
        self.0
    }

    /// The time over another distance.
    pub fn time(self, known: (Distance, Seconds), wanted: Distance) -> Option<Seconds> {
        Seconds::from_s(known.1.s() * (wanted.m() / known.0.m()).powf(self.0)).ok()
    }

    /// The speed that can be held for `wanted` over the speed held for `known`.
    pub fn speed_ratio(self, known: Seconds, wanted: Seconds) -> f64 {
        (wanted.s() / known.s()).powf(1.0 / self.0 - 1.0)
    }

    /// How long a speed can be held that is `ratio` times the one held for `known`.
    pub fn duration_at(self, known: Seconds, ratio: f64) -> Option<Seconds> {
        Seconds::from_s(known.s() * ratio.powf(1.0 / (1.0 / self.0 - 1.0))).ok()
    }

    /// How far the speed over another time is off for each unit the exponent is off, relative to
    /// the speed: |ln(wanted / known)| / b^2.
    pub fn sensitivity(self, known: Seconds, wanted: Seconds) -> f64 {
        (wanted.s() / known.s()).ln().abs() / (self.0 * self.0)
    }

    /// The mean speed of an effort over a stated time, from one of another length.
    pub fn speed_for(self, known: (Distance, Seconds), wanted: Seconds) -> Option<Speed> {
        let speed = Speed::over(known.0, known.1)?;
        Speed::from_m_per_s(speed.m_per_s() * self.speed_ratio(known.1, wanted)).ok()
    }
}
