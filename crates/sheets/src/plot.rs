//! What plotters draws, kept as primitives: its backend here paints nothing but writes a
//! [`Drawing`] down, so that a chart is a figure like any other.
//!
//! plotters counts in whole px. So it is told that the drawing is ten times its size, and every
//! length is divided by ten when it is written down. A colour carries only the number of its ink:
//! see [`inked`].

use std::convert::Infallible;

use plotters::style::text_anchor::{HPos, VPos};
use plotters::style::{FontStyle, FontTransform, RGBColor, register_font};
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingBackend, DrawingErrorKind,
};

use crate::drawing::{Anchor, Drawing, Place, Primitive, at};
use crate::fonts::{files, text_width};
use crate::ink::Role;

/// How many of plotters' px are one of the drawing's.
pub(crate) const FINE: f64 = 10.0;

/// The family under which our face is registered with plotters. It quotes no names of families, and
/// one with a digit in it must be quoted in SVG.
pub(crate) const FAMILY: &str = "'Source Sans 3'";

/// From the baseline of the face up to the tops of its digits, in ems.
const DIGIT_HEIGHT: f64 = 0.65;

/// A plotters backend that writes down what it is asked to paint.
pub(crate) struct Recorder<'d> {
    drawing: &'d mut Drawing,
}

impl<'d> Recorder<'d> {
    /// A backend over a drawing, in its size.
    pub(crate) fn over(drawing: &'d mut Drawing) -> Self {
        if let Some(face) = files().first() {
            // a face registered before is the same one; a face that cannot be read is found out by
            // the test of the fonts, and here only measured otherwise
            let _known = register_font(FAMILY, FontStyle::Normal, face);
        }
        Self { drawing }
    }
}

/// A length of the drawing in plotters' px.
#[expect(
    clippy::cast_possible_truncation,
    reason = "drawings are some thousands of px wide at most, and the cast saturates"
)]
pub(crate) fn fine(length: f64) -> i32 {
    (length * FINE).round() as i32
}

/// The colour that stands for an ink on the way through plotters.
pub(crate) fn inked(role: Role) -> RGBColor {
    let number = Role::all().position(|known| known == role).unwrap_or_default();
    RGBColor(u8::try_from(number).unwrap_or_default(), 0, 0)
}

/// The ink a colour stands for.
fn role(colour: BackendColor) -> Role {
    Role::all().nth(usize::from(colour.rgb.0)).unwrap_or(Role::Ink)
}

/// A place of plotters in the drawing's px.
pub(crate) fn place((x, y): BackendCoord) -> Place {
    at(f64::from(x) / FINE, f64::from(y) / FINE)
}

fn unseen(colour: BackendColor) -> bool {
    colour.alpha <= 0.0
}

type Drawn = Result<(), DrawingErrorKind<Infallible>>;

