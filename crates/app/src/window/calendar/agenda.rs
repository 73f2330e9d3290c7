//! What stands on each day from today on, day by day, in words.

use iced::widget::text::Wrapping;
use iced::widget::{Row, Space, column, container, row, text};
use iced::{Alignment, Element, Fill};
use pacewright_core::format::weekday;
use pacewright_desk::agenda::{Item, What};
use pacewright_sheets::ink::Role;

use super::{Calendar, Message, Moving, Whose};
use crate::window::ink::{BODY, Ink, STRONG};
use crate::window::parts::{
    BAR, act, faint_rule, main_act, quiet_small, rule, scroll, small, soft, strong, wrong,
};
use crate::window::press::{Frame, press};
use crate::window::shared::Shared;

/// The list's name, to scroll it by.
pub(super) const LIST: &str = "agenda";
/// The width of a line's acts, px.
const ACTS: f32 = 118.0;
/// An agenda narrower than this has a line's acts under its words, px.
const ACTS_BESIDE: f32 = 500.0;
/// Narrower than this what may be done with a booking that is moved stands under where it would, px.
const ACTS_BESIDE_WORDS: f32 = 600.0;

/// The agenda in a width, px, beside the months or alone.
pub(super) fn view<'a>(
    screen: &'a Calendar,
    (width, months): (f32, bool),
    shared: &'a Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let beside = width >= ACTS_BESIDE;
    let today = shared.now().today;
    let mut lines = column![].spacing(0);
    let mut index = 0;
    for (on, day) in screen.days.range(today.max(screen.from)..) {
        let meets = day.meets.clone().unwrap_or_default();
        let head =
            row![strong(weekday(*on)), small(meets, ink)].spacing(12).align_y(Alignment::End);
        lines = lines.push(container(head).padding(iced::Padding::ZERO.top(12).bottom(3)));
        lines = lines.push(faint_rule(ink));
        if day.items.is_empty() {
            lines = lines.push(container(soft("Nothing booked.", ink)).padding([4, 6]));
        }
        for item in &day.items {
            lines = lines.push(line(index, item, (index == screen.at, beside), ink));
            index += 1;
        }
    }
    if screen.days.range(today.max(screen.from)..).next().is_none() {
        let words = if screen.to() < today {
            "These months are over. What was run stands on each athlete's page."
        } else {
            "Nothing stands in these months. Press Plan for a proposal of who is tested when, or say \
             under How they test on which days the squad meets."
        };
        lines = lines.push(container(soft(words, ink)).padding([12, 0]));
    }
    let foot = match &screen.moving {
        Some(moving) => moving_foot(moving, width, ink),
        None => row![
            keys(months, ink),
            act("Save this athlete's calendar", "O", ink)
                .on_press(Message::SavePressed(Whose::Athlete)),
        ]
        .align_y(Alignment::Center)
        .into(),
    };
    column![
        small("Tests, windows that close, races and days away", ink),
        rule(ink),
        scroll(container(lines).padding(iced::padding::right(BAR)), ink).id(LIST).height(Fill),
        rule(ink),
        foot,
    ]
    .spacing(6)
    .into()
}

/// What the keys do; a line breaks between two, never within one.
fn keys<'a>(months: bool, ink: Ink) -> Element<'a, Message> {
    let turns = months.then_some("\u{2190} \u{2192} months");
    let hints = ["\u{2191} \u{2193} line by line", "M move", "X cancel"];
    let hints = hints.into_iter().chain(turns).map(|hint| small(hint, ink));
    container(Row::with_children(hints).spacing(13).wrap().vertical_spacing(1)).width(Fill).into()
}

fn line(index: usize, item: &Item, (here, beside): (bool, bool), ink: Ink) -> Element<'_, Message> {
    let name = text(item.name.as_str()).size(BODY).wrapping(Wrapping::WordOrGlyph);
    let name = if matches!(item.what, What::Booking { .. }) { name.font(STRONG) } else { name };
    let words = text(item.words.as_str()).size(BODY);
    let words = match item.what {
        What::Booking { .. } | What::Race => words,
        What::Away | What::Closes => words.color(ink.of(Role::SoftInk)),
    };
    let words =
        row![name.width(iced::FillPortion(2)), container(words).width(iced::FillPortion(3)),]
            .spacing(12)
            .align_y(Alignment::Center);
    let chosen = press(words, Frame::None, ink)
        .padding(0)
        .width(Fill)
        .by_mouse_only()
        .on_press(Message::LineChosen(index));
    let quiet =
        |words: &'static str, message| quiet_small(words, ink).by_mouse_only().on_press(message);
    let mut whole = column![];
    match &item.what {
        What::Booking { broken, .. } => {
            let acts = row![
                quiet("Move", Message::MovePressed(index)),
                quiet("Cancel", Message::CancelPressed(index)),
            ];
            let acts = acts.spacing(10);
            whole = if beside {
                let acts = container(acts).width(ACTS);
                whole.push(row![chosen, acts].spacing(12).align_y(Alignment::Center))
            } else {
                whole.push(chosen).push(container(acts).align_right(Fill))
            };
            if let Some(why) = broken {
                whole = whole.push(wrong(why.as_str(), ink));
            }
        }
        What::Race | What::Away | What::Closes => {
            let room = if beside { ACTS + 12.0 } else { 0.0 };
            whole = whole.push(row![chosen, Space::new().width(room)]);
        }
    }
    container(whole)
        .padding([5, 6])
        .width(Fill)
        .style(move |_| if here { ink.selected() } else { container::Style::default() })
        .into()
}

/// Where the booking that is moved would stand, in a width, px.
pub(super) fn moving_foot(moving: &Moving, width: f32, ink: Ink) -> Element<'_, Message> {
    let test = pacewright_core::words::test(moving.booking.kind);
    let words = format!("{}, {test}: to {}", moving.name, weekday(moving.to));
    let judged: Element<'_, Message> = match &moving.broken {
        Some(why) => wrong(why.as_str(), ink),
        None if moving.to == moving.booking.on => {
            small("Arrows or a click on a day take it there: a day, or a week up and down.", ink)
        }
        None => small("Nothing speaks against it.", ink),
    };
    let may_stay = moving.broken.is_none() && moving.to != moving.booking.on;
    let keep = if may_stay { main_act } else { act };
    let keep = keep("Move it there", if may_stay { "Enter" } else { "" }, ink)
        .on_press_maybe(may_stay.then_some(Message::KeepPressed));
    let words = column![strong(words), judged].spacing(2).width(Fill);
    let leave = act("Leave it where it was", "Esc", ink).on_press(Message::LeavePressed);
    let acts = row![keep, leave].spacing(12);
    if width < ACTS_BESIDE_WORDS {
        return column![words, acts].spacing(8).into();
    }
    row![words, acts].spacing(12).align_y(Alignment::Center).into()
}
