//! What would change: the old zones beside the new on one lane, the verdict, marker by marker and
//! zone by zone.

use iced::widget::{Row, column, container, row, text};
use iced::{Element, Fill, FillPortion, Length};
use pacewright_core::calibration::Calibration;
use pacewright_core::format::{day, pace, pace_unit, whole_beats};
use pacewright_core::markers::{MarkerName, Markers};
use pacewright_core::remark::Severity;
use pacewright_core::units::{Origin, UnitSystem};
use pacewright_core::words;
use pacewright_core::zones::shown::{ShownZone, shown};
use pacewright_sheets::ink::Role;
use pacewright_sheets::lane::{self, Axis, Look};

use super::Message;
use super::open::Open;
use crate::window::figure::figure;
use crate::window::ink::{BODY, Ink, SMALL, STRONG};
use crate::window::parts::{body, faint_rule, rule, small, soft, wrong};
use crate::window::shared::Shared;

/// The right of the page, in a width, px.
pub(super) fn view<'a>(open: &'a Open, width: f32, shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let consequence = &open.consequence;
    let now = consequence.now.as_ref();
    let new = consequence.outcome.zones.as_ref();
    let mut column = column![small("What would change", ink), rule(ink)].spacing(6);
    if let Some(lane) = lanes(now, new, f64::from(width.max(240.0)), shared) {
        column = column.push(lane);
    }
    column = column.push(verdict(open, shared));
    if let Some(why) = &consequence.outcome.held_back {
        column = column.push(wrong(why.as_str(), ink));
    }
    for remark in consequence.remarks.iter().filter(|r| r.severity > Severity::Note).take(2) {
        column = column.push(wrong(words::remark(remark, shared.units()), ink));
    }
    column.push(markers(now, new, shared)).push(zones(now, new, shared)).into()
}

fn lanes<'a>(
    now: Option<&Calibration>,
    new: Option<&Calibration>,
    width: f64,
    shared: &Shared,
) -> Option<Element<'a, Message>> {
    let shown = new.or(now)?;
    let edges = shown.zones.own_edges();
    let before = now.filter(|_| new.is_some()).map(|c| &c.markers);
    let axis = Axis::around([&shown.markers].into_iter().chain(before))?;
    let look = Look {
        width,
        bar: 17.0,
        overhang: 9.0,
        text: 12.5,
        labels: true,
        whiskers: true,
        units: shared.units(),
    };
    let drawing = lane::lane_of((&shown.markers, edges.as_deref()), before, axis, &look);
    let scale = lane::scale(axis, width, 10.5, shared.units());
    Some(column![figure(drawing, shared.ink()), figure(scale, shared.ink())].spacing(3).into())
}

/// The change since the test it is held against, beside its error, and the verdict of the trend.
fn verdict<'a>(open: &Open, shared: &Shared) -> Element<'a, Message> {
    let test = words::test(open.opened.test.kind);
    let Some(since) = &open.consequence.since else {
        return soft(
            format!("The first {test} that counts: there is none before to compare it with."),
            shared.ink(),
        );
    };
    let trend = match (&since.trend, since.left_out) {
        (Some(trend), _) => format!("All tests together: {}.", words::trend_since(trend)),
        (None, Some(why)) => format!("It is {}.", words::left_out(why)),
        (None, None) => "Another target was in force then: the trend begins anew.".to_owned(),
    };
    let run = format!("Since the {test} of {}: {}. ", day(since.on), words::run_since(&since.run));
    row![text(run + &trend).size(BODY).font(STRONG).width(Fill)].into()
}

