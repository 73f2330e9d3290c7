//! One recording against time: speed as pace upward, heart rate on its own scale at the right,
//! altitude faint at the foot, the effort shaded between its two edges, remarks by their numbers.
//!
//! Whatever the length of a recording, each column of px holds at most the lowest and the highest of
//! its values, so that three hours are drawn as quickly as half an hour.

mod axes;
mod lines;

use pacewright_core::format;
use pacewright_core::recording::Span;
use pacewright_core::units::{Altitude, HeartRate, Seconds, Speed, UnitSystem};

use crate::drawing::{Anchor, Drawing, Primitive, at};
use crate::fonts::text_width;
use crate::ink::Role;
use axes::Scales;

/// What was recorded at one moment. What is missing breaks its line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// When, on the recording's elapsed clock.
    pub time: Seconds,
    /// Speed, smoothed for the drawing.
    pub speed: Option<Speed>,
    /// Heart rate as written.
    pub heart_rate: Option<HeartRate>,
    /// Height.
    pub altitude: Option<Altitude>,
}

/// A remark's place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Numbered {
    /// The number it is listed under.
    pub number: usize,
    /// Where it stands.
    pub span: Span,
    /// Whether it must be looked at; else it is only a note.
    pub look: bool,
}

/// What is to be drawn.
#[derive(Debug, Clone, Copy)]
pub struct Trace<'a> {
    /// The recording, in order of time.
    pub moments: &'a [Moment],
    /// Its length.
    pub duration: Seconds,
    /// The stretch that is the test.
    pub effort: Span,
    /// Where the timer stood still.
    pub pauses: &'a [Span],
    /// Where positions jumped.
    pub jumps: &'a [Seconds],
    /// Remarks with a place.
    pub remarks: &'a [Numbered],
    /// Units of the paces.
    pub units: UnitSystem,
}

/// Where things stand in a drawing of a size, px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layout {
    width: f64,
    height: f64,
    duration_s: f64,
    mark_rows: usize,
}

/// Size of the labels, px.
const TEXT: f64 = 11.5;
/// Room for the labels of paces and of heart rates, px.
const SIDES: (f64, f64) = (52.0, 46.0);
/// Above the plot, and the time labels below it, px.
const ENDS: (f64, f64) = (25.0, 24.0);
/// Height of a row of remarks, px, and how many there are at most.
const MARK_ROW: f64 = 13.0;
const MOST_MARK_ROWS: usize = 3;
/// Size of an edge's handle, px.
const HANDLE: (f64, f64) = (9.0, 28.0);

impl Layout {
    /// The layout of a trace in a size.
    pub fn of(trace: &Trace<'_>, width: f64, height: f64) -> Self {
        let mark_rows = rows(trace.remarks).iter().map(|(row, _)| row + 1).max().unwrap_or(0);
        Self { width, height, duration_s: trace.duration.s().max(1.0), mark_rows }
    }

    fn left() -> f64 {
        SIDES.0
    }

    fn right(&self) -> f64 {
        (self.width - SIDES.1).max(SIDES.0 + 1.0)
    }

    fn top() -> f64 {
        ENDS.0
    }

    fn bottom(&self) -> f64 {
        let marks = self.mark_rows as f64 * MARK_ROW;
        (self.height - ENDS.1 - marks).max(ENDS.0 + 20.0)
    }

    /// Where a time stands, px from the left.
    pub fn x_of(&self, time: Seconds) -> f64 {
        Self::left() + (self.right() - Self::left()) * (time.s() / self.duration_s).clamp(0.0, 1.0)
    }

    /// The time that stands at a place, px from the left; the nearest end beside the plot.
    pub fn time_at(&self, x: f64) -> Option<Seconds> {
        let share = ((x - Self::left()) / (self.right() - Self::left())).clamp(0.0, 1.0);
        Seconds::from_s(share * self.duration_s).ok()
    }
}

/// Draws a recording in a size, px.
pub fn trace(trace: &Trace<'_>, width: f64, height: f64) -> Drawing {
    let layout = Layout::of(trace, width, height);
    let scales = Scales::of(trace, &layout);
    let mut drawing = Drawing::new(width, height);
    drawing.alternative = in_words(trace);
    shade(&mut drawing, trace, &layout);
    lines::altitude(&mut drawing, trace.moments, &layout, &scales);
    axes::draw(&mut drawing, &layout, &scales, trace);
    lines::heart_rate(&mut drawing, trace.moments, &layout, &scales);
    lines::speed(&mut drawing, trace.moments, &layout, &scales);
    jumps(&mut drawing, trace, &layout);
    edges(&mut drawing, trace, &layout);
    marks(&mut drawing, trace, &layout);
    drawing
}

/// The effort's ground, and hatched pauses.
fn shade(drawing: &mut Drawing, trace: &Trace<'_>, layout: &Layout) {
    let (top, height) = (Layout::top(), layout.bottom() - Layout::top());
    let (from, to) = (layout.x_of(trace.effort.from), layout.x_of(trace.effort.to));
    let corner = at(from, top);
    drawing.push(Primitive::Rectangle { corner, width: to - from, height, ink: Role::FaintRule });
    for pause in trace.pauses {
        let (from, to) = (layout.x_of(pause.from), layout.x_of(pause.to));
        if to - from >= 2.0 {
            drawing.hatched(at(from, top), to - from, height, Role::Rule, 6.0);
        }
    }
}

