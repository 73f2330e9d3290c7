//! The page of keys.

use iced::Size;
use iced::keyboard::{Key, Modifiers, key::Named};

use crate::hands::Hands;
use crate::stage::Stage;

#[test]
fn the_keys_stand_on_a_page_of_their_own_and_give_the_other_back_as_it_was() {
    let mut hands = Hands::on(Stage::demo());
    hands.click("squad search");
    hands.write("mir");
    hands.stage.assert_shows("Mirela Stanescu");
    hands.key(Named::F1, Modifiers::empty());
    hands.stage.assert_shows("Keys");
    assert!(!hands.stage.shows("Mirela Stanescu"), "the page behind is not drawn");
    // no key reaches the page that is not seen
    hands.write("nx");
    hands.stage.assert_shows("Keys");
    hands.key(Named::Escape, Modifiers::empty());
    hands.stage.assert_shows("Mirela Stanescu");
    assert!(hands.is_in("squad search"), "the field keeps its focus");
    hands.write("ela");
    hands.stage.assert_shows("Mirela Stanescu");

    // a room leaves them too
    hands.key(Named::F1, Modifiers::empty());
    hands.key(Key::Character("3".into()), Modifiers::CTRL);
    assert!(!hands.stage.shows("Keys"));
    hands.stage.assert_shows("Races and days away");
}

/// In a wide window every key is in sight; in a small one they are scrolled.
#[test]
fn every_key_is_seen() {
    let mut hands = Hands::on(Stage::demo());
    let last =
        ["confirm all usable recordings", "save, open in the viewer", "up and down the page"];
    for text in ["100", "150"] {
        hands.stage.size = Size::new(1_920.0, 1_200.0);
        hands.key(Named::F1, Modifiers::empty());
        for words in last {
            assert_eq!(hands.stage.in_sight(words).len(), 1, "{words}, {text}");
        }
        hands.key(Named::Escape, Modifiers::empty());
        (0..5).for_each(|_| hands.key(Key::Character("+".into()), Modifiers::CTRL));
    }
    hands.stage.size = Size::new(1_024.0, 700.0);
    hands.key(Named::F1, Modifiers::empty());
    assert!(!hands.sees("save, open in the viewer"));
    (0..20).for_each(|_| hands.key(Named::ArrowDown, Modifiers::empty()));
    assert!(hands.sees("save, open in the viewer"));
}

/// Where not all of it fits, no heading stands at the foot without its keys.
#[test]
fn a_heading_stands_with_its_keys() {
    let mut stage = Stage::demo();
    stage.size = Size::new(1_024.0, 700.0);
    stage.letter("?");
    for words in ["up and down the page", "the framed answer", "choose or leave out"] {
        assert_eq!(stage.in_sight(words).len(), 1, "{words}");
    }
}
