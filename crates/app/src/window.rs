//! The window: rooms along the top, one screen at a time, one line at the foot for what was done.
//!
//! Every screen file has the same shape: its state, its `Message`, `new`, `update`, `view`. A screen
//! says what happened as an `action::Action`; only this file decides what that means for the whole.
//! Screens read the `shared::Shared` facts and never copy them; all work goes through the desk, on
//! threads of its own.

mod action;
mod athlete;
mod bar;
mod calendar;
mod cards;
mod dialogs;
mod figure;
mod hidden;
mod ink;
mod keys;
mod library;
mod opening;
mod parts;
mod press;
mod reveal;
mod settings;
mod shared;
mod squad;
mod tab_order;
mod test_day;
mod trouble;
mod work;

use std::path::PathBuf;
use std::sync::Arc;

use iced::widget::{column, container, operation};
use iced::{Element, Fill, Subscription, Task, event};
use pacewright_desk::{Now, Problem, history};

use action::{Action, Outcome};
use keys::Shortcut;
use opening::Opened;
use shared::{Facts, Notice, Shared};
use tab_order::tab_order;
use trouble::{Trouble, Way};

pub use dialogs::{Dialogs, SystemDialogs};
pub use opening::Start;

/// The whole window.
#[derive(Debug)]
pub struct Window {
    start: Start,
    stage: Stage,
    /// Flips with every update, see [`ink::Ink::page`].
    flicker: bool,
}

/// What there is to see.
#[derive(Debug)]
enum Stage {
    /// The library is being read.
    Opening,
    /// It could not be read.
    Trouble(Trouble),
    /// At work.
    Open(Box<Desktop>),
}

/// The window at work.
#[derive(Debug)]
struct Desktop {
    shared: Shared,
    screen: Screen,
    notice: Option<Notice>,
    keys_shown: bool,
}

/// One screen at a time; each owns its state.
#[derive(Debug)]
enum Screen {
    Squad(squad::Squad),
    Athlete(athlete::AthleteScreen),
    TestDay(test_day::TestDay),
    Calendar(Box<calendar::Calendar>),
    Cards(cards::Cards),
    Library(library::LibraryScreen),
    Settings(settings::SettingsScreen),
}

/// The rooms on the bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Room {
    Squad,
    TestDay,
    Calendar,
    Cards,
    Library,
    Settings,
}

impl Room {
    const ALL: [Self; 6] =
        [Self::Squad, Self::TestDay, Self::Calendar, Self::Cards, Self::Library, Self::Settings];

    fn name(self) -> &'static str {
        match self {
            Self::Squad => "Squad",
            Self::TestDay => "Test day",
            Self::Calendar => "Calendar",
            Self::Cards => "Cards",
            Self::Library => "Library",
            Self::Settings => "Settings",
        }
    }
}

/// Everything that can happen.
#[derive(Debug, Clone)]
pub enum Message {
    /// The library was opened, or not.
    Opened(Result<Opened, Problem>),
    /// The facts were read again after a change.
    BookRead(Result<Facts, Problem>),
    /// A key that means something.
    Pressed(KeyPress),
    /// A word on the bar.
    RoomChosen(RoomChoice),
    /// Undo or redo was done.
    TakenBack(Result<Option<String>, Problem>),
    /// The notice's undo.
    UndoPressed,
    /// The notice was put away.
    NoticeClosed,
    /// The page of keys was closed.
    KeysClosed,
    /// On the trouble screen.
    Trouble(trouble::Message),
    /// On the squad's ledger.
    Squad(squad::Message),
    /// On an athlete's page.
    Athlete(athlete::Message),
    /// On test day.
    TestDay(test_day::Message),
    /// In the calendar.
    Calendar(calendar::Message),
    /// On the cards.
    Cards(cards::Message),
    /// In the library.
    Library(library::Message),
    /// In the settings.
    Settings(settings::Message),
}

/// A shortcut, opaque to whoever only passes it on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct KeyPress(Shortcut);

/// A room, opaque to whoever only passes it on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RoomChoice(Room);

