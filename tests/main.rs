//! The checks of the whole program, one module each.

#[cfg(test)]
mod fastest;
#[cfg(test)]
mod flipped_bytes;
#[cfg(test)]
mod recordings;
#[cfg(test)]
mod tidy;
