//! What may follow: the weakest quality, and what races may take.

use iced::widget::{Space, column, container, row};
use iced::{Element, Fill};
use pacewright_core::format::{day, race_distance};
use pacewright_core::outlook::{NoOutlook, Outlook};
use pacewright_core::race::Race;
use pacewright_core::words;
use pacewright_desk::book::Page;
use pacewright_desk::whence::{Number, Races, balance_of, races};

use super::{Fold, Message, whence};
use crate::window::parts::{body, faint_rule, section, small, soft};
use crate::window::press::{Frame, press};
use crate::window::shared::Shared;

/// Width of the distances, px.
const DISTANCE: f32 = 150.0;

/// The section; nothing where neither test nor race speaks for it. Races are folded until asked for,
/// also by asking where they come from.
pub(super) fn view<'a>(
    page: &'a Page,
    unfolded: bool,
    asked: Option<Number>,
    shared: &'a Shared,
) -> Element<'a, Message> {
    let (ink, today) = (shared.ink(), shared.now().today);
    let is_asked = asked == Some(Number::Outlook);
    let open = unfolded || is_asked;
    let races = races(page, today);
    let zones = page.current(today);
    if races.is_none() && zones.is_none() {
        return Space::new().into();
    }
    let mut lines = column![section("Balance and races", ink)].spacing(6);
    if let Some(zones) = zones {
        let (found, growing) = balance_of(page, zones, today);
        let balance = soft(words::balance(found.as_ref(), growing), ink);
        lines = lines.push(whence::part(balance, asked == Some(Number::Balance), ink));
    }
    let Some(races) = races else { return lines.into() };
    for (race, outlook) in &races.goals {
        lines = lines.push(body(goal(race, outlook)));
    }
    let turn = if open { "Hide race times" } else { "What may a race take?" };
    let turn = press(soft(turn, ink), Frame::Faint, ink).on_press(Message::Turned(Fold::Outlook));
    lines = lines.push(turn);
    lines.push(open.then(|| whence::part(table(&races, shared), is_asked, ink))).into()
}

fn goal(race: &Race, outlook: &Result<Outlook, NoOutlook>) -> String {
    let name = if race.name.is_empty() { String::new() } else { format!("{}, ", race.name) };
    let said = match outlook {
        Ok(outlook) => format!("about {}.", words::race_time(outlook)),
        Err(why) => why.to_string(),
    };
    format!("{name}{} on {}: {said}", race_distance(race.distance), day(race.on))
}

fn table<'a>(races: &Races, shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let mut lines = column![].spacing(0);
    let mut own = false;
    for (distance, outlook) in &races.usual {
        let said = match outlook {
            Ok(outlook) => {
                own = outlook.own;
                words::race_time(outlook)
            }
            Err(why) => why.to_string(),
        };
        lines = lines
            .push(
                row![
                    container(body(words::capital(&race_distance(*distance)))).width(DISTANCE),
                    container(body(said)).width(Fill)
                ]
                .padding([4, 0]),
            )
            .push(faint_rule(ink));
    }
    let by = if own {
        "By the power law through this athlete's own efforts of the last 24 weeks, on a flat course in cool weather. \
         Nothing is said beyond the half marathon: from efforts this short it would come out too fast."
    } else {
        "By the power law with the published exponent, from one effort, on a flat course in cool weather. Nothing is said \
         beyond the half marathon: from efforts this short it would come out too fast."
    };
    column![lines, container(small(by, ink)).padding([5, 0])].max_width(720).into()
}
