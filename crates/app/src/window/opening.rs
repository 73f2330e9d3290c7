//! From the start of the program to an open library, and the run of the window itself.

use std::path::PathBuf;
use std::sync::Arc;

use iced::widget::{center, text};
use iced::{Element, Task};
use pacewright_desk::settings::{self, Settings};
use pacewright_desk::{Desk, Now, Problem, keeping};
use pacewright_sheets::ink::Role;

use super::dialogs::Dialogs;
use super::ink::{BODY, FACE, Ink};
use super::shared::Facts;
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
    pub(super) facts: Facts,
    pub(super) settings: Settings,
    pub(super) clock: fn() -> Now,
    pub(super) dialogs: Arc<dyn Dialogs>,
    /// What there is to say about how it was opened.
    pub(super) said: Option<String>,
}

/// Opens and reads the library off the window's thread.
pub(super) fn open(start: Start) -> Task<Message> {
    off_thread(move || opened(&start), Message::Opened)
}

/// Puts a copy in the library's place, then opens it.
pub(super) fn restore(start: Start, copy: PathBuf) -> Task<Message> {
    let job = move || {
        let restored = keeping::restore(&copy, start.library.as_deref())?;
        Ok(Opened { said: Some(restored.sentence()), ..opened(&start)? })
    };
    off_thread(job, Message::Opened)
}

/// Opens and reads a library.
pub(super) fn opened(start: &Start) -> Result<Opened, Problem> {
    let now = (start.clock)();
    let desk = if start.demo { demo(&now)? } else { Desk::open(start.library.as_deref())? };
    let facts = Facts::read(&desk, &now)?;
    let settings = settings::settings(&desk)?;
    let dialogs = Arc::clone(&start.dialogs);
    Ok(Opened { desk: Arc::new(desk), facts, settings, clock: start.clock, dialogs, said: None })
}

fn demo(now: &Now) -> Result<Desk, Problem> {
    let desk = Desk::in_memory()?;
    let squad = pacewright_demo::squad(now.today);
    pacewright_demo::fill(&desk, &squad, now)?;
    let club = Settings { club: squad.club.to_owned(), ..Settings::default() };
    settings::keep(&desk, &club, now)?;
    Ok(desk)
}

/// While the library is read, or the invented squad is made.
pub(super) fn view<'a>(start: &Start, ink: Ink) -> Element<'a, Message> {
    let words = if start.demo {
        "The invented squad runs its tests; this takes a few seconds\u{2026}"
    } else {
        "Reading the library\u{2026}"
    };
    center(text(words).size(BODY).color(ink.of(Role::SoftInk))).into()
}

/// Runs the window until it is closed.
pub(super) fn run(start: Start) -> Result<(), Problem> {
    let no_display = || {
        Problem::new(
            "There is no display to open a window on: start it on a desktop, see an invented squad's papers \
             with --demo, or use a command (see --help).",
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
