//! Who runs with whom: the fewest groups in which each keeps to their own band.

/// The times somebody may run, and the one they would choose, all in tenths of a second.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Range {
    /// Shortest.
    pub(super) from: u32,
    /// Longest.
    pub(super) to: u32,
    /// Within them, what suits this one best.
    pub(super) wish: u32,
}

/// The fewest groups whose members have a time in common, by their places in the list; the group of
/// the shortest times first.
///
/// The bands are taken in order of their longest time; whoever may run the longest time of the one
/// that opened the group belongs to it, the next one opens another. Fewer groups cannot be: those
/// who opened them have no time in common, two by two, so that no group could hold two of them.
/// (Stabbing intervals with the fewest points, a textbook result; Gupta UI, Lee DT, Leung JY-T. IEEE
/// Trans Comput 1979;C-28(11):807-810, from memory. The proof above stands by itself.)
pub(super) fn fewest(ranges: &[Range]) -> Vec<Vec<usize>> {
    let mut order: Vec<(usize, Range)> = ranges.iter().copied().enumerate().collect();
    order.sort_by_key(|(place, range)| (range.to, range.from, *place));
    let mut groups: Vec<(u32, Vec<usize>)> = Vec::new();
    for (place, range) in order {
        match groups.last_mut() {
            Some((shared, members)) if range.from <= *shared => members.push(place),
            _ => groups.push((range.to, vec![place])),
        }
    }
    groups.into_iter().map(|(_, members)| members).collect()
}

/// What all of a group may run: from the longest of the shortest times to the shortest of the longest.
pub(super) fn common(group: &[usize], ranges: &[Range]) -> (u32, u32) {
    let members = || group.iter().filter_map(|place| ranges.get(*place));
    let from = members().map(|range| range.from).max().unwrap_or(0);
    (from, members().map(|range| range.to).min().unwrap_or(u32::MAX))
}

/// The same groups with each member in the one whose time suits them best, among those whose time they
/// may run. Nobody who opened a group may run another's time, so that no group is left empty, and
/// their number stays the fewest.
pub(super) fn suited(times: &[u32], ranges: &[Range]) -> Vec<Vec<usize>> {
    let mut groups = vec![Vec::new(); times.len()];
    for (place, range) in ranges.iter().enumerate() {
        let open = times.iter().enumerate().filter(|(_, t)| (range.from..=range.to).contains(*t));
        let best = open.min_by_key(|(at, time)| (time.abs_diff(range.wish), *at));
        if let Some(group) = best.and_then(|(at, _)| groups.get_mut(at)) {
            group.push(place);
        }
    }
    groups
}

#[cfg(test)]
pub(super) mod tests {
    use proptest::prelude::*;

    use super::*;

    pub(in crate::session) fn range(from: u32, to: u32) -> Range {
        Range { from, to, wish: from.midpoint(to) }
    }

    /// The fewest groups by trying every way to part a few ranges: each joins one that is there, or
    /// opens another.
    pub(in crate::session) fn by_trying_all(ranges: &[Range]) -> usize {
        fn part(rest: &[Range], open: &mut Vec<(u32, u32)>, best: &mut usize) {
            if open.len() >= *best {
                return;
            }
            let Some((first, rest)) = rest.split_first() else {
                *best = open.len();
                return;
            };
            for at in 0..open.len() {
                let before = open[at];
                let both = (before.0.max(first.from), before.1.min(first.to));
                if both.0 <= both.1 {
                    open[at] = both;
                    part(rest, open, best);
                    open[at] = before;
                }
            }
            open.push((first.from, first.to));
            part(rest, open, best);
            let _last = open.pop();
        }
        let mut best = ranges.len() + 1;
        part(ranges, &mut Vec::new(), &mut best);
        best
    }

    #[test]
    fn neighbours_run_together_and_a_gap_parts_them() {
        // 90 to 95 and 94 to 99 have 94 and 95 in common; 97 to 102 only with the second
        let ranges = [range(940, 990), range(900, 950), range(970, 1_020)];
        assert_eq!(fewest(&ranges), [vec![1, 0], vec![2]]);
        assert_eq!(common(&[1, 0], &ranges), (940, 950));
        assert_eq!(fewest(&[]), Vec::<Vec<usize>>::new());
    }

    proptest! {
        #[test]
        fn nobody_can_do_with_fewer_groups(
            given in prop::collection::vec((0_u32..40, 0_u32..12), 0..8),
        ) {
            let ranges: Vec<Range> = given.iter().map(|(from, wide)| range(*from, from + wide)).collect();
            let groups = fewest(&ranges);
            prop_assert_eq!(groups.len(), by_trying_all(&ranges));
            let times: Vec<u32> = groups
                .iter()
                .map(|group| { let (from, to) = common(group, &ranges); from.midpoint(to) })
                .collect();
            let suited = suited(&times, &ranges);
            for (group, time) in suited.iter().zip(&times) {
                prop_assert!(!group.is_empty());
                prop_assert!(group.iter().all(|at| (ranges[*at].from..=ranges[*at].to).contains(time)));
            }
            let mut all: Vec<usize> = suited.concat();
            all.sort_unstable();
            prop_assert_eq!(all, (0..ranges.len()).collect::<Vec<_>>());
        }
    }
}
