//! The three qualities of an athlete: every test that counts, and whether the last change is real.

use pacewright_core::change::{self, Change, Verdict};
use pacewright_core::quality::{Reading, readings};
use pacewright_core::test::TestKind;
use pacewright_sheets::chart::Series;

use crate::book::Page;

/// One quality as it stands today.
#[derive(Debug, Clone, PartialEq)]
pub struct Quality {
    /// Its tests, oldest first, as the chart draws them.
    pub series: Series,
    /// The last test against the one before it.
    pub since: Option<Since>,
}

/// What became of a quality since the test before.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Since {
    /// The test before.
    pub before: Reading,
    /// The change with its doubt.
    pub change: Change,
    /// The verdict; `None` after a practice test, whose repeat gains by learning alone.
    pub verdict: Option<Verdict>,
}

impl Quality {
    /// Which quality, by its test.
    pub fn kind(&self) -> TestKind {
        self.series.kind
    }

    /// The last test.
    pub fn last(&self) -> Option<&Reading> {
        self.series.readings.last()
    }
}

/// The qualities of an athlete: aerobic base, threshold, top end.
pub fn qualities(page: &Page) -> Vec<Quality> {
    [TestKind::FortyMinutes, TestKind::TwentyMinutes, TestKind::FiveMinutes]
        .into_iter()
        .map(|kind| {
            let readings = readings(kind, &page.tests);
            let since = since(kind, &readings);
            // the trend line and its band go here once a trend is estimated
            Quality { series: Series { kind, readings, trend: None }, since }
        })
        .collect()
}

fn since(kind: TestKind, readings: &[Reading]) -> Option<Since> {
    let [.., before, last] = readings else { return None };
    let change = change::compare(kind, &[before.speed], &[last.speed])?;
    let verdict = (!before.practice).then_some(change.verdict);
    Some(Since { before: *before, change, verdict })
}

#[cfg(test)]
mod tests {
    use chrono::NaiveDate;
    use pacewright_core::ids::{AthleteId, TestId};
    use pacewright_core::test::{Decision, Evidence, Performance, Test};
    use pacewright_core::units::{Distance, Seconds, Share};

    use super::*;

    fn test(id: i64, kind: TestKind, metres: f64) -> Test {
        Test {
            id: TestId(id),
            athlete: AthleteId(1),
            kind,
            on: NaiveDate::from_ymd_opt(2026, 1, u32::try_from(id).unwrap()).unwrap(),
            performance: Performance {
                distance: Distance::from_m(metres).unwrap(),
                duration: Seconds::from_s(kind.length_s()).unwrap(),
                mean_heart_rate: None,
                heart_rate_share: Share::from_ratio(1.0).unwrap(),
                peak_heart_rate: None,
            },
            evidence: Evidence::Typed,
            decision: Decision::Accepted { reason: None },
        }
    }

    #[test]
    fn no_verdict_is_called_on_a_practice_test() {
        let kind = TestKind::FiveMinutes;
        let first_two = readings(kind, &[test(1, kind, 1_400.0), test(2, kind, 1_500.0)]);
        assert_eq!(since(kind, &first_two).unwrap().verdict, None);
        let three = [test(1, kind, 1_400.0), test(2, kind, 1_450.0), test(3, kind, 1_595.0)];
        // 10 % against a standard error of 2.4 x sqrt 2 = 3.4 %: clear by Hopkins's method
        let since = since(kind, &readings(kind, &three)).unwrap();
        assert_eq!(since.verdict, Some(Verdict::ClearGain));
        assert!((since.change.change_percent - 10.0).abs() < 1e-9);
    }
}
