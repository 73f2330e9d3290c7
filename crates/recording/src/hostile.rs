//! Broken and hostile bytes: never a panic, soon done, memory bounded.

use std::fmt::Write as _;
use std::time::{Duration, Instant};

use chrono::DateTime;
use pacewright_core::recording::{Circumstances, Parts, Recording, Repair, Sample, Sport};
use pacewright_core::units::{Distance, HeartRate, Position, Seconds};
use proptest::prelude::*;

use crate::{Format, LARGEST_FILE, MOST_RECORDS, ReadError, read, write_fit, write_gpx};

fn small() -> Recording {
    let samples = (0..40_u32).map(|second| {
        let time = f64::from(second);
        Sample {
            time: Seconds::from_s(time).unwrap(),
            position: Position::from_degrees(48.0 + time * 1e-5, 11.0).ok(),
            distance: Distance::from_m(3.0 * time).ok(),
            altitude: None,
            heart_rate: HeartRate::from_bpm(150.0).ok(),
            cadence: None,
        }
    });
    Recording::from_parts(Parts {
        started_at: DateTime::from_timestamp(1_700_000_000, 0),
        sport: Sport::Running,
        circumstances: Circumstances::default(),
        samples: samples.collect(),
        timer_pauses: Some(Vec::new()),
        laps: Vec::new(),
        legs: Vec::new(),
        repairs: Vec::new(),
    })
    .unwrap()
}

fn small_csv() -> String {
    let mut text = "time,distance,heart_rate,lat,lon\n".to_owned();
    for second in 0..40 {
        writeln!(text, "{second},{}.5,150,48.{second:05},11.0", 3 * second).unwrap();
    }
    text
}

fn seeds() -> [Vec<u8>; 3] {
    let recording = small();
    [
        write_fit(&recording).unwrap(),
        write_gpx(&recording).unwrap().into_bytes(),
        small_csv().into_bytes(),
    ]
}

/// Reads, and gives back nothing that a recording promises not to be.
fn read_soundly(bytes: &[u8]) {
    if let Ok(recording) = read(bytes, "run.fit") {
        assert!(!recording.samples().is_empty());
        let end = recording.duration();
        let pauses = recording.timer_pauses().unwrap_or_default().iter().copied();
        for span in recording.laps().iter().map(|lap| lap.span).chain(pauses) {
            assert!(span.from < span.to && span.to <= end, "{span:?} beyond {end:?}");
        }
    }
}

fn soon<T>(what: &str, work: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let done = work();
    // far above what it takes, far below what an explosion would
    assert!(start.elapsed() < Duration::from_secs(20), "{what} took {:?}", start.elapsed());
    done
}

#[test]
fn every_prefix_is_read_or_refused() {
    for seed in seeds() {
        for end in 0..seed.len() {
            read_soundly(&seed[..end]);
        }
    }
}

#[test]
fn a_cut_fit_gives_the_records_before_the_cut() {
    let [fit, ..] = seeds();
    let whole = read(&fit, "").unwrap();
    for end in 200..fit.len() - 1 {
        let cut = read(&fit[..end], "").unwrap();
        let count = cut.samples().len();
        assert!(cut.samples() == &whole.samples()[..count], "cut at {end}");
        assert!(
            cut.repairs().iter().any(|r| matches!(r, Repair::Truncated { .. })),
            "cut at {end}"
        );
    }
}

#[test]
fn every_flipped_byte_is_read_or_refused() {
    for seed in seeds() {
        for at in 0..seed.len() {
            for flip in [0x01, 0x80, 0xFF] {
                let mut bytes = seed.clone();
                bytes[at] ^= flip;
                read_soundly(&bytes);
            }
        }
    }
}

#[test]
fn a_flipped_byte_in_a_record_shows_in_the_checksum() {
    let [mut fit, ..] = seeds();
    let middle = fit.len() / 2;
    fit[middle] ^= 0x01;
    assert!(read(&fit, "").unwrap().repairs().contains(&Repair::ChecksumMismatch));
}

