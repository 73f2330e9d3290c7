//! Metres climbed, with a hysteresis that keeps noise from counting as hills.

use crate::recording::{Sample, Span};
use crate::units::Distance;

/// A rise counts once it exceeds this many metres (common practice, no source; device figures
/// differ from it by a factor of 0.2 to 2.2).
const HYSTERESIS_M: f64 = 3.0;

/// Metres climbed during a stretch; `None` where it has no altitude.
pub(super) fn climbed(samples: &[Sample], span: Span) -> Option<Distance> {
    let mut heights = samples
        .iter()
        .filter(|s| s.time >= span.from && s.time <= span.to)
        .filter_map(|s| s.altitude)
        .map(crate::units::Altitude::m);
    let mut low = heights.next()?;
    let mut sum = 0.0;
    for height in heights {
        if height - low >= HYSTERESIS_M {
            sum += height - low;
            low = height;
        } else if low - height >= HYSTERESIS_M {
            low = height;
        }
    }
    Distance::from_m(sum).ok()
}
