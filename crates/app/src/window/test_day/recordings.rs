//! Files dropped or chosen: matched or not, effort found, remarks.

use iced::{Element, Task};
use pacewright_core::ids::TestId;
use std::path::PathBuf;

use crate::window::action::Action;
use crate::window::keys::Shortcut;
use crate::window::parts::{page, title};
use crate::window::shared::Shared;

/// The view's state.
#[derive(Debug)]
pub(super) struct Recordings {}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// Placeholder.
    Nothing,
}

/// Where to go from here.
pub(super) enum Next {
    /// Stay.
    Here(Action<Message>),
    /// To one recorded test.
    Test(TestId),
    /// Back to the table.
    Table,
}

impl Recordings {
    pub(super) fn new(_shared: &Shared) -> (Self, Task<Message>) {
        (Self {}, Task::none())
    }

    /// A file was dropped on the window.
    pub(super) fn dropped(&mut self, _path: PathBuf, _shared: &Shared) -> Action<Message> {
        Action::none()
    }

    pub(super) fn update(&mut self, _message: Message, _shared: &Shared) -> Next {
        Next::Here(Action::none())
    }

    pub(super) fn pressed(&mut self, _shortcut: Shortcut, _shared: &Shared) -> Next {
        Next::Here(Action::none())
    }

    pub(super) fn refresh(&mut self, _shared: &Shared) -> Action<Message> {
        Action::none()
    }

    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, super::Message> {
        page(title("Recordings", "", shared.ink()))
    }
}
