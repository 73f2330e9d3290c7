//! The trend of each quality, and what it says of a change.
//!
//! A quality is the logarithm of the mean speed of one kind of test. It is believed to wander and to
//! drift ([`Motion`]); each test tells of it with its own repeatability, wider where remarks doubt
//! it, where it was the first of its kind, or where its conditions were unlike the newest test's. A run
//! that gives no LT1 pace is left out ([`left_out`]).
//! Validity plays no part: a rule that is off is off by the same before and after.
//!
//! # The numbers behind it (judgement, each with its reason)
//! - Wander 0.5 % a square root of a week: form and freshness; 1.4 % over eight weeks, less than
//!   one test's error, so that a single odd test moves the level by less than half.
//! - Drift 0.15 % a week: two standard deviations for twelve weeks make 2.3 % once it fades, what a
//!   good block of training gives a trained runner.
//! - It fades in twelve weeks: the length of such a block. A drift never runs on for ever.
//! - Away, injured or ill: 1.5 % a square root of a week and no drift: 3 % after four weeks. Holiday
//!   0.7, camp 1.0 (fitter or tired: nobody knows before the test).
//!
//! What it says is right as often as it says under these numbers, and less so beyond them: see the
//! tables in [`crate::doubt`].

pub mod filter;

use chrono::{Days, NaiveDate, TimeDelta};

use crate::calibration::Facts;
use crate::change::{self, Verdict};
use crate::first_threshold::factor_on;
use crate::markers::Held;
use crate::physiology::conditions::unlike;
use crate::physiology::reliability;
use crate::physiology::thresholds::SecondThresholdShare;
use crate::quality::{self, LeftOut, Reading};
use crate::rules::rules_on;
use crate::schedule::{Away, AwayKind};
use crate::test::{Test, TestKind};
use crate::units::Speed;
use filter::{Belief, Motion, Step, smooth};

/// How every quality moves; the reasons stand above.
pub const MOTION: Motion = Motion { wander: 0.005, drift: 0.0015, fading_weeks: 12.0 };

/// Variance of the level before the first test: nothing is known (a standard deviation of 50 %).
const UNKNOWN: f64 = 0.25;
/// A test in conditions unlike the newest one's counts a quarter: its error is taken twice as wide
/// (judgement).
const UNLIKE: f64 = 2.0;
/// A change is told from this long before the newest test, or from the first test where that is
/// later: two blocks of twelve weeks. A slow decline of 3 % hides inside the error of anything
/// shorter.
const LOOK_BACK_DAYS: u64 = 168;
/// A test further than so many standard errors from what the tests before it lead to expect happens
/// to an unchanged athlete once in a hundred times (two-sided 99 % of a normal distribution): then
/// the level, which gives way slowly, says too little of it (judgement).
const OFF_ITS_TREND: f64 = 2.576;

/// One test as the trend takes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observation {
    /// When.
    pub on: NaiveDate,
    /// The mean speed run.
    pub speed: Speed,
    /// Its repeatability, relative to it.
    pub error: f64,
}

/// The level of a quality on a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// The day.
    pub on: NaiveDate,
    /// The speed a test would have had without its error.
    pub speed: Speed,
    /// One standard deviation of it, relative to it: repeatability and drift, no validity.
    pub error: f64,
}

/// A change of a quality, by the trend's posterior. Percent of speed; chances of 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrendChange {
    /// From this day ...
    pub from: NaiveDate,
    /// ... to this one.
    pub to: NaiveDate,
    /// The change in percent of speed.
    pub percent: f64,
    /// One standard deviation of it, in percent.
    pub error_percent: f64,
    /// Probability of a worthwhile gain.
    pub chance_better: f64,
    /// Probability of a worthwhile loss.
    pub chance_worse: f64,
    /// The change in words.
    pub verdict: Verdict,
    /// How far the newest test lies from what those before it lead to expect, in percent of speed,
    /// where no clear change is told although that is more than errors and drift explain.
    pub off_percent: Option<f64>,
}

