//! The hard rules, one by one, with spans counted by hand.

use super::*;
use crate::athlete::Screening;
use crate::ids::{AthleteId, AwayId};

fn day(month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, month, day).unwrap()
}

fn athlete() -> Athlete {
    Athlete {
        born: NaiveDate::from_ymd_opt(1990, 1, 1),
        screening: Screening::Cleared { on: day(1, 1) },
        ..Athlete::new(AthleteId(1), "Ada Example")
    }
}

fn person(athlete: &Athlete) -> Person<'_> {
    Person {
        athlete,
        aways: &[],
        races: &[],
        run: &[],
        target_from: Some(day(1, 5)),
        by_talk: false,
    }
}

fn test(kind: TestKind, on: NaiveDate) -> Stands {
    Stands { kind, on, at: None }
}

const FIVE: TestKind = TestKind::FiveMinutes;
const TWENTY: TestKind = TestKind::TwentyMinutes;
const FORTY: TestKind = TestKind::FortyMinutes;

fn asked(person: &Person<'_>, kind: TestKind, on: NaiveDate, others: &[Stands]) -> Option<Broken> {
    may_stand(person, test(kind, on), others, day(3, 1)).err()
}

// The spans below are those of the design's section 4, counted by hand on a calendar of 2026.

#[test]
fn all_out_tests_stand_two_days_apart_and_three_under_sixteen() {
    let ada = athlete();
    let five = [test(FIVE, day(3, 10))];
    let close = Some(Broken::TooClose { other: FIVE, on: day(3, 10), hours: 48 });
    assert_eq!(asked(&person(&ada), TWENTY, day(3, 11), &five), close);
    assert_eq!(asked(&person(&ada), TWENTY, day(3, 9), &five), close);
    assert_eq!(asked(&person(&ada), TWENTY, day(3, 12), &five), None);
    let same = Some(Broken::SameDay { other: FIVE });
    assert_eq!(asked(&person(&ada), FORTY, day(3, 10), &five), same);
    assert_eq!(asked(&person(&ada), FORTY, day(3, 11), &five), None);
    let young = Athlete {
        born: NaiveDate::from_ymd_opt(2011, 3, 1),
        guardian_consent: Some(day(1, 1)),
        ..athlete()
    };
    let close = Some(Broken::TooClose { other: FIVE, on: day(3, 10), hours: 72 });
    assert_eq!(asked(&person(&young), TWENTY, day(3, 12), &five), close);
    assert_eq!(asked(&person(&young), TWENTY, day(3, 13), &five), None);
}

#[test]
fn hours_count_where_times_are_known() {
    let ada = athlete();
    let at = |on, hour| Stands { kind: FIVE, on, at: NaiveTime::from_hms_opt(hour, 0, 0) };
    let evening = at(day(3, 10), 18);
    let morning = Stands { kind: TWENTY, ..at(day(3, 12), 9) };
    assert!(may_stand(&person(&ada), morning, &[evening], day(3, 1)).is_err());
    let evening_after = Stands { kind: TWENTY, ..at(day(3, 12), 18) };
    assert!(may_stand(&person(&ada), evening_after, &[evening], day(3, 1)).is_ok());
}

#[test]
fn races_hold_by_distance_and_priority() {
    let ada = athlete();
    let race = |metres: f64, goal| {
        [RaceDay { on: day(4, 1), distance: Distance::from_m(metres).unwrap(), goal }]
    };
    for (metres, days) in
        [(5_000.0, 4), (10_000.0, 4), (15_000.0, 10), (21_097.5, 10), (42_195.0, 21)]
    {
        let races = race(metres, false);
        let ada = Person { races: &races, ..person(&ada) };
        let from = day(4, 1) + TimeDelta::days(days);
        let after = Some(Broken::AfterRace { race: day(4, 1), from });
        for kind in TestKind::ALL {
            assert_eq!(asked(&ada, kind, from - TimeDelta::days(1), &[]), after, "{metres}");
            assert_eq!(asked(&ada, kind, from, &[]), None, "{metres}");
            assert_eq!(asked(&ada, kind, day(4, 1), &[]), Some(Broken::RaceDay));
        }
        assert_eq!(asked(&ada, FIVE, day(3, 30), &[]), None);
        assert!(asked(&ada, FIVE, day(3, 31), &[]).is_some());
    }
    let races = race(5_000.0, true);
    let ada = Person { races: &races, ..person(&ada) };
    let before = Some(Broken::BeforeRace { race: day(4, 1), goal: true });
    assert_eq!(asked(&ada, TWENTY, day(3, 25), &[]), before);
    assert_eq!(asked(&ada, TWENTY, day(3, 24), &[]), None);
    assert_eq!(asked(&ada, FORTY, day(3, 31), &[]), None);
}

#[test]
fn away_and_the_return_hold_every_test() {
    let ada = athlete();
    let mut aways = [Away {
        id: AwayId(1),
        athlete: ada.id,
        kind: AwayKind::Injury,
        from: day(3, 2),
        to: Some(day(3, 31)),
        well_on: None,
    }];
    let asked = |aways: &[Away], on| asked(&Person { aways, ..person(&ada) }, FORTY, on, &[]);
    let gone = Some(Broken::Away { kind: AwayKind::Injury, until: Some(day(3, 31)) });
    assert_eq!(asked(&aways, day(3, 31)), gone);
    // 30 days away: half are 15, more than 14
    let back = |from| Some(Broken::Returning { kind: AwayKind::Injury, from });
    assert_eq!(asked(&aways, day(6, 1)), back(None));
    aways[0].well_on = Some(day(4, 2));
    assert_eq!(asked(&aways, day(4, 15)), back(Some(day(4, 16))));
    assert_eq!(asked(&aways, day(4, 16)), None);
    // noted later than the rest is over: from that day on
    aways[0].well_on = Some(day(4, 20));
    assert_eq!(asked(&aways, day(4, 19)), back(Some(day(4, 20))));
    aways[0].kind = AwayKind::Holiday;
    assert_eq!(asked(&aways, day(4, 1)), None);
}

#[test]
fn the_first_forty_minutes_wait_for_a_day_after_the_twenty() {
    let ada = athlete();
    let new = Person { target_from: None, ..person(&ada) };
    assert_eq!(asked(&new, FORTY, day(3, 12), &[]), Some(Broken::NoTarget { by_talk: false }));
    let later = [test(TWENTY, day(3, 12))];
    assert_eq!(asked(&new, FORTY, day(3, 11), &later), Some(Broken::NoTarget { by_talk: false }));
    assert_eq!(asked(&new, FORTY, day(3, 13), &later), None);
}

#[test]
fn clearance_is_asked_of_the_day_itself() {
    let ada = athlete();
    // cleared on 1 January 2026: lapses on 1 January 2027
    let lapsed = NaiveDate::from_ymd_opt(2027, 1, 1).unwrap();
    let said = asked(&person(&ada), FIVE, lapsed, &[]);
    assert_eq!(said, Some(Broken::NotCleared(NotCleared::Lapsed)));
    assert_eq!(asked(&person(&ada), FIVE, lapsed.pred_opt().unwrap(), &[]), None);
    assert_eq!(asked(&person(&ada), FIVE, day(2, 27), &[]), Some(Broken::Past));
}
