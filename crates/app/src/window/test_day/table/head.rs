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

/// Everything above the rows.
pub(super) fn head<'a>(table: &'a Table, shared: &'a Shared) -> Element<'a, test_day::Message> {
    let (ink, ours) = (shared.ink(), test_day::Message::Table);
    let beside = match lap(&table.draft.lap) {
        Ok(Some(lap)) => format!("laps of {}", metres(lap)),
        _ => String::new(),
    };
    let heading = format!("{}, one whistle", words::test(table.draft.kind));
    let recordings = act("Read recordings", "R", ink).on_press(test_day::Message::RecordingsWanted);
    let top = row![title(heading, beside, ink), Space::new().width(Fill), recordings]
        .align_y(Alignment::Center);
    let mut head = column![
        top,
        Element::from(occasion(table, shared)).map(ours),
        Element::from(adding(table, shared)).map(ours),
    ];
    if !table.draft.rows.is_empty() {
        head = head.push(soft(
            "Type laps and metres, or one distance; Enter goes down. Zones follow as you type and \
             nothing counts until you confirm.",
            ink,
        ));
    }
    head.spacing(9).padding(iced::padding::bottom(6)).width(Fill).into()
}

/// Which test, which day, which course; what is wrong with them beneath.
fn occasion<'a>(table: &'a Table, shared: &'a Shared) -> iced::widget::Column<'a, Message> {
    let (ink, draft, today) = (shared.ink(), &table.draft, shared.now().today);
    let on = day(&draft.day, today);
    let course = lap(&draft.lap);
    let mut line = Row::new().spacing(10).align_y(Alignment::Center);
    for kind in TestKind::ALL {
        line = line.push(kind_press(kind, draft.kind, ink));
    }
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
    line = line
        .push(together("  Day", entry(DAY, &draft.day, 112.0, on.is_err(), ink, Message::DayTyped)))
        .push(another_day("\u{2039} a day earlier", -1))
        .push(another_day("later \u{203a}", 1))
        .push(soft(said, ink))
        .push(together(
            "  Lap",
            entry(LAP, &draft.lap, 84.0, course.is_err(), ink, Message::LapTyped),
        ));
    let line = line.wrap().vertical_spacing(7);
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
    let ink = shared.ink();
    let field = text_input("Add: part of a name  /", &table.adding)
        .id(ADD)
        .size(BODY)
        .padding([6, 9])
        .width(210)
        .on_input(Message::NameTyped)
        .on_submit(Message::FirstFitAdded)
        .style(move |_, status| ink.field(status, false));
    let mut line = Row::new().push(field).spacing(10).align_y(Alignment::Center);
    if table.adding.trim().is_empty() {
        for (squad, name) in squads(shared) {
            line = line.push(squad_press(table, squad, name, shared));
        }
        return line.wrap().vertical_spacing(7);
    }
    let fits = table.fitting(shared);
    if fits.is_empty() {
        line = line.push(wrong("nobody else has a name with these letters", ink));
    }
    for (place, fit) in fits.into_iter().take(OFFERED).enumerate() {
        let key = if place == 0 { "Enter" } else { "" };
        let words = match &fit.held {
            Some(why) => format!("{} ({why})", fit.name),
            None => fit.name.to_owned(),
        };
        line = line.push(act(&words, key, ink).on_press(Message::Added(fit.athlete)));
    }
    line.wrap().vertical_spacing(7)
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