#[test]
fn lying_sizes_of_fit_are_no_harm() {
    let [fit, ..] = seeds();
    for size in [0, 1, 13, 14, 100, u32::try_from(fit.len()).unwrap(), u32::MAX - 1, u32::MAX] {
        let mut bytes = fit.clone();
        bytes[4..8].copy_from_slice(&size.to_le_bytes());
        read_soundly(&bytes);
    }
    // a device that stopped before it closed the file: the size is still zero
    let mut unclosed = fit.clone();
    unclosed[4..8].fill(0);
    let recording = read(&unclosed[..fit.len() - 2], "").unwrap();
    assert!(recording.samples() == read(&fit, "").unwrap().samples());
    assert!(matches!(recording.repairs(), [Repair::Truncated { .. }]));
    let mut unknown = fit;
    unknown[0] = 99;
    assert!(matches!(read(&unknown, ""), Err(ReadError::Malformed { format: Format::Fit, .. })));
}

#[test]
fn chained_parts_are_joined_in_time_and_distance() {
    let first = small();
    let mut parts = first.clone().into_parts();
    parts.started_at = DateTime::from_timestamp(1_700_000_100, 0);
    let second = Recording::from_parts(parts).unwrap();
    let chained = [write_fit(&first).unwrap(), write_fit(&second).unwrap()].concat();
    let recording = read(&chained, "").unwrap();
    assert_eq!(recording.samples().len(), 80);
    assert_eq!(recording.samples()[79].distance, Distance::from_m(2.0 * 39.0 * 3.0).ok());
    assert_eq!(recording.legs().len(), 2);
    // the first part's timer stop and the second's start are a pause
    let pauses = recording.timer_pauses().unwrap();
    assert_eq!((pauses[0].from.s(), pauses[0].to.s()), (39.0, 100.0));
    let at = Seconds::from_s(100.0).unwrap();
    assert_eq!(recording.repairs(), [Repair::CounterRestarted { at }, Repair::Parts { count: 2 }]);
}

#[test]
fn a_fit_of_one_byte_records_meets_the_limit() {
    // a definition of a record with one timestamp, one such record, then headers of compressed
    // timestamps only, a record each
    let mut data = vec![0x40, 0, 0, 20, 0, 1, 253, 4, 0x86, 0x00, 0, 0, 0, 0x40];
    data.extend([0x41, 0, 0, 20, 0, 0]);
    data.extend((0..MOST_RECORDS + 10).map(|i| 0xA0 | u8::try_from(i % 32).unwrap()));
    let mut bytes = vec![12, 16, 0, 0];
    bytes.extend(u32::try_from(data.len()).unwrap().to_le_bytes());
    bytes.extend(b".FIT");
    bytes.extend(data);
    let refused = soon("a million records", || read(&bytes, ""));
    let limit = MOST_RECORDS;
    assert_eq!(refused, Err(ReadError::TooManyRecords { format: Format::Fit, limit }));
}

#[test]
fn a_fit_of_empty_fields_is_refused() {
    // a message of 255 fields without a byte costs a byte to write and much to read
    let mut data = vec![0x40, 0, 0, 20, 0, 255];
    data.extend([5, 0, 0x86].repeat(255));
    data.extend(vec![0; 10_000_000]);
    let size = u32::try_from(data.len()).unwrap().to_le_bytes();
    let header = [[12, 16, 0, 0], size, *b".FIT"].concat();
    let refused = soon("empty fields", || read(&[header, data].concat(), ""));
    assert!(matches!(refused, Err(ReadError::Malformed { .. })), "{refused:?}");
}

#[test]
fn many_empty_fit_parts_are_soon_done() {
    let empty = [12, 16, 0, 0, 0, 0, 0, 0, b'.', b'F', b'I', b'T', 0, 0];
    let bytes = empty.repeat(1_000_000);
    let refused = soon("empty parts", || read(&bytes, ""));
    assert_eq!(refused, Err(ReadError::Timeless { format: Format::Fit }));
}

#[test]
fn too_large_a_file_is_refused_at_once() {
    let bytes = vec![b' '; LARGEST_FILE + 1];
    let limit = LARGEST_FILE;
    assert_eq!(read(&bytes, ""), Err(ReadError::TooLarge { limit }));
    let error = ReadError::TooLarge { limit }.to_string();
    assert_eq!(error, "this file is over 256 MB; export one run to a file");
}

const POINT: &str = "<trkpt lat='48' lon='11'><time>2024-05-01T10:00:00Z</time></trkpt>";

