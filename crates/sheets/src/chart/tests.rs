//! The chart of the three qualities, held to its numbers.

use pacewright_core::ids::AthleteId;
use pacewright_core::physiology::thresholds::SecondThresholdShare;
use pacewright_core::quality::readings;
use pacewright_core::test::{Decision, Evidence, Performance, Test};
use pacewright_core::units::{Distance, Seconds, Share};
use proptest::prelude::*;

use super::*;

fn date(month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, month, day).unwrap()
}

fn look() -> Look {
    Look {
        from: date(1, 1),
        to: date(11, 25),
        width: 600.0,
        height: 280.0,
        text: 12.5,
        units: UnitSystem::Kilometres,
    }
}

fn series(kind: TestKind, metres: &[(u32, f64)]) -> Series {
    let test = |(index, (month, metres)): (usize, &(u32, f64))| Test {
        id: TestId(i64::try_from(index).unwrap() + 100 * i64::from(kind.minutes())),
        athlete: AthleteId(1),
        kind,
        on: date(*month, 10),
        performance: Performance {
            distance: Distance::from_m(*metres).unwrap(),
            duration: Seconds::from_s(kind.length_s()).unwrap(),
            mean_heart_rate: None,
            heart_rate_share: Share::from_ratio(1.0).unwrap(),
            peak_heart_rate: None,
        },
        evidence: Evidence::Typed,
        decision: Decision::Accepted { reason: None },
    };
    let tests: Vec<Test> = metres.iter().enumerate().map(test).collect();
    Series { kind, readings: readings(kind, &tests, SecondThresholdShare::default()), trend: None }
}

fn three() -> Vec<Series> {
    vec![
        series(TestKind::FiveMinutes, &[(2, 1_400.0), (6, 1_430.0), (10, 1_460.0)]),
        series(TestKind::TwentyMinutes, &[(3, 5_000.0), (7, 5_172.0)]),
        series(TestKind::FortyMinutes, &[(4, 8_000.0), (8, 8_100.0)]),
    ]
}

fn texts(drawing: &Drawing) -> Vec<(&str, Place, Anchor, f64)> {
    let text = |primitive: &'_ Primitive| match primitive {
        Primitive::Text { baseline, anchor, size, .. } => Some((*baseline, *anchor, *size)),
        _ => None,
    };
    let words = drawing.primitives.iter().filter_map(|primitive| match primitive {
        Primitive::Text { text, .. } => Some(text.as_str()),
        _ => None,
    });
    words
        .zip(drawing.primitives.iter().filter_map(text))
        .map(|(words, (place, anchor, size))| (words, place, anchor, size))
        .collect()
}

/// Left, right, top and bottom of a text.
fn bounds((words, place, anchor, size): (&str, Place, Anchor, f64)) -> (f64, f64, f64, f64) {
    let width = text_width(words, size);
    let left = match anchor {
        Anchor::Start => place.x,
        Anchor::Middle => place.x - width / 2.0,
        Anchor::End => place.x - width,
    };
    (left, left + width, place.y - 0.66 * size, place.y)
}

#[test]
fn faster_stands_higher_and_later_to_the_right() {
    let chart = chart(&three(), &look()).unwrap();
    assert_eq!(chart.points.len(), 7);
    assert!(chart.points.windows(2).all(|pair| pair[0].place.x < pair[1].place.x));
    for one in &chart.points {
        for other in &chart.points {
            if one.reading.speed > other.reading.speed {
                assert!(one.place.y < other.place.y);
            }
        }
    }
}

#[test]
fn one_percent_is_the_same_height_everywhere() {
    // by the definition of a logarithmic axis: equal ratios, equal lengths
    let slow = series(TestKind::FortyMinutes, &[(2, 7_000.0), (4, 7_140.0)]);
    let fast = series(TestKind::FiveMinutes, &[(6, 1_400.0), (8, 1_428.0)]);
    let chart = chart(&[slow, fast], &look()).unwrap();
    let y: Vec<f64> = chart.points.iter().map(|point| point.place.y).collect();
    assert!(((y[0] - y[1]) - (y[2] - y[3])).abs() < 0.25, "{y:?}");
}

