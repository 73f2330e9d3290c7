//! Labels over strokes that stand close: moved apart as little as possible, or left out.

/// A label that would like to stand somewhere. Lengths are px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Wanted {
    /// Where its middle would like to stand.
    pub(crate) centre: f64,
    /// Its width.
    pub(crate) width: f64,
    /// The lowest is left out first.
    pub(crate) keep: u8,
}

/// Where the middle of each label stands, so that none comes within `gap` of another or over an end
/// of the span; `None` for a label left out, because there was no room or because it would have
/// stood so far from its stroke that it named another.
pub(crate) fn spread(wanted: &[Wanted], span: f64, gap: f64) -> Vec<Option<f64>> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|a, b| centre(wanted, *a).total_cmp(&centre(wanted, *b)));
    loop {
        let kept: Vec<Wanted> =
            order.iter().filter_map(|index| wanted.get(*index).copied()).collect();
        if let Some(places) = moved_apart(&kept, span, gap) {
            let mut out = vec![None; wanted.len()];
            for (index, place) in order.iter().zip(places) {
                if let Some(slot) = out.get_mut(*index) {
                    *slot = Some(place);
                }
            }
            return out;
        }
        let least =
            order.iter().copied().min_by_key(|index| wanted.get(*index).map(|label| label.keep));
        order.retain(|index| Some(*index) != least);
    }
}

fn centre(wanted: &[Wanted], index: usize) -> f64 {
    wanted.get(index).map_or(0.0, |label| label.centre)
}

/// The places with the least sum of squared moves; `None` where they do not fit or one would move by
/// more than 0.8 of its width. Labels come in order of their centres.
fn moved_apart(labels: &[Wanted], span: f64, gap: f64) -> Option<Vec<f64>> {
    // Measured from the least place each could take, "none over another" becomes "never falling":
    // an isotonic regression, solved by pooling neighbours (Barlow and others, 1972).
    let mut least = Vec::with_capacity(labels.len());
    let mut edge = 0.0;
    for label in labels {
        least.push(edge + label.width / 2.0);
        edge += label.width + gap;
    }
    let slack = span - (edge - gap).max(0.0);
    if slack < 0.0 {
        return None;
    }
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for (label, least) in labels.iter().zip(&least) {
        let mut pool = (label.centre - least, 1);
        while let Some((before, count)) = pools.pop_if(|(before, _)| *before > pool.0) {
            pool = (
                (before * count as f64 + pool.0 * pool.1 as f64) / (count + pool.1) as f64,
                count + pool.1,
            );
        }
        pools.push(pool);
    }
    let shifts = pools
        .into_iter()
        .flat_map(|(shift, count)| std::iter::repeat_n(shift.clamp(0.0, slack), count));
    let places: Vec<f64> = least.iter().zip(shifts).map(|(least, shift)| least + shift).collect();
    let near = labels
        .iter()
        .zip(&places)
        .all(|(label, place)| (label.centre - place).abs() <= 0.8 * label.width);
    near.then_some(places)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn labels_never_overlap_nor_leave_the_lane(
            places in prop::collection::vec((0.0..300.0_f64, 5.0..60.0_f64, 0_u8..9), 0..6),
        ) {
            let wanted: Vec<Wanted> =
                places.iter().map(|(centre, width, keep)| Wanted { centre: *centre, width: *width, keep: *keep }).collect();
            let mut boxes: Vec<(f64, f64)> = wanted
                .iter()
                .zip(spread(&wanted, 300.0, 4.0))
                .filter_map(|(label, place)| place.map(|place| (place - label.width / 2.0, place + label.width / 2.0)))
                .collect();
            boxes.sort_by(|a, b| a.0.total_cmp(&b.0));
            prop_assert!(boxes.iter().all(|(from, to)| *from >= -1e-9 && *to <= 300.0 + 1e-9), "{boxes:?}");
            prop_assert!(boxes.windows(2).all(|pair| pair[0].1 + 4.0 <= pair[1].0 + 1e-9), "{boxes:?}");
            // a label that has room stays
            prop_assert!(wanted.is_empty() || !boxes.is_empty());
        }
    }

    #[test]
    fn labels_with_room_stand_over_their_strokes() {
        let label = |centre| Wanted { centre, width: 20.0, keep: 1 };
        assert_eq!(spread(&[label(200.0), label(50.0)], 300.0, 4.0), vec![Some(200.0), Some(50.0)]);
        // two at one place move apart evenly
        assert_eq!(
            spread(&[label(100.0), label(100.0)], 300.0, 4.0),
            vec![Some(88.0), Some(112.0)]
        );
    }
}
