//! What is written reads back the same, within the format's resolution.

use chrono::{DateTime, Utc};
use pacewright_core::athlete::Sensor;
use pacewright_core::recording::{
    Circumstances, Lap, LapTrigger, Leg, Parts, Recording, Sample, Span, Sport,
};
use pacewright_core::units::{Altitude, Cadence, Distance, HeartRate, Position, Seconds};
use proptest::prelude::*;

use crate::{Format, WriteError, read, write_fit, write_gpx};

fn seconds(s: f64) -> Seconds {
    Seconds::from_s(s).unwrap()
}

fn span(from: f64, to: f64) -> Span {
    Span { from: seconds(from), to: seconds(to) }
}

fn start() -> DateTime<Utc> {
    DateTime::from_timestamp(1_700_000_000, 0).unwrap()
}

fn recording(samples: Vec<Sample>) -> Parts {
    Parts {
        started_at: Some(start()),
        sport: Sport::Running,
        circumstances: Circumstances::default(),
        samples,
        timer_pauses: None,
        laps: Vec::new(),
        legs: Vec::new(),
        repairs: Vec::new(),
    }
}

/// A sample of whole seconds and of any value both formats hold; its distance is a step yet.
fn sample() -> impl Strategy<Value = Sample> {
    let value = |from: f64, to: f64| proptest::option::weighted(0.9, from..to);
    // not at 0, 0, which means "none"
    let place = (-89.0..89.0_f64, prop_oneof![-179.0..-1.0_f64, 1.0..179.0_f64]);
    (
        1..40_u32,
        place,
        value(0.0, 60.0),
        value(-400.0, 9_000.0),
        value(1.0, 254.0),
        value(0.0, 254.0),
    )
        .prop_map(|(step, (north, east), distance, altitude, heart_rate, cadence)| Sample {
            time: seconds(f64::from(step)),
            position: Position::from_degrees(north, east).ok(),
            distance: distance.and_then(|m| Distance::from_m(m).ok()),
            altitude: altitude.and_then(|m| Altitude::from_m(m).ok()),
            heart_rate: heart_rate.and_then(|bpm| HeartRate::from_bpm(bpm.round()).ok()),
            cadence: cadence.and_then(|c| Cadence::from_per_minute(c).ok()),
        })
}

/// Samples one after the other: times and distances become sums.
fn samples() -> impl Strategy<Value = Vec<Sample>> {
    proptest::collection::vec(sample(), 1..60).prop_map(|mut samples| {
        let (mut time, mut distance) = (0.0, 0.0);
        for (index, sample) in samples.iter_mut().enumerate() {
            time += if index == 0 { 0.0 } else { sample.time.s() };
            sample.time = seconds(time);
            if let Some(step) = sample.distance {
                distance += step.m();
                sample.distance = Distance::from_m(distance).ok();
            }
        }
        samples
    })
}

fn near(found: Option<f64>, expected: Option<f64>, resolution: f64) -> bool {
    match (found, expected) {
        (Some(found), Some(expected)) => (found - expected).abs() <= resolution / 2.0 + 1e-9,
        (found, expected) => found.is_none() && expected.is_none(),
    }
}

/// The resolution of one format, in the unit of each quantity.
struct Resolution {
    degrees: f64,
    distance: f64,
    altitude: f64,
    cadence: f64,
}

fn assert_same(found: &[Sample], expected: &[Sample], resolution: &Resolution) {
    assert_eq!(found.len(), expected.len());
    for (found, expected) in found.iter().zip(expected) {
        assert_eq!(found.time, expected.time);
        let same = [
            near(
                found.position.map(Position::latitude_degrees),
                expected.position.map(Position::latitude_degrees),
                resolution.degrees,
            ),
            near(
                found.position.map(Position::longitude_degrees),
                expected.position.map(Position::longitude_degrees),
                resolution.degrees,
            ),
            near(
                found.distance.map(Distance::m),
                expected.distance.map(Distance::m),
                resolution.distance,
            ),
            near(
                found.altitude.map(Altitude::m),
                expected.altitude.map(Altitude::m),
                resolution.altitude,
            ),
            found.heart_rate == expected.heart_rate,
            near(
                found.cadence.map(Cadence::per_minute),
                expected.cadence.map(Cadence::per_minute),
                resolution.cadence,
            ),
        ];
        assert!(same.iter().all(|same| *same), "{same:?}: {found:?} for {expected:?}");
    }
}

proptest! {
    #[test]
    fn fit_reads_back(samples in samples()) {
        let written = Recording::from_parts(recording(samples)).unwrap();
        let bytes = write_fit(&written).unwrap();
        let found = read(&bytes, "run.fit").unwrap();
        // a semicircle is 180 / 2^31 degrees
        let resolution = Resolution {
            degrees: 180.0 / 2_147_483_648.0, distance: 0.01, altitude: 0.2, cadence: 1.0 / 128.0,
        };
        assert_same(found.samples(), written.samples(), &resolution);
        prop_assert_eq!(found.started_at(), written.started_at());
        prop_assert_eq!(found.sport(), written.sport());
        prop_assert!(found.repairs().is_empty(), "{:?}", found.repairs());
    }

    #[test]
    fn gpx_reads_back(samples in samples(), thousandths in 0..1_000_u32) {
        let mut parts = recording(samples);
        parts.started_at = DateTime::from_timestamp(1_700_000_000, thousandths * 1_000_000);
        let written = Recording::from_parts(parts).unwrap();
        let text = write_gpx(&written).unwrap();
        let found = read(text.as_bytes(), "run.gpx").unwrap();
        let resolution =
            Resolution { degrees: 1e-7, distance: 0.01, altitude: 0.01, cadence: 0.0 };
        assert_same(found.samples(), written.samples(), &resolution);
        prop_assert_eq!(found.started_at(), written.started_at());
        prop_assert_eq!(found.sport(), written.sport());
        prop_assert!(found.repairs().is_empty(), "{:?}", found.repairs());
    }
}

