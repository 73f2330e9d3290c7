//! Samples as bytes: column by column, little-endian floats, compressed with Zstandard (RFC 8878).
//!
//! Layout before compression: a version byte; the count of samples (u64); then for each column its
//! presence (0 none, 1 all, 2 a bitmap follows, lowest bit first) and the present values. A value is
//! kept as the exclusive or of its bits with those of the value before, and the bytes of all values
//! are laid out by significance: neighbours are alike, so most bytes become zero. Nothing is rounded.

use std::io::Read;

use pacewright_core::recording::Sample;
use pacewright_core::units::{Altitude, Cadence, Distance, HeartRate, Position, Seconds};

const VERSION: u8 = 1;
const LEVEL: i32 = 3;
/// A damaged or hostile blob may not swell beyond this: some hundred days at one sample a second.
const LARGEST: u64 = 1 << 30;

/// The columns in their order.
const COLUMNS: [fn(&Sample) -> Option<f64>; 7] = [
    |sample| Some(sample.time.s()),
    |sample| sample.distance.map(Distance::m),
    |sample| sample.position.map(Position::latitude_degrees),
    |sample| sample.position.map(Position::longitude_degrees),
    |sample| sample.altitude.map(Altitude::m),
    |sample| sample.heart_rate.map(HeartRate::bpm),
    |sample| sample.cadence.map(Cadence::per_minute),
];

/// The samples as bytes; `None` where compression fails.
pub(crate) fn encode(samples: &[Sample]) -> Option<Vec<u8>> {
    let mut raw = vec![VERSION];
    raw.extend_from_slice(&(samples.len() as u64).to_le_bytes());
    for column in COLUMNS {
        let values: Vec<Option<f64>> = samples.iter().map(column).collect();
        append(&mut raw, &values);
    }
    zstd::bulk::compress(&raw, LEVEL).ok()
}

/// The samples from their bytes; `None` where the bytes are no such thing.
pub(crate) fn decode(bytes: &[u8]) -> Option<Vec<Sample>> {
    let mut raw = Vec::new();
    let decoder = zstd::stream::read::Decoder::new(bytes).ok()?;
    let _ = decoder.take(LARGEST).read_to_end(&mut raw).ok()?;
    let (&version, rest) = raw.split_first()?;
    let mut rest = rest;
    let count = usize::try_from(u64::from_le_bytes(take(&mut rest, 8)?.try_into().ok()?)).ok()?;
    // each sample has at least its eight bytes of time
    if version != VERSION || count > rest.len() / 8 {
        return None;
    }
    let mut columns = Vec::new();
    for _ in COLUMNS {
        columns.push(values(&mut rest, count)?);
    }
    if !rest.is_empty() {
        return None;
    }
    (0..count).map(|index| sample(&columns, index)).collect()
}

fn sample(columns: &[Vec<Option<f64>>], index: usize) -> Option<Sample> {
    let value =
        |column: usize| columns.get(column).and_then(|values| values.get(index)).copied().flatten();
    let position = match (value(2), value(3)) {
        (Some(latitude), Some(longitude)) => {
            Some(Position::from_degrees(latitude, longitude).ok()?)
        }
        (None, None) => None,
        _ => return None,
    };
    Some(Sample {
        time: Seconds::from_s(value(0)?).ok()?,
        position,
        distance: value(1).map(Distance::from_m).transpose().ok()?,
        altitude: value(4).map(Altitude::from_m).transpose().ok()?,
        heart_rate: value(5).map(HeartRate::from_bpm).transpose().ok()?,
        cadence: value(6).map(Cadence::from_per_minute).transpose().ok()?,
    })
}

