//! Zone cards: choose, preview, save, open.

use iced::Element;
use iced::Task;
use pacewright_core::ids::AthleteId;

use super::action::Action;
use super::keys::Shortcut;
use super::parts::{page, title};
use super::shared::Shared;

/// The screen's state.
#[derive(Debug)]
pub(super) struct Cards {}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// Placeholder.
    Nothing,
}

impl Cards {
    pub(super) fn new(_shared: &Shared) -> (Self, Task<Message>) {
        (Self {}, Task::none())
    }

    pub(super) fn of(_athletes: &[AthleteId], _shared: &Shared) -> (Self, Task<Message>) {
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
        page(title("Cards", "", shared.ink()))
    }
}
