//! What is really drawn of a screen, read from the renderer before it paints: every text with its
//! place, its ink and its ground. From this a fault of layout can be computed: text that is cut, that
//! runs into other text, over a line or out of the window, or that stands without contrast.

use iced::{Background, Color, Rectangle, Size, Vector};
use iced_test::core::text::{Alignment, Paragraph as _};
use iced_test::renderer::graphics::text::{Paragraph, Text};
use pacewright_sheets::fonts::text_width;
use pacewright_sheets::ink::Colour;

/// Less than a px of a letter's bearing is no cut, px.
const HAIR: f32 = 1.5;
/// Of the height of a line, what its letters leave free above and below.
const AIR: f32 = 0.2;
/// Something framed that is narrower than this, but no lower, has no room for its words, px.
const SQUEEZED: f32 = 24.0;
/// A frame as low as this is one around words, not around a part of the page, px.
const WORDS_HIGH: f32 = 90.0;
/// Between words and the frame around them, px.
const INSET: f32 = 3.0;
/// Words in a frame stand on as many lines at most.
const FRAMED_LINES: usize = 2;
/// Lines of fewer letters than this, one under the other, are a column squeezed together.
const SHORT: usize = 9;
/// No column is made for one word as long as this, which may end in two lines, letters.
const ENDLESS: usize = 40;
/// Words side by side need at least this between them, px.
const CLOSEST: f32 = 3.0;
/// A quad as low as this is a line between rows, px.
const LINE: f32 = 1.5;
/// WCAG 2.2, success criterion 1.4.3: text at least 4.5:1.
const CONTRAST: f64 = 4.5;

/// One text as it is drawn.
#[derive(Debug, Clone)]
pub(crate) struct Drawn {
    /// Its first words.
    words: String,
    /// Where its letters stand.
    place: Rectangle,
    /// What of the window it may be drawn in.
    clip: Rectangle,
    /// How many lines are drawn.
    lines: usize,
    /// What is wrong with them, if anything is.
    broken: Option<&'static str>,
    ink: Color,
    layer: usize,
    /// In a field, where long words are scrolled along.
    in_field: bool,
    /// Drawn within a figure, over shapes whose inks are checked where they are chosen.
    in_figure: bool,
}

/// A filled rectangle.
#[derive(Debug, Clone, Copy)]
struct Quad {
    place: Rectangle,
    ink: Color,
    layer: usize,
    framed: bool,
}

/// A screen as it is drawn.
#[derive(Debug, Default)]
pub(crate) struct Sheet {
    texts: Vec<Drawn>,
    quads: Vec<Quad>,
}

impl Sheet {
    /// Reads what a renderer was told to draw.
    pub(crate) fn read(renderer: &mut iced::Renderer) -> Self {
        let mut sheet = Self::default();
        for (index, layer) in renderer.layers().iter().enumerate() {
            for (quad, ground) in &layer.quads {
                if let (Background::Color(ink), Some(place)) =
                    (ground, quad.bounds.intersection(&layer.bounds))
                {
                    let framed = quad.border.width > 0.0 && quad.border.color.a > 0.0;
                    sheet.quads.push(Quad { place, ink: *ink, layer: index, framed });
                }
            }
            for item in &layer.text {
                let clip = item.clip_bounds() * item.transformation();
                let clip = layer.bounds.intersection(&clip).unwrap_or_default();
                let moved = item.transformation().translation();
                let texts = item.as_slice().iter();
                sheet.texts.extend(texts.filter_map(|text| drawn(text, clip, moved, index)));
            }
        }
        sheet.texts.retain(|text| !text.words.trim().is_empty());
        sheet
    }

