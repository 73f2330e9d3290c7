//! What is typed, whose list it is, and the groups or the page beside it.

use std::collections::HashSet;

use chrono::TimeDelta;
use iced::widget::{Column, Row, Space, column, container, row, text_input};
use iced::{Alignment, Element, Fill, FillPortion};
use pacewright_core::ids::{AthleteId, SquadId};
use pacewright_core::session::Apart;
use pacewright_core::words;
use pacewright_desk::book::Page;
use pacewright_desk::papers::{WrongTyped, apart_on};

use super::{DAY, Found, LAP, Message, RUN, Sheet, SplitScreen, groups, of_squad, zones};
use crate::window::cards::{self, paper};
use crate::window::ink::{BODY, Ink};
use crate::window::parts::{act, choice, empty, main_act, page, small, soft, title, wrong};
use crate::window::press::{Frame, Press, press};
use crate::window::shared::Shared;

pub(super) fn page_of<'a>(
    screen: &'a SplitScreen,
    shared: &'a Shared,
) -> Element<'a, cards::Message> {
    let ink = shared.ink();
    let back = act("Zone cards", "C", ink).on_press(cards::Message::ZonesWanted);
    if shared.book.pages.is_empty() {
        let first = main_act("To the squad", "", ink).on_press(cards::Message::SquadPressed);
        return page(column![
            row![title("Split sheet", "", ink), Space::new().width(Fill), back],
            empty(
                "No athletes yet",
                "A split sheet gives a session its lap times: this zone, these repetitions, everybody in pace \
                 groups. Add your athletes first; they are in it once they have zones.",
                Some(first),
                ink,
            ),
        ]);
    }
    let beside = match &screen.found {
        Found::Splits(splits) => words::session(&splits.session),
        _ => String::new(),
    };
    let over = if screen.page.is_some() { "The groups" } else { "The page" };
    let over: Element<'_, Message> = act(over, "P", ink).on_press(Message::PageTurnedOver).into();
    let head = row![
        title("Split sheet", beside, ink),
        Space::new().width(Fill),
        over.map(cards::Message::Splits),
        back,
    ]
    .spacing(12)
    .align_y(Alignment::Center);
    let asked: Element<'_, Message> =
        column![asked(screen, shared), squads(screen, shared)].spacing(7).into();
    let body: Element<'_, Message> = row![
        container(list(screen, shared)).width(FillPortion(2)),
        container(right(screen, shared)).width(FillPortion(3)),
    ]
    .spacing(28)
    .into();
    let ways =
        (Message::PathTyped as fn(String) -> Message, Message::SavePressed, Message::OpenPressed);
    // a sheet with nobody's times on it is nothing to take to the track
    let is_ready = matches!(&screen.found, Found::Splits(found) if found.athletes() > 0);
    let save = paper::save_line("splits path", &screen.path, is_ready, ways, ink);
    let body = Element::from(column![container(body).height(Fill), save].spacing(12));
    let (asked, body) = (asked.map(cards::Message::Splits), body.map(cards::Message::Splits));
    page(column![head, asked, body].spacing(9))
}

/// Zone, repetitions, lap, day; what is wrong with them beneath.
fn asked<'a>(screen: &'a SplitScreen, shared: &Shared) -> Element<'a, Message> {
    let (ink, typed) = (shared.ink(), &screen.typed);
    let said = |of: fn(&WrongTyped) -> &Option<String>| match &screen.found {
        Found::Wrong(wrong) => of(wrong).as_deref(),
        _ => None,
    };
    let (wrong_run, wrong_lap) = (said(|typed| &typed.run), said(|typed| &typed.lap));
    let mut zones_line = row![soft("Zone", ink)].spacing(6).align_y(Alignment::Center);
    for zone in 1..=zones(shared) {
        let chosen = zone == typed.zone;
        zones_line =
            zones_line.push(choice(&zone.to_string(), chosen, Message::ZonePicked(zone), ink));
    }
    let together =
        |words, field| row![soft(words, ink), field].spacing(8).align_y(Alignment::Center);
    let run = Typed { id: RUN, placeholder: "6 x 1000 m", value: &typed.run, width: 150.0 };
    let lap = Typed { id: LAP, placeholder: "none", value: &typed.lap, width: 84.0 };
    let line = Row::new()
        .push(zones_line)
        .push(together("Repetitions", run.field(wrong_run.is_some(), ink, Message::RunTyped)))
        .push(together("Lap", lap.field(wrong_lap.is_some(), ink, Message::LapTyped)))
        .push(day(screen, said(|typed| &typed.day), shared))
        .spacing(16)
        .align_y(Alignment::Center);
    let column = column![line.wrap().vertical_spacing(7)].spacing(4);
    let beneath = [said(|typed| &typed.zone), wrong_run, wrong_lap].into_iter().flatten();
    column.extend(beneath.map(|said| wrong(said, ink))).into()
}

