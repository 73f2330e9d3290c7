//! Single values as a file writes them: read, missing, or ignored and counted.

use std::fmt;

use pacewright_core::recording::Repair;
use pacewright_core::units::{HeartRate, OutOfRange, Position};

/// Where a value stands, for a person to find it again.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Place {
    /// A line of a text file, from 1.
    Line(u64),
    /// A track point, from 1.
    Point(usize),
    /// A FIT record, from 1.
    Record(usize),
}

impl fmt::Display for Place {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Line(number) => write!(formatter, "on line {number}"),
            Self::Point(number) => write!(formatter, "in track point {number}"),
            Self::Record(number) => write!(formatter, "in record {number}"),
        }
    }
}

/// The cells that were no number or no possible value: how many, and the first as written.
#[derive(Debug, Default)]
pub(crate) struct Ignored {
    count: usize,
    first: Option<String>,
}

impl Ignored {
    /// Counts one more cell; what was written is shortened for showing.
    pub(crate) fn add(&mut self, name: &str, written: impl fmt::Display, place: Place) {
        const SHOWN: usize = 40;
        self.count += 1;
        if self.first.is_none() {
            let written: String =
                written.to_string().chars().filter(|c| !c.is_control()).take(SHOWN).collect();
            self.first = Some(format!("{name} {written} {place}"));
        }
    }

    /// What to report, where anything was ignored.
    pub(crate) fn into_repair(self) -> Option<Repair> {
        let count = self.count;
        self.first.map(|first| Repair::CellsIgnored { count, first })
    }

    /// A number that must lie within its quantity's bounds.
    pub(crate) fn quantity<Q>(
        &mut self,
        name: &str,
        value: f64,
        place: Place,
        from: impl Fn(f64) -> Result<Q, OutOfRange>,
    ) -> Option<Q> {
        let made = from(value).ok();
        if made.is_none() {
            self.add(name, value, place);
        }
        made
    }

    /// A written number that must lie within its quantity's bounds; nothing written is missing.
    pub(crate) fn written<Q>(
        &mut self,
        name: &str,
        written: &str,
        place: Place,
        from: impl Fn(f64) -> Result<Q, OutOfRange>,
    ) -> Option<Q> {
        let made = number(written).and_then(|value| from(value).ok());
        if made.is_none() && !written.trim_ascii().is_empty() {
            self.add(name, written.trim_ascii(), place);
        }
        made
    }

    /// A written heart rate; sensors write zero while they have none.
    pub(crate) fn heart_rate(&mut self, written: &str, place: Place) -> Option<HeartRate> {
        let none_yet = |bpm| if bpm == 0.0 { Ok(None) } else { HeartRate::from_bpm(bpm).map(Some) };
        self.written("heart rate", written, place, none_yet).flatten()
    }

    /// A written position; recorders write 0, 0 while they have none.
    pub(crate) fn position(
        &mut self,
        latitude: &str,
        longitude: &str,
        place: Place,
    ) -> Option<Position> {
        let degrees = number(latitude).zip(number(longitude));
        if degrees == Some((0.0, 0.0)) {
            return None;
        }
        let made = degrees.and_then(|(north, east)| Position::from_degrees(north, east).ok());
        if made.is_none()
            && !(latitude.trim_ascii().is_empty() && longitude.trim_ascii().is_empty())
        {
            self.add(
                "position",
                format_args!("{} {}", latitude.trim_ascii(), longitude.trim_ascii()),
                place,
            );
        }
        made
    }
}

/// A finite number as written.
pub(crate) fn number(written: &str) -> Option<f64> {
    written.trim_ascii().parse::<f64>().ok().filter(|value| value.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn impossible_cells_are_counted_and_the_first_is_kept_as_written() {
        let mut ignored = Ignored::default();
        assert!(ignored.heart_rate("999", Place::Line(12)).is_none());
        assert!(ignored.heart_rate("NaN", Place::Line(13)).is_none());
        assert!(ignored.position("91", "0", Place::Line(14)).is_none());
        let Some(Repair::CellsIgnored { count, first }) = ignored.into_repair() else { panic!() };
        assert_eq!((count, first.as_str()), (3, "heart rate 999 on line 12"));
    }

    #[test]
    fn what_sensors_write_for_nothing_is_missing_and_no_fault() {
        let mut ignored = Ignored::default();
        assert!(ignored.heart_rate("0", Place::Point(1)).is_none());
        assert!(ignored.heart_rate(" ", Place::Point(1)).is_none());
        assert!(ignored.position("0.0", "0", Place::Point(1)).is_none());
        assert!(ignored.into_repair().is_none());
    }
}