fn append(raw: &mut Vec<u8>, values: &[Option<f64>]) {
    let present: Vec<u64> = values.iter().flatten().map(|value| value.to_bits()).collect();
    if present.is_empty() {
        raw.push(0);
    } else if present.len() == values.len() {
        raw.push(1);
    } else {
        raw.push(2);
        for eight in values.chunks(8) {
            let bits = (0..).zip(eight).map(|(place, value)| u8::from(value.is_some()) << place);
            raw.push(bits.fold(0, |all: u8, bit: u8| all | bit));
        }
    }
    let before = std::iter::once(0).chain(present.iter().copied());
    let steps: Vec<[u8; 8]> =
        present.iter().zip(before).map(|(now, before)| (now ^ before).to_le_bytes()).collect();
    for significance in 0..8 {
        raw.extend(steps.iter().filter_map(|step| step.get(significance)));
    }
}

fn values(rest: &mut &[u8], count: usize) -> Option<Vec<Option<f64>>> {
    let present: Vec<bool> = match *take(rest, 1)?.first()? {
        0 => vec![false; count],
        1 => vec![true; count],
        2 => {
            let bits = take(rest, count.div_ceil(8))?;
            bits.iter()
                .flat_map(|byte| (0..8).map(move |place| byte >> place & 1 == 1))
                .take(count)
                .collect()
        }
        _ => return None,
    };
    let wanted = present.iter().filter(|there| **there).count();
    let mut steps = vec![[0; 8]; wanted];
    for significance in 0..8 {
        for (step, byte) in steps.iter_mut().zip(take(rest, wanted)?) {
            *step.get_mut(significance)? = *byte;
        }
    }
    let mut before = 0;
    let mut found = steps.into_iter().map(|step| {
        before ^= u64::from_le_bytes(step);
        f64::from_bits(before)
    });
    Some(present.into_iter().map(|there| if there { found.next() } else { None }).collect())
}

fn take<'b>(rest: &mut &'b [u8], count: usize) -> Option<&'b [u8]> {
    let (taken, left) = rest.split_at_checked(count)?;
    *rest = left;
    Some(taken)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn any_sample() -> impl Strategy<Value = Sample> {
        let maybe = |range: std::ops::Range<f64>| proptest::option::of(range);
        (
            0.0..1e8,
            maybe(0.0..1e7),
            maybe(-90.0..90.0),
            maybe(-1e3..1e4),
            maybe(1.0..300.0),
            maybe(0.0..400.0),
        )
            .prop_map(|(time, distance, latitude, altitude, heart_rate, cadence)| Sample {
                time: Seconds::from_s(time).unwrap(),
                position: latitude
                    .map(|degrees| Position::from_degrees(degrees, -2.0 * degrees).unwrap()),
                distance: distance.map(|metres| Distance::from_m(metres).unwrap()),
                altitude: altitude.map(|metres| Altitude::from_m(metres).unwrap()),
                heart_rate: heart_rate.map(|bpm| HeartRate::from_bpm(bpm).unwrap()),
                cadence: cadence.map(|rate| Cadence::from_per_minute(rate).unwrap()),
            })
    }

    fn bits(samples: &[Sample]) -> Vec<Option<u64>> {
        COLUMNS
            .iter()
            .flat_map(|column| samples.iter().map(|sample| column(sample).map(f64::to_bits)))
            .collect()
    }

    proptest! {
        #[test]
        fn samples_come_back_to_the_bit(samples in proptest::collection::vec(any_sample(), 0..70)) {
            let back = decode(&encode(&samples).unwrap()).unwrap();
            prop_assert_eq!(bits(&back), bits(&samples));
        }

        #[test]
        fn any_bytes_are_read_or_refused(bytes: Vec<u8>) {
            // must not panic, whatever it says
            let packed = zstd::bulk::compress(&bytes, 1).unwrap();
            let _ = decode(&bytes);
            let _ = decode(&packed);
        }
    }

    #[test]
    fn a_count_beyond_the_bytes_is_refused() {
        let mut raw = vec![VERSION];
        raw.extend_from_slice(&u64::MAX.to_le_bytes());
        assert!(decode(&zstd::bulk::compress(&raw, 1).unwrap()).is_none());
    }
}
