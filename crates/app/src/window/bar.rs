//! The rooms along the top, the line at the foot, and the page of keys.

use iced::widget::{Row, Space, column, container, responsive, row, text};
use iced::{Alignment, Element, Fill, Length};
use pacewright_sheets::ink::Role;

use super::ink::{BODY, Ink, MARGIN, STRONG};
use super::keys::{SHEET, Shown};
use super::parts::{
    BAR, act, faint_rule, link, page, quiet_small, rule, scroll, strong, title, together,
};
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
    let words = text(together(&notice.words)).size(BODY);
    let words = if notice.problem { words.color(ink.of(Role::Mark)) } else { words };
    let mut line = row![words.width(Fill)].spacing(16).align_y(Alignment::Center);
    if notice.undo {
        line = line.push(link("Undo", ink).on_press(Message::UndoPressed));
    }
    line = line.push(quiet_small("Close", ink).on_press(Message::NoticeClosed));
    column![rule(ink), container(line).padding([8.0, MARGIN])].into()
}

/// The list of keys, to scroll it by.
pub(super) const KEYS: &str = "keys";
/// A column of keys is at least so wide, and there are at most so many.
const COLUMN: f32 = 390.0;
const COLUMNS: f32 = 3.0;
/// Between two columns, px.
const BETWEEN: f32 = 36.0;
/// The width of a key, px.
const KEY: f32 = 124.0;

/// Every shortcut, on a page of its own.
pub(super) fn keys_page<'a>(ink: Ink) -> Element<'a, Message> {
    let close = act("Close", "Esc", ink).on_press(Message::KeysClosed);
    let head = row![title("Keys", "", ink), Space::new().width(Fill), close];
    let lists = responsive(move |size| {
        let columns = (size.width / COLUMN).floor().clamp(1.0, COLUMNS);
        let lists = in_columns(columns).into_iter().map(|keys| key_lines(keys, ink));
        let lists = Row::with_children(lists).spacing(BETWEEN).padding(iced::padding::right(BAR));
        scroll(lists, ink).id(KEYS).width(Fill).height(Fill).into()
    });
    page(column![head.align_y(Alignment::Center), lists].spacing(8))
}

/// The keys place by place, in about as long columns.
fn in_columns(columns: f32) -> Vec<Vec<&'static [Shown]>> {
    let places: Vec<&[Shown]> = SHEET.chunk_by(|a, b| a.0 == b.0).collect();
    // a head takes about the room of two lines
    let long = |place: &[Shown]| place.len() as f32 + 2.0;
    let fair = places.iter().copied().map(long).sum::<f32>() / columns;
    let (mut lists, mut list, mut length) = (Vec::new(), Vec::new(), 0.0);
    for place in places {
        let is_full = length + long(place) / 2.0 > fair;
        if is_full && (lists.len() as f32) < columns - 1.0 {
            lists.push(std::mem::take(&mut list));
            length = 0.0;
        }
        length += long(place);
        list.push(place);
    }
    lists.push(list);
    lists
}

fn key_lines<'a>(places: Vec<&'static [Shown]>, ink: Ink) -> Element<'a, Message> {
    let mut lines = column![].spacing(3).width(Fill);
    for place in places {
        let here = place.first().map_or("", |(here, _, _)| *here);
        lines = lines.push(container(strong(here)).padding([6, 0])).push(faint_rule(ink));
        for (_, key, what) in place.iter().copied() {
            let what = text(what).size(BODY).width(Fill);
            lines = lines.push(row![text(key).size(BODY).width(KEY), what].spacing(10));
        }
    }
    lines.into()
}
