//! A window on a stage: messages in, tasks run to their end, what stands on screen read back.

use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

use chrono::NaiveDate;
use iced::{Settings, Size, Task};
use iced_test::core::renderer::Headless;
use iced_test::renderer::graphics::text::font_system;
use iced_test::runtime::user_interface::Cache;
use iced_test::runtime::{Action, UserInterface, task};
use iced_test::selector::{Candidate, Selector, Target};
use iced_test::{Simulator, futures::futures};
use pacewright::window::{Dialogs, Message, Start, Window, heard};
use pacewright_demo::DemoSquad;
use pacewright_desk::settings::{self, Settings as Kept};
use pacewright_desk::{Desk, Now};
use tempfile::TempDir;

use crate::drawn::Sheet;
use crate::laid::Layout;

/// The day of every journey.
pub(crate) fn clock() -> Now {
    Now::noon_of(NaiveDate::from_ymd_opt(2026, 11, 25).unwrap())
}

/// Dialogs in which the same is always chosen.
#[derive(Debug)]
struct Chosen(Vec<PathBuf>);

impl Dialogs for Chosen {
    fn recordings(&self) -> Vec<PathBuf> {
        self.0.clone()
    }

    fn folder(&self) -> Option<PathBuf> {
        self.0.first().cloned()
    }

    /// A desktop without a viewer.
    fn view(&self, _document: &Path) -> bool {
        false
    }
}

/// A renderer without a display, with the program's own fonts.
pub(crate) fn renderer() -> iced::Renderer {
    let mut fonts = font_system().write().unwrap();
    for file in pacewright_sheets::fonts::files() {
        fonts.load_font((*file).into());
    }
    drop(fonts);
    let font = iced::Font::with_name(pacewright_sheets::fonts::FAMILY);
    let renderer = <iced::Renderer as Headless>::new(font, iced::Pixels(16.0), Some("tiny-skia"));
    futures::executor::block_on(renderer).unwrap()
}

/// A window with the size it is seen at.
pub(crate) struct Stage {
    pub(crate) window: Window,
    pub(crate) size: Size,
    /// Where its library stands, if it is thrown away with the stage.
    folder: Option<TempDir>,
}

/// The library of a squad with everything that was run, as a file.
pub(crate) fn library_file(squad: &DemoSquad) -> Vec<u8> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library");
    let desk = Desk::open(Some(&path)).unwrap();
    pacewright_demo::fill(&desk, squad, &clock()).unwrap();
    settings::keep(&desk, &Kept { club: squad.club.to_owned(), ..Kept::default() }, &clock())
        .unwrap();
    desk.close().unwrap();
    std::fs::read(path).unwrap()
}

/// Finds words that stand on the screen or in a field; where no line may break is a space like any other.
pub(crate) fn standing(words: &str) -> impl Selector<Output = Target> + Send + use<> {
    let words = words.to_owned();
    move |candidate: Candidate<'_>| {
        let stands = match &candidate {
            Candidate::Text { content, .. } => content.replace('\u{a0}', " ") == words,
            Candidate::TextInput { state, .. } => state.text() == words,
            _ => false,
        };
        stands.then(|| Target::from(candidate))
    }
}

impl Stage {
    /// The demo squad, in a library of its own: made once, copied for each stage.
    pub(crate) fn demo() -> Self {
        static DEMO: OnceLock<Vec<u8>> = OnceLock::new();
        Self::copy_of(DEMO.get_or_init(|| library_file(&pacewright_demo::squad(clock().today))))
    }

    /// A copy of a library.
    pub(crate) fn copy_of(library: &[u8]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("library");
        std::fs::write(&path, library).unwrap();
        Self { folder: Some(folder), ..Self::library(path) }
    }

    /// The demo squad as the program opens it when asked for the demo.
    pub(crate) fn look_around() -> Self {
        Self::start(Start { library: None, demo: true, clock, dialogs: Arc::new(Chosen(vec![])) })
    }

