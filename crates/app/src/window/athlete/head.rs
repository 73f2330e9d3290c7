//! Who: name, one quiet line of facts, the acts of the page.

use chrono::NaiveDate;
use iced::widget::{Space, column, container, row, text};
use iced::{Alignment, Element, Fill};
use pacewright_core::athlete::{Athlete, Screening, Sensor};
use pacewright_core::format::{day, whole_beats};
use pacewright_core::review::{self, Asking, Concern};
use pacewright_core::{screening, words};
use pacewright_desk::book::Page;
use pacewright_sheets::ink::Role;

use super::Message;
use crate::window::ink::{STRONG, TITLE};
use crate::window::parts::{act, link, main_act, soft, spoken};
use crate::window::press::{Frame, press};
use crate::window::shared::Shared;

/// The one framed act of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Framed {
    /// Note what was answered, or that a hold has ended: nothing is run before that.
    Note,
    /// Print the card.
    Print,
    /// Enter a test.
    Enter,
}

/// What comes first for an athlete: whoever has no zones and was not asked runs no test yet.
pub(super) fn framed(page: &Page, today: NaiveDate) -> Framed {
    match (page.current(today), review::screening(&page.athlete, today)) {
        (Some(_), _) => Framed::Print,
        (None, Some(Concern::Ask(_) | Concern::OnHold)) => Framed::Note,
        (None, _) => Framed::Enter,
    }
}

/// The head of the page; while something is being entered Esc leaves that first, and stands there.
pub(super) fn view<'a>(
    page: &'a Page,
    (wide, is_inside): (bool, bool),
    shared: &'a Shared,
) -> Element<'a, Message> {
    let ink = shared.ink();
    let today = shared.now().today;
    let first = framed(page, today);
    let name = text(page.athlete.name.as_str()).size(TITLE).font(STRONG);
    let back = if is_inside { "Back" } else { "Back  Esc" };
    let back = press(soft(back, ink), Frame::None, ink).on_press(Message::BackPressed);
    // under the name it begins where the name does
    let back = if wide { back } else { back.padding(iced::padding::vertical(2).right(4)) };
    let edit = act("Edit", "E", ink).on_press(Message::EditPressed);
    let enter = if first == Framed::Enter { main_act } else { act };
    let enter = enter("Enter a test", "T", ink).on_press(Message::EnterPressed);
    let print = (first == Framed::Print)
        .then(|| main_act("Print the card", "P", ink).on_press(Message::PrintPressed));
    let acts = row![back, edit, enter].push(print).spacing(12).align_y(Alignment::Center);
    let mut lines = if wide {
        column![row![name.width(Fill), acts].spacing(20).align_y(Alignment::Center)]
    } else {
        column![name, acts]
    };
    lines = lines.push(soft(facts(&page.athlete, shared), ink));
    if let Some(concern) = review::screening(&page.athlete, today) {
        let said = spoken(words::concern(&concern, today), Role::Mark, ink);
        let note = |words| match first {
            Framed::Note => main_act(words, "E", ink).on_press(Message::EditPressed),
            _ => link(words, ink).on_press(Message::EditPressed),
        };
        lines = lines.push(match concern {
            Concern::Ask(Asking::Health | Asking::Again | Asking::Medication) => column![
                row![said, note("Note the answers")].spacing(14).align_y(Alignment::Center),
                container(soft(words::health_questions(), ink)).max_width(980),
            ],
            Concern::Ask(Asking::Consent) => {
                column![row![said, note("Note it")].spacing(14).align_y(Alignment::Center)]
            }
            _ => column![said],
        });
    }
    let row = shared.rows.iter().find(|row| row.athlete == page.athlete.id);
    if let Some(row) = row.filter(|row| matches!(row.concern, Concern::Returning { .. })) {
        lines = lines.push(spoken(row.sentence.as_str(), Role::Mark, ink));
    }
    if !page.athlete.notes.is_empty() {
        let notes = format!("Notes, never printed: {}", page.athlete.notes);
        lines = lines.push(soft(notes, ink));
    }
    lines.push(Space::new().height(2)).spacing(6).into()
}

/// One quiet line.
fn facts(athlete: &Athlete, shared: &Shared) -> String {
    let today = shared.now().today;
    let mut parts = Vec::new();
    if let Some(born) = athlete.born {
        parts.push(format!("born {} ({})", day(born), screening::whole_years(born, today)));
    }
    let squads = &shared.book.squads;
    let name = |id| squads.iter().find(|squad| squad.id == id).map(|squad| &squad.name);
    let named = athlete.squads.iter().filter_map(|id| name(*id));
    parts.extend(named.map(|name| format!("squad {name}")));
    parts.extend(athlete.sensor.map(sensor));
    parts.push(health(athlete.screening));
    parts.extend(consent(athlete, today));
    if athlete.rate_lowering_medication {
        parts.push("takes medication that lowers the heart rate".to_owned());
    }
    parts.extend(athlete.resting_heart_rate.map(|rate| format!("resting {}", whole_beats(rate))));
    parts.extend(athlete.max_heart_rate.map(|rate| format!("highest {}", whole_beats(rate))));
    if !athlete.aliases.is_empty() {
        parts.push(format!("also {}", athlete.aliases.join(", ")));
    }
    parts.join(" \u{b7} ")
}

fn sensor(sensor: Sensor) -> String {
    match sensor {
        Sensor::Strap => "chest strap",
        Sensor::Wrist => "wrist sensor",
    }
    .to_owned()
}

fn health(screening: Screening) -> String {
    match screening {
        Screening::NotAsked => "not asked about health".to_owned(),
        Screening::Cleared { on } => format!("health asked {}: cleared", day(on)),
        Screening::Hold { since: Some(since) } => format!("on hold since {}", day(since)),
        Screening::Hold { since: None } => "on hold".to_owned(),
    }
}

fn consent(athlete: &Athlete, today: NaiveDate) -> Option<String> {
    let minor = athlete.born.is_some_and(|born| screening::is_minor(born, today));
    let on = athlete.guardian_consent.filter(|_| minor)?;
    Some(format!("a guardian consented {}", day(on)))
}
