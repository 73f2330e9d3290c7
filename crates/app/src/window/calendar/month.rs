//! Two months as plain tables of days: strong where tests are booked, a ring where a plan proposes some,
//! a line under the squad's days.

use std::collections::BTreeSet;

use chrono::{Datelike, Days, Months, NaiveDate};
use iced::widget::{Column, Space, column, container, row, text};
use iced::{Alignment, Border, Element, Fill};
use pacewright_desk::agenda::Day;
use pacewright_sheets::ink::Role;

use super::{Calendar, Message, Panel};
use crate::window::ink::{BODY, Ink, SMALL, STRONG};
use crate::window::parts::{act, scroll, small, strong};
use crate::window::press::{Frame, press};
use crate::window::shared::Shared;

/// The width of a day, px.
const DAY: f32 = 46.0;
/// The width of a month with its bar, px.
pub(super) const WIDTH: f32 = 7.0 * DAY + 16.0;

/// The ring beside a day with tests that are proposed, px across.
const RING: f32 = 7.0;

/// The months' name, to scroll them by.
pub(super) const LIST: &str = "months";

/// How far down two months a day stands, from 0 at the top to 1; a month's head is as high as a week.
pub(super) fn share_of(first: NaiveDate, on: NaiveDate) -> f32 {
    let weeks = |first: NaiveDate, until: NaiveDate| {
        let before = first.weekday().num_days_from_monday();
        (before + until.day0()) / 7
    };
    let second = first.checked_add_months(Months::new(1)).unwrap_or(first);
    let end = |first: NaiveDate| {
        first.checked_add_months(Months::new(1)).and_then(|next| next.pred_opt()).unwrap_or(first)
    };
    let high = |first: NaiveDate| weeks(first, end(first)) + 2;
    let (above, month) = if on < second { (0, first) } else { (high(first), second) };
    let middle = (above + 1 + weeks(month, on)) as f32 + 0.5;
    (middle / (high(first) + high(second)) as f32).clamp(0.0, 1.0)
}

pub(super) fn view<'a>(screen: &'a Calendar, shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let second = screen.from.checked_add_months(Months::new(1)).unwrap_or(screen.from);
    let proposed = match &screen.panel {
        Panel::Plan(plan) => plan.days_proposed(),
        _ => BTreeSet::new(),
    };
    // only what there is to see
    let any = |is_so: fn(&Day) -> bool| screen.days.values().any(is_so);
    let legend = [
        (any(|day| day.tests() > 0), "strong: tests booked"),
        (proposed.range(screen.from..=screen.to()).next().is_some(), "ring: tests proposed"),
        (any(|day| day.meets.is_some()), "lined: the squad meets"),
    ];
    let legend: Vec<&str> =
        legend.iter().filter(|(is_so, _)| *is_so).map(|(_, words)| *words).collect();
    let turn = row![
        act("\u{2190}", "", ink).on_press(Message::MonthsTurned(-1)),
        act("\u{2192}", "", ink).on_press(Message::MonthsTurned(1)),
        small(legend.join("\n"), ink),
    ]
    .spacing(8)
    .align_y(Alignment::Center);
    let months = [screen.from, second].map(|first| month(screen, first, &proposed, shared));
    let months = Column::with_children(months);
    let months = scroll(months.spacing(12), ink).id(LIST).width(Fill).height(Fill);
    column![turn, months].spacing(10).width(WIDTH).into()
}

fn month<'a>(
    screen: &'a Calendar,
    first: NaiveDate,
    proposed: &BTreeSet<NaiveDate>,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let mut weekdays = row![];
    for name in ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"] {
        let head = text(name).size(SMALL).color(ink.of(Role::SoftInk));
        weekdays = weekdays.push(container(head).width(DAY).align_x(Alignment::Center));
    }
    let mut weeks = column![strong(first.format("%B %Y").to_string()), weekdays].spacing(1);
    let before = u64::from(first.weekday().num_days_from_monday());
    let mut monday = first.checked_sub_days(Days::new(before)).unwrap_or(first);
    while (monday.year(), monday.month()) <= (first.year(), first.month()) {
        let mut week = row![];
        for after in 0..7 {
            let on = monday.checked_add_days(Days::new(after)).unwrap_or(monday);
            let here = (on.year(), on.month()) == (first.year(), first.month());
            week = week.push(if here {
                cell(screen, on, (shared.now().today, proposed.contains(&on)), ink)
            } else {
                Space::new().width(DAY).height(34).into()
            });
        }
        weeks = weeks.push(week);
        monday = monday.checked_add_days(Days::new(7)).unwrap_or(NaiveDate::MAX);
    }
    weeks.into()
}

fn cell(
    screen: &Calendar,
    on: NaiveDate,
    (today, proposed): (NaiveDate, bool),
    ink: Ink,
) -> Element<'_, Message> {
    let day = screen.days.get(&on);
    let tests = day.map_or(0, Day::tests);
    let number = text(on.day().to_string()).size(BODY);
    let number = match (tests > 0, on < today) {
        (true, _) => number.font(STRONG),
        (false, true) => number.color(ink.of(Role::SoftInk)),
        (false, false) => number,
    };
    // as wide on both sides, so that the number stays in the middle
    let ring = container(Space::new()).width(RING).height(RING).style(move |_| container::Style {
        border: Border {
            color: ink.of(Role::Ink),
            width: if proposed { 1.0 } else { 0.0 },
            radius: (RING / 2.0).into(),
        },
        ..container::Style::default()
    });
    let number = row![Space::new().width(RING), number, ring].spacing(3).align_y(Alignment::Center);
    let under = match (tests, day.is_some_and(Day::has_race)) {
        (0, false) => String::new(),
        (0, true) => "race".to_owned(),
        (1, _) => "1 test".to_owned(),
        (some, _) => format!("{some} tests"),
    };
    let meets = day.is_some_and(|day| day.meets.is_some());
    let line = container(Space::new()).height(1).width(20).style(move |_| container::Style {
        background: meets.then(|| ink.of(Role::Ink).into()),
        ..container::Style::default()
    });
    let under = text(under).size(SMALL - 2.0).color(ink.of(Role::SoftInk));
    let target = screen.moving.as_ref().is_some_and(|moving| moving.to == on);
    let framed = target || on == today;
    let inside = column![number, line, under].align_x(Alignment::Center);
    let inside =
        container(inside).width(DAY).height(38).align_x(Alignment::Center).style(move |_| {
            container::Style {
                border: Border {
                    color: ink.of(if target { Role::Mark } else { Role::Rule }),
                    width: if framed { 1.0 } else { 0.0 },
                    radius: 2.0.into(),
                },
                ..container::Style::default()
            }
        });
    press(inside, Frame::None, ink)
        .padding(0)
        .by_mouse_only()
        .on_press_maybe(screen.moving.as_ref().map(|_| Message::DayChosen(on)))
        .into()
}
