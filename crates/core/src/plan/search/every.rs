//! Every plan: a dynamic programme over athletes whose state is how full each date is. Of all ways to
//! fill the dates alike only the best matters, so that the best of the last states is the best plan.

use std::collections::HashMap;

use super::{Task, count};
use crate::plan::choices::Choice;
use crate::plan::{MOST_DATES, NoPlan};

/// How full the dates are after some athletes.
#[derive(Clone, Copy)]
struct State {
    load: [u16; MOST_DATES],
    weight: u32,
    days: u32,
    /// The last step of the way here, in the trail.
    step: u32,
}

/// A step: the one before, and the choice taken.
type Step = (u32, u16);

/// The choice of each athlete in the best plan there is.
///
/// # Errors
/// It was stopped.
pub(super) fn every(
    task: &Task<'_>,
    goes_on: &mut dyn FnMut(f32) -> bool,
) -> Result<Vec<usize>, NoPlan> {
    let mut trail: Vec<Step> = vec![(0, 0)];
    let mut layer = vec![State { load: [0; MOST_DATES], weight: 0, days: 0, step: 0 }];
    for athlete in 0..task.choices.len() {
        layer = next_layer(task, &layer, athlete, &mut trail);
        if !goes_on((athlete + 1) as f32 / task.choices.len() as f32) {
            return Err(NoPlan::Stopped);
        }
    }
    let best = layer.iter().enumerate().max_by_key(|(index, state)| {
        let load = state.load.map(i64::from);
        (task.rank_of(state.weight, state.days, &load), std::cmp::Reverse(*index))
    });
    let last = best.map_or(0, |(_, state)| state.step);
    Ok(way(&trail, last, task.choices.len()))
}

fn next_layer(
    task: &Task<'_>,
    layer: &[State],
    athlete: usize,
    trail: &mut Vec<Step>,
) -> Vec<State> {
    let mut next: Vec<State> = Vec::with_capacity(layer.len());
    let mut known: HashMap<[u16; MOST_DATES], usize> = HashMap::with_capacity(layer.len());
    for (pick, choice) in (0..).zip(task.of_athlete(athlete)) {
        for state in layer {
            let Some(mut new) = with(task, state, choice) else { continue };
            match known.get(&new.load).and_then(|place| next.get_mut(*place)) {
                None => {
                    new.step = count(trail.len());
                    trail.push((state.step, pick));
                    let _new = known.insert(new.load, next.len());
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
fn with(task: &Task<'_>, state: &State, choice: &Choice) -> Option<State> {
    let mut new = *state;
    for (_, date) in &choice.tests {
        let load = new.load.get_mut(*date)?;
        if u32::from(*load) >= *task.room.get(*date)? {
            return None;
        }
        *load += 1;
    }
    new.weight += choice.weight;
    new.days += choice.days;
    Some(new)
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
