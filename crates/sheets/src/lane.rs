//! The lane: an athlete's markers and zones on an axis of speed.
//!
//! Markers stand as upright strokes; between them lie the zones as steps of one ink, pale to deep,
//! numbered. Markers that were not tested but estimated are dashed. The axis is logarithmic, so that
//! a change of one percent is the same length for everyone and rows of a squad can be compared.

pub(crate) mod labels;

use pacewright_core::format::{clock, pace, pace_unit, speed_of_pace};
use pacewright_core::markers::{MarkerName, Markers};
use pacewright_core::units::{Estimate, Origin, Speed, UnitSystem};
use pacewright_core::zones::{SLOWEST_PRINTED_M_PER_S, SpeedEdge};

use crate::drawing::{Anchor, Drawing, Place, Primitive, at};
use crate::fonts::text_width;
use crate::ink::{Depth, Role};
use labels::{Wanted, spread};

/// How much faster than the pace at VO2max the open end of the hardest zone is drawn (a matter of
/// drawing only).
const OPEN_END: f64 = 1.15;
/// The line above and below the palest zone, px.
const HAIR: f64 = 0.8;

/// The speeds a lane runs over; the same for every row that is to be compared.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axis {
    slowest: Speed,
    fastest: Speed,
}

impl Axis {
    /// An axis from one speed to a faster one; `None` where they are not in that order or the
    /// slower is zero.
    pub fn new(slowest: Speed, fastest: Speed) -> Option<Self> {
        (slowest.m_per_s() > 0.0 && slowest < fastest).then_some(Self { slowest, fastest })
    }

    /// The axis that holds the markers of all these athletes, with room on both sides; `None` where
    /// none of them has a marker with a speed.
    pub fn around<'a>(all: impl IntoIterator<Item = &'a Markers>) -> Option<Self> {
        let speeds =
            all.into_iter().flat_map(|markers| MarkerName::ALL.map(|name| speed_of(markers, name)));
        let known =
            speeds.flatten().map(|estimate| estimate.value.m_per_s()).filter(|speed| *speed > 0.0);
        let (slowest, fastest) = known
            .fold((f64::INFINITY, 0.0_f64), |(low, high), speed| (low.min(speed), high.max(speed)));
        let (slowest, fastest) = (slowest / OPEN_END, (fastest * OPEN_END).min(100.0));
        Self::new(Speed::from_m_per_s(slowest).ok()?, Speed::from_m_per_s(fastest).ok()?)
    }

    /// Where a speed stands: 0 at the slow end, 1 at the fast end, no further out.
    fn share(self, m_per_s: f64) -> f64 {
        let (low, high) = (self.slowest.m_per_s(), self.fastest.m_per_s());
        ((m_per_s / low).ln() / (high / low).ln()).clamp(0.0, 1.0)
    }
}

/// How a lane is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// Width in px.
    pub width: f64,
    /// Height of the zones in px.
    pub bar: f64,
    /// How far the strokes stand out above and below the zones, in px.
    pub overhang: f64,
    /// Size of numbers and labels in px.
    pub text: f64,
    /// Whether each stroke carries its pace above.
    pub labels: bool,
    /// Whether each stroke carries its error (one standard error either way) below.
    pub whiskers: bool,
    /// Units of the paces.
    pub units: UnitSystem,
}

impl Look {
    /// A squad's row.
    pub fn row(width: f64, units: UnitSystem) -> Self {
        Self { width, bar: 9.0, overhang: 5.0, text: 10.0, labels: false, whiskers: false, units }
    }

    /// A zone card.
    pub fn card(width: f64, units: UnitSystem) -> Self {
        Self { width, bar: 14.0, overhang: 7.0, text: 12.0, labels: true, whiskers: false, units }
    }

    /// An athlete's page: with the error of each marker.
    pub fn page(width: f64, units: UnitSystem) -> Self {
        Self { width, bar: 16.0, overhang: 9.0, text: 12.5, labels: true, whiskers: true, units }
    }

    fn top(&self) -> f64 {
        if self.labels { self.text + 2.0 } else { 0.0 }
    }

    fn height(&self) -> f64 {
        self.top() + self.bar + 2.0 * self.overhang + if self.whiskers { 14.0 } else { 0.0 }
    }
}

/// One marker as it stands on the lane.
struct Stroke {
    name: MarkerName,
    speed: Speed,
    x: f64,
    estimated: bool,
}

