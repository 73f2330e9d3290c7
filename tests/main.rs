//! The checks of the whole program, one module each.

#[cfg(test)]
mod flipped_bytes;
#[cfg(test)]
mod physiology_table;
#[cfg(test)]
mod recordings;
#[cfg(test)]
mod trend_reference;
