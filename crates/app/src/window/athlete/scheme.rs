//! Other zones than the five: chosen for an athlete or a squad, written down once.

use iced::widget::{Row, column, row, text_editor};
use iced::{Alignment, Element};
use pacewright_core::zones::{FIVE_ZONES, write_scheme};
use pacewright_desk::book::Page;
use pacewright_desk::schemes::Whose;

use crate::window::ink::Ink;
use crate::window::parts::{act, choice, editor, field, main_act, quiet, small, soft};
use crate::window::shared::Shared;

const NAME: &str = "scheme name";
const LINES: &str = "scheme lines";

/// The section's state.
#[derive(Debug, Default)]
pub(super) struct Schemes {
    open: bool,
    writing: Option<Writing>,
}

#[derive(Debug)]
struct Writing {
    name: String,
    lines: text_editor::Content,
    wrong: Option<String>,
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// The choice is wanted.
    OpenPressed,
    /// A scheme was chosen, or none.
    Chosen(Whose, Option<String>),
    /// A scheme is to be written, new or changed.
    WritePressed(Option<String>),
    /// A scheme is to be removed.
    RemovePressed(String),
    /// Its name was typed.
    NameTyped(String),
    /// Its lines were edited.
    LinesEdited(text_editor::Action),
    /// It is to be kept.
    SavePressed,
    /// Nothing of it.
    LeavePressed,
}

/// What the page has to do.
pub(super) enum Next {
    Here,
    Choose(Whose, Option<String>),
    Write(String, String),
    Remove(String),
}

impl Schemes {
    pub(super) fn is_open(&self) -> bool {
        self.open
    }

    pub(super) fn close(&mut self) {
        *self = Self::default();
    }

    pub(super) fn update(&mut self, message: Message, shared: &Shared) -> Next {
        match message {
            Message::OpenPressed => self.open = true,
            Message::Chosen(whose, name) => return Next::Choose(whose, name),
            Message::RemovePressed(name) => return Next::Remove(name),
            Message::WritePressed(name) => self.writing = Some(Writing::of(name, shared)),
            Message::LeavePressed => self.close(),
            Message::NameTyped(name) => {
                if let Some(writing) = &mut self.writing {
                    (writing.name, writing.wrong) = (name, None);
                }
            }
            Message::LinesEdited(action) => {
                if let Some(writing) = &mut self.writing {
                    writing.wrong = None;
                    writing.lines.perform(action);
                }
            }
            Message::SavePressed => return self.save(),
        }
        Next::Here
    }

    /// What cannot be read is said beneath, and nothing typed is lost.
    fn save(&mut self) -> Next {
        let Some(writing) = &mut self.writing else { return Next::Here };
        let (name, lines) = (writing.name.trim().to_owned(), writing.lines.text());
        if name.is_empty() {
            writing.wrong = Some("Give the scheme a name; it stands on the card.".to_owned());
            return Next::Here;
        }
        match pacewright_core::zones::read_scheme(&lines) {
            Ok(_) => Next::Write(name, lines),
            Err(wrong) => {
                writing.wrong = Some(wrong.to_string());
                Next::Here
            }
        }
    }

    pub(super) fn view<'a>(&'a self, page: &'a Page, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let name = page.scheme.name().unwrap_or("the five zones");
        let quiet = |words: &str, message| quiet(words, ink).on_press(message);
        if !self.open {
            return row![
                small(format!("New zones follow {name}."), ink),
                quiet("Other zones", Message::OpenPressed),
            ]
            .spacing(10)
            .align_y(Alignment::Center)
            .into();
        }
        if let Some(writing) = &self.writing {
            return writing.view(ink);
        }
        let schemes = &shared.book.schemes;
        let mut lines = column![].spacing(8);
        let athlete = Whose::Athlete(page.athlete.id);
        lines = lines.push(answers(&page.athlete.name, athlete, "as the squad", shared));
        for squad in shared.book.squads.iter().filter(|s| page.athlete.squads.contains(&s.id)) {
            let whose = Whose::Squad(squad.id);
            lines = lines.push(answers(&squad.name, whose, "the five zones", shared));
        }
        for (name, _) in schemes.all() {
            lines = lines.push(
                row![
                    soft(name, ink),
                    quiet("Change", Message::WritePressed(Some(name.to_owned()))),
                    quiet("Remove", Message::RemovePressed(name.to_owned())),
                ]
                .spacing(12)
                .align_y(Alignment::Center),
            );
        }
        lines
            .push(
                row![
                    act("Write a scheme", "", ink).on_press(Message::WritePressed(None)),
                    act("Leave", "Esc", ink).on_press(Message::LeavePressed),
                ]
                .spacing(12),
            )
            .into()
    }
}

fn answers<'a>(name: &str, whose: Whose, none: &str, shared: &'a Shared) -> Element<'a, Message> {
    let (ink, schemes) = (shared.ink(), &shared.book.schemes);
    let chosen = schemes.chosen(whose);
    let mut line = Row::new()
        .push(choice(none, chosen.is_none(), Message::Chosen(whose, None), ink))
        .spacing(10);
    for (name, _) in schemes.all() {
        let message = Message::Chosen(whose, Some(name.to_owned()));
        line = line.push(choice(name, chosen == Some(name), message, ink));
    }
    // whose they are stands above, so that the choices stand in one line
    column![small(name, ink), line.wrap().vertical_spacing(8)].spacing(4).into()
}

impl Writing {
    fn of(name: Option<String>, shared: &Shared) -> Self {
        let known = name.as_ref().and_then(|name| {
            shared.book.schemes.all().find(|(other, _)| other == name).map(|(_, scheme)| scheme)
        });
        let lines = text_editor::Content::with_text(&write_scheme(known.unwrap_or(&FIVE_ZONES)));
        Self { name: name.unwrap_or_default(), lines, wrong: None }
    }

    fn view(&self, ink: Ink) -> Element<'_, Message> {
        let editor = editor(LINES, &self.lines, 150.0, ink, Message::LinesEdited);
        column![
            small("Name, as it stands on the card", ink),
            field(NAME, "", &self.name, self.wrong.as_deref(), ink, Message::NameTyped),
            small("One zone a line, easiest first: name; edge above it; what leads", ink),
            editor,
            small(
                "An edge is a share of the floor, LT1, LT2 or VO2max: 90 % of LT2; two shares, 88/92 %, are of pace and \
                 of heart rate. Heart rate, pace or feel leads. The last zone has no edge.",
                ink
            ),
            row![
                main_act("Save the scheme", "", ink).on_press(Message::SavePressed),
                act("Leave", "Esc", ink).on_press(Message::LeavePressed),
            ]
            .spacing(12),
        ]
        .spacing(5)
        .max_width(700)
        .into()
    }
}