#[test]
fn every_line_is_named_and_every_quality_has_its_own_shape() {
    let chart = chart(&three(), &look()).unwrap();
    let words: Vec<&str> = texts(&chart.drawing).iter().map(|text| text.0).collect();
    for name in ["VO2max pace", "LT2 pace", "LT1 pace", "Jul", "4:00"] {
        assert!(words.contains(&name), "{name} is missing in {words:?}");
    }
    let count = |wanted: fn(&Primitive) -> bool| {
        chart.drawing.primitives.iter().filter(|primitive| wanted(primitive)).count()
    };
    assert_eq!(count(|p| matches!(p, Primitive::Circle { ink: Role::QualityBase, .. })), 2);
    assert_eq!(count(|p| matches!(p, Primitive::Polygon { ink: Role::QualityThreshold, .. })), 2);
    assert_eq!(count(|p| matches!(p, Primitive::Polygon { ink: Role::QualityTopEnd, .. })), 3);
}

#[test]
fn a_trend_is_drawn_as_a_line_on_its_band() {
    let mut with_trend = three();
    let speed = |m_per_s| Speed::from_m_per_s(m_per_s).unwrap();
    let point = |month| TrendPoint {
        on: date(month, 1),
        speed: speed(4.0),
        slow: speed(3.9),
        fast: speed(4.1),
    };
    with_trend[1].trend = Some(vec![point(3), point(6), point(11)]);
    let chart = chart(&with_trend, &look()).unwrap();
    let band = |p: &Primitive| matches!(p, Primitive::Polygon { ink: Role::BandThreshold, .. });
    let first_band = chart.drawing.primitives.iter().position(band);
    let rule = |p: &Primitive| matches!(p, Primitive::Line { ink: Role::Rule, .. });
    let first_rule = chart.drawing.primitives.iter().position(rule);
    assert!(first_band.is_some() && first_band < first_rule, "rules stand over the band");
    let line = |p: &&Primitive| matches!(p, Primitive::Line { ink: Role::QualityThreshold, width, .. } if *width > 1.5);
    assert_eq!(chart.drawing.primitives.iter().filter(line).count(), 2);
}

#[test]
fn nothing_to_draw_is_none() {
    assert_eq!(chart(&[series(TestKind::FiveMinutes, &[])], &look()), None);
    let earlier = Look { from: date(11, 1), ..look() };
    assert_eq!(chart(&[series(TestKind::FiveMinutes, &[(2, 1_400.0)])], &earlier), None);
}

proptest! {
    /// Whatever was run, no label stands over another or outside, and every point stands inside.
    #[test]
    fn labels_stay_apart_and_inside(
        five in 700.0..2_200.0_f64, twenty in 2_000.0..8_000.0_f64, forty in 3_500.0..15_000.0_f64,
        width in 320.0..1_200.0_f64, height in 180.0..500.0_f64, miles in any::<bool>(),
    ) {
        let all = [
            series(TestKind::FiveMinutes, &[(2, five), (9, five * 1.02)]),
            series(TestKind::TwentyMinutes, &[(3, twenty)]),
            series(TestKind::FortyMinutes, &[(4, forty), (10, forty * 0.97)]),
        ];
        let units = if miles { UnitSystem::Miles } else { UnitSystem::Kilometres };
        let chart = chart(&all, &Look { width, height, units, ..look() }).unwrap();
        for point in &chart.points {
            prop_assert!(point.place.x >= 0.0 && point.place.x <= width);
            prop_assert!(point.place.y >= 0.0 && point.place.y <= height);
        }
        let boxes: Vec<_> = texts(&chart.drawing).into_iter().map(bounds).collect();
        for (index, a) in boxes.iter().enumerate() {
            prop_assert!(a.0 >= -1.0 && a.1 <= width + 1.0 && a.2 >= -1.0 && a.3 <= height + 1.0, "{a:?}");
            for b in &boxes[index + 1..] {
                prop_assert!(a.1 <= b.0 || b.1 <= a.0 || a.3 <= b.2 || b.3 <= a.2, "{a:?} {b:?}");
            }
        }
    }
}
