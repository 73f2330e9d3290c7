//! The three qualities of an athlete: every test that counts, and whether the last change is real.

use chrono::NaiveDate;
use pacewright_core::doubt::NINE_IN_TEN;
use pacewright_core::physiology::thresholds::SecondThresholdShare;
use pacewright_core::quality::{self, Reading};
use pacewright_core::rules::rules_on;
use pacewright_core::test::TestKind;
use pacewright_core::trend::{Level, Trend, TrendChange, readings, trend};
use pacewright_core::units::Speed;
use pacewright_sheets::chart::{Series, TrendPoint};

use crate::book::Page;

/// One quality as it stands today.
#[derive(Debug, Clone, PartialEq)]
pub struct Quality {
    /// Its tests, oldest first, as the chart draws them.
    pub series: Series,
    /// What became of it, by the trend; `None` with fewer than two tests of one series.
    pub change: Option<TrendChange>,
    /// Whether the newest tests stand in a series of their own.
    pub is_newer_series: bool,
}

impl Quality {
    /// Which quality, by its test.
    pub fn kind(&self) -> TestKind {
        self.series.kind
    }

    /// Whether every test so far is left out of the trend.
    pub fn none_counts(&self) -> bool {
        self.series.readings.iter().all(|reading| reading.left_out.is_some())
    }

    /// The last test.
    pub fn last(&self) -> Option<&Reading> {
        self.series.readings.last()
    }
}

/// The share of a 20-minute test that LT2 is on a day.
pub fn share_on(page: &Page, day: NaiveDate) -> SecondThresholdShare {
    rules_on(&page.beside.rules, day).second_threshold
}

/// The qualities of an athlete: aerobic base, threshold, top end.
pub fn qualities(page: &Page, today: NaiveDate) -> Vec<Quality> {
    let facts = page.facts(&page.tests);
    let share = share_on(page, today);
    [TestKind::FortyMinutes, TestKind::TwentyMinutes, TestKind::FiveMinutes]
        .into_iter()
        .map(|kind| {
            let readings = readings(kind, &facts, share);
            let found = trend(&facts, &page.aways, kind, today);
            let change = found.as_ref().and_then(|trend| trend.change);
            let is_newer_series = found.as_ref().is_some_and(|trend| trend.is_newer_series);
            let trend =
                found.filter(|trend| trend.tests.len() > 1).map(|trend| line(&trend, share));
            Quality { series: Series { kind, readings, trend }, change, is_newer_series }
        })
        .collect()
}

/// The trend as the chart draws it: through the tests to today, on the scale of the quality's pace.
fn line(trend: &Trend, share: SecondThresholdShare) -> Vec<TrendPoint> {
    let point = |level: &Level| {
        let at = |errors: f64| {
            let speed = level.speed.m_per_s() * (errors * level.error).exp();
            quality::of_mean_speed(trend.kind, Speed::from_m_per_s(speed).ok()?, share)
        };
        let (speed, slow, fast) = (at(0.0)?, at(-NINE_IN_TEN)?, at(NINE_IN_TEN)?);
        Some(TrendPoint { on: level.on, speed, slow, fast })
    };
    trend.levels.iter().chain(std::iter::once(&trend.today)).filter_map(point).collect()
}
