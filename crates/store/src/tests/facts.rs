//! Invented facts to test with, and everything a library shows at once.

use std::collections::BTreeMap;

use chrono::{DateTime, Days, NaiveDate, Utc};
use pacewright_core::athlete::{Athlete, Screening, Sensor, Sex, Squad};
use pacewright_core::calibration::{Basis, Calibration};
use pacewright_core::effort::FoundBy;
use pacewright_core::ids::{
    AthleteId, AwayId, BookingId, CalibrationId, RecordingId, SquadId, TestId,
};
use pacewright_core::markers::{Marker, Markers};
use pacewright_core::recording::{
    Circumstances, Lap, LapTrigger, Leg, Parts, Recording, Repair, Sample, Span, Sport,
};
use pacewright_core::schedule::{Away, AwayKind, Booking};
use pacewright_core::test::{Decision, Evidence, Performance, Test, TestKind};
use pacewright_core::units::{
    Altitude, Cadence, Distance, HeartRate, Position, Seconds, Share, Speed,
};
use pacewright_core::zones::{HeartRateBand, Leads, PaceBand, Zone, Zones};

use crate::{Act, Change, ContentHash, Library, NewRecording, StoreError, StoredRecording};

pub(super) fn day(after: u64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 1, 1).unwrap() + Days::new(after)
}

pub(super) fn noon() -> DateTime<Utc> {
    DateTime::from_timestamp(1_790_000_000, 500_000_001).unwrap()
}

pub(super) fn act(what: &str, changes: Vec<Change>) -> Act {
    Act { what: what.to_owned(), at: noon(), changes }
}

pub(super) fn seconds(value: f64) -> Seconds {
    Seconds::from_s(value).unwrap()
}

pub(super) fn span(from: f64, to: f64) -> Span {
    Span { from: seconds(from), to: seconds(to) }
}

pub(super) fn squad(id: i64, name: &str) -> Squad {
    Squad { id: SquadId(id), name: name.to_owned() }
}

pub(super) fn athlete(id: i64, name: &str, squads: &[i64]) -> Athlete {
    Athlete {
        id: AthleteId(id),
        name: name.to_owned(),
        born: Some(NaiveDate::from_ymd_opt(1990, 2, 28).unwrap()),
        sex: Some(if id % 2 == 0 { Sex::Female } else { Sex::Male }),
        resting_heart_rate: HeartRate::from_bpm(48.5).ok(),
        max_heart_rate: None,
        rate_lowering_medication: id % 3 == 0,
        screening: match id % 3 {
            0 => Screening::NotAsked,
            1 => Screening::Cleared { on: day(3) },
            _ => Screening::Hold { since: None },
        },
        guardian_consent: None,
        sensor: Some(if id % 2 == 0 { Sensor::Strap } else { Sensor::Wrist }),
        aliases: vec![name.to_lowercase(), "\"quoted\" – ß".to_owned()],
        notes: "'; DROP TABLE athlete; --".to_owned(),
        squads: squads.iter().copied().map(SquadId).collect(),
    }
}

pub(super) fn test(id: i64, athlete: i64, recording: Option<i64>) -> Test {
    Test {
        id: TestId(id),
        athlete: AthleteId(athlete),
        kind: TestKind::ALL[usize::try_from(id).unwrap() % 3],
        on: day(20),
        performance: Performance {
            distance: Distance::from_m(5_400.1 + 0.2).unwrap(),
            duration: seconds(1_200.0),
            mean_heart_rate: HeartRate::from_bpm(157.9).ok(),
            heart_rate_share: Share::from_ratio(1.0 / 3.0).unwrap(),
            peak_heart_rate: None,
        },
        evidence: match recording {
            None => Evidence::Typed,
            Some(recording) => Evidence::Recorded {
                recording: RecordingId(recording),
                span: span(0.1, 1_200.1),
                found_by: FoundBy::Fastest,
            },
        },
        decision: match id % 4 {
            0 => Decision::ToConfirm,
            1 => Decision::Accepted { reason: None },
            2 => Decision::Accepted { reason: Some("ran well".to_owned()) },
            _ => Decision::SetAside { reason: "wind".to_owned() },
        },
    }
}

/// Core alone makes estimates, so the floats of the markers come by way of JSON.
fn markers() -> Markers {
    let estimate = |value: f64| {
        serde_json::from_value(serde_json::json!({
            "value": value, "validity": 0.1 + 0.2, "repeatability": 1.0 / 3.0, "origin": "Measured",
        }))
        .unwrap()
    };
    let speed: pacewright_core::units::Estimate<Speed> = estimate(4.275 / 3.0);
    Markers { lt2: Marker { speed: Some(speed), heart_rate: None }, ..Markers::default() }
}

pub(super) fn calibration(id: i64, athlete: i64, from: NaiveDate) -> Calibration {
    Calibration {
        id: CalibrationId(id),
        athlete: AthleteId(athlete),
        from,
        basis: vec![Basis::of_test(TestKind::TwentyMinutes, day(20), TestId(1))],
        markers: markers(),
        zones: Zones {
            scheme: None,
            zones: vec![Zone {
                number: 1,
                name: "Recovery".to_owned(),
                heart_rate: Some(HeartRateBand { from: None, to: Some(122) }),
                pace: Some(PaceBand {
                    slowest: None,
                    fastest: Speed::from_m_per_s(8.0 / 3.0).ok(),
                }),
                leads: Leads::HeartRate,
                estimated: true,
            }],
        },
    }
}

