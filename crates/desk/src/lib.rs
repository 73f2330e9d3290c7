//! A coach's acts, each once: window, command line, demo and tests all meet here.
//!
//! A use case takes values, asks the library or the disk, and gives values or one [`Problem`] back.
//! It reads no clock: the caller says what time it is, as a [`Now`].

pub mod agenda;
pub mod book;
pub mod calculate;
pub mod confirm;
pub mod decide;
mod desk;
pub mod due;
pub mod enter;
pub mod entries;
pub mod export;
pub mod files;
pub mod history;
pub mod job;
pub mod keeping;
mod matching;
pub mod measured;
mod now;
pub mod papers;
pub mod people;
pub mod plan;
mod problem;
pub mod programmes;
pub mod qualities;
pub mod read_in;
pub mod roster;
pub mod rules;
pub mod schedule;
pub mod schemes;
pub mod second_look;
pub mod settings;
pub mod standing;
pub mod trace;
pub mod typed;
pub mod waiting;
pub mod whence;

pub use desk::Desk;
pub use now::Now;
pub use pacewright_store::{ActState, LoggedAct};
pub use problem::Problem;
