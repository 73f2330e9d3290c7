//! What stands beside the field tests comes back exactly, can be undone, and came late to old files.

use pacewright_core::course::Surface;
use pacewright_core::first_threshold::FactorFrom;
use pacewright_core::ids::{
    AthleteId, ConditionsId, FactorId, LaboratoryId, MedicationId, RaceId, TestId,
};
use pacewright_core::laboratory::{LaboratoryValue, Protocol};
use pacewright_core::markers::MarkerName;
use pacewright_core::medication::Medication;
use pacewright_core::physiology::conditions::{Celsius, Conditions, Ground, Weather};
use pacewright_core::physiology::thresholds::FirstThresholdFactor;
use pacewright_core::race::{Priority, Race, RaceResult};
use pacewright_core::test::TestConditions;
use pacewright_core::units::{Altitude, Distance, HeartRate, Share, Speed};

use super::facts::*;
use crate::{Change, Fact, Kind, Library};

fn race() -> Race {
    Race {
        id: RaceId(1),
        athlete: AthleteId(1),
        on: day(30),
        name: "Harbour 5 km".to_owned(),
        distance: Distance::from_m(5_000.0).unwrap(),
        priority: Priority::Goal,
        result: Some(RaceResult {
            duration: seconds(1_140.5),
            peak_heart_rate: HeartRate::from_bpm(188.0).ok(),
        }),
    }
}

fn planned() -> Race {
    Race { id: RaceId(2), on: day(90), priority: Priority::Other, result: None, ..race() }
}

fn laboratory_value() -> LaboratoryValue {
    LaboratoryValue {
        id: LaboratoryId(1),
        athlete: AthleteId(1),
        on: day(31),
        marker: MarkerName::Lt2,
        speed: Speed::from_m_per_s(4.2).ok(),
        heart_rate: None,
        protocol: Protocol::GasExchange,
        notes: "treadmill, 1 %".to_owned(),
    }
}

fn factor() -> FactorFrom {
    FactorFrom {
        id: FactorId(1),
        athlete: AthleteId(1),
        from: day(40),
        factor: FirstThresholdFactor::from_ratio(0.92).unwrap(),
        reason: "faded twice".to_owned(),
    }
}

fn medication() -> Medication {
    Medication {
        id: MedicationId(1),
        athlete: AthleteId(1),
        from: day(10),
        to: None,
        dose: "half a tablet".to_owned(),
        reason: None,
    }
}

fn conditions() -> TestConditions {
    TestConditions {
        id: ConditionsId(1),
        athlete: AthleteId(1),
        test: TestId(1),
        conditions: Conditions {
            weather: Some(Weather::Air {
                temperature: Celsius::from_degrees(19.5).unwrap(),
                humidity: Share::from_ratio(0.55).unwrap(),
            }),
            altitude: Altitude::from_m(640.0).ok(),
            ground: Some(Ground::Course(Surface::Road)),
        },
    }
}

#[test]
fn they_come_back_exactly_and_go_with_undo() {
    let mut library = Library::in_memory().unwrap();
    let _ = library.act(&act("A club", a_club())).unwrap();
    let all = vec![
        Change::PutRace(race()),
        Change::PutRace(planned()),
        Change::PutLaboratoryValue(laboratory_value()),
        Change::PutFactor(factor()),
        Change::PutMedication(medication()),
        Change::PutConditions(conditions()),
    ];
    let done = library.act(&act("Beside", all)).unwrap();
    assert_eq!(done.changed.into_iter().collect::<Vec<_>>(), [Kind::Evidence]);
    assert_eq!(library.races().unwrap(), [race(), planned()]);
    assert_eq!(library.laboratory_values().unwrap(), [laboratory_value()]);
    assert_eq!(library.factors().unwrap(), [factor()]);
    assert_eq!(library.medications().unwrap(), [medication()]);
    assert_eq!(library.conditions().unwrap(), [conditions()]);
    assert!(library.check().unwrap().is_empty());
    let gone = act("Gone", vec![Change::Remove(Fact::Race(RaceId(1)))]);
    let _ = library.act(&gone).unwrap();
    assert_eq!(library.races().unwrap(), [planned()]);
    let _ = library.undo().unwrap().unwrap();
    assert_eq!(library.races().unwrap(), [race(), planned()]);
    let _ = library.undo().unwrap().unwrap();
    assert_eq!(library.medications().unwrap(), []);
    let _ = library.redo().unwrap().unwrap();
    assert_eq!(library.conditions().unwrap(), [conditions()]);
    assert!(library.check().unwrap().is_empty());
}