impl Window {
    /// A window that starts with a library (or the demo), and the task that opens it.
    pub fn boot(start: Start) -> (Self, Task<Message>) {
        let task = opening::open(start.clone());
        (Self { start, stage: Stage::Opening, flicker: false }, task)
    }

    /// What happens next.
    pub fn update(&mut self, message: Message) -> Task<Message> {
        self.flicker = !self.flicker;
        match (message, &mut self.stage) {
            (Message::Opened(Ok(opened)), _) => {
                let (desktop, task) = Desktop::new(opened);
                self.stage = Stage::Open(Box::new(desktop));
                task
            }
            (Message::Opened(Err(problem)), _) => {
                self.stage = Stage::Trouble(Trouble::new(problem));
                Task::none()
            }
            (Message::Trouble(message), Stage::Trouble(trouble)) => {
                let way = trouble.update(message);
                self.leave_trouble(way)
            }
            (Message::Pressed(KeyPress(shortcut)), Stage::Trouble(trouble)) => {
                let way = trouble.pressed(shortcut);
                self.leave_trouble(way)
            }
            (message, Stage::Open(desktop)) => desktop.update(message),
            // a late answer for a stage that is gone
            _ => Task::none(),
        }
    }

    /// Takes a way out of trouble.
    fn leave_trouble(&mut self, way: Option<Way>) -> Task<Message> {
        let Some(way) = way else { return Task::none() };
        self.stage = Stage::Opening;
        match way {
            Way::Again => {}
            Way::Demo => self.start.demo = true,
            Way::Other(library) => {
                (self.start.library, self.start.demo) = (Some(library), false);
            }
            Way::Restore(copy) => return opening::restore(self.start.clone(), copy),
        }
        opening::open(self.start.clone())
    }

    /// What is seen.
    pub fn view(&self) -> Element<'_, Message> {
        let ink = self.ink();
        let flicker = self.flicker;
        let content = match &self.stage {
            Stage::Opening => opening::view(&self.start, ink),
            Stage::Trouble(trouble) => trouble.view(ink).map(Message::Trouble),
            Stage::Open(desktop) => desktop.view(),
        };
        let page = container(content).width(Fill).height(Fill);
        tab_order(page.style(move |_| ink.page(flicker)))
    }

    /// The window's title.
    pub fn title(&self) -> String {
        match &self.stage {
            Stage::Open(desktop) => format!("{} \u{2013} Pacewright", desktop.shared.club()),
            _ => "Pacewright".to_owned(),
        }
    }

    /// The theme of iced's own widgets.
    pub fn theme(&self) -> iced::Theme {
        self.ink().iced_theme()
    }

    /// The size of everything, of 1.
    pub fn scale(&self) -> f32 {
        match &self.stage {
            Stage::Open(desktop) => f32::from(desktop.shared.settings.text_percent) / 100.0,
            _ => 1.0,
        }
    }

    /// Keys, and files dropped on the window.
    pub fn subscription(&self) -> Subscription<Message> {
        event::listen_with(heard)
    }

    fn ink(&self) -> ink::Ink {
        match &self.stage {
            Stage::Open(desktop) => desktop.shared.ink(),
            _ => ink::Ink::new(false),
        }
    }
}

/// What an event of the window says, if anything. The test kit feeds no subscriptions: tests call
/// this.
pub fn heard(
    event: iced::Event,
    status: event::Status,
    _window: iced::window::Id,
) -> Option<Message> {
    if let iced::Event::Window(iced::window::Event::FileDropped(path)) = event {
        return Some(Message::TestDay(test_day::Message::Dropped(path)));
    }
    keys::shortcut(&event, status).map(|shortcut| Message::Pressed(KeyPress(shortcut)))
}

impl Desktop {
    fn new(mut opened: Opened) -> (Self, Task<Message>) {
        let notice = opened.said.take().map(Notice::said);
        let shared = Shared::new(opened);
        let screen = Screen::Squad(squad::Squad::new());
        (Self { shared, screen, notice, keys_shown: false }, Task::none())
    }

