//! The retest strip: twelve weeks of one test on one thin line.

use chrono::NaiveDate;
use pacewright_core::format::day;

use crate::drawing::{Drawing, Primitive, at};
use crate::ink::Role;

/// Weeks shown before today.
const DAYS_BEFORE: f64 = 56.0;
/// Weeks shown after today.
const DAYS_AFTER: f64 = 28.0;

/// The span in which to repeat a test, both days in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Window {
    /// First day.
    pub opens: NaiveDate,
    /// Last day.
    pub closes: NaiveDate,
}

/// What stands on the strip.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StripFacts {
    /// Today: two thirds of the way along.
    pub today: NaiveDate,
    /// The last test: a tick.
    pub last_test: Option<NaiveDate>,
    /// Its retest window: hatched.
    pub window: Option<Window>,
    /// A booking: a flag.
    pub booking: Option<NaiveDate>,
    /// First and last day of each span away: a break in the line; `None` is still open.
    pub away: Vec<(NaiveDate, Option<NaiveDate>)>,
}

/// Draws a strip of a width in px; its height is 24 px.
pub fn strip(facts: &StripFacts, width: f64) -> Drawing {
    const HEIGHT: f64 = 24.0;
    const MIDDLE: f64 = HEIGHT / 2.0;
    let mut drawing = Drawing::new(width, HEIGHT);
    drawing.alternative = in_words(facts);
    for (from, to) in present(facts, width) {
        drawing.line(at(from, MIDDLE), at(to, MIDDLE), Role::SoftInk, 1.2);
    }
    if let Some(window) = facts.window {
        // the last day counts whole
        let (from, to) =
            (x_of(facts, window.opens, width), x_of(facts, window.closes, width) + width / 84.0);
        let (from, to) = (from.clamp(0.0, width), to.clamp(0.0, width));
        if to > from {
            drawing.hatched(at(from, MIDDLE - 5.5), to - from, 11.0, Role::SoftInk, 4.0);
        }
    }
    if let Some(x) =
        facts.last_test.map(|day| x_of(facts, day, width)).filter(|x| (0.0..=width).contains(x))
    {
        drawing.line(at(x, MIDDLE - 7.0), at(x, MIDDLE + 7.0), Role::Ink, 2.0);
    }
    let today = at(x_of(facts, facts.today, width), MIDDLE);
    drawing.push(Primitive::Circle { centre: today, radius: 4.8, ink: Role::Paper });
    drawing.push(Primitive::Circle { centre: today, radius: 3.4, ink: Role::Ink });
    if let Some(x) =
        facts.booking.map(|day| x_of(facts, day, width)).filter(|x| (0.0..=width).contains(x))
    {
        flag(&mut drawing, x, width, MIDDLE);
    }
    drawing
}

/// A small flag on its pole; it flies to the left where the strip ends.
fn flag(drawing: &mut Drawing, x: f64, width: f64, middle: f64) {
    drawing.line(at(x, middle - 11.0), at(x, middle + 6.0), Role::Mark, 1.6);
    let tip = if x + 9.0 <= width { x + 9.0 } else { x - 9.0 };
    let corners = vec![at(x, middle - 11.5), at(tip, middle - 8.0), at(x, middle - 4.5)];
    drawing.push(Primitive::Polygon { corners, ink: Role::Mark });
}

fn x_of(facts: &StripFacts, day: NaiveDate, width: f64) -> f64 {
    let days = (day - facts.today).num_days() as f64;
    (days + DAYS_BEFORE) / (DAYS_BEFORE + DAYS_AFTER) * width
}

/// The stretches of the line on which the athlete is not away.
fn present(facts: &StripFacts, width: f64) -> Vec<(f64, f64)> {
    let day_width = width / (DAYS_BEFORE + DAYS_AFTER);
    let mut breaks: Vec<(f64, f64)> = facts
        .away
        .iter()
        .map(|(from, to)| {
            let end = to.map_or(width, |to| x_of(facts, to, width) + day_width);
            (x_of(facts, *from, width).clamp(0.0, width), end.clamp(0.0, width))
        })
        .collect();
    breaks.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut out, mut from) = (Vec::new(), 0.0);
    for (start, end) in breaks {
        if start > from {
            out.push((from, start));
        }
        from = end.max(from);
    }
    if width > from {
        out.push((from, width));
    }
    out
}

/// The strip for those who do not see it.
fn in_words(facts: &StripFacts) -> String {
    let mut words = vec![format!("Twelve weeks around {}", day(facts.today))];
    words.extend(facts.last_test.map(|on| format!("last test {}", day(on))));
    words.extend(
        facts.window.map(|w| format!("retest window {} to {}", day(w.opens), day(w.closes))),
    );
    words.extend(facts.booking.map(|on| format!("booked {}", day(on))));
    words.extend(facts.away.iter().map(|(from, to)| match to {
        Some(to) => format!("away {} to {}", day(*from), day(*to)),
        None => format!("away since {}", day(*from)),
    }));
    words.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn on(month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, month, day).unwrap()
    }

    fn facts() -> StripFacts {
        StripFacts {
            today: on(11, 25),
            last_test: Some(on(10, 14)),
            window: Some(Window { opens: on(11, 11), closes: on(12, 9) }),
            booking: Some(on(11, 28)),
            away: vec![(on(10, 20), Some(on(10, 25))), (on(10, 23), Some(on(10, 30)))],
        }
    }

    #[test]
    fn today_stands_two_thirds_along_and_a_week_is_a_twelfth() {
        let facts = facts();
        assert!((x_of(&facts, facts.today, 120.0) - 80.0).abs() < 1e-9);
        assert!((x_of(&facts, on(12, 2), 120.0) - 90.0).abs() < 1e-9);
    }

    #[test]
    fn the_line_breaks_where_the_athlete_is_away() {
        // 84 px: a day a px. Away days 20 to 30 October are days 20 to 30 of the strip.
        assert_eq!(present(&facts(), 84.0), vec![(0.0, 20.0), (31.0, 84.0)]);
        let open = StripFacts { away: vec![(on(11, 1), None)], ..facts() };
        assert_eq!(present(&open, 84.0), vec![(0.0, 32.0)]);
        let whole = StripFacts { away: vec![(on(1, 1), None)], ..facts() };
        assert_eq!(present(&whole, 84.0), Vec::<(f64, f64)>::new());
    }

    #[test]
    fn nothing_is_drawn_outside_the_strip() {
        let far = StripFacts {
            last_test: Some(on(2, 1)),
            window: Some(Window { opens: on(3, 1), closes: on(3, 29) }),
            booking: NaiveDate::from_ymd_opt(2027, 6, 1),
            away: vec![],
            ..facts()
        };
        let drawing = strip(&far, 132.0);
        // the line, and today's dot on its ring
        assert_eq!(drawing.primitives.len(), 3, "{:?}", drawing.primitives);
        assert!(drawing.alternative.contains("last test 1 February 2026"));
    }
}
