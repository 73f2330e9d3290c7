//! Metres between places on the ground.

use crate::units::Position;

/// Mean earth radius R1 of the GRS80 and WGS84 ellipsoids, metres.
///
/// # Source
/// Moritz H. Geodetic Reference System 1980. Journal of Geodesy 2000;74:128-133,
/// doi 10.1007/s001900050278: R1 = 6,371,008.7714 m.
const EARTH_RADIUS_M: f64 = 6_371_008.8;

/// Metres between two places along the great circle (haversine formula).
///
/// # Source
/// Sinnott RW. Virtues of the haversine. Sky and Telescope 1984;68(2):158 (from memory).
pub(super) fn great_circle_m(from: Position, to: Position) -> f64 {
    let (lat1, lat2) = (from.latitude_degrees().to_radians(), to.latitude_degrees().to_radians());
    let half_lat = (lat2 - lat1) / 2.0;
    let half_lon = (to.longitude_degrees() - from.longitude_degrees()).to_radians() / 2.0;
    let h = half_lat.sin().powi(2) + lat1.cos() * lat2.cos() * half_lon.sin().powi(2);
    2.0 * EARTH_RADIUS_M * h.sqrt().min(1.0).asin()
}

/// Metres east and north from one place to another near it.
pub(super) fn metres_between(from: Position, to: Position) -> (f64, f64) {
    let mut east = to.longitude_degrees() - from.longitude_degrees();
    if east.abs() > 180.0 {
        east -= 360.0 * east.signum();
    }
    let middle = f64::midpoint(from.latitude_degrees(), to.latitude_degrees());
    let north = to.latitude_degrees() - from.latitude_degrees();
    (
        EARTH_RADIUS_M * east.to_radians() * middle.to_radians().cos(),
        EARTH_RADIUS_M * north.to_radians(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_degree_of_latitude_is_a_360th_of_the_circumference() {
        let place = |lat, lon| Position::from_degrees(lat, lon).unwrap();
        let expected = 2.0 * std::f64::consts::PI * EARTH_RADIUS_M / 360.0;
        assert!((great_circle_m(place(48.0, 11.0), place(49.0, 11.0)) - expected).abs() < 1e-6);
        // across the date line it is the short way round
        assert!((great_circle_m(place(0.0, 179.5), place(0.0, -179.5)) - expected).abs() < 1e-6);
    }
}
