//! Where is run: loops with two straights and two bends, level or with hills.

use std::f64::consts::{PI, TAU};

use pacewright_core::units::Position;

/// A loop at an invented place; it has the shape of a running track.
///
/// The place lies in the open ocean, so that no course of the demo can be taken for a real one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Course {
    /// Length of each straight in metres.
    pub straight_m: f64,
    /// Radius of each bend in metres.
    pub radius_m: f64,
    /// Height in metres of each hill from foot to top; 0 is level.
    pub hill_m: f64,
    /// Hills on one loop.
    pub hills: u32,
    /// Height above sea level of the foot, in metres.
    pub foot_m: f64,
}

/// The loop's middle, in degrees north and east.
const MIDDLE: (f64, f64) = (47.317, -29.642);

/// Metres per degree of latitude on the sphere of mean radius 6,371,008.8 m.
const METRES_PER_DEGREE: f64 = 6_371_008.8 * PI / 180.0;

impl Course {
    /// A 400 m track, level.
    pub const fn track() -> Self {
        // the measured line of a standard track: two straights of 84.39 m, bends of radius 36.80 m
        Self { straight_m: 84.39, radius_m: 36.80, hill_m: 0.0, hills: 0, foot_m: 118.0 }
    }

    /// A path of 3.2 km around the tarn, nearly level.
    pub const fn tarn_path() -> Self {
        Self { straight_m: 900.0, radius_m: 220.0, hill_m: 2.0, hills: 1, foot_m: 116.0 }
    }

    /// A lane of 3.2 km over two hills, up to 6 % steep.
    pub const fn hill_lane() -> Self {
        Self { straight_m: 900.0, radius_m: 220.0, hill_m: 30.0, hills: 2, foot_m: 131.0 }
    }

    fn loop_m(&self) -> f64 {
        2.0 * self.straight_m + TAU * self.radius_m
    }

    fn turns_per_m(&self) -> f64 {
        TAU * f64::from(self.hills) / self.loop_m()
    }

    /// Height in metres after a distance.
    pub(super) fn height_m(&self, distance_m: f64) -> f64 {
        self.foot_m + self.hill_m / 2.0 * (1.0 - (distance_m * self.turns_per_m()).cos())
    }

    /// Slope after a distance, as a ratio: rise over run.
    pub(super) fn slope(&self, distance_m: f64) -> f64 {
        let turns = self.turns_per_m();
        self.hill_m / 2.0 * turns * (distance_m * turns).sin()
    }

    /// Metres east and north of the middle after a distance.
    fn place_m(&self, distance_m: f64) -> (f64, f64) {
        let (straight, radius) = (self.straight_m, self.radius_m);
        let half = straight + PI * radius;
        let along = distance_m.rem_euclid(self.loop_m());
        // the second half is the first, turned about the middle
        let (on_half, sign) = if along < half { (along, 1.0) } else { (along - half, -1.0) };
        let (east, north) = if on_half < straight {
            (on_half - straight / 2.0, -radius)
        } else {
            let angle = (on_half - straight) / radius;
            (straight / 2.0 + radius * angle.sin(), -radius * angle.cos())
        };
        (sign * east, sign * north)
    }

    /// Where on earth after a distance, with errors in metres east and north.
    pub(super) fn position(&self, distance_m: f64, error_m: (f64, f64)) -> Option<Position> {
        let (east, north) = self.place_m(distance_m);
        let (latitude, longitude) = MIDDLE;
        let east_degrees = (east + error_m.0) / (METRES_PER_DEGREE * latitude.to_radians().cos());
        let north_degrees = (north + error_m.1) / METRES_PER_DEGREE;
        let to_device =
            |degrees: f64| (degrees * SEMICIRCLES_PER_DEGREE).round() / SEMICIRCLES_PER_DEGREE;
        Position::from_degrees(
            to_device(latitude + north_degrees),
            to_device(longitude + east_degrees),
        )
        .ok()
    }
}

/// Devices count angles in semicircles, 2^31 to 180 degrees.
const SEMICIRCLES_PER_DEGREE: f64 = 2_147_483_648.0 / 180.0;

/// What a slope does to speed at equal effort: a plain rule of this simulator's own. Each 1 % up
/// costs 6 % more; each 1 % down gives 3 % back, up to 14 %, when braking takes the rest.
pub(super) fn speed_on_slope(slope: f64) -> f64 {
    if slope > 0.0 { 1.0 / (1.0 + 6.0 * slope) } else { (1.0 - 3.0 * slope).min(1.14) }
}