    /// Where its files may stand.
    pub(crate) fn folder(&self) -> &Path {
        self.folder.as_ref().unwrap().path()
    }

    /// A library of its own in a folder.
    pub(crate) fn library(path: PathBuf) -> Self {
        Self::choosing(path, Vec::new())
    }

    /// A library of its own, and a clock of its own.
    pub(crate) fn by_clock(library: PathBuf, clock: fn() -> Now) -> Self {
        let dialogs = Arc::new(Chosen(Vec::new()));
        Self::start(Start { library: Some(library), demo: false, clock, dialogs })
    }

    /// A library of its own, and what is chosen in every dialog.
    pub(crate) fn choosing(library: PathBuf, chosen: Vec<PathBuf>) -> Self {
        let dialogs = Arc::new(Chosen(chosen));
        Self::start(Start { library: Some(library), demo: false, clock, dialogs })
    }

    fn start(start: Start) -> Self {
        let (window, task) = Window::boot(start);
        let mut stage = Self { window, size: Size::new(1280.0, 800.0), folder: None };
        stage.finish(task);
        stage
    }

    /// Runs a task and all that follows from it.
    fn finish(&mut self, task: Task<Message>) {
        let Some(mut stream) = task::into_stream(task) else { return };
        while let Some(action) = futures::executor::block_on(futures::StreamExt::next(&mut stream))
        {
            if let Action::Output(message) = action {
                let next = self.window.update(message);
                self.finish(next);
            }
        }
    }

    /// Several things happen before any of what follows from them is done.
    pub(crate) fn tell_together(&mut self, messages: Vec<Message>) {
        let tasks: Vec<_> = messages.into_iter().map(|m| self.window.update(m)).collect();
        for task in tasks {
            self.finish(task);
        }
    }

    /// Files are dropped on the window.
    pub(crate) fn drop_files(&mut self, paths: &[PathBuf]) {
        let dropped = |path: &PathBuf| {
            let event = iced::Event::Window(iced::window::Event::FileDropped(path.clone()));
            heard(event, iced::event::Status::Ignored, iced::window::Id::unique()).unwrap()
        };
        self.tell_together(paths.iter().map(dropped).collect());
    }

    /// A path is read, and another room is opened before that is done.
    pub(crate) fn read_then_leave(&mut self, path: &Path, room: &'static str) {
        self.type_into("recordings path", &path.to_string_lossy());
        let mut simulator = self.simulator();
        let _target = simulator.click("Read").unwrap();
        let messages: Vec<Message> = simulator.into_messages().collect();
        let tasks: Vec<_> = messages.into_iter().map(|m| self.window.update(m)).collect();
        self.click(room);
        for task in tasks {
            self.finish(task);
        }
    }

    /// Something happens.
    pub(crate) fn tell(&mut self, message: Message) {
        let task = self.window.update(message);
        self.finish(task);
    }

