//! A coach's acts, each once: window, command line, demo and tests all meet here.
//!
//! A use case takes values, asks the library or the disk, and gives values or one [`Problem`] back.
//! It reads no clock: the caller says what time it is, as a [`Now`].

pub mod calculate;
pub mod files;
mod now;
mod problem;

pub use now::Now;
pub use problem::Problem;
