//! Something to press, by mouse, by touch, or by Tab and Enter: with a frame that shows the focus.
//! (iced's own button takes no keyboard focus.)

use iced::advanced::layout::{self, Layout};
use iced::advanced::renderer::{self, Quad};
use iced::advanced::widget::operation::{Focusable, Operation};
use iced::advanced::widget::{Id, Tree, Widget, tree};
use iced::advanced::{Clipboard, Renderer as _, Shell};
use iced::keyboard::{self, key};
use iced::{
    Background, Border, Color, Element, Event, Length, Padding, Rectangle, Size, Theme, mouse,
    touch, window,
};
use pacewright_sheets::ink::Role;

use super::ink::Ink;

/// How a press looks at rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Frame {
    /// The main act of a page.
    Main,
    /// Any other act.
    Faint,
    /// No frame: words that can be pressed, or a whole row.
    None,
}

/// A pressable element.
pub(super) struct Press<'a, Message> {
    content: Element<'a, Message>,
    id: Option<Id>,
    #[expect(clippy::struct_field_names, reason = "the name iced gives it")]
    on_press: Option<Message>,
    frame: Frame,
    ink: Ink,
    width: Length,
    padding: Padding,
    in_tab_order: bool,
}

/// A press around some content; without a message it can't be pressed.
pub(super) fn press<'a, Message>(
    content: impl Into<Element<'a, Message>>,
    frame: Frame,
    ink: Ink,
) -> Press<'a, Message> {
    let padding = if frame == Frame::None { Padding::from([2, 4]) } else { Padding::from([7, 14]) };
    Press {
        content: content.into(),
        id: None,
        on_press: None,
        frame,
        ink,
        width: Length::Shrink,
        padding,
        in_tab_order: true,
    }
}

impl<Message> Press<'_, Message> {
    /// What pressing it says.
    pub(super) fn on_press(mut self, message: Message) -> Self {
        self.on_press = Some(message);
        self
    }

    /// What pressing it says, where it can be pressed at all.
    pub(super) fn on_press_maybe(mut self, message: Option<Message>) -> Self {
        self.on_press = message;
        self
    }

    /// A name to find it by.
    pub(super) fn id(mut self, id: impl Into<Id>) -> Self {
        self.id = Some(id.into());
        self
    }

    /// Its width.
    pub(super) fn width(mut self, width: impl Into<Length>) -> Self {
        self.width = width.into();
        self
    }

    /// Its padding.
    pub(super) fn padding(mut self, padding: impl Into<Padding>) -> Self {
        self.padding = padding.into();
        self
    }

    /// Leaves it out of the Tab order: for rows that the arrow keys walk.
    pub(super) fn by_mouse_only(mut self) -> Self {
        self.in_tab_order = false;
        self
    }
}

#[derive(Debug, Default)]
struct State {
    focused: bool,
    pressed: bool,
    hovered: bool,
}

impl Focusable for State {
    fn is_focused(&self) -> bool {
        self.focused
    }

    fn focus(&mut self) {
        self.focused = true;
    }

    fn unfocus(&mut self) {
        self.focused = false;
    }
}