    fn simulator(&self) -> Simulator<'_, Message> {
        let fonts = pacewright_sheets::fonts::files().iter().map(|file| (*file).into()).collect();
        let settings = Settings {
            fonts,
            default_font: iced::Font::with_name(pacewright_sheets::fonts::FAMILY),
            ..Settings::default()
        };
        Simulator::with_size(settings, self.size / self.window.scale(), self.window.view())
    }

    fn hear(&mut self, messages: Vec<Message>) {
        for message in messages {
            self.tell(message);
        }
    }

    /// Clicks the first thing with these words.
    pub(crate) fn click(&mut self, words: &str) {
        let mut simulator = self.simulator();
        let _ = simulator.click(words).unwrap_or_else(|e| panic!("no \"{words}\" to click: {e:?}"));
        let messages: Vec<Message> = simulator.into_messages().collect();
        self.hear(messages);
    }

    /// Clicks several things before anything that follows from any of them is done.
    pub(crate) fn click_together(&mut self, all: &[&str]) {
        let mut simulator = self.simulator();
        for words in all {
            let _ = simulator.click(*words).unwrap_or_else(|e| panic!("no \"{words}\": {e:?}"));
        }
        let messages: Vec<Message> = simulator.into_messages().collect();
        self.tell_together(messages);
    }

    /// Enter in a field, which takes it, with what the window's subscription hears of it besides.
    pub(crate) fn enter_in(&mut self, id: &'static str, modifiers: iced::keyboard::Modifiers) {
        let mut simulator = self.simulator();
        let _ = simulator
            .click(iced_test::selector::id(id))
            .unwrap_or_else(|e| panic!("no #{id}: {e:?}"));
        let event = pressed(iced::keyboard::key::Named::Enter.into(), modifiers);
        let status = simulator.simulate([event.clone()]);
        assert_eq!(status, [iced::event::Status::Captured], "the field takes it");
        let mut messages: Vec<Message> = simulator.into_messages().collect();
        messages.extend(heard(event, status[0], iced::window::Id::unique()));
        self.tell_together(messages);
    }

    /// Puts the cursor into a field and types.
    pub(crate) fn type_into(&mut self, id: &'static str, words: &str) {
        let mut simulator = self.simulator();
        let _ = simulator
            .click(iced_test::selector::id(id))
            .unwrap_or_else(|e| panic!("no #{id}: {e:?}"));
        let _ = simulator.typewrite(words);
        let messages: Vec<Message> = simulator.into_messages().collect();
        self.hear(messages);
    }

    /// Puts the cursor into a field that holds some letters, takes them out and types others.
    pub(crate) fn retype(&mut self, id: &'static str, letters: usize, words: &str) {
        let mut simulator = self.simulator();
        let _ = simulator
            .click(iced_test::selector::id(id))
            .unwrap_or_else(|e| panic!("no #{id}: {e:?}"));
        for _ in 0..letters {
            let _ = simulator.tap_key(iced::keyboard::key::Named::Backspace);
        }
        let _ = simulator.typewrite(words);
        let messages: Vec<Message> = simulator.into_messages().collect();
        self.hear(messages);
    }

    /// The screen as it is painted, the mouse at a place or nowhere: width, height, and red, green,
    /// blue, opacity of each pixel.
    pub(crate) fn pixels(&self, mouse: Option<iced::Point>) -> (usize, usize, Vec<u8>) {
        let folder = tempfile::tempdir().unwrap();
        let mut simulator = self.simulator();
        if let Some(position) = mouse {
            simulator.point_at(position);
            let moved = iced::mouse::Event::CursorMoved { position };
            let _ = simulator.simulate([iced::Event::Mouse(moved)]);
        }
        let snapshot = simulator.snapshot(&self.window.theme()).unwrap();
        assert!(snapshot.matches_image(folder.path().join("screen.png")).unwrap());
        let file = std::fs::read_dir(folder.path()).unwrap().next().unwrap().unwrap();
        let file = std::io::BufReader::new(std::fs::File::open(file.path()).unwrap());
        let mut reader = png::Decoder::new(file).read_info().unwrap();
        let mut bytes = vec![0; reader.output_buffer_size().unwrap()];
        let info = reader.next_frame(&mut bytes).unwrap();
        (info.width as usize, info.height as usize, bytes)
    }

    /// A key, as the window's subscription hears it where no field took it.
    pub(crate) fn key(
        &mut self,
        key: impl Into<iced::keyboard::Key>,
        modifiers: iced::keyboard::Modifiers,
    ) {
        let event = pressed(key.into(), modifiers);
        if let Some(message) =
            heard(event, iced::event::Status::Ignored, iced::window::Id::unique())
        {
            self.tell(message);
        }
    }

    /// A letter key.
    pub(crate) fn letter(&mut self, letter: &str) {
        self.key(iced::keyboard::Key::Character(letter.into()), iced::keyboard::Modifiers::empty());
    }

    /// A path is read, the window hears of it until something stands on screen, and then something is
    /// done before it hears more.
    pub(crate) fn read_until(
        &mut self,
        path: &Path,
        stands: impl Fn(&Self) -> bool,
        act: impl FnOnce(&mut Self),
    ) {
        self.type_into("recordings path", &path.to_string_lossy());
        let mut simulator = self.simulator();
        let _target = simulator.click("Read").unwrap();
        let messages: Vec<Message> = simulator.into_messages().collect();
        let tasks = Task::batch(messages.into_iter().map(|m| self.window.update(m)));
        let mut stream = task::into_stream(tasks).unwrap();
        while !stands(self) {
            let next = futures::executor::block_on(futures::StreamExt::next(&mut stream));
            if let Action::Output(message) = next.expect("what is waited for never stands there") {
                self.tell(message);
            }
        }
        act(self);
        while let Some(action) = futures::executor::block_on(futures::StreamExt::next(&mut stream))
        {
            if let Action::Output(message) = action {
                self.tell(message);
            }
        }
    }

    /// Whether words stand on the screen.
    pub(crate) fn shows(&self, words: &str) -> bool {
        self.simulator().find(standing(words)).is_ok()
    }

    /// Every text on the screen, from the top.
    pub(crate) fn texts(&self) -> Vec<String> {
        self.placed_texts().into_iter().map(|(text, _)| text).collect()
    }

    /// Whether words stand on the screen within longer ones.
    pub(crate) fn shows_part(&self, words: &str) -> bool {
        self.texts().iter().any(|text| text.contains(words))
    }

    /// Asserts that words stand on the screen.
    pub(crate) fn assert_shows(&self, words: &str) {
        assert!(self.shows(words), "\"{words}\" does not stand on the screen");
    }

    /// Writes a picture of the screen into the folder named by `PACEWRIGHT_PICTURES`, if it is.
    pub(crate) fn picture(&self, name: &str) {
        self.write(&mut self.simulator(), name);
    }

    fn write(&self, simulator: &mut Simulator<'_, Message>, name: &str) {
        let snapshot = simulator.snapshot(&self.window.theme()).unwrap();
        if let Some(folder) = std::env::var_os("PACEWRIGHT_PICTURES") {
            let path = Path::new(&folder).join(format!("{name}.png"));
            assert!(snapshot.matches_image(path).unwrap(), "{name} was there already and differs");
        }
    }

    /// Every fault of the screen as it is laid and as it is drawn, in words.
    pub(crate) fn faults(&self) -> Vec<String> {
        let size = self.size / self.window.scale();
        let mut renderer = renderer();
        let mut page =
            UserInterface::build(self.window.view(), size, Cache::default(), &mut renderer);
        let mut layout = Layout::default();
        page.operate(&renderer, &mut layout);
        let style = iced_test::core::renderer::Style::default();
        page.draw(&mut renderer, &self.window.theme(), &style, iced::mouse::Cursor::Unavailable);
        let mut faults = layout.faults(size);
        faults.extend(Sheet::read(&mut renderer).faults(size));
        faults
    }

    /// Every text on the screen that is not out of sight, top to bottom as it is laid out.
    fn placed_texts(&self) -> Vec<(String, iced::Rectangle)> {
        let mut seen = Vec::new();
        let every = |candidate: Candidate<'_>| {
            if let Candidate::Text { content, bounds, .. } = candidate {
                // what a line may not break at is a space like any other to whoever reads
                seen.push((content.replace('\u{a0}', " "), bounds));
            }
            None::<()>
        };
        let _nothing_found = self.simulator().find(every);
        seen
    }

    /// The texts with these words that are wholly in sight: nothing is cut, nothing has to be scrolled.
    pub(crate) fn in_sight(&self, words: &str) -> Vec<String> {
        let mut seen = Vec::new();
        let every = |candidate: Candidate<'_>| {
            if let Candidate::Text { content, bounds, visible_bounds, .. } = candidate
                && content.replace('\u{a0}', " ").contains(words)
                && visible_bounds.is_some_and(|visible| bounds.is_within(&visible.expand(0.5)))
            {
                seen.push(content.replace('\u{a0}', " "));
            }
            None::<()>
        };
        let _nothing_found = self.simulator().find(every);
        seen
    }

    /// How often words stand on the screen as a text of their own.
    pub(crate) fn count(&self, words: &str) -> usize {
        self.texts().iter().filter(|text| *text == words).count()
    }

    /// The first text that begins so.
    pub(crate) fn starting_with(&self, words: &str) -> Option<String> {
        self.texts().into_iter().find(|text| text.starts_with(words))
    }

    /// The text laid out next after one.
    pub(crate) fn text_after(&self, words: &str) -> String {
        let texts = self.texts();
        let place = texts.iter().position(|text| text == words).unwrap();
        texts[place + 1].clone()
    }

    /// How far down the first of some words stands.
    pub(crate) fn height_of(&self, words: &str) -> Option<f32> {
        self.placed_texts().iter().find(|(text, _)| text == words).map(|(_, bounds)| bounds.y)
    }

    /// How far from the left each of some words stands.
    pub(crate) fn lefts_of(&self, words: &str) -> Vec<f32> {
        let texts = self.placed_texts();
        texts.iter().filter(|(text, _)| text == words).map(|(_, bounds)| bounds.x).collect()
    }

    /// The title of the test that is looked at.
    pub(crate) fn title_of_test(&self) -> String {
        let is_title = |text: &String| text.ends_with("-minute test") && text.contains(", ");
        self.texts().into_iter().find(is_title).unwrap()
    }

    /// How many tests wait, by the words beside the title of the one that is looked at.
    pub(crate) fn waiting(&self) -> usize {
        let words = self.starting_with("1 of ").unwrap();
        words.split(' ').nth(2).unwrap().parse().unwrap()
    }

    /// A picture with the pointer at a place, as shares of the width and px from the top.
    pub(crate) fn picture_pointing(&self, share: f32, y: f32, name: &str) {
        let mut simulator = self.simulator();
        let scale = self.window.scale();
        let position = iced::Point::new(self.size.width / scale * share, y);
        simulator.point_at(position);
        let moved = iced::Event::Mouse(iced::mouse::Event::CursorMoved { position });
        let _statuses = simulator.simulate([moved]);
        self.write(&mut simulator, name);
    }

    /// The mouse takes hold at a place, in px, and lets go at another.
    pub(crate) fn drag(&mut self, from: iced::Point, to: iced::Point) {
        use iced::mouse::{Button::Left, Event};
        let mut simulator = self.simulator();
        simulator.point_at(from);
        let _pressed = simulator.simulate([iced::Event::Mouse(Event::ButtonPressed(Left))]);
        simulator.point_at(to);
        let let_go = [Event::CursorMoved { position: to }, Event::ButtonReleased(Left)];
        let _moved = simulator.simulate(let_go.map(iced::Event::Mouse));
        let messages: Vec<Message> = simulator.into_messages().collect();
        self.hear(messages);
    }

    /// A key that types a sign.
    pub(crate) fn sign(&mut self, sign: &str, modifiers: iced::keyboard::Modifiers) {
        self.key(iced::keyboard::Key::Character(sign.into()), modifiers);
    }
}

/// A key as it is pressed.
fn pressed(key: iced::keyboard::Key, modifiers: iced::keyboard::Modifiers) -> iced::Event {
    iced::Event::Keyboard(iced::keyboard::Event::KeyPressed {
        modified_key: key.clone(),
        physical_key: iced::keyboard::key::Physical::Unidentified(
            iced::keyboard::key::NativeCode::Unidentified,
        ),
        key,
        location: iced::keyboard::Location::Standard,
        modifiers,
        text: None,
        repeat: false,
    })
}
