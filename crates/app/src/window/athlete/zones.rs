//! Current zones: the lane with its errors, the zones as they are handed out, what has to be said
//! about them.

use iced::widget::{Column, Space, column, container, row, text};
use iced::{Alignment, Element, Fill};
use pacewright_core::athlete::Sensor;
use pacewright_core::calibration::{Calibration, propose};
use pacewright_core::format::{day, day_short, pace_unit};
use pacewright_core::remark::{Finding, Remark, Severity};
use pacewright_core::review::because;
use pacewright_core::screening::not_cleared;
use pacewright_core::words;
use pacewright_core::zones::shown::ShownZone;
use pacewright_desk::book::Page;
use pacewright_desk::decide::offered;
use pacewright_desk::papers::card_facts;
use pacewright_desk::whence::Number;
use pacewright_sheets::card::CardFacts;
use pacewright_sheets::ink::Role;
use pacewright_sheets::lane::{self, Axis, Look};

use super::head::{Framed, framed};
use super::results::{changed, folded};
use super::{AthleteScreen, Fold, Message, evidence, markers, whence};
use crate::window::figure::figure;
use crate::window::ink::{Ink, ROW, SMALL};
use crate::window::parts::{
    act, body, faint_rule, link, main_act, rule, section, small, soft, spoken, strong,
};
use crate::window::shared::Shared;

/// Widths of the columns, px; the zone's name takes the rest.
const NUMBER: f32 = 22.0;
const RATE: f32 = 84.0;
const PACE: f32 = 118.0;
const LAP: f32 = 44.0;
const LEADS: f32 = 128.0;
const GAP: f32 = 8.0;
/// A table wider than this has room to spare, px.
const WIDE: f32 = 640.0;

/// The section, `width` px wide.
pub(super) fn view<'a>(
    screen: &'a AthleteScreen,
    page: &'a Page,
    width: f32,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let now = shared.now();
    let Some(calibration) = page.current(now.today) else { return none_yet(screen, page, shared) };
    let facts = card_facts(page, calibration, shared.units(), &now);
    let scheme = calibration.zones.scheme.as_ref();
    let scheme = scheme.map_or_else(String::new, |name| format!(" ({name})"));
    let out_of_date = if facts.out_of_date { "; out of date" } else { "" };
    let mut lines = column![
        section(format!("Current zones{scheme}, from {}{out_of_date}", day(calibration.from)), ink),
        lane_of(page, calibration, width, shared),
        whence::part(
            table(&facts, width, shared),
            matches!(screen.asked, Some(Number::Edge(_))),
            ink
        ),
    ]
    .spacing(8);
    for (sentence, role) in statements(page, &facts) {
        lines = lines.push(spoken(sentence, role, ink));
    }
    let offer = offer(page, shared);
    let of_others = offer.is_some();
    lines = remarks(lines.push(offer), of_others, screen, page, shared);
    lines
        .push(of_others.then(|| take(ink)))
        .push(Space::new().height(2))
        .push(markers::table(calibration, &facts, (width, screen.asked), shared))
        .push(screen.scheme.view(page, shared).map(Message::Scheme))
        .into()
}

/// Other zones than those in force, where what is known gives them.
fn offer<'a>(page: &Page, shared: &'a Shared) -> Option<Element<'a, Message>> {
    let (ink, today) = (shared.ink(), shared.now().today);
    let offered = offered(page, today)?;
    let stands_on: Vec<String> =
        offered.basis.iter().map(|basis| words::stands_on_of(basis, day_short)).collect();
    let (facts, current) = (page.facts(&page.tests), page.current(today));
    let changed = changed(current, &offered, shared.units());
    let why = current.map_or_else(Vec::new, |current| because(&facts, current, &offered));
    let gives =
        format!("What is known now gives other zones ({}): {changed}.", stands_on.join(", "));
    let words: Vec<String> = std::iter::once(gives).chain(why.iter().map(words::because)).collect();
    Some(spoken(words.join(" "), Role::Mark, ink))
}

/// Puts the offered zones in force; it stands beneath what speaks against them.
fn take<'a>(ink: Ink) -> Element<'a, Message> {
    main_act("Put them in force", "", ink).on_press(Message::OfferTaken).into()
}

/// What speaks about the numbers together: the worst three, the rest folded; an offered factor with
/// the act that takes it. They speak of what is known now, which may give other zones than those that
/// stand above.
fn remarks<'a>(
    lines: Column<'a, Message>,
    of_others: bool,
    screen: &'a AthleteScreen,
    page: &'a Page,
    shared: &'a Shared,
) -> Column<'a, Message> {
    let Some(proposal) = propose(&page.facts(&page.tests), shared.now().today) else {
        return lines;
    };
    let mut remarks = proposal.derived.remarks;
    // said above in the athlete's own words, or on every card
    remarks.retain(|remark| {
        !matches!(remark.finding, Finding::RateLoweringMedication | Finding::WristSensor)
    });
    let offered = remarks.iter().any(|r| matches!(r.finding, Finding::LowerFactorOffered { .. }));
    let lines = if of_others && !remarks.is_empty() {
        lines.push(small("Of the zones that would come into force:", shared.ink()))
    } else {
        lines
    };
    let turn = (screen.shows(Fold::ZoneRemarks), Message::Turned(Fold::ZoneRemarks));
    let say = |remark: &Remark| (remark.severity, words::remark(remark, shared.units()));
    let lines = folded(lines, remarks.iter().map(say).collect(), turn, |content| content, shared);
    if !offered {
        return lines;
    }
    let wanted = Message::Beside(evidence::Message::LowerFactorWanted);
    lines.push(link("Set the lower factor", shared.ink()).on_press(wanted))
}

