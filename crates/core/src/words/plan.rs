//! The sentences of planning: why a test is due, why it may not stand on a day, why it has no date.

use chrono::NaiveDate;

use super::{away, capital, hold, number, state, test};
use crate::calibration::Basis;
use crate::format::{day, day_short, weekday};
use crate::plan::{Broken, NoPlan, WhyNot};
use crate::retest::{Hold, State};
use crate::review::DueTest;
use crate::schedule::AwayKind;
use crate::screening::NotCleared;

/// Why a test is due, or not, in one sentence; a race that stands in for it is said to.
pub fn why_due(due: &DueTest, race: Option<&Basis>) -> String {
    let DueTest { kind, freshness, holds, not_before, early, .. } = due;
    let state = match (freshness.state, freshness.last_on, freshness.closes_on) {
        (State::Overdue, Some(last), Some(closed)) => {
            format!("Last run on {}; its window closed on {}", day_short(last), day_short(closed))
        }
        (State::Due, Some(last), Some(closes)) => {
            format!("Last run on {}; its window closes on {}", day_short(last), day_short(closes))
        }
        (_, Some(last), _) if *early => format!(
            "Last run on {}, but the zones it gives have grown too uncertain",
            day_short(last)
        ),
        (_, Some(last), _) => match freshness.opens_on {
            Some(opens) => {
                format!("Run on {}; its window opens on {}", day_short(last), day_short(opens))
            }
            None => format!("Run on {}", day_short(last)),
        },
        (_, None, _) => format!("No {} yet", test(*kind)),
    };
    let raced = race.map_or_else(String::new, |race| format!(" ({})", counted_from(race)));
    // a booking says less than what keeps it from being run
    let weighs = holds.iter().find(|hold| **hold != Hold::Booked).or(holds.first());
    match weighs {
        None => format!("{state}{raced}."),
        Some(hold) => {
            let from = not_before.filter(|_| matches!(hold, Hold::Away | Hold::Returning));
            let from = from.map_or_else(String::new, |from| format!(": {}", no_sooner(from)));
            format!("{state}{raced}; {}{from}.", held(*hold))
        }
    }
}

/// When to repeat a test, and what holds it: "due by 18 December; held: returning, not before 3
/// December". A day on which somebody away or back too soon could not run it is none to give.
pub fn next_test(due: &DueTest) -> String {
    let when = match (due.freshness.state, due.window(), due.not_before) {
        (State::Fresh, Some((opens, closes)), _) => {
            format!("retest between {} and {}", day_short(opens), day_short(closes))
        }
        (State::Due, Some((_, closes)), _) => format!("due by {}", day_short(closes)),
        (State::Overdue, Some((_, closes)), _) => format!("overdue since {}", day(closes)),
        (State::Fresh | State::Due, None, Some(_)) => "due as soon as it may be run".to_owned(),
        _ => state(State::NeverTested).to_owned(),
    };
    let booked = if due.holds.contains(&Hold::Booked) { ", booked" } else { "" };
    let others = due.holds.iter().filter(|held| **held != Hold::Booked);
    let mut held: Vec<String> = others.map(|held| hold(*held).to_owned()).collect();
    held.extend(due.not_before.map(no_sooner));
    let held = if held.is_empty() { String::new() } else { format!("; held: {}", held.join(", ")) };
    format!("{when}{booked}{held}")
}

fn no_sooner(from: NaiveDate) -> String {
    format!("not before {}", day_short(from))
}

/// From when a race or another test leaves room for one: "not before 29 November: a race or a test
/// stands too near".
pub fn room_from(on: NaiveDate) -> String {
    format!("{}: a race or a test stands too near", no_sooner(on))
}

/// That a test of the kind was run and not yet decided on: "the one of 21 November waits to be confirmed".
pub fn waits(on: NaiveDate) -> String {
    format!("the one of {} waits to be confirmed", day_short(on))
}

