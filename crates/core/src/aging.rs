//! When zones are out of date: a window has closed, or an edge has grown too uncertain.

use chrono::NaiveDate;

use crate::calibration::Calibration;
use crate::markers::{MarkerName, Markers};
use crate::retest::{self, RetestWindow, State};
use crate::schedule::Away;
use crate::test::{Decision, Test, TestKind};
use crate::trend::moved_since;
use crate::units::Origin;

/// An edge is too uncertain once one standard deviation of it makes more than this share of the
/// narrower zone beside it (judgement: then a third of such edges stand more than half a zone off).
const SHARE_OF_ZONE: f64 = 0.5;

/// Why zones are out of date.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OutOfDate {
    /// The window of a test behind them has closed.
    WindowClosed {
        /// Which test.
        kind: TestKind,
    },
    /// An edge has outgrown its zones: the test's own error and what may have changed since.
    Outgrown {
        /// The test that would mend it.
        kind: TestKind,
        /// One standard deviation of the edge, as a share of the narrower zone beside it.
        share: f64,
    },
}

impl OutOfDate {
    /// The test to repeat.
    pub fn kind(self) -> TestKind {
        match self {
            Self::WindowClosed { kind } | Self::Outgrown { kind, .. } => kind,
        }
    }
}

/// Why a calibration is out of date on a day, one reason a test at most: the newest of what a test
/// gave, what stood in for it and what renewed its date decides.
pub fn out_of_date(
    calibration: &Calibration,
    tests: &[Test],
    aways: &[Away],
    window: RetestWindow,
    today: NaiveDate,
) -> Vec<OutOfDate> {
    let behind =
        |kind| calibration.basis.iter().filter(|b| b.kind == kind).map(|basis| basis.on).max();
    let renews = |test: &&Test| matches!(test.decision, Decision::Renewed { .. });
    let renewed = |kind| {
        let of_kind = tests.iter().filter(|test| test.kind == kind && test.on <= today);
        of_kind.filter(renews).map(|test| test.on).max()
    };
    let newest = |kind| behind(kind).map(|on| renewed(kind).map_or(on, |renewed| on.max(renewed)));
    TestKind::ALL
        .into_iter()
        .filter_map(|kind| {
            let on = newest(kind)?;
            if retest::freshness(Some(on), window, today).state == State::Overdue {
                return Some(OutOfDate::WindowClosed { kind });
            }
            let share = share_of_zone(&calibration.markers, kind, on, aways, today)?;
            (share > SHARE_OF_ZONE).then_some(OutOfDate::Outgrown { kind, share })
        })
        .collect()
}

/// After so many days away paces are by feel until a new test (judgement).
const LONG_AWAY_DAYS: i64 = 21;

/// The day somebody came back to zones confirmed before they were away for three weeks or more: their
/// paces are by feel until a new test. `None` where the zones are newer, or nobody was away so long.
pub fn by_feel_since(
    calibration: &Calibration,
    aways: &[Away],
    today: NaiveDate,
) -> Option<NaiveDate> {
    let back = aways.iter().filter_map(|away| {
        let to = away.to.filter(|to| *to >= calibration.from && *to < today)?;
        let days = to.signed_duration_since(away.from).num_days() + 1;
        (days >= LONG_AWAY_DAYS).then(|| to.succ_opt().unwrap_or(to))
    });
    back.max()
}

