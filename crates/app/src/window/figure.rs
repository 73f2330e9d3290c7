//! Paints a drawing of the sheets on a canvas: the same figure on screen and on paper.

use iced::advanced::graphics::geometry::Renderer as _;
use iced::advanced::layout::{self, Layout};
use iced::advanced::text::{self, Alignment, LineHeight, Renderer as _};
use iced::advanced::widget::{Tree, Widget};
use iced::advanced::{Renderer as _, renderer};
use iced::alignment::Vertical;
use iced::widget::canvas::{self, LineDash, Path, Stroke};
use iced::{Element, Length, Pixels, Point, Rectangle, Renderer, Size, Theme, mouse};
use pacewright_sheets::drawing::{Anchor, Drawing, Place, Primitive};
use pacewright_sheets::fonts::text_width;

use super::ink::{FACE, Ink};

/// From the top of a line of the face, set solid, to its baseline, in ems: its ascender 1.024 and
/// descender 0.4 centred in a line of 1.
const TOP_TO_BASELINE: f64 = 0.812;

/// The dashes of estimated markers, px.
const DASHES: [f32; 2] = [3.0, 2.5];

/// Room in which no line of a figure is broken; an endless one becomes no number on its way to the
/// painter, and every letter a line of its own.
const ONE_LINE: Size = Size::new(100_000.0, 100_000.0);

/// A figure at its own size.
pub(super) fn figure<'a, Message: 'a>(drawing: Drawing, ink: Ink) -> Element<'a, Message> {
    Element::new(Figure::of(drawing, ink))
}

/// As iced's canvas, but for its words: those of a canvas have no bounds, and for each that has none
/// the painter by the processor makes a mask of the whole window anew. In a list of twenty lanes that
/// took a third of every frame.
struct Figure {
    shapes: Drawing,
    words: Vec<canvas::Text>,
    ink: Ink,
}

impl Figure {
    fn of(mut drawing: Drawing, ink: Ink) -> Self {
        let words =
            drawing.primitives.iter().filter_map(|primitive| words(primitive, ink)).collect();
        drawing.primitives.retain(|primitive| !matches!(primitive, Primitive::Text { .. }));
        Self { shapes: drawing, words, ink }
    }

    fn own_size(&self) -> Size {
        Size::new(px(self.shapes.width), px(self.shapes.height).ceil())
    }
}

impl<Message> Widget<Message, Theme, Renderer> for Figure {
    fn size(&self) -> Size<Length> {
        let Size { width, height } = self.own_size();
        Size::new(width.into(), height.into())
    }

    fn layout(
        &mut self,
        _tree: &mut Tree,
        _renderer: &Renderer,
        limits: &layout::Limits,
    ) -> layout::Node {
        let Size { width, height } = self.own_size();
        layout::atomic(limits, width, height)
    }

    fn draw(
        &self,
        _tree: &Tree,
        renderer: &mut Renderer,
        _theme: &Theme,
        _style: &renderer::Style,
        layout: Layout<'_>,
        _cursor: mouse::Cursor,
        viewport: &Rectangle,
    ) {
        let bounds = layout.bounds();
        if !bounds.intersects(viewport) {
            return;
        }
        renderer.with_translation(bounds.position() - Point::ORIGIN, |renderer| {
            let mut frame = canvas::Frame::new(renderer, bounds.size());
            paint_all(&mut frame, &self.shapes, self.ink);
            renderer.draw_geometry(frame.into_geometry());
            self.words.iter().for_each(|words| write(renderer, words));
        });
    }
}

/// Paints a drawing into a frame. Strokes that follow each other become one path: a long line costs
/// a fraction of its pieces, and its corners are joined.
pub(super) fn paint_all(frame: &mut canvas::Frame, drawing: &Drawing, ink: Ink) {
    let mut rest = drawing.primitives.as_slice();
    while let Some((first, after)) = rest.split_first() {
        let along = 1 + rest.windows(2).take_while(|pair| follows(pair)).count();
        match rest.get(..along) {
            Some(strokes) if along > 2 => {
                paint_path(frame, strokes, ink);
                rest = rest.get(along..).unwrap_or_default();
            }
            _ => {
                paint(frame, first, ink);
                rest = after;
            }
        }
    }
}

