//! Results typed after one whistle, asserted on what stands on screen.

use iced::Size;
use iced::keyboard::{Modifiers, key::Named};

use crate::hands::Hands;
use crate::stage::Stage;

/// What eleven of the demo squad ran in 20 minutes on a lap of 400 m (invented), in the order of
/// their names.
const RESULTS: [(&str, &str, &str); 11] = [
    ("15", "60", "176"),
    ("14", "390", "178"),
    ("9", "12", "118"),
    ("15", "170", "181"),
    ("12", "150", ""),
    ("12", "160", "171"),
    ("8", "30", "165"),
    ("15", "20", "172"),
    ("12", "390", "178"),
    ("13", "60", "168"),
    ("12", "380", "186"),
];

/// The demo squad on test day, everyone who may run in the table, laps of 400 m.
fn whistle() -> Hands {
    let mut hands = Hands::on(Stage::demo());
    hands.click("Test day");
    hands.click("length of a lap");
    hands.write("400");
    hands.click("Everyone");
    hands
}

/// From the laps of a row through its fields to the laps of the next.
fn type_row(hands: &mut Hands, (laps, metres, rate): (&str, &str, &str)) {
    for text in [laps, metres, rate] {
        hands.write(text);
        hands.key(Named::Tab, Modifiers::empty());
    }
}

#[test]
fn pictures() {
    let mut hands = Hands::on(Stage::demo());
    hands.click("Test day");
    hands.stage.picture("table-empty");
    let mut hands = whistle();
    hands.stage.picture("table-filling");
    for result in RESULTS {
        type_row(&mut hands, result);
    }
    hands.stage.picture("table-full");
}
