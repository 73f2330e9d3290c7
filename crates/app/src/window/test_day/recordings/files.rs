//! What became of each file: whose, which test, and why; an unmatched one can be said whose it is.

use iced::widget::{Row, Space, column, container, row, text, text_input};
use iced::{Alignment, Element, Fill, FillPortion};
use pacewright_core::ids::{AthleteId, TestId};
use pacewright_core::parse;
use pacewright_core::test::{Decision, TestKind};
use pacewright_core::words;
use pacewright_desk::book::Book;
use pacewright_desk::read_in::{Ask, Outcome, ReadLine};
use pacewright_sheets::ink::Role;

use super::Message;
use super::read::Wanted;
use crate::window::ink::{BODY, Ink, SMALL};
use crate::window::parts::{act, body, faint_rule, link, quiet_small, rule, small, strong, wrong};
use crate::window::press::{Frame, press};
use crate::window::shared::Shared;

/// Lines shown at once; those that need the coach come first.
const MOST: usize = 200;
/// Names offered where what was typed fits several.
const SUGGESTED: usize = 4;

/// One file with what became of it, and what the coach says of it.
#[derive(Debug, Clone)]
pub struct Line {
    read: ReadLine,
    /// The test that stands on it.
    test: Option<TestId>,
    /// Whether that test is in the library and waits.
    state: State,
    /// What was typed at the question whose it is.
    typed: String,
    athlete: Option<AthleteChoice>,
    kind: Option<TestKind>,
    /// The day, as it was typed.
    day: String,
    /// The measured distance, as it was typed.
    distance: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    /// As it was read.
    AsRead,
    /// Decided on since.
    Decided,
    /// Taken back since.
    Gone,
}

/// An athlete to choose from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AthleteChoice {
    id: AthleteId,
    name: String,
}

impl Line {
    pub(super) fn new(read: ReadLine, test: Option<TestId>) -> Self {
        let (typed, kind) = (read.athlete.clone().unwrap_or_default(), read.kind.or(read.proposed));
        Self {
            read,
            test,
            state: State::AsRead,
            typed,
            athlete: None,
            kind,
            day: String::new(),
            distance: String::new(),
        }
    }

    /// The same with the athlete chosen whose name was found.
    pub(super) fn known_so_far(mut self, book: &Book) -> Self {
        self.name_typed(self.typed.clone(), book);
        self
    }

    /// Takes a name in: the one athlete it fits is chosen.
    pub(super) fn name_typed(&mut self, text: String, book: &Book) {
        self.typed = text;
        let mut fitting = fitting(&self.typed, book);
        let same = |choice: &AthleteChoice| choice.name.to_lowercase() == self.typed.to_lowercase();
        if fitting.iter().filter(|choice| same(choice)).count() == 1 {
            fitting.retain(same);
        }
        self.athlete = if fitting.len() == 1 { fitting.pop() } else { None };
    }

    pub(super) fn assign(&mut self, choice: AthleteChoice) {
        self.typed.clone_from(&choice.name);
        self.athlete = Some(choice);
    }

    pub(super) fn give_kind(&mut self, kind: TestKind) {
        self.kind = Some(kind);
    }

    pub(super) fn day_typed(&mut self, text: String) {
        self.day = text;
    }

    pub(super) fn distance_typed(&mut self, text: String) {
        self.distance = text;
    }

    pub(super) fn is_of_same_file(&self, other: &Self) -> bool {
        self.read.path == other.read.path
    }

    pub(super) fn is_taken_in(&self) -> bool {
        self.read.outcome == Outcome::TakenIn
    }

    /// What it is to be read again as, once all that is asked is said.
    pub(super) fn wanted(&self) -> Option<Wanted> {
        let athlete = self.athlete.as_ref()?.id;
        let day = parse::day(&self.day).ok();
        let measured = self.measured();
        let said = match self.read.ask? {
            Ask::Athlete => true,
            Ask::Kind => self.kind.is_some(),
            Ask::Day => day.is_some(),
            Ask::Distance => measured.is_some(),
        };
        let (path, kind) = (self.read.path.clone(), self.kind);
        said.then_some(Wanted { path, athlete, kind, day, measured })
    }

