//! Over a chart: what names the point under the mouse, or the one the arrow keys stand on. Its own
//! layer with its own cache, so that the chart beneath is not drawn again.

use std::cell::Cell;

use iced::widget::Action;
use iced::widget::canvas::{self, Canvas, Geometry, Path, Stroke};
use iced::{Element, Event, Length, Point, Rectangle, Renderer, Size, Theme, mouse};
use pacewright_sheets::drawing::{Anchor, Place, Primitive, at};
use pacewright_sheets::fonts::text_width;
use pacewright_sheets::ink::Role;

use super::Message;
use crate::window::figure::{paint, px};
use crate::window::ink::{Ink, SMALL};

/// How near the mouse must come to a point, px.
const NEAR: f64 = 16.0;

/// A point and what it is called.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Named {
    /// Where it stands.
    pub(super) place: Place,
    /// The ink of its quality.
    pub(super) ink: Role,
    /// What it says.
    pub(super) value: String,
    /// Which test, and when.
    pub(super) test: String,
}

/// The layer over a chart of a size; `chosen` is shown while the mouse is near no point.
pub(super) fn overlay<'a>(
    points: Vec<Named>,
    (width, height): (f64, f64),
    chosen: Option<usize>,
    ink: Ink,
) -> Element<'a, Message> {
    Canvas::new(Overlay { points, width, chosen, ink })
        .width(Length::Fixed(px(width)))
        .height(Length::Fixed(px(height).ceil()))
        .into()
}

struct Overlay {
    points: Vec<Named>,
    width: f64,
    chosen: Option<usize>,
    ink: Ink,
}

/// What is under the mouse, and what the cache holds.
#[derive(Default)]
struct State {
    hovered: Option<usize>,
    drawn: Cell<Option<(usize, Ink, u32)>>,
    cache: canvas::Cache,
}

impl canvas::Program<Message> for Overlay {
    type State = State;

    fn update(
        &self,
        state: &mut State,
        event: &Event,
        bounds: Rectangle,
        cursor: mouse::Cursor,
    ) -> Option<Action<Message>> {
        if !matches!(
            event,
            Event::Mouse(mouse::Event::CursorMoved { .. } | mouse::Event::CursorLeft)
        ) {
            return None;
        }
        let hovered = cursor.position_in(bounds).and_then(|mouse| self.nearest(mouse));
        if hovered == state.hovered {
            return None;
        }
        state.hovered = hovered;
        state.cache.clear();
        Some(Action::request_redraw())
    }

    fn draw(
        &self,
        state: &State,
        renderer: &Renderer,
        _theme: &Theme,
        bounds: Rectangle,
        _cursor: mouse::Cursor,
    ) -> Vec<Geometry> {
        let shown = state.hovered.or(self.chosen);
        // what is drawn depends on the point, the theme and the width; anything else never changes it
        let wanted = shown.map(|index| (index, self.ink, px(self.width).to_bits()));
        if state.drawn.replace(wanted) != wanted {
            state.cache.clear();
        }
        let Some(point) = shown.and_then(|index| self.points.get(index)) else { return Vec::new() };
        vec![state.cache.draw(renderer, bounds.size(), |frame| self.name(frame, point))]
    }
}

impl Overlay {
    fn nearest(&self, mouse: Point) -> Option<usize> {
        let far = |named: &Named| {
            (named.place.x - f64::from(mouse.x)).hypot(named.place.y - f64::from(mouse.y))
        };
        let near = self.points.iter().map(far).enumerate().filter(|(_, far)| *far <= NEAR);
        near.min_by(|(_, a), (_, b)| a.total_cmp(b)).map(|(index, _)| index)
    }

    /// A ring around the point and two lines beside it, inside the chart.
    fn name(&self, frame: &mut canvas::Frame, point: &Named) {
        let ring = Path::circle(Point::new(px(point.place.x), px(point.place.y)), 8.0);
        frame.stroke(&ring, Stroke::default().with_color(self.ink.of(Role::Ink)).with_width(1.4));
        let size = f64::from(SMALL);
        let wide = text_width(&point.value, size).max(text_width(&point.test, size)) + 18.0;
        let high = 2.0 * size * 1.35 + 10.0;
        let left = (point.place.x + 14.0).min(self.width - wide - 1.0).max(0.0);
        let above = point.place.y - high - 12.0;
        let top = if above < 0.0 { point.place.y + 14.0 } else { above };
        let ground = Rectangle::new(Point::new(px(left), px(top)), Size::new(px(wide), px(high)));
        frame.fill_rectangle(ground.position(), ground.size(), self.ink.of(Role::Field));
        frame.stroke_rectangle(
            ground.position(),
            ground.size(),
            Stroke::default().with_color(self.ink.of(Role::Ink)).with_width(1.0),
        );
        let lines = [(&point.value, point.ink), (&point.test, Role::Ink)];
        for ((text, ink), line) in lines.into_iter().zip([1.0, 2.0]) {
            let baseline = at(left + 9.0, top + 2.0 + line * size * 1.35);
            let text = text.clone();
            paint(
                frame,
                &Primitive::Text { baseline, anchor: Anchor::Start, size, ink, text },
                self.ink,
            );
        }
    }
}
