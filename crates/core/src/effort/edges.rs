//! Where the edges of an effort may stand when a coach moves them.

use super::SHORTEST_SHARE;
use crate::recording::Span;
use crate::test::TestKind;
use crate::units::Seconds;

/// An end of an effort.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// Where it begins.
    Start,
    /// Where it ends.
    End,
}

/// The effort with one edge moved to a time, or as near to it as the rules allow.
///
/// 5 and 20 minutes: the length stays exact, so the other edge moves along (a recording that is
/// shorter than its test leaves no choice). 40 minutes: each edge is free while the length stays
/// within 3 % of the test's; a lap that was longer may stay so but grows no further. No edge leaves
/// the recording. `None` only where a time cannot be held.
pub fn with_edge(
    kind: TestKind,
    duration: Seconds,
    span: Span,
    edge: Edge,
    to: Seconds,
) -> Option<Span> {
    let (from_s, to_s) = (span.from.s(), span.to.s());
    let (start, end) = if kind.all_out() {
        let length = kind.length_s().min(duration.s());
        let start = match edge {
            Edge::Start => to.s(),
            Edge::End => to.s() - length,
        };
        let start = start.min(duration.s() - length).max(0.0);
        (start, start + length)
    } else {
        let shortest = SHORTEST_SHARE * kind.length_s();
        let longest = ((2.0 - SHORTEST_SHARE) * kind.length_s()).max(span.length_s());
        match edge {
            Edge::Start => (to.s().max(to_s - longest).min(to_s - shortest).max(0.0), to_s),
            Edge::End => {
                let end = to.s().min(from_s + longest).max(from_s + shortest).min(duration.s());
                (from_s, end)
            }
        }
    };
    Some(Span { from: Seconds::from_s(start).ok()?, to: Seconds::from_s(end).ok()? })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seconds(s: f64) -> Seconds {
        Seconds::from_s(s).unwrap()
    }

    fn moved(kind: TestKind, duration: f64, span: (f64, f64), edge: Edge, to: f64) -> (f64, f64) {
        let span = Span { from: seconds(span.0), to: seconds(span.1) };
        let moved = with_edge(kind, seconds(duration), span, edge, seconds(to)).unwrap();
        (moved.from.s(), moved.to.s())
    }

    #[test]
    fn twenty_minutes_stay_twenty_minutes() {
        let moved = |edge, to| moved(TestKind::TwentyMinutes, 2_700.0, (780.0, 1_980.0), edge, to);
        assert_eq!(moved(Edge::Start, 781.0), (781.0, 1_981.0));
        assert_eq!(moved(Edge::End, 1_970.0), (770.0, 1_970.0));
        assert_eq!(moved(Edge::End, 9_000.0), (1_500.0, 2_700.0));
        assert_eq!(moved(Edge::End, 600.0), (0.0, 1_200.0));
    }

    #[test]
    fn a_recording_shorter_than_its_test_leaves_no_choice() {
        let kept = moved(TestKind::FiveMinutes, 297.0, (0.0, 297.0), Edge::Start, 20.0);
        assert_eq!(kept, (0.0, 297.0));
    }

    #[test]
    fn forty_minutes_are_free_within_three_percent() {
        // 3 % of 2400 s is 72 s
        let moved = |edge, to| moved(TestKind::FortyMinutes, 3_600.0, (600.0, 3_000.0), edge, to);
        assert_eq!(moved(Edge::Start, 650.0), (650.0, 3_000.0));
        assert_eq!(moved(Edge::Start, 900.0), (672.0, 3_000.0));
        assert_eq!(moved(Edge::End, 3_500.0), (600.0, 3_072.0));
        assert_eq!(moved(Edge::End, 100.0), (600.0, 2_928.0));
    }

    #[test]
    fn a_longer_lap_may_stay_but_not_grow() {
        let moved = |to| moved(TestKind::FortyMinutes, 3_600.0, (600.0, 3_100.0), Edge::End, to);
        assert_eq!(moved(3_099.0), (600.0, 3_099.0));
        assert_eq!(moved(3_200.0), (600.0, 3_100.0));
    }
}