    /// The distance that is typed where one is asked for: in sight, and so meant.
    fn measured(&self) -> Option<String> {
        let typed = Some(self.distance.trim()).filter(|text| !text.is_empty());
        typed.filter(|_| self.read.ask == Some(Ask::Distance)).map(str::to_owned)
    }

    /// It and the rest of its test in another file, as one test.
    pub(super) fn wanted_with(&self, rest: &Self) -> Option<Vec<Wanted>> {
        let (athlete, kind) = (self.athlete.as_ref()?.id, self.kind);
        let file = |line: &Self| Wanted {
            path: line.read.path.clone(),
            athlete,
            kind,
            day: None,
            measured: line.measured(),
        };
        Some(vec![file(self), file(rest)])
    }

    /// Whether another file, of the same athlete, holds the rest of the test that this is said to be.
    fn goes_with(&self, other: &Self) -> bool {
        let parts = (self.read.ran, other.read.ran, self.kind);
        let (Some(ran), Some(others), Some(kind)) = parts else { return false };
        self.needs_the_coach()
            && other.needs_the_coach()
            && self.athlete.is_some()
            && self.athlete == other.athlete
            && ran.makes_with(others, kind)
    }

    fn is_before(&self, other: &Self) -> bool {
        self.read.ran.zip(other.read.ran).is_some_and(|(ran, others)| ran.is_before(others))
    }

    fn file_name(&self) -> String {
        let name = self.read.path.file_name();
        let whole = || self.read.path.display().to_string();
        name.map_or_else(whole, |name| name.to_string_lossy().into_owned())
    }

    /// Becomes what it was read again as, but keeps what was chosen.
    pub(super) fn become_(&mut self, again: Self) {
        let (athlete, typed) = (self.athlete.take(), std::mem::take(&mut self.typed));
        let (day, distance) = (std::mem::take(&mut self.day), std::mem::take(&mut self.distance));
        let kind = again.kind.or(self.kind);
        *self = Self { typed, athlete, kind, day, distance, ..again };
    }

    /// Looks after its test in the library as it is now.
    pub(super) fn look_up(&mut self, book: &Book) {
        let mut tests = book.pages.iter().flat_map(|page| &page.tests);
        self.state = match self.test.map(|id| tests.find(|test| test.id == id)) {
            Some(Some(test)) if test.decision != Decision::ToConfirm => State::Decided,
            Some(Some(_)) | None => State::AsRead,
            Some(None) => State::Gone,
        };
    }

    fn needs_the_coach(&self) -> bool {
        matches!(self.read.outcome, Outcome::Unmatched | Outcome::Refused)
    }
}

/// Athletes whose name or alias holds what was typed.
fn fitting(typed: &str, book: &Book) -> Vec<AthleteChoice> {
    let wanted = typed.trim().to_lowercase();
    let fits = |name: &str| name.to_lowercase().contains(&wanted);
    let people = book.pages.iter().map(|page| &page.athlete);
    people
        .filter(|a| !wanted.is_empty() && (fits(&a.name) || a.aliases.iter().any(|a| fits(a))))
        .map(|a| AthleteChoice { id: a.id, name: a.name.clone() })
        .collect()
}

/// "12 files: 9 taken in, 1 duplicate, 2 unmatched."
pub(super) fn summary(lines: &[Line]) -> String {
    let count = |outcome| lines.iter().filter(|line| line.read.outcome == outcome).count();
    let parts: Vec<String> = [
        (count(Outcome::TakenIn), "taken in"),
        (count(Outcome::Duplicate), "there already"),
        (count(Outcome::Unmatched), "unmatched"),
        (count(Outcome::Refused), "refused"),
    ]
    .into_iter()
    .filter(|(count, _)| *count > 0)
    .map(|(count, words)| format!("{count} {words}"))
    .collect();
    match lines.len() {
        0 => "There is no file in that folder.".to_owned(),
        1 => format!("1 file: {}.", parts.join(", ")),
        many => format!("{many} files: {}.", parts.join(", ")),
    }
}

