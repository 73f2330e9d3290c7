//! Where everything of a screen has been laid, seen or not: from this stands out what the drawing
//! alone can't tell. Something without any room is not drawn at all; something beyond the edge is lost
//! where nothing scrolls, and only further down where something does.

use iced::{Rectangle, Size, Vector};
use iced_test::core::widget::Id;
use iced_test::core::widget::operation::{Focusable, Operation, Scrollable, TextInput};

/// A rounding of places, px.
const HAIR: f32 = 1.5;
/// Smaller than this nothing is there to be read or pressed, px.
const NOTHING: f32 = 4.0;
/// How wide the bar of a list is drawn, px.
const BAR: f32 = 6.0;

/// Something that holds others.
#[derive(Debug, Clone, Copy)]
struct Around {
    place: Rectangle,
    kind: Kind,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Plain,
    Pressed,
    /// Scrolls up and down; whether there is more than is seen.
    Scrolled {
        more: bool,
    },
}

/// A text, a field or something to press, and what it lies in, from the window inwards.
#[derive(Debug)]
struct Thing {
    words: String,
    place: Rectangle,
    within: Vec<Around>,
}

/// Everything of a screen and where it lies.
#[derive(Debug, Default)]
pub(crate) struct Layout {
    things: Vec<Thing>,
    within: Vec<Around>,
    /// What holds the next ones asked about.
    next: Option<Around>,
    /// The first words asked about name what is pressed.
    unnamed: Option<usize>,
}

impl Layout {
    /// Everything that is lost, pushed out or has no room, in words.
    pub(crate) fn faults(&self, window: Size) -> Vec<String> {
        let window = Rectangle::with_size(window);
        let fault =
            |thing: &Thing| fault(thing, window).map(|what| format!("\"{}\" {what}", thing.words));
        self.things.iter().filter_map(fault).collect()
    }

    fn keep(&mut self, words: String, place: Rectangle) {
        self.things.push(Thing { words, place, within: self.within.clone() });
    }
}

impl Operation for Layout {
    fn traverse(&mut self, operate: &mut dyn FnMut(&mut dyn Operation)) {
        let around = self.next.take();
        self.within.extend(around);
        operate(self);
        if around.is_some() {
            let _left = self.within.pop();
        }
        self.next = None;
    }

    fn container(&mut self, _id: Option<&Id>, place: Rectangle) {
        self.next = Some(Around { place, kind: Kind::Plain });
    }

    fn scrollable(
        &mut self,
        _id: Option<&Id>,
        place: Rectangle,
        content: Rectangle,
        _moved: Vector,
        _state: &mut dyn Scrollable,
    ) {
        self.keep("a list".to_owned(), place);
        let more = content.height > place.height + HAIR;
        self.next = Some(Around { place, kind: Kind::Scrolled { more } });
    }

    fn focusable(&mut self, _id: Option<&Id>, place: Rectangle, _state: &mut dyn Focusable) {
        if let Some(around) = &mut self.next {
            around.kind = Kind::Pressed;
        }
        self.unnamed = Some(self.things.len());
        self.keep(String::new(), place);
    }

    fn text_input(&mut self, id: Option<&Id>, place: Rectangle, _state: &mut dyn TextInput) {
        self.keep(format!("field {id:?}"), place);
    }

    fn text(&mut self, _id: Option<&Id>, place: Rectangle, words: &str) {
        if words.trim().is_empty() {
            return;
        }
        let words: String = words.chars().take(60).collect();
        if let Some(thing) = self.unnamed.take().and_then(|index| self.things.get_mut(index)) {
            thing.words = format!("press {words}");
        }
        self.keep(words, place);
    }
}

/// What is wrong with where something lies.
fn fault(thing: &Thing, window: Rectangle) -> Option<&'static str> {
    let place = thing.place;
    if place.width < NOTHING || place.height < NOTHING {
        return Some("has no room");
    }
    let mut room = window;
    for around in &thing.within {
        match around.kind {
            Kind::Scrolled { more } => {
                let bar = if more { BAR } else { 0.0 };
                let left = around.place.x.max(room.x);
                let right = (around.place.x + around.place.width - bar).min(room.x + room.width);
                let endless = Rectangle { y: f32::MIN / 4.0, height: f32::MAX / 2.0, ..room };
                room = Rectangle { x: left, width: right - left, ..endless };
            }
            Kind::Pressed if !contains(around.place, place) => {
                return Some("is larger than what is pressed");
            }
            Kind::Pressed | Kind::Plain => {}
        }
    }
    (!contains(room, place)).then_some("lies beyond the edge, where nothing scrolls")
}

fn contains(room: Rectangle, place: Rectangle) -> bool {
    place.x >= room.x - HAIR
        && place.y >= room.y - HAIR
        && place.x + place.width <= room.x + room.width + HAIR
        && place.y + place.height <= room.y + room.height + HAIR
}

#[test]
fn what_is_pushed_out_or_has_no_room_is_found() {
    let window = Rectangle::with_size(Size::new(683.0, 467.0));
    let press = |x, y, width| Thing {
        words: "Save".to_owned(),
        place: Rectangle { x, y, width, height: 44.0 },
        within: Vec::new(),
    };
    assert_eq!(fault(&press(20.0, 20.0, 80.0), window), None);
    assert_eq!(fault(&press(20.0, 20.0, 0.0), window), Some("has no room"));
    let beyond = Some("lies beyond the edge, where nothing scrolls");
    assert_eq!(fault(&press(650.0, 20.0, 80.0), window), beyond);
    assert_eq!(fault(&press(20.0, 440.0, 80.0), window), beyond);
    let list = Rectangle { y: 100.0, height: 360.0, ..window };
    let list = Around { place: list, kind: Kind::Scrolled { more: true } };
    let in_list = |x, y, width| Thing { within: vec![list], ..press(x, y, width) };
    assert_eq!(fault(&in_list(20.0, 2_000.0, 80.0), window), None);
    assert_eq!(fault(&in_list(600.0, 120.0, 80.0), window), beyond, "under the bar");
    let row = Around { place: press(20.0, 120.0, 40.0).place, kind: Kind::Pressed };
    let wide = Thing { within: vec![list, row], ..press(20.0, 120.0, 80.0) };
    assert_eq!(fault(&wide, window), Some("is larger than what is pressed"));
}
