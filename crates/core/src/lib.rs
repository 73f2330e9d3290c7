//! The physiology, the checks, the review and the words for them.
//!
//! Pure: no input or output, no clock (today is a parameter), no SQL, no file format. Every formula
//! of the program lives here once. The way of the data, one function an arrow:
//!
//! recording -> effort (+ remarks) -> test -> markers -> zones -> calibration.

pub mod aging;
pub mod assess;
pub mod athlete;
pub mod balance;
pub mod calibration;
pub mod change;
pub mod checks;
pub mod course;
pub mod doubt;
pub mod effort;
pub mod first_threshold;
pub mod format;
pub mod ids;
mod known;
pub mod laboratory;
pub mod markers;
pub mod medication;
pub mod outlook;
pub mod parse;
pub mod physiology;
pub mod plan;
pub mod programme;
pub mod quality;
pub mod race;
pub mod recording;
pub mod remark;
pub mod retest;
pub mod review;
pub mod rules;
pub mod schedule;
pub mod screening;
pub mod session;
pub mod sources;
pub mod test;
pub mod trend;
pub mod units;
pub mod words;
pub mod zones;
