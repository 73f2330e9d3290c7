//! The split sheet: a session is typed, the pace groups stand there at once; then the page is seen,
//! saved, printed.

mod groups;
mod view;

use std::path::PathBuf;
use std::sync::Arc;

use chrono::NaiveDate;
use iced::widget::{image, operation};
use iced::{Element, Task};
use pacewright_core::ids::{AthleteId, SquadId};
use pacewright_core::session::{Session, Splits};
use pacewright_core::words;
use pacewright_desk::Problem;
use pacewright_desk::papers::{
    Ready, SessionTyped, USUAL_LAP, WrongTyped, session_day, split_sheet, splits_of,
};

use super::athletes::{self, Athletes};
use super::paper;
use crate::window::action::{Action, Outcome};
use crate::window::cards;
use crate::window::dialogs::Dialogs;
use crate::window::keys::Shortcut;
use crate::window::shared::Shared;
use crate::window::work::off_thread;

/// The field of the repetitions.
const RUN: &str = "session repetitions";
/// The field of the lap.
const LAP: &str = "session lap";
/// The field of the day.
const DAY: &str = "session day";
/// The list of groups.
const GROUPS: &str = "pace groups";
/// The zone a session is first asked for in: long intervals.
const USUAL_ZONE: u8 = 4;

/// The screen's state.
#[derive(Debug)]
pub(in crate::window) struct SplitScreen {
    athletes: Athletes,
    typed: SessionTyped,
    /// The day as it is typed; empty is today.
    day: String,
    found: Found,
    /// How far the groups are scrolled, px, and how much of them is seen.
    scrolled: f32,
    seen: f32,
    path: String,
    page: Option<ShownPage>,
    /// Counts what was asked for, so that a late answer to an old question is dropped.
    asked: u64,
}

/// What was typed, as far as it is understood.
#[derive(Debug)]
enum Found {
    /// No repetitions yet.
    Nothing,
    /// Something cannot be.
    Wrong(WrongTyped),
    /// The groups.
    Splits(Splits),
}

/// The page as it will print, where it is wanted in place of the groups.
#[derive(Debug)]
struct ShownPage {
    number: usize,
    sheet: Sheet,
}

/// A page as far as it is known.
#[derive(Debug)]
enum Sheet {
    /// Being laid out.
    Underway,
    /// Ready.
    Ready { sheet: Arc<Ready>, picture: image::Handle },
    /// It could not be laid out.
    Failed(Problem),
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// In the list of athletes.
    Athletes(athletes::Message),
    /// A squad, or everyone, is to run, and nobody else.
    SquadPicked(Option<SquadId>),
    /// Another zone.
    ZonePicked(u8),
    /// The repetitions are being typed.
    RunTyped(String),
    /// The lap is being typed.
    LapTyped(String),
    /// The day is being typed, or was picked.
    DayTyped(String),
    /// The groups were scrolled: offset and height, px.
    Scrolled(f32, f32),
    /// The page in place of the groups, or the groups again.
    PageTurnedOver,
    /// Another page.
    PageTurned(usize),
    /// The page asked for is there: which question it answers, and the answer.
    LaidOut(u64, Result<Arc<Ready>, Problem>),
    /// The place to save to is being typed.
    PathTyped(String),
    /// Save.
    SavePressed,
    /// Save and open in the viewer.
    OpenPressed,
    /// It was saved, or not.
    Saved(Result<PathBuf, Problem>),
}

impl SplitScreen {
    /// Everyone, in the zone of long intervals; the repetitions are to be typed first.
    pub(super) fn new(shared: &Shared) -> Self {
        Self {
            athletes: Athletes::new(everyone(shared)),
            typed: SessionTyped { zone: USUAL_ZONE, run: String::new(), lap: USUAL_LAP.to_owned() },
            day: String::new(),
            found: Found::Nothing,
            scrolled: 0.0,
            seen: 800.0,
            path: usual_path(shared.now().today),
            page: None,
            asked: 0,
        }
    }

    /// Somebody turned here: the groups by what is known now, and the repetitions to type.
    pub(super) fn entered(&mut self, shared: &Shared) -> Task<Message> {
        Task::batch([self.find(shared), operation::focus(RUN)])
    }

