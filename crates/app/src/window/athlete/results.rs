//! Every test with its remarks and decision, and the zones that were in force before.

use std::cmp::Reverse;

use iced::widget::{Column, Space, column, container, row, text};
use iced::{Alignment, Element, Fill};
use pacewright_core::calibration::Calibration;
use pacewright_core::format::{day, metres, pace, pace_unit, whole_beats};
use pacewright_core::markers::MarkerName;
use pacewright_core::physiology::thresholds::SecondThresholdShare;
use pacewright_core::quality::{self, Reading};
use pacewright_core::remark::{Remark, Severity};
use pacewright_core::test::{Decision, Evidence, Test};
use pacewright_core::units::UnitSystem;
use pacewright_core::words;
use pacewright_desk::book::Page;
use pacewright_desk::people::Subject;
use pacewright_desk::qualities::{Quality, share_on};
use pacewright_desk::whence::Number;
use pacewright_sheets::ink::Role;

use super::whence::number;
use super::{AthleteScreen, Fold, Message, evidence};
use crate::window::ink::{BODY, Ink};
use crate::window::parts::{
    body, faint_rule, link, quiet, quiet_small, rule, section, show_all, small, soft,
};
use crate::window::shared::Shared;

/// Tests and old zones listed until all are asked for.
const FIRST: usize = 10;
const FIRST_ZONES: usize = 4;
/// Remarks shown of a test until all are asked for.
const WORST: usize = 3;

/// Widths of the columns, px; the decision takes the rest.
const DATE: f32 = 104.0;
const KIND: f32 = 62.0;
const DISTANCE: f32 = 76.0;
const PACE: f32 = 78.0;
const RATE: f32 = 74.0;
const SAYS: f32 = 210.0;
/// On a narrow page what a test says stands under its test, distance and pace, and the decision under
/// its heart rate.
const SAYS_UNDER: f32 = KIND + DISTANCE + PACE + 2.0 * GAP;
const ACT: f32 = 172.0;
const GAP: f32 = 10.0;

/// From this width on a test stands on one line, px: the decision has room for a few words.
const ONE_LINE: f32 = 940.0;

/// The tests, newest first, `width` px wide.
pub(super) fn tests<'a>(
    screen: &'a AthleteScreen,
    page: &'a Page,
    qualities: &[Quality],
    width: f32,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let (ink, wide) = (shared.ink(), width >= ONE_LINE);
    let mut tests: Vec<&Test> = page.tests.iter().collect();
    tests.sort_by_key(|test| Reverse((test.on, test.id)));
    let all = screen.shows(Fold::Tests);
    let shown = if all { tests.len() } else { FIRST.min(tests.len()) };
    let mut lines = column![section("Tests", ink)];
    if tests.is_empty() {
        return lines
            .push(Space::new().height(10))
            .push(soft("None yet. Type a result with T, or drop a recording on the window.", ink))
            .into();
    }
    lines = lines.push(heads(wide, shared)).push(rule(ink));
    for test in tests.iter().take(shown) {
        let reading = qualities
            .iter()
            .flat_map(|quality| &quality.series.readings)
            .find(|reading| reading.test == test.id);
        lines =
            lines.push(test_row(screen, page, (test, reading), wide, shared)).push(faint_rule(ink));
    }
    more(lines, (tests.len(), FIRST, "tests"), (all, Fold::Tests), ink).into()
}

fn heads(wide: bool, shared: &Shared) -> Column<'_, Message> {
    let ink = shared.ink();
    let per = pace_unit(shared.units());
    let mut head = row![
        container(small("Date", ink)).width(DATE),
        container(small("Test", ink)).width(KIND),
        container(small("Distance", ink)).width(DISTANCE),
        container(small(format!("Pace per {per}"), ink)).width(PACE),
        container(small("Heart rate", ink)).width(RATE),
    ];
    let says = container(small("Says, with its error", ink)).width(says_width(wide));
    let decided = container(small("Decision", ink)).width(Fill);
    let under = if wide {
        head = head.push(says).push(decided).push(Space::new().width(ACT));
        None
    } else {
        Some(indented(row![says, decided].spacing(GAP).into()))
    };
    column![head.spacing(GAP)].push(under).spacing(2).padding([6, 0])
}

/// The column of what a test says.
fn says_width(wide: bool) -> f32 {
    if wide { SAYS } else { SAYS_UNDER }
}