#[test]
fn an_entity_bomb_does_not_go_off() {
    let mut head = "<!DOCTYPE gpx [<!ENTITY e0 'ha'>".to_owned();
    for level in 1..40 {
        let below = format!("&e{};", level - 1).repeat(10);
        write!(head, "<!ENTITY e{level} '{below}'>").unwrap();
    }
    let body = POINT.replace("</trkpt>", "<ele>&e39;</ele></trkpt>");
    let text = format!("{head}]><gpx><trk><type>&e39;</type><trkseg>{body}</trkseg></trk></gpx>");
    let recording = soon("an entity bomb", || read(text.as_bytes(), "")).unwrap();
    assert_eq!(recording.samples().len(), 1);
    assert!(matches!(recording.repairs(), [Repair::CellsIgnored { count: 1, .. }]));
}

#[test]
fn deep_nesting_is_refused() {
    let text = format!("<gpx><trk><trkseg>{POINT}{}", "<a>".repeat(100_000));
    let refused = soon("nesting", || read(text.as_bytes(), ""));
    let error = refused.unwrap_err().to_string();
    assert_eq!(
        error,
        "this GPX file cannot be read: its elements are nested too deeply after track point 1; \
         export the run again from the device"
    );
}

#[test]
fn many_attributes_and_long_cells_are_soon_done() {
    let mut attributes = String::new();
    for number in 0..200_000 {
        write!(attributes, " a{number}='1'").unwrap();
    }
    let body = POINT.replace("<trkpt", &format!("<trkpt{attributes}"));
    let long = POINT.replace("</trkpt>", &format!("<ele>{}</ele></trkpt>", "1".repeat(5_000_000)));
    let text = format!("<gpx><trk><trkseg>{body}{long}</trkseg></trk></gpx>");
    let recording = soon("attributes", || read(text.as_bytes(), "")).unwrap();
    assert_eq!(recording.samples()[0].altitude, None);
}

#[test]
fn a_csv_line_of_a_million_fields_is_refused_or_read() {
    let header = format!("time,hr{}\n0,150\n", ",x".repeat(1_000_000));
    assert!(soon("a long header", || read(header.as_bytes(), "")).is_err());
    let row = format!("time,hr\n0,150\n1,151{}\n", ",x".repeat(1_000_000));
    let error = soon("a long row", || read(row.as_bytes(), "")).unwrap_err().to_string();
    assert_eq!(
        error,
        "this CSV file cannot be read: a line is too long on line 3; export the run again from the device"
    );
    let quoted = format!("time,hr\n0,150\n1,\"{}", "x\n".repeat(2_000_000));
    let recording = soon("an open quote", || read(quoted.as_bytes(), "")).unwrap();
    assert_eq!(recording.samples().len(), 2);
}

#[test]
fn numbers_beyond_reason_count_as_missing() {
    let text = "time,hr,distance,altitude,lat,lon\n0,1e308,1e999,-1e308,1e308,nan\n1e300,1,1,1,1,1\n\
                1e10,1,1,1,1,1\n-1e11,1,1,1,1,1\n";
    let recording = read(text.as_bytes(), "").unwrap();
    let first = recording.samples()[0];
    assert_eq!((first.heart_rate, first.position, first.altitude), (None, None, None));
    assert_eq!(recording.samples().len(), 1);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn arbitrary_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..2_000)) {
        read_soundly(&bytes);
    }

    #[test]
    fn arbitrary_bytes_after_a_fit_header(data in proptest::collection::vec(any::<u8>(), 0..2_000)) {
        let size = u32::try_from(data.len()).unwrap().to_le_bytes();
        let header = [[12, 16, 0, 0], size, *b".FIT"].concat();
        read_soundly(&[header, data].concat());
    }

    #[test]
    fn arbitrary_text_in_a_track(inner in "[<>/&;a-z0-9 ='\"!\\[\\]-]{0,300}") {
        read_soundly(format!("<gpx><trk><trkseg>{POINT}{inner}{POINT}</trkseg></trk></gpx>").as_bytes());
    }

    #[test]
    fn arbitrary_rows(rows in "[0-9a-z,.;:\"\r\n\t+-]{0,400}") {
        read_soundly(format!("time,hr,distance\n{rows}").as_bytes());
    }

    #[test]
    fn mutated_files(
        which in 0..3_usize,
        changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..20),
        removed in any::<prop::sample::Index>(),
        doubled in any::<bool>(),
    ) {
        let mut bytes = seeds()[which].clone();
        for (at, value) in changes {
            let at = at.index(bytes.len());
            bytes[at] = value;
        }
        let _ = bytes.remove(removed.index(bytes.len()));
        read_soundly(&bytes);
        if doubled {
            read_soundly(&bytes.repeat(2));
        }
    }
}