/// The list.
pub(super) fn view<'a>(lines: &'a [Line], shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let clear = quiet_small("Clear the list", ink).on_press(Message::Cleared);
    let head = row![container(small(summary(lines), ink)).width(Fill), clear];
    let mut order: Vec<usize> = (0..lines.len()).collect();
    order.sort_by_key(|index| lines.get(*index).map(|line| !line.needs_the_coach()));
    let mut list = column![head.align_y(Alignment::Center), rule(ink)];
    for index in order.iter().take(MOST) {
        if let Some(line) = lines.get(*index) {
            let rest = lines.iter().position(|other| line.goes_with(other));
            let rest = rest.and_then(|at| Some((at, lines.get(at)?)));
            list = list.push(file((*index, line), rest, shared)).push(faint_rule(ink));
        }
    }
    if lines.len() > MOST {
        list = list.push(small(format!("and {} more", lines.len() - MOST), ink));
    }
    list.into()
}

/// A line; `rest` is the file that may hold the rest of its test.
fn file<'a>(
    (index, line): (usize, &'a Line),
    rest: Option<(usize, &'a Line)>,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let whose = line.read.athlete.clone().unwrap_or_else(|| "\u{2013}".to_owned());
    let which = line.read.kind.map_or("\u{2013}", words::test);
    let breaks = text::Wrapping::WordOrGlyph;
    let cells = row![
        text(line.file_name()).size(BODY).wrapping(breaks).width(FillPortion(5)),
        text(whose).size(BODY).wrapping(breaks).width(FillPortion(4)),
        text(which).size(BODY).width(FillPortion(3)),
        container(outcome(line, ink)).width(FillPortion(9)),
        container(open(line, ink)).width(60),
    ]
    .spacing(12)
    .align_y(Alignment::Start);
    let mut column = column![cells].spacing(6).padding([7, 0]);
    if line.read.ask.is_some() {
        column = column.push(assign(index, line, rest.map(|(at, _)| at), shared));
    }
    if let (Some((at, other_line)), Some(kind)) = (rest, line.kind) {
        let (test, other) = (words::test(kind), other_line.file_name());
        let beside = if line.is_before(other_line) {
            format!("{other} goes on where it ends")
        } else {
            format!("{other} ends where it begins")
        };
        let asked = format!("Too short for a {test}, but {beside}: is that one test in two files?");
        let join = act("Join the two", "", ink).on_press(Message::Joined(index, at));
        let cells = row![container(small(asked, ink)).width(Fill), join].spacing(12);
        column = column.push(cells.align_y(Alignment::Center));
    }
    column.into()
}

fn open<'a>(line: &Line, ink: Ink) -> Element<'a, Message> {
    match line.test.filter(|_| line.state != State::Gone) {
        Some(test) => link("Open", ink).on_press(Message::TestPressed(test)).into(),
        None => Space::new().into(),
    }
}

fn outcome(line: &Line, ink: Ink) -> Element<'_, Message> {
    let (what, role) = match (line.read.outcome, line.state) {
        (_, State::Gone) => ("taken back", Role::SoftInk),
        (Outcome::TakenIn, State::Decided) => ("taken in, decided", Role::SoftInk),
        (Outcome::TakenIn, State::AsRead) => ("taken in", Role::Ink),
        (Outcome::Duplicate, _) => ("there already", Role::SoftInk),
        (Outcome::Unmatched, _) => ("unmatched", Role::Mark),
        (Outcome::Refused, _) => ("refused", Role::Mark),
    };
    let what = text(what).size(BODY).color(ink.of(role));
    let Some(reason) = &line.read.reason else { return what.into() };
    // the file's name stands at the left of it already
    let path = format!("{}: ", line.read.path.display());
    let reason = text(sentence(reason.strip_prefix(&path).unwrap_or(reason)))
        .size(SMALL + 0.5)
        .color(ink.of(Role::SoftInk))
        .wrapping(text::Wrapping::WordOrGlyph);
    column![what, reason].into()
}

