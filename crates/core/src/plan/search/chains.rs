//! Chains of exchanges: one athlete takes another's place on a date, who takes a third's, until the
//! last finds a free place (ejection chains: Glover F. Discrete Appl Math 1996;65:223-253, doi
//! 10.1016/0166-218X(94)00037-E, from memory). A plan is better as long as some chain gains.

use super::{Task, add};
use crate::plan::NoPlan;
use crate::plan::choices::Choice;

/// So many different exchanges are kept between each two dates.
const KEPT: usize = 4;
/// The most rounds of exchanges; each gains, and there is an end to it before ...
const ROUNDS: usize = 4_000;
/// ... but where there are so many choices that these are looked at first: about ten seconds' work. By
/// then the weights are in place, and dates alone are brought forward.
const LOOKED_AT: usize = 250_000_000;

/// An athlete's change from one choice to another.
#[derive(Debug, Clone, Copy)]
struct Exchange {
    athlete: usize,
    pick: usize,
    gain: i64,
}

/// The exchanges that leave one place and take another; the last place stands for none.
struct Exchanges {
    places: usize,
    between: Vec<Vec<Exchange>>,
}

/// The best chain to a place, by how many exchanges.
#[derive(Debug, Clone, Copy)]
struct Link {
    gain: i64,
    from: usize,
    exchange: Exchange,
}

/// A plan that no single change and no chain betters, or as near to it as there is patience for.
///
/// # Errors
/// It was stopped.
pub(super) fn improved(
    task: &Task<'_>,
    mut picks: Vec<usize>,
    goes_on: &mut dyn FnMut(f32) -> bool,
) -> Result<Vec<usize>, NoPlan> {
    let all: usize = task.choices.iter().map(Vec::len).sum();
    for round in 0..ROUNDS.min(LOOKED_AT / all.max(1)) {
        let better = single(task, &mut picks) | chained(task, &mut picks);
        // how many rounds there will be nobody knows: each brings half of what is left
        let told = 1.0 - 1.0 / (1.0 + round as f32 / 20.0);
        if !goes_on(told) {
            return Err(NoPlan::Stopped);
        }
        if !better {
            break;
        }
    }
    even_out(task, &mut picks);
    Ok(picks)
}

/// What a choice is worth, in whole days.
fn worth(task: &Task<'_>, choice: &Choice) -> i64 {
    i64::from(choice.weight) * i64::from(task.unit.0) - i64::from(choice.days)
}

/// Lets each athlete in turn take what is worth most while the others stay.
fn single(task: &Task<'_>, picks: &mut [usize]) -> bool {
    let mut load = task.load(picks);
    let mut better = false;
    for (athlete, pick) in picks.iter_mut().enumerate() {
        let of_one = task.of_athlete(athlete);
        let Some(now) = of_one.get(*pick) else { continue };
        add(&mut load, now, -1);
        let fitting = of_one.iter().enumerate().filter(|(_, choice)| task.fits(&load, choice));
        let best = fitting.max_by_key(|(i, choice)| (worth(task, choice), std::cmp::Reverse(*i)));
        if let Some((best, choice)) = best.filter(|(_, c)| worth(task, c) > worth(task, now)) {
            (*pick, better) = (best, true);
            add(&mut load, choice, 1);
        } else {
            add(&mut load, now, 1);
        }
    }
    better
}

/// Applies the best chain from each place, one after the other.
fn chained(task: &Task<'_>, picks: &mut [usize]) -> bool {
    let exchanges = exchanges(task, picks);
    let mut load = task.load(picks);
    let mut moved = vec![false; picks.len()];
    let mut better = false;
    for start in 0..exchanges.places {
        let Some(chain) = best_chain(task, &exchanges, start, &load) else { continue };
        // an athlete who moved in an earlier chain of this round is no longer where the list has them
        if chain.iter().any(|e| moved.get(e.athlete).copied().unwrap_or(true)) {
            continue;
        }
        for exchange in chain {
            apply(task, picks, &mut load, exchange);
            if let Some(moved) = moved.get_mut(exchange.athlete) {
                *moved = true;
            }
        }
        better = true;
    }
    better
}

fn apply(task: &Task<'_>, picks: &mut [usize], load: &mut [i64], exchange: Exchange) {
    let Some(pick) = picks.get_mut(exchange.athlete) else { return };
    let of_one = task.of_athlete(exchange.athlete);
    if let Some((before, after)) = of_one.get(*pick).zip(of_one.get(exchange.pick)) {
        add(load, before, -1);
        add(load, after, 1);
        *pick = exchange.pick;
    }
}

/// The exchanges that take at most one date; one that leaves several stands at each of them.
fn exchanges(task: &Task<'_>, picks: &[usize]) -> Exchanges {
    let places = task.room.len() + 1;
    let mut between = vec![Vec::new(); places * places];
    for (athlete, now) in picks.iter().enumerate() {
        let of_one = task.of_athlete(athlete);
        let Some(before) = of_one.get(*now) else { continue };
        for (pick, after) in of_one.iter().enumerate().filter(|(pick, _)| pick != now) {
            let Some(taken) = taken(before, after, places - 1) else { continue };
            let gain = worth(task, after) - worth(task, before);
            let mut stands_at = |left: usize| {
                if let Some(kept) = between.get_mut(left * places + taken) {
                    keep(kept, Exchange { athlete, pick, gain });
                }
            };
            let mut left = only(before, after).peekable();
            if left.peek().is_none() {
                stands_at(places - 1);
            }
            left.for_each(stands_at);
        }
    }
    Exchanges { places, between }
}

