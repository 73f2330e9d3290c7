//! The library: what is in it, a roster in, a copy out, whether it is whole, what was done.

use std::path::PathBuf;
use std::sync::Arc;

use iced::widget::{Row, Space, column, container, row, text};
use iced::{Alignment, Element, Fill, FillPortion, Task};
use pacewright_desk::keeping::{self, Holdings};
use pacewright_desk::roster::{RosterOutcome, roster};
use pacewright_desk::{ActState, LoggedAct, Problem, history};
use pacewright_sheets::ink::Role;

use super::Room;
use super::action::{Action, Outcome};
use super::ink::{BODY, Ink};
use super::keys::Shortcut;
use super::opening::{Opened, opened};
use super::parts::{
    BAR, act, body, faint_rule, field_with_enter, main_act, page, rule, scroll, small, soft, title,
    wrong,
};
use super::press::Press;
use super::shared::Shared;
use super::work::off_thread;

/// How many acts are listed.
const ACTS: usize = 60;

/// The screen's state.
#[derive(Debug)]
pub(super) struct LibraryScreen {
    holdings: Option<Holdings>,
    acts: Vec<LoggedAct>,
    roster_path: String,
    roster: Option<RosterOutcome>,
    copy_path: String,
    library_path: String,
    checked: Option<Vec<String>>,
    busy: Option<&'static str>,
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// What is in the library, and what was done last.
    Read(Result<(Holdings, Vec<LoggedAct>), Problem>),
    /// The roster's path is being typed.
    RosterTyped(String),
    /// Take it in.
    RosterPressed,
    /// It was taken in, or not.
    RosterTaken(Result<RosterOutcome, Problem>),
    /// The copy's path is being typed.
    CopyTyped(String),
    /// Make it.
    CopyPressed,
    /// It was made, or not.
    Copied(Result<PathBuf, Problem>),
    /// Look at every row.
    CheckPressed,
    /// What that found.
    Checked(Result<Vec<String>, Problem>),
    /// Another library's path is being typed.
    LibraryTyped(String),
    /// Open it.
    OpenPressed,
    /// Open the demo squad.
    DemoPressed,
    /// Another library is open, or not.
    OtherOpened(Result<Opened, Problem>),
}

impl LibraryScreen {
    pub(super) fn new(shared: &Shared) -> (Self, Task<Message>) {
        let copy = format!("pacewright-copy-{}.pacewright", shared.now().today);
        let screen = Self {
            holdings: None,
            acts: Vec::new(),
            roster_path: String::new(),
            roster: None,
            copy_path: pacewright_desk::files::documents_folder().join(copy).display().to_string(),
            library_path: String::new(),
            checked: None,
            busy: None,
        };
        let task = read(shared);
        (screen, task)
    }

    pub(super) fn update(&mut self, message: Message, shared: &Shared) -> Action<Message> {
        match message {
            Message::Read(Ok((holdings, acts))) => {
                (self.holdings, self.acts) = (Some(holdings), acts);
                Action::none()
            }
            Message::RosterTyped(path) => {
                self.roster_path = path;
                Action::none()
            }
            Message::CopyTyped(path) => {
                self.copy_path = path;
                Action::none()
            }
            Message::LibraryTyped(path) => {
                self.library_path = path;
                Action::none()
            }
            Message::RosterPressed => self.take_roster(shared),
            Message::RosterTaken(Ok(outcome)) => {
                self.busy = None;
                let words =
                    format!("{} added, {} updated", outcome.added.len(), outcome.updated.len());
                let changed = outcome.added.len() + outcome.updated.len() > 0;
                self.roster = Some(outcome);
                Action::say(if changed { Outcome::Changed(words) } else { Outcome::Said(words) })
            }
            Message::CopyPressed => self.copy(shared),
            Message::Copied(Ok(path)) => {
                self.busy = None;
                Action::say(Outcome::Said(format!("Copied and verified: {}", path.display())))
            }
            Message::CheckPressed => {
                self.busy = Some("Looking at every row\u{2026}");
                let desk = Arc::clone(&shared.desk);
                Action::run(off_thread(move || keeping::check(&desk), Message::Checked))
            }
            Message::Checked(Ok(findings)) => {
                (self.busy, self.checked) = (None, Some(findings));
                Action::none()
            }
            Message::OpenPressed => {
                self.open(Some(PathBuf::from(self.library_path.trim())), shared)
            }
            Message::DemoPressed => self.open(None, shared),
            Message::OtherOpened(Ok(opened)) => Action::say(Outcome::Reopen(opened)),
            Message::Read(Err(problem))
            | Message::RosterTaken(Err(problem))
            | Message::Copied(Err(problem))
            | Message::Checked(Err(problem))
            | Message::OtherOpened(Err(problem)) => {
                self.busy = None;
                Action::say(Outcome::Failed(problem))
            }
        }
    }

