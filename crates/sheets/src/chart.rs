//! The chart of the three qualities: paces over the months, faster upward, each test with its error.
//!
//! The axis is logarithmic in speed, so that a change of one percent is the same height for every
//! quality and every athlete. Three inks and three shapes tell the qualities apart, and each line is
//! named at its end.

mod scales;

use chrono::NaiveDate;
use pacewright_core::format::{day, pace, pace_unit};
use pacewright_core::ids::TestId;
use pacewright_core::quality::Reading;
use pacewright_core::test::TestKind;
use pacewright_core::units::{Speed, UnitSystem};
use pacewright_core::words;
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

use crate::drawing::{Anchor, Drawing, Place, Primitive, at};
use crate::fonts::text_width;
use crate::ink::Role;
use crate::lane::labels::{Wanted, spread};
use crate::plot::{FAMILY, FINE, Recorder, fine, inked, place};
use scales::{Marked, Scales};

/// The ink of a quality.
pub fn ink(kind: TestKind) -> Role {
    match kind {
        TestKind::FortyMinutes => Role::QualityBase,
        TestKind::TwentyMinutes => Role::QualityThreshold,
        TestKind::FiveMinutes => Role::QualityTopEnd,
    }
}

/// The ink of the doubt around its trend.
fn band(kind: TestKind) -> Role {
    match kind {
        TestKind::FortyMinutes => Role::BandBase,
        TestKind::TwentyMinutes => Role::BandThreshold,
        TestKind::FiveMinutes => Role::BandTopEnd,
    }
}

/// Where the trend of a quality stands on a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrendPoint {
    /// The day.
    pub on: NaiveDate,
    /// The trend.
    pub speed: Speed,
    /// The slow end of its doubt.
    pub slow: Speed,
    /// The fast end of its doubt.
    pub fast: Speed,
}

/// One quality of an athlete.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// Which quality, by its test.
    pub kind: TestKind,
    /// The tests that count, oldest first.
    pub readings: Vec<Reading>,
    /// The trend with its doubt; `None` where none is drawn.
    pub trend: Option<Vec<TrendPoint>>,
}

/// What a chart shows, and how large.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// First day.
    pub from: NaiveDate,
    /// Last day.
    pub to: NaiveDate,
    /// Width in px.
    pub width: f64,
    /// Height in px.
    pub height: f64,
    /// Size of labels in px.
    pub text: f64,
    /// Units of the paces.
    pub units: UnitSystem,
}

/// A test on the chart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placed {
    /// Where it stands.
    pub place: Place,
    /// Which quality.
    pub kind: TestKind,
    /// What it says.
    pub reading: Reading,
}

/// A chart, and where its points stand.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// The figure.
    pub drawing: Drawing,
    /// The tests on it, oldest first.
    pub points: Vec<Placed>,
}

impl Chart {
    /// The point of a test.
    pub fn point(&self, test: TestId) -> Option<&Placed> {
        self.points.iter().find(|point| point.reading.test == test)
    }
}

/// Draws the qualities between two days; `None` where no test stands there.
pub fn chart(series: &[Series], look: &Look) -> Option<Chart> {
    let series: Vec<Series> = series.iter().map(|one| within(one, look)).collect();
    let scales = Scales::of(&series, look)?;
    let mut drawing = Drawing::new(look.width, look.height);
    drawing.alternative = in_words(&series, look.units);
    // the backend itself cannot fail; a layout that plotters refuses is said where it would stand
    let points = draw(&mut drawing, &series, &scales, look).unwrap_or_else(|_| {
        unavailable(&mut drawing, look);
        Vec::new()
    });
    Some(Chart { drawing, points })
}

fn within(series: &Series, look: &Look) -> Series {
    let inside = |on: NaiveDate| look.from <= on && on <= look.to;
    let mut series = series.clone();
    series.readings.retain(|reading| inside(reading.on));
    if let Some(trend) = &mut series.trend {
        trend.retain(|point| inside(point.on));
    }
    series
}

fn unavailable(drawing: &mut Drawing, look: &Look) {
    drawing.primitives = vec![Primitive::Text {
        baseline: at(0.0, look.text * 2.0),
        anchor: Anchor::Start,
        size: look.text,
        ink: Role::SoftInk,
        text: "The chart could not be drawn; its numbers stand in the table.".to_owned(),
    }];
}