/// Draws the lane of the five zones. `before` are the markers it replaces: their strokes stand faint
/// under the new.
pub fn lane(markers: &Markers, before: Option<&Markers>, axis: Axis, look: &Look) -> Drawing {
    lane_of((markers, None), before, axis, look)
}

/// The same of zones with edges of their own, by [`pacewright_core::zones::Zones::own_edges`]: the
/// zones are theirs, the strokes stay those of the markers.
pub fn lane_of(
    (markers, edges): (&Markers, Option<&[SpeedEdge]>),
    before: Option<&Markers>,
    axis: Axis,
    look: &Look,
) -> Drawing {
    let mut drawing = Drawing::new(look.width, look.height());
    drawing.alternative = in_words(markers, look.units);
    let strokes = strokes_of(markers, axis, look);
    let ghosts = before.map(|old| strokes_of(old, axis, look)).unwrap_or_default();
    let crossed: Vec<f64> = strokes.iter().chain(&ghosts).map(|stroke| stroke.x).collect();
    zones(&mut drawing, (&strokes, edges), &crossed, axis, look);
    let (top, bottom) = (look.top(), look.top() + look.bar + 2.0 * look.overhang);
    // a hair of paper beside each stroke: some zone has nearly its ink, by day or by night
    let (bar_top, bar_end) = (top + look.overhang, bottom - look.overhang);
    for old in &ghosts {
        drawing.line(at(old.x, bar_top), at(old.x, bar_end), Role::Paper, 3.4);
        drawing.line(at(old.x, top + 1.0), at(old.x, bottom - 1.0), Role::Ghost, 1.4);
    }
    for stroke in &strokes {
        drawing.line(at(stroke.x, bar_top), at(stroke.x, bar_end), Role::Paper, 4.0);
        drawing.push(Primitive::Line {
            from: at(stroke.x, top),
            to: at(stroke.x, bottom),
            ink: Role::Ink,
            width: 2.0,
            dashed: stroke.estimated,
        });
    }
    if look.whiskers {
        whiskers(&mut drawing, markers, axis, look, bottom + 4.0);
    }
    if look.labels {
        pace_labels(&mut drawing, &strokes, look);
    }
    drawing
}

/// A marker that moved less than this, relative, has its old stroke under the new one: about a pixel
/// of an athlete's page.
const LEAST_SEEN: f64 = 0.001_5;

/// Whether any old stroke is seen beside the new ones, and not under them; one that has no new stroke
/// is.
pub fn shows_old(old: &Markers, new: &Markers) -> bool {
    MarkerName::ALL.into_iter().any(|name| {
        let speed = |markers: &Markers| markers.get(name).speed.map(|e| e.value.m_per_s());
        speed(old)
            .is_some_and(|old| speed(new).is_none_or(|new| (new / old - 1.0).abs() > LEAST_SEEN))
    })
}

/// The zones between the strokes. Where a marker is not known, the zones on its two sides cannot be
/// told apart: they stand as one, without an ink of their own.
fn zones(
    drawing: &mut Drawing,
    (strokes, edges): (&[Stroke], Option<&[SpeedEdge]>),
    crossed: &[f64],
    axis: Axis,
    look: &Look,
) {
    let middle = look.top() + look.overhang + look.bar / 2.0;
    let by_markers = || {
        strokes.iter().map(|s| SpeedEdge { below: zone_below(s.name), speed: s.speed }).collect()
    };
    let steps: Vec<SpeedEdge> = edges.map_or_else(by_markers, <[_]>::to_vec);
    let fastest = steps.iter().map(|edge| edge.speed).chain(strokes.iter().map(|s| s.speed));
    let Some(fastest) = fastest.map(Speed::m_per_s).max_by(f64::total_cmp) else {
        drawing.line(at(0.0, middle), at(look.width, middle), Role::Rule, 1.0);
        return;
    };
    let end = axis.share(fastest * OPEN_END) * look.width;
    // the five; of a scheme as many as reach to the one above its last edge
    let count = edges.map_or(5, |edges| edges.last().map_or(1, |edge| edge.below + 1));
    let row = Row { count, crossed, look };
    let (mut from, mut first_zone) = (0.0, 1);
    for SpeedEdge { below, speed } in steps {
        let x = axis.share(speed.m_per_s()) * look.width;
        step(drawing, (from, x), (first_zone, below), &row);
        if edges.is_some() && x > from {
            // no stroke stands on it
            let top = look.top() + look.overhang;
            drawing.line(at(x, top), at(x, top + look.bar), Role::Paper, 1.2);
        }
        from = x.max(from);
        first_zone = below + 1;
    }
    step(drawing, (from, end), (first_zone, count), &row);
}

