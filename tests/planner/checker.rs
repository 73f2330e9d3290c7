//! The hard rules once more, written from the program's design and sharing nothing with its code: days
//! are whole numbers, and every rule is a question about them.

use chrono::{Datelike, NaiveDate};

use super::squads::{PlainAthlete, PlainScreening, PlainSquad, Tested};

fn number(date: NaiveDate) -> i64 {
    i64::from(date.num_days_from_ce())
}

/// Every rule that the proposed tests of each athlete break, in words; `booked` holds them in the order
/// of the squad, shorter where the last have none.
pub(crate) fn broken_rules(squad: &PlainSquad, booked: &[Vec<Tested>]) -> Vec<String> {
    let mut faults = Vec::new();
    for (index, tests) in booked.iter().enumerate() {
        let athlete = &squad.athletes[index];
        for (place, test) in tests.iter().enumerate() {
            let others: Vec<&Tested> =
                tests.iter().enumerate().filter(|(i, _)| *i != place).map(|(_, t)| t).collect();
            let found = of_test(athlete, test, &others, squad.today);
            faults.extend(found.into_iter().map(|f| format!("athlete {index}, {test:?}: {f}")));
            if !squad.meetings.iter().any(|meeting| meeting.on == test.on) {
                faults.push(format!("athlete {index}, {test:?}: the squad does not meet"));
            }
        }
    }
    for meeting in &squad.meetings {
        let new = booked.iter().flatten().filter(|test| test.on == meeting.on).count();
        let before = squad.athletes.iter().flat_map(|a| &a.fixed).filter(|t| t.on == meeting.on);
        let before = before.count();
        if new > 0 && new + before > meeting.capacity as usize {
            faults.push(format!(
                "{}: {new} beside {before}, room for {}",
                meeting.on, meeting.capacity
            ));
        }
    }
    faults
}

fn of_test(
    athlete: &PlainAthlete,
    test: &Tested,
    others: &[&Tested],
    today: NaiveDate,
) -> Vec<&'static str> {
    let mut faults = Vec::new();
    let mut say = |broken: bool, fault| {
        if broken {
            faults.push(fault);
        }
    };
    say(test.on < today, "past");
    say(!may_run(athlete, test.on), "not cleared, or no consent");
    say(athlete.aways.iter().any(|a| is_away(a.from, a.to, test.on)), "away");
    say(comes_back_too_soon(athlete, test.on), "returning");
    say(race_too_near(athlete, test), "race");
    let standing = || athlete.run.iter().chain(&athlete.fixed).chain(others.iter().copied());
    say(standing().any(|other| other.on == test.on), "two on one day");
    say(standing().any(|other| too_near(athlete, test, other)), "too near");
    let kinds = athlete.fixed.iter().chain(others.iter().copied());
    say(kinds.into_iter().any(|other| other.minutes == test.minutes), "planned twice");
    if test.minutes == 40 {
        let planned = athlete.fixed.iter().chain(others.iter().copied());
        let mut twenties = planned.filter(|t| t.minutes == 20).map(|t| t.on);
        let target = athlete.target_from.is_some_and(|from| from < test.on)
            || twenties.any(|on| on < test.on);
        say(!target, "no target");
    }
    faults
}

fn age(athlete: &PlainAthlete, on: NaiveDate) -> i32 {
    let birthday_to_come = (on.month(), on.day()) < (athlete.born.month(), athlete.born.day());
    on.year() - athlete.born.year() - i32::from(birthday_to_come)
}

fn may_run(athlete: &PlainAthlete, on: NaiveDate) -> bool {
    let PlainScreening::Cleared { cleared } = athlete.screening else { return false };
    // twelve months: the same day of the next year, or the last of its February
    let lapses = cleared
        .with_year(cleared.year() + 1)
        .or_else(|| NaiveDate::from_ymd_opt(cleared.year() + 1, 2, 28))
        .unwrap();
    on < lapses && (age(athlete, on) >= 18 || athlete.consent.is_some())
}

fn is_away(from: NaiveDate, to: Option<NaiveDate>, on: NaiveDate) -> bool {
    from <= on && to.is_none_or(|to| on <= to)
}

fn comes_back_too_soon(athlete: &PlainAthlete, on: NaiveDate) -> bool {
    athlete.aways.iter().any(|away| {
        let Some(to) = away.to.filter(|to| *to < on) else { return false };
        if away.kind != "injury" && away.kind != "illness" {
            return false;
        }
        let absent = number(to) - number(away.from) + 1;
        let wait = i64::max(14, absent / 2).min(42);
        match away.well_on {
            None => true,
            Some(well) => on < well || number(on) - number(to) - 1 < wait,
        }
    })
}

fn hours_apart(athlete: &PlainAthlete, on: NaiveDate) -> i64 {
    if age(athlete, on) < 16 { 72 } else { 48 }
}

fn race_too_near(athlete: &PlainAthlete, test: &Tested) -> bool {
    athlete.races.iter().any(|race| {
        let since = number(test.on) - number(race.on);
        let rest = match race.metres {
            m if m <= 10_000.0 => 4,
            m if m <= 21_097.5 => 10,
            _ => 21,
        };
        let after = (0..rest).contains(&since);
        let all_out = test.minutes != 40;
        let before_goal = race.goal && all_out && (-7..0).contains(&since);
        let before = all_out && since < 0 && -since * 24 < hours_apart(athlete, test.on);
        after || before_goal || before
    })
}

fn too_near(athlete: &PlainAthlete, test: &Tested, other: &Tested) -> bool {
    let hours = (number(test.on) - number(other.on)).abs() * 24;
    if test.minutes == 40 || other.minutes == 40 {
        return hours < 24;
    }
    hours < hours_apart(athlete, test.on.min(other.on))
}
