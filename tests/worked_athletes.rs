//! Three invented athletes worked by hand; the working stands in the documentation of
//! `pacewright_core::doubt`. Expected values come from that arithmetic on the published figures.

use pacewright_core::balance::balance;
use pacewright_core::format::pace;
use pacewright_core::ids::RaceId;
use pacewright_core::markers::{Derived, MarkerEvidence, MarkerName, derive};
use pacewright_core::race::Ran;
use pacewright_core::remark::Code;
use pacewright_core::units::{Distance, Estimate, Seconds, Speed, UnitSystem, Years};
use pacewright_core::zones::shown::{ShownZone, shown};
use pacewright_core::zones::{self, Scheme};

const KM: UnitSystem = UnitSystem::Kilometres;

struct Worked {
    derived: Derived,
    zones: Vec<ShownZone>,
    age: Option<Years>,
}

fn raced_5000_m(seconds: f64, age: f64, medication: bool) -> Worked {
    let age = Years::from_years(age).ok();
    let evidence = MarkerEvidence {
        race: Some(Ran {
            race: RaceId(1),
            on: chrono::NaiveDate::from_ymd_opt(2026, 5, 3).unwrap(),
            distance: Distance::from_m(5_000.0).unwrap(),
            duration: Seconds::from_s(seconds).unwrap(),
        }),
        age,
        rate_lowering_medication: medication,
        ..MarkerEvidence::default()
    };
    let derived = derive(&evidence);
    let zones = shown(&zones::derive(&derived.markers, &Scheme::five_zones()), KM);
    Worked { derived, zones, age }
}

impl Worked {
    fn speed(&self, marker: MarkerName) -> Estimate<Speed> {
        self.derived.markers.get(marker).speed.unwrap()
    }

    /// Pace, error in percent, and the ends of the nine-in-ten interval.
    fn row(&self, marker: MarkerName) -> (String, f64, String, String) {
        let estimate = self.speed(marker);
        let (value, error) = (estimate.value.m_per_s(), estimate.error().m_per_s());
        let at = |v: f64| pace(Speed::from_m_per_s(v).unwrap(), KM);
        let percent = (1_000.0 * error / value).round() / 10.0;
        (at(value), percent, at(value - 1.645 * error), at(value + 1.645 * error))
    }

    fn table(&self, expected: [(&str, f64, &str, &str); 4]) {
        for (marker, (at, percent, slow, fast)) in MarkerName::ALL.into_iter().zip(expected) {
            let row = self.row(marker);
            assert!((row.1 - percent).abs() < 0.051, "{marker:?}: {row:?}");
            assert_eq!((row.0.as_str(), row.2.as_str(), row.3.as_str()), (at, slow, fast));
        }
    }

    /// Widths of zones 2 to 4, in percent of speed.
    fn widths(&self) -> [f64; 3] {
        let at = |marker| self.speed(marker).value.m_per_s().ln();
        let all = MarkerName::ALL.map(at);
        [1, 2, 3].map(|upper| (1_000.0 * (all[upper] - all[upper - 1])).round() / 10.0)
    }

    fn every_interval_overlaps_its_neighbour(&self) -> bool {
        MarkerName::ALL.windows(2).all(|pair| {
            let (low, high) = (self.speed(pair[0]), self.speed(pair[1]));
            low.value.m_per_s() + 1.645 * low.error().m_per_s()
                > high.value.m_per_s() - 1.645 * high.error().m_per_s()
        })
    }

    fn says(&self, code: Code) -> bool {
        self.derived.remarks.iter().any(|remark| remark.finding.code() == code)
    }
}

#[test]
fn five_thousand_metres_in_sixteen_thirty_at_thirty() {
    let athlete = raced_5000_m(990.0, 30.0, false);
    athlete.table([
        ("5:44", 13.4, "7:21", "4:42"),
        ("4:10", 9.9, "4:59", "3:35"),
        ("3:31", 4.9, "3:49", "3:15"),
        ("3:05", 6.6, "3:27", "2:46"),
    ]);
    let (widths, expected) = (athlete.widths(), [32.1, 17.0, 13.2]);
    assert!(widths.iter().zip(expected).all(|(got, by_hand)| (got - by_hand).abs() < 0.01));
    assert!(athlete.every_interval_overlaps_its_neighbour());
    let zones = &athlete.zones;
    assert_eq!(zones[1].pace, "5:44 – 4:11");
    // 187.0 by age x 72.84 %
    assert_eq!(zones[0].heart_rate, "below 136");
    assert!(zones[0].guidance.starts_with("heart rate as a ceiling"), "{}", zones[0].guidance);
    assert!(zones[1].guidance.starts_with("by feel"), "{}", zones[1].guidance);
    assert_eq!(zones[2].guidance, "pace");
    assert!(zones[4].guidance.starts_with("pace or feel"));
}

#[test]
fn twenty_eight_minutes_at_fifty_two_on_rate_lowering_medication() {
    let athlete = raced_5000_m(1_680.0, 52.0, true);
    athlete.table([
        ("9:43", 21.6, "15:06", "7:10"),
        ("6:51", 11.5, "8:27", "5:46"),
        ("5:47", 7.6, "6:37", "5:08"),
        ("5:04", 8.8, "5:55", "4:26"),
    ]);
    assert_eq!(athlete.zones[0].pace, "walk, or very easy jog");
    assert_eq!(athlete.zones[1].pace, "6:52 and slower");
    assert!(athlete.zones.iter().all(|zone| zone.heart_rate == "–"));
    assert!(athlete.zones[1].guidance.starts_with("by feel"));
    assert!(athlete.says(Code::Medication));
}

#[test]
fn nineteen_minutes_at_fifteen() {
    let athlete = raced_5000_m(1_140.0, 15.0, false);
    athlete.table([
        ("6:36", 15.1, "8:47", "5:17"),
        ("4:45", 10.2, "5:43", "4:04"),
        ("4:01", 5.4, "4:24", "3:41"),
        ("3:31", 7.0, "3:58", "3:09"),
    ]);
    assert_eq!(athlete.zones[1].pace, "6:36 – 4:46");
    // 197.5 by age x 72.84 %
    assert_eq!(athlete.zones[0].heart_rate, "below 144");
    assert!(athlete.says(Code::Extrapolated));
    assert_eq!(balance(&athlete.derived.markers, athlete.age), None);
}
