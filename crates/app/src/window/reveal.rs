//! Where something stands, and how far a list must be scrolled to show it: the field with the focus,
//! or a part of the page by its name.

use iced::advanced::widget::Id;
use iced::advanced::widget::operation::{Focusable, Operation, Outcome, Scrollable};
use iced::widget::operation::AbsoluteOffset;
use iced::{Rectangle, Vector};

/// Room left above and below a field that is brought into sight, px.
const MARGIN: f32 = 14.0;

/// The field with the focus, or what was looked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Focused {
    /// Its name.
    pub(super) id: Id,
    /// How far its list must be scrolled to show it; `None` where it is in sight.
    pub(super) scroll_by: Option<AbsoluteOffset>,
}

/// Finds the named field with the focus, and whether it is in sight in a list; says nothing where
/// there is none.
pub(super) fn find_focused(list: &'static str) -> impl Operation<Focused> {
    Find { list: list.into(), named: None, view: None, found: None }
}

/// The same of a part of the page with a name.
pub(super) fn find_named(list: &'static str, name: &'static str) -> impl Operation<Focused> {
    Find { list: list.into(), named: Some(name.into()), view: None, found: None }
}

struct Find {
    list: Id,
    /// What is looked for; the field with the focus where it is nothing.
    named: Option<Id>,
    /// What of the list is seen, in the list's own px.
    view: Option<Rectangle>,
    found: Option<(Id, Rectangle)>,
}

impl Operation<Focused> for Find {
    fn traverse(&mut self, operate: &mut dyn FnMut(&mut dyn Operation<Focused>)) {
        operate(self);
    }

    fn scrollable(
        &mut self,
        id: Option<&Id>,
        bounds: Rectangle,
        _content_bounds: Rectangle,
        translation: Vector,
        _state: &mut dyn Scrollable,
    ) {
        if id == Some(&self.list) {
            self.view = Some(bounds + translation);
        }
    }

    fn container(&mut self, id: Option<&Id>, bounds: Rectangle) {
        if let Some(id) = id.filter(|id| self.named.as_ref() == Some(*id)) {
            self.found = Some((id.clone(), bounds));
        }
    }

    fn focusable(&mut self, id: Option<&Id>, bounds: Rectangle, state: &mut dyn Focusable) {
        if let Some(id) = id.filter(|_| self.named.is_none() && state.is_focused()) {
            self.found = Some((id.clone(), bounds));
        }
    }

    fn finish(&self) -> Outcome<Focused> {
        let Some((id, field)) = &self.found else { return Outcome::None };
        let scroll_by = self.view.and_then(|view| {
            let above = field.y - MARGIN - view.y;
            let below = field.y + field.height + MARGIN - (view.y + view.height);
            let y = if above < 0.0 { above } else { below.max(0.0) };
            (y.abs() > 0.5).then_some(AbsoluteOffset { x: 0.0, y })
        });
        Outcome::Some(Focused { id: id.clone(), scroll_by })
    }
}