    fn take_roster(&mut self, shared: &Shared) -> Action<Message> {
        let path = PathBuf::from(self.roster_path.trim());
        if path.as_os_str().is_empty() {
            return Action::say(Outcome::Failed(Problem::new(
                "Type where the roster stands: a CSV file with a column \"name\".",
            )));
        }
        self.busy = Some("Reading the roster\u{2026}");
        let (desk, now) = (Arc::clone(&shared.desk), shared.now());
        Action::run(off_thread(move || roster(&desk, &path, &now), Message::RosterTaken))
    }

    fn copy(&mut self, shared: &Shared) -> Action<Message> {
        self.busy = Some("Copying\u{2026}");
        let (desk, path) = (Arc::clone(&shared.desk), PathBuf::from(self.copy_path.trim()));
        Action::run(off_thread(
            move || keeping::copy_to(&desk, &path).map(|()| path),
            Message::Copied,
        ))
    }

    fn open(&mut self, library: Option<PathBuf>, shared: &Shared) -> Action<Message> {
        if library.as_ref().is_some_and(|path| path.as_os_str().is_empty()) {
            return Action::say(Outcome::Failed(Problem::new(
                "Type where the other library stands.",
            )));
        }
        self.busy = Some("Opening\u{2026}");
        let start = shared.start(library);
        Action::run(off_thread(move || opened(&start), Message::OtherOpened))
    }

    pub(super) fn pressed(&mut self, shortcut: Shortcut, shared: &Shared) -> Action<Message> {
        match shortcut {
            Shortcut::Main => self.take_roster(shared),
            Shortcut::Back => Action::say(Outcome::Go(Room::Squad)),
            _ => Action::none(),
        }
    }