fn test_row<'a>(
    screen: &'a AthleteScreen,
    page: &'a Page,
    (test, reading): (&'a Test, Option<&Reading>),
    wide: bool,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let (ink, units) = (shared.ink(), shared.units());
    let dash = || "\u{2013}".to_owned();
    let mean = test.performance.mean_speed().map_or_else(dash, |speed| pace(speed, units));
    let rate =
        test.performance.mean_heart_rate.map_or_else(dash, |rate| whole_beats(rate).to_string());
    let share = share_on(page, shared.now().today);
    let awaited = (test.decision == Decision::ToConfirm).then(|| if_counted(page, test, share));
    let says = says(test, reading.or(awaited.flatten().as_ref()), share, units);
    let cells = row![
        container(body(test.on.format("%-d %b %Y").to_string())).width(DATE),
        container(body(format!("{} min", test.kind.minutes()))).width(KIND),
        container(body(metres(test.performance.distance))).width(DISTANCE),
        container(body(mean)).width(PACE),
        container(body(rate)).width(RATE),
    ];
    let mark = match (says, reading) {
        (Some(says), Some(_)) => number(says, Number::Test(test.id), screen.asked, ink),
        (says, _) => body(says.unwrap_or_else(dash)),
    };
    let mark = container(mark).width(says_width(wide));
    let decided = container(decision(&test.decision, ink)).width(Fill);
    let acts = container(acts(test, ink)).width(ACT).align_x(Alignment::End);
    let (cells, under) = if wide {
        (cells.push(mark).push(decided), None)
    } else {
        (cells.push(Space::new().width(Fill)), Some(row![mark, decided].spacing(GAP)))
    };
    let cells = cells.push(acts).spacing(GAP).align_y(Alignment::Center);
    let mut lines = column![cells].spacing(2).padding([6, 0]);
    lines = lines.extend(under.map(|under| indented(under.into())));
    if let Some(noted) = page.beside.conditions.iter().rev().find(|noted| noted.test == test.id) {
        lines = lines.push(indented(small(words::conditions(&noted.conditions), ink)));
    }
    let remarks = screen.remarks.get(&test.id).map(Vec::as_slice).unwrap_or_default();
    remark_lines(lines, screen, test, remarks, shared).into()
}

/// What a test that waits would say, with its error, if it counted.
fn if_counted(page: &Page, test: &Test, share: SecondThresholdShare) -> Option<Reading> {
    let mut tests = page.tests.clone();
    tests.iter_mut().find(|known| known.id == test.id)?.decision =
        Decision::Accepted { reason: None };
    let readings = quality::readings(test.kind, &tests, share);
    readings.into_iter().find(|reading| reading.test == test.id)
}

/// What a test says about its quality: with its error where it counts, or would.
fn says(
    test: &Test,
    reading: Option<&Reading>,
    share: SecondThresholdShare,
    units: UnitSystem,
) -> Option<String> {
    let alone = || {
        let speed = quality::speed(test.kind, &test.performance, share)?;
        Some(format!("{} {}", words::quality_pace(test.kind), pace(speed, units)))
    };
    reading.map(|reading| words::mark(test.kind, reading, units)).or_else(alone)
}

fn indented(content: Element<'_, Message>) -> Element<'_, Message> {
    row![Space::new().width(DATE), content].spacing(GAP).into()
}

/// The worst three remarks about a test; the others on demand.
fn remark_lines<'a>(
    lines: Column<'a, Message>,
    screen: &AthleteScreen,
    test: &Test,
    remarks: &[Remark],
    shared: &'a Shared,
) -> Column<'a, Message> {
    let fold = Fold::Remarks(test.id);
    let say = |remark: &Remark| {
        (remark.severity, words::remark_of(remark, &test.decision, shared.units()))
    };
    folded(
        lines,
        remarks.iter().map(say).collect(),
        (screen.shows(fold), Message::Turned(fold)),
        indented,
        shared,
    )
}

/// The worst three remarks, set by `place`; the others on demand.
pub(super) fn folded<'a>(
    mut lines: Column<'a, Message>,
    mut remarks: Vec<(Severity, String)>,
    (open, turned): (bool, Message),
    place: fn(Element<'a, Message>) -> Element<'a, Message>,
    shared: &'a Shared,
) -> Column<'a, Message> {
    let ink = shared.ink();
    remarks.sort_by_key(|(severity, _)| Reverse(*severity));
    let count = remarks.len();
    let shown = if open { count } else { WORST };
    for (severity, sentence) in remarks.into_iter().take(shown) {
        let words = format!("{}: {sentence}", words::severity(severity));
        lines = lines.push(place(small(words, ink)));
    }
    if count > WORST {
        let turn =
            if open { "fewer remarks".to_owned() } else { format!("{} more", count - WORST) };
        let turn = quiet_small(&turn, ink).padding(0);
        lines = lines.push(place(turn.on_press(turned).into()));
    }
    lines
}

fn decision<'a>(decision: &Decision, ink: Ink) -> Element<'a, Message> {
    let (words, reason) = match decision {
        Decision::ToConfirm => ("to confirm", None),
        Decision::Accepted { reason } => ("accepted", reason.clone()),
        Decision::Renewed { reason } => ("zones kept, date renewed", reason.clone()),
        Decision::SetAside { reason } => ("set aside", Some(reason.clone())),
    };
    let role = if *decision == Decision::ToConfirm { Role::Mark } else { Role::Ink };
    let words = text(words).size(BODY).color(ink.of(role));
    match reason {
        Some(reason) => column![words, small(reason, ink)].into(),
        None => words.into(),
    }
}

