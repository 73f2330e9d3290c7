//! Zone cards: choose athletes (those whose zones changed this week are chosen already), see the
//! page, save it, open it in the viewer.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use iced::widget::{Space, column, container, image, row, scrollable, text};
use iced::{Alignment, Element, Fill, FillPortion, Task};
use pacewright_core::format::day_short;
use pacewright_core::ids::AthleteId;
use pacewright_desk::Problem;
use pacewright_desk::files::write_whole;
use pacewright_desk::papers::{CardSheets, sheets_of};
use pacewright_sheets::ink::Role;

use super::Room;
use super::action::{Action, Outcome};
use super::ink::{BODY, SMALL, STRONG};
use super::keys::Shortcut;
use super::parts::{
    act, empty, faint_rule, field, main_act, page, rule, small, soft, title, wrong,
};
use super::press::{Frame, press};
use super::shared::Shared;
use super::work::off_thread;

/// Zones in force for at most this many days are news (the weekly review's own week).
const NEWS_DAYS: i64 = 7;

/// The screen's state.
#[derive(Debug)]
pub(super) struct Cards {
    chosen: Vec<AthleteId>,
    at: usize,
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
    Ready { sheets: Arc<CardSheets>, picture: image::Handle },
    /// They could not be laid out.
    Failed(Problem),
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// An athlete is chosen or left out.
    Turned(AthleteId),
    /// All with zones, or nobody.
    AllTurned,
    /// One to a page, or eight.
    LayoutTurned,
    /// Another page of the preview.
    PageTurned(usize),
    /// The pages asked for are there: which question they answer, and the answer.
    LaidOut(u64, Result<Arc<CardSheets>, Problem>),
    /// The place to save to is being typed.
    PathTyped(String),
    /// Save.
    SavePressed,
    /// It was saved, or not; then opened where that was asked for.
    Saved(Result<PathBuf, Problem>),
    /// Save and open in the viewer.
    OpenPressed,
    /// To the squad.
    SquadPressed,
}

