//! The rules of the library: LT2's share of the 20-minute test, the aerobic floor's heart rate. What
//! each is, what it may be, and what follows.

use iced::Element;
use iced::widget::{Space, column, container, row};
use pacewright_core::format::percent;
use pacewright_core::physiology::thresholds::SecondThresholdShare;
use pacewright_core::rules::{FloorMethod, Rules, rules_on};

use super::{Message, line};
use crate::window::ink::Ink;
use crate::window::parts::{act, body, choice, section, soft};
use crate::window::press::Press;
use crate::window::shared::Shared;

/// One step of the share.
const STEP: f64 = 0.01;

/// The rules in force today.
pub(super) fn today(shared: &Shared) -> Rules {
    rules_on(&shared.book.rules, shared.now().today)
}

pub(super) fn view<'a>(shared: &Shared) -> Element<'a, Message> {
    let (ink, now) = (shared.ink(), today(shared));
    let share = row![
        step("Less", now, -STEP, ink),
        body(format!("{} of its speed and heart rate", percent(now.second_threshold.ratio()))),
        step("More", now, STEP, ink),
    ];
    let by = |words, floor| {
        choice(words, now.floor == floor, Message::RulesWanted(Rules { floor, ..now }), ink)
    };
    let floor = row![
        by("Highest heart rate", FloorMethod::OfMaximum),
        by("Heart-rate reserve", FloorMethod::OfReserve),
    ];
    column![
        Space::new().height(20),
        section("Rules for everybody in this library", ink),
        line("LT2, from the 20-minute test", share, ink),
        line("Aerobic floor, by", floor, ink),
        container(soft(follows(now), ink)).padding([10, 0]),
    ]
    .into()
}

fn step<'a>(words: &str, now: Rules, by: f64, ink: Ink) -> Press<'a, Message> {
    let steps = ((now.second_threshold.ratio() + by) / STEP).round();
    let wanted = SecondThresholdShare::from_ratio(steps * STEP);
    let wanted = wanted.map(|share| Rules { second_threshold: share, ..now });
    act(words, "", ink).on_press_maybe(wanted.map(Message::RulesWanted))
}

fn follows(now: Rules) -> &'static str {
    match now.floor {
        FloorMethod::OfMaximum => {
            "95 % is common practice, 90 to 98 % can be chosen. Keep it for a season: another share moves \
             the target of the 40-minute test, so LT1 pace begins a new series, and no gain or loss is called \
             between the two. No zones change by themselves: the weekly review names everyone whose zones would change, and \
             you put them in force. LT1 heart rate is 95 % of LT2 heart rate; an athlete's own factor is set on their page."
        }
        FloorMethod::OfReserve => {
            "By the reserve the floor stands some 10 to 15 beats lower than by the highest heart rate, and every \
             athlete needs a resting heart rate; those without one get a floor estimated from LT1. No zones change \
             by themselves: the weekly review names everyone whose zones would change, and you put them in force. LT2 may be 90 \
             to 98 % of the test; a new share begins a new series of LT1 pace."
        }
    }
}