    #[expect(clippy::unused_self, reason = "every screen has the same shape")]
    pub(super) fn refresh(&mut self, shared: &Shared) -> Action<Message> {
        Action::run(read(shared))
    }

    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let beside = self.busy.map(str::to_owned).unwrap_or_default();
        page(
            column![
                title("Library", beside, ink),
                row![
                    container(self.doing(shared)).width(FillPortion(3)),
                    container(self.done(shared)).width(FillPortion(2)),
                ]
                .spacing(36),
            ]
            .spacing(14),
        )
    }

    fn doing<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let demo = act("Open the demo squad", "", ink).on_press(Message::DemoPressed);
        let sections = column![
            self.holdings_said(ink),
            rule(ink),
            small(
                "Athletes from a table (CSV; columns name, squad, born, sex, screening, alias and more)",
                ink
            ),
            typed_act(
                ("roster path", "squad.csv", &self.roster_path),
                (Message::RosterTyped, Message::RosterPressed),
                main_act("Take in the roster", "Enter", ink),
                ink
            ),
            self.roster_said(shared),
            rule(ink),
            small("A copy to keep elsewhere, verified before it counts", ink),
            typed_act(
                ("copy path", "copy", &self.copy_path),
                (Message::CopyTyped, Message::CopyPressed),
                act("Copy the library", "", ink),
                ink
            ),
            rule(ink),
            small("Is everything as it was written?", ink),
            act("Check every row", "", ink).on_press(Message::CheckPressed),
            self.check_said(shared),
            rule(ink),
            small("Another library, or the invented squad; this one stays as it is", ink),
            typed_act(
                ("library path", "another library", &self.library_path),
                (Message::LibraryTyped, Message::OpenPressed),
                act("Open it", "", ink),
                ink
            )
            .push(demo),
        ]
        .spacing(11);
        scroll(container(sections).padding(iced::padding::right(BAR)), ink).height(Fill).into()
    }

    fn holdings_said(&self, ink: Ink) -> Element<'_, Message> {
        let Some(h) = &self.holdings else { return soft("Counting\u{2026}", ink) };
        let counted =
            format!("{} athletes, {} tests, {} recordings", h.athletes, h.tests, h.recordings);
        let place = h.path.as_ref().map_or_else(
            || "an invented squad, gone when the window closes".to_owned(),
            |path| path.display().to_string(),
        );
        column![body(counted), soft(place, ink)].spacing(4).into()
    }

    fn roster_said<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let Some(outcome) = &self.roster else { return Space::new().into() };
        let mut said = column![body(format!(
            "{} added, {} updated, {} unchanged, {} left out.",
            outcome.added.len(),
            outcome.updated.len(),
            outcome.unchanged,
            outcome.refused.len()
        ))]
        .spacing(2);
        for namesake in &outcome.namesakes {
            said = said.push(wrong(namesake.as_str(), ink));
        }
        for refused in &outcome.refused {
            said = said.push(wrong(format!("line {}: {}", refused.line, refused.reason), ink));
        }
        said.into()
    }

    fn check_said<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        match &self.checked {
            None => Space::new().into(),
            Some(findings) if findings.is_empty() => body("Every row is as it was written."),
            Some(findings) => {
                let mut said = column![wrong(
                    "Damage was found; open a copy made before it, and keep this file.",
                    ink
                )]
                .spacing(2);
                for finding in findings.iter().take(20) {
                    said = said.push(body(finding.as_str()));
                }
                said.into()
            }
        }
    }

    fn done<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let mut lines = column![];
        for logged in &self.acts {
            let words = text(logged.what.as_str()).size(BODY);
            let undone = logged.state != ActState::Done;
            let words = if undone { words.color(ink.of(Role::SoftInk)) } else { words };
            let when = crate::clock::at_place(logged.at).format("%-d %b %H:%M").to_string();
            let when = if undone { format!("{when}, taken back") } else { when };
            let line = row![words.width(Fill), small(when, ink)].spacing(10);
            lines = lines.push(container(line).padding([6, 0])).push(faint_rule(ink));
        }
        if self.acts.is_empty() {
            lines = lines.push(soft("Nothing was done yet.", ink));
        }
        column![
            small("What was done, newest first    Ctrl Z undo    Ctrl Y redo", ink),
            rule(ink),
            scroll(container(lines).padding(iced::padding::right(BAR)), ink).height(Fill),
        ]
        .spacing(4)
        .into()
    }
}

fn read(shared: &Shared) -> Task<Message> {
    let desk = Arc::clone(&shared.desk);
    off_thread(move || Ok((keeping::holdings(&desk)?, history::acts(&desk, ACTS)?)), Message::Read)
}

/// A field for a path, and what is done with it: by Enter, or by the press beside it.
fn typed_act<'a>(
    (id, placeholder, path): (&'static str, &'static str, &str),
    (typed, pressed): (fn(String) -> Message, Message),
    press: Press<'a, Message>,
    ink: Ink,
) -> Row<'a, Message> {
    let field = field_with_enter(id, placeholder, path, None, ink, typed, pressed.clone());
    row![container(field).width(Fill), press.on_press(pressed)]
        .spacing(10)
        .align_y(Alignment::Center)
}
