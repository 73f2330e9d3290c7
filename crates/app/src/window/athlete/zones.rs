//! Current zones: the lane with its errors, the zones as they are handed out, what has to be said
//! about them.

use iced::widget::{Space, column, container, row, text};
use iced::{Alignment, Element, Fill};
use pacewright_core::athlete::Sensor;
use pacewright_core::calibration::Calibration;
use pacewright_core::format::{day, day_short, pace_unit};
use pacewright_core::remark::{Finding, Remark, Severity};
use pacewright_core::words;
use pacewright_core::zones::shown::{ShownZone, shown};
use pacewright_desk::book::Page;
use pacewright_desk::papers::card_facts;
use pacewright_sheets::card::CardFacts;
use pacewright_sheets::ink::Role;
use pacewright_sheets::lane::{Axis, Look, lane};

use super::{Message, markers};
use crate::window::figure::figure;
use crate::window::ink::{BODY, Ink, ROW, SMALL};
use crate::window::parts::{body, faint_rule, main_act, rule, section, small, soft, strong};
use crate::window::shared::Shared;

/// Widths of the columns, px; the zone's name takes the rest.
const NUMBER: f32 = 22.0;
const RATE: f32 = 84.0;
const PACE: f32 = 118.0;
const LAP: f32 = 44.0;
const LEADS: f32 = 128.0;
const GAP: f32 = 8.0;

/// The section, `width` px wide.
pub(super) fn view<'a>(page: &'a Page, width: f32, shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let now = shared.now();
    let Some(calibration) = page.current(now.today) else { return none_yet(page, shared) };
    let facts = card_facts(page, calibration, shared.units(), &now);
    let out_of_date = if facts.out_of_date { "; out of date" } else { "" };
    let mut lines = column![
        section(format!("Current zones, from {}{out_of_date}", day(calibration.from)), ink),
        lane_of(page, calibration, width, shared),
        table(&facts, shared),
    ]
    .spacing(8);
    for (sentence, role) in statements(page, &facts) {
        lines = lines.push(text(sentence).size(BODY).color(ink.of(role)));
    }
    lines.push(Space::new().height(2)).push(markers::table(calibration, &facts, shared)).into()
}

/// No zones: what this is, and what to do first.
fn none_yet<'a>(page: &'a Page, shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let first = if !page.waiting().is_empty() {
        "A test waits for your decision below: open it, and the zones follow from it."
    } else if page.tests.is_empty() {
        "Zones follow from field tests. Begin with the 20-minute test: its mean pace and heart rate give the second \
         threshold and the target of the 40-minute test. A beginner first runs easily for 30 to 40 minutes, then a \
         practice test."
    } else {
        "No test that counts has given zones yet."
    };
    column![
        section("Current zones", ink),
        Space::new().height(2),
        strong("No zones yet"),
        soft(first, ink),
        row![main_act("Enter a test", "T", ink).on_press(Message::EnterPressed)],
    ]
    .spacing(8)
    .into()
}

fn lane_of<'a>(
    page: &'a Page,
    calibration: &'a Calibration,
    width: f32,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let before = page.before_current(shared.now().today);
    let old = before.map(|before| &before.markers);
    let Some(axis) = Axis::around([&calibration.markers].into_iter().chain(old)) else {
        return Space::new().into();
    };
    let look = Look::page(f64::from(width), shared.units());
    let ghosts = match before {
        Some(_) => format!("faint: before {}", day_short(calibration.from)),
        None => String::new(),
    };
    column![
        figure(lane(&calibration.markers, old, axis, &look), ink),
        row![
            small(ghosts, ink),
            Space::new().width(Fill),
            small("whiskers: the error of each marker", ink)
        ],
    ]
    .spacing(3)
    .into()
}

fn table<'a>(facts: &CardFacts<'_>, shared: &'a Shared) -> Element<'a, Message> {
    let (ink, units) = (shared.ink(), shared.units());
    let zones = facts.zones();
    let has_rate = zones.have_heart_rate();
    let head = row![Space::new().width(NUMBER), container(small("Zone", ink)).width(Fill)];
    let head = if has_rate { head.push(cell(small("Heart rate", ink), RATE)) } else { head };
    let head = head
        .push(cell(small(format!("Pace per {}", pace_unit(units)), ink), PACE))
        .push(cell(small("400 m", ink), LAP))
        .push(cell(small("What leads", ink), LEADS))
        .spacing(GAP);
    let mut table = column![container(head).padding([6, 0]), rule(ink)];
    for zone in shown(&zones, units) {
        table = table.push(zone_row(zone, has_rate, ink)).push(faint_rule(ink));
    }
    container(table).max_width(markers::WIDEST).into()
}

fn cell<'a>(content: impl Into<Element<'a, Message>>, width: f32) -> Element<'a, Message> {
    container(content).width(width).into()
}

fn zone_row<'a>(zone: ShownZone, has_rate: bool, ink: Ink) -> Element<'a, Message> {
    let number = zone.number;
    let badge =
        container(text(number.to_string()).size(SMALL).color(ink.of(Role::on_zone(number))))
            .center_x(20)
            .center_y(20)
            .style(move |_| container::Style {
                background: Some(ink.of(Role::zone(number)).into()),
                ..container::Style::default()
            });
    let leads =
        if zone.estimated { format!("{}; estimated", zone.leads) } else { zone.leads.to_owned() };
    let mut name = column![strong(zone.name)].width(Fill);
    if let Some(hint) = zone.hint {
        name = name.push(small(hint, ink));
    }
    let cells = row![cell(badge, NUMBER), name];
    let cells = if has_rate { cells.push(cell(body(zone.heart_rate), RATE)) } else { cells };
    cells
        .push(cell(body(zone.pace), PACE))
        .push(cell(body(zone.lap_400), LAP))
        .push(cell(small(leads, ink), LEADS))
        .spacing(GAP)
        .height(ROW - 2.0)
        .align_y(Alignment::Center)
        .into()
}

/// What has to be said about these zones: why there are no heart rates, what was estimated, what is
/// out of date.
fn statements(page: &Page, facts: &CardFacts<'_>) -> Vec<(String, Role)> {
    let mut said = Vec::new();
    let why = |finding| words::remark(&Remark::new(finding, Severity::Note, None), facts.units);
    if facts.medication {
        said.push((why(Finding::RateLoweringMedication), Role::Ink));
    } else if !facts.zones().have_heart_rate() {
        let sentence = if page.athlete.sensor == Some(Sensor::Wrist) {
            why(Finding::WristSensor)
        } else {
            "No heart rates measured yet: run by pace and by feel.".to_owned()
        };
        said.push((sentence, Role::Ink));
    }
    said.extend(facts.estimated().map(|sentence| (sentence, Role::SoftInk)));
    said.extend(facts.notes.iter().map(|note| (note.clone(), Role::Mark)));
    said
}
