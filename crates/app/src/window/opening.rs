//! From the start of the program to an open library, and the run of the window itself.

use std::path::PathBuf;
use std::sync::Arc;

use iced::widget::{center, text};
use iced::{Element, Task};
use pacewright_desk::book::{self, Book};
use pacewright_desk::settings::{self, Settings};
use pacewright_desk::{Desk, Now, Problem};
use pacewright_sheets::ink::Role;

use super::dialogs::Dialogs;
use super::ink::{BODY, FACE, Ink};
use super::work::off_thread;
use super::{Message, Window, heard};

/// What the window starts with.
#[derive(Debug, Clone)]
pub struct Start {
    /// The library; the default one where none is named.
    pub library: Option<PathBuf>,
    /// An invented squad in memory instead.
    pub demo: bool,
    /// What time it is.
    pub clock: fn() -> Now,
    /// How files are asked for.
    pub dialogs: Arc<dyn Dialogs>,
}

/// A library that was opened and read.
#[derive(Debug, Clone)]
pub struct Opened {
    pub(super) desk: Arc<Desk>,
    pub(super) book: Arc<Book>,
    pub(super) settings: Settings,
    pub(super) clock: fn() -> Now,
    pub(super) dialogs: Arc<dyn Dialogs>,
}

/// Opens and reads the library off the window's thread.
pub(super) fn open(start: Start) -> Task<Message> {
    off_thread(move || opened(&start), Message::Opened)
}

/// Opens and reads a library.
pub(super) fn opened(start: &Start) -> Result<Opened, Problem> {
    let now = (start.clock)();
    let desk = if start.demo { demo(&now)? } else { Desk::open(start.library.as_deref())? };
    let book = Arc::new(book::open(&desk)?);
    let settings = settings::settings(&desk)?;
    let dialogs = Arc::clone(&start.dialogs);
    Ok(Opened { desk: Arc::new(desk), book, settings, clock: start.clock, dialogs })
}

fn demo(now: &Now) -> Result<Desk, Problem> {
    let desk = Desk::in_memory()?;
    let squad = pacewright_demo::squad(now.today);
    pacewright_demo::fill(&desk, &squad, now)?;
    let club = Settings { club: squad.club.to_owned(), ..Settings::default() };
    settings::keep(&desk, &club, now)?;
    Ok(desk)
}

/// While the library is read.
pub(super) fn view<'a>(ink: Ink) -> Element<'a, Message> {
    center(text("Reading the library\u{2026}").size(BODY).color(ink.of(Role::SoftInk))).into()
}

/// Runs the window until it is closed.
pub(super) fn run(start: Start) -> Result<(), Problem> {
    let no_display = || {
        Problem::new(
            "There is no display to open a window on: start it on a desktop, see a week of an invented club with --demo, or use a command (see --help).",
        )
    };
    let named = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    if cfg!(target_os = "linux") && !named("DISPLAY") && !named("WAYLAND_DISPLAY") {
        return Err(no_display());
    }
    // a display that is named but gone makes the window library panic: that is a sentence too
    std::panic::set_hook(Box::new(|_| {}));
    let ended = std::panic::catch_unwind(|| program(start).run());
    let _quiet = std::panic::take_hook();
    match ended {
        Ok(Ok(())) => Ok(()),
        Ok(Err(error)) => Err(Problem::new(format!(
            "The window could not be opened ({error}); use a command (see --help)."
        ))),
        Err(_) => Err(no_display()),
    }
}

fn program(
    start: Start,
) -> iced::Application<impl iced::Program<State = Window, Message = Message, Theme = iced::Theme>> {
    let mut program =
        iced::application(move || Window::boot(start.clone()), Window::update, Window::view)
            .title(Window::title)
            .theme(Window::theme)
            .subscription(|_: &Window| iced::event::listen_with(heard))
            .scale_factor(Window::scale)
            .default_font(FACE)
            .window_size((1280.0, 800.0));
    for file in pacewright_sheets::fonts::files() {
        program = program.font(*file);
    }
    program
}