impl<'a, Message: Clone + 'a> Widget<Message, Theme, iced::Renderer> for Press<'a, Message> {
    fn tag(&self) -> tree::Tag {
        tree::Tag::of::<State>()
    }

    fn state(&self) -> tree::State {
        tree::State::new(State::default())
    }

    fn children(&self) -> Vec<Tree> {
        vec![Tree::new(&self.content)]
    }

    fn diff(&self, tree: &mut Tree) {
        tree.diff_children(std::slice::from_ref(&self.content));
    }

    fn size(&self) -> Size<Length> {
        Size { width: self.width, height: Length::Shrink }
    }

    fn layout(
        &mut self,
        tree: &mut Tree,
        renderer: &iced::Renderer,
        limits: &layout::Limits,
    ) -> layout::Node {
        layout::padded(limits, self.width, Length::Shrink, self.padding, |limits| {
            self.content.as_widget_mut().layout(&mut tree.children[0], renderer, limits)
        })
    }

    fn operate(
        &mut self,
        tree: &mut Tree,
        layout: Layout<'_>,
        renderer: &iced::Renderer,
        operation: &mut dyn Operation,
    ) {
        operation.container(self.id.as_ref(), layout.bounds());
        if self.on_press.is_some() && self.in_tab_order {
            let state = tree.state.downcast_mut::<State>();
            operation.focusable(self.id.as_ref(), layout.bounds(), state);
        }
        operation.traverse(&mut |operation| {
            if let Some(inside) = layout.children().next() {
                self.content.as_widget_mut().operate(
                    &mut tree.children[0],
                    inside,
                    renderer,
                    operation,
                );
            }
        });
    }

    fn update(
        &mut self,
        tree: &mut Tree,
        event: &Event,
        layout: Layout<'_>,
        cursor: mouse::Cursor,
        _renderer: &iced::Renderer,
        _clipboard: &mut dyn Clipboard,
        shell: &mut Shell<'_, Message>,
        _viewport: &Rectangle,
    ) {
        let Some(message) = &self.on_press else { return };
        let state = tree.state.downcast_mut::<State>();
        let over = cursor.is_over(layout.bounds());
        match event {
            Event::Mouse(mouse::Event::ButtonPressed(mouse::Button::Left))
            | Event::Touch(touch::Event::FingerPressed { .. }) => {
                state.pressed = over;
                state.focused = false;
                if over {
                    shell.capture_event();
                }
            }
            Event::Mouse(mouse::Event::ButtonReleased(mouse::Button::Left))
            | Event::Touch(touch::Event::FingerLifted { .. })
                if state.pressed =>
            {
                state.pressed = false;
                if over {
                    shell.publish(message.clone());
                    shell.capture_event();
                }
            }
            Event::Touch(touch::Event::FingerLost { .. }) => state.pressed = false,
            Event::Keyboard(keyboard::Event::KeyPressed {
                key: keyboard::Key::Named(key::Named::Enter | key::Named::Space),
                ..
            }) if state.focused => {
                shell.publish(message.clone());
                shell.capture_event();
            }
            Event::Window(window::Event::RedrawRequested(_)) => state.hovered = over,
            _ => {}
        }
        if state.hovered != over {
            shell.request_redraw();
        }
    }

    fn draw(
        &self,
        tree: &Tree,
        renderer: &mut iced::Renderer,
        theme: &Theme,
        style: &renderer::Style,
        layout: Layout<'_>,
        cursor: mouse::Cursor,
        viewport: &Rectangle,
    ) {
        let state = tree.state.downcast_ref::<State>();
        let bounds = layout.bounds();
        let refused = renderer::Style { text_color: self.ink.of(Role::SoftInk) };
        let style = if self.is_refused() { &refused } else { style };
        if let Some(quad) = self.quad(state, bounds) {
            let ground = match (self.on_press.is_some(), state.hovered) {
                (true, true) => self.ink.of(Role::Selected),
                _ => Color::TRANSPARENT,
            };
            renderer.fill_quad(quad, Background::Color(ground));
        }
        if let Some(inside) = layout.children().next() {
            self.content.as_widget().draw(
                &tree.children[0],
                renderer,
                theme,
                style,
                inside,
                cursor,
                viewport,
            );
        }
    }

    fn mouse_interaction(
        &self,
        _tree: &Tree,
        layout: Layout<'_>,
        cursor: mouse::Cursor,
        _viewport: &Rectangle,
        _renderer: &iced::Renderer,
    ) -> mouse::Interaction {
        if self.on_press.is_some() && cursor.is_over(layout.bounds()) {
            mouse::Interaction::Pointer
        } else {
            mouse::Interaction::default()
        }
    }
}

impl<Message> Press<'_, Message> {
    /// An act that cannot be done now: it looks so.
    fn is_refused(&self) -> bool {
        self.frame != Frame::None && self.on_press.is_none()
    }

    fn quad(&self, state: &State, bounds: Rectangle) -> Option<Quad> {
        let (role, width) = match (state.focused, self.frame) {
            (true, _) => (Role::Mark, 2.0),
            _ if self.is_refused() => (Role::FaintRule, 1.0),
            (false, Frame::Main) => (Role::Ink, 1.0),
            (false, Frame::Faint) => (Role::Rule, 1.0),
            (false, Frame::None) if state.hovered && self.on_press.is_some() => (Role::Rule, 0.0),
            (false, Frame::None) => return None,
        };
        let border = Border { color: self.ink.of(role), width, radius: 2.0.into() };
        Some(Quad { bounds, border, snap: true, ..Quad::default() })
    }
}

impl<'a, Message: Clone + 'a> From<Press<'a, Message>> for Element<'a, Message> {
    fn from(press: Press<'a, Message>) -> Self {
        Self::new(press)
    }
}