/// The trend of one quality: its newest series, and when the series before it ended.
#[derive(Debug, Clone, PartialEq)]
pub struct Trend {
    /// The test that tracks the quality.
    pub kind: TestKind,
    /// The tests of the series, oldest first.
    pub tests: Vec<Observation>,
    /// The level on the day of each of them, given all of them.
    pub levels: Vec<Level>,
    /// The level today.
    pub today: Level,
    /// The change over the last 24 weeks; `None` with fewer than two tests.
    pub change: Option<TrendChange>,
    /// Whether other tests stand in another series (another factor behind their target, treadmill).
    pub is_newer_series: bool,
}

/// Why the trend leaves out a test that counts. A run held off its target says nothing of the path of LT1
/// pace, by the rule that gives it no LT1 pace either, and by what was known on its day.
pub fn left_out(facts: &Facts<'_>, test: &Test) -> Option<LeftOut> {
    if test.kind != TestKind::FortyMinutes {
        return None;
    }
    match facts.held(test) {
        Held::AtLt1 => None,
        Held::Elsewhere => Some(LeftOut::HeldElsewhere),
        Held::Untargeted => Some(LeftOut::NoTarget),
    }
}

/// What the tests that count say about one quality, oldest first, and which of them the trend leaves out.
pub fn readings(kind: TestKind, facts: &Facts<'_>, share: SecondThresholdShare) -> Vec<Reading> {
    let mut all = quality::readings(kind, facts.tests, share);
    for reading in &mut all {
        let test = facts.tests.iter().find(|test| test.id == reading.test);
        reading.left_out = test.and_then(|test| left_out(facts, test));
    }
    all
}

/// The trend of a quality up to a day; `None` without an accepted test that is not left out.
pub fn trend(facts: &Facts<'_>, aways: &[Away], kind: TestKind, today: NaiveDate) -> Option<Trend> {
    let observed = observed(facts, kind, today)?;
    let mut trend = of_observations(kind, &observed.tests, aways, today)?;
    trend.is_newer_series = observed.is_newer_series;
    trend.change = trend.change.map(|change| observed.called(change));
    Some(trend)
}

/// The change of a quality from the day of one of its tests to that of the newest up to a day, by all
/// tests of the series; `None` where the first day lies before the series, or the newest test is left out.
pub fn change_since(
    facts: &Facts<'_>,
    aways: &[Away],
    kind: TestKind,
    (from, to): (NaiveDate, NaiveDate),
) -> Option<TrendChange> {
    let observed = observed(facts, kind, to)?;
    if from < observed.tests.first()?.on || observed.tests.last()?.on < observed.ends {
        return None;
    }
    let trend = along(kind, &observed.tests, aways, to, from)?;
    trend.change.map(|change| observed.called(change))
}

/// The newest series of a quality, as the trend takes it.
struct Observed {
    tests: Vec<Observation>,
    /// The day of the newest test that counts, also where it is left out.
    ends: NaiveDate,
    /// Whether earlier tests stand in another series.
    is_newer_series: bool,
    /// Whether there is nothing but a first attempt and its repeat.
    is_practice: bool,
}

impl Observed {
    /// One repeat of a first attempt is mostly learning: no gain is called on it alone.
    fn called(&self, change: TrendChange) -> TrendChange {
        let gain = matches!(change.verdict, Verdict::ClearGain | Verdict::LikelyGain);
        let verdict =
            if self.is_practice && gain { Verdict::NoClearChange } else { change.verdict };
        TrendChange { verdict, ..change }
    }
}

fn observed(facts: &Facts<'_>, kind: TestKind, today: NaiveDate) -> Option<Observed> {
    let mut tests: Vec<&Test> = facts
        .tests
        .iter()
        .filter(|t| t.kind == kind && t.decision.is_accepted() && t.on <= today)
        .collect();
    tests.sort_by_key(|t| (t.on, t.id));
    let (first, ends) = (tests.first()?.id, tests.last()?.on);
    tests.retain(|test| left_out(facts, test).is_none());
    let count = tests.len();
    let series = newest_series(facts, kind, &tests);
    let newest = facts.conditions_of(series.last()?.id);
    let tests: Vec<Observation> = series
        .iter()
        .filter_map(|test| {
            let is_first = test.id == first;
            let conditions = facts.conditions_of(test.id);
            let apart = if unlike(&conditions, &newest).is_some() { UNLIKE } else { 1.0 };
            let percent = reliability::speed_percent(kind, is_first)
                * facts.doubt_of(test).speed_factor()
                * apart;
            let speed = practised(kind, is_first, test.performance.mean_speed()?)?;
            Some(Observation { on: test.on, speed, error: percent / 100.0 })
        })
        .collect();
    let is_practice = kind == TestKind::FiveMinutes && tests.len() == 2 && count == 2;
    Some(Observed { is_newer_series: tests.len() < count, tests, ends, is_practice })
}