    /// Every fault of layout and contrast, in words.
    pub(crate) fn faults(&self, window: Size) -> Vec<String> {
        let window = Rectangle::with_size(window);
        let seen: Vec<&Drawn> = self.texts.iter().filter(|text| self.is_seen(text)).collect();
        let mut faults = Vec::new();
        let squeezed = |quad: &&Quad| {
            let Rectangle { width, height, .. } = quad.place;
            quad.framed && width < SQUEEZED && height >= SQUEEZED
        };
        for quad in self.quads.iter().filter(squeezed) {
            faults.push(format!("a frame at {}, {} is squeezed", quad.place.x, quad.place.y));
        }
        for (index, text) in seen.iter().enumerate() {
            faults.extend(cut(text, window).map(|what| format!("\"{}\" {what}", text.words)));
            faults.extend(self.contrast(text));
            faults.extend(self.framed(text).map(|what| format!("\"{}\" {what}", text.words)));
            if self.is_crossed(text) {
                faults.push(format!("\"{}\" is crossed by a line", text.words));
            }
            let below = seen.iter().skip(index + 1).filter(|other| other.layer == text.layer);
            for other in below {
                if runs_into(text, other) {
                    faults.push(format!("\"{}\" runs into \"{}\"", text.words, other.words));
                } else if touches(text, other) {
                    faults.push(format!("\"{}\" touches \"{}\"", text.words, other.words));
                }
            }
        }
        faults
    }

    /// What is wrong between words and the frame around them, or one they reach into.
    fn framed(&self, text: &Drawn) -> Option<String> {
        let letters = letters(text).intersection(&text.clip)?;
        let low = |quad: &&Quad| {
            quad.framed && quad.layer == text.layer && quad.place.height <= WORDS_HIGH
        };
        let met = |quad: &&Quad| quad.place.intersects(&letters);
        let frame = self.quads.iter().filter(low).find(met)?.place;
        let beside = (letters.x - frame.x).min(frame.x + frame.width - letters.x - letters.width);
        let along = (letters.y - frame.y).min(frame.y + frame.height - letters.y - letters.height);
        if text.lines > FRAMED_LINES {
            return Some(format!("stands on {} lines in its frame", text.lines));
        }
        let scrolled = text.clip.height < text.place.height || text.clip.height < frame.height;
        (!text.in_field && (beside < INSET || along < 0.0) && !scrolled).then(|| {
            format!("reaches its frame: {beside:.1} px beside, {along:.1} px above or below")
        })
    }

    /// Whether anything of it is in sight: not scrolled away, not under a sheet laid over the page.
    fn is_seen(&self, text: &Drawn) -> bool {
        let Some(seen) = text.place.intersection(&text.clip) else { return false };
        let covers = |quad: &&Quad| quad.layer > text.layer && quad.ink.a > 0.9;
        let mut over = self.quads.iter().filter(covers);
        !over.any(|quad| quad.place.contains(seen.center()))
    }

    /// The ground under the middle of a text; a line is none, though one beneath a list may lie there.
    fn ground(&self, text: &Drawn) -> Option<Color> {
        let covers = |quad: &&Quad| quad.layer <= text.layer && quad.ink.a > 0.9;
        let mut under = self.quads.iter().filter(|quad| covers(quad) && quad.place.height > LINE);
        let middle = text.place.center();
        under.rfind(|quad| quad.place.contains(middle)).map(|quad| quad.ink)
    }

    fn contrast(&self, text: &Drawn) -> Option<String> {
        if text.in_figure || !text.clip.contains(text.place.center()) {
            return None;
        }
        let ratio = colour(text.ink).contrast(colour(self.ground(text)?));
        (ratio < CONTRAST).then(|| format!("\"{}\" has a contrast of {ratio:.2}", text.words))
    }

    fn is_crossed(&self, text: &Drawn) -> bool {
        let Some(letters) = letters(text).intersection(&text.clip) else { return false };
        let lines = self.quads.iter().filter(|quad| quad.place.height <= LINE);
        lines.filter(|line| line.layer == text.layer && line.ink.a > 0.1).any(|line| {
            let (above, below) =
                (line.place.y - letters.y, letters.y + letters.height - line.place.y);
            above > HAIR && below > HAIR && line.place.intersects(&letters)
        })
    }
}

