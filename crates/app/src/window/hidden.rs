//! A page that is put aside for another: neither laid out nor drawn, deaf to everything; but its
//! fields keep what they hold, its focus and how far it is scrolled.

use iced::advanced::layout::{self, Layout};
use iced::advanced::widget::{Operation, Tree, Widget};
use iced::advanced::{Clipboard, Shell, mouse, overlay, renderer};
use iced::{Element, Event, Length, Rectangle, Size, Theme, Vector};

/// The page, or nothing in its place as long as it is hidden.
pub(super) struct Hidden<'a, Message> {
    page: Element<'a, Message>,
    hidden: bool,
}

/// A page that can be hidden.
pub(super) fn hidden<'a, Message>(
    page: impl Into<Element<'a, Message>>,
    hidden: bool,
) -> Hidden<'a, Message> {
    Hidden { page: page.into(), hidden }
}

impl<Message> Widget<Message, Theme, iced::Renderer> for Hidden<'_, Message> {
    fn children(&self) -> Vec<Tree> {
        vec![Tree::new(&self.page)]
    }

    fn diff(&self, tree: &mut Tree) {
        tree.diff_children(std::slice::from_ref(&self.page));
    }

    fn size(&self) -> Size<Length> {
        if self.hidden {
            Size::new(Length::Shrink, Length::Shrink)
        } else {
            self.page.as_widget().size()
        }
    }

    fn layout(
        &mut self,
        tree: &mut Tree,
        renderer: &iced::Renderer,
        limits: &layout::Limits,
    ) -> layout::Node {
        match tree.children.first_mut() {
            Some(tree) if !self.hidden => {
                let node = self.page.as_widget_mut().layout(tree, renderer, limits);
                layout::Node::with_children(node.size(), vec![node])
            }
            _ => layout::Node::new(Size::ZERO),
        }
    }

    fn operate(
        &mut self,
        tree: &mut Tree,
        layout: Layout<'_>,
        renderer: &iced::Renderer,
        operation: &mut dyn Operation,
    ) {
        if let Some((tree, layout)) = tree.children.first_mut().zip(layout.children().next()) {
            self.page.as_widget_mut().operate(tree, layout, renderer, operation);
        }
    }

    fn update(
        &mut self,
        tree: &mut Tree,
        event: &Event,
        layout: Layout<'_>,
        cursor: mouse::Cursor,
        renderer: &iced::Renderer,
        clipboard: &mut dyn Clipboard,
        shell: &mut Shell<'_, Message>,
        viewport: &Rectangle,
    ) {
        if let Some((tree, layout)) = tree.children.first_mut().zip(layout.children().next()) {
            self.page
                .as_widget_mut()
                .update(tree, event, layout, cursor, renderer, clipboard, shell, viewport);
        }
    }

    fn mouse_interaction(
        &self,
        tree: &Tree,
        layout: Layout<'_>,
        cursor: mouse::Cursor,
        viewport: &Rectangle,
        renderer: &iced::Renderer,
    ) -> mouse::Interaction {
        let inside = tree.children.first().zip(layout.children().next());
        inside.map_or_else(mouse::Interaction::default, |(tree, layout)| {
            self.page.as_widget().mouse_interaction(tree, layout, cursor, viewport, renderer)
        })
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
        if let Some((tree, layout)) = tree.children.first().zip(layout.children().next()) {
            self.page.as_widget().draw(tree, renderer, theme, style, layout, cursor, viewport);
        }
    }

    fn overlay<'b>(
        &'b mut self,
        tree: &'b mut Tree,
        layout: Layout<'b>,
        renderer: &iced::Renderer,
        viewport: &Rectangle,
        translation: Vector,
    ) -> Option<overlay::Element<'b, Message, Theme, iced::Renderer>> {
        let (tree, layout) = tree.children.first_mut().zip(layout.children().next())?;
        self.page.as_widget_mut().overlay(tree, layout, renderer, viewport, translation)
    }
}

impl<'a, Message: 'a> From<Hidden<'a, Message>> for Element<'a, Message> {
    fn from(hidden: Hidden<'a, Message>) -> Self {
        Self::new(hidden)
    }
}
