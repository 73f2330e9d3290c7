//! The search for the best plan: a dynamic programme over athletes whose state is how full each date
//! is, narrowed by the bound that prices prove.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

use super::choices::Choice;
use super::prices::{Prices, prices};
use super::{MOST_DATES, Meeting, NoPlan};
use crate::test::TestKind;

/// Steps of the dynamic programme one search may take: about a second's work.
const BUDGET: f64 = 9e6;
/// In the first, rough pass each athlete has so many choices at most.
const ROUGH_CHOICES: usize = 24;
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
type Rank = (u32, std::cmp::Reverse<u32>, std::cmp::Reverse<u64>);

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
    let most: Vec<u32> = room.iter().map(|room| (*room).min(count(choices.len()))).collect();
    let states: f64 = most.iter().map(|room| f64::from(*room) + 1.0).product();
    let all: usize = choices.iter().map(Vec::len).sum();
    let mut task = Task::new(choices, &most, meetings);
    if states * all as f64 <= BUDGET {
        let wide = task.run(Pass { width: usize::MAX, rough: false, to_beat: None }, goes_on)?;
        return Ok(task.found(&wide, 0, true));
    }
    let worth = task.unit;
    task.prices = prices(choices, &most, &|choice| worth.of(choice), vec![0.0; most.len()]);
    if !goes_on(0.05) {
        return Err(NoPlan::Stopped);
    }
    let begin = task.prices.of_date.iter().map(|price| price / f64::from(worth.0)).collect();
    let by_weight = prices(choices, &most, &|choice| f64::from(choice.weight), begin);
    if !goes_on(0.1) {
        return Err(NoPlan::Stopped);
    }
    let few: usize = choices.iter().map(|c| c.len().min(ROUGH_CHOICES)).sum();
    let width = within(0.3 * BUDGET / few.max(1) as f64);
    let mut best = task.run(Pass { width, rough: true, to_beat: None }, goes_on)?;
    task.settle(&mut best);
    let to_beat = Some(task.value(&best));
    let left = task.worth_trying(to_beat);
    let width = within(BUDGET / left.max(1) as f64);
    let narrow = task.run(Pass { width, rough: false, to_beat }, goes_on)?;
    let exact = !narrow.cut;
    if task.rank(&narrow) >= task.rank(&best) {
        best = narrow;
    }
    task.settle(&mut best);
    let reached = task.rank(&best).0;
    let bound = (by_weight.bound + 1e-6).floor().max(0.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a sum of weights")]
    let may_miss = (bound as u32).saturating_sub(reached);
    Ok(task.found(&best, may_miss, exact && may_miss == 0))
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// A width of the programme for a budget.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "kept between")]
fn within(width: f64) -> usize {
    width.clamp(60.0, 60_000.0) as usize
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
    prices: Prices,
}

/// One pass of the programme.
#[derive(Clone, Copy)]
struct Pass {
    /// The most states kept after each athlete.
    width: usize,
    /// Whether each athlete has only the choices that look best.
    rough: bool,
    /// What is known to be reached: nothing that cannot reach it is kept.
    to_beat: Option<f64>,
}

/// What a pass ends with: a choice for each athlete.
#[derive(Debug, Clone)]
struct Outcome {
    picks: Vec<usize>,
    /// Whether states were left out for want of room.
    cut: bool,
}

/// How full the dates are after some athletes.
#[derive(Debug, Clone, Copy)]
struct State {
    load: [u16; MOST_DATES],
    print: u64,
    weight: u32,
    days: u32,
    net: f64,
    /// The last step of the way here, in the trail.
    step: u32,
}

/// A step: the one before, and the choice taken.
type Step = (u32, u16);

/// Prints are well mixed already.
#[derive(Default)]
struct AsItIs(u64);

impl Hasher for AsItIs {
    fn finish(&self) -> u64 {
        self.0
    }
    fn write(&mut self, bytes: &[u8]) {
        self.0 = bytes.iter().fold(self.0, |hash, byte| (hash << 8) ^ u64::from(*byte));
    }
    fn write_u64(&mut self, print: u64) {
        self.0 = print;
    }
}

type ByPrint = HashMap<u64, usize, BuildHasherDefault<AsItIs>>;

impl<'a> Task<'a> {
    fn new(choices: &'a [Vec<Choice>], room: &'a [u32], meetings: &[Meeting]) -> Self {
        let days = meetings.first().zip(meetings.last());
        let span = days.map_or(0, |(first, last)| (last.on - first.on).num_days());
        let span = u32::try_from(span).unwrap_or(0);
        let unit = Unit(SPANS_A_WEIGHT * (span + 1));
        let taken = meetings.iter().zip(room).map(|(m, room)| m.capacity.saturating_sub(*room));
        let prices = Prices { of_date: vec![0.0; room.len()], bound: f64::INFINITY };
        Self { choices, room, taken: taken.collect(), unit, prices }
    }

    /// What an athlete's choices are worth after prices, and the best of them.
    fn nets(&self, athlete: usize) -> (Vec<f64>, f64) {
        let of_one = self.choices.get(athlete).map(Vec::as_slice).unwrap_or_default();
        let nets: Vec<f64> =
            of_one.iter().map(|choice| self.prices.net(choice, self.unit.of(choice))).collect();
        let best = nets.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        (nets, best)
    }

    /// The choices of an athlete that a pass tries, the best first.
    fn tried(&self, athlete: usize, pass: Pass) -> Vec<usize> {
        let (nets, best) = self.nets(athlete);
        let slack = pass.to_beat.map_or(f64::INFINITY, |reached| self.prices.bound - reached + 0.5);
        let net = |index: &usize| nets.get(*index).copied().unwrap_or(f64::NEG_INFINITY);
        let mut tried: Vec<usize> =
            (0..nets.len()).filter(|index| *index == 0 || net(index) >= best - slack).collect();
        tried.sort_by(|a, b| net(b).total_cmp(&net(a)));
        if pass.rough && tried.len() > ROUGH_CHOICES {
            // doing nothing always fits
            tried.truncate(ROUGH_CHOICES - 1);
            if !tried.contains(&0) {
                tried.push(0);
            }
        }
        tried
    }

    /// How many choices are left worth trying.
    fn worth_trying(&self, to_beat: Option<f64>) -> usize {
        let pass = Pass { width: 0, rough: false, to_beat };
        (0..self.choices.len()).map(|athlete| self.tried(athlete, pass).len()).sum()
    }

    fn run(&self, pass: Pass, goes_on: &mut dyn FnMut(f32) -> bool) -> Result<Outcome, NoPlan> {
        let sold: f64 =
            self.prices.of_date.iter().zip(self.room).map(|(p, room)| p * f64::from(*room)).sum();
        let mut rest: f64 = (0..self.choices.len()).map(|athlete| self.nets(athlete).1).sum();
        let mut trail: Vec<Step> = vec![(0, 0)];
        let mut layer =
            vec![State { load: [0; MOST_DATES], print: 0, weight: 0, days: 0, net: 0.0, step: 0 }];
        let mut cut = false;
        for athlete in 0..self.choices.len() {
            rest -= self.nets(athlete).1;
            let floor = pass.to_beat.map_or(f64::NEG_INFINITY, |v| v - 0.5 - sold - rest);
            layer = self.next_layer(&layer, athlete, (pass, floor), &mut trail);
            if layer.len() > pass.width {
                cut = true;
                let by_net =
                    |a: &State, b: &State| b.net.total_cmp(&a.net).then(a.print.cmp(&b.print));
                let _ = layer.select_nth_unstable_by(pass.width - 1, by_net);
                layer.truncate(pass.width);
                layer.sort_by(by_net);
            }
            let done = (athlete + 1) as f32 / self.choices.len() as f32;
            let told = if pass.rough { 0.1 + 0.3 * done } else { 0.4 + 0.6 * done };
            if !goes_on(told) {
                return Err(NoPlan::Stopped);
            }
        }
        let best = layer.iter().enumerate().max_by_key(|(index, state)| {
            let load = state.load.map(u32::from);
            (self.rank_of(state.weight, state.days, &load), std::cmp::Reverse(*index))
        });
        let picks = best.map(|(_, state)| way(&trail, state.step, self.choices.len()));
        // a pass that had to beat a plan and kept nothing has proven that plan the best
        Ok(Outcome { picks: picks.unwrap_or_else(|| vec![0; self.choices.len()]), cut })
    }

    fn next_layer(
        &self,
        layer: &[State],
        athlete: usize,
        (pass, floor): (Pass, f64),
        trail: &mut Vec<Step>,
    ) -> Vec<State> {
        let (nets, _) = self.nets(athlete);
        let of_one = self.choices.get(athlete).map(Vec::as_slice).unwrap_or_default();
        let mut next: Vec<State> = Vec::with_capacity(layer.len());
        let mut known = ByPrint::default();
        for index in self.tried(athlete, pass) {
            let (Some(choice), Some(net)) = (of_one.get(index), nets.get(index)) else { continue };
            let pick = u16::try_from(index).unwrap_or(0);
            for state in layer.iter().filter(|state| state.net + net >= floor) {
                let Some(mut new) = self.with(state, choice) else { continue };
                new.net = state.net + net;
                match known.get(&new.print).and_then(|place| next.get_mut(*place)) {
                    None => {
                        new.step = count(trail.len());
                        trail.push((state.step, pick));
                        let _new = known.insert(new.print, next.len());
                        next.push(new);
                    }
                    Some(old) if (new.weight, old.days) > (old.weight, new.days) => {
                        new.step = old.step;
                        if let Some(step) = trail.get_mut(old.step as usize) {
                            *step = (state.step, pick);
                        }
                        *old = new;
                    }
                    Some(_) => {}
                }
            }
        }
        next
    }

    /// A state with one more choice; `None` where a date is full.
    fn with(&self, state: &State, choice: &Choice) -> Option<State> {
        let mut new = *state;
        for (_, date) in &choice.tests {
            let load = new.load.get_mut(*date)?;
            if u32::from(*load) >= *self.room.get(*date)? {
                return None;
            }
            *load += 1;
            new.print = new.print.wrapping_add(print_of(*date));
        }
        new.weight += choice.weight;
        new.days += choice.days;
        Some(new)
    }

    fn picked<'s>(&'s self, outcome: &'s Outcome) -> impl Iterator<Item = &'s Choice> {
        self.choices.iter().zip(&outcome.picks).filter_map(|(of_one, pick)| of_one.get(*pick))
    }

    fn load(&self, outcome: &Outcome) -> Vec<u32> {
        let mut load = vec![0; self.room.len()];
        for (_, date) in self.picked(outcome).flat_map(|choice| &choice.tests) {
            if let Some(count) = load.get_mut(*date) {
                *count += 1;
            }
        }
        load
    }

    fn rank(&self, outcome: &Outcome) -> Rank {
        let weight = self.picked(outcome).map(|choice| choice.weight).sum();
        let days = self.picked(outcome).map(|choice| choice.days).sum();
        self.rank_of(weight, days, &self.load(outcome))
    }

    fn rank_of(&self, weight: u32, days: u32, load: &[u32]) -> Rank {
        let squares = self.taken.iter().zip(load).map(|(taken, new)| {
            let all = u64::from(*taken) + u64::from(*new);
            all * all
        });
        (weight, std::cmp::Reverse(days), std::cmp::Reverse(squares.sum()))
    }

    fn value(&self, outcome: &Outcome) -> f64 {
        self.picked(outcome).map(|choice| self.unit.of(choice)).sum()
    }

    /// Lets each athlete in turn take what is best while the others stay, until nobody gains.
    fn settle(&self, outcome: &mut Outcome) {
        for _ in 0..8 {
            let before = outcome.picks.clone();
            for athlete in 0..self.choices.len() {
                let of_one = self.choices.get(athlete).map(Vec::len).unwrap_or_default();
                let mut best = (self.rank(outcome), before.get(athlete).copied().unwrap_or(0));
                let others = self.load_without(outcome, athlete);
                for pick in 0..of_one {
                    if !self.fits(&others, athlete, pick) {
                        continue;
                    }
                    set(outcome, athlete, pick);
                    let rank = self.rank(outcome);
                    if rank > best.0 {
                        best = (rank, pick);
                    }
                }
                set(outcome, athlete, best.1);
            }
            if outcome.picks == before {
                return;
            }
        }
    }

    fn load_without(&self, outcome: &Outcome, athlete: usize) -> Vec<u32> {
        let mut without = outcome.clone();
        set(&mut without, athlete, 0);
        self.load(&without)
    }

    fn fits(&self, others: &[u32], athlete: usize, pick: usize) -> bool {
        let choice = self.choices.get(athlete).and_then(|of_one| of_one.get(pick));
        choice.is_some_and(|choice| {
            choice.tests.iter().all(|(_, date)| others.get(*date) < self.room.get(*date))
        })
    }

    fn found(&self, outcome: &Outcome, may_miss: u32, exact: bool) -> Found {
        let chosen = self.picked(outcome).map(|choice| choice.tests.clone()).collect();
        Found { chosen, weight: self.rank(outcome).0, may_miss, exact }
    }
}

fn set(outcome: &mut Outcome, athlete: usize, pick: usize) {
    if let Some(place) = outcome.picks.get_mut(athlete) {
        *place = pick;
    }
}

/// The choices along a trail, first athlete first.
fn way(trail: &[Step], last: u32, athletes: usize) -> Vec<usize> {
    let mut picks = vec![0; athletes];
    let mut at = last;
    for place in picks.iter_mut().rev() {
        let Some((before, pick)) = trail.get(at as usize) else { break };
        *place = usize::from(*pick);
        at = *before;
    }
    picks
}

/// A number for a date such that sums of them tell loads apart (`SplitMix64`: Steele, Lea and Flood
/// 2014, doi 10.1145/2660193.2660195). Loads stand in the state itself: two that shared a sum would
/// cost a plan some worth, never break a rule.
fn print_of(date: usize) -> u64 {
    let mut mixed = (date as u64 + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    (mixed ^ (mixed >> 31)) | 1
}