impl DrawingBackend for Recorder<'_> {
    type ErrorType = Infallible;

    fn get_size(&self) -> (u32, u32) {
        let size = |length| u32::try_from(fine(length)).unwrap_or_default();
        (size(self.drawing.width), size(self.drawing.height))
    }

    fn ensure_prepared(&mut self) -> Drawn {
        Ok(())
    }

    fn present(&mut self) -> Drawn {
        Ok(())
    }

    fn draw_pixel(&mut self, point: BackendCoord, colour: BackendColor) -> Drawn {
        let side = 1.0 / FINE;
        if !unseen(colour) {
            self.drawing.push(Primitive::Rectangle {
                corner: place(point),
                width: side,
                height: side,
                ink: role(colour),
            });
        }
        Ok(())
    }

    fn draw_line<S: BackendStyle>(
        &mut self,
        from: BackendCoord,
        to: BackendCoord,
        style: &S,
    ) -> Drawn {
        if !unseen(style.color()) {
            let width = f64::from(style.stroke_width()) / FINE;
            self.drawing.line(place(from), place(to), role(style.color()), width);
        }
        Ok(())
    }

    fn draw_rect<S: BackendStyle>(
        &mut self,
        upper_left: BackendCoord,
        bottom_right: BackendCoord,
        style: &S,
        fill: bool,
    ) -> Drawn {
        let (near, far) = (place(upper_left), place(bottom_right));
        if fill && !unseen(style.color()) {
            self.drawing.push(Primitive::Rectangle {
                corner: near,
                width: far.x - near.x,
                height: far.y - near.y,
                ink: role(style.color()),
            });
            return Ok(());
        }
        let ((left, top), (right, bottom)) = (upper_left, bottom_right);
        let round = [(left, top), (right, top), (right, bottom), (left, bottom), (left, top)];
        self.draw_path(round, style)
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Drawn {
        let mut before = None;
        for point in path {
            if let Some(before) = before {
                self.draw_line(before, point, style)?;
            }
            before = Some(point);
        }
        Ok(())
    }

    fn draw_circle<S: BackendStyle>(
        &mut self,
        centre: BackendCoord,
        radius: u32,
        style: &S,
        _fill: bool,
    ) -> Drawn {
        if !unseen(style.color()) {
            self.drawing.push(Primitive::Circle {
                centre: place(centre),
                radius: f64::from(radius) / FINE,
                ink: role(style.color()),
            });
        }
        Ok(())
    }

    fn fill_polygon<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        corners: I,
        style: &S,
    ) -> Drawn {
        if !unseen(style.color()) {
            let corners = corners.into_iter().map(place).collect();
            self.drawing.push(Primitive::Polygon { corners, ink: role(style.color()) });
        }
        Ok(())
    }

    fn draw_text<T: BackendTextStyle>(
        &mut self,
        text: &str,
        style: &T,
        position: BackendCoord,
    ) -> Drawn {
        if unseen(style.color()) || text.is_empty() {
            return Ok(());
        }
        let (size, mut baseline) = (style.size() / FINE, place(position));
        let anchor = style.anchor();
        baseline.y += match anchor.v_pos {
            VPos::Top => DIGIT_HEIGHT * size,
            VPos::Center => DIGIT_HEIGHT / 2.0 * size,
            VPos::Bottom => 0.0,
        };
        let anchor = match anchor.h_pos {
            HPos::Left => Anchor::Start,
            HPos::Center => Anchor::Middle,
            HPos::Right => Anchor::End,
        };
        let (ink, text) = (role(style.color()), text.to_owned());
        self.drawing.push(Primitive::Text { baseline, anchor, size, ink, text });
        Ok(())
    }

    /// plotters' own measure is some percent too narrow for what is drawn.
    fn estimate_text_size<T: BackendTextStyle>(
        &self,
        text: &str,
        style: &T,
    ) -> Result<(u32, u32), DrawingErrorKind<Infallible>> {
        let size = style.size() / FINE;
        let whole = |length| u32::try_from(fine(length)).unwrap_or_default();
        let (width, height) = (whole(text_width(text, size)), whole(size));
        Ok(match style.transform() {
            FontTransform::None | FontTransform::Rotate180 => (width, height),
            FontTransform::Rotate90 | FontTransform::Rotate270 => (height, width),
        })
    }
}

#[cfg(test)]
mod tests {
    use plotters::prelude::*;

    use super::*;

    #[test]
    fn what_plotters_draws_is_written_down_at_a_tenth() {
        let mut drawing = Drawing::new(100.0, 50.0);
        {
            let area = Recorder::over(&mut drawing).into_drawing_area();
            let thick = ShapeStyle::from(&inked(Role::Rule)).stroke_width(15);
            area.draw(&PathElement::new(vec![(0, 0), (1_000, 500)], thick)).unwrap();
            area.draw(&Circle::new((505, 255), 30, inked(Role::QualityBase).filled())).unwrap();
            let font = (FAMILY, 120).into_font().color(&inked(Role::SoftInk));
            area.draw(&Text::new("4:05", (10, 20), font)).unwrap();
            area.draw(&PathElement::new(vec![(0, 0), (9, 9)], TRANSPARENT)).unwrap();
        }
        assert_eq!(
            drawing.primitives,
            [
                Primitive::Line {
                    from: at(0.0, 0.0),
                    to: at(100.0, 50.0),
                    ink: Role::Rule,
                    width: 1.5,
                    dashed: false
                },
                Primitive::Circle { centre: at(50.5, 25.5), radius: 3.0, ink: Role::QualityBase },
                Primitive::Text {
                    baseline: at(1.0, 2.0 + 0.65 * 12.0),
                    anchor: Anchor::Start,
                    size: 12.0,
                    ink: Role::SoftInk,
                    text: "4:05".to_owned()
                },
            ]
        );
    }

    #[test]
    fn every_ink_comes_back_from_its_colour() {
        for known in Role::all() {
            let RGBColor(red, green, blue) = inked(known);
            assert_eq!(role(BackendColor { rgb: (red, green, blue), alpha: 1.0 }), known);
        }
    }

    #[test]
    fn text_is_as_wide_as_the_face_draws_it() {
        let mut drawing = Drawing::new(100.0, 50.0);
        let area = Recorder::over(&mut drawing).into_drawing_area();
        let style = TextStyle::from((FAMILY, 120).into_font());
        // the digits of the face are 497 of 1,000 units, the colon 249 (its `hmtx` table):
        // 12 px x 1.740 = 20.88 px
        let (width, height) = area.estimate_text_size("4:05", &style).unwrap();
        assert_eq!(width, 209);
        assert_eq!(height, 120);
    }
}
