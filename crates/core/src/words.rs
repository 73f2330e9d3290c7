//! The sentences: value and unit system in, sentence out. A screen's own labels stand with it.

mod judgement;
mod measured;
mod plan;
mod remarks;
mod review;
mod session;
mod sources;

use chrono::NaiveDate;

use crate::calibration::{Basis, StandsOn};
use crate::change::Verdict;
use crate::format::{pace, pace_error, pace_unit, percent, race_distance};
use crate::markers::{MarkerName, Markers};
use crate::quality::{LeftOut, Reading};
use crate::remark::{Severity, Use};
use crate::retest::{Hold, State};
use crate::schedule::AwayKind;
use crate::screening::NotCleared;
use crate::test::TestKind;
use crate::trend::TrendChange;
use crate::units::{Origin, UnitSystem};

pub use judgement::{
    balance, conditions, found_by, off_its_trend, race_time, run_since, trend_in_short,
    trend_since, worth,
};
pub use measured::{course, measured, surface};
pub use plan::{
    ahead, broken, counted_from, held_at, next_test, no_plan, room_from, run_and_undecided,
    too_near, waits, why_due, why_not,
};
pub use remarks::{remark, remark_of};
pub use review::{act, because, concern, concerns, headline};
pub use session::{
    apart, apart_in_a_word, apart_in_short, beside, ceiling, group, group_time, own_head, own_time,
    passing, section, session, steer,
};
pub use sources::{beats_range, of_test, speed_range, standing, where_from};

/// "20-minute test".
pub fn test(kind: TestKind) -> &'static str {
    match kind {
        TestKind::FiveMinutes => "5-minute test",
        TestKind::TwentyMinutes => "20-minute test",
        TestKind::FortyMinutes => "40-minute test",
    }
}

/// Several tests in one: "5-minute test", "5-, 20- and 40-minute tests"; `None` of none.
pub fn tests(kinds: &[TestKind]) -> Option<String> {
    let (last, before) = kinds.split_last()?;
    if before.is_empty() {
        return Some(test(*last).to_owned());
    }
    let before: Vec<String> = before.iter().map(|kind| format!("{}-", kind.minutes())).collect();
    Some(format!("{} and {}s", before.join(", "), test(*last)))
}

/// What a number was read from: "20-minute test", "5 km race", "LT2 in the laboratory"; with LT2's
/// share of it where that is not the usual one: "20-minute test (LT2 at 93 %)".
pub fn stands_on(basis: &Basis) -> String {
    let share = if basis.share.is_usual() {
        String::new()
    } else {
        format!(" (LT2 at {})", percent(basis.share.ratio()))
    };
    what_stands(basis) + &share
}

/// The same with its day, as `written`: "20-minute test of 3 May (LT2 at 93 %)".
pub fn stands_on_of(basis: &Basis, written: fn(NaiveDate) -> String) -> String {
    let what = what_stands(basis);
    let share = stands_on(basis).split_off(what.len());
    format!("{what} of {}{share}", written(basis.on))
}

fn what_stands(basis: &Basis) -> String {
    match basis.stands_on {
        StandsOn::Test(_) => test(basis.kind).to_owned(),
        StandsOn::Race { distance, .. } => format!("{} race", race_distance(distance)),
        StandsOn::Laboratory { marker: name, .. } => format!("{} in the laboratory", marker(name)),
    }
}

/// The quality a test tracks, as it is named: "Threshold".
pub fn quality(kind: TestKind) -> &'static str {
    match kind {
        TestKind::FortyMinutes => "Aerobic base",
        TestKind::TwentyMinutes => "Threshold",
        TestKind::FiveMinutes => "Top end",
    }
}

/// The pace a quality is read by: "LT2 pace".
pub fn quality_pace(kind: TestKind) -> &'static str {
    marker_pace(MarkerName::of(kind))
}

/// What one test says of its quality: "LT2 pace 4:04 ± 0:05 per km"; or why the trend leaves it out.
pub fn mark(kind: TestKind, reading: &Reading, units: UnitSystem) -> String {
    if let Some(why) = reading.left_out {
        let (ran, per) = (pace(reading.speed, units), pace_unit(units));
        return format!("{ran} per {per}, {}", left_out(why));
    }
    format!(
        "{} {} \u{b1} {} per {}",
        quality_pace(kind),
        pace(reading.speed, units),
        pace_error(reading.speed, reading.error, units),
        pace_unit(units)
    )
}

/// Why the trend leaves a test out: "not in the trend: held too far ...".
pub fn left_out(why: LeftOut) -> &'static str {
    match why {
        LeftOut::HeldElsewhere => {
            "not in the trend: held too far from LT1 heart rate to give LT1 pace"
        }
        LeftOut::NoTarget => "not in the trend: no LT1 heart rate was known to hold it at",
    }
}

/// A marker as a coach says it.
pub fn marker(name: MarkerName) -> &'static str {
    match name {
        MarkerName::AerobicFloor => "the aerobic floor",
        MarkerName::Lt1 => "LT1",
        MarkerName::Lt2 => "LT2",
        MarkerName::Vo2max => "VO2max pace",
    }
}

/// A marker's pace.
pub fn marker_pace(name: MarkerName) -> &'static str {
    match name {
        MarkerName::AerobicFloor => "aerobic floor pace",
        MarkerName::Lt1 => "LT1 pace",
        MarkerName::Lt2 => "LT2 pace",
        MarkerName::Vo2max => marker(MarkerName::Vo2max),
    }
}

/// A marker's heart rate.
pub fn marker_heart_rate(name: MarkerName) -> String {
    format!("{} heart rate", marker(name).trim_start_matches("the "))
}

