//! The search for the best plan: every plan where they are few enough to be told apart by how full the
//! dates are, else a start at the prices that chains of exchanges improve.

mod chains;
mod every;
mod firsts;

use super::choices::Choice;
use super::prices::{Prices, prices};
use super::{FIRST_ZONES, Meeting, NoPlan};
use crate::test::TestKind;

/// Up to so many steps every plan is looked at: about half a second's work.
const EVERY: f64 = 9e6;
/// How far it is once the dates are priced ...
const PRICED: f32 = 0.2;
/// ... and once the plan is improved: the rest proves it.
const IMPROVED: f32 = 0.7;
/// What a first test counts in the proof, and again for each that can have a place: more than all that
/// an athlete can have beside it (judgement).
const FIRST_IN_PROOF: u32 = 33;
/// A lost unit of weight is never worth an earlier date: dropping a test saves its own days and shifts
/// at most a chain of others across the span, for each of the few dates an athlete takes.
const SPANS_A_WEIGHT: u32 = 16;

/// The best plan found.
#[derive(Debug, Clone)]
pub(super) struct Found {
    /// What each athlete does.
    pub(super) chosen: Vec<Vec<(TestKind, usize)>>,
    /// The sum of weights.
    pub(super) weight: u32,
    /// No plan has more than this above it.
    pub(super) may_miss: u32,
    /// Whether it is proven best in all three aims.
    pub(super) exact: bool,
}

/// How good a plan is: more weight, fewer days, less uneven.
type Rank = (u32, std::cmp::Reverse<u32>, std::cmp::Reverse<i64>);

/// The best plan for the choices, with `room` left on each date.
///
/// # Errors
/// It was stopped.
pub(super) fn search(
    choices: &[Vec<Choice>],
    room: &[u32],
    meetings: &[Meeting],
    goes_on: &mut dyn FnMut(f32) -> bool,
) -> Result<Found, NoPlan> {
    let room: Vec<u32> = room.iter().map(|room| (*room).min(count(choices.len()))).collect();
    let task = Task::new(choices, &room, meetings);
    let states: f64 = room.iter().map(|room| f64::from(*room) + 1.0).product();
    let all: usize = choices.iter().map(Vec::len).sum();
    if states * all as f64 <= EVERY {
        let picks = every::every(&task, goes_on)?;
        return Ok(task.found(&picks, 0, true));
    }
    let unit = |choice: &Choice| task.unit.of(choice);
    let begin = (vec![0.0; room.len()], None);
    let mut told = |share: f32| goes_on(PRICED * share);
    let by_unit = prices(choices, &room, &unit, begin, &mut told)?;
    let mut told = |share: f32| goes_on(PRICED + (IMPROVED - PRICED) * share);
    let picks = chains::improved(&task, task.start(&by_unit), &mut told)?;
    let weight = task.rank(&picks).0;
    let begin = by_unit.of_date.iter().map(|price| price / f64::from(task.unit.0)).collect();
    let mut told = |share: f32| goes_on(IMPROVED + (1.0 - IMPROVED) * share);
    let may_miss = may_miss(&task, begin, weight, &mut told)?;
    Ok(task.found(&picks, may_miss, false))
}

