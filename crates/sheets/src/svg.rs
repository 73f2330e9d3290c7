//! A drawing as an SVG file.

use std::fmt::Write as _;

use crate::drawing::{Anchor, Drawing, Place, Primitive};
use crate::ink::{Role, Theme, colour};

/// The drawing as a whole SVG file on a transparent ground. Text names the program's font and falls
/// back to any sans-serif.
pub fn svg(drawing: &Drawing, theme: Theme) -> String {
    let (width, height) = (number(drawing.width), number(drawing.height));
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" \
         role=\"img\" font-family=\"'Source Sans 3', sans-serif\">\n<title>{}</title>\n",
        escaped(&drawing.alternative)
    );
    for primitive in &drawing.primitives {
        let element = element(primitive, theme);
        out.push_str(&element);
        out.push('\n');
    }
    out.push_str("</svg>\n");
    out
}

fn element(primitive: &Primitive, theme: Theme) -> String {
    let paint = |role: &Role| colour(*role, theme).hex();
    match primitive {
        Primitive::Line { from, to, ink, width, dashed } => {
            let dash = if *dashed { " stroke-dasharray=\"2.4 1.8\"" } else { "" };
            let ends = format!("{} {}", pair(["x1", "y1"], *from), pair(["x2", "y2"], *to));
            let (ink, width) = (paint(ink), number(*width));
            format!("<line {ends} stroke=\"{ink}\" stroke-width=\"{width}\"{dash}/>")
        }
        Primitive::Rectangle { corner, width, height, ink } => {
            let (width, height) = (number(*width), number(*height));
            let (at, ink) = (pair(["x", "y"], *corner), paint(ink));
            format!("<rect {at} width=\"{width}\" height=\"{height}\" fill=\"{ink}\"/>")
        }
        Primitive::Polygon { corners, ink } => {
            format!("<polygon points=\"{}\" fill=\"{}\"/>", points(corners), paint(ink))
        }
        Primitive::Circle { centre, radius, ink } => {
            let (at, ink) = (pair(["cx", "cy"], *centre), paint(ink));
            format!("<circle {at} r=\"{}\" fill=\"{ink}\"/>", number(*radius))
        }
        Primitive::Text { baseline, anchor, size, ink, text } => {
            let anchor = match anchor {
                Anchor::Start => "start",
                Anchor::Middle => "middle",
                Anchor::End => "end",
            };
            let (at, size, ink) = (pair(["x", "y"], *baseline), number(*size), paint(ink));
            let text = escaped(text);
            format!(
                "<text {at} font-size=\"{size}\" text-anchor=\"{anchor}\" fill=\"{ink}\">{text}</text>"
            )
        }
    }
}

/// A place as two attributes.
fn pair([x, y]: [&str; 2], place: Place) -> String {
    format!("{x}=\"{}\" {y}=\"{}\"", number(place.x), number(place.y))
}

/// At most two decimals: a hundredth of a px is below what any printer shows.
fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn points(corners: &[Place]) -> String {
    let mut out = String::new();
    for corner in corners {
        // writing to a String cannot fail
        let _ = write!(out, "{},{} ", number(corner.x), number(corner.y));
    }
    out.trim_end().to_owned()
}

/// Text made safe for XML; control characters, which XML 1.0 cannot hold, become a replacement mark.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(character),
            other if other.is_control() || matches!(other, '\u{fffe}' | '\u{ffff}') => {
                out.push('\u{fffd}');
            }
            other => out.push(other),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::at;

    #[test]
    fn text_cannot_break_out_of_its_element() {
        let mut drawing = Drawing::new(10.0, 10.0);
        drawing.alternative = "a < b & \"c\"".to_owned();
        drawing.push(Primitive::Text {
            baseline: at(1.0, 2.345),
            anchor: Anchor::Middle,
            size: 10.0,
            ink: Role::Ink,
            text: "</text><script>\u{0}".to_owned(),
        });
        let svg = svg(&drawing, Theme::Light);
        assert!(svg.contains("<title>a &lt; b &amp; &quot;c&quot;</title>"));
        assert!(svg.contains(
            "<text x=\"1\" y=\"2.35\" font-size=\"10\" text-anchor=\"middle\" fill=\"#22201c\">&lt;/text&gt;&lt;script&gt;\u{fffd}</text>"
        ), "{svg}");
    }
}
