//! The three qualities: the chart of eighteen months, and the last change of each in words.

use chrono::{Months, NaiveDate};
use iced::widget::{Space, column, container, row, stack, text};
use iced::{Alignment, Element, Fill};
use pacewright_core::format::{day, pace, pace_unit, percent_and_error};
use pacewright_core::ids::TestId;
use pacewright_core::quality::Reading;
use pacewright_core::test::TestKind;
use pacewright_core::words;
use pacewright_desk::qualities::Quality;
use pacewright_desk::whence::Number;
use pacewright_sheets::chart::{self, Chart, Series, chart};
use pacewright_sheets::drawing::Drawing;

use super::Message;
use super::overlay::{Named, overlay};
use super::whence::number;
use crate::window::figure::figure;
use crate::window::ink::{BODY, Ink, SMALL};
use crate::window::parts::{body, faint_rule, rule, section, small, soft};
use crate::window::shared::Shared;

/// Months on the chart.
const MONTHS: u32 = 18;
/// Height of the chart, px.
const HEIGHT: f64 = 286.0;

/// Widths of the columns, px; the verdict takes the rest.
const QUALITY: f32 = 120.0;
const LAST: f32 = 168.0;
const CHANGE: f32 = 118.0;

/// The section, `width` px wide.
pub(super) fn view<'a>(
    qualities: &[Quality],
    (chosen, asked): (Option<TestId>, Option<Number>),
    width: f32,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let heading = format!("Eighteen months, pace per {}, faster upward", pace_unit(shared.units()));
    let series: Vec<Series> = qualities.iter().map(|quality| quality.series.clone()).collect();
    let chart: Element<'_, Message> = match chart(&series, &look(f64::from(width), shared)) {
        Some(chart) => drawn(chart, chosen, shared),
        None => column![
            Space::new().height(8),
            soft("No test of the last eighteen months counts yet; each will stand here with its error.", ink),
            Space::new().height(8),
        ]
        .into(),
    };
    column![section(heading, ink), chart, table(qualities, asked, shared)].spacing(8).into()
}

fn look(width: f64, shared: &Shared) -> chart::Look {
    let to = shared.now().today;
    let from = first_day(to);
    let (height, text) = (HEIGHT, f64::from(SMALL));
    chart::Look { from, to, width, height, text, units: shared.units() }
}

fn first_day(to: NaiveDate) -> NaiveDate {
    to.checked_sub_months(Months::new(MONTHS)).unwrap_or(to)
}

/// The tests on the chart as the arrow keys walk them: oldest first.
pub(super) fn in_order(qualities: &[Quality], shared: &Shared) -> Vec<TestId> {
    let series: Vec<Series> = qualities.iter().map(|quality| quality.series.clone()).collect();
    // where a point stands does not depend on how wide the chart is
    let chart = chart(&series, &look(600.0, shared));
    chart.map(|chart| chart.points.iter().map(|p| p.reading.test).collect()).unwrap_or_default()
}

fn drawn(chart: Chart, chosen: Option<TestId>, shared: &Shared) -> Element<'_, Message> {
    let (ink, units) = (shared.ink(), shared.units());
    let chosen = chosen.and_then(|test| chart.points.iter().position(|p| p.reading.test == test));
    let named: Vec<Named> = chart
        .points
        .iter()
        .map(|point| Named {
            place: point.place,
            ink: chart::ink(point.kind),
            value: words::mark(point.kind, &point.reading, units),
            test: test(point.kind, &point.reading),
        })
        .collect();
    let line = match chosen.and_then(|index| named.get(index)) {
        Some(point) => format!("{}: {}", point.test, point.value),
        None => {
            "\u{2190} \u{2192} from test to test; upright lines: the error of one test".to_owned()
        }
    };
    let (width, height) = (chart.drawing.width, chart.drawing.height);
    column![
        stack![figure(chart.drawing, ink), overlay(named, (width, height), chosen, ink)],
        small(line, ink),
    ]
    .spacing(2)
    .into()
}

