//! The squad as a whole: the same each time, and each of the cast as they are meant to be.

use std::collections::BTreeSet;

use super::simulate::Truth;
use super::*;

fn day(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).unwrap()
}

fn today() -> NaiveDate {
    day(2026, 11, 25)
}

/// One athlete's runs of one kind, oldest first: days ago and mean speed.
fn speeds(squad: &DemoSquad, name: &str, kind: TestKind) -> Vec<(i64, f64)> {
    let runs = squad
        .runs
        .iter()
        .filter(|run| squad.athletes[run.athlete].name == name && run.kind == kind);
    runs.map(|run| {
        let truth = run.simulate().unwrap().truth;
        ((today() - run.on).num_days(), truth.distance.m() / kind.length_s())
    })
    .collect()
}

fn mean(values: &[(i64, f64)]) -> f64 {
    values.iter().map(|(_, speed)| speed).sum::<f64>() / values.len() as f64
}

/// Change in per cent from the mean of the first four tests to that of the last four.
fn change_percent(squad: &DemoSquad, name: &str, kind: TestKind) -> f64 {
    let all = speeds(squad, name, kind);
    100.0 * (mean(&all[all.len() - 4..]) / mean(&all[..4]) - 1.0)
}

#[test]
fn the_same_day_gives_the_same_squad_and_another_day_the_same_runs_moved() {
    let (one, two, later) = (squad(today()), squad(today()), squad(day(2027, 2, 28)));
    assert_eq!(one, two);
    for ((first, second), third) in one.runs.iter().zip(&two.runs).zip(&later.runs).step_by(9) {
        let recording = first.recording().unwrap();
        assert_eq!(recording, second.recording().unwrap());
        assert_eq!(recording.samples(), third.recording().unwrap().samples());
        assert_eq!(third.on - first.on, day(2027, 2, 28) - today());
        assert_eq!(recording.started_at(), Some(first.start));
    }
}

#[test]
fn the_ends_of_the_calendar_do_not_panic() {
    for on in [NaiveDate::MIN, NaiveDate::MAX, day(2028, 2, 29)] {
        assert_eq!(squad(on).athletes.len(), 14);
    }
}

#[test]
fn every_run_is_plausible() {
    let squad = squad(today());
    for run in &squad.runs {
        let simulated = run.simulate().unwrap();
        let highest = crate::cast::CAST[run.athlete].highest_bpm;
        for sample in simulated.recording.samples() {
            assert!(
                sample.heart_rate.is_none_or(|rate| rate.bpm() <= highest),
                "{}",
                run.file_name
            );
        }
        let Truth { effort, mean_heart_rate, .. } = simulated.truth;
        assert!((effort.length_s() - run.kind.length_s()).abs() < 1e-9);
        assert!(effort.to <= simulated.recording.duration());
        assert!(mean_heart_rate.bpm() < 0.97 * highest);
        if let Some(target) = run.target_heart_rate {
            assert!((mean_heart_rate.bpm() - target.bpm()).abs() < 4.0, "{}", run.file_name);
        }
        let lap_is_effort = simulated.recording.laps().iter().any(|lap| lap.span == effort);
        assert!(lap_is_effort || run.run.device.marks != simulate::Marks::Lap);
    }
    let names: BTreeSet<_> = squad.runs.iter().map(|run| &run.file_name).collect();
    assert_eq!(names.len(), squad.runs.len());
}

#[test]
fn tests_lie_48_hours_apart_and_never_inside_a_span_away() {
    let squad = squad(today());
    for pair in squad.runs.windows(2).filter(|pair| pair[0].athlete == pair[1].athlete) {
        assert!((pair[1].start - pair[0].start).num_hours() >= 48, "{}", pair[1].file_name);
    }
    for run in &squad.runs {
        assert!(run.on < today() && (today() - run.on).num_days() < 560);
        for away in &squad.athletes[run.athlete].away {
            assert!(run.on < away.from || away.to.is_some_and(|last| run.on > last));
        }
    }
}

