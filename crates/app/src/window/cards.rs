//! Zone cards: choose athletes (those whose zones changed this week are chosen already), see the
//! page, save it, open it in the viewer.

use std::path::PathBuf;
use std::sync::Arc;

use iced::widget::{
    Space, center, column, container, image, keyed_column, operation, responsive, row, text,
};
use iced::{Alignment, Element, Fill, FillPortion, Task};
use pacewright_core::format::day_short;
use pacewright_core::ids::AthleteId;
use pacewright_desk::Problem;
use pacewright_desk::book::Page;
use pacewright_desk::files::write_whole;
use pacewright_desk::papers::{CardSheets, sheets_of};
use pacewright_sheets::ink::Role;

use super::Room;
use super::action::{Action, Outcome};
use super::dialogs::Dialogs;
use super::ink::{BODY, Ink};
use super::keys::Shortcut;
use super::parts::{
    BAR, act, choice, empty, faint_rule, field, main_act, name, page, rule, scroll, small, soft,
    title, wrong,
};
use super::press::{Frame, press};
use super::shared::Shared;
use super::work::off_thread;

const LIST: &str = "cards list";
/// Height of a row of the list, px.
const LINE: f32 = 38.0;
/// Rows built above and below what is seen.
const SPARE: usize = 6;

/// Zones in force for at most this many days are news (the weekly review's own week).
const NEWS_DAYS: i64 = 7;

/// The screen's state.
#[derive(Debug)]
pub(super) struct Cards {
    chosen: Vec<AthleteId>,
    at: usize,
    /// How far the list is scrolled, px, and how much of it is seen.
    scrolled: f32,
    seen: f32,
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
    LayoutChosen {
        /// One to a page.
        single: bool,
    },
    /// The list was scrolled: offset and height, px.
    Scrolled(f32, f32),
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
            scrolled: 0.0,
            seen: 800.0,
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
            Message::LayoutChosen { single } => {
                (self.single, self.page) = (single, 1);
                Action::run(self.lay_out(shared))
            }
            Message::Scrolled(offset, height) => {
                (self.scrolled, self.seen) = (offset, height);
                Action::none()
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
            Message::SavePressed => self.save(None),
            Message::OpenPressed => self.save(Some(Arc::clone(&shared.dialogs))),
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

    /// Writes the PDF off the window's thread, and opens it in the desktop's viewer where one is given.
    fn save(&self, viewer: Option<Arc<dyn Dialogs>>) -> Action<Message> {
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
            if viewer.is_some_and(|viewer| !viewer.view(&path)) {
                return Err(Problem::new(format!(
                    "The cards are saved as {}, but no program to show a PDF was found; open it by hand.",
                    path.display()
                )));
            }
            Ok(path)
        };
        Action::run(off_thread(job, Message::Saved))
    }

    pub(super) fn pressed(&mut self, shortcut: Shortcut, shared: &Shared) -> Action<Message> {
        let all = candidates(shared);
        match shortcut {
            Shortcut::Down => self.step_to((self.at + 1).min(all.len().saturating_sub(1))),
            Shortcut::Up => self.step_to(self.at.saturating_sub(1)),
            Shortcut::Select => {
                all.get(self.at).map_or_else(Action::none, |athlete| self.turn(*athlete, shared))
            }
            Shortcut::Main | Shortcut::Letter('s', _) => self.update(Message::SavePressed, shared),
            Shortcut::Letter('o', _) => self.update(Message::OpenPressed, shared),
            Shortcut::Back => Action::say(Outcome::Go(Room::Squad)),
            _ => Action::none(),
        }
    }