/// What can be done with a test.
fn acts<'a>(test: &Test, ink: Ink) -> Element<'a, Message> {
    let wanted = evidence::Message::Wanted(Subject::Conditions(test.id));
    let conditions = quiet("Conditions", ink).on_press(Message::Beside(wanted));
    row![conditions, act(test, ink)].spacing(GAP).align_y(Alignment::Center).into()
}

/// A recorded test opens; a typed one can be taken out. Only a test that waits stands out.
fn act<'a>(test: &Test, ink: Ink) -> Element<'a, Message> {
    let recorded = matches!(test.evidence, Evidence::Recorded { .. });
    let (words, message) = if recorded {
        ("Open", Message::TestOpened(test.id))
    } else {
        ("Remove", Message::TestRemoved(test.id))
    };
    if recorded && test.decision == Decision::ToConfirm {
        return link(words, ink).on_press(message).into();
    }
    quiet(words, ink).on_press(message).into()
}

/// Zones that were in force before, newest first, with what changed when they came.
pub(super) fn old_zones<'a>(
    screen: &'a AthleteScreen,
    page: &'a Page,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let mut old: Vec<&Calibration> = page.calibrations.iter().rev().collect();
    if let Some(current) = page.current(shared.now().today) {
        old.retain(|calibration| calibration.id != current.id);
    }
    if old.is_empty() {
        return Space::new().into();
    }
    let mut lines = column![section("Zones before", ink)];
    let all = screen.shows(Fold::Zones);
    let shown = if all { old.len() } else { FIRST_ZONES.min(old.len()) };
    for calibration in old.iter().take(shown) {
        let before = page
            .calibrations
            .iter()
            .rev()
            .find(|other| (other.from, other.id) < (calibration.from, calibration.id));
        let card = quiet("Open the card", ink).on_press(Message::OldCardPressed(calibration.id));
        lines = lines
            .push(
                row![
                    container(body(format!("from {}", day(calibration.from)))).width(190),
                    container(soft(changed(before, calibration, shared.units()), ink)).width(Fill),
                    card,
                ]
                .spacing(GAP)
                .padding([6, 0])
                .align_y(Alignment::Center),
            )
            .push(faint_rule(ink));
    }
    more(lines, (old.len(), FIRST_ZONES, "earlier zones"), (all, Fold::Zones), ink).into()
}

/// "LT1 5:20 to 5:12 · VO2max pace 3:31 · LT2 heart rate 168 to 165": what changed when zones came into
/// force.
pub(super) fn changed(
    before: Option<&Calibration>,
    after: &Calibration,
    units: UnitSystem,
) -> String {
    let of = |calibration: &Calibration, name| {
        calibration.markers.get(name).speed.map(|estimate| pace(estimate.value, units))
    };
    let parts =
        [MarkerName::Lt1, MarkerName::Lt2, MarkerName::Vo2max].into_iter().filter_map(|name| {
            let marker = words::marker(name);
            match (before.and_then(|before| of(before, name)), of(after, name)) {
                (old, new) if old == new => None,
                (Some(old), Some(new)) => Some(format!("{marker} {old} to {new}")),
                (None, Some(new)) => Some(format!("{marker} {new}")),
                (_, None) => Some(format!("{marker} no longer known")),
            }
        });
    let parts: Vec<String> = parts.chain(changed_rates(before, after)).collect();
    if parts.is_empty() { "thresholds as before".to_owned() } else { parts.join(" \u{b7} ") }
}

/// The same of heart rates; who had none and has some now sees them in the zones.
fn changed_rates<'a>(
    before: Option<&'a Calibration>,
    after: &'a Calibration,
) -> impl Iterator<Item = String> + 'a {
    let of = |calibration: &Calibration, name| {
        calibration.markers.get(name).heart_rate.map(|estimate| whole_beats(estimate.value))
    };
    [MarkerName::AerobicFloor, MarkerName::Lt1, MarkerName::Lt2].into_iter().filter_map(
        move |name| {
            let (old, new) = (of(before?, name)?, of(after, name)?);
            let marker = words::marker(name).trim_start_matches("the ");
            (old != new).then(|| format!("{marker} heart rate {old} to {new}"))
        },
    )
}

/// All of a list, or the newest of it again.
fn more<'a>(
    lines: Column<'a, Message>,
    (count, first, what): (usize, usize, &str),
    (all, fold): (bool, Fold),
    ink: Ink,
) -> Column<'a, Message> {
    if count <= first {
        return lines;
    }
    lines
        .push(Space::new().height(6))
        .push(show_all(all, count, what, ink).on_press(Message::Turned(fold)))
}