/// One standard deviation of a tested edge today over the width of the narrower zone beside it.
fn share_of_zone(
    markers: &Markers,
    kind: TestKind,
    tested: NaiveDate,
    aways: &[Away],
    today: NaiveDate,
) -> Option<f64> {
    let name = MarkerName::of(kind);
    let edge = markers.get(name).speed.filter(|e| e.origin != Origin::Estimated)?;
    let speed = edge.value.m_per_s();
    let own = edge.repeatability.m_per_s() / speed;
    let width = MarkerName::ALL
        .into_iter()
        .filter(|other| *other != name)
        .filter_map(|other| markers.get(other).speed)
        .map(|other| (other.value.m_per_s() / speed).ln().abs())
        .min_by(f64::total_cmp)?;
    Some(own.hypot(moved_since(tested, today, aways)) / width)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::Basis;
    use crate::ids::{AthleteId, AwayId, CalibrationId, TestId};
    use crate::markers::{MarkerEvidence, derive};
    use crate::schedule::AwayKind;
    use crate::test::{Evidence, Performance};
    use crate::units::{Distance, Seconds, Share};
    use crate::zones::{self, Scheme};

    fn day(month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, month, day).unwrap()
    }

    fn calibration() -> Calibration {
        let run = |metres, kind: TestKind| Performance {
            distance: Distance::from_m(metres).unwrap(),
            duration: Seconds::from_s(kind.length_s()).unwrap(),
            mean_heart_rate: None,
            heart_rate_share: Share::WHOLE,
            peak_heart_rate: None,
        };
        let evidence = MarkerEvidence {
            five: Some(run(1_500.0, TestKind::FiveMinutes).into()),
            twenty: Some(run(5_400.0, TestKind::TwentyMinutes).into()),
            ..MarkerEvidence::default()
        };
        let markers = derive(&evidence).markers;
        let zones = zones::derive(&markers, &Scheme::five_zones());
        let basis = |kind, id| Basis::of_test(kind, day(1, 5), TestId(id));
        Calibration {
            id: CalibrationId(1),
            athlete: AthleteId(1),
            from: day(1, 5),
            basis: vec![basis(TestKind::FiveMinutes, 1), basis(TestKind::TwentyMinutes, 2)],
            markers,
            zones,
        }
    }

    #[test]
    fn a_closed_window_or_a_long_illness_puts_zones_out_of_date() {
        let of = |aways: &[Away], today| {
            out_of_date(&calibration(), &[], aways, RetestWindow::default(), today)
        };
        assert_eq!(of(&[], day(2, 20)), []);
        let closed = of(&[], day(3, 3));
        assert!(matches!(closed.as_slice(), [OutOfDate::WindowClosed { .. }, _]), "{closed:?}");
        // zone 4 is ln(5.0 / 4.275) = 15.7 % wide; 24 days ill add 1.5 % x sqrt(24 / 7) = 2.8 %: not
        // half of it; a much longer span beyond an open window is
        let ill = |from, to| Away {
            id: AwayId(1),
            athlete: AthleteId(1),
            kind: AwayKind::Illness,
            from,
            to: Some(to),
            well_on: None,
        };
        assert_eq!(of(&[ill(day(1, 10), day(2, 2))], day(2, 20)), []);
        let year = RetestWindow { opens_weeks: 4, closes_weeks: 52 };
        let spans = [ill(day(1, 10), day(7, 30))];
        let found = out_of_date(&calibration(), &[], &spans, year, day(8, 15));
        assert!(matches!(found.as_slice(), [OutOfDate::Outgrown { .. }, _]), "{found:?}");
    }

    #[test]
    fn a_test_that_renewed_the_date_keeps_its_part_of_the_zones_in_date() {
        let renewed = |decision| Test {
            id: TestId(3),
            athlete: AthleteId(1),
            kind: TestKind::TwentyMinutes,
            on: day(2, 20),
            performance: Performance {
                distance: Distance::from_m(5_420.0).unwrap(),
                duration: Seconds::from_s(1_200.0).unwrap(),
                mean_heart_rate: None,
                heart_rate_share: Share::WHOLE,
                peak_heart_rate: None,
            },
            evidence: Evidence::Typed,
            decision,
        };
        let closed = |test: Test, today| {
            let found = out_of_date(&calibration(), &[test], &[], RetestWindow::default(), today);
            found.into_iter().map(OutOfDate::kind).collect::<Vec<_>>()
        };
        let both = [TestKind::FiveMinutes, TestKind::TwentyMinutes];
        // 8 weeks after 5 January end on 2 March; after 20 February on 17 April
        let stays = renewed(Decision::Renewed { reason: None });
        assert_eq!(closed(stays.clone(), day(3, 3)), [TestKind::FiveMinutes]);
        assert_eq!(closed(stays.clone(), day(4, 18)), both);
        // not before it was run, and not where it waits
        assert_eq!(closed(Test { on: day(3, 4), ..stays }, day(3, 3)), both);
        assert_eq!(closed(renewed(Decision::ToConfirm), day(3, 3)), both);
    }
}
