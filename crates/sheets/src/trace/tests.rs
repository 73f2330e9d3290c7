//! The trace of a recording, held to its moments.

use super::*;

fn seconds(s: f64) -> Seconds {
    Seconds::from_s(s).unwrap()
}

fn span(from: f64, to: f64) -> Span {
    Span { from: seconds(from), to: seconds(to) }
}

/// A run of so many seconds with one glitch of a single second in it.
fn moments(length_s: u32) -> Vec<Moment> {
    let each = (0..=length_s).map(|s| Moment {
        time: seconds(f64::from(s)),
        speed: Speed::from_m_per_s(if s == length_s / 2 { 6.0 } else { 3.5 }).ok(),
        heart_rate: HeartRate::from_bpm(120.0 + f64::from(s % 40)).ok(),
        altitude: None,
    });
    each.collect()
}

fn of(moments: &[Moment], duration_s: f64) -> Trace<'_> {
    Trace {
        moments,
        duration: seconds(duration_s),
        effort: span(600.0, 1_800.0),
        pauses: &[],
        jumps: &[],
        remarks: &[],
        units: UnitSystem::Kilometres,
    }
}

#[test]
fn three_hours_are_drawn_with_two_places_a_column_and_keep_their_peaks() {
    let moments = moments(10_800);
    let drawing = trace(&of(&moments, 10_800.0), 1_200.0, 260.0);
    let strokes = |role: Role| {
        let is = move |p: &&Primitive| matches!(p, Primitive::Line { ink, .. } if *ink == role);
        drawing.primitives.iter().filter(is).count()
    };
    // 1200 px less the sides, two places each; the edges' strokes are in ink too
    assert!(strokes(Role::SoftInk) <= 2 * 1_102, "{}", strokes(Role::SoftInk));
    let highest = drawing.primitives.iter().filter_map(|p| match p {
        Primitive::Line { to, ink: Role::Ink, width, .. } if *width < 1.55 && *width > 1.45 => {
            Some(to.y)
        }
        _ => None,
    });
    let (low, high) = highest.fold((0.0_f64, 1_000.0_f64), |(l, h), y| (l.max(y), h.min(y)));
    assert!(low - high > 20.0, "a glitch of one second among three hours still shows");
}

#[test]
fn a_place_names_its_time_and_a_time_its_place() {
    let moments = moments(2_700);
    let layout = Layout::of(&of(&moments, 2_700.0), 1_000.0, 260.0);
    for s in [0.0, 0.4, 780.0, 2_700.0] {
        let back = layout.time_at(layout.x_of(seconds(s))).unwrap();
        assert!((back.s() - s).abs() < 1e-6);
    }
    assert_eq!(layout.time_at(-40.0), Some(seconds(0.0)));
    assert_eq!(layout.time_at(5_000.0), Some(seconds(2_700.0)));
}

#[test]
fn remarks_never_stand_over_each_other() {
    let numbered = |number, from, to| Numbered { number, span: span(from, to), look: true };
    let placed = rows(&[
        numbered(1, 600.0, 1_800.0),
        numbered(2, 700.0, 760.0),
        numbered(3, 1_000.0, 1_010.0),
        numbered(4, 600.0, 1_800.0),
        numbered(5, 600.0, 1_800.0),
    ]);
    let rows: Vec<(usize, usize)> = placed.iter().map(|(row, r)| (*row, r.number)).collect();
    assert_eq!(rows, [(0, 1), (1, 2), (1, 3), (2, 4)]);
}

#[test]
fn what_is_pointed_at_is_named() {
    let moments = moments(2_700);
    let moment = moments[780];
    let drawing = pointer(&of(&moments, 2_700.0), &moment, 1_000.0, 260.0);
    // 3.5 m/s is 1000/3.5 = 285.7 s per km (arithmetic); 120 + 780 mod 40 is 140
    assert_eq!(drawing.alternative, "13:00   4:46 per km   140 bpm");
}

#[test]
fn nothing_leaves_the_drawing() {
    let moments = moments(10_800);
    for (width, height) in [(600.0, 170.0), (1_860.0, 380.0)] {
        let drawing = trace(&of(&moments, 10_800.0), width, height);
        for primitive in &drawing.primitives {
            if let Primitive::Line { from, to, .. } = primitive {
                for place in [from, to] {
                    assert!((0.0..=width).contains(&place.x) && (0.0..=height).contains(&place.y));
                }
            }
        }
    }
}