fn jumps(drawing: &mut Drawing, trace: &Trace<'_>, layout: &Layout) {
    for jump in trace.jumps {
        let x = layout.x_of(*jump);
        let foot = layout.bottom();
        let corners = vec![at(x, foot - 7.0), at(x - 4.0, foot), at(x + 4.0, foot)];
        drawing.push(Primitive::Polygon { corners, ink: Role::SoftInk });
    }
}

/// The two edges with something to take hold of.
fn edges(drawing: &mut Drawing, trace: &Trace<'_>, layout: &Layout) {
    let (top, bottom) = (Layout::top() - 4.0, layout.bottom() + 2.0);
    let (width, height) = HANDLE;
    let middle = f64::midpoint(top, bottom) - height / 2.0;
    for time in [trace.effort.from, trace.effort.to] {
        let x = layout.x_of(time);
        drawing.line(at(x, top), at(x, bottom), Role::Ink, 2.0);
        let (left, right) = (x - width / 2.0, x + width / 2.0);
        let corner = at(left, middle);
        drawing.push(Primitive::Rectangle { corner, width, height, ink: Role::Paper });
        let corners =
            [(left, middle), (right, middle), (right, middle + height), (left, middle + height)];
        for (from, to) in corners.into_iter().zip(corners.into_iter().cycle().skip(1)) {
            drawing.line(at(from.0, from.1), at(to.0, to.1), Role::Ink, 1.2);
        }
    }
}

/// The remarks under the plot: a bar with its number, none over another.
fn marks(drawing: &mut Drawing, trace: &Trace<'_>, layout: &Layout) {
    for (row, remark) in rows(trace.remarks) {
        let ink = if remark.look { Role::Mark } else { Role::SoftInk };
        let middle = layout.bottom() + 4.0 + MARK_ROW * (row as f64 + 0.5);
        let (from, to) = (layout.x_of(remark.span.from), layout.x_of(remark.span.to));
        let to = to.max(from + 4.0).min(layout.right().max(from + 4.0));
        let corner = at(from, middle - 1.5);
        drawing.push(Primitive::Rectangle { corner, width: to - from, height: 3.0, ink });
        drawing.push(Primitive::Text {
            baseline: at(from - 5.0, middle + TEXT * 0.34),
            anchor: Anchor::End,
            size: TEXT,
            ink,
            text: remark.number.to_string(),
        });
    }
}

/// The row each remark stands in: the first where no other overlaps it. Those for which no row is
/// free are only in the list.
fn rows(remarks: &[Numbered]) -> Vec<(usize, Numbered)> {
    /// Room for the number before the bar, in seconds at the widest recording worth showing.
    const NUMBER_S: f64 = 60.0;
    let mut ends: Vec<Vec<(f64, f64)>> = Vec::new();
    let mut placed = Vec::new();
    for remark in remarks {
        let (from, to) = (remark.span.from.s() - NUMBER_S, remark.span.to.s());
        let free = |row: &Vec<(f64, f64)>| row.iter().all(|(a, b)| to < *a || from > *b);
        let row = ends.iter().position(free).unwrap_or(ends.len());
        if row >= MOST_MARK_ROWS {
            continue;
        }
        match ends.get_mut(row) {
            Some(taken) => taken.push((from, to)),
            None => ends.push(vec![(from, to)]),
        }
        placed.push((row, *remark));
    }
    placed
}

/// What stands over the trace where somebody points: a hairline, and the time, pace, heart rate and
/// height there.
pub fn pointer(trace: &Trace<'_>, moment: &Moment, width: f64, height: f64) -> Drawing {
    let layout = Layout::of(trace, width, height);
    let mut drawing = Drawing::new(width, height);
    let mut words = vec![format::time(moment.time)];
    words.extend(moment.speed.map(|speed| {
        format!("{} per {}", format::pace(speed, trace.units), format::pace_unit(trace.units))
    }));
    words.extend(moment.heart_rate.map(|rate| format!("{} bpm", format::whole_beats(rate))));
    words.extend(moment.altitude.map(|height| format!("{:.0} m", height.m())));
    let text = words.join("   ");
    drawing.alternative.clone_from(&text);
    let x = layout.x_of(moment.time);
    drawing.line(at(x, Layout::top()), at(x, layout.bottom()), Role::SoftInk, 1.0);
    // above the plot, where it covers nothing
    let (size, pad) = (12.5, 6.0);
    let wide = text_width(&text, size) + 2.0 * pad;
    let left = (x - wide / 2.0).min(layout.right() - wide).max(0.0);
    let corner = at(left, 0.0);
    drawing.push(Primitive::Rectangle { corner, width: wide, height: size + 8.0, ink: Role::Ink });
    drawing.push(Primitive::Text {
        baseline: at(left + pad, size + 2.0),
        anchor: Anchor::Start,
        size,
        ink: Role::Paper,
        text,
    });
    drawing
}

fn in_words(trace: &Trace<'_>) -> String {
    format!(
        "Speed, heart rate and altitude over {}; the effort stands from {} to {}",
        format::time(trace.duration),
        format::time(trace.effort.from),
        format::time(trace.effort.to)
    )
}

#[cfg(test)]
mod tests;
