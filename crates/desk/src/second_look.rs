//! What speaks against a test beside its own recording: that it should not have been run, that it
//! contradicts the others, that so much was lost. What to do with a test first, which is the same for
//! the window and the command line, is decided here too.

use pacewright_core::calibration::Proposal;
use pacewright_core::change::{Change, Verdict};
use pacewright_core::format::{day_short, signed_percent};
use pacewright_core::markers::{MarkerName, Markers};
use pacewright_core::remark::{Finding, Remark, Severity};
use pacewright_core::test::{Test, TestKind};
use pacewright_core::trend::TrendChange;
use pacewright_core::units::{HeartRate, Origin, UnitSystem};
use pacewright_core::words;

use crate::book::Page;
use crate::decide::Choice;
use crate::typed::foresee::{change, held_against, is_after_practice, is_outdated};

/// That a test should not have been run, in one sentence.
pub fn should_not_have_run(page: &Page, test: &Test) -> Option<String> {
    let why = page.uncleared(test)?;
    let ran = words::capital(&words::ran_uncleared(why, test.kind.all_out()));
    Some(format!("{ran}: speak with them before it counts."))
}

/// That a test contradicts another of the set that zones would stand on, in one sentence.
pub(crate) fn contradiction(test: &Test, proposal: &Proposal, units: UnitSystem) -> Option<String> {
    let is_in_the_set = proposal.basis.iter().any(|basis| basis.test() == Some(test.id));
    let said = proposal.derived.remarks.iter().find(|remark| contradicts(remark, test.kind));
    said.filter(|_| is_in_the_set).map(|remark| words::remark(remark, units))
}

/// Whether a remark says that a test of a kind and another cannot both be right.
fn contradicts(remark: &Remark, kind: TestKind) -> bool {
    remark.severity > Severity::Note
        && match &remark.finding {
            Finding::TestsContradict { .. } | Finding::CriticalSpeedApart { .. } => kind.all_out(),
            Finding::MarkersOutOfOrder { lower, upper }
            | Finding::UnusualSpacing { lower, upper, .. } => {
                [lower, upper].into_iter().any(|marker| marker.renewed_by() == kind)
            }
            _ => false,
        }
}

/// That a test shows a clear loss, on its own or with all others, in one sentence: whoever counts it
/// without a look trains somebody slower who may only have had a bad day.
pub(crate) fn clear_loss(test: &Test, page: &Page, trend: Option<&TrendChange>) -> Option<String> {
    let change = change(test, page)?;
    let by_all = trend.is_some_and(|all| all.verdict == Verdict::ClearLoss);
    let since = held_against(test, page)?.on;
    (by_all || change.verdict == Verdict::ClearLoss).then(|| {
        format!(
            "{} since {}, a clear loss: look at it, and confirm it in the window if it was a fair test.",
            signed_percent(change.change_percent),
            day_short(since)
        )
    })
}

/// That the tests before it do not explain a test, in one sentence.
pub(crate) fn off_its_trend(trend: Option<&TrendChange>) -> Option<String> {
    let off = trend?.off_percent?;
    Some(format!("{}.", words::capital(&words::off_its_trend(off))))
}

/// Heart rates at LT2 further apart than this many standard errors of their difference are another
/// target, whatever was run (judgement: one in twenty differ so by chance).
const ANOTHER_RATE_ERRORS: f64 = 2.0;

/// LT2 heart rate before and after, where it moved by more than its errors explain: the target of the
/// 40-minute test moves with it.
pub(crate) fn moved_rate(
    before: Option<&Markers>,
    after: Option<&Markers>,
) -> Option<(HeartRate, HeartRate)> {
    let rate = |markers: &Markers| markers.lt2.heart_rate;
    let (old, new) = before.and_then(rate).zip(after.and_then(rate))?;
    let error = old.repeatability.bpm().hypot(new.repeatability.bpm());
    let apart = (new.value.bpm() - old.value.bpm()).abs() > ANOTHER_RATE_ERRORS * error;
    apart.then_some((old.value, new.value))
}

/// The first choice: inside the error the zones stay, so that cards don't jitter; else new zones.
/// Zones also follow where there are none, where only the new ones have heart rates or have them
/// elsewhere, where the pace was only estimated before, and after a first 5-minute test, which is
/// practice.
pub(crate) fn first_choice(
    test: &Test,
    page: &Page,
    before: Option<&Markers>,
    after: Option<&Markers>,
) -> Choice {
    let has_rate = |markers: &Markers| markers.lt2.heart_rate.is_some();
    let inside = change(test, page).as_ref().is_some_and(Change::is_inside_error);
    let brings_rate = after.is_some_and(has_rate) && before.is_some_and(|b| !has_rate(b));
    let origin = |markers: &Markers| {
        markers.get(MarkerName::of(test.kind)).speed.map(|estimate| estimate.origin)
    };
    let brings_pace = after.and_then(origin) == Some(Origin::Measured)
        && before.and_then(origin) == Some(Origin::Estimated);
    let moves_rate = moved_rate(before, after).is_some();
    let news = brings_rate || brings_pace || moves_rate || is_after_practice(test, page);
    let keep = is_outdated(test, page) || (inside && !news);
    if before.is_some() && keep { Choice::KeepZones } else { Choice::NewZones }
}