    /// Steps to a row and brings it into sight.
    fn step_to(&mut self, at: usize) -> Action<Message> {
        self.at = at;
        let (top, bottom) = (px_of(at), px_of(at + 1));
        let offset = if top < self.scrolled {
            top
        } else if bottom > self.scrolled + self.seen {
            bottom - self.seen
        } else {
            return Action::none();
        };
        self.scrolled = offset;
        let offset = operation::AbsoluteOffset { x: 0.0, y: offset };
        Action::run(operation::scroll_to(LIST, offset))
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
        let everyone = self.chosen.len() == candidates(shared).len();
        let nobody = "Nobody's zones changed this week; choose whose card to print";
        let beside = match self.chosen.len() {
            0 => String::new(),
            1 => "one card".to_owned(),
            n => format!("{n} cards"),
        };
        let head = row![
            title("Cards", beside, ink),
            Space::new().width(Fill),
            act(if everyone { "Nobody" } else { "All" }, "", ink).on_press(Message::AllTurned),
            Space::new().width(12),
            choice("Eight to a page", !self.single, Message::LayoutChosen { single: false }, ink),
            choice("One to a page", self.single, Message::LayoutChosen { single: true }, ink),
        ]
        .spacing(12)
        .align_y(Alignment::Center);
        // a line of its own: beside the title it left the acts no room on a small screen
        let nobody = self.chosen.is_empty().then(|| soft(nobody, ink));
        let head = column![head].push(nobody).spacing(6);
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
        let list = responsive(move |size| {
            let today = shared.now().today;
            let pages = shared.book.pages.iter();
            let rows: Vec<_> = pages.filter_map(|p| Some((p, p.current(today)?))).collect();
            let first = row_at(self.scrolled).saturating_sub(SPARE).min(rows.len());
            let last = (row_at(self.scrolled + self.seen) + SPARE).min(rows.len());
            let seen = rows.iter().enumerate().take(last).skip(first);
            let lines = seen.map(|(index, (page, zones))| {
                let line = self.row(index, page, day_short(zones.from), size.width - BAR, ink);
                (page.athlete.id.0, line)
            });
            let lines = column![
                Space::new().height(px_of(first)),
                keyed_column(lines),
                Space::new().height(px_of(rows.len() - last)),
            ];
            scroll(lines.padding(iced::padding::right(BAR)), ink)
                .id(LIST)
                .height(Fill)
                .on_scroll(|view| Message::Scrolled(view.absolute_offset().y, view.bounds().height))
                .into()
        });
        column![
            small("Athletes with zones    \u{2191}\u{2193} move    Space choose", ink),
            rule(ink),
            list
        ]
        .spacing(4)
        .into()
    }

    #[expect(clippy::needless_pass_by_value, reason = "made for this row alone")]
    fn row<'a>(
        &'a self,
        index: usize,
        page: &'a Page,
        from: String,
        width: f32,
        ink: Ink,
    ) -> Element<'a, Message> {
        let chosen = self.chosen.contains(&page.athlete.id);
        let wide = width > 320.0;
        let line = row![
            text(if chosen { "\u{2713}" } else { "" }).size(BODY).width(18),
            container(name(&page.athlete.name, width - if wide { 170.0 } else { 44.0 }))
                .width(Fill),
        ]
        .push(wide.then(|| small(format!("from {from}"), ink)))
        .spacing(6)
        .align_y(Alignment::Center);
        let here = index == self.at;
        let line = container(line)
            .padding([0, 6])
            .width(Fill)
            .height(LINE - 1.0)
            .align_y(Alignment::Center)
            .style(move |_| if here { ink.selected() } else { container::Style::default() });
        let line = press(line, Frame::None, ink)
            .padding(0)
            .width(Fill)
            .by_mouse_only()
            .on_press(Message::Turned(page.athlete.id));
        column![line, faint_rule(ink)].height(LINE).into()
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
                let sheet = image(picture.clone()).content_fit(iced::ContentFit::Contain);
                let sheet = container(sheet).padding(1).style(move |_| container::Style {
                    border: iced::Border {
                        color: ink.of(Role::Rule),
                        width: 1.0,
                        radius: 0.0.into(),
                    },
                    ..container::Style::default()
                });
                center(sheet).into()
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

/// Where a row of the list begins, px from the first.
fn px_of(row: usize) -> f32 {
    row as f32 * LINE
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "scroll offsets are small and never negative"
)]
fn row_at(offset: f32) -> usize {
    (offset / LINE).floor().max(0.0) as usize
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
