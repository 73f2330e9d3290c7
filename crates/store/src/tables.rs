//! The tables of facts, a file each: how a fact of core stands in its row, and what belongs to
//! putting one.

pub(crate) mod athlete;
pub(crate) mod calibration;
pub(crate) mod evidence;
pub(crate) mod programme;
pub(crate) mod recording;
pub(crate) mod schedule;
pub(crate) mod setting;
pub(crate) mod squad;
pub(crate) mod test;
