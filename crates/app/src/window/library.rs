//! The library: what is in it, a roster in, a copy out, whether it is whole, what was done.

use std::path::PathBuf;
use std::sync::Arc;

use iced::widget::{Row, column, container, responsive, row, text};
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
/// A page narrower than this has one column, px.
const NARROW: f32 = 820.0;

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
    /// What was wrong with a path, until another is typed.
    wrong: Option<(Path, String)>,
}

/// Which path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Path {
    Roster,
    Copy,
    Library,
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
            wrong: None,
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
                self.typed(Path::Roster, path);
                Action::none()
            }
            Message::CopyTyped(path) => {
                self.typed(Path::Copy, path);
                Action::none()
            }
            Message::LibraryTyped(path) => {
                self.typed(Path::Library, path);
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
            Message::RosterTaken(Err(problem)) => self.failed(Some(Path::Roster), problem),
            Message::Copied(Err(problem)) => self.failed(Some(Path::Copy), problem),
            Message::OtherOpened(Err(problem)) => self.failed(Some(Path::Library), problem),
            Message::Read(Err(problem)) | Message::Checked(Err(problem)) => {
                self.failed(None, problem)
            }
        }
    }

    fn typed(&mut self, which: Path, path: String) {
        let _mended = self.wrong.take_if(|(wrong, _)| *wrong == which);
        *match which {
            Path::Roster => &mut self.roster_path,
            Path::Copy => &mut self.copy_path,
            Path::Library => &mut self.library_path,
        } = path;
    }

    /// Says what went wrong, beneath the path too if it is about one.
    fn failed(&mut self, path: Option<Path>, problem: Problem) -> Action<Message> {
        self.busy = None;
        self.wrong = path.map(|path| (path, problem.to_string()));
        Action::say(Outcome::Failed(problem))
    }

    fn take_roster(&mut self, shared: &Shared) -> Action<Message> {
        let path = PathBuf::from(self.roster_path.trim());
        if path.as_os_str().is_empty() {
            let sentence = "Type the path of the roster: a CSV file with a column \"name\".";
            return self.failed(Some(Path::Roster), Problem::new(sentence));
        }
        self.wrong = None;
        self.busy = Some("Reading the roster\u{2026}");
        let (desk, now) = (Arc::clone(&shared.desk), shared.now());
        Action::run(off_thread(move || roster(&desk, &path, &now), Message::RosterTaken))
    }

    fn copy(&mut self, shared: &Shared) -> Action<Message> {
        self.wrong = None;
        self.busy = Some("Copying\u{2026}");
        let (desk, path) = (Arc::clone(&shared.desk), PathBuf::from(self.copy_path.trim()));
        Action::run(off_thread(
            move || keeping::copy_to(&desk, &path).map(|()| path),
            Message::Copied,
        ))
    }

    fn open(&mut self, library: Option<PathBuf>, shared: &Shared) -> Action<Message> {
        if library.as_ref().is_some_and(|path| path.as_os_str().is_empty()) {
            let sentence = "Type the path of the other library.";
            return self.failed(Some(Path::Library), Problem::new(sentence));
        }
        self.wrong = None;
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
        page(responsive(move |size| {
            let head = title("Library", beside.clone(), ink);
            let list = |content: Element<'a, Message>| {
                scroll(container(content).padding(iced::padding::right(BAR)), ink).height(Fill)
            };
            // in a narrow window one under the other, so that a path has the whole width
            let parts: Element<'_, Message> = if size.width < NARROW {
                list(
                    column![self.doing(true, shared), done_head(ink), self.done(shared)]
                        .spacing(11)
                        .into(),
                )
                .into()
            } else {
                let done = column![done_head(ink), list(self.done(shared))].spacing(4);
                let doing = container(list(self.doing(false, shared))).width(FillPortion(3));
                row![doing, container(done).width(FillPortion(2))].spacing(36).into()
            };
            column![head, parts].spacing(14).into()
        }))
    }

    fn doing<'a>(&'a self, narrow: bool, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let wrong = |path| {
            let wrong = self.wrong.as_ref().filter(|(wrong, _)| *wrong == path);
            (narrow, wrong.map(|(_, sentence)| sentence.as_str()))
        };
        let demo = act("Open the demo squad", "", ink).on_press(Message::DemoPressed);
        column![
            self.holdings_said(ink),
            rule(ink),
            small(
                "Athletes from a table (CSV; columns name, squad, born, sex, screening, alias and more)",
                ink
            ),
            typed_act(
                ("roster path", "squad.csv", &self.roster_path),
                (Message::RosterTyped, Message::RosterPressed),
                vec![main_act("Take in the roster", "Enter", ink).on_press(Message::RosterPressed)],
                wrong(Path::Roster),
                ink
            ),
        ]
        .push(self.roster_said(shared))
        .extend([
            rule(ink),
            small("A copy to keep elsewhere, verified before it counts", ink),
            typed_act(
                ("copy path", "copy", &self.copy_path),
                (Message::CopyTyped, Message::CopyPressed),
                vec![act("Copy the library", "", ink).on_press(Message::CopyPressed)],
                wrong(Path::Copy),
                ink,
            ),
            rule(ink),
            small("Is everything as it was written?", ink),
            act("Check every row", "", ink).on_press(Message::CheckPressed).into(),
        ])
        .push(self.check_said(shared))
        .extend([
            rule(ink),
            small("Another library, or the invented squad; this one stays as it is", ink),
            typed_act(
                ("library path", "another library", &self.library_path),
                (Message::LibraryTyped, Message::OpenPressed),
                vec![act("Open it", "", ink).on_press(Message::OpenPressed), demo],
                wrong(Path::Library),
                ink,
            ),
        ])
        .spacing(11)
        .into()
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

    fn roster_said<'a>(&'a self, shared: &'a Shared) -> Option<Element<'a, Message>> {
        let ink = shared.ink();
        let outcome = self.roster.as_ref()?;
        let mut said = column![body(format!(
            "{} added, {} updated, {} unchanged, {} left out.",
            outcome.added.len(),
            outcome.updated.len(),
            outcome.unchanged,
            outcome.refused.len()
        ))]
        .spacing(2);
        for sentence in &outcome.to_look_at {
            said = said.push(wrong(sentence.as_str(), ink));
        }
        for refused in &outcome.refused {
            said = said.push(wrong(format!("line {}: {}", refused.line, refused.reason), ink));
        }
        Some(said.into())
    }

    fn check_said<'a>(&'a self, shared: &'a Shared) -> Option<Element<'a, Message>> {
        let findings = self.checked.as_ref()?;
        if findings.is_empty() {
            return Some(body("Every row is as it was written."));
        }
        let damage = "Damage was found; open a copy made before it, and keep this file.";
        let mut said = column![wrong(damage, shared.ink())].spacing(2);
        for finding in findings.iter().take(20) {
            said = said.push(body(finding.as_str()));
        }
        Some(said.into())
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
            let line = line.align_y(Alignment::Center);
            lines = lines.push(container(line).padding([6, 0])).push(faint_rule(ink));
        }
        if self.acts.is_empty() {
            lines = lines.push(soft("Nothing was done yet.", ink));
        }
        lines.into()
    }
}