/// A reason as a sentence of its own.
fn sentence(reason: &str) -> String {
    let mut letters = reason.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Whose it is and which test, said by the coach: a name typed at, its fits to press, three tests.
/// Where how far it went is asked of it and the `rest` of its test together, they are joined.
fn assign<'a>(
    index: usize,
    line: &'a Line,
    rest: Option<usize>,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let join = rest.filter(|_| line.read.ask == Some(Ask::Distance));
    let alone = line.wanted().filter(|_| join.is_none()).map(|_| Message::ReadAgain(index));
    let field = text_input("Whose is it? A name", &line.typed)
        .id(format!("whose {index}"))
        .size(BODY)
        .padding([6, 9])
        .width(220)
        .on_input(move |text| Message::NameTyped(index, text))
        .on_submit_maybe(alone.clone())
        .style(move |_, status| ink.field(status, false));
    let mut cells: Vec<Element<'_, Message>> = vec![field.into()];
    if line.athlete.is_none() {
        let fits = fitting(&line.typed, &shared.book);
        if fits.is_empty() && !line.typed.trim().is_empty() {
            cells.push(wrong("nobody of that name", ink));
        }
        cells.extend(fits.into_iter().take(SUGGESTED).map(|choice| {
            let name = body(choice.name.clone());
            press(name, Frame::None, ink).on_press(Message::Assigned(index, choice)).into()
        }));
    }
    for kind in TestKind::ALL {
        let words = format!("{} min", kind.minutes());
        let frame = if line.kind == Some(kind) { Frame::Main } else { Frame::Faint };
        let word: Element<'_, Message> =
            if line.kind == Some(kind) { strong(words) } else { body(words) };
        cells.push(press(word, frame, ink).on_press(Message::KindGiven(index, kind)).into());
    }
    let entered = join.map(|at| Message::Joined(index, at)).or_else(|| alone.clone());
    cells.extend(asked_for(index, line, entered.as_ref(), ink));
    if let Some(alone) = alone {
        cells.push(act("Read it as that", "", ink).on_press(alone).into());
    }
    Row::with_children(cells)
        .spacing(10)
        .align_y(Alignment::Center)
        .wrap()
        .vertical_spacing(6)
        .into()
}

/// The day of a recording whose clock has no date, or the distance of one that holds none.
fn asked_for<'a>(
    index: usize,
    line: &'a Line,
    entered: Option<&Message>,
    ink: Ink,
) -> Vec<Element<'a, Message>> {
    let field = |placeholder: &str, id: &str, value: &str| {
        text_input(placeholder, value)
            .id(format!("{id} {index}"))
            .size(BODY)
            .padding([6, 9])
            .on_submit_maybe(entered.cloned())
            .style(move |_, status| ink.field(status, false))
    };
    match line.read.ask {
        Some(Ask::Day) => {
            let typed = move |text| Message::DayTyped(index, text);
            let day = field("Which day? 2026-11-25", "day", &line.day).width(190).on_input(typed);
            let mut cells = vec![Element::from(day)];
            // a day that is being typed is not wrong yet
            let whole = line.day.trim().len() >= "2026-11-25".len();
            if let Some(error) = parse::day(&line.day).err().filter(|_| whole) {
                cells.push(wrong(error.to_string(), ink));
            }
            cells
        }
        Some(Ask::Distance) => {
            let typed = move |text| Message::DistanceTyped(index, text);
            let asked = "How far? 13 laps 200 in lane 1, treadmill 14.5 km/h 1 %";
            vec![field(asked, "distance", &line.distance).width(390).on_input(typed).into()]
        }
        Some(Ask::Athlete | Ask::Kind) | None => Vec::new(),
    }
}
