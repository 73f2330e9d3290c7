//! Zone cards: choose athletes (those whose zones changed this week are chosen already), see the
//! page, save it, open it in the viewer.

use std::path::PathBuf;
use std::sync::Arc;

use iced::widget::{Space, column, container, image, row};
use iced::{Alignment, Element, Fill, FillPortion, Task};
use pacewright_core::ids::AthleteId;
use pacewright_desk::Problem;
use pacewright_desk::book::Page;
use pacewright_desk::papers::{Ready, sheets_of};

use super::athletes::{self, Athletes};
use super::paper;
use crate::window::Room;
use crate::window::action::{Action, Outcome};
use crate::window::cards;
use crate::window::dialogs::Dialogs;
use crate::window::keys::Shortcut;
use crate::window::parts::{act, choice, empty, main_act, page, soft, title, wrong};
use crate::window::shared::Shared;
use crate::window::work::off_thread;

/// Zones in force for at most this many days are news (the weekly review's own week).
const NEWS_DAYS: i64 = 7;

/// The screen's state.
#[derive(Debug)]
pub(in crate::window) struct ZoneCards {
    athletes: Athletes,
    single: bool,
    page: usize,
    path: String,
    /// Counts what was asked for, so that a late answer to an old question is dropped.
    asked: u64,
    sheets: Sheets,
}

/// The pages as far as they are known.
#[derive(Debug)]
enum Sheets {
    /// Nobody is chosen.
    Nobody,
    /// Being laid out.
    Underway,
    /// Ready.
    Ready { sheets: Arc<Ready>, picture: image::Handle },
    /// They could not be laid out.
    Failed(Problem),
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// In the list of athletes.
    Athletes(athletes::Message),
    /// All with zones, or nobody.
    AllTurned,
    /// One to a page, or eight.
    LayoutChosen {
        /// One to a page.
        single: bool,
    },
    /// Another page of the preview.
    PageTurned(usize),
    /// The pages asked for are there: which question they answer, and the answer.
    LaidOut(u64, Result<Arc<Ready>, Problem>),
    /// The place to save to is being typed.
    PathTyped(String),
    /// Save.
    SavePressed,
    /// It was saved, or not; then opened where that was asked for.
    Saved(Result<PathBuf, Problem>),
    /// Save and open in the viewer.
    OpenPressed,
}

impl ZoneCards {
    /// With those chosen whose zones changed this week.
    pub(super) fn new(shared: &Shared) -> (Self, Task<Message>) {
        let today = shared.now().today;
        let is_news = |from: chrono::NaiveDate| {
            (0..NEWS_DAYS).contains(&today.signed_duration_since(from).num_days())
        };
        let changed: Vec<AthleteId> = shared
            .book
            .pages
            .iter()
            .filter(|p| p.current(today).is_some_and(|c| is_news(c.from)))
            .map(|p| p.athlete.id)
            .collect();
        Self::of(&changed, shared)
    }

    /// With these athletes chosen.
    pub(super) fn of(athletes: &[AthleteId], shared: &Shared) -> (Self, Task<Message>) {
        let name = format!("zone-cards-{}.pdf", shared.now().today);
        let mut screen = Self {
            athletes: Athletes::new(athletes.to_vec()),
            single: false,
            page: 1,
            path: paper::usual_path(&name),
            asked: 0,
            sheets: Sheets::Nobody,
        };
        let task = screen.lay_out(shared);
        (screen, task)
    }

    /// Asks for the pages of those chosen.
    fn lay_out(&mut self, shared: &Shared) -> Task<Message> {
        self.asked += 1;
        if self.athletes.chosen().is_empty() {
            self.sheets = Sheets::Nobody;
            return Task::none();
        }
        self.sheets = Sheets::Underway;
        let (book, chosen) = (Arc::clone(&shared.book), self.athletes.chosen().to_vec());
        let (settings, now) = (shared.settings.clone(), shared.now());
        let (asked, which) = (self.asked, (self.single, self.page));
        off_thread(
            move || sheets_of(&book, &chosen, &settings, which, &now).map(Arc::new),
            move |answer| Message::LaidOut(asked, answer),
        )
    }

    pub(super) fn update(&mut self, message: Message, shared: &Shared) -> Action<Message> {
        match message {
            Message::Athletes(athletes::Message::Turned(athlete)) => self.turn(athlete, shared),
            Message::Athletes(athletes::Message::Scrolled(offset, height)) => {
                self.athletes.scrolled(offset, height);
                Action::none()
            }
            Message::AllTurned => {
                let all = candidates(shared);
                let everyone = self.athletes.chosen().len() == all.len();
                self.athletes.choose(if everyone { Vec::new() } else { all });
                self.page = 1;
                Action::run(self.lay_out(shared))
            }
            Message::LayoutChosen { single } => {
                (self.single, self.page) = (single, 1);
                Action::run(self.lay_out(shared))
            }
            Message::PageTurned(page) => {
                self.page = page;
                Action::run(self.lay_out(shared))
            }
            Message::LaidOut(asked, answer) if asked == self.asked => {
                self.sheets = match answer {
                    Ok(sheets) => {
                        Sheets::Ready { picture: paper::picture(&sheets.preview), sheets }
                    }
                    Err(problem) => Sheets::Failed(problem),
                };
                Action::none()
            }
            // the answer to a question that was asked anew since
            Message::LaidOut(..) => Action::none(),
            Message::PathTyped(path) => {
                self.path = path;
                Action::none()
            }
            Message::SavePressed => self.save(None),
            Message::OpenPressed => self.save(Some(Arc::clone(&shared.dialogs))),
            Message::Saved(outcome) => Action::say(paper::saved(outcome)),
        }
    }