fn line<const CELLS: usize>(
    cells: [(Element<'_, Message>, u16); CELLS],
    ink: Ink,
) -> Element<'_, Message> {
    let cells =
        cells.into_iter().map(|(cell, share)| container(cell).width(FillPortion(share)).into());
    column![Row::with_children(cells).spacing(10).padding([4, 0]), faint_rule(ink)].into()
}

fn markers<'a>(
    now: Option<&Calibration>,
    new: Option<&Calibration>,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let units = shared.units();
    let head = |words: &'static str| small(words, ink);
    let mut column = column![line(
        [(head(""), 5), (head("now"), 2), (head("from this test"), 3), (head(""), 3)],
        ink
    )];
    for (label, of) in ROWS {
        let cell = |c: Option<&Calibration>| c.map_or(DASH.to_owned(), |c| of(&c.markers, units).0);
        let (before, after) = (cell(now), cell(new));
        let origin = new.map_or("", |c| of(&c.markers, units).1);
        let after_text = text(after.clone()).size(BODY);
        let after_text = if before == after { after_text } else { after_text.font(STRONG) };
        column = column.push(line(
            [(body(label), 5), (body(before), 2), (after_text.into(), 3), (soft(origin, ink), 3)],
            ink,
        ));
    }
    column = column.push(small(format!("Paces per {}", pace_unit(units)), ink));
    column.spacing(0).into()
}

const DASH: &str = "\u{2013}";

type Shown = fn(&Markers, UnitSystem) -> (String, &'static str);

const ROWS: [(&str, Shown); 5] = [
    ("LT2 pace", |m, units| speed(m, MarkerName::Lt2, units)),
    ("LT2 heart rate", |m, _| rate(m, MarkerName::Lt2)),
    ("LT1 pace", |m, units| speed(m, MarkerName::Lt1, units)),
    ("LT1 heart rate, target of 40 min", |m, _| rate(m, MarkerName::Lt1)),
    ("VO2max pace", |m, units| speed(m, MarkerName::Vo2max, units)),
];

fn speed(markers: &Markers, name: MarkerName, units: UnitSystem) -> (String, &'static str) {
    let known = markers.get(name).speed;
    known.map_or((DASH.to_owned(), ""), |e| (pace(e.value, units), origin(e.origin)))
}

fn rate(markers: &Markers, name: MarkerName) -> (String, &'static str) {
    let known = markers.get(name).heart_rate;
    known.map_or((DASH.to_owned(), ""), |e| (whole_beats(e.value).to_string(), origin(e.origin)))
}

fn origin(origin: Origin) -> &'static str {
    match origin {
        Origin::Measured => "measured",
        Origin::ByRule => "by rule",
        Origin::Estimated => "estimated",
        Origin::Entered => "entered",
    }
}

/// The zones as a card would show them, old beside new.
fn zones<'a>(
    now: Option<&Calibration>,
    new: Option<&Calibration>,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let Some(new) = new else { return small("", ink) };
    let units = shared.units();
    let before: Vec<ShownZone> = now.map(|c| shown(&c.zones, units)).unwrap_or_default();
    let quiet = |words: &str| -> Element<'a, Message> {
        text(words.to_owned()).size(SMALL + 0.5).color(ink.of(Role::SoftInk)).into()
    };
    let heads = ["Zone", "heart rate now", "new", "pace now", "new"].map(quiet);
    let mut column = column![line(with_shares(heads), ink)].padding([10, 0]).width(Length::Fill);
    for zone in shown(&new.zones, units) {
        let old = before.iter().find(|old| old.number == zone.number);
        let old_rate = old.map_or(DASH, |old| old.heart_rate.as_str());
        let old_pace = old.map_or(DASH, |old| old.pace.as_str());
        let fresh = |words: &str, before: &str| -> Element<'a, Message> {
            let text = text(words.to_owned()).size(SMALL + 0.5);
            if words == before { text.into() } else { text.font(STRONG).into() }
        };
        let cells = [
            quiet(&format!("{} {}", zone.number, zone.name)),
            quiet(old_rate),
            fresh(&zone.heart_rate, old_rate),
            quiet(old_pace),
            fresh(&zone.pace, old_pace),
        ];
        column = column.push(line(with_shares(cells), ink));
    }
    column.into()
}

/// Cells of a row of zones with their shares of its width.
fn with_shares(cells: [Element<'_, Message>; 5]) -> [(Element<'_, Message>, u16); 5] {
    let [zone, rate_now, rate, pace_now, pace] = cells;
    [(zone, 5), (rate_now, 4), (rate, 4), (pace_now, 5), (pace, 5)]
}
