//! The lane, stroke by stroke and label by label.

use pacewright_core::markers::Marker;

use super::*;
use crate::svg::svg;

fn speed(m_per_s: f64) -> Speed {
    Speed::from_m_per_s(m_per_s).unwrap()
}

fn marker(m_per_s: f64, origin: &str) -> Marker {
    let json = serde_json::json!({
        "speed": {"value": m_per_s, "validity": 0.1, "repeatability": 0.05, "origin": origin}, "heart_rate": null
    });
    serde_json::from_value(json).unwrap()
}

fn markers() -> Markers {
    Markers {
        aerobic_floor: marker(2.55, "Estimated"),
        lt1: marker(3.42, "Measured"),
        lt2: marker(4.1, "Measured"),
        vo2max: marker(4.78, "Measured"),
    }
}

fn look() -> Look {
    Look::card(500.0, UnitSystem::Kilometres)
}

fn texts(drawing: &Drawing) -> Vec<&str> {
    let mut texts = Vec::new();
    for primitive in &drawing.primitives {
        if let Primitive::Text { text, .. } = primitive {
            texts.push(text.as_str());
        }
    }
    texts
}

#[test]
fn equal_changes_in_percent_are_equally_long() {
    let axis = Axis::new(speed(2.0), speed(8.0)).unwrap();
    assert!((axis.share(2.0)).abs() < 1e-12);
    assert!((axis.share(4.0) - 0.5).abs() < 1e-12);
    assert!((axis.share(9.0) - 1.0).abs() < 1e-12);
    assert_eq!(Axis::new(speed(3.0), speed(3.0)), None);
    assert_eq!(Axis::around([&Markers::default()]), None);
}

#[test]
fn zones_carry_their_numbers_and_strokes_their_paces() {
    let markers = markers();
    let drawing = lane(&markers, None, Axis::around([&markers]).unwrap(), &look());
    // 1000 / 2.55 = 392.2 s, / 3.42 = 292.4, / 4.1 = 243.9, / 4.78 = 209.2
    assert_eq!(texts(&drawing), ["1", "2", "3", "4", "5", "6:32", "4:52", "4:04", "3:29"]);
    assert_eq!(
        drawing.alternative,
        "Markers, pace per km: aerobic floor 6:32 (estimated), LT1 4:52, LT2 4:04, VO2max pace 3:29"
    );
    let dashed = drawing
        .primitives
        .iter()
        .filter(|p| matches!(p, Primitive::Line { dashed: true, .. }))
        .count();
    assert_eq!(dashed, 1, "the floor only");
}

#[test]
fn zones_that_cannot_be_told_apart_stand_as_one() {
    let markers = Markers { lt1: Marker::default(), ..markers() };
    let drawing = lane(&markers, None, Axis::around([&markers]).unwrap(), &look());
    assert_eq!(texts(&drawing), ["1", "2–3", "4", "5", "6:32", "4:04", "3:29"]);
    let none = lane(&Markers::default(), None, Axis::new(speed(2.0), speed(6.0)).unwrap(), &look());
    assert_eq!(texts(&none), Vec::<&str>::new());
    assert_eq!(none.alternative, "No markers yet");
}

/// A scheme's zones stand between its own edges and carry its own numbers; the strokes stay.
#[test]
fn zones_of_another_scheme_stand_between_their_own_edges() {
    let markers = markers();
    let axis = Axis::around([&markers]).unwrap();
    let edge = |below, m_per_s| SpeedEdge { below, speed: speed(m_per_s) };
    let edges = [edge(1, 3.42), edge(2, 0.97 * 4.1)];
    let drawing = lane_of((&markers, Some(&edges)), None, axis, &look());
    assert_eq!(texts(&drawing), ["1", "2", "3", "6:32", "4:52", "4:04", "3:29"]);
    let starts: Vec<f64> = drawing
        .primitives
        .iter()
        .filter_map(|p| match p {
            Primitive::Rectangle { corner, ink, .. } if *ink != Role::Rule => Some(corner.x),
            _ => None,
        })
        .collect();
    let expected = [0.0, axis.share(3.42) * 500.0, axis.share(0.97 * 4.1) * 500.0];
    assert!(starts.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-9), "{starts:?}");
    assert_eq!(starts.len(), 3);
    // an edge that is not known leaves its two zones as one
    let drawing = lane_of((&markers, Some(&edges[1..])), None, axis, &look());
    assert_eq!(texts(&drawing)[..2], ["1\u{2013}2", "3"]);
}

