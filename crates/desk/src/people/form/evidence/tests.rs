//! Forms about evidence: what is wrong is said field by field, what is right comes back as it was.

use pacewright_core::athlete::Screening;

use super::super::tests::page as page_of;
use super::*;

fn page() -> Page {
    page_of(Screening::NotAsked)
}

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 25).unwrap()
}

const KM: UnitSystem = UnitSystem::Kilometres;

fn wrong(form: &EvidenceForm) -> Vec<(Field, String)> {
    let wrong = form.check(&page(), KM, today()).unwrap_err();
    wrong.into_iter().map(|wrong| (wrong.field, wrong.sentence)).collect()
}

fn kept(form: &EvidenceForm) -> Evidence {
    form.check(&page(), KM, today()).unwrap()
}

fn race() -> EvidenceForm {
    EvidenceForm::new(Subject::Race, today()).with(Field::Distance, "5 km")
}

#[test]
fn a_race_is_planned_without_a_time_and_run_with_one() {
    let planned = race().with(Field::On, "2026-12-12").with(Field::Title, "Harbour");
    let Evidence::Race(read) = kept(&planned) else { panic!("a race") };
    assert_eq!((read.result, read.name.as_str(), read.distance.m()), (None, "Harbour", 5_000.0));
    let run = race().with(Field::Time, "16:30").with(Field::Highest, "188");
    let Evidence::Race(read) = kept(&run) else { panic!("a race") };
    assert_eq!(read.result.map(|result| result.duration.s()), Some(990.0));
    let early = planned.with(Field::Time, "16:30");
    let said = "That race is still to come: leave the time empty until it is run.";
    assert_eq!(wrong(&early), [(Field::Time, said.to_owned())]);
}

#[test]
fn what_no_race_can_be_is_said() {
    assert_eq!(
        wrong(&race().with(Field::Distance, "5 furlongs").with(Field::Time, "fast")),
        [
            (
                Field::Distance,
                "\"5 furlongs\" is no distance: write 5400, 5.4 km, or 13 laps 200.".to_owned()
            ),
            (Field::Time, "\"fast\" is no time: write minutes and seconds, 16:40.".to_owned()),
        ]
    );
    let swift = race().with(Field::Time, "6:30");
    assert_eq!(wrong(&swift), [(Field::Time, "5 km in 6:30 cannot be: check both.".to_owned())]);
    assert_eq!(wrong(&race().with(Field::On, ""))[0].1, "Give the day of the race.");
}

#[test]
fn a_laboratory_value_needs_a_number_and_vo2max_has_no_heart_rate() {
    let value = EvidenceForm::new(Subject::Laboratory, today());
    let said = "Give the pace, the heart rate, or both.";
    assert_eq!(wrong(&value), [(Field::Pace, said.to_owned())]);
    let top = EvidenceForm { marker: MarkerName::Vo2max, ..value.clone() };
    assert_eq!(wrong(&top.with(Field::Rate, "186"))[0].0, Field::Rate);
    let Evidence::Laboratory(read) = kept(&value.with(Field::Pace, "14,4 km/h")) else { panic!() };
    assert!((read.speed.unwrap().m_per_s() - 4.0).abs() < 1e-12);
}

#[test]
fn a_factor_is_a_share_with_a_reason() {
    let factor = EvidenceForm::new(Subject::Factor, today()).with(Field::Factor, "60");
    let said = wrong(&factor);
    assert_eq!(said[0].1, "\"60\" is not possible: 85 to 100 % of LT2 heart rate.");
    assert_eq!(said[1].0, Field::Reason);
    // 85.1 over 93.5 % of the maximum in 1,411 runners (Esteve-Lanao 2026)
    let Evidence::Factor(offered) = kept(&EvidenceForm::lower_factor(today())) else { panic!() };
    assert!((offered.factor.ratio() - 0.910_16).abs() < 1e-5);
}

#[test]
fn medication_ends_after_it_began_and_heat_needs_both_numbers() {
    let span = EvidenceForm::new(Subject::Medication, today()).with(Field::To, "2026-11-01");
    assert_eq!(wrong(&span)[0].1, "The last day cannot stand before the first.");
    let test = EvidenceForm::new(Subject::Conditions(TestId(1)), today());
    assert_eq!(wrong(&test)[0].0, Field::Air);
    assert_eq!(wrong(&test.clone().with(Field::Air, "30"))[0].0, Field::Humidity);
    let noted = test.with(Field::Air, "30").with(Field::Humidity, "50 %");
    let Evidence::Conditions(noted) = kept(&noted) else { panic!() };
    // 30 degrees at 50 %: 29.3 (worked by hand from the approximation, which is from memory)
    assert!((noted.conditions.heat().unwrap().degrees() - 29.3).abs() < 0.05);
}

#[test]
fn a_fact_opened_again_is_kept_as_it_was() {
    let facts = [
        race().with(Field::Time, "16:30").with(Field::Title, "Harbour").with(Field::Highest, "188"),
        race().with(Field::Distance, "0.5 miles").with(Field::Time, "2:30"),
        EvidenceForm::new(Subject::Laboratory, today()).with(Field::Rate, "164"),
        EvidenceForm::new(Subject::Laboratory, today()).with(Field::Pace, "4:05"),
        EvidenceForm::new(Subject::Laboratory, today()).with(Field::Pace, "14.7 km/h"),
        EvidenceForm::lower_factor(today()),
        EvidenceForm::new(Subject::Medication, today()).with(Field::Dose, "half a tablet"),
        EvidenceForm::new(Subject::Conditions(TestId(1)), today()).with(Field::Altitude, "640"),
    ];
    for fact in facts.map(|form| kept(&form)) {
        assert_eq!(kept(&EvidenceForm::of(&fact, KM, today())), fact);
    }
}