    fn update(&mut self, message: Message) -> Task<Message> {
        match message {
            Message::Pressed(KeyPress(shortcut)) => self.pressed(shortcut),
            Message::RoomChosen(RoomChoice(room)) => self.go(room),
            Message::BookRead(Ok(facts)) => self.refresh(facts),
            Message::BookRead(Err(problem)) => self.fail(problem),
            Message::TakenBack(outcome) => self.taken_back(outcome),
            Message::UndoPressed => self.undo(),
            Message::NoticeClosed => {
                self.notice = None;
                Task::none()
            }
            Message::KeysClosed => {
                self.keys_shown = false;
                Task::none()
            }
            Message::TestDay(test_day::Message::Dropped(path)) => self.dropped(path),
            message => self.hand_on(message),
        }
    }

    /// A file was dropped on whatever is shown: test day takes it.
    fn dropped(&mut self, path: PathBuf) -> Task<Message> {
        self.keys_shown = false;
        let is_there = matches!(self.screen, Screen::TestDay(_));
        let going = if is_there { Task::none() } else { self.go(Room::TestDay) };
        let dropped = Message::TestDay(test_day::Message::Dropped(path));
        Task::batch([going, self.hand_on(dropped)])
    }

    /// Hands a screen its own message; one for a screen that is gone is dropped on purpose.
    fn hand_on(&mut self, message: Message) -> Task<Message> {
        let shared = &self.shared;
        let action = match (message, &mut self.screen) {
            (Message::Squad(m), Screen::Squad(s)) => s.update(m, shared).map(Message::Squad),
            (Message::Athlete(m), Screen::Athlete(s)) => s.update(m, shared).map(Message::Athlete),
            (Message::TestDay(m), Screen::TestDay(s)) => s.update(m, shared).map(Message::TestDay),
            (Message::TestDay(m), _) => test_day::late(m).map(Message::TestDay),
            (Message::Calendar(m), Screen::Calendar(s)) => {
                s.update(m, shared).map(Message::Calendar)
            }
            (Message::Cards(m), Screen::Cards(s)) => s.update(m, shared).map(Message::Cards),
            (Message::Library(m), Screen::Library(s)) => s.update(m, shared).map(Message::Library),
            (Message::Settings(m), Screen::Settings(s)) => {
                s.update(m, shared).map(Message::Settings)
            }
            _ => Action::none(),
        };
        self.act(action)
    }

    fn act(&mut self, action: Action<Message>) -> Task<Message> {
        let Action { task, outcome } = action;
        let outcome = match outcome {
            None => Task::none(),
            Some(Outcome::OpenAthlete(athlete)) => self.show(|shared| {
                let (screen, task) = athlete::AthleteScreen::new(athlete, shared);
                (Screen::Athlete(screen), task.map(Message::Athlete))
            }),
            Some(Outcome::NewAthlete) => self.show(|shared| {
                let (screen, task) = athlete::AthleteScreen::blank(shared);
                (Screen::Athlete(screen), task.map(Message::Athlete))
            }),
            Some(Outcome::EnterTest(athlete)) => self.show(|shared| {
                let (screen, task) = test_day::TestDay::table_for(athlete, shared);
                (Screen::TestDay(screen), task.map(Message::TestDay))
            }),
            Some(Outcome::OpenTest(test)) => self.show(|shared| {
                let (screen, task) = test_day::TestDay::open_test(test, shared);
                (Screen::TestDay(screen), task.map(Message::TestDay))
            }),
            Some(Outcome::PrintCards(athletes)) => self.show(|shared| {
                let (screen, task) = cards::Cards::of(&athletes, shared);
                (Screen::Cards(screen), task.map(Message::Cards))
            }),
            Some(Outcome::Go(room)) => self.go(room),
            Some(Outcome::Changed(words)) => {
                self.notice = Some(Notice::done(words));
                self.read_again()
            }
            Some(Outcome::Said(words)) => {
                self.notice = Some(Notice::said(words));
                Task::none()
            }
            Some(Outcome::Drafted(draft)) => {
                self.shared.draft = Some(draft);
                Task::none()
            }
            Some(Outcome::SettingsChanged(settings)) => {
                self.shared.settings = settings;
                Task::none()
            }
            Some(Outcome::Failed(problem)) => self.fail(problem),
            Some(Outcome::OpenDemo) => {
                self.notice = Some(Notice::said("Opening the demo squad\u{2026}"));
                opening::open(self.shared.start(None))
            }
            Some(Outcome::Reopen(opened)) => {
                let (desktop, task) = Self::new(opened);
                *self = desktop;
                task
            }
        };
        Task::batch([task, outcome])
    }

