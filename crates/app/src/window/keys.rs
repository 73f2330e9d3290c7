//! Every shortcut in one place, and the sheet that lists them.

use iced::Event;
use iced::event::Status;
use iced::keyboard::{self, Key, Modifiers, key::Named};

/// What a key asks for; each screen takes those that mean something to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shortcut {
    /// To a room, by its place on the bar from 1.
    Room(u8),
    /// Back, close, leave.
    Back,
    /// The main act.
    Main,
    /// The row below.
    Down,
    /// The row above.
    Up,
    /// To the left, or the one before.
    Left,
    /// To the right, or the next one.
    Right,
    /// Choose or leave out a row.
    Select,
    /// Turn the choice of the row that is being written in.
    Turn,
    /// Take out the row that is being written in.
    Remove,
    /// The next field or button.
    Next,
    /// The one before.
    Previous,
    /// Look for something.
    Search,
    /// Take the last act back.
    Undo,
    /// Do it again.
    Redo,
    /// The sheet of keys.
    Keys,
    /// Larger text.
    Larger,
    /// Smaller text.
    Smaller,
    /// A letter that a screen names beside its act, with whether Shift is held.
    Letter(char, bool),
}

/// What an event asks for. What a field took (typing) is no shortcut, but for Tab, Esc and those
/// with Ctrl.
pub(super) fn shortcut(event: &Event, status: Status) -> Option<Shortcut> {
    let Event::Keyboard(keyboard::Event::KeyPressed { key, modified_key, modifiers, .. }) = event
    else {
        return None;
    };
    with_control(key, *modifiers)
        .or_else(|| named(key, *modifiers, status))
        .or_else(|| letter(key, modified_key, *modifiers, status))
}

fn with_control(key: &Key, modifiers: Modifiers) -> Option<Shortcut> {
    if !modifiers.command() {
        return None;
    }
    match key.as_ref() {
        Key::Named(Named::Enter) => Some(Shortcut::Main),
        Key::Character("z") if modifiers.shift() => Some(Shortcut::Redo),
        Key::Character("Z" | "y") => Some(Shortcut::Redo),
        Key::Character("z") => Some(Shortcut::Undo),
        Key::Character("f") => Some(Shortcut::Search),
        Key::Character("k") => Some(Shortcut::Turn),
        Key::Character("d") => Some(Shortcut::Remove),
        Key::Character("+" | "=") => Some(Shortcut::Larger),
        Key::Character("-") => Some(Shortcut::Smaller),
        Key::Character(digit) => {
            digit.parse().ok().filter(|n| (1..=9).contains(n)).map(Shortcut::Room)
        }
        _ => None,
    }
}

fn named(key: &Key, modifiers: Modifiers, status: Status) -> Option<Shortcut> {
    let free = status == Status::Ignored;
    match key.as_ref() {
        Key::Named(Named::Escape) => Some(Shortcut::Back),
        Key::Named(Named::Tab) if modifiers.shift() => Some(Shortcut::Previous),
        Key::Named(Named::Tab) => Some(Shortcut::Next),
        Key::Named(Named::F1) => Some(Shortcut::Keys),
        Key::Named(Named::Enter) if free => Some(Shortcut::Main),
        Key::Named(Named::ArrowDown) if free => Some(Shortcut::Down),
        Key::Named(Named::ArrowUp) if free => Some(Shortcut::Up),
        Key::Named(Named::ArrowLeft) if free => Some(Shortcut::Left),
        Key::Named(Named::ArrowRight) if free => Some(Shortcut::Right),
        Key::Named(Named::Space) if free => Some(Shortcut::Select),
        _ => None,
    }
}

/// `key` is what the key bears, `typed` what it types with Shift and the like: on one keyboard "?"
/// is Shift and "/", on another it is Shift and something else.
fn letter(key: &Key, typed: &Key, modifiers: Modifiers, status: Status) -> Option<Shortcut> {
    if status != Status::Ignored || modifiers.command() || modifiers.alt() {
        return None;
    }
    let Key::Character(bears) = key.as_ref() else { return None };
    let typed = if let Key::Character(typed) = typed.as_ref() { typed } else { bears };
    let shift = modifiers.shift();
    let (sign, shift) = match (typed, bears) {
        ("/", _) => return Some(Shortcut::Search),
        ("?", _) => return Some(Shortcut::Keys),
        // signs with a key of their own stay themselves, so that Shift can mean a larger step
        (_, "[" | "]" | "," | ".") => (bears, shift),
        _ => (typed, shift && typed.chars().all(char::is_alphabetic)),
    };
    Some(Shortcut::Letter(sign.chars().next()?.to_ascii_lowercase(), shift))
}

