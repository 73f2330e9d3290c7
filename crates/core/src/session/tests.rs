//! Worked by hand on a standard track: laps of 400 m.

use proptest::prelude::*;

use super::groups::tests::{by_trying_all, range};
use super::place::{AT_LEAST_ABOVE, middle_half};
use super::*;
use crate::athlete::Screening;
use crate::calibration::Basis;
use crate::ids::{AthleteId, AwayId, CalibrationId, TestId};
use crate::markers::{MarkerEvidence, derive};
use crate::physiology::reliability::speed_percent;
use crate::schedule::AwayKind;
use crate::test::Performance;
use crate::units::{HeartRate, Seconds, Share};
use crate::words;
use crate::zones::{self, Scheme, read_scheme};

fn day(month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, month, day).unwrap()
}

fn today() -> NaiveDate {
    day(11, 25)
}

fn metres(m: f64) -> Distance {
    Distance::from_m(m).unwrap()
}

/// Zones from the metres run in 5, 20 and 40 minutes; heart rate 160 over 20 minutes.
fn calibration(five: f64, twenty: f64, forty: f64, scheme: &Scheme) -> Calibration {
    let run = |metres, kind: TestKind, bpm: Option<f64>| Performance {
        distance: Distance::from_m(metres).unwrap(),
        duration: Seconds::from_s(kind.length_s()).unwrap(),
        mean_heart_rate: bpm.and_then(|bpm| HeartRate::from_bpm(bpm).ok()),
        heart_rate_share: Share::WHOLE,
        peak_heart_rate: None,
    };
    let evidence = MarkerEvidence {
        five: Some(run(five, TestKind::FiveMinutes, None).into()),
        twenty: Some(run(twenty, TestKind::TwentyMinutes, Some(157.9)).into()),
        forty: Some(run(forty, TestKind::FortyMinutes, Some(142.0)).into()),
        entered_maximum: HeartRate::from_bpm(190.0).ok(),
        ..MarkerEvidence::default()
    };
    let markers = derive(&evidence).markers;
    let basis = |kind, id| Basis::of_test(kind, day(11, 1), TestId(id));
    Calibration {
        id: CalibrationId(1),
        athlete: AthleteId(1),
        from: day(11, 1),
        basis: vec![basis(TestKind::FiveMinutes, 1), basis(TestKind::TwentyMinutes, 2)],
        markers,
        zones: zones::derive(&markers, scheme),
    }
}

/// 1,500, 5,400 and 9,000 m: VO2max pace 5 m/s, LT2 95 % of 4.5 m/s = 4.275 m/s, LT1 3.75 m/s.
/// In s/km 200, 233.9 and 266.7: zone 4 is 3:54 to 3:21, zone 3 is 4:27 to 3:55.
fn usual() -> Calibration {
    calibration(1_500.0, 5_400.0, 9_000.0, &Scheme::five_zones())
}

fn athlete(name: &str) -> Athlete {
    let screening = Screening::Cleared { on: day(9, 1) };
    Athlete { screening, ..Athlete::new(AthleteId(1), name) }
}

fn entrant<'a>(athlete: &'a Athlete, calibration: &'a Calibration) -> Entrant<'a> {
    Entrant {
        athlete,
        calibration: Some(calibration),
        medicated: false,
        aways: &[],
        tests: &[],
        window: RetestWindow::default(),
    }
}

fn session(zone: u8, run: &str, lap: Option<f64>) -> Session {
    Session::new(zone, run, lap.map(metres)).unwrap()
}