    fn show(&mut self, make: impl FnOnce(&Shared) -> (Screen, Task<Message>)) -> Task<Message> {
        let (screen, task) = make(&self.shared);
        (self.screen, self.keys_shown) = (screen, false);
        task
    }

    fn go(&mut self, room: Room) -> Task<Message> {
        self.show(|shared| match room {
            Room::Squad => (Screen::Squad(squad::Squad::new()), Task::none()),
            Room::TestDay => {
                let (screen, task) = test_day::TestDay::new(shared);
                (Screen::TestDay(screen), task.map(Message::TestDay))
            }
            Room::Calendar => {
                let (screen, task) = calendar::Calendar::new(shared);
                (Screen::Calendar(Box::new(screen)), task.map(Message::Calendar))
            }
            Room::Cards => {
                let (screen, task) = cards::Cards::new(shared);
                (Screen::Cards(screen), task.map(Message::Cards))
            }
            Room::Library => {
                let (screen, task) = library::LibraryScreen::new(shared);
                (Screen::Library(screen), task.map(Message::Library))
            }
            Room::Settings => {
                (Screen::Settings(settings::SettingsScreen::new(shared)), Task::none())
            }
        })
    }

    fn room(&self) -> Room {
        match self.screen {
            Screen::Squad(_) | Screen::Athlete(_) => Room::Squad,
            Screen::TestDay(_) => Room::TestDay,
            Screen::Calendar(_) => Room::Calendar,
            Screen::Cards(_) => Room::Cards,
            Screen::Library(_) => Room::Library,
            Screen::Settings(_) => Room::Settings,
        }
    }

    /// Keys that mean the same everywhere; the others are the screen's.
    fn pressed(&mut self, shortcut: Shortcut) -> Task<Message> {
        match shortcut {
            Shortcut::Back | Shortcut::Keys | Shortcut::Main if self.keys_shown => {
                self.keys_shown = false;
                Task::none()
            }
            Shortcut::Room(place) => match Room::ALL.get(usize::from(place) - 1) {
                Some(room) => self.go(*room),
                None => Task::none(),
            },
            Shortcut::Undo => self.undo(),
            Shortcut::Redo => self.redo(),
            Shortcut::Keys => {
                self.keys_shown = true;
                Task::none()
            }
            Shortcut::Larger => self.resize(10),
            Shortcut::Smaller => self.resize(-10),
            Shortcut::Down if self.keys_shown => scroll_keys(1.0),
            Shortcut::Up if self.keys_shown => scroll_keys(-1.0),
            // what the page behind the keys would do is not seen there
            _ if self.keys_shown => Task::none(),
            other => self.screen_pressed(other),
        }
    }

    fn screen_pressed(&mut self, shortcut: Shortcut) -> Task<Message> {
        let shared = &self.shared;
        let action = match &mut self.screen {
            Screen::Squad(s) => s.pressed(shortcut, shared).map(Message::Squad),
            Screen::Athlete(s) => s.pressed(shortcut, shared).map(Message::Athlete),
            Screen::TestDay(s) => s.pressed(shortcut, shared).map(Message::TestDay),
            Screen::Calendar(s) => s.pressed(shortcut, shared).map(Message::Calendar),
            Screen::Cards(s) => s.pressed(shortcut, shared).map(Message::Cards),
            Screen::Library(s) => s.pressed(shortcut, shared).map(Message::Library),
            Screen::Settings(s) => s.pressed(shortcut, shared).map(Message::Settings),
        };
        self.act(action)
    }

    fn resize(&mut self, by: i32) -> Task<Message> {
        let settings = settings::resized(&self.shared.settings, by);
        let action = settings::keep(settings, &self.shared).map(Message::Settings);
        self.act(action)
    }

