//! Forms about athletes and their calendar, field by field.

use std::collections::HashMap;

use pacewright_core::ids::AwayId;
use pacewright_core::schedule::{Away, AwayKind};

use super::*;
use crate::book::Page;
use crate::book::Planning;
use crate::schemes::Schemes;

fn date(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).unwrap()
}

fn book() -> Book {
    Book {
        pages: Vec::new(),
        squads: Vec::new(),
        programmes: Vec::new(),
        last_act: None,
        schemes: Schemes::default(),
        rules: Vec::new(),
    }
}

fn wrong(form: &Form, before: Option<&Athlete>) -> Vec<(Field, String)> {
    let wrong = form.check(before, &book(), date(2026, 11, 25)).unwrap_err();
    wrong.into_iter().map(|wrong| (wrong.field, wrong.sentence)).collect()
}

#[test]
fn each_wrong_field_is_said_with_what_was_typed() {
    let form = Form {
        born: "30.4.1991".to_owned(),
        resting: "186".to_owned(),
        highest: "fast".to_owned(),
        screening: ScreeningChoice::Cleared,
        guardian_consent: "2027-01-01".to_owned(),
        ..Form::default()
    };
    assert_eq!(
        wrong(&form, None),
        [
            (Field::Name, "Give a name; it stands on the card.".to_owned()),
            (Field::Born, "\"30.4.1991\" is not a day like 2001-04-30.".to_owned()),
            (
                Field::ScreenedOn,
                "Give the day of the clearance; it lapses after a year.".to_owned()
            ),
            (Field::GuardianConsent, "2027-01-01 lies ahead; today is 2026-11-25.".to_owned()),
            (
                Field::Resting,
                "\"186\" is not a resting heart rate a person can have: 25 to 120.".to_owned()
            ),
            (Field::Highest, "\"fast\" is not a heart rate: 100 to 240.".to_owned()),
        ]
    );
}

#[test]
fn what_a_form_shows_of_an_athlete_it_gives_back_unchanged() {
    let athlete = Athlete {
        name: "Ελένη O\u{2019}Brien".to_owned(),
        born: Some(date(2010, 5, 10)),
        sex: Some(Sex::Female),
        resting_heart_rate: HeartRate::from_bpm(56.5).ok(),
        max_heart_rate: HeartRate::from_bpm(201.0).ok(),
        rate_lowering_medication: true,
        screening: Screening::Hold { since: Some(date(2026, 10, 1)) },
        guardian_consent: Some(date(2026, 5, 1)),
        sensor: Some(Sensor::Wrist),
        aliases: vec!["Eleni".to_owned(), "EOB".to_owned()],
        notes: "asthma pump in the left pocket".to_owned(),
        ..Athlete::new(AthleteId(4), "")
    };
    let draft = Form::of(&athlete, &[]).check(Some(&athlete), &book(), date(2026, 11, 25)).unwrap();
    assert_eq!(super::super::athlete(athlete.id, draft, Vec::new()), athlete);
}

#[test]
fn new_medication_ends_a_clearance() {
    let athlete = Athlete {
        name: "Ida".to_owned(),
        screening: Screening::Cleared { on: date(2026, 3, 3) },
        ..Athlete::new(AthleteId(4), "")
    };
    let mut form = Form { medication: true, ..Form::of(&athlete, &[]) };
    assert_eq!(wrong(&form, Some(&athlete))[0].0, Field::ScreenedOn);
    form.screened_on = "2026-11-25".to_owned();
    assert!(form.check(Some(&athlete), &book(), date(2026, 11, 25)).is_ok());
}

pub(super) fn page(screening: Screening) -> Page {
    Page {
        planning: Planning::default(),
        athlete: Athlete { screening, ..Athlete::new(AthleteId(4), "") },
        tests: Vec::new(),
        calibrations: Vec::new(),
        bookings: Vec::new(),
        aways: Vec::new(),
        beside: crate::book::Beside::default(),
        scheme: pacewright_core::zones::Scheme::five_zones(),
        judged: HashMap::new(),
        started: HashMap::new(),
    }
}

