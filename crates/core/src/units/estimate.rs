//! A value with its doubt: two errors kept apart, and where the value comes from.

use std::marker::PhantomData;

use super::{HeartRate, Quantity, Speed};

/// Where a marker's number comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Origin {
    /// From this marker's own field test.
    Measured,
    /// From a tested marker by the program's rule (such as 95 % of LT2 heart rate).
    ByRule,
    /// Not tested: from other markers by published ratios, or from age.
    Estimated,
    /// Typed in by the coach (a laboratory value, a known maximum).
    Entered,
}

/// One standard error, in the unit of the quantity it belongs to; never negative.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, serde::Serialize, serde::Deserialize)]
#[serde(transparent)]
pub struct Spread<Q> {
    amount: f64,
    #[serde(skip)]
    of: PhantomData<Q>,
}

impl<Q: Quantity> Spread<Q> {
    pub(crate) fn new(amount: f64) -> Self {
        Self { amount: amount.abs(), of: PhantomData }
    }

    /// The joint error of two that are independent: the root of the sum of squares.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self::new(self.amount.hypot(other.amount))
    }
}

impl Spread<Speed> {
    /// The error in metres per second.
    pub fn m_per_s(self) -> f64 {
        self.amount
    }
}

impl Spread<HeartRate> {
    /// The error in beats per minute.
    pub fn bpm(self) -> f64 {
        self.amount
    }
}

/// A value with both of its errors and its origin.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(bound = "Q: serde::Serialize + serde::de::DeserializeOwned")]
pub struct Estimate<Q> {
    /// The best value.
    pub value: Q,
    /// One standard error of the rule against the physiological truth; retesting never mends it.
    pub validity: Spread<Q>,
    /// One standard error of the same athlete tested again.
    pub repeatability: Spread<Q>,
    /// Where the value comes from.
    pub origin: Origin,
}

impl<Q: Quantity> Estimate<Q> {
    /// The stated doubt: validity and repeatability together.
    pub fn error(&self) -> Spread<Q> {
        self.validity.and(self.repeatability)
    }
}
