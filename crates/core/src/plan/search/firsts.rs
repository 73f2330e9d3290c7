//! How many first tests can have a place, were there no others: the most that any plan gives.

use crate::plan::choices::Choice;
use crate::test::TestKind;

/// Who sits where.
struct Seats<'a> {
    /// The dates open to each.
    open: &'a [Vec<usize>],
    room: &'a [u32],
    on: Vec<Vec<usize>>,
}

/// The most of the 20-minute tests that give first zones that can have a place together, by augmenting
/// paths (Kuhn HW. Nav Res Logist Q 1955;2:83-97, doi 10.1002/nav.3800020109, from memory).
pub(super) fn most(choices: &[Vec<Choice>], room: &[u32]) -> u32 {
    let open: Vec<Vec<usize>> = choices.iter().map(|of_one| open(of_one)).collect();
    let mut seats = Seats { open: &open, room, on: vec![Vec::new(); room.len()] };
    let mut most = 0;
    for who in 0..open.len() {
        most += u32::from(seats.take_in(who, &mut vec![false; room.len()]));
    }
    most
}

/// The dates on which a first test of theirs can stand.
fn open(of_one: &[Choice]) -> Vec<usize> {
    let firsts = of_one.iter().filter(|choice| choice.has_first()).flat_map(|c| &c.tests);
    let twenty = firsts.filter(|(kind, _)| *kind == TestKind::TwentyMinutes);
    let mut dates: Vec<usize> = twenty.map(|(_, date)| *date).collect();
    dates.sort_unstable();
    dates.dedup();
    dates
}

impl Seats<'_> {
    /// Takes one more in where the others can make room; nobody loses their seat by it.
    fn take_in(&mut self, who: usize, seen: &mut [bool]) -> bool {
        let open = self.open;
        for &date in open.get(who).into_iter().flatten() {
            if seen.get_mut(date).is_none_or(|seen| std::mem::replace(seen, true)) {
                continue;
            }
            let Some(there) = self.on.get_mut(date) else { continue };
            if self.room.get(date).is_some_and(|room| there.len() < *room as usize) {
                there.push(who);
                return true;
            }
            for (seat, other) in there.clone().into_iter().enumerate() {
                if self.take_in(other, seen) {
                    let left = self.on.get_mut(date).and_then(|there| there.get_mut(seat));
                    if let Some(left) = left {
                        *left = who;
                    }
                    return true;
                }
            }
        }
        false
    }
}