/// Keeps the exchanges that gain most, one an athlete.
fn keep(kept: &mut Vec<Exchange>, new: Exchange) {
    if let Some(same) = kept.iter_mut().find(|e| e.athlete == new.athlete) {
        if new.gain > same.gain {
            *same = new;
        }
    } else if kept.len() < KEPT {
        kept.push(new);
    } else if let Some(least) = kept.iter_mut().min_by_key(|e| e.gain).filter(|e| e.gain < new.gain)
    {
        *least = new;
    }
}

/// The dates of one choice that another does without.
fn only<'a>(of: &'a Choice, without: &'a Choice) -> impl Iterator<Item = usize> + 'a {
    let has = |date: &usize| without.tests.iter().any(|(_, other)| other == date);
    of.tests.iter().map(|(_, date)| *date).filter(move |date| !has(date))
}

/// The one date that is taken, `none` for none; `None` where more are.
fn taken(before: &Choice, after: &Choice, none: usize) -> Option<usize> {
    let mut dates = only(after, before);
    match (dates.next(), dates.next()) {
        (first, None) => Some(first.unwrap_or(none)),
        _ => None,
    }
}

/// The chain from a place that gains most, if any gains.
fn best_chain(
    task: &Task<'_>,
    exchanges: &Exchanges,
    start: usize,
    load: &[i64],
) -> Option<Vec<Exchange>> {
    let places = exchanges.places;
    let free = |place: usize| {
        place == start
            || match (load.get(place), task.room.get(place)) {
                (Some(load), Some(room)) => *load < i64::from(*room),
                // nothing is taken: the place of none
                _ => true,
            }
    };
    let mut links: Vec<Vec<Option<Link>>> = Vec::with_capacity(places);
    let mut best: Option<(i64, usize, usize)> = None;
    for length in 0..places {
        let mut row: Vec<Option<Link>> = vec![None; places];
        for from in 0..places {
            let so_far = match length {
                0 if from == start => 0,
                0 => continue,
                // a chain does not go on from the place of none, nor from its own start
                _ if from == places - 1 || from == start => continue,
                _ => match links.get(length - 1).and_then(|row| row.get(from)).copied().flatten() {
                    Some(link) => link.gain,
                    None => continue,
                },
            };
            for to in 0..places {
                let Some(kept) = exchanges.between.get(from * places + to) else { continue };
                let unused = kept.iter().filter(|e| !uses(&links, length, from, e.athlete));
                let Some(exchange) = unused.max_by_key(|e| e.gain) else { continue };
                let gain = so_far + exchange.gain;
                let link = Link { gain, from, exchange: *exchange };
                if row.get(to).is_some_and(|old| old.is_none_or(|old| old.gain < gain)) {
                    row[to] = Some(link);
                }
                if gain > 0 && free(to) && best.is_none_or(|(most, ..)| most < gain) {
                    best = Some((gain, length, to));
                }
            }
        }
        links.push(row);
    }
    let (_, length, last) = best?;
    Some(trace(&links, length, last))
}

/// Whether the chain of so many exchanges that ends at a place has one of an athlete's already.
fn uses(links: &[Vec<Option<Link>>], length: usize, place: usize, athlete: usize) -> bool {
    trace_links(links, length.checked_sub(1), place).any(|exchange| exchange.athlete == athlete)
}

fn trace(links: &[Vec<Option<Link>>], length: usize, last: usize) -> Vec<Exchange> {
    let mut chain: Vec<Exchange> = trace_links(links, Some(length), last).collect();
    chain.reverse();
    chain
}

fn trace_links(
    links: &[Vec<Option<Link>>],
    row: Option<usize>,
    place: usize,
) -> impl Iterator<Item = Exchange> {
    let mut at = row.map(|row| (row, place));
    std::iter::from_fn(move || {
        let (row, place) = at?;
        let link = links.get(row)?.get(place).copied().flatten()?;
        at = row.checked_sub(1).map(|row| (row, link.from));
        Some(link.exchange)
    })
}

/// Of plans with the same weight and the same days, one with more even dates, as far as single changes
/// go.
fn even_out(task: &Task<'_>, picks: &mut [usize]) {
    let mut load = task.load(picks);
    for (athlete, pick) in picks.iter_mut().enumerate() {
        let of_one = task.of_athlete(athlete);
        let Some(now) = of_one.get(*pick) else { continue };
        add(&mut load, now, -1);
        let same = |choice: &Choice| (choice.weight, choice.days) == (now.weight, now.days);
        let fitting = of_one.iter().enumerate().filter(|(_, c)| same(c) && task.fits(&load, c));
        let best = fitting.min_by_key(|(index, choice)| {
            let mut with = load.clone();
            add(&mut with, choice, 1);
            (task.squares(&with), *index)
        });
        let (best, choice) = best.unwrap_or((*pick, now));
        *pick = best;
        add(&mut load, choice, 1);
    }
}
