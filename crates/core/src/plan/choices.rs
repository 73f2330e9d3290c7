//! What each athlete could do: every set of dates the rules leave them, with its best tests.

use chrono::NaiveDate;

use super::rules::{Stands, may_stand, may_stand_alone};
use super::{Candidate, FIRST_ZONES, Meeting, NoPlan, Question, Wanted, weight};
use crate::retest::State;
use crate::test::TestKind;

/// One thing an athlete could do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Choice {
    /// The sum of weights.
    pub(super) weight: u32,
    /// The sum of days from the first meeting.
    pub(super) days: u32,
    /// Which test on which date, by its place.
    pub(super) tests: Vec<(TestKind, usize)>,
}

impl Choice {
    /// Doing nothing.
    fn nothing() -> Self {
        Self { weight: 0, days: 0, tests: Vec::new() }
    }

    /// Whether it gives first zones: all else together weighs less.
    pub(super) fn has_first(&self) -> bool {
        self.weight >= FIRST_ZONES
    }

    /// The dates it takes, in order.
    fn dates(&self) -> Vec<usize> {
        let mut dates: Vec<usize> = self.tests.iter().map(|(_, date)| *date).collect();
        dates.sort_unstable();
        dates
    }
}

/// The choices of each candidate; doing nothing is always the first.
///
/// # Errors
/// It was stopped.
pub(super) fn choices(
    question: &Question<'_>,
    goes_on: &mut dyn FnMut(f32) -> bool,
) -> Result<Vec<Vec<Choice>>, NoPlan> {
    let mut all = Vec::with_capacity(question.candidates.len());
    for candidate in &question.candidates {
        if !goes_on(0.0) {
            return Err(NoPlan::Stopped);
        }
        all.push(of_candidate(candidate, question));
    }
    Ok(all)
}

fn of_candidate(candidate: &Candidate<'_>, question: &Question<'_>) -> Vec<Choice> {
    let mut all = Vec::new();
    let options: Vec<(&Wanted, Vec<usize>)> = candidate
        .wanted
        .iter()
        .filter(|wanted| weight(candidate, wanted) > 0)
        .map(|wanted| (wanted, open_dates(candidate, wanted, question)))
        .collect();
    extend(candidate, question, &options, &mut Vec::new(), &mut all);
    best_of_each_set(all)
}

/// The dates on which a test could stand if nothing else were planned.
fn open_dates(candidate: &Candidate<'_>, wanted: &Wanted, question: &Question<'_>) -> Vec<usize> {
    let open = |meeting: &Meeting| {
        is_open(wanted, meeting.on)
            && may_stand_alone(&candidate.person, stands(wanted.kind, meeting), question.today)
                .is_ok()
    };
    let places = question.meetings.iter().enumerate();
    places.filter(|(_, meeting)| open(meeting)).map(|(place, _)| place).collect()
}

/// A fresh test is worth repeating from the day its window opens.
pub(super) fn is_open(wanted: &Wanted, on: NaiveDate) -> bool {
    wanted.freshness.state != State::Fresh
        || wanted.freshness.opens_on.is_none_or(|opens| opens <= on)
}

pub(super) fn stands(kind: TestKind, meeting: &Meeting) -> Stands {
    Stands { kind, on: meeting.on, at: meeting.at }
}

/// Goes through the tests one by one: left out, or on each date that is open for it.
fn extend(
    candidate: &Candidate<'_>,
    question: &Question<'_>,
    rest: &[(&Wanted, Vec<usize>)],
    so_far: &mut Vec<(TestKind, usize)>,
    all: &mut Vec<Choice>,
) {
    let Some(((wanted, dates), rest)) = rest.split_first() else {
        if stands_whole(candidate, question, so_far) {
            all.push(choice(candidate, question, so_far));
        }
        return;
    };
    extend(candidate, question, rest, so_far, all);
    for date in dates {
        so_far.push((wanted.kind, *date));
        extend(candidate, question, rest, so_far, all);
        let _taken_back = so_far.pop();
    }
}

/// Whether tests keep the rules together, with what is planned already; what is planned must not lose
/// by them either.
fn stands_whole(
    candidate: &Candidate<'_>,
    question: &Question<'_>,
    tests: &[(TestKind, usize)],
) -> bool {
    let new = tests.iter().filter_map(|(kind, date)| {
        question.meetings.get(*date).map(|meeting| stands(*kind, meeting))
    });
    let new: Vec<Stands> = new.collect();
    new.iter().enumerate().all(|(index, test)| {
        let beside = new.iter().enumerate().filter(|(other, _)| *other != index);
        let others: Vec<Stands> =
            beside.map(|(_, other)| *other).chain(candidate.fixed.iter().copied()).collect();
        may_stand(&candidate.person, *test, &others, question.today).is_ok()
    })
}

fn choice(
    candidate: &Candidate<'_>,
    question: &Question<'_>,
    tests: &[(TestKind, usize)],
) -> Choice {
    let mut choice = Choice { tests: tests.to_vec(), ..Choice::nothing() };
    let first = question.meetings.first().map(|meeting| meeting.on);
    for (kind, date) in tests {
        let wanted = candidate.wanted.iter().find(|wanted| wanted.kind == *kind);
        choice.weight += wanted.map_or(0, |wanted| weight(candidate, wanted));
        let on = question.meetings.get(*date).map(|meeting| meeting.on);
        let days = on.zip(first).map_or(0, |(on, first)| (on - first).num_days());
        choice.days += u32::try_from(days).unwrap_or(0);
    }
    choice
}

/// Of all choices that take the same dates only the weightiest matters; the first of equals.
fn best_of_each_set(mut all: Vec<Choice>) -> Vec<Choice> {
    // a stable sort: of equals the first stays first
    all.sort_by(|a, b| a.dates().cmp(&b.dates()).then(b.weight.cmp(&a.weight)));
    all.dedup_by(|later, first| later.dates() == first.dates());
    all
}
