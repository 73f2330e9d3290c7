//! The weakest of the three qualities, against published ranges, with its doubt.
//!
//! Runners' first and second thresholds stand at 73.9 (5.5) and 87.6 (3.9) % of the speed at VO2max
//! (see [`crate::physiology::ratios`]). Where one athlete's qualities stand elsewhere, the one that
//! stands lowest against the other two is the weakest; but each marker has an error about as large as
//! the spread between runners, so most of the time nothing stands out, and it says so.

use crate::markers::{Marker, MarkerName, Markers};
use crate::physiology::ratios::{LT1_OF_VO2MAX_SPEED, LT2_OF_VO2MAX_SPEED};
use crate::test::TestKind;
use crate::units::{Origin, Years};

/// From this chance on the weakest is named (judgement: the same as for "likely").
const LIKELY: f64 = 0.75;
/// Under this age nothing is called weak: growing up moves the three by themselves (judgement).
const YOUNGEST_YEARS: f64 = 16.0;

/// How the three qualities stand to each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// Each quality by its test: where it stands against the other two, in percent of speed from what
    /// is usual, and the chance that it is the weakest.
    pub qualities: [(TestKind, f64, f64); 3],
    /// The weakest, where the chance is high enough to name it.
    pub weakest: Option<TestKind>,
}

/// Whether an athlete is too young for any quality to be called weak.
pub fn is_growing(age: Option<Years>) -> bool {
    age.is_some_and(|age| age.years() < YOUNGEST_YEARS)
}

/// The balance of three tested qualities; `None` where one was not tested, or under 16.
pub fn balance(markers: &Markers, age: Option<Years>) -> Option<Balance> {
    if is_growing(age) {
        return None;
    }
    let usual = [
        (TestKind::FortyMinutes, MarkerName::Lt1, LT1_OF_VO2MAX_SPEED.mean),
        (TestKind::TwentyMinutes, MarkerName::Lt2, LT2_OF_VO2MAX_SPEED.mean),
        (TestKind::FiveMinutes, MarkerName::Vo2max, 1.0),
    ];
    let mut found = [(TestKind::FortyMinutes, 0.0, 0.0); 3];
    for (place, (kind, name, share)) in found.iter_mut().zip(usual) {
        let (speed, error) = tested(markers.get(name))?;
        *place = (kind, (speed / share).ln(), error);
    }
    let sum: f64 = found.iter().map(|(_, level, _)| level).sum();
    let qualities = [0, 1, 2].map(|at| {
        let (kind, level, error) = found[at];
        let others = [found[(at + 1) % 3], found[(at + 2) % 3]];
        let stands = 100.0 * (level - (sum - level) / 2.0).exp_m1();
        let chance = chance_lowest((level, error), others.map(|(_, level, error)| (level, error)));
        (kind, stands, chance)
    });
    let weakest = qualities.iter().find(|(_, _, chance)| *chance >= LIKELY).map(|(kind, ..)| *kind);
    Some(Balance { qualities, weakest })
}

/// A tested marker's speed and its whole error relative to it: against a published range validity
/// counts too.
fn tested(marker: &Marker) -> Option<(f64, f64)> {
    let speed = marker.speed.filter(|e| e.origin != Origin::Estimated)?;
    Some((speed.value.m_per_s(), speed.error().m_per_s() / speed.value.m_per_s()))
}

/// The chance that a level lies below two others, all with independent normal errors: the integral of
/// its density times the chances that both others lie above, by Simpson's rule.
fn chance_lowest((level, error): (f64, f64), others: [(f64, f64); 2]) -> f64 {
    const HALF: usize = 100;
    const REACH: f64 = 6.0;
    let step = REACH / HALF as f64;
    let weight = |at: usize| match at {
        0 => 1.0,
        at if at == 2 * HALF => 1.0,
        at if at % 2 == 1 => 4.0,
        _ => 2.0,
    };
    let total: f64 = (0..=2 * HALF)
        .map(|at| {
            let z = -REACH + step * at as f64;
            let density = (-z * z / 2.0).exp() / (2.0 * std::f64::consts::PI).sqrt();
            let here = level + z * error;
            let above = others.iter().map(|(mean, sd)| crate::change::below((mean - here) / sd));
            weight(at) * density * above.product::<f64>()
        })
        .sum();
    total * step / 3.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Estimate, Speed, Spread};

    fn markers(lt1: f64, lt2: f64, vo2max: f64, origin: Origin) -> Markers {
        let marker = |m_per_s: f64, share: f64| Marker {
            speed: Some(Estimate {
                value: Speed::from_m_per_s(m_per_s).unwrap(),
                validity: Spread::new(share * m_per_s),
                repeatability: Spread::new(0.0),
                origin,
            }),
            heart_rate: None,
        };
        Markers {
            aerobic_floor: Marker::default(),
            lt1: marker(lt1, 0.09),
            lt2: marker(lt2, 0.05),
            vo2max: marker(vo2max, 0.05),
        }
    }

    #[test]
    fn equal_levels_with_equal_errors_share_the_chance_by_thirds() {
        let third = chance_lowest((0.0, 0.05), [(0.0, 0.05), (0.0, 0.05)]);
        assert!((third - 1.0 / 3.0).abs() < 1e-6);
    }

    #[test]
    fn usual_ratios_name_nobody_and_a_clear_gap_names_the_base() {
        // 5.0 m/s x 0.739 and x 0.876
        let usual = balance(&markers(3.695, 4.38, 5.0, Origin::Measured), None).unwrap();
        assert_eq!(usual.weakest, None);
        let sum: f64 = usual.qualities.iter().map(|(_, _, chance)| chance).sum();
        assert!((sum - 1.0).abs() < 1e-6);
        let low = markers(3.1, 4.38, 5.0, Origin::Measured);
        assert_eq!(balance(&low, None).unwrap().weakest, Some(TestKind::FortyMinutes));
        assert_eq!(balance(&low, Years::from_years(15.0).ok()), None);
        assert_eq!(balance(&markers(3.1, 4.38, 5.0, Origin::Estimated), None), None);
    }
}
