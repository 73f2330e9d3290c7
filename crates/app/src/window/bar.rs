//! The rooms along the top, the line at the foot, and the sheet of keys.

use iced::widget::{Space, center, column, container, opaque, responsive, row, text};
use iced::{Alignment, Border, Element, Fill, Length};
use pacewright_sheets::ink::Role;

use super::ink::{BODY, Ink, MARGIN, SMALL, STRONG};
use super::keys::{SHEET, Shown};
use super::parts::{BAR, body, faint_rule, link, rule, scroll, small, strong};
use super::press::{Frame, press};
use super::shared::{Notice, Shared};
use super::{Message, Room, RoomChoice};

/// The club's name and the rooms; the one we are in is underlined.
pub(super) fn bar(here: Room, shared: &Shared) -> Element<'_, Message> {
    let ink = shared.ink();
    let club =
        column![Space::new().height(11), text(shared.club().to_owned()).size(BODY).font(STRONG),];
    let mut rooms = row![club].spacing(18);
    for room in Room::ALL {
        rooms = rooms.push(room_word(room, room == here, ink));
    }
    let today = shared.now().today;
    // the rooms first: where they leave no room the day is shorter, or left out
    let day = responsive(move |size| {
        let day = match size.width {
            ..70.0 => return Space::new().into(),
            ..170.0 => today.format("%-d %b").to_string(),
            _ => today.format("%A %-d %B").to_string(),
        };
        let day = text(day).size(BODY).color(ink.of(Role::SoftInk));
        container(day).align_right(Fill).center_y(Fill).into()
    });
    let bar = row![rooms, day].align_y(Alignment::Center);
    column![container(bar).padding([0.0, MARGIN]).height(43).align_y(Alignment::Center), rule(ink)]
        .into()
}

fn room_word<'a>(room: Room, here: bool, ink: Ink) -> Element<'a, Message> {
    let word = text(room.name()).size(BODY);
    let word = if here { word.font(STRONG) } else { word.color(ink.of(Role::SoftInk)) };
    let line = container(Space::new()).height(2).width(Fill).style(move |_| container::Style {
        background: here.then(|| ink.of(Role::Ink).into()),
        ..container::Style::default()
    });
    let marked = column![
        Space::new().height(11),
        container(word).padding([0, 2]),
        Space::new().height(9),
        line
    ]
    .width(Length::Shrink);
    press(marked, Frame::None, ink)
        .padding(0)
        .id(room.name())
        .on_press(Message::RoomChosen(RoomChoice(room)))
        .into()
}

/// What was done, or what went wrong; with undo where it can be taken back.
pub(super) fn notice(notice: &Notice, ink: Ink) -> Element<'_, Message> {
    let words = text(notice.words.as_str()).size(BODY);
    let words = if notice.problem { words.color(ink.of(Role::Mark)) } else { words };
    let mut line = row![words.width(Fill)].spacing(16).align_y(Alignment::Center);
    if notice.undo {
        line = line.push(link("Undo", ink).on_press(Message::UndoPressed));
    }
    line = line.push(press(small("Close", ink), Frame::None, ink).on_press(Message::NoticeClosed));
    column![rule(ink), container(line).padding([8.0, MARGIN])].into()
}

/// Every shortcut on one sheet, over the page.
pub(super) fn keys_sheet<'a>(ink: Ink) -> Element<'a, Message> {
    opaque(responsive(move |size| {
        // on two columns where there is room, so that nothing has to be scrolled
        let half = SHEET.partition_point(|(place, _, _)| !SECOND_COLUMN.contains(place));
        let (width, lines) = if size.width >= 960.0 {
            let (left, right) = SHEET.split_at(half);
            (900.0, row![key_lines(left, ink), key_lines(right, ink)].spacing(36))
        } else {
            (560.0, row![key_lines(&SHEET, ink)])
        };
        center(sheet(lines.padding(iced::padding::right(BAR)), width, ink)).into()
    }))
}

/// The places whose keys stand in the second column.
const SECOND_COLUMN: [&str; 3] = ["Test day", "A test", "Cards"];

fn key_lines<'a>(keys: &[Shown], ink: Ink) -> Element<'a, Message> {
    let mut lines = column![].spacing(3).width(Fill);
    let mut place = "";
    for (here, key, what) in keys.iter().copied() {
        if here != place {
            place = here;
            lines = lines.push(container(strong(here)).padding([6, 0])).push(faint_rule(ink));
        }
        lines = lines.push(row![text(key).size(BODY).width(150), body(what)].spacing(10));
    }
    lines.into()
}

fn sheet(
    lines: iced::widget::Row<'_, Message>,
    width: f32,
    ink: Ink,
) -> container::Container<'_, Message> {
    let sheet = column![
        row![
            text("Keys").size(BODY + 4.0).font(STRONG),
            Space::new().width(Fill),
            press(text("Close  Esc").size(SMALL), Frame::Faint, ink).on_press(Message::KeysClosed),
        ]
        .align_y(Alignment::Center),
        scroll(lines, ink),
    ]
    .spacing(8);
    container(sheet).padding(24).width(width).max_height(640).style(move |_| container::Style {
        background: Some(ink.of(Role::Field).into()),
        text_color: Some(ink.of(Role::Ink)),
        border: Border { color: ink.of(Role::Ink), width: 1.0, radius: 2.0.into() },
        ..container::Style::default()
    })
}