fn drawn(text: &Text, clip: Rectangle, moved: Vector, layer: usize) -> Option<Drawn> {
    match text {
        Text::Paragraph { paragraph, position, color, clip_bounds, transformation } => {
            let size = paragraph.min_bounds;
            let x = position.x - aligned(paragraph.align_x, size.width);
            let y = position.y - down(paragraph.align_y, size.height);
            let place = Rectangle { x, y, width: size.width, height: size.height };
            let whole = paragraph.upgrade()?;
            Some(Drawn {
                words: first_words(&whole),
                place: place * *transformation,
                clip: clip.intersection(&(*clip_bounds * *transformation)).unwrap_or_default(),
                lines: whole.buffer().layout_runs().count(),
                broken: broken(&whole),
                ink: *color,
                layer,
                in_field: whole.bounds().width.is_infinite(),
                in_figure: false,
            })
        }
        Text::Cached {
            content, bounds, size, line_height, align_x, color, clip_bounds, ..
        } => {
            let width = screen(text_width(content, f64::from(size.0)));
            // also where the room is no number
            let in_one_line = bounds.width >= width;
            let place = Rectangle {
                x: bounds.x - aligned(*align_x, width),
                y: bounds.y,
                width,
                height: line_height.0,
            };
            Some(Drawn {
                words: content.clone(),
                place: place + moved,
                clip: clip.intersection(&(*clip_bounds + moved)).unwrap_or_default(),
                lines: 1,
                broken: (!in_one_line).then_some("is broken into lines"),
                ink: *color,
                layer,
                in_field: false,
                in_figure: true,
            })
        }
        Text::Editor { .. } | Text::Raw { .. } => None,
    }
}

/// How far left of its position a text of a width begins.
fn aligned(alignment: Alignment, width: f32) -> f32 {
    match alignment {
        Alignment::Center => width / 2.0,
        Alignment::Right => width,
        Alignment::Default | Alignment::Left | Alignment::Justified => 0.0,
    }
}

fn down(alignment: iced::alignment::Vertical, height: f32) -> f32 {
    match alignment {
        iced::alignment::Vertical::Top => 0.0,
        iced::alignment::Vertical::Center => height / 2.0,
        iced::alignment::Vertical::Bottom => height,
    }
}

fn first_words(paragraph: &Paragraph) -> String {
    let mut words = String::new();
    for line in &paragraph.buffer().lines {
        words.push_str(line.text());
        words.push(' ');
    }
    words.trim_end().chars().take(60).collect()
}

/// What is wrong with the lines of a text.
fn broken(paragraph: &Paragraph) -> Option<&'static str> {
    if is_cut_short(paragraph) {
        return Some("is cut short: some of its lines have no room");
    }
    if is_torn(paragraph) {
        return Some("is torn within a word");
    }
    is_squeezed(paragraph).then_some("is squeezed into a column")
}

/// Lines beyond the height it was given are laid out, but never drawn.
fn is_cut_short(paragraph: &Paragraph) -> bool {
    let buffer = paragraph.buffer();
    let lines = buffer.lines.iter().filter_map(|line| line.layout_opt());
    let laid_out: usize = lines.map(Vec::len).sum();
    buffer.layout_runs().count() < laid_out
}

/// Whether a line ends within a word. (Where no spaces are written any line may.)
fn is_torn(paragraph: &Paragraph) -> bool {
    let mut runs = paragraph.buffer().layout_runs().peekable();
    while let Some(run) = runs.next() {
        let Some(next) = runs.peek().filter(|next| next.line_i == run.line_i) else { continue };
        let Some(from) = next.glyphs.first().map(|glyph| glyph.start) else { continue };
        let within = |sign: &char| sign.is_alphanumeric() && *sign < '\u{3000}';
        let (before, after) = run.text.split_at(from);
        let (before, after) = (before.chars().rev(), after.chars());
        let (before, after) = (before.take_while(within).count(), after.take_while(within).count());
        if before > 0 && after > 0 && before + after < ENDLESS {
            return true;
        }
    }
    false
}

/// Whether words stand one under the other for want of width.
fn is_squeezed(paragraph: &Paragraph) -> bool {
    let runs: Vec<_> = paragraph.buffer().layout_runs().collect();
    let wrapped = runs.len() - paragraph.buffer().lines.len().min(runs.len());
    let letters: usize = runs.iter().map(|run| run.glyphs.len()).sum();
    wrapped >= 2 && letters < SHORT * runs.len()
}

