//! Formulas and published figures, one file a subject, each with its source.
//!
//! Standing of a figure: *published* (its source is named), *common practice* (a rule of thumb
//! without a source) or *judgement* (the program's own). Each says which it is; [`crate::sources`]
//! answers for the numbers on screen and paper.

pub mod conditions;
pub mod critical_speed;
pub mod heart_rate_gain;
pub mod heart_rate_lag;
pub mod heart_rate_max;
pub mod heart_rate_reserve;
pub mod oxygen_cost;
pub mod power_law;
pub mod ratios;
pub mod reliability;
pub mod slope;
pub mod thresholds;
