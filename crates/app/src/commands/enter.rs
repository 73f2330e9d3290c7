//! `enter`: what stands beside the tests, and other zones than the five.

use pacewright_core::format::day;
use pacewright_core::race::Priority;
use pacewright_desk::enter::{Entered, enter as enter_form, follow, test_on, whose};
use pacewright_desk::people::{EvidenceForm, Field, Subject};
use pacewright_desk::schemes::{choose_scheme, put_scheme_from};
use pacewright_desk::{Desk, Now, Problem, book};

use crate::arguments::enter::{Enter, SchemeFile, What};
use crate::output::Output;

pub(super) fn enter(desk: &Desk, asked: &Enter, now: &Now) -> Result<Output, Problem> {
    let blank = |subject| EvidenceForm::new(subject, now.today);
    let (athlete, form) = match &asked.what {
        What::Race(race) => {
            let priority = if race.goal { Priority::Goal } else { Priority::Other };
            let form = blank(Subject::Race)
                .with(Field::On, &race.on)
                .with(Field::Distance, &race.distance)
                .with(Field::Time, &race.time)
                .with(Field::Title, &race.name)
                .with(Field::Highest, &race.highest_hr);
            (&race.athlete, EvidenceForm { priority, ..form })
        }
        What::Laboratory(value) => {
            let form = blank(Subject::Laboratory)
                .with(Field::On, &value.on)
                .with(Field::Pace, &value.pace)
                .with(Field::Rate, &value.hr)
                .with(Field::Notes, &value.notes);
            let (marker, protocol) = (value.marker, value.protocol);
            (&value.athlete, EvidenceForm { marker, protocol, ..form })
        }
        What::Factor(factor) => {
            let form = blank(Subject::Factor)
                .with(Field::From, &factor.from)
                .with(Field::Factor, &factor.percent)
                .with(Field::Reason, &factor.reason);
            (&factor.athlete, form)
        }
        What::Medication(span) => {
            let form = blank(Subject::Medication)
                .with(Field::From, &span.from)
                .with(Field::To, &span.to)
                .with(Field::Dose, &span.dose)
                .with(Field::Reason, &span.reason);
            (&span.athlete, form)
        }
        What::Conditions(noted) => {
            let test = test_on(desk, &noted.athlete, noted.test, noted.on)?;
            let form = blank(Subject::Conditions(test))
                .with(Field::Air, &noted.air)
                .with(Field::Humidity, &noted.humidity)
                .with(Field::Heat, &noted.wbgt)
                .with(Field::Altitude, &noted.altitude);
            (&noted.athlete, EvidenceForm { ground: noted.ground, ..form })
        }
        What::Scheme(file) => return scheme(desk, file, asked.in_force, now),
    };
    Ok(Output::text(in_words(&enter_form(desk, athlete, &form, asked.in_force, now)?)))
}

fn scheme(desk: &Desk, asked: &SchemeFile, in_force: bool, now: &Now) -> Result<Output, Problem> {
    let book = book::open(desk)?;
    let followers = whose(&book, asked.athlete.as_deref(), asked.squad.as_deref())?;
    put_scheme_from(desk, &asked.name, &asked.file, now)?;
    let mut said = format!("The zone scheme {} is written down.", asked.name);
    if let Some(followers) = followers {
        choose_scheme(desk, followers, Some(&asked.name), now)?;
        said.push_str(" New zones follow it.");
    }
    let Some(athlete) = &asked.athlete else { return Ok(Output::text(said)) };
    Ok(Output::text(in_words(&follow(desk, book.of_athlete(athlete)?, said, in_force, now)?)))
}

fn in_words(entered: &Entered) -> String {
    let mut lines = vec![entered.said.clone()];
    if !entered.moved.is_empty() {
        lines.push(format!("By this entry: {}.", entered.moved.join(", ")));
    } else if entered.zones.is_none() && entered.why_not.is_none() {
        lines.push("It changes no zones.".to_owned());
    }
    lines.extend(entered.why_not.clone());
    match &entered.zones {
        Some(zones) if entered.in_force => {
            lines.push(format!("New zones are in force from {}.", day(zones.from)));
        }
        Some(_) if entered.other_zones => {
            let next = "Other zones follow: say --in-force, or look at the athlete's page.";
            lines.push(next.to_owned());
        }
        _ => {}
    }
    lines.join("\n")
}
