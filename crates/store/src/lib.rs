//! The library: one SQLite file that holds everything a coach measured, entered or decided.
//!
//! Facts go in through one door, [`Library::act`], which writes the way back beside them, so that
//! every act can be undone. Nothing is erased: a removal is a mark. Every row carries a seal, a
//! checksum of its content that is checked whenever the row is read, and every table a tally of its
//! rows: a damaged number is reported, never shown.
//!
//! This is the only place with SQL. There is no clock here: callers say when an act was done.

mod act;
mod backup;
mod cache;
mod change;
mod check;
mod columns;
mod door;
mod error;
mod exact_json;
mod files;
mod hash;
mod keeper;
mod library;
mod migrate;
mod read;
mod restore;
mod rows;
mod samples;
mod seal;
mod sheaf;
mod table;
mod tables;
mod tally;
#[cfg(test)]
mod tests;
mod together;
mod undo;

pub use act::{Act, Done, Kind};
pub use cache::CachedRemarks;
pub use change::{Change, Fact, NewRecording};
pub use check::Finding;
pub use error::{StoreError, system_words};
pub use files::default_path;
pub use hash::ContentHash;
pub use keeper::Keeper;
pub use library::{FactId, Library};
pub use restore::restore;
pub use tables::recording::StoredRecording;
pub use together::ByAthlete;
pub use undo::{ActState, LoggedAct};