/// What a 40-minute test that may be run is held at: "hold 159 bpm". Without a target its pace need not be
/// LT1 pace, so the test that gives one comes first; on medication that lowers the heart rate none does.
pub fn held_at(target_bpm: Option<u16>, medicated: bool) -> String {
    match (target_bpm, medicated) {
        (Some(beats), _) => format!("hold {beats} bpm"),
        (None, true) => "at a pace for easy talk".to_owned(),
        (None, false) => {
            "once a 20-minute test with a heart rate to trust gave its target".to_owned()
        }
    }
}

/// What a test's window counts from where that is a race: "counted from the 5 km race of 3 May".
pub fn counted_from(race: &Basis) -> String {
    format!("counted from the {} of {}", super::what_stands(race), day_short(race.on))
}

fn held(hold: Hold) -> &'static str {
    match hold {
        Hold::Booked => "a date is booked",
        Hold::Away => "away now",
        Hold::NotCleared => "not cleared for an all-out test",
        Hold::Returning => "back too short a time after injury or illness",
    }
}

/// What stands too near to run a test beside it, in a few words; `None` for any other rule.
pub fn too_near(broken: &Broken) -> Option<String> {
    Some(match broken {
        Broken::RaceDay => "a race that day".to_owned(),
        Broken::AfterRace { race, from } => {
            format!("raced on {}: not before {}", day_short(*race), day_short(*from))
        }
        Broken::BeforeRace { race, .. } => format!("races on {}", day_short(*race)),
        Broken::SameDay { other } => format!("{} that day", test(*other)),
        Broken::TooClose { other, on, hours } => {
            format!("{} on {}: {hours} hours between", test(*other), day_short(*on))
        }
        _ => return None,
    })
}

/// Why a test may not stand on a day, in one sentence with what would change it. Nothing private.
pub fn broken(broken: &Broken) -> String {
    match broken {
        Broken::Past => "That day is over: choose one from today on.".to_owned(),
        Broken::NotCleared(why) => ask(*why).to_owned(),
        Broken::Away { kind, until: Some(until) } => {
            format!("Away until {} ({}): choose a later day.", day_short(*until), away(*kind))
        }
        Broken::Away { kind, until: None } => {
            format!("Away ({}) with no end in sight: end the span first.", away(*kind))
        }
        Broken::Returning { kind, from } => returning(*kind, *from),
        Broken::RaceDay => "A race stands on that day: choose another.".to_owned(),
        Broken::AfterRace { race, from } => format!(
            "Too soon after the race on {}: not before {}.",
            day_short(*race),
            day_short(*from)
        ),
        Broken::BeforeRace { race, goal: true } => format!(
            "Too close before the goal race on {}: nothing all-out in the 7 days before.",
            day_short(*race)
        ),
        Broken::BeforeRace { race, goal: false } => {
            format!("Too close before the race on {}: choose an earlier day.", day_short(*race))
        }
        Broken::SameDay { other } => {
            format!("The {} stands on that day: one test a day.", test(*other))
        }
        Broken::TooClose { other, on, hours } => format!(
            "Too close to the {} on {}: leave {hours} hours between.",
            test(*other),
            day_short(*on)
        ),
        Broken::NoTarget { by_talk: false } => {
            "The 20-minute test gives its target heart rate: that comes first, on an earlier day."
                .to_owned()
        }
        Broken::NoTarget { by_talk: true } => {
            "The 20-minute test gives a pace to set out at: that comes first, on an earlier day."
                .to_owned()
        }
    }
}

fn ask(why: NotCleared) -> &'static str {
    match why {
        NotCleared::Hold => "On hold: no test until the hold has ended.",
        NotCleared::NotAsked => "Not asked about health yet: ask first.",
        NotCleared::Lapsed => {
            "The health questions will be over a year old by then: ask again first."
        }
        NotCleared::NoConsent => "No guardian's consent yet: get it first.",
        NotCleared::AskAboutMedication => {
            "Ask what the medication is for, and for clearance, first."
        }
    }
}

