//! An invented library with something in every table, for spoiling.

use std::path::Path;

use chrono::{DateTime, Days, NaiveDate};
use pacewright_core::athlete::{Athlete, Screening, Sensor, Sex, Squad};
use pacewright_core::calibration::{Basis, Calibration};
use pacewright_core::effort::FoundBy;
use pacewright_core::first_threshold::FactorFrom;
use pacewright_core::ids::{
    AthleteId, AwayId, BookingId, CalibrationId, ConditionsId, FactorId, LaboratoryId,
    MedicationId, OwnWindowId, ProgrammeId, RaceId, RecordingId, SquadId, TestId,
};
use pacewright_core::laboratory::{LaboratoryValue, Protocol};
use pacewright_core::markers::{MarkerName, Markers};
use pacewright_core::medication::Medication;
use pacewright_core::physiology::conditions::{Celsius, Conditions, Ground, Weather};
use pacewright_core::physiology::thresholds::FirstThresholdFactor;
use pacewright_core::programme::{OwnWindow, Programme};
use pacewright_core::race::{Priority, Race, RaceResult};
use pacewright_core::recording::{Circumstances, Parts, Recording, Sample, Span, Sport};
use pacewright_core::remark::{BearsOn, Finding, Remark, Severity};
use pacewright_core::retest::RetestWindow;
use pacewright_core::schedule::{Away, AwayKind, Booking};
use pacewright_core::test::{Decision, Evidence, Performance, Test, TestConditions, TestKind};
use pacewright_core::units::{Altitude, Distance, HeartRate, Seconds, Share, Speed};
use pacewright_core::zones::{HeartRateBand, Leads, PaceBand, Zone, Zones};
use pacewright_store::{Act, Change, ContentHash, Library, NewRecording};

pub(super) const RULES: u32 = 3;
pub(super) const ATHLETES: i64 = 12;

pub(super) fn day(after: i64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 1, 1).unwrap() + Days::new(after.unsigned_abs())
}

fn seconds(value: f64) -> Seconds {
    Seconds::from_s(value).unwrap()
}

fn athlete(id: i64) -> Athlete {
    Athlete {
        id: AthleteId(id),
        name: format!("Athlete number {id}"),
        born: Some(day(id)),
        sex: Some(if id % 2 == 0 { Sex::Female } else { Sex::Male }),
        resting_heart_rate: HeartRate::from_bpm(45.5 + id as f64).ok(),
        max_heart_rate: HeartRate::from_bpm(190.0).ok(),
        rate_lowering_medication: id % 4 == 0,
        screening: Screening::Cleared { on: day(id) },
        guardian_consent: Some(day(0)),
        sensor: Some(Sensor::Strap),
        aliases: vec![format!("a{id}")],
        notes: "likes hills".to_owned(),
        squads: vec![SquadId(1 + id % 2)],
    }
}

fn test(id: i64, athlete: i64) -> Test {
    let span = Span { from: seconds(12.5), to: seconds(1_212.5) };
    let recording = RecordingId(athlete);
    Test {
        id: TestId(id),
        athlete: AthleteId(athlete),
        kind: TestKind::ALL[usize::try_from(id % 3).unwrap()],
        on: day(20 + id),
        performance: Performance {
            distance: Distance::from_m(5_000.1 + id as f64 * 10.0).unwrap(),
            duration: seconds(1_200.0),
            mean_heart_rate: HeartRate::from_bpm(157.9).ok(),
            heart_rate_share: Share::from_ratio(0.97).unwrap(),
            peak_heart_rate: HeartRate::from_bpm(171.0).ok(),
        },
        evidence: Evidence::Recorded { recording, span, found_by: FoundBy::Fastest },
        decision: Decision::Accepted { reason: Some("ran well".to_owned()) },
    }
}

fn calibration(id: i64) -> Calibration {
    let zone = Zone {
        number: 1,
        name: "Recovery".to_owned(),
        heart_rate: Some(HeartRateBand { from: None, to: Some(122) }),
        pace: Some(PaceBand { slowest: None, fastest: Speed::from_m_per_s(2.67).ok() }),
        leads: Leads::HeartRate,
        estimated: false,
    };
    Calibration {
        id: CalibrationId(id),
        athlete: AthleteId(id),
        from: day(60),
        basis: vec![Basis::of_test(TestKind::TwentyMinutes, day(20), TestId(id))],
        markers: Markers::default(),
        zones: Zones { zones: vec![zone], scheme: None },
    }
}

pub(super) fn recording(id: i64) -> NewRecording {
    let samples = (0..20).map(|index: i32| Sample {
        time: seconds(f64::from(index)),
        position: None,
        distance: Distance::from_m(f64::from(index) * 4.1 + id as f64).ok(),
        altitude: None,
        heart_rate: HeartRate::from_bpm(140.0).ok(),
        cadence: None,
    });
    let parts = Parts {
        started_at: DateTime::from_timestamp(1_790_000_000 + id, 0),
        sport: Sport::Running,
        circumstances: Circumstances::default(),
        samples: samples.collect(),
        timer_pauses: None,
        laps: Vec::new(),
        legs: Vec::new(),
        repairs: Vec::new(),
    };
    NewRecording {
        id: RecordingId(id),
        athlete: Some(AthleteId(id)),
        content_hash: ContentHash::of(&id.to_le_bytes()),
        file_name: format!("run-{id}.fit"),
        added_on: day(21),
        recording: Recording::from_parts(parts).unwrap(),
    }
}