impl Cards {
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
            chosen: athletes.to_vec(),
            at: 0,
            single: false,
            page: 1,
            path: usual_folder().join(name).display().to_string(),
            asked: 0,
            sheets: Sheets::Nobody,
        };
        let task = screen.lay_out(shared);
        (screen, task)
    }

    /// Asks for the pages of those chosen.
    fn lay_out(&mut self, shared: &Shared) -> Task<Message> {
        self.asked += 1;
        if self.chosen.is_empty() {
            self.sheets = Sheets::Nobody;
            return Task::none();
        }
        self.sheets = Sheets::Underway;
        let (book, chosen) = (Arc::clone(&shared.book), self.chosen.clone());
        let (settings, now) = (shared.settings.clone(), shared.now());
        let (asked, which) = (self.asked, (self.single, self.page));
        off_thread(
            move || sheets_of(&book, &chosen, &settings, which, &now).map(Arc::new),
            move |answer| Message::LaidOut(asked, answer),
        )
    }

    pub(super) fn update(&mut self, message: Message, shared: &Shared) -> Action<Message> {
        match message {
            Message::Turned(athlete) => self.turn(athlete, shared),
            Message::AllTurned => {
                let all = candidates(shared);
                self.chosen = if self.chosen.len() == all.len() { Vec::new() } else { all };
                self.page = 1;
                Action::run(self.lay_out(shared))
            }
            Message::LayoutTurned => {
                (self.single, self.page) = (!self.single, 1);
                Action::run(self.lay_out(shared))
            }
            Message::PageTurned(page) => {
                self.page = page;
                Action::run(self.lay_out(shared))
            }
            Message::LaidOut(asked, answer) if asked == self.asked => {
                self.sheets = match answer {
                    Ok(sheets) => Sheets::Ready { picture: picture(&sheets), sheets },
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
            Message::SavePressed => self.save(|path| Ok(path)),
            Message::OpenPressed => self.save(|path| open_in_viewer(&path).map(|()| path)),
            Message::Saved(Ok(path)) => {
                Action::say(Outcome::Said(format!("Saved as {}. Print at 100 %.", path.display())))
            }
            Message::Saved(Err(problem)) => Action::say(Outcome::Failed(problem)),
            Message::SquadPressed => Action::say(Outcome::Go(Room::Squad)),
        }
    }

    fn turn(&mut self, athlete: AthleteId, shared: &Shared) -> Action<Message> {
        if let Some(place) = self.chosen.iter().position(|chosen| *chosen == athlete) {
            let _left_out = self.chosen.remove(place);
        } else {
            self.chosen.push(athlete);
        }
        self.page = 1;
        Action::run(self.lay_out(shared))
    }

    /// Writes the PDF off the window's thread, then does something with it.
    fn save(&self, then: fn(PathBuf) -> Result<PathBuf, Problem>) -> Action<Message> {
        let Sheets::Ready { sheets, .. } = &self.sheets else {
            return Action::say(Outcome::Said(
                "Choose athletes first; their cards are saved as one PDF.".to_owned(),
            ));
        };
        let (sheets, path) = (Arc::clone(sheets), PathBuf::from(self.path.trim()));
        let job = move || {
            if path.as_os_str().is_empty() {
                return Err(Problem::new("Name the file to save the cards to."));
            }
            write_whole(&path, &sheets.pdf)?;
            then(path)
        };
        Action::run(off_thread(job, Message::Saved))
    }

    pub(super) fn pressed(&mut self, shortcut: Shortcut, shared: &Shared) -> Action<Message> {
        let all = candidates(shared);
        match shortcut {
            Shortcut::Down => {
                self.at = (self.at + 1).min(all.len().saturating_sub(1));
                Action::none()
            }
            Shortcut::Up => {
                self.at = self.at.saturating_sub(1);
                Action::none()
            }
            Shortcut::Select => {
                all.get(self.at).map_or_else(Action::none, |athlete| self.turn(*athlete, shared))
            }
            Shortcut::Main | Shortcut::Letter('s', _) => self.update(Message::SavePressed, shared),
            Shortcut::Letter('o', _) => self.update(Message::OpenPressed, shared),
            Shortcut::Back => Action::say(Outcome::Go(Room::Squad)),
            _ => Action::none(),
        }
    }

    pub(super) fn refresh(&mut self, shared: &Shared) -> Action<Message> {
        Action::run(self.lay_out(shared))
    }

    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        if candidates(shared).is_empty() {
            let first = main_act("To the squad", "", ink).on_press(Message::SquadPressed);
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
        let beside = match self.chosen.len() {
            0 => "Nobody's zones changed this week; choose whose card to print".to_owned(),
            1 => "one card".to_owned(),
            n => format!("{n} cards"),
        };
        let head = row![
            title("Cards", beside, ink),
            Space::new().width(Fill),
            act("All", "", ink).on_press(Message::AllTurned),
            act(if self.single { "One to a page" } else { "Eight to a page" }, "", ink)
                .on_press(Message::LayoutTurned),
        ]
        .spacing(12)
        .align_y(Alignment::Center);
        page(
            column![
                head,
                row![
                    container(self.list(shared)).width(FillPortion(2)),
                    container(self.sheet(shared)).width(FillPortion(3)),
                ]
                .spacing(28),
            ]
            .spacing(14),
        )
    }

    fn list<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let today = shared.now().today;
        let mut lines = column![];
        let with_zones = shared.book.pages.iter().filter_map(|p| Some((p, p.current(today)?)));
        for (index, (page, zones)) in with_zones.enumerate() {
            let chosen = self.chosen.contains(&page.athlete.id);
            let name = text(page.athlete.name.as_str()).size(BODY);
            let name = if chosen { name.font(STRONG) } else { name };
            let line = row![
                text(if chosen { "\u{2713}" } else { "" }).size(BODY).width(18),
                container(name).width(Fill).clip(true),
                text(format!("from {}", day_short(zones.from)))
                    .size(SMALL)
                    .color(ink.of(Role::SoftInk)),
            ]
            .spacing(6)
            .align_y(Alignment::Center);
            let here = index == self.at;
            let line = container(line)
                .padding([8, 6])
                .width(Fill)
                .style(move |_| if here { ink.selected() } else { container::Style::default() });
            lines = lines
                .push(
                    press(line, Frame::None, ink)
                        .padding(0)
                        .width(Fill)
                        .by_mouse_only()
                        .on_press(Message::Turned(page.athlete.id)),
                )
                .push(faint_rule(ink));
        }
        column![
            small("Athletes with zones    Space choose", ink),
            rule(ink),
            scrollable(container(lines).padding(iced::Padding::ZERO.right(14)))
                .height(Fill)
                .style(move |theme, status| ink.scroll(theme, status)),
        ]
        .spacing(4)
        .into()
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
            Sheets::Ready { picture, .. } => {
                container(image(picture.clone()).content_fit(iced::ContentFit::Contain))
                    .style(move |_| container::Style {
                        border: iced::Border {
                            color: ink.of(Role::Rule),
                            width: 1.0,
                            radius: 0.0.into(),
                        },
                        ..container::Style::default()
                    })
                    .into()
            }
        };
        let mut pages = row![].spacing(10).align_y(Alignment::Center);
        if let Sheets::Ready { sheets, .. } = &self.sheets
            && sheets.pages > 1
        {
            let (here, last) = (self.page, sheets.pages);
            pages = pages
                .push(
                    act("Before", "", ink)
                        .on_press_maybe((here > 1).then(|| Message::PageTurned(here - 1))),
                )
                .push(small(format!("page {here} of {last}"), ink))
                .push(
                    act("Next", "", ink)
                        .on_press_maybe((here < last).then(|| Message::PageTurned(here + 1))),
                );
        }
        let mut sheet = column![container(preview).height(Fill), pages].spacing(10);
        if let Sheets::Ready { sheets, .. } = &self.sheets {
            for warning in &sheets.warnings {
                sheet = sheet.push(wrong(warning.as_str(), ink));
            }
        }
        let save = row![
            container(field(
                "cards path",
                "Where to save",
                &self.path,
                None,
                ink,
                Message::PathTyped
            ))
            .width(Fill),
            main_act("Save", "S", ink).on_press(Message::SavePressed),
            act("Save and open", "O", ink).on_press(Message::OpenPressed),
        ]
        .spacing(10)
        .align_y(Alignment::Center);
        sheet.push(save).into()
    }
}

/// Everyone with zones in force.
fn candidates(shared: &Shared) -> Vec<AthleteId> {
    let today = shared.now().today;
    shared.book.pages.iter().filter(|p| p.current(today).is_some()).map(|p| p.athlete.id).collect()
}

fn picture(sheets: &CardSheets) -> image::Handle {
    let preview = &sheets.preview;
    image::Handle::from_rgba(preview.width, preview.height, preview.rgba.clone())
}

/// Where papers usually go: the person's documents, else where the program was started.
fn usual_folder() -> PathBuf {
    pacewright_desk::files::documents_folder()
}

fn open_in_viewer(path: &Path) -> Result<(), Problem> {
    open::that_detached(path).map_err(|_| {
        Problem::new(format!(
            "The cards are saved as {}, but no program to show a PDF was found; open it by hand.",
            path.display()
        ))
    })
}
