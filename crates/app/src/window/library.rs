//! The library: what is in it, rosters, the demo, undo.

use iced::Element;
use iced::Task;

use super::action::Action;
use super::keys::Shortcut;
use super::parts::{page, title};
use super::shared::Shared;

/// The screen's state.
#[derive(Debug)]
pub(super) struct LibraryScreen {}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// Placeholder.
    Nothing,
}

impl LibraryScreen {
    pub(super) fn new(_shared: &Shared) -> (Self, Task<Message>) {
        (Self {}, Task::none())
    }

    pub(super) fn update(&mut self, _message: Message, _shared: &Shared) -> Action<Message> {
        Action::none()
    }

    pub(super) fn pressed(&mut self, _shortcut: Shortcut, _shared: &Shared) -> Action<Message> {
        Action::none()
    }

    pub(super) fn refresh(&mut self, _shared: &Shared) -> Action<Message> {
        Action::none()
    }

    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        page(title("LibraryScreen", "", shared.ink()))
    }
}