/// The day as it is typed, a day earlier or later with one press, and the day in words, or beneath it
/// what is wrong with it.
fn day<'a>(
    screen: &'a SplitScreen,
    is_wrong: Option<&'a str>,
    shared: &Shared,
) -> Column<'a, Message> {
    let (ink, today, on) = (shared.ink(), shared.now().today, screen.on(shared));
    let field = Typed { id: DAY, placeholder: "today", value: &screen.day, width: 112.0 };
    let another_day = |words, by: i64| {
        let other = on.checked_add_signed(TimeDelta::days(by)).filter(|other| *other >= today);
        let message = other.map(|other| Message::DayTyped(other.to_string()));
        press(small(words, ink), Frame::Faint, ink).padding([8, 9]).on_press_maybe(message)
    };
    let said = if is_wrong.is_some() { String::new() } else { on.format("%A %-d %B").to_string() };
    let line = row![
        soft("Day", ink),
        field.field(is_wrong.is_some(), ink, Message::DayTyped),
        another_day("\u{2039} earlier", -1),
        another_day("later \u{203a}", 1),
        soft(said, ink),
    ]
    .spacing(8)
    .align_y(Alignment::Center);
    column![line].push(is_wrong.map(|said| wrong(said, ink))).spacing(4)
}

/// A short field of the line.
struct Typed<'a> {
    id: &'static str,
    placeholder: &'static str,
    value: &'a str,
    width: f32,
}

impl<'a> Typed<'a> {
    fn field(self, is_wrong: bool, ink: Ink, typed: fn(String) -> Message) -> Element<'a, Message> {
        text_input(self.placeholder, self.value)
            .id(self.id)
            .size(BODY)
            .padding([6, 9])
            .width(self.width)
            .on_input(typed)
            .style(move |_, status| ink.field(status, is_wrong))
            .into()
    }
}

/// Everyone or a squad with one press; the one that is chosen carries the frame.
fn squads<'a>(screen: &SplitScreen, shared: &'a Shared) -> Element<'a, Message> {
    let chosen: HashSet<AthleteId> = screen.athletes.chosen().iter().copied().collect();
    let named = shared.book.squads.iter().map(|squad| (Some(squad.id), squad.name.as_str()));
    let presses = std::iter::once((None, "Everyone"))
        .chain(named)
        .map(|(squad, name)| squad_press(&chosen, squad, name, shared).into());
    Row::with_children(presses)
        .spacing(10)
        .align_y(Alignment::Center)
        .wrap()
        .vertical_spacing(7)
        .into()
}

fn squad_press<'a>(
    chosen: &HashSet<AthleteId>,
    squad: Option<SquadId>,
    name: &str,
    shared: &'a Shared,
) -> Press<'a, Message> {
    let all = of_squad(squad, shared);
    let is_chosen = all.len() == chosen.len() && all.iter().all(|one| chosen.contains(one));
    choice(name, is_chosen, Message::SquadPicked(squad), shared.ink())
}

fn list<'a>(screen: &'a SplitScreen, shared: &'a Shared) -> Element<'a, Message> {
    let (on, rows) = (screen.on(shared), shared.book.pages.iter().collect());
    let head = "Who runs    \u{2191}\u{2193} move    Space choose";
    let zone = screen.typed.zone;
    let marked = move |page: &Page| {
        let why = apart_on(page, zone, on).filter(|why| *why != Apart::NoZones)?;
        Some(words::apart_in_a_word(&why))
    };
    screen.athletes.view(head, rows, (on, marked), shared.ink()).map(Message::Athletes)
}

/// The groups or the page.
fn right<'a>(screen: &'a SplitScreen, shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let mut right = column![].spacing(10);
    match (&screen.found, &screen.page) {
        (Found::Nothing, _) => right = right.push(container(taught(ink)).height(Fill)),
        (Found::Wrong(_), _) => right = right.push(Space::new().height(Fill)),
        (Found::Splits(splits), None) => {
            right = right.push(container(groups::view(screen, splits, shared)).height(Fill));
        }
        (Found::Splits(_), Some(page)) => {
            let sheet: Element<'_, Message> = match &page.sheet {
                Sheet::Underway => soft("Laying out\u{2026}", ink),
                Sheet::Failed(problem) => wrong(problem.to_string(), ink),
                Sheet::Ready { picture, .. } => paper::sheet(picture, ink),
            };
            right = right.push(container(sheet).height(Fill));
            if let Sheet::Ready { sheet, .. } = &page.sheet {
                right =
                    right.push(paper::pages(page.number, sheet.pages, Message::PageTurned, ink));
                for warning in &sheet.warnings {
                    right = right.push(wrong(warning.as_str(), ink));
                }
            }
        }
    }
    right.into()
}

/// What this is, and what to do first.
fn taught<'a>(ink: Ink) -> Element<'a, Message> {
    column![
        soft(
            "Type the repetitions: 6 x 1000 m, 3 x 2 km, 5 laps, or 10 km. Everybody\u{2019}s lap times stand here \
             in pace groups, by the zones on their cards, and print on one sheet for the track.",
            ink
        ),
        small("Empty the lap where only the repetition is timed.", ink),
    ]
    .spacing(10)
    .max_width(560)
    .into()
}
