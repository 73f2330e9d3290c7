//! The scales of a chart: how far it reaches, the round paces and the months that are labelled.

use std::ops::Range;

use chrono::{Datelike, Months, NaiveDate};
use pacewright_core::format::{clock, pace_seconds, speed_of_pace};
use pacewright_core::units::{Speed, UnitSystem};

use plotters::coord::ranged1d::{DefaultFormatting, KeyPointHint, Ranged};

use super::{Look, Series, x, y};
use crate::fonts::text_width;

/// Room above and below what is drawn, in log speed: two percent.
const ROOM: f64 = 0.02;

/// The least height of a chart in log speed, so that the error of one test does not fill it.
const LEAST: f64 = 0.16;

/// How far a chart reaches and what its axes say.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Scales {
    /// Days from the first to the last.
    pub(super) days: f64,
    /// Log speeds from the bottom to the top.
    pub(super) heights: Range<f64>,
    /// Months on the axis: days since the first, and what is written there.
    pub(super) months: Vec<(f64, String)>,
    /// Round paces: log speeds, and what is written there.
    pub(super) paces: Vec<(f64, String)>,
}

impl Scales {
    /// The scales around everything that is drawn; `None` where nothing is, or in no time.
    pub(super) fn of(series: &[Series], look: &Look) -> Option<Self> {
        let readings = series.iter().flat_map(|one| &one.readings);
        let bars = readings.flat_map(|reading| {
            let (slow, fast) = reading.ends();
            [slow, fast]
        });
        let trends = series.iter().filter_map(|one| one.trend.as_ref()).flatten();
        let all: Vec<f64> =
            bars.chain(trends.flat_map(|point| [point.slow, point.fast])).map(y).collect();
        let (low, high) = all
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), y| (low.min(*y), high.max(*y)));
        let days = x(look.to, look);
        if !low.is_finite() || !high.is_finite() || days <= 0.0 {
            return None;
        }
        let middle = f64::midpoint(low, high);
        let half = ((high - low) / 2.0 + ROOM).max(LEAST / 2.0);
        let heights = middle - half..middle + half;
        let (months, paces) = (months(look), paces(&heights, look));
        Some(Self { days, heights, months, paces })
    }
}

/// As many firsts of a month as stand clear of each other; the year where it is new.
fn months(look: &Look) -> Vec<(f64, String)> {
    let room = text_width("Mar 2026", look.text) * 1.35;
    let days = x(look.to, look);
    let wide = (look.width - text_width("10:00VO2max pace", look.text)).max(room);
    let every = [1, 2, 3, 4, 6, 12]
        .into_iter()
        .find(|every| wide / (days / 30.44 / f64::from(*every)) >= room)
        .unwrap_or(12);
    let mut months = Vec::new();
    let mut year = None;
    let mut at = first_of_month_after(look.from);
    while let Some(month) = at.filter(|month| *month <= look.to) {
        let with_year = year != Some(month.year());
        year = Some(month.year());
        let label = month.format(if with_year { "%b %Y" } else { "%b" }).to_string();
        months.push((x(month, look), label));
        at = month.checked_add_months(Months::new(every));
    }
    months
}

fn first_of_month_after(day: NaiveDate) -> Option<NaiveDate> {
    if day.day() == 1 { Some(day) } else { day.with_day(1)?.checked_add_months(Months::new(1)) }
}

/// Round paces in the finest step whose labels stand clear of each other.
fn paces(heights: &Range<f64>, look: &Look) -> Vec<(f64, String)> {
    let clear = look.text * 1.9;
    let px = look.height / (heights.end - heights.start);
    [5, 10, 15, 30, 60, 120, 300]
        .into_iter()
        .map(|step| of_step(step, heights, look.units))
        .find(|paces| {
            paces.windows(2).all(|pair| match pair {
                [slower, faster] => (faster.0 - slower.0) * px >= clear,
                _ => true,
            })
        })
        .unwrap_or_default()
}

/// The paces of a step inside the heights, slowest first.
fn of_step(step: u32, heights: &Range<f64>, units: UnitSystem) -> Vec<(f64, String)> {
    let seconds = |height: f64| {
        Speed::from_m_per_s(height.exp()).ok().and_then(|speed| pace_seconds(speed, units))
    };
    let (Some(slowest), Some(fastest)) = (seconds(heights.start), seconds(heights.end)) else {
        return Vec::new();
    };
    (fastest.div_ceil(step)..=slowest / step)
        .rev()
        .map(|count| count * step)
        .filter_map(|pace| Some((y(speed_of_pace(pace, units)?), clock(pace))))
        .filter(|(at, _)| heights.contains(at))
        .collect()
}

/// A linear axis for plotters with marks where we say, however many.
pub(super) struct Marked {
    range: Range<f64>,
    marks: Vec<f64>,
}

impl Marked {
    pub(super) fn new(range: Range<f64>, labels: &[(f64, String)]) -> Self {
        Self { range, marks: labels.iter().map(|(at, _)| *at).collect() }
    }
}

impl Ranged for Marked {
    type FormatOption = DefaultFormatting;
    type ValueType = f64;

    #[expect(
        clippy::cast_possible_truncation,
        reason = "drawings are some thousands of px wide at most, and the cast saturates"
    )]
    fn map(&self, value: &f64, (from, to): (i32, i32)) -> i32 {
        let share = (value - self.range.start) / (self.range.end - self.range.start);
        from + (share * f64::from(to - from)).round() as i32
    }

    fn key_points<Hint: KeyPointHint>(&self, hint: Hint) -> Vec<f64> {
        if hint.weight().allow_light_points() { Vec::new() } else { self.marks.clone() }
    }

    fn range(&self) -> Range<f64> {
        self.range.clone()
    }
}
