//! The three lines of a trace, thinned to the width.

use super::axes::{Scale, Scales, floor};
use super::{Layout, Moment};
use crate::drawing::{Drawing, Place, at};
use crate::ink::Role;

pub(super) fn speed(drawing: &mut Drawing, moments: &[Moment], layout: &Layout, scales: &Scales) {
    let Some(scale) = &scales.speed else { return };
    for piece in thinned(moments, layout, scale, |m| Some(m.speed?.m_per_s())) {
        stroke(drawing, &piece, Role::Ink, 1.5);
    }
}

pub(super) fn heart_rate(
    drawing: &mut Drawing,
    moments: &[Moment],
    layout: &Layout,
    scales: &Scales,
) {
    let Some(scale) = &scales.heart_rate else { return };
    for piece in thinned(moments, layout, scale, |m| Some(m.heart_rate?.bpm())) {
        stroke(drawing, &piece, Role::SoftInk, 1.1);
    }
}

/// The ground under the lines, faint.
pub(super) fn altitude(
    drawing: &mut Drawing,
    moments: &[Moment],
    layout: &Layout,
    scales: &Scales,
) {
    let Some(scale) = &scales.altitude else { return };
    for piece in thinned(moments, layout, scale, |m| Some(m.altitude?.m())) {
        stroke(drawing, &piece, Role::Rule, 2.0);
    }
}

fn stroke(drawing: &mut Drawing, places: &[Place], ink: Role, width: f64) {
    for pair in places.windows(2) {
        if let [from, to] = pair {
            drawing.line(*from, *to, ink, width);
        }
    }
}

/// One column of px: its first, lowest, highest and last value.
struct Column {
    number: usize,
    places: Vec<Place>,
}

/// The unbroken pieces of a line: where moments stand closer than the px, each column keeps only its
/// lowest and highest place, in the order they come.
fn thinned(
    moments: &[Moment],
    layout: &Layout,
    scale: &Scale,
    value: impl Fn(&Moment) -> Option<f64>,
) -> Vec<Vec<Place>> {
    let mut pieces: Vec<Vec<Place>> = vec![Vec::new()];
    let mut column: Option<Column> = None;
    for moment in moments {
        let Some(value) = value(moment) else {
            close(&mut pieces, column.take());
            if pieces.last().is_some_and(|piece| !piece.is_empty()) {
                pieces.push(Vec::new());
            }
            continue;
        };
        let place = at(layout.x_of(moment.time), scale.y(value));
        let number = floor(place.x);
        match &mut column {
            Some(open) if open.number == number => open.places.push(place),
            _ => close(&mut pieces, column.replace(Column { number, places: vec![place] })),
        }
    }
    close(&mut pieces, column);
    pieces
}

fn close(pieces: &mut [Vec<Place>], column: Option<Column>) {
    let (Some(piece), Some(Column { places, .. })) = (pieces.last_mut(), column) else { return };
    if places.len() <= 2 {
        piece.extend(places);
        return;
    }
    let extreme = |sign: f64| {
        let each = places.iter().enumerate();
        each.max_by(|a, b| (sign * a.1.y).total_cmp(&(sign * b.1.y))).map(|(index, _)| index)
    };
    let (Some(low), Some(high)) = (extreme(1.0), extreme(-1.0)) else { return };
    for index in [low.min(high), low.max(high)] {
        piece.extend(places.get(index));
    }
}
