//! The trace on screen: the figure, and over it what the pointer shows and moves.

use std::cell::Cell;

use iced::widget::{canvas, stack};
use iced::{Element, Fill, Length, Point, Rectangle, Renderer, Theme, mouse};
use pacewright_core::effort::Edge;
use pacewright_core::units::Seconds;
use pacewright_desk::trace::Recorded;
use pacewright_sheets::trace::{Layout, Trace, pointer, trace};

use super::Message;
use super::open::Open;
use crate::window::figure::paint_all;
use crate::window::ink::Ink;
use crate::window::parts::soft;
use crate::window::shared::Shared;

/// How near to an edge, px, the pointer takes hold of it.
const REACH: f64 = 9.0;

/// The trace of an open test over the whole width, of a height in px.
pub(super) fn view<'a>(open: &'a Open, height: f32, shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let (Some(recorded), Some(judged)) = (open.recorded(), &open.judged) else {
        return soft("The result was typed in: there is no recording to look at.", ink);
    };
    let trace = Trace {
        moments: &recorded.moments,
        duration: recorded.duration(),
        effort: judged.effort.span,
        pauses: &recorded.pauses,
        jumps: &recorded.jumps,
        remarks: &open.numbered,
        units: shared.units(),
    };
    let seen = Seen { trace, revision: open.revision, ink };
    let chart = canvas(Chart { seen }).width(Fill).height(Length::Fixed(height));
    let over = canvas(Over { seen, recorded }).width(Fill).height(Length::Fixed(height));
    stack![chart, over].into()
}

/// What is drawn, and by what a change of it is known.
#[derive(Clone, Copy)]
struct Seen<'a> {
    trace: Trace<'a>,
    revision: u64,
    ink: Ink,
}

/// What a drawing was made of.
type DrawnOf = (u64, usize, Ink, Option<u64>);

/// A drawing that is kept until something else is to be seen.
#[derive(Default)]
struct Kept {
    cache: canvas::Cache,
    of: Cell<Option<DrawnOf>>,
}

impl Kept {
    fn draw(
        &self,
        seen: &Seen<'_>,
        at: Option<Seconds>,
        (renderer, bounds): (&Renderer, Rectangle),
        paint: impl FnOnce(&mut canvas::Frame),
    ) -> canvas::Geometry {
        let key = (
            seen.revision,
            seen.trace.moments.as_ptr().addr(),
            seen.ink,
            at.map(|time| time.s().to_bits()),
        );
        if self.of.replace(Some(key)) != Some(key) {
            self.cache.clear();
        }
        self.cache.draw(renderer, bounds.size(), paint)
    }
}

struct Chart<'a> {
    seen: Seen<'a>,
}

impl canvas::Program<Message> for Chart<'_> {
    type State = Kept;

    fn draw(
        &self,
        kept: &Kept,
        renderer: &Renderer,
        _theme: &Theme,
        bounds: Rectangle,
        _cursor: mouse::Cursor,
    ) -> Vec<canvas::Geometry> {
        let geometry = kept.draw(&self.seen, None, (renderer, bounds), |frame| {
            let (width, height) = size(bounds);
            paint_all(frame, &trace(&self.seen.trace, width, height), self.seen.ink);
        });
        vec![geometry]
    }
}

struct Over<'a> {
    seen: Seen<'a>,
    recorded: &'a Recorded,
}

/// The pointer over the trace.
#[derive(Default)]
struct Pointing {
    at: Option<Point>,
    held: Option<Edge>,
    kept: Kept,
}

impl Over<'_> {
    fn layout(&self, bounds: Rectangle) -> Layout {
        let (width, height) = size(bounds);
        Layout::of(&self.seen.trace, width, height)
    }

    /// The edge within reach of a place.
    fn edge_near(&self, place: Point, bounds: Rectangle) -> Option<Edge> {
        let layout = self.layout(bounds);
        let effort = self.seen.trace.effort;
        let far = |time| (layout.x_of(time) - f64::from(place.x)).abs();
        [(Edge::Start, far(effort.from)), (Edge::End, far(effort.to))]
            .into_iter()
            .filter(|(_, far)| *far <= REACH)
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(edge, _)| edge)
    }

    fn dragged(&self, edge: Edge, x: f32, bounds: Rectangle) -> Option<canvas::Action<Message>> {
        let time = self.layout(bounds).time_at(f64::from(x))?;
        let whole = Seconds::from_s(time.s().round()).ok()?;
        Some(canvas::Action::publish(Message::EdgeMoved(edge, whole)).and_capture())
    }
}

impl canvas::Program<Message> for Over<'_> {
    type State = Pointing;

    fn update(
        &self,
        state: &mut Pointing,
        event: &canvas::Event,
        bounds: Rectangle,
        cursor: mouse::Cursor,
    ) -> Option<canvas::Action<Message>> {
        let canvas::Event::Mouse(event) = event else { return None };
        match event {
            mouse::Event::CursorMoved { .. } => {
                if let Some(edge) = state.held {
                    let x = cursor.position()?.x - bounds.x;
                    return self.dragged(edge, x, bounds);
                }
                let at = cursor.position_in(bounds);
                let moved = state.at != at;
                state.at = at;
                moved.then(canvas::Action::request_redraw)
            }
            mouse::Event::CursorLeft => {
                state.at = None;
                Some(canvas::Action::request_redraw())
            }
            mouse::Event::ButtonPressed(mouse::Button::Left) => {
                state.held = self.edge_near(cursor.position_in(bounds)?, bounds);
                state.held.map(|_| canvas::Action::capture())
            }
            mouse::Event::ButtonReleased(mouse::Button::Left) => {
                state.held.take().map(|_| canvas::Action::capture())
            }
            _ => None,
        }
    }

    fn draw(
        &self,
        state: &Pointing,
        renderer: &Renderer,
        _theme: &Theme,
        bounds: Rectangle,
        _cursor: mouse::Cursor,
    ) -> Vec<canvas::Geometry> {
        let layout = self.layout(bounds);
        let moment = state
            .at
            .filter(|_| state.held.is_none())
            .and_then(|at| layout.time_at(f64::from(at.x)))
            .and_then(|time| self.recorded.moment_at(time));
        let at = moment.map(|moment| moment.time);
        let geometry = state.kept.draw(&self.seen, at, (renderer, bounds), |frame| {
            if let Some(moment) = moment {
                let (width, height) = size(bounds);
                let drawing = pointer(&self.seen.trace, moment, width, height);
                paint_all(frame, &drawing, self.seen.ink);
            }
        });
        vec![geometry]
    }

    fn mouse_interaction(
        &self,
        state: &Pointing,
        bounds: Rectangle,
        cursor: mouse::Cursor,
    ) -> mouse::Interaction {
        let near = || cursor.position_in(bounds).and_then(|at| self.edge_near(at, bounds));
        if state.held.or_else(near).is_some() {
            mouse::Interaction::ResizingHorizontally
        } else {
            mouse::Interaction::default()
        }
    }
}

fn size(bounds: Rectangle) -> (f64, f64) {
    (f64::from(bounds.width), f64::from(bounds.height))
}
