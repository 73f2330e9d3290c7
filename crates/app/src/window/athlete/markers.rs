//! The markers behind the zones with their errors and where each comes from, and when to test again.

use iced::widget::{column, container, row};
use iced::{Alignment, Element, Fill};
use pacewright_core::calibration::Calibration;
use pacewright_core::format::{beats_error, pace_error, whole_beats};
use pacewright_core::markers::{Marker, MarkerName};
use pacewright_core::remark::BearsOn;
use pacewright_core::retest::State;
use pacewright_core::test::TestKind;
use pacewright_core::units::{Origin, UnitSystem};
use pacewright_core::words;
use pacewright_desk::book::Page;
use pacewright_desk::papers::card_facts;
use pacewright_desk::plan::room_from;
use pacewright_desk::whence::Number;
use pacewright_sheets::card::CardFacts;
use pacewright_sheets::lane::printed_pace;

use super::Message;
use super::whence::number;
use crate::window::parts::{body, faint_rule, rule, section, small};
use crate::window::shared::Shared;

/// Widths of the columns, px; the marker's name takes the rest.
const NUMBER: f32 = 112.0;
const FROM: f32 = 150.0;
const KIND: f32 = 92.0;

/// Wider than this a table is hard to read across: its last column takes the rest, px.
const WIDEST: f32 = 760.0;

/// How much a last column gets of a page of a width, px.
pub(super) fn beyond(width: f32) -> f32 {
    (width - WIDEST).max(0.0)
}

/// The numbers of the lane, and where each comes from.
pub(super) fn table<'a>(
    calibration: &'a Calibration,
    facts: &CardFacts<'_>,
    (width, asked): (f32, Option<Number>),
    shared: &'a Shared,
) -> Element<'a, Message> {
    let (ink, units) = (shared.ink(), shared.units());
    let known = FROM + beyond(width);
    let rates = facts.zones().have_heart_rate();
    let line = |cells: [Element<'a, Message>; 4]| -> Element<'a, Message> {
        let [name, rate, pace, from] = cells;
        // heart rate before pace, as in the zones above
        let line = row![container(name).width(Fill)];
        let line = if rates { line.push(container(rate).width(NUMBER)) } else { line };
        line.push(container(pace).width(NUMBER))
            .push(container(from).width(known))
            .spacing(8)
            .padding([5, 0])
            .align_y(Alignment::Center)
            .into()
    };
    let heads = ["Marker", "Heart rate, error", "Pace and error", "Known"];
    let mut table = column![line(heads.map(|head| small(head, ink))), rule(ink)];
    for name in MarkerName::ALL {
        let marker = calibration.markers.get(name);
        table = table
            .push(line([
                body(words::capital(words::marker(name).trim_start_matches("the "))),
                number(rate_of(marker), Number::Marker(name, BearsOn::HeartRate), asked, ink),
                number(
                    pace_of(name, marker, units),
                    Number::Marker(name, BearsOn::Speed),
                    asked,
                    ink,
                ),
                small(origins(marker, rates), ink),
            ]))
            .push(faint_rule(ink));
    }
    let note =
        "One standard error: of the rule and of the test together. W: where a number comes from.";
    table.push(container(small(note, ink)).padding([5, 0])).into()
}

fn pace_of(name: MarkerName, marker: &Marker, units: UnitSystem) -> String {
    let Some(estimate) = marker.speed else { return "\u{2013}".to_owned() };
    match printed_pace(name, estimate.value, units) {
        Some(pace) => {
            format!("{pace} \u{b1} {}", pace_error(estimate.value, estimate.error(), units))
        }
        None => "at a walk".to_owned(),
    }
}

fn rate_of(marker: &Marker) -> String {
    marker.heart_rate.map_or_else(
        || "\u{2013}".to_owned(),
        |e| format!("{} \u{b1} {}", whole_beats(e.value), beats_error(e.error())),
    )
}

fn origins(marker: &Marker, rates: bool) -> String {
    let pace = marker.speed.map(|estimate| origin(estimate.origin));
    let rate = marker.heart_rate.filter(|_| rates).map(|estimate| origin(estimate.origin));
    match (pace, rate) {
        (Some(pace), Some(rate)) if pace != rate => format!("{pace}; heart rate {rate}"),
        (Some(one), _) | (None, Some(one)) => one.to_owned(),
        (None, None) => "not tested".to_owned(),
    }
}

fn origin(origin: Origin) -> &'static str {
    match origin {
        Origin::Measured => "measured",
        Origin::ByRule => "by rule",
        Origin::Estimated => "estimated",
        Origin::Entered => "entered",
    }
}

/// When to repeat each test, at which heart rate, and what holds it.
pub(super) fn next_tests<'a>(page: &Page, shared: &'a Shared) -> Element<'a, Message> {
    let now = shared.now();
    let facts = page.current(now.today).map(|zones| card_facts(page, zones, shared.units(), &now));
    let target = facts.and_then(|facts| facts.forty_minute_target).map(whole_beats);
    let mut lines = column![section("Next tests", shared.ink())].spacing(3);
    for due in page.due(&now) {
        let hold = (due.kind == TestKind::FortyMinutes && due.may_be_run())
            .then(|| words::held_at(target, page.is_medicated(now.today)));
        let race = page.race_in_place_of(due.kind, now.today).map(words::counted_from);
        let waits = page.waiting_of(due.kind).map(|test| words::waits(test.on));
        let free = due.freshness.state != State::Fresh && due.holds.is_empty();
        let room = free.then(|| room_from(page, due.kind, now.today)).flatten();
        let beside = [race, waits, room.map(words::room_from), hold];
        let beside: Vec<String> =
            beside.into_iter().flatten().map(|said| format!("; {said}")).collect();
        let beside = beside.concat();
        lines = lines.push(
            row![
                container(body(format!("{} minutes", due.kind.minutes()))).width(KIND),
                container(body(format!("{}{beside}", words::next_test(&due)))).width(Fill),
            ]
            .padding([3, 0]),
        );
    }
    lines.into()
}