    /// Works the groups out anew, and asks for the page where it is seen.
    fn find(&mut self, shared: &Shared) -> Task<Message> {
        let (chosen, on) = (self.athletes.chosen(), self.day_typed(shared));
        self.found = match (self.typed.session(), on) {
            (Ok(session), Ok(on)) => {
                Found::Splits(splits_of(&shared.book, chosen, &session, shared.units(), on))
            }
            (session, on) => {
                let mut wrong = WrongTyped { day: on.err(), ..session.err().unwrap_or_default() };
                // an empty field is not wrong yet
                wrong.run = wrong.run.filter(|_| !self.typed.run.trim().is_empty());
                if wrong == WrongTyped::default() { Found::Nothing } else { Found::Wrong(wrong) }
            }
        };
        self.lay_out(shared)
    }

    /// The day of the session, or what is wrong with it.
    fn day_typed(&self, shared: &Shared) -> Result<NaiveDate, String> {
        session_day(&self.day, shared.now().today)
    }

    /// The day of the session; today while it is not understood.
    fn on(&self, shared: &Shared) -> NaiveDate {
        self.day_typed(shared).unwrap_or(shared.now().today)
    }

    /// Asks for the page, where it is seen and there is one.
    fn lay_out(&mut self, shared: &Shared) -> Task<Message> {
        self.asked += 1;
        let Found::Splits(splits) = &self.found else {
            self.page = None;
            return Task::none();
        };
        let Some(page) = &mut self.page else { return Task::none() };
        page.sheet = Sheet::Underway;
        let (asked, number) = (self.asked, page.number);
        let job = self.sheet_job(splits.session, number, shared);
        off_thread(job, move |answer| Message::LaidOut(asked, answer))
    }

    pub(super) fn update(&mut self, message: Message, shared: &Shared) -> Action<Message> {
        match message {
            Message::Athletes(athletes::Message::Turned(athlete)) => self.turn(athlete, shared),
            Message::Athletes(athletes::Message::Scrolled(offset, height)) => {
                self.athletes.scrolled(offset, height);
                Action::none()
            }
            Message::SquadPicked(squad) => {
                self.athletes.choose(of_squad(squad, shared));
                self.anew(shared)
            }
            Message::ZonePicked(zone) => {
                self.typed.zone = zone;
                self.anew(shared)
            }
            Message::RunTyped(run) => {
                self.typed.run = run;
                self.anew(shared)
            }
            Message::LapTyped(lap) => {
                self.typed.lap = lap;
                self.anew(shared)
            }
            Message::DayTyped(day) => {
                self.type_day(day, shared);
                self.anew(shared)
            }
            Message::Scrolled(offset, height) => {
                (self.scrolled, self.seen) = (offset, height);
                Action::none()
            }
            Message::PageTurnedOver => self.turn_over(shared),
            Message::PageTurned(number) => {
                self.page = Some(ShownPage { number, sheet: Sheet::Underway });
                Action::run(self.lay_out(shared))
            }
            Message::LaidOut(asked, answer) => {
                self.laid_out(asked, answer);
                Action::none()
            }
            Message::PathTyped(path) => {
                self.path = path;
                Action::none()
            }
            Message::SavePressed => self.save(None, shared),
            Message::OpenPressed => self.save(Some(Arc::clone(&shared.dialogs)), shared),
            Message::Saved(outcome) => Action::say(paper::saved(outcome)),
        }
    }

    /// Another day; the usual place to save to bears it too.
    fn type_day(&mut self, day: String, shared: &Shared) {
        let is_usual = self.path == usual_path(self.on(shared));
        self.day = day;
        if is_usual {
            self.path = usual_path(self.on(shared));
        }
    }

    /// Something was chosen or typed: from the top of the first page again.
    fn anew(&mut self, shared: &Shared) -> Action<Message> {
        if let Some(page) = &mut self.page {
            page.number = 1;
        }
        Action::run(self.find(shared))
    }

    fn turn(&mut self, athlete: AthleteId, shared: &Shared) -> Action<Message> {
        self.athletes.turn(athlete);
        self.anew(shared)
    }

    /// The page in place of the groups, or the groups again.
    fn turn_over(&mut self, shared: &Shared) -> Action<Message> {
        let shown = ShownPage { number: 1, sheet: Sheet::Underway };
        self.page = if self.page.is_some() { None } else { Some(shown) };
        Action::run(self.lay_out(shared))
    }

    fn laid_out(&mut self, asked: u64, answer: Result<Arc<Ready>, Problem>) {
        // the answer to a question that was asked anew since is dropped
        let Some(page) = self.page.as_mut().filter(|_| asked == self.asked) else { return };
        page.sheet = match answer {
            Ok(sheet) => Sheet::Ready { picture: paper::picture(&sheet.preview), sheet },
            Err(problem) => Sheet::Failed(problem),
        };
    }

