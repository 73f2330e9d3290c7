//! What is handed out: zone cards, and the split sheet of a session.

mod athletes;
mod paper;
mod splits;
mod zone_cards;

use iced::{Element, Task};
use pacewright_core::ids::AthleteId;

use super::Room;
use super::action::{Action, Outcome};
use super::keys::Shortcut;
use super::shared::Shared;

/// The screen's state: one of two views.
#[derive(Debug)]
pub(super) enum Cards {
    /// Zone cards, and the session that was typed before them.
    Zones(Box<zone_cards::ZoneCards>, Option<Box<splits::SplitScreen>>),
    /// A session's lap times in pace groups.
    Splits(Box<splits::SplitScreen>),
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// The zone cards are wanted.
    ZonesWanted,
    /// The split sheet is wanted.
    SplitsWanted,
    /// To the squad.
    SquadPressed,
    /// Among the zone cards.
    Zones(zone_cards::Message),
    /// On the split sheet.
    Splits(splits::Message),
}

impl Cards {
    /// The zone cards, with those chosen whose zones changed this week.
    pub(super) fn new(shared: &Shared) -> (Self, Task<Message>) {
        let (screen, task) = zone_cards::ZoneCards::new(shared);
        (Self::Zones(Box::new(screen), None), task.map(Message::Zones))
    }

    /// The zone cards of these athletes.
    pub(super) fn of(athletes: &[AthleteId], shared: &Shared) -> (Self, Task<Message>) {
        let (screen, task) = zone_cards::ZoneCards::of(athletes, shared);
        (Self::Zones(Box::new(screen), None), task.map(Message::Zones))
    }

    pub(super) fn update(&mut self, message: Message, shared: &Shared) -> Action<Message> {
        match (message, &mut *self) {
            (Message::ZonesWanted, _) => self.turn_to_zones(shared),
            (Message::SplitsWanted, _) => self.turn_to_splits(shared),
            (Message::SquadPressed, _) => Action::say(Outcome::Go(Room::Squad)),
            (Message::Zones(m), Self::Zones(screen, _)) => {
                screen.update(m, shared).map(Message::Zones)
            }
            (Message::Splits(m), Self::Splits(screen)) => {
                screen.update(m, shared).map(Message::Splits)
            }
            // a late answer for a view that is gone
            _ => Action::none(),
        }
    }

    /// Turns to the zone cards; the session is kept for the way back.
    fn turn_to_zones(&mut self, shared: &Shared) -> Action<Message> {
        let (screen, task) = zone_cards::ZoneCards::new(shared);
        let before = std::mem::replace(self, Self::Zones(Box::new(screen), None));
        if let (Self::Zones(_, kept), Self::Splits(splits)) = (self, before) {
            *kept = Some(splits);
        }
        Action::run(task.map(Message::Zones))
    }

    /// Turns to the session that was left, or to a new one.
    fn turn_to_splits(&mut self, shared: &Shared) -> Action<Message> {
        let kept = if let Self::Zones(_, kept) = self { kept.take() } else { None };
        let mut screen = kept.unwrap_or_else(|| Box::new(splits::SplitScreen::new(shared)));
        let task = screen.entered(shared);
        *self = Self::Splits(screen);
        Action::run(task.map(Message::Splits))
    }

    pub(super) fn pressed(&mut self, shortcut: Shortcut, shared: &Shared) -> Action<Message> {
        match (self, shortcut) {
            (here @ Self::Zones(..), Shortcut::Letter('t', _)) => here.turn_to_splits(shared),
            (here @ Self::Splits(_), Shortcut::Letter('c', _) | Shortcut::Back) => {
                here.turn_to_zones(shared)
            }
            (Self::Zones(screen, _), _) => screen.pressed(shortcut, shared).map(Message::Zones),
            (Self::Splits(screen), _) => screen.pressed(shortcut, shared).map(Message::Splits),
        }
    }

    pub(super) fn refresh(&mut self, shared: &Shared) -> Action<Message> {
        match self {
            Self::Zones(screen, _) => screen.refresh(shared).map(Message::Zones),
            Self::Splits(screen) => screen.refresh(shared).map(Message::Splits),
        }
    }

    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        match self {
            Self::Zones(screen, _) => screen.view(shared),
            Self::Splits(screen) => screen.view(shared),
        }
    }
}