/// The tests of the newest one's series: run on the same (treadmill or ground), and after the last
/// change of what they were held at. LT1 pace moves with the factor and with LT2's share behind its
/// target, and a treadmill's speed with the treadmill, without any change of fitness. A 20-minute
/// test itself is the same run whatever share of it LT2 is: its series goes on.
fn newest_series<'t>(facts: &Facts<'_>, kind: TestKind, tests: &[&'t Test]) -> Vec<&'t Test> {
    let held_at = |test: &Test| {
        let rules = rules_on(facts.rules, test.on);
        let by_target = kind == TestKind::FortyMinutes;
        by_target.then(|| (factor_on(facts.factors, test.on), rules.second_threshold))
    };
    let on_treadmill = |test: &Test| facts.conditions_of(test.id).is_treadmill();
    let Some(newest) = tests.last() else { return Vec::new() };
    let changed = |test: &&Test| held_at(test) != held_at(newest);
    let from = tests.iter().rposition(changed).map_or(0, |at| at + 1);
    let since = tests.get(from..).unwrap_or_default().iter();
    since.filter(|test| on_treadmill(test) == on_treadmill(newest)).copied().collect()
}

/// A first 5-minute test as it would have been with practice.
fn practised(kind: TestKind, is_first: bool, speed: Speed) -> Option<Speed> {
    let learnt = if kind == TestKind::FiveMinutes && is_first {
        1.0 + reliability::LEARNING_PERCENT / 100.0
    } else {
        1.0
    };
    Speed::from_m_per_s(speed.m_per_s() * learnt).ok()
}

/// The trend of observations of one series, oldest first; `None` without any.
pub fn of_observations(
    kind: TestKind,
    tests: &[Observation],
    aways: &[Away],
    today: NaiveDate,
) -> Option<Trend> {
    let (first, newest) = (tests.first()?, tests.last()?);
    let back = newest.on.checked_sub_days(Days::new(LOOK_BACK_DAYS));
    along(kind, tests, aways, today, back.map_or(first.on, |back| back.max(first.on)))
}

/// The same, its change told from a day inside the series.
fn along(
    kind: TestKind,
    tests: &[Observation],
    aways: &[Away],
    today: NaiveDate,
    reference: NaiveDate,
) -> Option<Trend> {
    let (first, newest) = (tests.first()?, tests.last()?);
    // every day to stand on, in order: the tests, the day to look back to, today
    let mut days: Vec<(NaiveDate, Option<&Observation>)> =
        tests.iter().map(|test| (test.on, Some(test))).collect();
    days.push((reference, None));
    days.push((today.max(newest.on), None));
    days.sort_by_key(|(on, test)| (*on, test.is_none()));
    let smoothed = smooth(&MOTION, start(first), &steps(&days, aways));
    let level = |(on, belief): (NaiveDate, &Belief)| {
        Some(Level {
            on,
            speed: Speed::from_m_per_s(belief.mean[0].exp()).ok()?,
            error: belief.covariance[0][0].max(0.0).sqrt(),
        })
    };
    let all = || days.iter().zip(&smoothed.smoothed);
    let levels = all()
        .filter(|((_, test), _)| test.is_some())
        .map(|((on, _), belief)| level((*on, belief)))
        .collect::<Option<Vec<_>>>()?;
    let place = |day: NaiveDate| days.iter().rposition(|(on, _)| *on == day);
    let change = if tests.len() < 2 || reference == newest.on {
        None
    } else {
        let change = smoothed.change(place(reference)?, place(newest.on)?)?;
        let change = in_words(reference, newest.on, change);
        let told = matches!(change.verdict, Verdict::ClearGain | Verdict::ClearLoss);
        Some(TrendChange { off_percent: off_its_trend(tests, aways).filter(|_| !told), ..change })
    };
    let today = level((days.last()?.0, smoothed.smoothed.last()?))?;
    let tests = tests.to_vec();
    Some(Trend { kind, tests, levels, today, change, is_newer_series: false })
}

/// How far the newest test lies from what those before it lead to expect, in percent of speed, where
/// that is more than errors and drift explain.
fn off_its_trend(tests: &[Observation], aways: &[Away]) -> Option<f64> {
    let (newest, before) = tests.split_last()?;
    let mut days: Vec<(NaiveDate, Option<&Observation>)> =
        before.iter().map(|test| (test.on, Some(test))).collect();
    days.push((newest.on, None));
    let smoothed = smooth(&MOTION, start(before.first()?), &steps(&days, aways));
    let expected = smoothed.filtered.last()?;
    let off = newest.speed.m_per_s().max(0.1).ln() - expected.mean[0];
    let error = (expected.covariance[0][0].max(0.0) + newest.error * newest.error).sqrt();
    (off.abs() > OFF_ITS_TREND * error).then(|| 100.0 * off.exp_m1())
}

fn start(first: &Observation) -> Belief {
    Belief {
        mean: [first.speed.m_per_s().max(0.1).ln(), 0.0],
        covariance: [[UNKNOWN, 0.0], [0.0, MOTION.drift * MOTION.drift]],
    }
}

fn steps(days: &[(NaiveDate, Option<&Observation>)], aways: &[Away]) -> Vec<Step> {
    let before = std::iter::once(None).chain(days.iter().map(|(on, _)| Some(*on)));
    days.iter()
        .zip(before)
        .map(|((on, test), before)| {
            let (weeks, weeks_away, added) = gap(before.unwrap_or(*on), *on, aways);
            let measured = test.map(|t| (t.speed.m_per_s().max(0.1).ln(), t.error));
            Step { weeks, weeks_away, added, measured }
        })
        .collect()
}

/// Weeks between two days, weeks of them away, and the variance those add.
fn gap(from: NaiveDate, to: NaiveDate, aways: &[Away]) -> (f64, f64, f64) {
    let in_weeks = |span: TimeDelta| span.num_days().max(0) as f64 / 7.0;
    let weeks = in_weeks(to - from);
    let (mut away, mut added) = (0.0, 0.0);
    for span in aways {
        // the last day away is a day away
        let end = span.to.and_then(|last| last.succ_opt()).unwrap_or(to);
        let inside = in_weeks(end.min(to) - span.from.max(from));
        away += inside;
        added += inside * per_week(span.kind).powi(2);
    }
    (weeks, away.min(weeks), added)
}

/// What a week away adds to the doubt, relative to speed (judgement, reasons above).
fn per_week(kind: AwayKind) -> f64 {
    match kind {
        AwayKind::Injury | AwayKind::Illness => 0.015,
        AwayKind::Holiday => 0.007,
        AwayKind::Camp => 0.010,
    }
}

fn in_words(from: NaiveDate, to: NaiveDate, (change, error): (f64, f64)) -> TrendChange {
    let worthwhile = (1.0 + change::SMALLEST_WORTHWHILE_PERCENT / 100.0).ln();
    let (chance_better, chance_worse) = change::chances(change, error, worthwhile);
    TrendChange {
        from,
        to,
        percent: 100.0 * change.exp_m1(),
        error_percent: 100.0 * error,
        chance_better,
        chance_worse,
        verdict: change::verdict(chance_better, chance_worse),
        off_percent: None,
    }
}

/// How far the level may have moved in the days after a test, relative to speed: one standard
/// deviation of drift, wandering and spans away together.
pub fn moved_since(tested: NaiveDate, today: NaiveDate, aways: &[Away]) -> f64 {
    let (weeks, weeks_away, added) = gap(tested, today, aways);
    let step = Step { weeks, weeks_away, added, measured: None };
    let (transition, noise) = MOTION.over(&step);
    (noise[0][0] + (transition[0][1] * MOTION.drift).powi(2)).sqrt()
}

#[cfg(test)]
mod tests;