/// Where, the key, what it does.
pub(super) type Shown = (&'static str, &'static str, &'static str);

/// The sheet of every key; in an order in which two columns are about as long, so that in a small window no
/// heading stands at the foot without its keys.
pub(super) const SHEET: [Shown; 40] = [
    ("Everywhere", "Ctrl 1 to 6", "the rooms along the top"),
    ("Everywhere", "Tab, Shift Tab", "next field or button, the one before"),
    ("Everywhere", "Enter", "the framed act, or what has the focus"),
    ("Everywhere", "Esc", "back, at last to the squad"),
    ("Everywhere", "Ctrl Z, Ctrl Y", "undo, redo"),
    ("Everywhere", "Ctrl + and Ctrl -", "larger and smaller text"),
    ("Everywhere", "?", "this page"),
    ("Squad", "\u{2191} \u{2193}", "row by row"),
    ("Squad", "Enter", "open the athlete"),
    ("Squad", "A", "the act of the row"),
    ("Squad", "/", "search"),
    ("Squad", "N", "add an athlete"),
    ("Test day", "Ctrl Enter", "confirm the rows that are ready"),
    ("Test day", "Enter, \u{2191} \u{2193}", "in a field: the row below, row by row"),
    ("Test day", "Ctrl K", "turn the row: new zones, or keep them and renew the date"),
    ("Test day", "Ctrl D", "take the row out"),
    ("Test day", "P", "print the cards of changed zones"),
    ("Test day", "/", "add an athlete by part of a name"),
    ("Test day", "R", "recordings; there F chooses files, D a folder"),
    ("Test day", "C", "confirm all usable recordings"),
    ("Athlete", "P", "print the card"),
    ("Athlete", "T", "enter a test"),
    ("Athlete", "E", "edit"),
    ("Athlete", "\u{2190} \u{2192}", "from test to test in the chart"),
    ("Athlete", "\u{2191} \u{2193}", "up and down the page"),
    ("Athlete", "W", "where a number comes from; then \u{2191} \u{2193} from number to number"),
    ("A test", "[ ]", "move the left edge by a second, with Shift by ten"),
    ("A test", ", .", "move the right edge by a second, with Shift by ten"),
    ("A test", "Enter", "the framed answer"),
    ("A test", "U, K, X", "use new zones; keep and renew; set aside"),
    ("A test", "\u{2190} \u{2192}", "the waiting test before, the next one"),
    ("Calendar", "M, X", "move the booked test (arrows, Enter), cancel it"),
    ("Calendar", "\u{2190} \u{2192}", "the months before, the months after"),
    ("Calendar", "P", "propose a plan; there Space ticks, Enter books"),
    ("Calendar", "R, H", "races and days away; how the squad tests"),
    ("Calendar", "S, O", "save the calendar; the chosen athlete's own"),
    ("Cards", "Space", "choose or leave out"),
    ("Cards", "S, O", "save, open in the viewer"),
    ("Cards", "T, C", "to the split sheet, to the zone cards"),
    ("Cards", "1 to 7, /, P", "on the split sheet: zone, repetitions, page"),
];

#[cfg(test)]
mod tests {
    use iced::keyboard::Location;

    use super::*;

    fn pressed(key: Key, modifiers: Modifiers) -> Event {
        Event::Keyboard(keyboard::Event::KeyPressed {
            modified_key: key.clone(),
            physical_key: keyboard::key::Physical::Unidentified(
                keyboard::key::NativeCode::Unidentified,
            ),
            key,
            location: Location::Standard,
            modifiers,
            text: None,
            repeat: false,
        })
    }

    #[test]
    fn letters_are_shortcuts_only_where_no_field_took_them() {
        let event = pressed(Key::Character("p".into()), Modifiers::empty());
        assert_eq!(shortcut(&event, Status::Ignored), Some(Shortcut::Letter('p', false)));
        assert_eq!(shortcut(&event, Status::Captured), None);
    }

    #[test]
    fn a_sign_is_told_by_what_it_types_unless_it_has_a_key_of_its_own() {
        let shifted = |bears: &str, types: &str| {
            let mut event = pressed(Key::Character(bears.into()), Modifiers::SHIFT);
            if let Event::Keyboard(keyboard::Event::KeyPressed { modified_key, .. }) = &mut event {
                *modified_key = Key::Character(types.into());
            }
            shortcut(&event, Status::Ignored)
        };
        assert_eq!(shifted("/", "?"), Some(Shortcut::Keys));
        assert_eq!(shifted("7", "/"), Some(Shortcut::Search));
        assert_eq!(shifted("[", "{"), Some(Shortcut::Letter('[', true)));
        assert_eq!(shifted(",", "<"), Some(Shortcut::Letter(',', true)));
        assert_eq!(shifted("<", ">"), Some(Shortcut::Letter('>', false)));
        assert_eq!(shifted("p", "P"), Some(Shortcut::Letter('p', true)));
    }

    #[test]
    fn tab_and_escape_work_inside_fields_too() {
        let tab = pressed(Key::Named(Named::Tab), Modifiers::SHIFT);
        assert_eq!(shortcut(&tab, Status::Captured), Some(Shortcut::Previous));
        let escape = pressed(Key::Named(Named::Escape), Modifiers::empty());
        assert_eq!(shortcut(&escape, Status::Captured), Some(Shortcut::Back));
    }

    #[test]
    fn control_takes_precedence() {
        let undo = pressed(Key::Character("z".into()), Modifiers::CTRL);
        assert_eq!(shortcut(&undo, Status::Captured), Some(Shortcut::Undo));
        let main = pressed(Key::Named(Named::Enter), Modifiers::CTRL);
        assert_eq!(shortcut(&main, Status::Captured), Some(Shortcut::Main));
    }
}
