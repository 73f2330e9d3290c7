//! The checks of the whole program; see `main.rs`.
