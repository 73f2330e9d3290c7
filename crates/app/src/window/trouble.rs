//! The library could not be opened: what happened, and the ways out.

use std::path::PathBuf;

use iced::widget::{column, container, row};
use iced::{Element, Fill};
use pacewright_desk::Problem;

use super::ink::Ink;
use super::keys::Shortcut;
use super::parts::{
    BAR, act, body, field_with_enter, main_act, page, rule, scroll, small, soft, title,
};

/// The screen's state.
#[derive(Debug)]
pub(super) struct Trouble {
    problem: Problem,
    /// Where a copy stands, as it is being typed.
    copy: String,
    /// Where another library stands.
    other: String,
    /// What is wrong with a path.
    wrong: Option<(Field, &'static str)>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Field {
    Copy,
    Other,
}

/// What can be done about it.
#[derive(Debug, Clone)]
pub enum Message {
    /// Try the same library again.
    AgainPressed,
    /// Look around in the demo instead.
    DemoPressed,
    /// The path of a copy is being typed.
    CopyTyped(String),
    /// Put it in the library's place.
    RestorePressed,
    /// The path of another library is being typed.
    OtherTyped(String),
    /// Open that one.
    OtherPressed,
}

/// The way out that was taken.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Way {
    /// The same library again.
    Again,
    /// The demo.
    Demo,
    /// Another library.
    Other(PathBuf),
    /// A copy in this library's place.
    Restore(PathBuf),
}

impl Trouble {
    pub(super) fn new(problem: Problem) -> Self {
        Self { problem, copy: String::new(), other: String::new(), wrong: None }
    }

    /// The way out, once one is taken.
    pub(super) fn update(&mut self, message: Message) -> Option<Way> {
        self.wrong = None;
        match message {
            Message::AgainPressed => Some(Way::Again),
            Message::DemoPressed => Some(Way::Demo),
            Message::CopyTyped(path) => {
                self.copy = path;
                None
            }
            Message::OtherTyped(path) => {
                self.other = path;
                None
            }
            Message::RestorePressed => match self.copy.trim() {
                "" => self.missing(Field::Copy, "Type where the copy stands."),
                path => Some(Way::Restore(PathBuf::from(path))),
            },
            Message::OtherPressed => match self.other.trim() {
                "" => self.missing(Field::Other, "Type where the other library stands."),
                path => Some(Way::Other(PathBuf::from(path))),
            },
        }
    }

    fn missing(&mut self, field: Field, what: &'static str) -> Option<Way> {
        self.wrong = Some((field, what));
        None
    }

    #[expect(clippy::unused_self, reason = "every screen has the same shape")]
    pub(super) fn pressed(&mut self, shortcut: Shortcut) -> Option<Way> {
        (shortcut == Shortcut::Main).then_some(Way::Again)
    }

    pub(super) fn view(&self, ink: Ink) -> Element<'_, Message> {
        let ways = row![
            main_act("Try again", "Enter", ink).on_press(Message::AgainPressed),
            act("Open the demo squad", "", ink).on_press(Message::DemoPressed),
        ];
        let wrong = |field: Field| self.wrong.filter(|(at, _)| *at == field).map(|(_, what)| what);
        let copy = row![
            container(field_with_enter(
                "copy to restore",
                "a copy of the library",
                &self.copy,
                wrong(Field::Copy),
                ink,
                Message::CopyTyped,
                Message::RestorePressed,
            ))
            .width(Fill),
            act("Restore it", "", ink).on_press(Message::RestorePressed),
        ];
        let other = row![
            container(field_with_enter(
                "other library",
                "another library",
                &self.other,
                wrong(Field::Other),
                ink,
                Message::OtherTyped,
                Message::OtherPressed,
            ))
            .width(Fill),
            act("Open it", "", ink).on_press(Message::OtherPressed),
        ];
        let lines = column![
            title("The library could not be opened", "", ink),
            body(self.problem.to_string()),
            soft("Nothing in it was changed.", ink),
            ways.spacing(12),
            rule(ink),
            small("Put a copy in its place; the file that stands there now is kept beside it", ink),
            copy.spacing(10),
            small("Or leave it and work with another", ink),
            other.spacing(10),
        ];
        let lines = container(lines.spacing(16).max_width(720)).padding([40, 0]);
        page(scroll(container(lines).padding(iced::padding::right(BAR)), ink).height(Fill))
    }
}
