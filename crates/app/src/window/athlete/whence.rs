//! Where a number comes from: one line under the head, while it is asked for.

use iced::widget::{Space, column, container, row};
use iced::{Alignment, Element, Fill};
use pacewright_desk::book::Page;
use pacewright_desk::whence::{Number, answers};

use super::Message;
use crate::window::ink::{BODY, Ink, MARGIN};
use crate::window::parts::{body, rule, soft, strong};
use crate::window::press::{Frame, press};
use crate::window::shared::Shared;

/// The line; nothing while nothing is asked.
pub(super) fn view<'a>(
    page: &'a Page,
    asked: Option<Number>,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let Some(asked) = asked else { return Space::new().into() };
    let all = answers(page, shared.units(), &shared.now());
    let Some(answer) = all.into_iter().find(|answer| answer.number == asked) else {
        return Space::new().into();
    };
    let keys = soft("W \u{2191} \u{2193} the next number   Esc", ink);
    let close = press(keys, Frame::None, ink).on_press(Message::AskedEnough);
    let head = row![container(strong(answer.what)).width(Fill), close]
        .spacing(16)
        .align_y(Alignment::Center);
    let lines = column![rule(ink), head, body(answer.answer)].spacing(5);
    container(lines).padding(iced::Padding::from([0.0, MARGIN]).bottom(10)).width(Fill).into()
}

/// A number that can be asked by the mouse; W and the arrows ask the same without it.
pub(super) fn number<'a>(
    words: impl Into<String>,
    number: Number,
    asked: Option<Number>,
    ink: Ink,
) -> Element<'a, Message> {
    let words = iced::widget::text(words.into()).size(BODY);
    let cell =
        press(words, Frame::None, ink).padding(0).on_press(Message::Asked(number)).by_mouse_only();
    part(cell, asked == Some(number), ink)
}

/// The name of what is asked for, to bring it into sight.
pub(super) const ASKED: &str = "asked";

/// A part of the page, marked while a number in it is asked for.
pub(super) fn part<'a>(
    content: impl Into<Element<'a, Message>>,
    is_asked: bool,
    ink: Ink,
) -> Element<'a, Message> {
    if is_asked {
        container(content).id(ASKED).style(move |_| ink.selected()).into()
    } else {
        content.into()
    }
}