    /// Lays the sheet out and writes it off the window's thread, and opens it in the desktop's viewer
    /// where one is given.
    fn save(&self, viewer: Option<Arc<dyn Dialogs>>, shared: &Shared) -> Action<Message> {
        let splits = match &self.found {
            Found::Splits(splits) => splits,
            Found::Wrong(WrongTyped { day: Some(wrong), .. }) => {
                return Action::say(Outcome::Said(format!("{}.", words::capital(wrong))));
            }
            Found::Nothing | Found::Wrong(_) => {
                return Action::say(Outcome::Said(
                    "Type the repetitions first: 6 x 1000 m. The sheet is saved as one PDF."
                        .to_owned(),
                ));
            }
        };
        let sheet = self.sheet_job(splits.session, 1, shared);
        let path = PathBuf::from(self.path.trim());
        let job = move || paper::save(path, &sheet()?.pdf, viewer, ("split sheet", "is"));
        Action::run(off_thread(job, Message::Saved))
    }

    pub(super) fn pressed(&mut self, shortcut: Shortcut, shared: &Shared) -> Action<Message> {
        match shortcut {
            Shortcut::Down | Shortcut::Up => {
                let count = shared.book.pages.len();
                Action::run(self.athletes.step(shortcut == Shortcut::Down, count))
            }
            Shortcut::Select => match shared.book.pages.get(self.athletes.at()) {
                Some(page) => self.turn(page.athlete.id, shared),
                None => Action::none(),
            },
            Shortcut::Left => self.scroll_by(-0.8 * self.seen),
            Shortcut::Right => self.scroll_by(0.8 * self.seen),
            Shortcut::Search => Action::run(operation::focus(RUN)),
            Shortcut::Main | Shortcut::Letter('s', _) => self.update(Message::SavePressed, shared),
            Shortcut::Letter('o', _) => self.update(Message::OpenPressed, shared),
            Shortcut::Letter('p', _) => self.turn_over(shared),
            Shortcut::Letter(sign, _) => match sign.to_digit(10).and_then(|n| u8::try_from(n).ok())
            {
                Some(zone) if (1..=zones(shared)).contains(&zone) => {
                    self.update(Message::ZonePicked(zone), shared)
                }
                _ => Action::none(),
            },
            _ => Action::none(),
        }
    }

    fn scroll_by(&mut self, by: f32) -> Action<Message> {
        self.scrolled = (self.scrolled + by).max(0.0);
        let offset = operation::AbsoluteOffset { x: 0.0, y: self.scrolled };
        Action::run(operation::scroll_to(GROUPS, offset))
    }

    pub(super) fn refresh(&mut self, shared: &Shared) -> Action<Message> {
        Action::run(self.find(shared))
    }

    /// The work of laying the sheet out, to be done on another thread.
    fn sheet_job(
        &self,
        session: Session,
        page: usize,
        shared: &Shared,
    ) -> impl FnOnce() -> Result<Arc<Ready>, Problem> + Send + use<> {
        let (chosen, on) = (self.athletes.chosen().to_vec(), self.on(shared));
        let (book, settings) = (Arc::clone(&shared.book), shared.settings.clone());
        move || split_sheet(&book, &chosen, (&session, page), &settings, on).map(Arc::new)
    }

    /// Messages of the room, so that it can ask for the zone cards.
    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, cards::Message> {
        view::page_of(self, shared)
    }
}

fn usual_path(on: NaiveDate) -> String {
    paper::usual_path(&format!("split-sheet-{on}.pdf"))
}

fn everyone(shared: &Shared) -> Vec<AthleteId> {
    of_squad(None, shared)
}

fn of_squad(squad: Option<SquadId>, shared: &Shared) -> Vec<AthleteId> {
    let is_in = |athlete: &pacewright_core::athlete::Athlete| {
        squad.is_none_or(|squad| athlete.squads.contains(&squad))
    };
    let athletes = shared.book.pages.iter().map(|page| &page.athlete);
    athletes.filter(|athlete| is_in(athlete)).map(|athlete| athlete.id).collect()
}

/// How many zones there are to choose from: five, or as many as the longest scheme in force has.
fn zones(shared: &Shared) -> u8 {
    let today = shared.now().today;
    let numbers = shared.book.pages.iter().filter_map(|page| page.current(today));
    numbers.flat_map(|c| c.zones.zones.iter().map(|zone| zone.number)).fold(5, u8::max)
}