#[test]
fn speeds_fall_with_the_length_of_the_test() {
    let squad = squad(today());
    for athlete in squad.athletes.iter().filter(|athlete| athlete.name != "Tom Akerele") {
        let newest = |kind| speeds(&squad, &athlete.name, kind).last().map(|(_, speed)| *speed);
        let five = newest(TestKind::FiveMinutes).unwrap();
        let twenty = newest(TestKind::TwentyMinutes).unwrap();
        assert!(five > twenty, "{}", athlete.name);
        assert!(
            newest(TestKind::FortyMinutes).is_none_or(|forty| forty < twenty),
            "{}",
            athlete.name
        );
    }
}

#[test]
fn the_cast_improve_stay_and_decline_as_written() {
    let squad = squad(today());
    for kind in [TestKind::FiveMinutes, TestKind::TwentyMinutes] {
        assert!(change_percent(&squad, "Priya Ramanathan", kind) > 4.0);
        assert!(change_percent(&squad, "Mirela Stanescu", kind) > 3.0);
        assert!(change_percent(&squad, "Aiko Brandt", kind).abs() < 3.5);
        assert!(change_percent(&squad, "Ciarán Dewhurst", kind) < -1.5);
    }
}

/// The trend of one athlete's tests of one kind, as if all counted.
fn trend(squad: &DemoSquad, name: &str, kind: TestKind) -> pacewright_core::trend::TrendChange {
    use pacewright_core::physiology::reliability::speed_percent;
    use pacewright_core::trend::{Observation, of_observations};
    let mut tests: Vec<Observation> = speeds(squad, name, kind)
        .into_iter()
        .map(|(days, speed)| Observation {
            on: today() - chrono::TimeDelta::days(days),
            speed: pacewright_core::units::Speed::from_m_per_s(speed).unwrap(),
            error: speed_percent(kind, false) / 100.0,
        })
        .collect();
    tests.sort_by_key(|test| test.on);
    of_observations(kind, &tests, &[], today()).unwrap().change.unwrap()
}

#[test]
fn the_trend_tells_the_cast_apart() {
    use pacewright_core::change::Verdict;
    let squad = squad(today());
    let losing = |verdict| matches!(verdict, Verdict::LikelyLoss | Verdict::ClearLoss);
    for kind in TestKind::ALL {
        assert!(!losing(trend(&squad, "Priya Ramanathan", kind).verdict));
        let flat = trend(&squad, "Aiko Brandt", kind);
        assert_eq!(flat.verdict, Verdict::NoClearChange, "{flat:?}");
    }
    assert_eq!(
        trend(&squad, "Mirela Stanescu", TestKind::FiveMinutes).verdict,
        Verdict::LikelyGain
    );
}

#[test]
fn two_of_the_last_week_wait_with_changed_zones() {
    let squad = squad(today());
    for (name, kind) in
        [("Priya Ramanathan", TestKind::TwentyMinutes), ("Mirela Stanescu", TestKind::FiveMinutes)]
    {
        let waiting = |run: &&DemoRun| run.to_confirm && squad.athletes[run.athlete].name == name;
        let run = squad.runs.iter().find(waiting).unwrap();
        assert!(run.kind == kind && (today() - run.on).num_days() <= 7);
        let all = speeds(&squad, name, kind);
        let [.., (_, before), (_, newest)] = all.as_slice() else { panic!("{name}") };
        assert!(newest / before > 1.02, "{name}: {before} to {newest}");
    }
    assert_eq!(squad.runs.iter().filter(|run| run.to_confirm).count(), 4);
}

#[test]
fn the_strap_slips_and_the_hills_rise_in_the_newest_test_only() {
    let squad = squad(today());
    let newest = |name: &str| {
        let of = |run: &&DemoRun| {
            squad.athletes[run.athlete].name == name && run.kind == TestKind::TwentyMinutes
        };
        squad.runs.iter().rfind(of).unwrap().simulate().unwrap()
    };
    let slipped = newest("Lucía Ferreyra");
    let missing =
        slipped.recording.samples().iter().filter(|sample| sample.heart_rate.is_none()).count();
    assert_eq!(missing, 180);
    let hilly = newest("Hamid Nazari").truth;
    assert!(hilly.distance.m() < 0.99 * hilly.level_distance.m());
    let over_hills =
        squad.runs.iter().filter(|run| run.run.course == simulate::Course::hill_lane());
    assert_eq!(over_hills.count(), 1);
}