    fn turn(&mut self, athlete: AthleteId, shared: &Shared) -> Action<Message> {
        self.athletes.turn(athlete);
        self.page = 1;
        Action::run(self.lay_out(shared))
    }

    /// Writes the PDF off the window's thread, and opens it in the desktop's viewer where one is given.
    fn save(&self, viewer: Option<Arc<dyn Dialogs>>) -> Action<Message> {
        let Sheets::Ready { sheets, .. } = &self.sheets else {
            return Action::say(Outcome::Said(
                "Choose athletes first; their cards are saved as one PDF.".to_owned(),
            ));
        };
        let (sheets, path) = (Arc::clone(sheets), PathBuf::from(self.path.trim()));
        let job = move || paper::save(path, &sheets.pdf, viewer, ("cards", "are"));
        Action::run(off_thread(job, Message::Saved))
    }

    pub(super) fn pressed(&mut self, shortcut: Shortcut, shared: &Shared) -> Action<Message> {
        let all = candidates(shared);
        match shortcut {
            Shortcut::Down | Shortcut::Up => {
                Action::run(self.athletes.step(shortcut == Shortcut::Down, all.len()))
            }
            Shortcut::Select => all
                .get(self.athletes.at())
                .map_or_else(Action::none, |athlete| self.turn(*athlete, shared)),
            Shortcut::Main | Shortcut::Letter('s', _) => self.update(Message::SavePressed, shared),
            Shortcut::Letter('o', _) => self.update(Message::OpenPressed, shared),
            Shortcut::Back => Action::say(Outcome::Go(Room::Squad)),
            _ => Action::none(),
        }
    }

    pub(super) fn refresh(&mut self, shared: &Shared) -> Action<Message> {
        Action::run(self.lay_out(shared))
    }

    /// Messages of the room, so that it can ask for the split sheet.
    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, cards::Message> {
        let ink = shared.ink();
        let all = candidates(shared).len();
        if all == 0 {
            let first = main_act("To the squad", "", ink).on_press(cards::Message::SquadPressed);
            return page(column![
                title("Cards", "", ink),
                empty(
                    "No zones yet",
                    "A zone card is what an athlete carries: five zones in heart rate and pace. Cards stand here \
                     once a test is confirmed.",
                    Some(first),
                    ink,
                ),
            ]);
        }
        let chosen = self.athletes.chosen().len();
        let nobody = "Nobody's zones changed this week; choose whose card to print";
        let beside = match chosen {
            0 => String::new(),
            1 => "one card".to_owned(),
            n => format!("{n} cards"),
        };
        let ways: Element<'_, Message> = row![
            act(if chosen == all { "Nobody" } else { "All" }, "", ink).on_press(Message::AllTurned),
            Space::new().width(12),
            choice("Eight to a page", !self.single, Message::LayoutChosen { single: false }, ink),
            choice("One to a page", self.single, Message::LayoutChosen { single: true }, ink),
        ]
        .spacing(12)
        .align_y(Alignment::Center)
        .into();
        let head = row![
            title("Cards", beside, ink),
            Space::new().width(Fill),
            act("Split sheet", "T", ink).on_press(cards::Message::SplitsWanted),
        ]
        .spacing(12)
        .align_y(Alignment::Center);
        // a line of its own: beside the title it left the acts no room on a small screen
        let nobody = (chosen == 0).then(|| soft(nobody, ink));
        let head = column![head, ways.map(cards::Message::Zones)].push(nobody).spacing(6);
        let body: Element<'_, Message> = row![
            container(self.list(shared)).width(FillPortion(2)),
            container(self.sheet(shared)).width(FillPortion(3)),
        ]
        .spacing(28)
        .into();
        let ways = (
            Message::PathTyped as fn(String) -> Message,
            Message::SavePressed,
            Message::OpenPressed,
        );
        let is_ready = matches!(self.sheets, Sheets::Ready { .. });
        let save = paper::save_line("cards path", &self.path, is_ready, ways, ink);
        let body = column![container(body).height(Fill), save].spacing(12);
        page(column![head, Element::from(body).map(cards::Message::Zones)].spacing(14))
    }

    fn list<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let today = shared.now().today;
        let pages = shared.book.pages.iter();
        let rows = pages.filter(|page| page.current(today).is_some()).collect();
        let head = "Athletes with zones    \u{2191}\u{2193} move    Space choose";
        let old = move |page: &Page| page.is_out_of_date(today).then_some("out of date");
        self.athletes.view(head, rows, (today, old), shared.ink()).map(Message::Athletes)
    }

    fn sheet<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let preview: Element<'_, Message> = match &self.sheets {
            Sheets::Nobody => soft(
                "Choose athletes at the left; their cards are shown here as they will print.",
                ink,
            ),
            Sheets::Underway => soft("Laying out\u{2026}", ink),
            Sheets::Failed(problem) => wrong(problem.to_string(), ink),
            Sheets::Ready { picture, .. } => paper::sheet(picture, ink),
        };
        let pages = match &self.sheets {
            Sheets::Ready { sheets, .. } => sheets.pages,
            _ => 1,
        };
        let pages = paper::pages(self.page, pages, Message::PageTurned, ink);
        let mut sheet = column![container(preview).height(Fill), pages].spacing(10);
        if let Sheets::Ready { sheets, .. } = &self.sheets {
            for warning in &sheets.warnings {
                sheet = sheet.push(wrong(warning.as_str(), ink));
            }
        }
        sheet.into()
    }
}

/// Everyone with zones in force.
fn candidates(shared: &Shared) -> Vec<AthleteId> {
    let today = shared.now().today;
    shared.book.pages.iter().filter(|p| p.current(today).is_some()).map(|p| p.athlete.id).collect()
}