/// A marker at the start of a sentence.
pub fn marker_heading(name: MarkerName) -> String {
    capital(marker(name))
}

/// What to ask before an all-out test, after the pre-participation logic of [`crate::screening`].
pub fn health_questions() -> &'static str {
    "Ask: known heart, kidney or metabolic disease? Chest pain, breathlessness at rest, fainting, palpitations, \
     swollen ankles? New medication, fever, pregnancy? Any yes: hold, and to a clinician first. Not training \
     regularly yet: no all-out test until they do."
}

/// Why somebody is away.
pub fn away(kind: AwayKind) -> &'static str {
    match kind {
        AwayKind::Injury => "injury",
        AwayKind::Illness => "illness",
        AwayKind::Holiday => "holiday",
        AwayKind::Camp => "camp",
    }
}

/// How much a remark weighs, as screens and documents name it.
pub fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Note => "note",
        Severity::Check => "check",
        Severity::Spoils => "spoils",
    }
}

/// What an effort is good for.
pub fn good_for(good_for: Use) -> &'static str {
    match good_for {
        Use::Usable => "usable",
        Use::Doubtful => "doubtful",
        Use::Unusable => "unusable",
    }
}

/// How fresh a test is.
pub fn state(state: State) -> &'static str {
    match state {
        State::NeverTested => "never tested",
        State::Fresh => "fresh",
        State::Due => "due",
        State::Overdue => "overdue",
    }
}

/// What holds a test.
pub fn hold(hold: Hold) -> &'static str {
    match hold {
        Hold::Booked => "booked",
        Hold::Away => "away",
        Hold::NotCleared => "not cleared",
        Hold::Returning => "returning",
    }
}

/// A verdict.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::ClearGain => "clear gain",
        Verdict::LikelyGain => "likely gain",
        Verdict::NoClearChange => "no clear change",
        Verdict::LikelyLoss => "likely loss",
        Verdict::ClearLoss => "clear loss",
    }
}

/// A verdict of the trend with its probability: "likely gain (0.80)"; "off its trend" where the newest
/// test is not explained by those before it. The probability is cut, not
/// rounded, so that it never reads as the next verdict's.
pub fn trend_verdict(change: &TrendChange) -> String {
    if change.off_percent.is_some() {
        return "off its trend".to_owned();
    }
    let probability = match change.verdict {
        Verdict::ClearGain | Verdict::LikelyGain => change.chance_better,
        Verdict::ClearLoss | Verdict::LikelyLoss => change.chance_worse,
        Verdict::NoClearChange => return verdict(change.verdict).to_owned(),
    };
    format!("{} ({:.2})", verdict(change.verdict), (probability * 100.0).floor() / 100.0)
}

/// Why no all-out effort is proposed. Private, never printed.
pub fn not_cleared(why: NotCleared) -> &'static str {
    match why {
        NotCleared::NotAsked => "not asked about health yet",
        NotCleared::Hold => "on hold",
        NotCleared::Lapsed => "clearance lapsed",
        NotCleared::NoConsent => "no guardian's consent",
        NotCleared::AskAboutMedication => "medication: ask first",
    }
}

/// That a guardian's consent is missing for minors, by their names; `None` of nobody.
pub fn no_consent(names: &[String]) -> Option<String> {
    (!names.is_empty()).then(|| {
        format!(
            "Under 18, and no guardian's consent entered: {}. No all-out test until it is.",
            names.join(", ")
        )
    })
}

/// What to say of a test or race that should not have been run: "ran all-out while on hold". Private,
/// never printed.
pub fn ran_uncleared(why: NotCleared, all_out: bool) -> String {
    let ran = if all_out { "ran all-out" } else { "ran the test" };
    let when = match why {
        NotCleared::NotAsked => "before anybody asked about health",
        NotCleared::Hold => "while on hold",
        NotCleared::Lapsed => "after the clearance lapsed",
        NotCleared::NoConsent => "without a guardian's consent",
        NotCleared::AskAboutMedication => "on medication that nobody asked about",
    };
    format!("{ran} {when}")
}

/// Why some zones of a scheme have no heart rate for this athlete, and what to do.
pub fn edges_without_heart_rate() -> &'static str {
    "Two edges of this scheme fall on the same beat for this athlete, or cross: what lies between them stands without \
     a heart rate. Move an edge of the scheme by a few percent to have one."
}

/// Which markers were not tested, in one sentence for a card; `None` where all were.
pub fn estimated_markers(markers: &Markers) -> Option<String> {
    let names: Vec<&str> = [MarkerName::Lt1, MarkerName::Lt2, MarkerName::Vo2max]
        .into_iter()
        .filter(|&name| {
            markers.get(name).speed.is_some_and(|speed| speed.origin == Origin::Estimated)
        })
        .map(marker)
        .collect();
    Some(match names.as_slice() {
        [] => return None,
        [one] => format!("{one} is estimated, not tested."),
        [first, second] => format!("{first} and {second} are estimated, not tested."),
        _ => "Most of these markers are estimated, not tested.".to_owned(),
    })
}

/// A small number as a word, as headlines want it: "Seven", "21" beyond twenty.
pub fn number(count: usize) -> String {
    const WORDS: [&str; 21] = [
        "None",
        "One",
        "Two",
        "Three",
        "Four",
        "Five",
        "Six",
        "Seven",
        "Eight",
        "Nine",
        "Ten",
        "Eleven",
        "Twelve",
        "Thirteen",
        "Fourteen",
        "Fifteen",
        "Sixteen",
        "Seventeen",
        "Eighteen",
        "Nineteen",
        "Twenty",
    ];
    WORDS.get(count).map_or_else(|| count.to_string(), |word| (*word).to_owned())
}

/// The words with a capital first.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