#[test]
fn what_the_device_says_about_itself_reads_back() {
    for heart_rate_sensor in [None, Some(Sensor::Strap), Some(Sensor::Wrist)] {
        let circumstances = Circumstances { indoors: true, heart_rate_sensor };
        let written = Recording::from_parts(Parts { circumstances, ..hour() }).unwrap();
        let found = read(&write_fit(&written).unwrap(), "run.fit").unwrap();
        assert_eq!(found.circumstances(), circumstances);
    }
}

/// An hour with a pause of a minute at 600 s.
fn hour() -> Parts {
    let samples = (0..3_600_u32).filter(|second| !(601..660).contains(second)).map(|second| {
        let time = f64::from(second);
        Sample {
            time: seconds(time),
            position: Position::from_degrees(48.0 + time * 2.5e-5, 11.0).ok(),
            distance: Distance::from_m(2.8 * time).ok(),
            altitude: Altitude::from_m(500.0).ok(),
            heart_rate: HeartRate::from_bpm(150.0).ok(),
            cadence: Cadence::from_per_minute(85.0).ok(),
        }
    });
    let mut parts = recording(samples.collect());
    parts.timer_pauses = Some(vec![span(600.0, 660.0)]);
    parts
}

#[test]
fn fit_keeps_pauses_laps_and_legs() {
    let mut parts = hour();
    parts.laps = vec![
        Lap { span: span(0.0, 1_200.5), trigger: LapTrigger::Manual },
        Lap { span: span(1_201.0, 2_400.0), trigger: LapTrigger::Distance },
        Lap { span: span(2_400.0, 3_599.0), trigger: LapTrigger::End },
    ];
    parts.legs = vec![
        Leg { span: span(0.0, 1_800.0), sport: Sport::Running },
        Leg { span: span(1_800.0, 3_599.0), sport: Sport::Other("cycling".into()) },
    ];
    let written = Recording::from_parts(parts).unwrap();
    let found = read(&write_fit(&written).unwrap(), "").unwrap();
    assert_eq!(found.timer_pauses(), written.timer_pauses());
    assert_eq!(found.laps(), written.laps());
    assert_eq!(found.legs(), written.legs());
    assert_eq!(found.sport(), &Sport::Running);
    assert!(found.repairs().is_empty());
}

#[test]
fn gpx_has_a_segment_for_each_stretch_between_pauses() {
    let written = Recording::from_parts(hour()).unwrap();
    let text = write_gpx(&written).unwrap();
    assert_eq!(text.matches("<trkseg>").count(), 2);
    let found = read(text.as_bytes(), "").unwrap();
    let spans: Vec<Span> = found.laps().iter().map(|lap| lap.span).collect();
    assert_eq!(spans, [span(0.0, 600.0), span(660.0, 3_599.0)]);
    assert!(found.laps().iter().all(|lap| lap.trigger == LapTrigger::Segment));
}

#[test]
fn what_a_format_cannot_hold_is_refused_with_its_place() {
    let mut parts = hour();
    parts.started_at = None;
    let dateless = Recording::from_parts(parts).unwrap();
    assert_eq!(write_fit(&dateless), Err(WriteError::Dateless(Format::Fit)));
    assert_eq!(write_gpx(&dateless), Err(WriteError::Dateless(Format::Gpx)));

    let mut parts = hour();
    parts.samples[5].position = None;
    parts.samples[7].time = seconds(6.5);
    let odd = Recording::from_parts(parts).unwrap();
    assert_eq!(write_gpx(&odd), Err(WriteError::Placeless { at_s: 5.0 }));
    assert_eq!(write_fit(&odd), Err(WriteError::TooFine { at_s: 6.5 }));

    let mut parts = hour();
    parts.samples[3].heart_rate = HeartRate::from_bpm(260.0).ok();
    let fast = Recording::from_parts(parts).unwrap();
    let refused = WriteError::OutOfRange { what: "heart rate", value: 260.0, at_s: 3.0 };
    assert_eq!(write_fit(&fast), Err(refused));
}

#[test]
fn an_hour_of_fit_has_the_size_of_its_records() {
    // a record is 1 header byte + 4 + 8 + 4 + 4 + 1 + 1 = 23 bytes; definitions and ends are few
    let written = Recording::from_parts(hour()).unwrap();
    let bytes = write_fit(&written).unwrap();
    let records = 23 * written.samples().len();
    assert!((records..records + 400).contains(&bytes.len()), "{} bytes", bytes.len());
}
