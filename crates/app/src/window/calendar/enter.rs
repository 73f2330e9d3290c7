//! Races and days away: a list typed or pasted, read line by line as it stands.

use std::sync::Arc;

use iced::widget::{column, container, row, text_editor};
use iced::{Element, Fill};
use pacewright_core::ids::AthleteId;
use pacewright_desk::Problem;
use pacewright_desk::entries::{List, enter, in_words, read};

use crate::window::action::{Action, Outcome};
use crate::window::ink::BODY;
use crate::window::keys::Shortcut;
use crate::window::parts::{
    BAR, act, body, faint_rule, main_act, rule, scroll, small, strong, wrong,
};
use crate::window::shared::Shared;
use crate::window::work::off_thread;

/// In a panel lower than this the field is lower too, px.
const LOW: f32 = 400.0;
const HOW: &str = "A line an entry: a name (or Everyone) and a colon, the day or days, and holiday, camp, \
                   illness or injury; or how far a race is, its name, and goal where the season is built \
                   for it. Everyone: Sun 29 Nov 5 km Harbour Run goal";

/// The panel's state.
#[derive(Debug, Default)]
pub(super) struct EnterPanel {
    typed: text_editor::Content,
    list: List,
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// The list is being typed.
    Edited(text_editor::Action),
    /// Enter it.
    EnterPressed,
    /// It was entered, or not.
    Entered(Result<String, Problem>),
    /// Back to the agenda.
    LeavePressed,
}

/// What the room has to do.
pub(super) enum Next {
    Here(Action<Message>),
    Left,
    Entered(String),
}

impl EnterPanel {
    pub(super) fn update(
        &mut self,
        message: Message,
        everyone: Option<&[AthleteId]>,
        shared: &Shared,
    ) -> Next {
        match message {
            Message::Edited(action) => {
                self.typed.perform(action);
                let all: Vec<AthleteId> = shared.book.pages.iter().map(|p| p.athlete.id).collect();
                let everyone = everyone.unwrap_or(&all);
                self.list = read(&shared.book, &self.typed.text(), None, everyone, &shared.now());
            }
            Message::EnterPressed => {
                let (desk, list, now) = (Arc::clone(&shared.desk), self.list.clone(), shared.now());
                let job = move || enter(&desk, &list, &now);
                return Next::Here(Action::run(off_thread(job, Message::Entered)));
            }
            Message::Entered(Ok(words)) => return Next::Entered(words),
            Message::Entered(Err(problem)) => {
                return Next::Here(Action::say(Outcome::Failed(problem)));
            }
            Message::LeavePressed => return Next::Left,
        }
        Next::Here(Action::none())
    }

    pub(super) fn pressed(shortcut: Shortcut) -> Option<Message> {
        match shortcut {
            Shortcut::Main => Some(Message::EnterPressed),
            Shortcut::Back => Some(Message::LeavePressed),
            _ => None,
        }
    }

    /// In a panel of a height, px.
    pub(super) fn view<'a>(&'a self, height: f32, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let editor = text_editor(&self.typed)
            .id("entries")
            .placeholder("Ida Berg: 12 - 26 Jan holiday")
            .size(BODY)
            .height(if height < LOW { 84 } else { 150 })
            .on_action(Message::Edited)
            .style(move |_, status| {
                let focused = matches!(status, text_editor::Status::Focused { .. });
                let field = iced::widget::text_input::Status::Focused { is_hovered: false };
                let at_rest = iced::widget::text_input::Status::Active;
                let style = ink.field(if focused { field } else { at_rest }, false);
                text_editor::Style {
                    background: style.background,
                    border: style.border,
                    placeholder: style.placeholder,
                    value: style.value,
                    selection: style.selection,
                }
            });
        let mut lines = column![].spacing(0);
        for bad in &self.list.wrong {
            let words = format!("Line {}: {}", bad.line, bad.sentence);
            lines = lines.push(container(wrong(words, ink)).padding([5, 0])).push(faint_rule(ink));
        }
        for good in &self.list.entries {
            let mut line = column![body(format!("{}: {}", good.name, in_words(&good.entry)))];
            if let Some(beware) = &good.beware {
                line = line.push(wrong(beware.as_str(), ink));
            }
            lines = lines.push(container(line).padding([5, 0])).push(faint_rule(ink));
        }
        let ready = self.list.wrong.is_empty() && !self.list.entries.is_empty();
        let heard = (self.list != List::default())
            .then(|| column![small("As it is understood", ink), rule(ink)].spacing(8));
        column![strong("Races and days away"), small(HOW, ink), editor,]
            .push(heard)
            .push(scroll(lines.width(Fill).padding(iced::padding::right(BAR)), ink).height(Fill))
            .push(
                row![
                    main_act("Enter them all", "Ctrl Enter", ink)
                        .on_press_maybe(ready.then_some(Message::EnterPressed)),
                    act("Leave", "Esc", ink).on_press(Message::LeavePressed),
                ]
                .spacing(12),
            )
            .spacing(8)
            .into()
    }
}