/// The head of what was done.
fn done_head<'a>(ink: Ink) -> Element<'a, Message> {
    let words = ["What was done, newest first", "Ctrl Z undo", "Ctrl Y redo"];
    let words = Row::with_children(words.map(|words| small(words, ink)))
        .spacing(13)
        .wrap()
        .vertical_spacing(1);
    column![words, rule(ink)].spacing(4).into()
}

fn read(shared: &Shared) -> Task<Message> {
    let desk = Arc::clone(&shared.desk);
    off_thread(move || Ok((keeping::holdings(&desk)?, history::acts(&desk, ACTS)?)), Message::Read)
}

/// A field for a path, with what is wrong with it, and what is done with it: by Enter, or by the first
/// of the presses beside it (under it in a narrow window).
fn typed_act<'a>(
    (id, placeholder, path): (&'static str, &'static str, &str),
    (typed, entered): (fn(String) -> Message, Message),
    presses: Vec<Press<'a, Message>>,
    (narrow, wrong): (bool, Option<&str>),
    ink: Ink,
) -> Element<'a, Message> {
    let field = field_with_enter(id, placeholder, path, wrong, ink, typed, entered).width(Fill);
    let presses = Row::with_children(presses.into_iter().map(Element::from)).spacing(10);
    if narrow {
        return column![field, presses].spacing(8).into();
    }
    row![field, presses].spacing(10).into()
}
