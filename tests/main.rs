//! Checks of the whole program, one binary of modules.

mod flipped_bytes;
