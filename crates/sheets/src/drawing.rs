//! A figure as a list of primitives with ink roles; who paints it decides the colours.
//!
//! Lengths are px of the drawing's own stated size, x to the right and y down; a painter scales the
//! whole.

use serde::Serialize;

use crate::ink::Role;

/// A place in a drawing, in its px.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Place {
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

/// A place from px to the right and px down.
pub fn at(x: f64, y: f64) -> Place {
    Place { x, y }
}

/// Which end of a text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Anchor {
    /// It begins there.
    Start,
    /// Its middle stands there.
    Middle,
    /// It ends there.
    End,
}

/// One thing to paint. Later ones cover earlier ones.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Primitive {
    /// A straight stroke.
    Line {
        /// One end.
        from: Place,
        /// The other.
        to: Place,
        /// Ink.
        ink: Role,
        /// Width of the stroke.
        width: f64,
        /// Broken up: what was not tested but estimated.
        dashed: bool,
    },
    /// A filled rectangle.
    Rectangle {
        /// Upper left corner.
        corner: Place,
        /// Width.
        width: f64,
        /// Height.
        height: f64,
        /// Ink.
        ink: Role,
    },
    /// A filled area.
    Polygon {
        /// Its corners in order.
        corners: Vec<Place>,
        /// Ink.
        ink: Role,
    },
    /// A filled disc.
    Circle {
        /// Its middle.
        centre: Place,
        /// Its radius.
        radius: f64,
        /// Ink.
        ink: Role,
    },
    /// One line of text in the program's font.
    Text {
        /// Where its baseline meets the anchor.
        baseline: Place,
        /// Which end stands there.
        anchor: Anchor,
        /// Height of the letters' em.
        size: f64,
        /// Ink.
        ink: Role,
        /// The words.
        text: String,
    },
}

/// A figure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Drawing {
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
    /// The figure in words, for those who do not see it.
    pub alternative: String,
    /// What to paint, in order.
    pub primitives: Vec<Primitive>,
}

impl Drawing {
    /// An empty drawing of a size.
    pub fn new(width: f64, height: f64) -> Self {
        Self { width, height, alternative: String::new(), primitives: Vec::new() }
    }

    /// Adds one primitive.
    pub fn push(&mut self, primitive: Primitive) {
        self.primitives.push(primitive);
    }

    /// Adds a stroke from one place to another.
    pub fn line(&mut self, from: Place, to: Place, ink: Role, width: f64) {
        self.push(Primitive::Line { from, to, ink, width, dashed: false });
    }

    /// Adds a rectangle of paper with a thin outline and slanted strokes `gap` px apart.
    pub fn hatched(&mut self, corner: Place, width: f64, height: f64, ink: Role, gap: f64) {
        self.push(Primitive::Rectangle { corner, width, height, ink: Role::Paper });
        let (left, right, top, bottom) = (corner.x, corner.x + width, corner.y, corner.y + height);
        // Each stroke climbs to the right at 45 degrees; `foot` is where it meets the lower edge,
        // counted from the drawing's own origin so that neighbouring boxes hatch alike.
        let mut foot = ((left - height) / gap).floor() * gap;
        while foot < right {
            let (x0, x1) = (foot.max(left), (foot + height).min(right));
            if x1 > x0 {
                self.line(at(x0, bottom - (x0 - foot)), at(x1, bottom - (x1 - foot)), ink, 0.6);
            }
            foot += gap;
        }
        let corners = [at(left, top), at(right, top), at(right, bottom), at(left, bottom)];
        for (from, to) in corners.into_iter().zip(corners.into_iter().cycle().skip(1)) {
            self.line(from, to, ink, 0.8);
        }
    }

    /// This drawing and another at its right, their middles on one line, as one drawing.
    #[must_use]
    pub fn beside(self, right: Self, from: f64) -> Self {
        let height = self.height.max(right.height);
        let mut both = Self::new(from + right.width, height);
        both.alternative = format!("{} {}", self.alternative, right.alternative);
        for (drawing, x) in [(self, 0.0), (right, from)] {
            let by = Place { x, y: (height - drawing.height) / 2.0 };
            both.primitives.extend(drawing.primitives.into_iter().map(|p| moved(p, by)));
        }
        both
    }
}

fn moved(primitive: Primitive, by: Place) -> Primitive {
    let to = |place: Place| Place { x: place.x + by.x, y: place.y + by.y };
    match primitive {
        Primitive::Line { from, to: end, ink, width, dashed } => {
            Primitive::Line { from: to(from), to: to(end), ink, width, dashed }
        }
        Primitive::Rectangle { corner, width, height, ink } => {
            Primitive::Rectangle { corner: to(corner), width, height, ink }
        }
        Primitive::Polygon { corners, ink } => {
            Primitive::Polygon { corners: corners.into_iter().map(to).collect(), ink }
        }
        Primitive::Circle { centre, radius, ink } => {
            Primitive::Circle { centre: to(centre), radius, ink }
        }
        Primitive::Text { baseline, anchor, size, ink, text } => {
            Primitive::Text { baseline: to(baseline), anchor, size, ink, text }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hatching_stays_inside_its_rectangle() {
        for width in [0.5, 3.0, 40.0, 41.7] {
            let mut drawing = Drawing::new(100.0, 30.0);
            drawing.hatched(at(7.3, 5.0), width, 11.0, Role::SoftInk, 4.0);
            for primitive in &drawing.primitives {
                if let Primitive::Line { from, to, .. } = primitive {
                    for place in [from, to] {
                        assert!(
                            place.x >= 7.3 - 1e-9 && place.x <= 7.3 + width + 1e-9,
                            "{place:?}"
                        );
                        assert!(place.y >= 5.0 - 1e-9 && place.y <= 16.0 + 1e-9, "{place:?}");
                    }
                }
            }
            assert!(drawing.primitives.len() > 5, "an outline, and at least one slanted stroke");
        }
    }
}
