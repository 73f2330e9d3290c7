//! Settings: units, text size, light or dark, paper, the club's name, and the rules zones are made by.
//! Each change counts at once and can be undone.

mod rules;

use std::sync::Arc;

use iced::widget::{column, container, row};
use iced::{Alignment, Element};
use pacewright_core::rules::Rules;
use pacewright_core::units::UnitSystem;
use pacewright_desk::Problem;
use pacewright_desk::rules::set_rules;
use pacewright_desk::settings::{self, Paper, Settings, TEXT_SIZES};

use super::Room;
use super::action::{Action, Outcome};
use super::ink::Ink;
use super::keys::Shortcut;
use super::parts::{BAR, act, body, faint_rule, field, main_act, page, rule, scroll, small, title};
use super::press::Press;
use super::shared::Shared;
use super::work::off_thread;

/// The screen's state.
#[derive(Debug)]
pub(super) struct SettingsScreen {
    /// The club's name as it is being typed.
    club: String,
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// Other settings are wanted.
    Wanted(Settings),
    /// The club's name is being typed.
    ClubTyped(String),
    /// It is to be kept.
    ClubKept,
    /// Settings were kept, or not.
    Kept(Result<Settings, Problem>),
    /// Other rules are wanted.
    RulesWanted(Rules),
    /// They were set, in words, or not.
    RulesSet(Result<String, Problem>),
}

/// The same settings with other text, within what is allowed.
pub(super) fn resized(settings: &Settings, by_percent: i32) -> Settings {
    let (least, most) = (i32::from(*TEXT_SIZES.start()), i32::from(*TEXT_SIZES.end()));
    let percent = (i32::from(settings.text_percent) + by_percent).clamp(least, most);
    Settings { text_percent: u16::try_from(percent).unwrap_or(100), ..settings.clone() }
}

/// Shows settings at once and keeps them in the library.
pub(super) fn keep(wanted: Settings, shared: &Shared) -> Action<Message> {
    let (desk, now) = (Arc::clone(&shared.desk), shared.now());
    let kept = wanted.clone();
    let task = off_thread(move || settings::keep(&desk, &kept, &now).map(|()| kept), Message::Kept);
    Action { task, outcome: Some(Outcome::SettingsChanged(wanted)) }
}

impl SettingsScreen {
    pub(super) fn new(shared: &Shared) -> Self {
        Self { club: shared.settings.club.clone() }
    }

    pub(super) fn update(&mut self, message: Message, shared: &Shared) -> Action<Message> {
        match message {
            Message::Wanted(settings) => keep(settings, shared),
            Message::ClubTyped(club) => {
                self.club = club;
                Action::none()
            }
            Message::ClubKept => keep(
                Settings { club: self.club.trim().to_owned(), ..shared.settings.clone() },
                shared,
            ),
            Message::RulesWanted(wanted) => {
                let (desk, now) = (Arc::clone(&shared.desk), shared.now());
                let set = move || set_rules(&desk, wanted, &now);
                Action::run(off_thread(set, Message::RulesSet))
            }
            Message::RulesSet(Ok(words)) => Action::say(Outcome::Changed(words)),
            Message::Kept(Ok(_)) => Action::none(),
            Message::Kept(Err(problem)) | Message::RulesSet(Err(problem)) => {
                Action::say(Outcome::Failed(problem))
            }
        }
    }

    pub(super) fn pressed(&mut self, shortcut: Shortcut, shared: &Shared) -> Action<Message> {
        match shortcut {
            Shortcut::Main if self.club.trim() != shared.settings.club => {
                self.update(Message::ClubKept, shared)
            }
            Shortcut::Back => Action::say(Outcome::Go(Room::Squad)),
            _ => Action::none(),
        }
    }

    pub(super) fn refresh(&mut self, shared: &Shared) -> Action<Message> {
        self.club.clone_from(&shared.settings.club);
        Action::none()
    }

    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let (ink, now) = (shared.ink(), &shared.settings);
        let with = |change: fn(&mut Settings)| {
            let mut settings = now.clone();
            change(&mut settings);
            settings
        };
        let units = row![
            choice(
                "Kilometres",
                now.units == UnitSystem::Kilometres,
                with(|s| s.units = UnitSystem::Kilometres),
                ink
            ),
            choice(
                "Miles",
                now.units == UnitSystem::Miles,
                with(|s| s.units = UnitSystem::Miles),
                ink
            ),
        ];
        let theme = row![
            choice("Light", !now.dark, with(|s| s.dark = false), ink),
            choice("Dark", now.dark, with(|s| s.dark = true), ink),
        ];
        let paper = row![
            choice("A4", now.paper == Paper::A4, with(|s| s.paper = Paper::A4), ink),
            choice("Letter", now.paper == Paper::Letter, with(|s| s.paper = Paper::Letter), ink),
        ];
        let text = row![
            act("Smaller", "Ctrl -", ink).on_press(Message::Wanted(resized(now, -10))),
            body(format!("{} %", now.text_percent)),
            act("Larger", "Ctrl +", ink).on_press(Message::Wanted(resized(now, 10))),
        ];
        let club = row![
            container(field(
                "club",
                "Name of the club or squad",
                &self.club,
                None,
                ink,
                Message::ClubTyped
            ))
            .width(240),
            act("Keep the name", "", ink)
                .on_press_maybe((self.club.trim() != now.club).then_some(Message::ClubKept)),
        ];
        let lines = column![
                container(rule(ink)).padding([6, 0]),
                line("Distances and paces", units, ink),
                line("Size of text", text, ink),
                line("Screen", theme, ink),
                line("Paper", paper, ink),
                line("What papers call you", club, ink),
                rules::view(shared),
                small("Each change counts at once; Ctrl Z takes it back. How a squad tests, and when again, stands in the calendar.", ink),
            ]
            .max_width(860);
        let lines = container(lines).padding(iced::padding::right(BAR));
        page(column![title("Settings", "", ink), scroll(lines, ink).height(iced::Fill)])
    }
}

fn line<'a>(
    what: &'static str,
    choices: iced::widget::Row<'a, Message>,
    ink: Ink,
) -> Element<'a, Message> {
    let choices = choices.spacing(12).align_y(Alignment::Center);
    column![
        row![container(body(what)).width(220), choices].padding([9, 0]).align_y(Alignment::Center),
        faint_rule(ink),
    ]
    .into()
}

fn choice<'a>(words: &str, chosen: bool, wanted: Settings, ink: Ink) -> Press<'a, Message> {
    let press = if chosen { main_act(words, "", ink) } else { act(words, "", ink) };
    press.on_press(Message::Wanted(wanted))
}
