//! Whether the window is one effort: a lasting step of speed inside it, from walk or jog to run or back.

use super::pace::parts;
use crate::effort::level::level_speed;
use crate::effort::{DistanceLine, Effort};
use crate::recording::{Sample, Span};
use crate::remark::{Finding, Remark, Severity};
use crate::test::TestKind;
use crate::units::{Seconds, Speed};

/// The slower side of a step goes at less than this share of the faster one (judgement: efforts that
/// were paced badly fade or kick by less, and a jog beside a test is slower).
const SLOWER_SHARE: f64 = 0.8;
/// The window is looked at in so many equal parts.
const PARTS: u32 = 80;
/// Each side of a step lasts at least a twentieth of the window, and so many seconds (judgement).
const SHORTEST_S: f64 = 30.0;

/// A window of two speeds is no test of its length: neither its pace nor its heart rate is that of one
/// effort. A pause inside tells of itself.
pub(super) fn two_speeds(
    kind: TestKind,
    samples: &[Sample],
    effort: &Effort,
    line: &DistanceLine,
) -> Option<Remark> {
    if effort.pause_inside.is_some() {
        return None;
    }
    let speeds = parts(line, effort.span, PARTS)?;
    let each_s = effort.span.length_s() / f64::from(PARTS);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "4 to 40")]
    let shortest = (SHORTEST_S / each_s).ceil().clamp(4.0, f64::from(PARTS) / 2.0) as usize;
    let step = sharpest(&speeds, shortest)?;
    let at = Seconds::from_s(effort.span.from.s() + each_s * step as f64).ok()?;
    let (before, after) = speeds.split_at(step);
    let slow_first = mean(before) < mean(after);
    let share = slower_share(before, after);
    // a slow fade has no edge, and a late start does not last: most of the stretch on either side of
    // the step must be as slow, and as fast
    let (near, beyond) = (before.get(step - shortest..)?, after.get(..shortest)?);
    let beside = if slow_first {
        typical(near, shortest / 2) / typical(beyond, (shortest - 1) / 2)
    } else {
        typical(beyond, shortest / 2) / typical(near, (shortest - 1) / 2)
    };
    if share >= SLOWER_SHARE || beside >= SLOWER_SHARE {
        return None;
    }
    let sides = [Span { to: at, ..effort.span }, Span { from: at, ..effort.span }];
    // up a hill and down again is one effort
    let [first, second] = sides.map(|side| level_speed(samples, line, side));
    let level = |(first, second): (Speed, Speed)| {
        slower_share(&[first.m_per_s()], &[second.m_per_s()]) >= SLOWER_SHARE
    };
    if first.zip(second).is_some_and(level) {
        return None;
    }
    let slow = if slow_first { sides[0] } else { sides[1] };
    let finding = Finding::TwoSpeeds {
        minutes: kind.minutes(),
        slow_share: share,
        slow_s: slow.length_s(),
        slow_first,
    };
    Some(Remark::new(finding, Severity::Check, None).at(slow))
}

/// After how many parts two levels fit the speeds best.
fn sharpest(speeds: &[f64], shortest: usize) -> Option<usize> {
    let between = |at: usize| {
        let (before, after) = speeds.split_at(at);
        let weight = (before.len() * after.len()) as f64;
        weight * (mean(before) - mean(after)).powi(2)
    };
    (shortest..=speeds.len().checked_sub(shortest)?)
        .max_by(|a, b| between(*a).total_cmp(&between(*b)))
}

fn slower_share(one: &[f64], other: &[f64]) -> f64 {
    let (one, other) = (mean(one), mean(other));
    one.min(other) / one.max(other)
}

/// The speed that so many of the parts stay below.
fn typical(speeds: &[f64], place: usize) -> f64 {
    let mut speeds = speeds.to_vec();
    let (_, typical, _) = speeds.select_nth_unstable_by(place, f64::total_cmp);
    *typical
}

fn mean(speeds: &[f64]) -> f64 {
    speeds.iter().sum::<f64>() / speeds.len() as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Distance;

    fn of(kind: TestKind, legs: &[(f64, f64)]) -> Option<Finding> {
        let (mut time, mut metre) = (0.0, 0.0);
        let at = |time, metre| (Seconds::from_s(time).unwrap(), Distance::from_m(metre).unwrap());
        let mut knots = vec![at(0.0, 0.0)];
        for (seconds, speed) in legs {
            time += seconds;
            metre += seconds * speed;
            knots.push(at(time, metre));
        }
        let line = DistanceLine::from_knots(&knots).unwrap();
        let span = Span { from: knots[0].0, to: knots[knots.len() - 1].0 };
        let effort = Effort {
            span,
            found_by: crate::effort::FoundBy::Fastest,
            distance: line.between(span).unwrap(),
            mean_speed: crate::units::Speed::from_m_per_s(metre / time).unwrap(),
            flat_speed: None,
            mean_heart_rate: None,
            settled_heart_rate: None,
            heart_rate_share: crate::units::Share::WHOLE,
            peak_heart_rate: None,
            ascent: None,
            pause_inside: None,
        };
        two_speeds(kind, &[], &effort, &line).map(|remark| remark.finding)
    }

    #[test]
    fn a_walk_before_the_run_and_a_jog_after_it_are_no_one_effort() {
        let twenty = TestKind::TwentyMinutes;
        let walked = of(twenty, &[(60.0, 2.6), (120.0, 1.2), (1_020.0, 4.3)]);
        assert!(matches!(
            walked,
            Some(Finding::TwoSpeeds { minutes: 20, slow_first: true, slow_s: 180.0, .. })
        ));
        let jogged = of(twenty, &[(660.0, 3.4), (540.0, 2.3)]);
        let Some(Finding::TwoSpeeds { slow_first: false, slow_s: 540.0, slow_share, .. }) = jogged
        else {
            panic!("{jogged:?}")
        };
        assert!((slow_share - 2.3 / 3.4).abs() < 1e-9);
        assert!(of(TestKind::FiveMinutes, &[(40.0, 2.5), (260.0, 5.0)]).is_some());
    }

    #[test]
    fn pacing_however_bad_is_one_effort() {
        let twenty = TestKind::TwentyMinutes;
        // from 5 to 3.2 m/s bit by bit: a fade without an edge
        let fading: Vec<(f64, f64)> =
            (0..40).map(|part| (30.0, 5.0 - 1.8 * f64::from(part) / 39.0)).collect();
        assert_eq!(of(twenty, &fading), None);
        assert_eq!(of(twenty, &[(300.0, 4.6), (900.0, 4.0)]), None);
        assert_eq!(of(twenty, &[(20.0, 1.0), (1_180.0, 4.0)]), None);
    }
}
