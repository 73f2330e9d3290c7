//! The checks of the whole program, one module each.

#[cfg(test)]
mod recordings;
