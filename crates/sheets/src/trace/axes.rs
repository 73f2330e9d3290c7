//! The scales of a trace and their labels.

use pacewright_core::format::{clock, pace_seconds, pace_unit, speed_of_pace};
use pacewright_core::units::UnitSystem;

use super::{Layout, TEXT, Trace};
use crate::drawing::{Anchor, Drawing, Primitive, at};
use crate::ink::Role;

/// A straight scale from values to px down.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scale {
    low: f64,
    high: f64,
    bottom: f64,
    top: f64,
}

impl Scale {
    /// Where a value stands; values beyond the scale stand at its end.
    pub(super) fn y(&self, value: f64) -> f64 {
        let share = ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        self.bottom + (self.top - self.bottom) * share
    }

    fn holds(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }
}

/// The scales of speed, heart rate and altitude, as far as there is any of them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scales {
    pub(super) speed: Option<Scale>,
    pub(super) heart_rate: Option<Scale>,
    pub(super) altitude: Option<Scale>,
}

impl Scales {
    /// Scales that hold nearly all values: a glitch at either end must not flatten the rest.
    pub(super) fn of(trace: &Trace<'_>, layout: &Layout) -> Self {
        let moments = trace.moments;
        let speeds = range(moments.iter().filter_map(|m| Some(m.speed?.m_per_s())), 0.06, 0.998);
        let rates = range(moments.iter().filter_map(|m| Some(m.heart_rate?.bpm())), 0.005, 0.999);
        let heights = range(moments.iter().filter_map(|m| Some(m.altitude?.m())), 0.0, 1.0);
        let (top, bottom) = (Layout::top() + 6.0, layout.bottom() - 4.0);
        let at_share = |share: f64| top + (bottom - top) * share;
        let speed_foot = if rates.is_some() { at_share(0.62) } else { at_share(0.9) };
        Self {
            speed: speeds.map(|(low, high)| {
                let low = low.max(1.0).min(high - 0.3);
                Scale { low: low * 0.96, high: high * 1.03, bottom: speed_foot, top }
            }),
            heart_rate: rates.map(|(low, high)| Scale {
                low: low - 5.0,
                high: high + 5.0,
                bottom: at_share(0.97),
                top: at_share(0.5),
            }),
            // a level course is drawn level: at least 40 m from foot to head
            altitude: heights.map(|(low, high)| Scale {
                low,
                high: high.max(low + 40.0),
                bottom,
                top: at_share(0.78),
            }),
        }
    }
}

/// The values at two shares of all in order; `None` without values.
fn range(values: impl Iterator<Item = f64>, low: f64, high: f64) -> Option<(f64, f64)> {
    let mut values: Vec<f64> = values.collect();
    let last = values.len().checked_sub(1)?;
    let mut nth = |share: f64| {
        let place = floor(last as f64 * share).min(last);
        let (_, value, _) = values.select_nth_unstable_by(place, f64::total_cmp);
        *value
    };
    Some((nth(low), nth(high)))
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "places in lists and columns of px are small and never negative"
)]
pub(super) fn floor(value: f64) -> usize {
    value.max(0.0) as usize
}

/// The labels at the sides and the foot.
pub(super) fn draw(drawing: &mut Drawing, layout: &Layout, scales: &Scales, trace: &Trace<'_>) {
    if let Some(scale) = &scales.speed {
        paces(drawing, layout, scale, trace.units);
    }
    if let Some(scale) = &scales.heart_rate {
        heart_rates(drawing, layout, scale);
    } else {
        let place = (layout.right() + 6.0, layout.bottom() - 6.0);
        label(drawing, place, Anchor::Start, Role::SoftInk, "no bpm".to_owned());
    }
    times(drawing, layout);
}

fn label(drawing: &mut Drawing, place: (f64, f64), anchor: Anchor, ink: Role, text: String) {
    let baseline = at(place.0, place.1);
    drawing.push(Primitive::Text { baseline, anchor, size: TEXT, ink, text });
}

/// Round paces, the roundest first; none over another.
fn paces(drawing: &mut Drawing, layout: &Layout, scale: &Scale, units: UnitSystem) {
    let mut taken: Vec<f64> = Vec::new();
    for step in [60, 30, 20, 10] {
        for seconds in (120..=1_200).step_by(step) {
            let Some(speed) = speed_of_pace(seconds, units) else { continue };
            let y = scale.y(speed.m_per_s());
            let free = taken.iter().all(|other| (other - y).abs() >= TEXT * 1.35);
            if scale.holds(speed.m_per_s()) && free && pace_seconds(speed, units).is_some() {
                taken.push(y);
                let place = (Layout::left() - 8.0, y + TEXT * 0.34);
                label(drawing, place, Anchor::End, Role::SoftInk, clock(seconds));
            }
        }
    }
    let unit = format!("/{}", pace_unit(units));
    let place = (Layout::left() - 8.0, layout.bottom());
    label(drawing, place, Anchor::End, Role::SoftInk, unit);
}

fn heart_rates(drawing: &mut Drawing, layout: &Layout, scale: &Scale) {
    let mut last: Option<f64> = None;
    for bpm in (40..=220_u16).step_by(20) {
        let y = scale.y(f64::from(bpm));
        if scale.holds(f64::from(bpm)) && last.is_none_or(|last| last - y >= TEXT * 1.4) {
            last = Some(y);
            let place = (layout.right() + 8.0, y + TEXT * 0.34);
            label(drawing, place, Anchor::Start, Role::SoftInk, bpm.to_string());
        }
    }
    let place = (layout.right() + 8.0, scale.top - TEXT * 0.8);
    label(drawing, place, Anchor::Start, Role::SoftInk, "bpm".to_owned());
}

fn times(drawing: &mut Drawing, layout: &Layout) {
    const STEPS_S: [u32; 9] = [30, 60, 120, 300, 600, 900, 1_800, 3_600, 7_200];
    let wide = layout.right() - Layout::left();
    let apart = |step: u32| wide * f64::from(step) / layout.duration_s >= 64.0;
    let step = STEPS_S.into_iter().find(|step| apart(*step)).unwrap_or(14_400);
    let y = layout.height - 6.0;
    let mut seconds = 0;
    while f64::from(seconds) <= layout.duration_s {
        let x = Layout::left() + wide * f64::from(seconds) / layout.duration_s;
        label(drawing, (x, y), Anchor::Middle, Role::SoftInk, clock(seconds));
        seconds += step;
    }
}
