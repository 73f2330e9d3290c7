//! One whistle, many runners: laps and metres typed, zones as you type.

use iced::{Element, Task};
use pacewright_core::ids::AthleteId;

use crate::window::action::Action;
use crate::window::keys::Shortcut;
use crate::window::parts::{page, title};
use crate::window::shared::Shared;

/// The view's state.
#[derive(Debug)]
pub(super) struct Table {}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// Placeholder.
    Nothing,
}

impl Table {
    pub(super) fn new(_shared: &Shared) -> (Self, Task<Message>) {
        (Self {}, Task::none())
    }

    /// The table with one athlete in it.
    pub(super) fn of(_athlete: AthleteId, shared: &Shared) -> (Self, Task<Message>) {
        Self::new(shared)
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

    /// Messages of test day, so that it can ask for the recordings.
    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, super::Message> {
        page(title("Table", "", shared.ink()))
    }
}