/// Whether the second of two strokes goes on where the first ends.
fn follows(pair: &[Primitive]) -> bool {
    match pair {
        [
            Primitive::Line { to, ink, width, dashed: false, .. },
            Primitive::Line { from, ink: next_ink, width: next_width, dashed: false, .. },
        ] => to == from && ink == next_ink && (width - next_width).abs() < f64::EPSILON,
        _ => false,
    }
}

fn paint_path(frame: &mut canvas::Frame, strokes: &[Primitive], ink: Ink) {
    let Some(Primitive::Line { from, ink: role, width, .. }) = strokes.first() else { return };
    let path = Path::new(|builder| {
        builder.move_to(point(*from));
        for stroke in strokes {
            if let Primitive::Line { to, .. } = stroke {
                builder.line_to(point(*to));
            }
        }
    });
    // bevelled: a line that jumps from px to px grows no spikes, and costs no arc at each corner
    let stroke = Stroke { line_join: canvas::LineJoin::Bevel, ..Stroke::default() };
    frame.stroke(&path, stroke.with_color(ink.of(*role)).with_width(px(*width)));
}

/// Paints one primitive into a frame.
pub(super) fn paint(frame: &mut canvas::Frame, primitive: &Primitive, ink: Ink) {
    match primitive {
        Primitive::Line { from, to, ink: role, width, dashed } => {
            let dash = LineDash { segments: if *dashed { &DASHES } else { &[] }, offset: 0 };
            let stroke = Stroke { line_dash: dash, ..Stroke::default() }
                .with_color(ink.of(*role))
                .with_width(px(*width));
            frame.stroke(&Path::line(point(*from), point(*to)), stroke);
        }
        Primitive::Rectangle { corner, width, height, ink: role } => {
            frame.fill_rectangle(point(*corner), Size::new(px(*width), px(*height)), ink.of(*role));
        }
        Primitive::Polygon { corners, ink: role } => {
            let path = Path::new(|builder| {
                for (index, corner) in corners.iter().enumerate() {
                    if index == 0 {
                        builder.move_to(point(*corner));
                    } else {
                        builder.line_to(point(*corner));
                    }
                }
                builder.close();
            });
            frame.fill(&path, ink.of(*role));
        }
        Primitive::Circle { centre, radius, ink: role } => {
            frame.fill(&Path::circle(point(*centre), px(*radius)), ink.of(*role));
        }
        Primitive::Text { .. } => {
            let _none = words(primitive, ink).map(|words| frame.fill_text(words));
        }
    }
}

/// A primitive's line of text.
fn words(primitive: &Primitive, ink: Ink) -> Option<canvas::Text> {
    let Primitive::Text { baseline, anchor, size, ink: role, text } = primitive else {
        return None;
    };
    Some(canvas::Text {
        content: text.clone(),
        position: Point::new(px(baseline.x), px(baseline.y - TOP_TO_BASELINE * size)),
        color: ink.of(*role),
        size: Pixels(px(*size)),
        line_height: LineHeight::Relative(1.0),
        font: FACE,
        align_x: match anchor {
            Anchor::Start => Alignment::Left,
            Anchor::Middle => Alignment::Center,
            Anchor::End => Alignment::Right,
        },
        align_y: Vertical::Top,
        ..canvas::Text::default()
    })
}

/// Writes a line of text, its bounds a little wider than its letters.
fn write(renderer: &mut Renderer, words: &canvas::Text) {
    let size = words.size.0;
    let width = px(text_width(&words.content, f64::from(size))) + size;
    let from = match words.align_x {
        Alignment::Center => -0.5,
        Alignment::Right => -1.0,
        _ => 0.0,
    };
    let left = words.position.x + from * width;
    let around = Rectangle::new(Point::new(left, words.position.y), Size::new(width, 1.2 * size));
    let text = text::Text {
        content: words.content.clone(),
        bounds: ONE_LINE,
        size: words.size,
        line_height: words.line_height,
        font: words.font,
        align_x: words.align_x,
        align_y: words.align_y,
        shaping: words.shaping,
        wrapping: text::Wrapping::default(),
    };
    renderer.fill_text(text, words.position, words.color, around);
}

fn point(place: Place) -> Point {
    Point::new(px(place.x), px(place.y))
}

/// Drawings count in f64, screens in f32; the loss is far below a pixel.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a length in px keeps far more digits than a screen has"
)]
pub(super) fn px(length: f64) -> f32 {
    length as f32
}