#[test]
fn those_who_must_not_or_need_not_run_are_there() {
    let squad = squad(today());
    let of = |name: &str| squad.athletes.iter().find(|athlete| athlete.name == name).unwrap();
    let ages: Vec<_> =
        squad.athletes.iter().map(|athlete| today().years_since(athlete.born).unwrap()).collect();
    assert_eq!((ages.iter().min(), ages.iter().max()), (Some(&16), Some(&61)));
    assert!(of("Ελένη Καραμάνη").guardian_consent.is_some());
    assert!(of("Ewan MacAllister").rate_lowering_medication);
    assert_eq!(of("Beatrix Oyelaran").screening, Screening::NotAsked);
    assert!(matches!(of("Wendeline Okoro-Thal").screening, Screening::Hold { .. }));
    let injury = of("Jonas Whitfield").away[0];
    assert_eq!((injury.to.unwrap() - injury.from).num_days(), 35);
    assert!(injury.well_on > injury.to);
    assert_eq!(of("Tom Akerele").bookings[0].on, day(2026, 11, 28));
    for kind in TestKind::ALL {
        assert!(speeds(&squad, "Oskar Lindqvist-Vale", kind).last().unwrap().0 > 56);
    }
    assert!(
        squad
            .runs
            .iter()
            .filter(|run| run.athlete == 2)
            .all(|run| run.kind == TestKind::TwentyMinutes)
    );
}

#[test]
fn no_honest_run_looks_faulty() {
    let squad = squad(today());
    for run in &squad.runs {
        let Simulated { recording, truth } = run.simulate().unwrap();
        let (mut near_cadence, mut same_for, mut longest, mut last) = (0.0, 0.0_f64, 0.0_f64, None);
        for pair in recording.samples().windows(2) {
            let step_s = pair[1].time.s() - pair[0].time.s();
            let (Some(rate), Some(strides)) = (pair[1].heart_rate, pair[1].cadence) else {
                continue;
            };
            same_for = if last == Some(rate) { same_for + step_s } else { 0.0 };
            longest = longest.max(same_for);
            last = Some(rate);
            if (2.0 * strides.per_minute() - rate.bpm()).abs() <= 4.0 {
                near_cadence += step_s;
            }
        }
        // a rate unchanged for a minute, or within 4 of the steps for most of two minutes, is what
        // broken sensors show
        assert!(longest < 60.0, "{}: {longest}", run.file_name);
        assert!(near_cadence < 100.0, "{}: {near_cadence} of {:?}", run.file_name, truth.effort);
    }
}

#[test]
fn the_roster_has_a_row_for_each_athlete() {
    let csv = roster_csv(&squad(today()));
    let rows: Vec<_> = csv.lines().collect();
    assert_eq!(rows.len(), 15);
    assert!(
        rows.iter().all(|row| row.split(',').count() == 12),
        "no cell of the cast holds a comma"
    );
    assert!(rows[11].starts_with("Ciarán Dewhurst,Distance; Hill,"));
    assert!(csv.contains(",not asked,") && csv.contains(",hold 2026-10-23,"));
}

#[test]
fn a_large_squad_has_the_size_asked_for_and_is_the_same_each_time() {
    let size = LargeSquad { athletes: 12, years: 3, tests_per_year: 20, seed: 7 };
    let once: Vec<_> = large(size, today()).collect();
    assert_eq!(once, large(size, today()).collect::<Vec<_>>());
    let names: BTreeSet<_> = once.iter().map(|(athlete, _)| &athlete.name).collect();
    assert_eq!(names.len(), 12);
    for (athlete, runs) in &once {
        // 60, but for a 40-minute test before the first 20-minute test
        assert!((58..=60).contains(&runs.len()), "{}: {}", athlete.name, runs.len());
        let Simulated { recording, truth } = runs[runs.len() - 1].simulate().unwrap();
        assert!((recording.duration().s() - truth.effort.length_s()).abs() < 1e-9);
        assert!(runs.windows(2).all(|pair| pair[0].start < pair[1].start));
    }
    let empty = LargeSquad { athletes: 2, years: 0, tests_per_year: 20, seed: 7 };
    assert!(large(empty, today()).all(|(_, runs)| runs.is_empty()));
}