pub(super) fn booking(id: i64, athlete: i64) -> Booking {
    Booking {
        id: BookingId(id),
        athlete: AthleteId(athlete),
        kind: TestKind::FiveMinutes,
        on: day(40),
    }
}

pub(super) fn away(id: i64, athlete: i64) -> Away {
    let kinds = [AwayKind::Injury, AwayKind::Illness, AwayKind::Holiday, AwayKind::Camp];
    Away {
        id: AwayId(id),
        athlete: AthleteId(athlete),
        kind: kinds[usize::try_from(id).unwrap() % 4],
        from: day(5),
        to: (id % 2 == 0).then(|| day(9)),
        well_on: Some(day(8)),
    }
}

/// A recording with gaps in every column, laps, legs, pauses and repairs. `salt` makes others.
pub(super) fn recording(salt: u32) -> Recording {
    let sample = |index: u32| {
        let at = f64::from(index);
        Sample {
            time: seconds(at * 1.1),
            position: (!index.is_multiple_of(3))
                .then(|| Position::from_degrees(51.0 + at * 1e-5 / 3.0, 7.1).unwrap()),
            distance: (!index.is_multiple_of(5)).then(|| Distance::from_m(at * 4.2 / 1.3).unwrap()),
            altitude: (!index.is_multiple_of(7)).then(|| Altitude::from_m(100.3 - at).unwrap()),
            heart_rate: (!index.is_multiple_of(2))
                .then(|| HeartRate::from_bpm(140.0 + f64::from(salt % 50)).unwrap()),
            cadence: (index > 10).then(|| Cadence::from_per_minute(88.5).unwrap()),
        }
    };
    Recording::from_parts(Parts {
        started_at: Some(noon()),
        sport: Sport::Running,
        circumstances: Circumstances::default(),
        samples: (0..30).map(sample).collect(),
        timer_pauses: Some(vec![span(3.0, 4.4)]),
        laps: vec![Lap { span: span(0.0, 0.1 + 0.2), trigger: LapTrigger::Manual }],
        legs: vec![Leg { span: span(0.0, 33.0), sport: Sport::Other("cycling".to_owned()) }],
        repairs: vec![
            Repair::ClockSpike { at: seconds(2.2), ahead_s: 1e9 / 7.0 },
            Repair::CellsIgnored { count: 2, first: "{\"f64\": 1}".to_owned() },
        ],
    })
    .unwrap()
}

pub(super) fn new_recording(id: i64, athlete: Option<i64>, salt: u32) -> NewRecording {
    NewRecording {
        id: RecordingId(id),
        athlete: athlete.map(AthleteId),
        content_hash: ContentHash::of(&salt.to_le_bytes()),
        file_name: format!("run {salt}.fit"),
        added_on: day(21),
        recording: recording(salt),
    }
}

/// Two athletes with something of everything.
pub(super) fn a_club() -> Vec<Change> {
    vec![
        Change::PutTest(test(1, 1, Some(1))), // before what it refers to: order within an act is free
        Change::PutSquad(squad(1, "Thursday")),
        Change::PutSquad(squad(2, "Juniors")),
        Change::PutAthlete(athlete(1, "Ida Berg", &[2, 1])),
        Change::PutAthlete(athlete(2, "Łukasz Ōno", &[])),
        Change::AddRecording(new_recording(1, Some(1), 1)),
        Change::AddRecording(new_recording(2, None, 2)),
        Change::PutTest(test(2, 2, None)),
        Change::PutCalibration(calibration(1, 1, day(21))),
        Change::PutBooking(booking(1, 1)),
        Change::PutAway(away(1, 2)),
        Change::PutSetting { name: "units".to_owned(), value: "miles".to_owned() },
    ]
}

/// Everything a library shows.
#[derive(Debug, PartialEq)]
pub(super) struct Everything {
    pub(super) athletes: Vec<Athlete>,
    pub(super) squads: Vec<Squad>,
    pub(super) tests: Vec<Test>,
    pub(super) calibrations: Vec<Calibration>,
    pub(super) bookings: Vec<Booking>,
    pub(super) aways: Vec<Away>,
    pub(super) recordings: Vec<(StoredRecording, Recording)>,
    pub(super) settings: BTreeMap<String, String>,
}

pub(super) fn everything(library: &Library) -> Result<Everything, StoreError> {
    let heads = library.recordings()?;
    Ok(Everything {
        athletes: library.athletes()?,
        squads: library.squads()?,
        tests: library.tests()?,
        calibrations: library.calibrations()?,
        bookings: library.bookings()?,
        aways: library.aways()?,
        recordings: heads
            .iter()
            .map(|head| library.recording(head.id))
            .collect::<Result<_, _>>()?,
        settings: library.settings()?,
    })
}