/// How much more than a plan's weight there can be at most.
///
/// No plan has more first tests than a matching of them alone. So a first test need not count in full:
/// what it counts less is added again once for each of the matching. Weights that are near each other
/// find their prices soon.
///
/// # Errors
/// It was stopped.
fn may_miss(
    task: &Task<'_>,
    begin: Vec<f64>,
    weight: u32,
    goes_on: &mut dyn FnMut(f32) -> bool,
) -> Result<u32, NoPlan> {
    let less = f64::from(FIRST_ZONES - FIRST_IN_PROOF);
    let again = less * f64::from(firsts::most(task.choices, task.room));
    let worth =
        |choice: &Choice| f64::from(choice.weight) - if choice.has_first() { less } else { 0.0 };
    let begin = begin.into_iter().map(|price: f64| price.min(f64::from(FIRST_IN_PROOF))).collect();
    let reached = Some(f64::from(weight) - again);
    let found = prices(task.choices, task.room, &worth, (begin, reached), goes_on)?;
    let bound = (found.bound + again + 1e-6).floor().max(0.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a sum of weights")]
    Ok((bound as u32).saturating_sub(weight))
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// What a unit of weight is worth in days.
#[derive(Debug, Clone, Copy)]
struct Unit(u32);

impl Unit {
    fn of(self, choice: &Choice) -> f64 {
        f64::from(choice.weight) * f64::from(self.0) - f64::from(choice.days)
    }
}

struct Task<'a> {
    choices: &'a [Vec<Choice>],
    room: &'a [u32],
    /// How many stand on each date already.
    taken: Vec<u32>,
    unit: Unit,
}

impl<'a> Task<'a> {
    fn new(choices: &'a [Vec<Choice>], room: &'a [u32], meetings: &[Meeting]) -> Self {
        let days = meetings.first().zip(meetings.last());
        let span = days.map_or(0, |(first, last)| (last.on - first.on).num_days());
        let unit = Unit(SPANS_A_WEIGHT * (u32::try_from(span).unwrap_or(0) + 1));
        let taken = meetings.iter().zip(room).map(|(m, room)| m.capacity.saturating_sub(*room));
        Self { choices, room, taken: taken.collect(), unit }
    }

    fn of_athlete(&self, athlete: usize) -> &'a [Choice] {
        self.choices.get(athlete).map(Vec::as_slice).unwrap_or_default()
    }

    /// Each athlete in turn takes what is worth most at the prices and still fits.
    fn start(&self, at: &Prices) -> Vec<usize> {
        let mut load = vec![0; self.room.len()];
        let mut picks = Vec::with_capacity(self.choices.len());
        for of_one in self.choices {
            let fitting = of_one.iter().enumerate().filter(|(_, choice)| self.fits(&load, choice));
            let nets = fitting.map(|(pick, choice)| (pick, at.net(choice, self.unit.of(choice))));
            let best = nets.max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
            let pick = best.map_or(0, |(pick, _)| pick);
            if let Some(choice) = of_one.get(pick) {
                add(&mut load, choice, 1);
            }
            picks.push(pick);
        }
        picks
    }

    fn fits(&self, load: &[i64], choice: &Choice) -> bool {
        let free = |date: &usize| match (load.get(*date), self.room.get(*date)) {
            (Some(load), Some(room)) => *load < i64::from(*room),
            _ => false,
        };
        choice.tests.iter().all(|(_, date)| free(date))
    }

    fn picked<'p>(&'p self, picks: &'p [usize]) -> impl Iterator<Item = &'p Choice> {
        self.choices.iter().zip(picks).filter_map(|(of_one, pick)| of_one.get(*pick))
    }

    fn load(&self, picks: &[usize]) -> Vec<i64> {
        let mut load = vec![0; self.room.len()];
        self.picked(picks).for_each(|choice| add(&mut load, choice, 1));
        load
    }

    fn rank(&self, picks: &[usize]) -> Rank {
        let weight = self.picked(picks).map(|choice| choice.weight).sum();
        let days = self.picked(picks).map(|choice| choice.days).sum();
        self.rank_of(weight, days, &self.load(picks))
    }

    fn rank_of(&self, weight: u32, days: u32, load: &[i64]) -> Rank {
        (weight, std::cmp::Reverse(days), std::cmp::Reverse(self.squares(load)))
    }

    fn squares(&self, load: &[i64]) -> i64 {
        let all = |(taken, new): (&u32, &i64)| i64::from(*taken) + new;
        self.taken.iter().zip(load).map(all).map(|all| all * all).sum()
    }

    fn found(&self, picks: &[usize], may_miss: u32, exact: bool) -> Found {
        let chosen = self.picked(picks).map(|choice| choice.tests.clone()).collect();
        Found { chosen, weight: self.rank(picks).0, may_miss, exact }
    }
}

/// Counts a choice in or out of a load.
fn add(load: &mut [i64], choice: &Choice, by: i64) {
    for (_, date) in &choice.tests {
        if let Some(count) = load.get_mut(*date) {
            *count += by;
        }
    }
}