/// "20-minute test, 19 November 2026".
fn test(kind: TestKind, reading: &Reading) -> String {
    let practice = if reading.practice { " (practice)" } else { "" };
    format!("{}{practice}, {}", words::test(kind), day(reading.on))
}

fn table<'a>(
    qualities: &[Quality],
    asked: Option<Number>,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let head = ["Quality", "Last test", "By the trend", "Verdict"];
    let mut table = column![line(head.map(|head| small(head, ink))), rule(ink)];
    for quality in qualities {
        table = table.push(quality_row(quality, asked, shared)).push(faint_rule(ink));
    }
    let note =
        "The trend weighs all tests by their errors; two tests alone seldom show a clear change.";
    table.push(container(small(note, ink)).padding([5, 0])).into()
}

fn line(cells: [Element<'_, Message>; 4]) -> Element<'_, Message> {
    let [quality, last, change, verdict] = cells;
    row![
        container(quality).width(QUALITY),
        container(last).width(LAST),
        container(change).width(CHANGE),
        container(verdict).width(Fill),
    ]
    .spacing(8)
    .padding([7, 0])
    .align_y(Alignment::Center)
    .into()
}

fn quality_row<'a>(
    quality: &Quality,
    asked: Option<Number>,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let (ink, units) = (shared.ink(), shared.units());
    let last = quality.last().map_or_else(
        || soft("not tested yet", ink),
        |last| body(format!("{}, {}", last.on.format("%-d %b %Y"), pace(last.speed, units))),
    );
    let change = quality.change.map_or_else(
        || soft("\u{2013}", ink),
        |change| {
            let by = percent_and_error(change.percent, change.error_percent);
            let since = format!("since {}", change.from.format("%-d %b %Y"));
            let by = number(by, Number::Change(quality.kind()), asked, ink);
            column![by, small(since, ink)].into()
        },
    );
    line([name(quality.kind(), ink), last, change, body(verdict(quality))])
}

/// The quality's name with its shape, as the chart draws it.
fn name<'a>(kind: TestKind, ink: Ink) -> Element<'a, Message> {
    let mut drawing = Drawing::new(14.0, 14.0);
    chart::key(&mut drawing, kind);
    row![figure(drawing, ink), text(words::quality(kind)).size(BODY)]
        .spacing(7)
        .align_y(Alignment::Center)
        .into()
}

/// The trend's verdict in words; with its probability where it is one.
fn verdict(quality: &Quality) -> String {
    match (quality.change, quality.last()) {
        (Some(change), _) => words::trend_verdict(&change),
        (None, Some(_)) if quality.is_newer_series => "a new series begins".to_owned(),
        (None, Some(_)) if quality.none_counts() => "no test in the trend yet".to_owned(),
        (None, Some(_)) if quality.series.readings.len() > 1 => {
            "one test in the trend so far".to_owned()
        }
        (None, Some(_)) => "one test so far".to_owned(),
        (None, None) => "\u{2013}".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use pacewright_core::quality::LeftOut;
    use pacewright_core::units::Speed;

    use super::*;

    #[test]
    fn one_test_in_the_trend_is_not_one_test_so_far() {
        let reading = |left_out| Reading {
            test: TestId(1),
            on: NaiveDate::from_ymd_opt(2026, 9, 1).unwrap(),
            speed: Speed::from_m_per_s(3.0).unwrap(),
            error: serde_json::from_str("0.1").unwrap(),
            practice: false,
            left_out,
        };
        let said = |readings: &[Option<LeftOut>]| {
            let readings = readings.iter().map(|left_out| reading(*left_out)).collect();
            let series = Series { kind: TestKind::FortyMinutes, readings, trend: None };
            verdict(&Quality { series, change: None, is_newer_series: false })
        };
        assert_eq!(said(&[None]), "one test so far");
        assert_eq!(said(&[None, Some(LeftOut::NoTarget)]), "one test in the trend so far");
        assert_eq!(said(&[Some(LeftOut::NoTarget)]), "no test in the trend yet");
    }
}