type Fault = DrawingAreaErrorKind<std::convert::Infallible>;
type Plot<'a, 'd> = ChartContext<'a, Recorder<'d>, Cartesian2d<Marked, Marked>>;

fn draw(
    drawing: &mut Drawing,
    series: &[Series],
    scales: &Scales,
    look: &Look,
) -> Result<Vec<Placed>, Fault> {
    let area = Recorder::over(drawing).into_drawing_area();
    let mut plot = ChartBuilder::on(&area)
        .margin_top(fine(look.text * 0.6))
        .margin_right(fine(end_labels_width(look)))
        .x_label_area_size(fine(look.text * 2.0))
        .y_label_area_size(fine(text_width("10:00", look.text) + 9.0))
        .build_cartesian_2d(
            Marked::new(0.0..scales.days, &scales.months),
            Marked::new(scales.heights.clone(), &scales.paces),
        )?;
    bands(&mut plot, series, look)?;
    mesh(&mut plot, scales, look)?;
    let mut points = Vec::new();
    for one in series {
        trend_line(&mut plot, one, look)?;
        for reading in &one.readings {
            points.push(mark(&mut plot, one.kind, reading, look)?);
        }
    }
    end_labels(&area, &plot, series, look)?;
    points.sort_by_key(|point| (point.reading.on, point.kind, point.reading.test));
    Ok(points)
}

/// Days since the chart's first, and the height of a speed.
fn x(on: NaiveDate, look: &Look) -> f64 {
    on.signed_duration_since(look.from).num_days() as f64
}

fn y(speed: Speed) -> f64 {
    speed.m_per_s().max(f64::MIN_POSITIVE).ln()
}

/// Rules at round paces with their paces, and the months.
fn mesh(plot: &mut Plot<'_, '_>, scales: &Scales, look: &Look) -> Result<(), Fault> {
    let label = |known: &[(f64, String)], value: f64| {
        let found = known.iter().find(|(at, _)| (at - value).abs() < 1e-9);
        found.map(|(_, label)| label.clone()).unwrap_or_default()
    };
    let soft = inked(Role::SoftInk);
    let text = TextStyle::from((FAMILY, look.text * FINE).into_font()).color(&soft);
    plot.configure_mesh()
        .disable_x_mesh()
        .axis_style(TRANSPARENT)
        .light_line_style(TRANSPARENT)
        .bold_line_style(ShapeStyle::from(&inked(Role::Rule)).stroke_width(stroke(0.7)))
        .label_style(text)
        // the distance of labels is twice the length of a tick, and ticks are not seen
        .set_all_tick_mark_size(fine(3.0))
        .x_label_formatter(&|value| label(&scales.months, *value))
        .y_label_formatter(&|value| label(&scales.paces, *value))
        .draw()
}

fn stroke(width: f64) -> u32 {
    u32::try_from(fine(width)).unwrap_or(1)
}

fn bands(plot: &mut Plot<'_, '_>, series: &[Series], look: &Look) -> Result<(), Fault> {
    for one in series {
        let trend = one.trend.as_deref().unwrap_or_default();
        let upper = trend.iter().map(|point| (x(point.on, look), y(point.fast)));
        let lower = trend.iter().rev().map(|point| (x(point.on, look), y(point.slow)));
        let corners: Vec<(f64, f64)> = upper.chain(lower).collect();
        if trend.len() > 1 {
            let _ = plot.draw_series([Polygon::new(corners, inked(band(one.kind)).filled())])?;
        }
    }
    Ok(())
}

fn trend_line(plot: &mut Plot<'_, '_>, series: &Series, look: &Look) -> Result<(), Fault> {
    if let Some(trend) = &series.trend {
        let line = trend.iter().map(|point| (x(point.on, look), y(point.speed)));
        let style = ShapeStyle::from(&inked(ink(series.kind))).stroke_width(stroke(1.8));
        let _ = plot.draw_series(LineSeries::new(line, style))?;
    }
    Ok(())
}

