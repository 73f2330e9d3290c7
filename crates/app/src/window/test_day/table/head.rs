//! What is run, when, where, and by whom.

use chrono::TimeDelta;
use iced::widget::{Row, Space, column, row, text_input};
use iced::{Alignment, Element, Fill};
use pacewright_core::format::metres;
use pacewright_core::ids::{AthleteId, SquadId};
use pacewright_core::test::TestKind;
use pacewright_core::words;
use pacewright_desk::typed::{day, held, lap, left_out, runners};

use super::{ADD, DAY, LAP, Message, Table};
use crate::window::ink::{BODY, Ink};
use crate::window::parts::{act, main_act, small, soft, title, wrong};
use crate::window::press::{Frame, Press, press};
use crate::window::shared::Shared;
use crate::window::test_day;

/// As many names are offered for part of one.
const OFFERED: usize = 5;

/// Somebody whose name fits what was typed.
pub(super) struct Fit<'a> {
    pub(super) athlete: AthleteId,
    name: &'a str,
    /// Why they must not run.
    held: Option<String>,
}

impl Table {
    /// Those not in the table whose name or alias holds what was typed; who may run comes first.
    pub(super) fn fitting<'a>(&self, shared: &'a Shared) -> Vec<Fit<'a>> {
        let wanted = self.adding.trim().to_lowercase();
        let today = shared.now().today;
        let on = day(&self.draft.day, today).unwrap_or(today);
        if wanted.is_empty() {
            return Vec::new();
        }
        let holds = |text: &String| text.to_lowercase().contains(&wanted);
        let mut fits: Vec<Fit<'_>> = shared
            .book
            .pages
            .iter()
            .filter(|page| holds(&page.athlete.name) || page.athlete.aliases.iter().any(holds))
            .filter(|page| self.draft.rows.iter().all(|row| row.athlete != page.athlete.id))
            .map(|page| Fit {
                athlete: page.athlete.id,
                name: &page.athlete.name,
                held: held(page, self.draft.kind, on, today)
                    .map(str::to_owned)
                    .or_else(|| left_out(page, self.draft.kind, on)),
            })
            .collect();
        fits.sort_by_key(|fit| fit.held.is_some());
        fits
    }
}

/// Everything above the rows; tighter where the page is low, so that rows stay in sight.
pub(super) fn head<'a>(
    table: &'a Table,
    low: bool,
    shared: &'a Shared,
) -> Element<'a, test_day::Message> {
    let (ink, ours) = (shared.ink(), test_day::Message::Table);
    let recordings = act("Read recordings", "R", ink).on_press(test_day::Message::RecordingsWanted);
    if low {
        let mut first = kinds(table.draft.kind, ink).push(name_field(table, ink));
        first = first.push(Space::new().width(Fill));
        let first = row![Element::from(first).map(ours), recordings];
        let second = Element::from(occasion(table, false, shared)).map(ours);
        let offered = offered(table, shared).map(|offered| Element::from(offered).map(ours));
        return column![first.spacing(10).align_y(Alignment::Center), second]
            .push(offered)
            .spacing(7)
            .width(Fill)
            .into();
    }
    let beside = match lap(&table.draft.lap) {
        Ok(Some(lap)) => format!("laps of {}", metres(lap)),
        _ => String::new(),
    };
    let heading = format!("{}, one whistle", words::test(table.draft.kind));
    let top = row![title(heading, beside, ink), Space::new().width(Fill), recordings]
        .align_y(Alignment::Center);
    let mut head = column![
        top,
        Element::from(occasion(table, true, shared)).map(ours),
        Element::from(adding(table, shared)).map(ours),
    ];
    if !table.draft.rows.is_empty() {
        head = head.push(explained(ink));
    }
    head.spacing(9).padding(iced::padding::bottom(6)).width(Fill).into()
}

/// What is typed into the rows, and what comes of it.
pub(super) fn explained<'a, M: 'a>(ink: Ink) -> Element<'a, M> {
    soft(
        "Type laps and metres, or one distance; Enter goes down. Zones follow as you type and \
         nothing counts until you confirm.",
        ink,
    )
}

/// Which test.
fn kinds<'a>(picked: TestKind, ink: Ink) -> Row<'a, Message> {
    let kinds = TestKind::ALL.map(|kind| kind_press(kind, picked, ink).into());
    Row::with_children(kinds).spacing(10).align_y(Alignment::Center)
}

/// Which test (unless it stands elsewhere), which day, which course; what is wrong with them beneath.
fn occasion<'a>(
    table: &'a Table,
    kind: bool,
    shared: &'a Shared,
) -> iced::widget::Column<'a, Message> {
    let (ink, draft, today) = (shared.ink(), &table.draft, shared.now().today);
    let on = day(&draft.day, today);
    let course = lap(&draft.lap);
    let another_day = |words, by: i64| {
        let on = on.as_ref().ok().and_then(|on| on.checked_add_signed(TimeDelta::days(by)));
        let message = on.filter(|on| *on <= today).map(|on| Message::DayTyped(on.to_string()));
        press(small(words, ink), Frame::Faint, ink).padding([8, 9]).on_press_maybe(message)
    };
    let said = match &on {
        Ok(on) if *on == today => "today".to_owned(),
        Ok(on) => on.format("%A %-d %B %Y").to_string(),
        Err(_) => String::new(),
    };
    let together =
        |words, field| row![soft(words, ink), field].spacing(8).align_y(Alignment::Center);
    let line = Row::new()
        .push(kind.then(|| kinds(draft.kind, ink)))
        .push(together("Day", entry(DAY, &draft.day, 112.0, on.is_err(), ink, Message::DayTyped)))
        .push(another_day("\u{2039} a day earlier", -1))
        .push(another_day("later \u{203a}", 1))
        .push(soft(said, ink))
        .push(together(
            "Lap",
            entry(LAP, &draft.lap, 84.0, course.is_err(), ink, Message::LapTyped),
        ));
    let line = line.spacing(10).align_y(Alignment::Center).wrap().vertical_spacing(7);
    let problems = [on.err(), course.err()].into_iter().flatten();
    problems.fold(column![line].spacing(4), |column, problem| column.push(wrong(problem, ink)))
}

