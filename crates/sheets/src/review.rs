//! The weekly review: who needs attention, one line an athlete.

use chrono::NaiveDate;
use pacewright_core::format::{day, pace_unit};
use pacewright_core::markers::Markers;
use pacewright_core::units::UnitSystem;
use pacewright_core::zones::SpeedEdge;
use serde::Serialize;

use crate::drawing::Drawing;
use crate::lane::{Axis, Look, lane_of, scale};
use crate::paper::Paper;
use crate::strip::{StripFacts, strip};
use crate::typeset::{Document, Name, SheetError, Template, typeset};

const TEMPLATE: Template = Template {
    name: "weekly review",
    source: include_str!("../../../assets/documents/review.typ"),
};

/// Widths in px of the drawings; the template scales both alike.
const LANE_WIDTH: f64 = 330.0;
const STRIP_WIDTH: f64 = 132.0;

/// What the review says.
#[derive(Debug, Clone, PartialEq)]
pub struct ReviewFacts {
    /// "Seven of fourteen need you this week".
    pub headline: String,
    /// What stands in the next days: "Three tests in the next 7 days."
    pub ahead: String,
    /// The squad's name.
    pub squad: String,
    /// The day of the review.
    pub on: NaiveDate,
    /// Units of the paces.
    pub units: UnitSystem,
    /// Paper to print on.
    pub paper: Paper,
    /// One an athlete, most urgent first.
    pub rows: Vec<ReviewRow>,
}

/// One athlete's line.
#[derive(Debug, Clone, PartialEq)]
pub struct ReviewRow {
    /// The name.
    pub name: String,
    /// The markers in force.
    pub markers: Option<Markers>,
    /// The edges of the zones in force where they follow a scheme of the coach's own.
    pub edges: Option<Vec<SpeedEdge>>,
    /// The markers before, where they have just changed.
    pub before: Option<Markers>,
    /// The strip of the most urgent test; `None` where no test was ever run or planned.
    pub strip: Option<StripFacts>,
    /// What there is to know this week.
    pub sentence: String,
    /// What to do next; `None` where nothing is to be done: the row is quiet.
    pub act: Option<String>,
}

/// Lays out the review.
///
/// # Errors
/// The layout failed: a fault of the program.
pub fn review(facts: &ReviewFacts) -> Result<Document, SheetError> {
    // the slowest and the fastest of the squad, now and before, fit on the one axis
    let axis =
        Axis::around(facts.rows.iter().flat_map(|row| row.markers.iter().chain(&row.before)));
    let written = Written {
        paper: facts.paper,
        headline: facts.headline.clone(),
        ahead: facts.ahead.clone(),
        squad: facts.squad.clone(),
        on: day(facts.on),
        lane_head: format!("Markers and zones, pace per {}", pace_unit(facts.units)),
        lane_width: LANE_WIDTH,
        strip_width: STRIP_WIDTH,
        scale: axis.map(|axis| scale(axis, LANE_WIDTH, 10.0, facts.units)),
        rows: facts.rows.iter().map(|row| write(row, axis, facts.units)).collect(),
    };
    typeset(&TEMPLATE, &written)
}

#[derive(Serialize)]
struct Written {
    paper: Paper,
    headline: String,
    ahead: String,
    squad: String,
    on: String,
    lane_head: String,
    lane_width: f64,
    strip_width: f64,
    scale: Option<Drawing>,
    rows: Vec<WrittenRow>,
}

#[derive(Serialize)]
struct WrittenRow {
    name: Name,
    lane: Option<Drawing>,
    strip: Option<Drawing>,
    sentence: String,
    act: Option<String>,
}

fn write(row: &ReviewRow, axis: Option<Axis>, units: UnitSystem) -> WrittenRow {
    let look = Look::row(LANE_WIDTH, units);
    let drawn = axis.zip(row.markers.as_ref());
    WrittenRow {
        name: Name::of(&row.name),
        lane: drawn.map(|(axis, markers)| {
            lane_of((markers, row.edges.as_deref()), row.before.as_ref(), axis, &look)
        }),
        strip: row.strip.as_ref().map(|facts| strip(facts, STRIP_WIDTH)),
        sentence: row.sentence.clone(),
        act: row.act.clone(),
    }
}
