//! Hands on the keyboard: a window whose focus lives from one key to the next, as on a screen.

use iced::advanced::widget::Id;
use iced::advanced::widget::operation::{Outcome, focusable};
use iced::advanced::{clipboard, mouse};
use iced::keyboard::{Key, Modifiers, key::Named};
use iced::{Event, Task};
use iced_test::core::widget::Operation;
use iced_test::core::widget::operation::black_box;
use iced_test::futures::futures::{StreamExt, executor::block_on};
use iced_test::runtime::user_interface::Cache;
use iced_test::runtime::{Action, UserInterface, task};
use iced_test::selector::Selector;
use iced_test::simulator::press_key;
use pacewright::window::{Message, heard};

use crate::stage::{Stage, renderer, standing};

pub(crate) struct Hands {
    pub(crate) stage: Stage,
    cache: Cache,
    renderer: iced::Renderer,
}

impl Hands {
    pub(crate) fn on(stage: Stage) -> Self {
        Self { stage, cache: Cache::default(), renderer: renderer() }
    }

    fn with_page<T>(
        &mut self,
        act: impl FnOnce(
            &mut UserInterface<'_, Message, iced::Theme, iced::Renderer>,
            &mut iced::Renderer,
        ) -> T,
    ) -> T {
        let size = self.stage.size / self.stage.window.scale();
        let cache = std::mem::take(&mut self.cache);
        let mut page =
            UserInterface::build(self.stage.window.view(), size, cache, &mut self.renderer);
        let outcome = act(&mut page, &mut self.renderer);
        self.cache = page.into_cache();
        outcome
    }

    /// Something happens, and all that follows from it.
    pub(crate) fn tell(&mut self, message: Message) {
        let task = self.stage.window.update(message);
        self.finish(task);
    }

    fn finish(&mut self, task: Task<Message>) {
        let Some(mut stream) = task::into_stream(task) else { return };
        while let Some(action) = block_on(stream.next()) {
            match action {
                Action::Output(message) => self.tell(message),
                Action::Widget(operation) => self.operate(operation),
                _ => {}
            }
        }
    }

    fn operate(&mut self, operation: Box<dyn Operation>) {
        let mut next = Some(operation);
        while let Some(mut operation) = next.take() {
            self.with_page(|page, renderer| page.operate(renderer, operation.as_mut()));
            if let Outcome::Chain(following) = operation.finish() {
                next = Some(following);
            }
        }
    }

    /// Arrow keys down until words are in sight.
    pub(crate) fn scroll_to(&mut self, words: &str) {
        for _ in 0..60 {
            if self.sees(words) {
                return;
            }
            self.key(Named::ArrowDown, Modifiers::empty());
        }
    }

    /// A key, to the field with the focus first and then to the window.
    pub(crate) fn key(&mut self, key: impl Into<Key>, modifiers: Modifiers) {
        let key = key.into();
        let text = match &key {
            Key::Character(c) if !modifiers.command() => Some(c.clone()),
            _ => None,
        };
        let mut event = press_key(key, text);
        if let Event::Keyboard(iced::keyboard::Event::KeyPressed { modifiers: held, .. }) =
            &mut event
        {
            *held = modifiers;
        }
        let mut messages = Vec::new();
        let events = [Event::Keyboard(iced::keyboard::Event::ModifiersChanged(modifiers)), event];
        let statuses = self.with_page(|page, renderer| {
            let cursor = mouse::Cursor::Unavailable;
            page.update(&events, cursor, renderer, &mut clipboard::Null, &mut messages).1
        });
        for message in messages {
            self.tell(message);
        }
        let [_, event] = events;
        if let Some(message) = heard(event, statuses[1], iced::window::Id::unique()) {
            self.tell(message);
        }
    }

    /// Clicks the first thing with these words, or a field by its name.
    pub(crate) fn click(&mut self, words: &str) {
        let field = Id::from(words.to_owned());
        let mut by_words = words.to_owned().find();
        let mut by_name = field.find();
        self.with_page(|page, renderer| {
            page.operate(renderer, &mut black_box(&mut by_words));
            page.operate(renderer, &mut black_box(&mut by_name));
        });
        let seen = |found: Option<iced::Rectangle>| found.map(|bounds| bounds.center());
        let by_words = match by_words.finish() {
            Outcome::Some(Some(found)) => seen(found.visible_bounds()),
            _ => None,
        };
        let by_name = match by_name.finish() {
            Outcome::Some(Some(found)) => seen(found.visible_bounds()),
            _ => None,
        };
        let at = by_words.or(by_name).unwrap_or_else(|| panic!("no \"{words}\" in sight"));
        let mut messages = Vec::new();
        self.with_page(|page, renderer| {
            let cursor = mouse::Cursor::Available(at);
            let events: Vec<Event> = iced_test::simulator::click().collect();
            let _ = page.update(&events, cursor, renderer, &mut clipboard::Null, &mut messages);
        });
        for message in messages {
            self.tell(message);
        }
    }

    /// Where a field stands, and how large it is.
    pub(crate) fn place_of(&mut self, field: &str) -> iced::Rectangle {
        let mut found = iced_test::selector::id(field.to_owned()).find();
        self.with_page(|page, renderer| page.operate(renderer, &mut black_box(&mut found)));
        match found.finish() {
            Outcome::Some(Some(found)) => found.bounds(),
            _ => panic!("there is no field \"{field}\""),
        }
    }

    /// Whether words are in sight, wherever the page is scrolled to.
    pub(crate) fn sees(&mut self, words: &str) -> bool {
        let mut found = standing(words).find();
        self.with_page(|page, renderer| page.operate(renderer, &mut black_box(&mut found)));
        matches!(found.finish(), Outcome::Some(Some(found)) if found.visible_bounds().is_some())
    }

    /// Whether words are in sight whole, wherever the page is scrolled to.
    pub(crate) fn sees_whole(&mut self, words: &str) -> bool {
        let mut found = standing(words).find();
        self.with_page(|page, renderer| page.operate(renderer, &mut black_box(&mut found)));
        let Outcome::Some(Some(found)) = found.finish() else { return false };
        let all = found.bounds();
        found
            .visible_bounds()
            .is_some_and(|seen| seen.width > all.width - 0.5 && seen.height > all.height - 0.5)
    }

    /// Writes into the field with the focus.
    pub(crate) fn write(&mut self, words: &str) {
        for letter in words.chars() {
            self.key(Key::Character(letter.to_string().into()), Modifiers::empty());
        }
    }

    /// Whether the field of a name has the focus.
    pub(crate) fn is_in(&mut self, field: &str) -> bool {
        let mut operation = focusable::find_focused();
        self.with_page(|page, renderer| {
            page.operate(renderer, &mut black_box(&mut operation));
        });
        matches!(operation.finish(), Outcome::Some(id) if id == Id::from(field.to_owned()))
    }
}