fn refusal(page: &Page, on: &str) -> Option<String> {
    let form = BookingForm { on: on.to_owned(), ..BookingForm::default() };
    Some(form.check(page, date(2026, 11, 25)).err()?.remove(0).sentence)
}

#[test]
fn who_may_not_run_is_not_booked() {
    let held = page(Screening::Hold { since: None });
    assert_eq!(refusal(&held, "2026-12-01").unwrap(), "On hold: no test until the hold has ended.");
    let mut cleared = page(Screening::Cleared { on: date(2026, 3, 3) });
    assert_eq!(refusal(&cleared, "2026-12-01"), None);
    assert_eq!(
        refusal(&cleared, "2026-11-24").unwrap(),
        "2026-11-24 is over; today is 2026-11-25."
    );
    // the clearance lapses after twelve months (judgement)
    assert!(refusal(&cleared, "2027-03-03").is_some());
    cleared.aways.push(Away {
        id: AwayId(1),
        athlete: AthleteId(4),
        kind: AwayKind::Injury,
        from: date(2026, 11, 1),
        to: Some(date(2026, 11, 30)),
        well_on: None,
    });
    assert!(refusal(&cleared, "2026-11-28").unwrap().starts_with("Away until"));
    assert!(refusal(&cleared, "2026-12-10").unwrap().starts_with("Back from injury"));
    // 30 days away, back on 1 December: 15 days more (judgement)
    cleared.aways[0].well_on = Some(date(2026, 11, 20));
    assert_eq!(
        refusal(&cleared, "2026-12-10").unwrap(),
        "Too soon after injury: not before 16 December."
    );
    assert_eq!(refusal(&cleared, "2026-12-16"), None);
}

#[test]
fn a_span_that_ends_before_it_begins_is_said() {
    let form = AwayForm {
        from: "2026-11-20".to_owned(),
        to: "2026-11-10".to_owned(),
        ..AwayForm::default()
    };
    let wrong = form.check(&Athlete::new(AthleteId(1), ""), date(2026, 11, 25)).unwrap_err();
    assert_eq!(wrong[0].sentence, "The last day cannot stand before the first.");
}

#[test]
fn a_holds_day_never_stands_under_a_clearance() {
    let mut form = Form {
        name: "Ada Stone".to_owned(),
        screening: ScreeningChoice::Hold,
        screened_on: "2026-10-20".to_owned(),
        ..Form::default()
    };
    form.choose_screening(ScreeningChoice::Hold);
    assert_eq!(form.screened_on, "2026-10-20");
    form.choose_screening(ScreeningChoice::Cleared);
    assert_eq!(form.screened_on, "");
    let said = "Give the day of the clearance; it lapses after a year.".to_owned();
    assert_eq!(wrong(&form, None), [(Field::ScreenedOn, said)]);
}

#[test]
fn nobody_typed_is_an_infant() {
    let form =
        Form { name: "Ada Stone".to_owned(), born: "2024-01-01".to_owned(), ..Form::default() };
    let said = "2024-01-01 makes an age of 2: athletes are 5 to 120; check the year.".to_owned();
    assert_eq!(wrong(&form, None), [(Field::Born, said)]);
}

#[test]
fn a_minor_without_a_guardians_consent_is_known_as_soon_as_the_birth_is_typed() {
    let today = date(2026, 11, 25);
    let typed = |born: &str, consent: &str| {
        let (born, guardian_consent) = (born.to_owned(), consent.to_owned());
        Form { born, guardian_consent, ..Form::default() }.lacks_consent(today)
    };
    assert!(typed("2012-01-01", "") && !typed("2012-01-01", "2026-05-01"));
    assert!(!typed("1991-01-01", "") && !typed("2012-01", "") && !typed("", ""));
}