/// What the steps of one lane share.
struct Row<'a> {
    /// How many zones there are.
    count: u8,
    /// Where strokes stand, old and new.
    crossed: &'a [f64],
    look: &'a Look,
}

impl Row<'_> {
    /// Where between two places a number so wide is crossed by no stroke: in the middle, else in the
    /// middle of the widest stretch between strokes; `None` where it has no room.
    fn free(&self, (from, to): (f64, f64), wide: f64) -> Option<f64> {
        let room = wide + 6.0;
        let middle = f64::midpoint(from, to);
        let far = |x: &f64| (x - middle).abs() > room / 2.0;
        if room < to - from && self.crossed.iter().all(far) {
            return Some(middle);
        }
        let inside = self.crossed.iter().copied().filter(|x| from < *x && *x < to);
        let mut ends: Vec<f64> = [from, to].into_iter().chain(inside).collect();
        ends.sort_by(f64::total_cmp);
        let stretches = ends.iter().zip(ends.iter().skip(1));
        let (from, to) = stretches.max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))?;
        (room < to - from).then(|| f64::midpoint(*from, *to))
    }
}

/// The number of the zone whose fast end a marker is.
fn zone_below(name: MarkerName) -> u8 {
    match name {
        MarkerName::AerobicFloor => 1,
        MarkerName::Lt1 => 2,
        MarkerName::Lt2 => 3,
        MarkerName::Vo2max => 4,
    }
}

fn step(drawing: &mut Drawing, (from, to): (f64, f64), (first, last): (u8, u8), row: &Row<'_>) {
    if to <= from {
        return;
    }
    let look = row.look;
    let top = look.top() + look.overhang;
    let (ground, ink, number) = if first == last {
        (Role::zone(first, row.count), Role::on_zone(first, row.count), first.to_string())
    } else {
        (Role::FaintRule, Role::Ink, format!("{first}–{last}"))
    };
    let (width, height) = (to - from, look.bar);
    if ground == Role::FaintRule || ground == Role::Zone(Depth::PALEST) {
        // a hair above and below what is as pale as a page or a chosen row
        let (corner, height) = (at(from, top - HAIR), height + 2.0 * HAIR);
        drawing.push(Primitive::Rectangle { corner, width, height, ink: Role::Rule });
    }
    drawing.push(Primitive::Rectangle { corner: at(from, top), width, height, ink: ground });
    let size = look.text.min(look.bar) * 0.92;
    if let Some(middle) = row.free((from, to), text_width(&number, size)) {
        // 0.65 em is the height of the face's digits: this centres them
        let baseline = at(middle, top + f64::midpoint(look.bar, size * 0.65));
        put_text(drawing, baseline, size, ink, number);
    }
}

fn put_text(drawing: &mut Drawing, baseline: Place, size: f64, ink: Role, text: String) {
    drawing.push(Primitive::Text { baseline, anchor: Anchor::Middle, size, ink, text });
}

fn strokes_of(markers: &Markers, axis: Axis, look: &Look) -> Vec<Stroke> {
    let known =
        MarkerName::ALL.into_iter().filter_map(|name| Some((name, speed_of(markers, name)?)));
    known
        .map(|(name, estimate)| Stroke {
            name,
            speed: estimate.value,
            x: axis.share(estimate.value.m_per_s()) * look.width,
            estimated: estimate.origin == Origin::Estimated,
        })
        .collect()
}

fn speed_of(markers: &Markers, name: MarkerName) -> Option<Estimate<Speed>> {
    markers.get(name).speed
}

/// One standard error either way under each stroke, in two rows by turns: neighbours' errors often
/// reach into each other. An end beyond the axis has no cap.
fn whiskers(drawing: &mut Drawing, markers: &Markers, axis: Axis, look: &Look, top: f64) {
    for (name, row) in MarkerName::ALL.into_iter().zip([0.0, 6.0, 0.0, 6.0]) {
        let Some(estimate) = speed_of(markers, name) else { continue };
        let (speed, error, y) = (estimate.value.m_per_s(), estimate.error().m_per_s(), top + row);
        let ends = [speed - error, speed + error];
        let [from, to] = ends.map(|end| axis.share(end) * look.width);
        drawing.line(at(from, y), at(to, y), Role::Ink, 1.0);
        for (end, x) in ends.into_iter().zip([from, to]) {
            if axis.slowest.m_per_s() <= end && end <= axis.fastest.m_per_s() {
                drawing.line(at(x, y - 2.5), at(x, y + 2.5), Role::Ink, 1.0);
            }
        }
    }
}

