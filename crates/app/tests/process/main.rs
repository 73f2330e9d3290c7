//! The program as a process: what it prints, what it writes, how it ends; whatever it is given.

mod files;
mod interrupted;
mod numbers;
mod papers;
mod program;
mod recordings;
mod rosters;
mod shape;
