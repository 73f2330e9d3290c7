//! A coach's acts, each once: window, command line, demo and tests all meet here.
//!
//! A use case takes values, asks the library or the disk, and gives values or one [`Problem`] back.
//! It reads no clock: the caller says what time it is, as a [`Now`].

pub mod book;
pub mod calculate;
pub mod confirm;
pub mod decide;
mod desk;
pub mod due;
pub mod files;
pub mod job;
mod matching;
pub mod measured;
mod now;
pub mod papers;
mod problem;
pub mod read_in;
pub mod roster;
pub mod schedule;

pub use desk::Desk;
pub use now::Now;
pub use problem::Problem;