fn returning(kind: AwayKind, from: Option<NaiveDate>) -> String {
    match from {
        Some(from) => {
            format!("Too soon after {}: not before {}.", away(kind), day_short(from))
        }
        None => format!(
            "Back from {}: note the day of running without pain or symptoms first.",
            away(kind)
        ),
    }
}

/// Why a test has no date in a plan, and what would free one.
pub fn why_not(why: &WhyNot) -> String {
    match why {
        WhyNot::Rule(rule) => broken(rule),
        WhyNot::NotOpen { opens } => {
            format!("Its window opens on {}: add a date from then on.", day_short(*opens))
        }
        WhyNot::OwnTests { broken: rule } => {
            format!("{} Add another date.", broken(rule))
        }
        WhyNot::Full { first } => {
            format!(
                "Every date open to them is full: make room on {}, or add a date.",
                weekday(*first)
            )
        }
    }
}

/// Why a test is not planned that was run already and waits for a decision.
pub fn run_and_undecided(on: NaiveDate) -> String {
    format!(
        "The one of {} waits for your decision: decide it first, then plan anew.",
        day_short(on)
    )
}

/// What is ahead of a squad: tests in the next 7 days, and windows that close before its next date.
pub fn ahead(booked: usize, closing: usize, next: Option<NaiveDate>) -> String {
    let tests = match booked {
        0 => "No test is booked in the next 7 days".to_owned(),
        1 => "One test is booked in the next 7 days".to_owned(),
        some => format!("{} tests are booked in the next 7 days", number(some)),
    };
    let Some(next) = next else { return format!("{tests}; no later date is known.") };
    let windows = match closing {
        0 => "no window closes".to_owned(),
        1 => "one window closes without a booking".to_owned(),
        some => format!("{} windows close without a booking", number(some).to_lowercase()),
    };
    format!("{tests}; {windows} before the squad's next date, {}.", weekday(next))
}

/// Why there is no plan at all.
pub fn no_plan(why: &NoPlan) -> String {
    format!("{}.", capital(&why.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::retest::{RetestWindow, freshness};
    use crate::test::TestKind;

    /// A test of 1 January, whose window is 29 January to 26 February (four and eight weeks).
    fn due(today: NaiveDate, not_before: Option<NaiveDate>) -> DueTest {
        let kind = TestKind::TwentyMinutes;
        let freshness = freshness(Some(on(1, 1)), RetestWindow::default(), today);
        let holds = not_before.map(|_| Hold::Returning).into_iter().collect();
        DueTest { kind, freshness, holds, not_before, early: false, in_season: true }
    }

    fn on(month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, month, day).unwrap()
    }

    #[test]
    fn no_day_is_given_on_which_somebody_back_too_soon_could_not_run() {
        // judgement: the later of the two days is the one that can be kept
        let said = |today, from| next_test(&due(today, from));
        assert_eq!(said(on(1, 20), None), "retest between 29 January and 26 February");
        let held = "; held: returning, not before 5 February";
        let fresh = said(on(1, 20), Some(on(2, 5)));
        assert_eq!(fresh, format!("retest between 5 February and 26 February{held}"));
        let open = said(on(2, 1), Some(on(2, 5)));
        assert_eq!(open, format!("due by 26 February{held}"));
        let beyond = said(on(2, 1), Some(on(3, 3)));
        let from = "due as soon as it may be run; held: returning, not before 3 March";
        assert_eq!(beyond, from);
        let late = said(on(3, 1), Some(on(3, 3)));
        assert_eq!(late, "overdue since 26 February 2026; held: returning, not before 3 March");
        assert_eq!(due(on(2, 1), Some(on(3, 3))).window(), None);
        let why = why_due(&due(on(2, 1), Some(on(3, 3))), None);
        assert!(
            why.ends_with("back too short a time after injury or illness: not before 3 March.")
        );
    }
}