fn kind_press<'a>(kind: TestKind, picked: TestKind, ink: Ink) -> Press<'a, Message> {
    let words = format!("{} min", kind.minutes());
    let press = if kind == picked { main_act(&words, "", ink) } else { act(&words, "", ink) };
    press.on_press(Message::KindPicked(kind))
}

fn entry<'a>(
    id: &'static str,
    value: &'a str,
    width: f32,
    is_wrong: bool,
    ink: Ink,
    typed: fn(String) -> Message,
) -> Element<'a, Message> {
    text_input(if id == LAP { "metres" } else { "" }, value)
        .id(id)
        .size(BODY)
        .padding([6, 9])
        .width(width)
        .on_input(typed)
        .style(move |_, status| ink.field(status, is_wrong))
        .into()
}

/// Somebody by part of their name, or a whole squad with one press.
fn adding<'a>(table: &'a Table, shared: &'a Shared) -> iced::widget::row::Wrapping<'a, Message> {
    let line = offers(table, shared)
        .into_iter()
        .fold(Row::new().push(name_field(table, shared.ink())), Row::push);
    line.spacing(10).align_y(Alignment::Center).wrap().vertical_spacing(7)
}

/// Who can be added, where anybody can.
fn offered<'a>(
    table: &'a Table,
    shared: &'a Shared,
) -> Option<iced::widget::row::Wrapping<'a, Message>> {
    let offers = offers(table, shared);
    let line = (!offers.is_empty()).then(|| Row::with_children(offers).spacing(10))?;
    Some(line.align_y(Alignment::Center).wrap().vertical_spacing(7))
}

fn name_field(table: &Table, ink: Ink) -> text_input::TextInput<'_, Message> {
    text_input("Add: part of a name  /", &table.adding)
        .id(ADD)
        .size(BODY)
        .padding([6, 9])
        .width(210)
        .on_input(Message::NameTyped)
        .on_submit(Message::FirstFitAdded)
        .style(move |_, status| ink.field(status, false))
}

/// Whole squads, or those whose name fits what was typed.
fn offers<'a>(table: &'a Table, shared: &'a Shared) -> Vec<Element<'a, Message>> {
    let ink = shared.ink();
    if table.adding.trim().is_empty() {
        let squads = squads(shared);
        let presses = squads.filter_map(|(squad, name)| squad_press(table, squad, name, shared));
        return presses.map(Element::from).collect();
    }
    let fits = table.fitting(shared);
    let mut offers = Vec::new();
    if fits.is_empty() {
        offers.push(wrong("nobody else has a name with these letters", ink));
    }
    for (place, fit) in fits.into_iter().take(OFFERED).enumerate() {
        let key = if place == 0 { "Enter" } else { "" };
        let words = match &fit.held {
            Some(why) => format!("{} ({why})", fit.name),
            None => fit.name.to_owned(),
        };
        offers.push(act(&words, key, ink).on_press(Message::Added(fit.athlete)).into());
    }
    offers
}

fn squads(shared: &Shared) -> impl Iterator<Item = (Option<SquadId>, &str)> {
    let squads = shared.book.squads.iter().map(|squad| (Some(squad.id), squad.name.as_str()));
    std::iter::once((None, "Everyone")).chain(squads)
}

/// How many (of a squad) may run and are not here yet.
fn missing(table: &Table, squad: Option<SquadId>, shared: &Shared) -> usize {
    let today = shared.now().today;
    day(&table.draft.day, today).map_or(0, |on| {
        runners(&shared.book, squad, table.draft.kind, (on, today))
            .into_iter()
            .filter(|athlete| table.draft.rows.iter().all(|row| row.athlete != *athlete))
            .count()
    })
}

/// Everyone who may run, with one press; `None` where nobody may.
pub(super) fn everyone<'a>(table: &Table, shared: &Shared) -> Option<Press<'a, Message>> {
    let missing = missing(table, None, shared);
    let press = main_act("Take everyone who may run", &missing.to_string(), shared.ink());
    (missing > 0).then(|| press.on_press(Message::SquadAdded(None)))
}

/// A squad with how many of it may run and are not here yet; `None` where all are.
fn squad_press<'a>(
    table: &Table,
    squad: Option<SquadId>,
    name: &str,
    shared: &Shared,
) -> Option<Press<'a, Message>> {
    let missing = missing(table, squad, shared);
    let press = act(name, &format!("+{missing}"), shared.ink());
    (missing > 0).then(|| press.on_press(Message::SquadAdded(squad)))
}