/// Where the letters stand, without the air of the line.
fn letters(text: &Drawn) -> Rectangle {
    let air = (text.place.height * AIR).min(5.0);
    Rectangle { y: text.place.y + air, height: text.place.height - 2.0 * air, ..text.place }
}

/// How a text is cut, if it is. What a list scrolls out of sight is cut above and below, and
/// may be: only its sides are looked at there.
fn cut(text: &Drawn, window: Rectangle) -> Option<&'static str> {
    let (place, clip) = (text.place, text.clip.intersection(&window).unwrap_or_default());
    if text.broken.is_some() {
        return text.broken;
    }
    let beside = place.x < clip.x - HAIR || place.x + place.width > clip.x + clip.width + HAIR;
    let scrolls = clip.height < window.height - 1.0;
    let beyond = place.y < clip.y - HAIR || place.y + place.height > clip.y + clip.height + HAIR;
    match (beside && !text.in_field, beyond && !scrolls) {
        (true, _) => Some("is cut at a side"),
        (_, true) => Some("reaches out of the window"),
        _ => None,
    }
}

fn runs_into(one: &Drawn, other: &Drawn) -> bool {
    let (Some(one), Some(other)) =
        (letters(one).intersection(&one.clip), letters(other).intersection(&other.clip))
    else {
        return false;
    };
    one.intersection(&other).is_some_and(|both| both.width > HAIR && both.height > HAIR)
}

/// Words side by side in one line with no space between: they read as one word.
fn touches(one: &Drawn, other: &Drawn) -> bool {
    let (a, b) = (letters(one), letters(other));
    let beside = (a.y + a.height).min(b.y + b.height) - a.y.max(b.y) > a.height.min(b.height) / 2.0;
    let gap = (b.x - a.x - a.width).max(a.x - b.x - b.width);
    !one.in_figure && !other.in_figure && beside && (-HAIR..CLOSEST).contains(&gap)
}

fn colour(ink: Color) -> Colour {
    let [red, green, blue, _] = ink.into_rgba8();
    Colour { red, green, blue }
}

/// Drawings count in f64, screens in f32.
#[expect(clippy::cast_possible_truncation, reason = "drawings count in f64, screens in f32")]
fn screen(length: f64) -> f32 {
    length as f32
}

#[cfg(test)]
fn frame(x: f32, width: f32) -> Quad {
    let place = Rectangle { x, y: 60.0, width, height: 44.0 };
    Quad { place, ink: Color::TRANSPARENT, layer: 0, framed: true }
}

#[test]
fn a_frame_without_room_for_its_words_is_found() {
    let faults = |width| {
        let sheet = Sheet { texts: Vec::new(), quads: vec![frame(600.0, width)] };
        sheet.faults(Size::new(683.0, 467.0))
    };
    assert_eq!(faults(4.0), ["a frame at 600, 60 is squeezed"]);
    assert!(faults(60.0).is_empty());
}

#[test]
fn words_that_reach_their_frame_or_are_piled_up_in_it_are_found() {
    let window = Size::new(683.0, 467.0);
    let faults = |x, width, lines| {
        let text = Drawn {
            words: "Save".to_owned(),
            place: Rectangle { x: 114.0, y: 72.0, width: 40.0, height: 20.0 },
            clip: Rectangle::with_size(window),
            lines,
            broken: None,
            ink: Color::BLACK,
            layer: 0,
            in_field: false,
            in_figure: false,
        };
        let sheet = Sheet { texts: vec![text], quads: vec![frame(x, width)] };
        sheet.faults(window)
    };
    assert!(faults(100.0, 68.0, 1).is_empty(), "in its frame");
    assert!(faults(300.0, 68.0, 1).is_empty(), "beside a frame");
    assert_eq!(
        faults(100.0, 55.0, 1),
        ["\"Save\" reaches its frame: 1.0 px beside, 16.0 px above or below"]
    );
    assert_eq!(faults(100.0, 68.0, 3), ["\"Save\" stands on 3 lines in its frame"]);
}
