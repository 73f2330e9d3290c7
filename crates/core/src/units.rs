//! Quantities: one small type a quantity, the unit in every constructor and accessor.
//!
//! A value outside its bounds cannot be made; the bounds stand here once, as data. Pace is not a
//! quantity but a way to write a speed: see [`crate::format`].

mod estimate;
mod quantity;

pub use estimate::{Estimate, Origin, Spread};
pub use quantity::{OutOfRange, Quantity};

use quantity::quantity;

quantity! {
    /// A speed over ground, in metres per second (0 to 100).
    Speed, from_m_per_s, m_per_s, "speed", "m/s", 0.0, 100.0
}
quantity! {
    /// A distance, in metres (0 to 10,000 km).
    Distance, from_m, m, "distance", "m", 0.0, 10_000_000.0
}
quantity! {
    /// A time since a start, or a length of time, in seconds (0 to about three years).
    Seconds, from_s, s, "time", "s", 0.0, 100_000_000.0
}
quantity! {
    /// A heart rate, in beats per minute (1 to 300; what is credible is judged by the checks).
    HeartRate, from_bpm, bpm, "heart rate", "bpm", 1.0, 300.0
}
quantity! {
    /// A height above sea level, in metres (-1,000 to 10,000).
    Altitude, from_m, m, "altitude", "m", -1_000.0, 10_000.0
}
quantity! {
    /// Steps or strides a minute, as the device counted them (0 to 400).
    Cadence, from_per_minute, per_minute, "cadence", "per minute", 0.0, 400.0
}
quantity! {
    /// A share of a whole, 0 to 1.
    Share, from_ratio, ratio, "share", "of 1", 0.0, 1.0
}
quantity! {
    /// A slope: rise over run (-0.45 to 0.45, the range for which its cost is known).
    Slope, from_ratio, ratio, "slope", "rise over run", -0.45, 0.45
}
quantity! {
    /// Laps of a course, whole and parts (0 to 1,000).
    Laps, from_count, count, "laps", "laps", 0.0, 1_000.0
}
quantity! {
    /// An age, in years (5 to 120).
    Years, from_years, years, "age", "years", 5.0, 120.0
}

/// A place on the earth: WGS84 latitude and longitude, in degrees.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Position {
    latitude: f64,
    longitude: f64,
}

impl Position {
    /// A place from degrees north and east.
    ///
    /// # Errors
    /// Latitude outside -90 to 90, longitude outside -180 to 180, or not finite.
    pub fn from_degrees(latitude: f64, longitude: f64) -> Result<Self, OutOfRange> {
        quantity::check("latitude", "degrees", latitude, -90.0, 90.0)?;
        quantity::check("longitude", "degrees", longitude, -180.0, 180.0)?;
        Ok(Self { latitude, longitude })
    }

    /// Degrees north.
    pub fn latitude_degrees(self) -> f64 {
        self.latitude
    }

    /// Degrees east.
    pub fn longitude_degrees(self) -> f64 {
        self.longitude
    }
}

/// Which units a coach reads distances and paces in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
pub enum UnitSystem {
    /// Kilometres and minutes per kilometre.
    #[default]
    Kilometres,
    /// Miles and minutes per mile.
    Miles,
}

impl Share {
    /// All of it.
    pub const WHOLE: Self = Self(1.0);

    /// A part of this share; a part outside 0 to 1 is taken as the nearer end.
    #[must_use]
    pub fn times(self, part: f64) -> Self {
        Self(self.0 * part.clamp(0.0, 1.0))
    }
}

impl Speed {
    /// The mean speed over a distance, or `None` where the time is zero or the result out of range.
    pub fn over(distance: Distance, time: Seconds) -> Option<Self> {
        Self::from_m_per_s(distance.m() / time.s()).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_outside_its_bounds_is_refused_with_quantity_and_bounds() {
        let error = HeartRate::from_bpm(0.0).unwrap_err();
        assert_eq!(error.to_string(), "heart rate 0 bpm is outside 1 to 300 bpm");
        assert!(Speed::from_m_per_s(f64::NAN).is_err());
        assert!(Position::from_degrees(91.0, 0.0).is_err());
    }

    #[test]
    fn speed_over_no_time_is_none() {
        let metres = Distance::from_m(100.0).unwrap();
        assert_eq!(Speed::over(metres, Seconds::from_s(0.0).unwrap()), None);
    }
}
