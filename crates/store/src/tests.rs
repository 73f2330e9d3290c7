//! Tests of the library as a whole: facts come back, acts go back and forth, a bad file is refused.

mod beside;
mod facts;
mod going_back;
mod keeping;
mod opening;
mod programme;
mod restoring;
mod round_trip;