fn pace_labels(drawing: &mut Drawing, strokes: &[Stroke], look: &Look) {
    let labelled: Vec<(Wanted, String)> = strokes
        .iter()
        .filter_map(|stroke| {
            let label = printed_pace(stroke.name, stroke.speed, look.units)?;
            let width = text_width(&label, look.text);
            Some((Wanted { centre: stroke.x, width, keep: keep(stroke) }, label))
        })
        .collect();
    let wanted: Vec<Wanted> = labelled.iter().map(|(wanted, _)| *wanted).collect();
    for ((_, label), centre) in
        labelled.into_iter().zip(spread(&wanted, look.width, look.text * 0.5))
    {
        let Some(centre) = centre else { continue };
        put_text(drawing, at(centre, look.text * 0.86), look.text, Role::Ink, label);
    }
}

/// The pace of a marker; `None` where it is so slow that zones print none either.
pub fn printed_pace(name: MarkerName, speed: Speed, units: UnitSystem) -> Option<String> {
    let walked = name == MarkerName::AerobicFloor && speed.m_per_s() < SLOWEST_PRINTED_M_PER_S;
    (!walked).then(|| pace(speed, units))
}

/// Which label stays where there is no room for all: the tested before the estimated, LT2 first.
fn keep(stroke: &Stroke) -> u8 {
    let rank = match stroke.name {
        MarkerName::Lt2 => 4,
        MarkerName::Lt1 => 3,
        MarkerName::Vo2max => 2,
        MarkerName::AerobicFloor => 1,
    };
    if stroke.estimated { rank } else { rank + 4 }
}

/// The lane for those who do not see it.
fn in_words(markers: &Markers, units: UnitSystem) -> String {
    let words = |name| {
        let estimate = speed_of(markers, name)?;
        let doubt = if estimate.origin == Origin::Estimated { " (estimated)" } else { "" };
        let pace =
            printed_pace(name, estimate.value, units).unwrap_or_else(|| "at a walk".to_owned());
        Some(format!("{} {pace}{doubt}", marker_label(name)))
    };
    let known: Vec<String> = MarkerName::ALL.into_iter().filter_map(words).collect();
    if known.is_empty() {
        return "No markers yet".to_owned();
    }
    format!("Markers, pace per {}: {}", pace_unit(units), known.join(", "))
}

/// How a marker is named on paper.
pub(crate) fn marker_label(name: MarkerName) -> &'static str {
    match name {
        MarkerName::AerobicFloor => "aerobic floor",
        MarkerName::Lt1 => "LT1",
        MarkerName::Lt2 => "LT2",
        MarkerName::Vo2max => "VO2max pace",
    }
}

/// The pace scale under lanes of one axis: round paces where they stand, none over another.
pub fn scale(axis: Axis, width: f64, text: f64, units: UnitSystem) -> Drawing {
    // the roundest first: they take their place before the finer ones
    const ROUND_PACES_S: [u32; 16] =
        [240, 360, 180, 300, 480, 600, 720, 210, 270, 330, 420, 900, 150, 540, 1_200, 1_800];
    let mut drawing = Drawing::new(width, text + 4.0);
    drawing.alternative = format!("Scale of paces, per {}", pace_unit(units));
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for seconds in ROUND_PACES_S {
        let Some(speed) = speed_of_pace(seconds, units) else {
            continue;
        };
        let label = clock(seconds);
        let (x, half) = (axis.share(speed.m_per_s()) * width, text_width(&label, text) / 2.0 + 3.0);
        let free = taken.iter().all(|(from, to)| x + half < *from || *to < x - half);
        if speed > axis.slowest && speed < axis.fastest && free && x >= half && x + half <= width {
            taken.push((x - half, x + half));
            put_text(&mut drawing, at(x, text), text, Role::SoftInk, label);
        }
    }
    drawing
}

#[cfg(test)]
mod tests;