fn of(session: &Session, entrants: &[Entrant<'_>]) -> Splits {
    splits(session, entrants, UnitSystem::Kilometres, today())
}

/// The one group of one athlete.
fn alone(zone: u8, run: &str, lap: Option<f64>) -> (Section, Group) {
    let (who, zones) = (athlete("Ida"), usual());
    let all = of(&session(zone, run, lap), &[entrant(&who, &zones)]);
    let section = all.sections.into_iter().next().unwrap();
    let group = section.groups.first().unwrap().clone();
    (section, group)
}

fn why(session: &Session, entrant: &Entrant<'_>) -> Apart {
    of(session, &[*entrant]).apart.into_iter().next().unwrap().1
}

#[test]
fn a_pace_zone_gives_a_target_in_the_middle() {
    let (section, group) = alone(4, "6 x 1000", Some(400.0));
    assert_eq!(words::section(&section), "Zone 4, Long intervals");
    let member = &group.members[0];
    assert_eq!(member.pace, "3:54 \u{2013} 3:21");
    // 201 x 0.4 = 80.4 s, 234 x 0.4 = 93.6 s: 81 to 93; the middle is 87
    assert_eq!(member.lap.unwrap().to_string(), "1:33 \u{2013} 1:21");
    assert_eq!(member.repetition.unwrap().to_string(), "3:54 \u{2013} 3:21");
    assert_eq!(group.lap.unwrap().to_string(), "1:27");
    // 2.5 laps of 87 s: 217.5 s, half up
    assert_eq!((group.repetition.to_string(), group.pace.as_str()), ("3:38".to_owned(), "3:38"));
    let said = words::group_time(&group, section.steer, &session(4, "6 x 1000", Some(400.0)));
    assert_eq!(said, "1:27 a lap, 3:38 each");
    let passing: Vec<String> =
        group.passing.iter().map(|(far, time)| format!("{} {time}", far.m())).collect();
    assert_eq!(passing, ["400 1:27", "800 2:54"]);
}

#[test]
fn opposite_edges_of_a_zone_are_no_group() {
    let (a, b) = (athlete("Ann"), athlete("Bea"));
    // VO2max pace 205 and 225 s/km, LT2 234 and 257: zone 4 is 3:54 to 3:26 and 4:17 to 3:46. 3:46 to 3:54
    // lie in both, barely above LT2 for the one and at 98 % of VO2max pace for the other. The middle
    // halves, 213 to 227 and 233.75 to 249.25 s, have no time in common
    let zones = |vo2max: f64, lt2: f64| {
        calibration(300_000.0 / vo2max, 1_200_000.0 / lt2 / 0.95, 8_000.0, &Scheme::five_zones())
    };
    let (ann, bea) = (zones(205.0, 234.0), zones(225.0, 257.0));
    let all = of(&session(4, "6 x 1000", None), &[entrant(&a, &ann), entrant(&b, &bea)]);
    let group = |group: &Group| {
        let member = &group.members[0];
        (group.members.len(), group.repetition.to_string(), member.repetition.unwrap().to_string())
    };
    let groups: Vec<_> = all.sections[0].groups.iter().map(group).collect();
    // each alone in the middle: 220, and 241.5 half up
    let own = ["3:54 \u{2013} 3:26", "4:17 \u{2013} 3:46"].map(str::to_owned);
    let [first, second] = own;
    assert_eq!(groups, [(1, "3:40".to_owned(), first), (1, "4:02".to_owned(), second)]);
}

#[test]
fn a_target_is_shared_from_the_middle_half_of_a_band() {
    let middle = |from, to| {
        let end = |tenths| Some(SplitTime::from_tenths(tenths));
        middle_half(TimeBand { fastest: end(from), slowest: end(to) }).to_string()
    };
    // 206 to 234: a quarter is 7. 226 to 257: 7.75, so 233.75 to 249.25
    assert_eq!(middle(2_060, 2_340), "3:47 \u{2013} 3:33");
    assert_eq!(middle(2_260, 2_570), "4:09 \u{2013} 3:54");
    // 80 to 83: 80.75 to 82.25; 80 to 82: 80.5 to 81.5
    assert_eq!(middle(800, 830), "1:22 \u{2013} 1:21");
    assert_eq!(middle(800, 820), "1:21");
    // 80.25 to 80.75 hold no whole second, a band in tenths holds none at all
    assert_eq!(middle(800, 810), "1:21 \u{2013} 1:20");
    assert_eq!(middle(972, 976), "1:37.6 \u{2013} 1:37.2");
}

#[test]
fn a_repetition_too_short_for_a_shared_time_is_what_the_laps_come_to() {
    let narrow = read_scheme("Easy; 97.5 % of LT2; pace\nSteady; 100 % of LT2; pace\nHard; ; feel");
    let narrow = narrow.unwrap().named("Narrow");
    let (a, b) = (athlete("Ann"), athlete("Bea"));
    // LT2 205 and 200.9 s/km, 97.5 % of them 210.3 and 206.0: zone 2 is 3:30 to 3:26 and 3:26 to 3:22
    let zones = |lt2: f64| calibration(1_700.0, 1_200_000.0 / lt2 / 0.95, 8_000.0, &narrow);
    let (ann, bea) = (zones(205.0), zones(200.9));
    let asked = session(2, "6 x 60", Some(50.0));
    let all = of(&asked, &[entrant(&a, &ann), entrant(&b, &bea)]);
    let [group] = all.sections[0].groups.as_slice() else { panic!("{all:?}") };
    // both may run 206 s/km, 10.3 s over 50 m; over 60 m that is 12.36 s, and no tenth of a second is
    // a pace of 206 s/km
    assert_eq!(group.lap.unwrap().to_string(), "0:10.3");
    assert_eq!(group.repetition.to_string(), "0:12.4");
}

#[test]
fn without_a_lap_or_below_one_the_repetition_is_timed() {
    for lap in [None, Some(400.0), Some(1_000.0)] {
        let (_, group) = alone(4, "10 x 400", lap);
        assert_eq!((group.lap, group.passing.len()), (None, 0));
        assert_eq!(group.repetition.to_string(), "1:27");
    }
    let long = session(4, "10 km", Some(400.0));
    // 25 laps: 24 to pass before the end, every fourth of them
    assert_eq!(long.passed(), [4, 8, 12, 16, 20, 24]);
    assert_eq!(session(4, "2 x 2 km", Some(400.0)).passed(), [1, 2, 3, 4]);
}

#[test]
fn above_vo2max_pace_a_time_is_at_least_run() {
    let (section, group) = alone(5, "8 x 300", None);
    assert_eq!(section.steer, Steer::AtLeast);
    // 3:20/km = 200 s: 60 s over 300 m
    assert_eq!(group.repetition.to_string(), "1:00");
    assert_eq!(group.members[0].repetition.unwrap().to_string(), "1:00 and faster");
    assert!(group.members[0].ceiling.is_none());
    let percent = speed_percent(TestKind::FiveMinutes, false);
    assert!((f64::from(AT_LEAST_ABOVE) / 10.0 - percent).abs() < 1e-9, "one figure in two places");
}

#[test]
fn nobody_runs_at_least_much_faster_than_their_own_vo2max_pace() {
    let people = ["Ann", "Bea", "Cat"].map(athlete);
    // 1,500, 1,470 and 1,350 m in 5 minutes: 60, 61.2 and 66.7 s over 300 m, in whole seconds of
    // pace 200, 204 and 222: 60, 61 and 66 s. 61 / 1.024 = 59.6, 66 / 1.024 = 64.5
    let zones = [1_500.0, 1_470.0, 1_350.0]
        .map(|five| calibration(five, five * 3.5, five * 6.0, &Scheme::five_zones()));
    let entrants: Vec<_> = people.iter().zip(&zones).map(|(a, z)| entrant(a, z)).collect();
    let all = of(&session(5, "8 x 300", None), &entrants);
    let groups: Vec<(String, usize)> = all.sections[0]
        .groups
        .iter()
        .map(|group| (group.repetition.to_string(), group.members.len()))
        .collect();
    assert_eq!(groups, [("1:00".to_owned(), 2), ("1:06".to_owned(), 1)]);
}

#[test]
fn where_heart_rate_leads_times_are_limits() {
    let (section, group) = alone(2, "3 x 2 km", Some(400.0));
    assert_eq!(section.steer, Steer::Limit);
    // LT1 3.75 m/s: 266.7 s/km shows 4:27 in zone 3, so that zone 2 ends at 4:28: 268 x 0.4 = 107.2 s
    assert_eq!(group.lap.unwrap().to_string(), "1:48");
    assert_eq!(group.passing, []);
    // 95 % of 95 % of 157.9 is 142.5, shown 143
    assert_eq!(group.members[0].ceiling.as_deref(), Some("up to 143 bpm"));
    let said = words::group_time(&group, section.steer, &session(2, "3 x 2 km", Some(400.0)));
    assert_eq!(said, "no faster than 1:48 a lap, 9:00 each");
    assert!(words::steer(&section).contains("LT1 is a limit, not a target"));
    let (who, zones) = (athlete("Ida"), usual());
    let medicated = Entrant { medicated: true, ..entrant(&who, &zones) };
    let all = of(&session(2, "3 x 2 km", None), &[medicated]);
    let member = &all.sections[0].groups[0].members[0];
    assert_eq!(member.ceiling.as_deref(), Some("by feel: you can talk in sentences"));
}

#[test]
fn a_walked_zone_has_no_time() {
    let (who, zones) =
        (athlete("Ida"), calibration(1_050.0, 3_900.0, 6_900.0, &Scheme::five_zones()));
    let all = of(&session(1, "5 km", Some(400.0)), &[entrant(&who, &zones)]);
    let section = &all.sections[0];
    assert!(section.groups.is_empty());
    assert_eq!(section.untimed[0].pace, "walk, or very easy jog");
    assert_eq!((section.untimed[0].lap, section.untimed[0].repetition), (None, None));
    assert_eq!(all.athletes(), 1);
}

#[test]
fn another_scheme_is_another_section() {
    let own =
        read_scheme("Easy; 80 % of LT2; heart rate\nSteady; 100 % of LT2; pace\nHard; ; feel");
    let own = own.unwrap().named("Three");
    let (a, b) = (athlete("Ann"), athlete("Bea"));
    let (five, three) = (usual(), calibration(1_500.0, 5_400.0, 9_000.0, &own));
    let entrants = [entrant(&a, &five), entrant(&b, &three)];
    let all = of(&session(3, "6 x 1000", Some(400.0)), &entrants);
    let names: Vec<String> = all.sections.iter().map(words::section).collect();
    assert_eq!(names, ["Zone 3, Brisk", "Zone 3, Hard (Three)"]);
    assert_eq!(all.sections[1].groups[0].members[0].name, "Bea");
    let why = why(&session(4, "6 x 1000", None), &entrants[1]);
    assert_eq!(words::apart_in_short(&why), "no zone 4 in their zones (Three)");
}

#[test]
fn who_has_no_times_stands_apart_with_the_reason() {
    let zones = usual();
    let hard = session(4, "6 x 1000", Some(400.0));
    let easy = session(2, "10 km", Some(400.0));
    let held = Athlete { screening: Screening::Hold { since: None }, ..athlete("Ida") };
    assert_eq!(why(&hard, &entrant(&held, &zones)), Apart::Held);
    assert_eq!(why(&easy, &entrant(&held, &zones)), Apart::Held, "on hold in any zone");
    let unasked = Athlete { screening: Screening::NotAsked, ..athlete("Ida") };
    assert_eq!(why(&hard, &entrant(&unasked, &zones)), Apart::NotAsked);
    assert_eq!(of(&easy, &[entrant(&unasked, &zones)]).athletes(), 1, "easy running is free");
    // lapsed or without consent they were asked: what is printed holds for all of them
    let lapsed = Screening::Cleared { on: NaiveDate::from_ymd_opt(2025, 9, 1).unwrap() };
    let lapsed = Athlete { screening: lapsed, ..athlete("Ida") };
    let young = Athlete { born: NaiveDate::from_ymd_opt(2011, 5, 1), ..athlete("Ida") };
    for who in [&lapsed, &young] {
        let why = why(&hard, &entrant(who, &zones));
        assert_eq!(words::apart(&why), "Ask first");
        assert_eq!(words::apart_in_short(&why), "ask about health first");
    }
    let who = athlete("Ida");
    let none = Entrant { calibration: None, ..entrant(&who, &zones) };
    assert_eq!(why(&hard, &none), Apart::NoZones);
    let away = |kind, from, to| Away {
        id: AwayId(1),
        athlete: AthleteId(1),
        kind,
        from,
        to,
        well_on: None,
    };
    let with = |away: &Away, session: &Session| {
        let aways = [away.clone()];
        let all = of(session, &[Entrant { aways: &aways, ..entrant(&who, &zones) }]);
        all.apart.into_iter().next().map(|(_, why)| why)
    };
    let gone = away(AwayKind::Camp, day(11, 20), None);
    assert_eq!(with(&gone, &easy), Some(Apart::Held));
    let ill = away(AwayKind::Illness, day(11, 10), Some(day(11, 20)));
    assert_eq!(with(&ill, &hard), Some(Apart::Held), "back too short a time");
    assert_eq!(with(&ill, &easy), None);
    // 2 to 22 November are 21 days
    let long = away(AwayKind::Holiday, day(11, 2), Some(day(11, 22)));
    assert_eq!(with(&long, &hard), Some(Apart::ByFeel { since: day(11, 23) }));
    let short = away(AwayKind::Holiday, day(11, 3), Some(day(11, 22)));
    assert_eq!(with(&short, &hard), None);
}

#[test]
fn zones_out_of_date_give_no_times_and_name_the_test() {
    let (who, zones) = (athlete("Ida"), usual());
    let asked = session(4, "6 x 1000", Some(400.0));
    // 8 weeks after 1 November end on 27 December
    let on = NaiveDate::from_ymd_opt(2026, 12, 28).unwrap();
    let all = splits(&asked, &[entrant(&who, &zones)], UnitSystem::Kilometres, on);
    let [(_, why)] = all.apart.as_slice() else { panic!("{all:?}") };
    assert_eq!(words::apart_in_short(why), "zones out of date: repeat the 5- and 20-minute tests");
}

proptest! {
    #[test]
    fn a_shared_time_lies_in_everyones_paces(
        runs in prop::collection::vec((1_150.0_f64..1_750.0, 0.94_f64..0.99), 1..12),
        zone in 1_u8..6,
        metres in prop::sample::select(vec![200.0, 400.0, 1_000.0, 1_609.344, 2_000.0, 5_150.0]),
        lap in prop::sample::select(vec![None, Some(200.0), Some(400.0), Some(333.3)]),
        in_miles in any::<bool>(),
    ) {
        let units = if in_miles { UnitSystem::Miles } else { UnitSystem::Kilometres };
        let unit = if in_miles { 1_609.344 } else { 1_000.0 };
        let five = Scheme::five_zones();
        let all: Vec<(Athlete, Calibration)> = runs
            .iter()
            .enumerate()
            .map(|(at, (far, share))| {
                let twenty = far * 4.0 * share;
                (athlete(&at.to_string()), calibration(*far, twenty, twenty * 1.7, &five))
            })
            .collect();
        let entrants: Vec<_> = all.iter().map(|(a, z)| entrant(a, z)).collect();
        let asked = session(zone, &format!("6 x {metres}"), lap);
        let found = splits(&asked, &entrants, units, today());
        prop_assert_eq!(found.athletes() + found.apart.len(), all.len());
        for section in found.sections.iter().filter(|section| section.steer == Steer::Target) {
            // a quarter left out at either end, worked out in seconds here
            let inner = |member: &Member| {
                let own = member.lap.or(member.repetition).unwrap();
                let (fastest, slowest) = (own.fastest.unwrap(), own.slowest.unwrap());
                let quarter = (slowest.s() - fastest.s()) / 4.0;
                let from = (fastest.s() + quarter).ceil();
                let to = (slowest.s() - quarter).floor();
                if from <= to { (from, to) } else { (fastest.s(), slowest.s()) }
            };
            for group in &section.groups {
                let time = group.lap.unwrap_or(group.repetition).s();
                for (from, to) in group.members.iter().map(inner) {
                    prop_assert!(from <= time && time <= to, "{from} {time} {to}");
                }
            }
            let tenths = |s: f64| half_up(s * 10.0);
            let all = section.groups.iter().flat_map(|group| &group.members).map(inner);
            let all: Vec<_> = all.map(|(from, to)| range(tenths(from), tenths(to))).collect();
            prop_assert_eq!(section.groups.len(), by_trying_all(&all));
        }
        for group in found.sections.iter().flat_map(|section| &section.groups) {
            // the paces of all may have too little in common for a whole second over a repetition
            let own = || group.members.iter().map(|member| member.repetition.unwrap());
            let second = |s: u32| own().all(|own| own.holds(SplitTime::from_tenths(s * 10)));
            let any_second = (0..3_600).any(second);
            for member in &group.members {
                let (_, zones) = &all[member.name.parse::<usize>().unwrap()];
                let band = zones.zones.zones[usize::from(zone) - 1].pace.unwrap();
                let shown = crate::zones::shown::shown_pace(band, units);
                let times = [(group.lap, lap), (Some(group.repetition), Some(metres))];
                for (time, over) in times {
                    let (Some(time), Some(over)) = (time, over) else { continue };
                    let pace = (time.s() * unit / over + 0.5).floor();
                    prop_assert!(shown.slowest_s.is_none_or(|slow| pace <= f64::from(slow)), "{pace}");
                    prop_assert!(shown.fastest_s.is_none_or(|fast| pace >= f64::from(fast)), "{pace}");
                }
                prop_assert!(group.lap.is_none_or(|time| member.lap.unwrap().holds(time)));
                prop_assert!(member.repetition.unwrap().holds(group.repetition) || !any_second);
            }
        }
    }
}