/// No zones: what this is, and what to do first.
fn none_yet<'a>(
    screen: &'a AthleteScreen,
    page: &'a Page,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let first = if !page.waiting().is_empty() {
        "A test waits for your decision below: open it, and the zones follow from it."
    } else if not_cleared(&page.athlete, shared.now().today).is_some() {
        "Zones follow from field tests, the 20-minute test first; but no all-out test before what stands above is \
         settled."
    } else if page.tests.is_empty() {
        if page.is_medicated(shared.now().today) {
            "Zones follow from field tests. Begin with the 20-minute test: its mean pace gives the second threshold. A \
             beginner first runs easily for 30 to 40 minutes, then a practice test."
        } else {
            "Zones follow from field tests. Begin with the 20-minute test: its mean pace and heart rate give the second \
             threshold and the target of the 40-minute test. A beginner first runs easily for 30 to 40 minutes, then a \
             practice test."
        }
    } else {
        "No test that counts has given zones yet."
    };
    let lines = column![
        section("Current zones", ink),
        Space::new().height(2),
        strong("No zones yet"),
        soft(first, ink),
    ]
    .spacing(8);
    if let Some(offer) = offer(page, shared) {
        return remarks(lines.push(offer), false, screen, page, shared).push(take(ink)).into();
    }
    let first = framed(page, shared.now().today) == Framed::Enter;
    let enter = if first { main_act } else { act };
    let enter = row![enter("Enter a test", "T", ink).on_press(Message::EnterPressed)];
    remarks(lines.push(enter), false, screen, page, shared).into()
}

fn lane_of<'a>(
    page: &'a Page,
    calibration: &'a Calibration,
    width: f32,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let before = page.before_current(shared.now().today);
    // an old stroke is drawn where it is seen beside the new one, and then it has its legend
    let old = before.map(|before| &before.markers);
    let old = old.filter(|old| lane::shows_old(old, &calibration.markers));
    let Some(axis) = Axis::around([&calibration.markers].into_iter().chain(old)) else {
        return Space::new().into();
    };
    let (look, edges) =
        (Look::page(f64::from(width), shared.units()), calibration.zones.own_edges());
    let ghosts =
        old.map_or(String::new(), |_| format!("faint: before {}", day_short(calibration.from)));
    column![
        figure(lane::lane_of((&calibration.markers, edges.as_deref()), old, axis, &look), ink),
        row![
            small(ghosts, ink),
            Space::new().width(Fill),
            small("whiskers: the error of each marker", ink)
        ],
    ]
    .spacing(3)
    .into()
}

fn table<'a>(facts: &CardFacts<'_>, width: f32, shared: &'a Shared) -> Element<'a, Message> {
    let (ink, units) = (shared.ink(), shared.units());
    let leads = LEADS + markers::beyond(width);
    let zones = facts.zones();
    let has_rate = zones.have_heart_rate();
    let paces = pace_width(has_rate, width);
    let head = row![Space::new().width(NUMBER), container(small("Zone", ink)).width(Fill)];
    let head = if has_rate { head.push(cell(small("Heart rate", ink), RATE)) } else { head };
    let head = head
        .push(cell(small(format!("Pace per {}", pace_unit(units)), ink), paces))
        .push(cell(small("400 m", ink), LAP))
        .push(cell(small("What leads", ink), leads))
        .spacing(GAP);
    let mut table = column![container(head).padding([6, 0]), rule(ink)];
    let count = u8::try_from(zones.zones.len()).unwrap_or(u8::MAX);
    for zone in facts.shown_zones() {
        table = table
            .push(zone_row(zone, (count, leads), (has_rate, paces), ink))
            .push(faint_rule(ink));
    }
    table.into()
}

/// The column of paces: without heart rates, or on a wide page, "walk, or very easy jog" has the room to
/// stand on one line.
fn pace_width(has_rate: bool, width: f32) -> f32 {
    if has_rate && width < WIDE { PACE } else { PACE + 40.0 }
}

fn cell<'a>(content: impl Into<Element<'a, Message>>, width: f32) -> Element<'a, Message> {
    container(content).width(width).into()
}

fn zone_row<'a>(
    zone: ShownZone,
    (count, leads_width): (u8, f32),
    (has_rate, paces): (bool, f32),
    ink: Ink,
) -> Element<'a, Message> {
    let number = zone.number;
    let badge =
        container(text(number.to_string()).size(SMALL).color(ink.of(Role::on_zone(number, count))))
            .center_x(20)
            .center_y(20)
            .style(move |_| container::Style {
                background: Some(ink.of(Role::zone(number, count)).into()),
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
        .push(cell(body(zone.pace), paces))
        .push(cell(body(zone.lap_400), LAP))
        .push(cell(small(leads, ink), leads_width))
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
            facts.without_heart_rates("No heart rates to go by yet")
        };
        said.push((sentence, Role::Ink));
    }
    if facts.zones().lack_heart_rates() {
        said.push((words::edges_without_heart_rate().to_owned(), Role::SoftInk));
    }
    said.extend(facts.estimated().map(|sentence| (sentence, Role::SoftInk)));
    said.extend(facts.notes.iter().map(|note| (note.clone(), Role::Mark)));
    said
}