    fn undo(&mut self) -> Task<Message> {
        let desk = Arc::clone(&self.shared.desk);
        work::off_thread(
            move || history::undo(&desk),
            |outcome| Message::TakenBack(outcome.map(|o| o.map(|w| format!("Undone: {w}")))),
        )
    }

    fn redo(&mut self) -> Task<Message> {
        let desk = Arc::clone(&self.shared.desk);
        work::off_thread(
            move || history::redo(&desk),
            |outcome| Message::TakenBack(outcome.map(|o| o.map(|w| format!("Done again: {w}")))),
        )
    }

    fn taken_back(&mut self, outcome: Result<Option<String>, Problem>) -> Task<Message> {
        match outcome {
            Ok(Some(words)) => {
                self.notice = Some(Notice::said(words));
                if let Screen::TestDay(test_day) = &mut self.screen {
                    test_day.taken_back();
                }
                let (desk, now) = (Arc::clone(&self.shared.desk), self.shared.now());
                work::off_thread(move || Facts::read_all(&desk, &now), Message::BookRead)
            }
            Ok(None) => {
                self.notice = Some(Notice::said("There is nothing more to take back or do again."));
                Task::none()
            }
            Err(problem) => self.fail(problem),
        }
    }

    fn read_again(&self) -> Task<Message> {
        let (desk, now) = (Arc::clone(&self.shared.desk), self.shared.now());
        work::off_thread(move || Facts::read(&desk, &now), Message::BookRead)
    }

    fn refresh(&mut self, facts: Facts) -> Task<Message> {
        self.shared.refresh(facts);
        let shared = &self.shared;
        let action = match &mut self.screen {
            Screen::Squad(s) => s.refresh(shared).map(Message::Squad),
            Screen::Athlete(s) => s.refresh(shared).map(Message::Athlete),
            Screen::TestDay(s) => s.refresh(shared).map(Message::TestDay),
            Screen::Calendar(s) => s.refresh(shared).map(Message::Calendar),
            Screen::Cards(s) => s.refresh(shared).map(Message::Cards),
            Screen::Library(s) => s.refresh(shared).map(Message::Library),
            Screen::Settings(s) => s.refresh(shared).map(Message::Settings),
        };
        self.act(action)
    }

    fn fail(&mut self, problem: Problem) -> Task<Message> {
        self.notice = Some(Notice::problem(problem));
        Task::none()
    }

    fn view(&self) -> Element<'_, Message> {
        let shared = &self.shared;
        let screen = match &self.screen {
            Screen::Squad(s) => s.view(shared).map(Message::Squad),
            Screen::Athlete(s) => s.view(shared).map(Message::Athlete),
            Screen::TestDay(s) => s.view(shared).map(Message::TestDay),
            Screen::Calendar(s) => s.view(shared).map(Message::Calendar),
            Screen::Cards(s) => s.view(shared).map(Message::Cards),
            Screen::Library(s) => s.view(shared).map(Message::Library),
            Screen::Settings(s) => s.view(shared).map(Message::Settings),
        };
        let screen = container(screen).height(Fill).width(Fill);
        column![bar::bar(self.room(), shared), hidden::hidden(screen, self.keys_shown)]
            .push(self.keys_shown.then(|| bar::keys_page(shared.ink())))
            .push(self.notice.as_ref().map(|notice| bar::notice(notice, shared.ink())))
            .into()
    }
}

/// How far an arrow key scrolls the keys, px.
const STEP: f32 = 90.0;

fn scroll_keys(steps: f32) -> Task<Message> {
    operation::scroll_by(bar::KEYS, operation::AbsoluteOffset { x: 0.0, y: steps * STEP })
}

/// Opens the window and runs until it is closed.
///
/// # Errors
/// No display, or one that cannot be used, in one sentence with what to do.
pub fn run(library: Option<PathBuf>, demo: bool, clock: fn() -> Now) -> Result<(), Problem> {
    opening::run(Start { library, demo, clock, dialogs: Arc::new(SystemDialogs) })
}