/// A test: its error as an upright line, its quality's shape on it.
fn mark(
    plot: &mut Plot<'_, '_>,
    kind: TestKind,
    reading: &Reading,
    look: &Look,
) -> Result<Placed, Fault> {
    let (slow, fast) = reading.ends();
    let at = (x(reading.on, look), y(reading.speed));
    let style = ShapeStyle::from(&inked(ink(kind)));
    let bar =
        PathElement::new(vec![(at.0, y(slow)), (at.0, y(fast))], style.stroke_width(stroke(1.2)));
    let _ = plot.draw_series([bar])?;
    let filled = style.filled();
    let cornered = |corners: [(f64, f64); 4]| {
        let corners: Vec<(i32, i32)> = corners.iter().map(|(x, y)| (fine(*x), fine(*y))).collect();
        EmptyElement::at(at) + Polygon::new(corners, filled)
    };
    let _ = match kind {
        TestKind::FortyMinutes => plot.draw_series([Circle::new(at, fine(4.2), filled)]),
        TestKind::TwentyMinutes => plot.draw_series([cornered(SQUARE)]),
        TestKind::FiveMinutes => plot.draw_series([cornered(DIAMOND)]),
    }?;
    Ok(Placed { place: place(plot.backend_coord(&at)), kind, reading: *reading })
}

/// The corners of the shapes, px from their middle. Their areas are near the circle's.
const SQUARE: [(f64, f64); 4] = [(-3.7, -3.7), (3.7, -3.7), (3.7, 3.7), (-3.7, 3.7)];
const DIAMOND: [(f64, f64); 4] = [(0.0, -5.4), (5.4, 0.0), (0.0, 5.4), (-5.4, 0.0)];

/// The shape of a quality in the middle of a drawing, as the chart draws it: for a table beside it.
pub fn key(drawing: &mut Drawing, kind: TestKind) {
    let centre = at(drawing.width / 2.0, drawing.height / 2.0);
    let around = |corners: [(f64, f64); 4]| Primitive::Polygon {
        corners: corners.iter().map(|(x, y)| at(centre.x + x, centre.y + y)).collect(),
        ink: ink(kind),
    };
    drawing.push(match kind {
        TestKind::FortyMinutes => Primitive::Circle { centre, radius: 4.2, ink: ink(kind) },
        TestKind::TwentyMinutes => around(SQUARE),
        TestKind::FiveMinutes => around(DIAMOND),
    });
}

fn end_labels_width(look: &Look) -> f64 {
    let widths = TestKind::ALL.map(|kind| text_width(words::quality_pace(kind), look.text));
    widths.into_iter().fold(0.0, f64::max) + 10.0
}

/// Each line's name at its end, none over another.
fn end_labels(
    area: &DrawingArea<Recorder<'_>, plotters::coord::Shift>,
    plot: &Plot<'_, '_>,
    series: &[Series],
    look: &Look,
) -> Result<(), Fault> {
    let right = plot.plotting_area().get_pixel_range().0.end;
    let ends: Vec<(TestKind, f64)> = series
        .iter()
        .filter_map(|one| {
            let last = one.trend.as_ref().and_then(|trend| trend.last()).map(|point| point.speed);
            let speed = last.or_else(|| one.readings.last().map(|reading| reading.speed))?;
            Some((one.kind, place(plot.backend_coord(&(0.0, y(speed)))).y))
        })
        .collect();
    let wanted: Vec<Wanted> =
        ends.iter().map(|(_, y)| Wanted { centre: *y, width: look.text * 1.3, keep: 1 }).collect();
    for ((kind, _), middle) in ends.iter().zip(spread(&wanted, look.height, 0.0)) {
        let Some(middle) = middle else { continue };
        let colour = inked(ink(*kind));
        let style = TextStyle::from((FAMILY, look.text * FINE).into_font())
            .color(&colour)
            .pos(Pos::new(HPos::Left, VPos::Center));
        let name = words::quality_pace(*kind).to_owned();
        area.draw(&Text::new(name, (right + fine(7.0), fine(middle)), style))?;
    }
    Ok(())
}

/// The chart for those who do not see it.
fn in_words(series: &[Series], units: UnitSystem) -> String {
    let mut said = Vec::new();
    for one in series {
        let (Some(first), Some(last)) = (one.readings.first(), one.readings.last()) else {
            continue;
        };
        said.push(format!(
            "{} {} on {}, {} on {}",
            words::quality_pace(one.kind),
            pace(first.speed, units),
            day(first.on),
            pace(last.speed, units),
            day(last.on)
        ));
    }
    format!("Pace per {}: {}", pace_unit(units), said.join("; "))
}

#[cfg(test)]
mod tests;