/// Seven zones take seven depths of the one ink, the outermost the palest and the deepest.
#[test]
fn every_zone_of_a_scheme_has_an_ink_of_its_own() {
    let markers = markers();
    let edges: Vec<SpeedEdge> = (1..=6)
        .map(|below| SpeedEdge { below, speed: speed(3.0 + 0.3 * f64::from(below)) })
        .collect();
    let axis = Axis::new(speed(2.0), speed(7.0)).unwrap();
    let drawing = lane_of((&markers, Some(&edges)), None, axis, &look());
    let inks: Vec<Role> = drawing
        .primitives
        .iter()
        .filter_map(|p| match p {
            Primitive::Rectangle { ink, .. } if *ink != Role::Rule => Some(*ink),
            _ => None,
        })
        .collect();
    let expected: Vec<Role> = (1..=7).map(|number| Role::zone(number, 7)).collect();
    assert_eq!(inks, expected);
}

/// A number under a stroke stands beside it, or is left out where it has no room there.
#[test]
fn no_stroke_crosses_a_number() {
    let markers = markers();
    let axis = Axis::new(speed(2.0), speed(7.0)).unwrap();
    // LT2 at 4.1 m/s in the middle (on the logarithmic axis) of zone 2, once wide and once narrow
    for (wide, number) in [(1.2, true), (1.02, false)] {
        let edges = [(1, 4.1 / wide), (2, 4.1 * wide)]
            .map(|(below, m_per_s)| SpeedEdge { below, speed: speed(m_per_s) });
        let drawing = lane_of((&markers, Some(&edges)), None, axis, &look());
        let at = drawing.primitives.iter().find_map(|p| match p {
            Primitive::Text { text, baseline, .. } if text == "2" => Some(baseline.x),
            _ => None,
        });
        assert_eq!(at.is_some(), number);
        let stroke = axis.share(4.1) * 500.0;
        assert!(at.is_none_or(|at| (at - stroke).abs() > 5.0), "{at:?}, {stroke}");
    }
}

/// Below 8 km/h the zones print no pace; a lane that printed one would contradict them.
#[test]
fn a_marker_at_a_walk_stands_without_its_pace() {
    let markers = Markers { aerobic_floor: marker(2.2, "ByRule"), ..markers() };
    let drawing = lane(&markers, None, Axis::around([&markers]).unwrap(), &look());
    assert_eq!(texts(&drawing), ["1", "2", "3", "4", "5", "4:52", "4:04", "3:29"]);
    assert!(
        drawing.alternative.contains("aerobic floor at a walk, LT1 4:52"),
        "{}",
        drawing.alternative
    );
}

#[test]
fn old_strokes_stand_under_the_new() {
    let (new, mut old) = (markers(), markers());
    old.lt2 = marker(3.97, "Measured");
    let drawing = lane(&new, Some(&old), Axis::around([&new, &old]).unwrap(), &look());
    let strokes: Vec<Role> = drawing
        .primitives
        .iter()
        .filter_map(|p| if let Primitive::Line { ink, .. } = p { Some(*ink) } else { None })
        .filter(|ink| *ink != Role::Paper)
        .collect();
    assert_eq!(strokes, [[Role::Ghost; 4], [Role::Ink; 4]].concat());
}

#[test]
fn markers_out_of_order_draw_no_backward_zone() {
    let markers = Markers { lt1: marker(4.5, "Measured"), ..markers() };
    let drawing = lane(&markers, None, Axis::around([&markers]).unwrap(), &look());
    for primitive in &drawing.primitives {
        if let Primitive::Rectangle { width, .. } = primitive {
            assert!(*width > 0.0);
        }
    }
    assert_eq!(texts(&drawing), ["1", "2", "4", "5", "6:32", "3:42", "4:04", "3:29"]);
}

#[test]
fn whiskers_span_one_error_either_way() {
    let markers = markers();
    let axis = Axis::around([&markers]).unwrap();
    let drawing = lane(&markers, None, axis, &Look { whiskers: true, ..look() });
    // hypot(0.1, 0.05) = 0.1118 m/s
    let from = axis.share(3.42 - 0.111_803) * 500.0;
    let found = drawing.primitives.iter().any(
        |p| matches!(p, Primitive::Line { from: a, to: b, .. } if (a.x - from).abs() < 0.01 && (a.y - b.y).abs() < 1e-9),
    );
    assert!(found, "{}", svg(&drawing, crate::ink::Theme::Light));
}

#[test]
fn the_scale_writes_round_paces_where_they_stand() {
    let axis = Axis::new(speed(2.2), speed(5.8)).unwrap();
    let scale = scale(axis, 330.0, 10.0, UnitSystem::Kilometres);
    let four = scale.primitives.iter().find_map(|p| match p {
        Primitive::Text { text, baseline, .. } if text == "4:00" => Some(baseline.x),
        _ => None,
    });
    assert!((four.unwrap() - axis.share(1000.0 / 240.0) * 330.0).abs() < 1e-9);
    assert!(texts(&scale).len() >= 4, "{:?}", texts(&scale));
}