/// What stands beside an athlete's tests: one of each kind.
fn beside(id: i64) -> Vec<Change> {
    let athlete = AthleteId(id);
    vec![
        Change::PutRace(Race {
            id: RaceId(id),
            athlete,
            on: day(33),
            name: "Harbour 5 km".to_owned(),
            distance: Distance::from_m(5_000.0).unwrap(),
            priority: Priority::Goal,
            result: Some(RaceResult {
                duration: seconds(1_201.5),
                peak_heart_rate: HeartRate::from_bpm(187.0).ok(),
            }),
        }),
        Change::PutLaboratoryValue(LaboratoryValue {
            id: LaboratoryId(id),
            athlete,
            on: day(34),
            marker: MarkerName::Lt2,
            speed: Speed::from_m_per_s(4.1).ok(),
            heart_rate: HeartRate::from_bpm(164.0).ok(),
            protocol: Protocol::Lactate,
            notes: "track".to_owned(),
        }),
        Change::PutFactor(FactorFrom {
            id: FactorId(id),
            athlete,
            from: day(40),
            factor: FirstThresholdFactor::from_ratio(0.92).unwrap(),
            reason: "faded twice".to_owned(),
        }),
        Change::PutMedication(Medication {
            id: MedicationId(id),
            athlete,
            from: day(10),
            to: Some(day(60)),
            dose: "half a tablet".to_owned(),
            reason: Some("told".to_owned()),
        }),
        Change::PutConditions(TestConditions {
            id: ConditionsId(id),
            athlete,
            test: TestId(id),
            conditions: Conditions {
                weather: Some(Weather::Air {
                    temperature: Celsius::from_degrees(19.5).unwrap(),
                    humidity: Share::from_ratio(0.55).unwrap(),
                }),
                altitude: Altitude::from_m(640.0).ok(),
                ground: Some(Ground::Treadmill),
            },
        }),
    ]
}

pub(super) fn remarks() -> Vec<Remark> {
    vec![Remark::new(Finding::TakenShort { missing_s: 4.5 }, Severity::Check, BearsOn::Speed)]
}

/// A library with every table populated, several acts in its log, one of them undone.
pub(super) fn build(path: &Path) {
    let mut library = Library::open(path).unwrap();
    let mut act = |what: &str, changes| {
        let at = DateTime::from_timestamp(1_790_000_000, 0).unwrap();
        let _ = library.act(&Act { what: what.to_owned(), at, changes }).unwrap();
    };
    let squad = |id| Change::PutSquad(Squad { id: SquadId(id), name: format!("Squad {id}") });
    let setting =
        |name: &str| Change::PutSetting { name: name.to_owned(), value: "miles".to_owned() };
    act("Squads", vec![squad(1), squad(2), setting("units"), setting("paper")]);
    act("Athletes", (1..=ATHLETES).map(|id| Change::PutAthlete(athlete(id))).collect());
    act("Recordings", (1..=ATHLETES).map(|id| Change::AddRecording(recording(id))).collect());
    for round in 0..3 {
        let tests = (1..=ATHLETES).map(|id| Change::PutTest(test(round * ATHLETES + id, id)));
        act("Tests", tests.collect());
    }
    act("Zones", (1..=ATHLETES).map(|id| Change::PutCalibration(calibration(id))).collect());
    let booking = |id| Booking {
        id: BookingId(id),
        athlete: AthleteId(id),
        kind: TestKind::FiveMinutes,
        on: day(90),
    };
    let away = |id| Away {
        id: AwayId(id),
        athlete: AthleteId(id),
        kind: AwayKind::Illness,
        from: day(50),
        to: Some(day(55)),
        well_on: Some(day(56)),
    };
    act("Plan", (1..=5).map(|id| Change::PutBooking(booking(id))).collect());
    act("Away", (1..=5).map(|id| Change::PutAway(away(id))).collect());
    act("Beside", (1..=3).flat_map(beside).collect());
    let own = |id| OwnWindow {
        id: OwnWindowId(id),
        athlete: AthleteId(id),
        window: RetestWindow { opens_weeks: 3, closes_weeks: 6 },
    };
    let programme = |id| Programme::usual(ProgrammeId(id), SquadId(id));
    act("Programmes", (1..=2).map(|id| Change::PutProgramme(programme(id))).collect());
    act("Own windows", (1..=3).map(|id| Change::PutOwnWindow(own(id))).collect());
    act("One too many", vec![setting("colour")]);
    let _ = library.undo().unwrap();
    library.cache_remarks(TestId(1), RULES, "", &remarks()).unwrap();
    library.cache_remarks(TestId(2), RULES, "", &remarks()).unwrap();
    library.close().unwrap();
}
