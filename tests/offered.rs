//! Whose zones would change: the weekly review names them. A race that stands in for a 20-minute test
//! renews its date once its zones are in force, and the outlook goes by the newest tests.

use pacewright_core::remark::Use;
use pacewright_core::retest::State;
use pacewright_core::review::Concern;
use pacewright_core::test::TestKind::TwentyMinutes;
use pacewright_core::units::Distance;
use pacewright_desk::decide::{Choice, Decided, decide};
use pacewright_desk::enter::enter;
use pacewright_desk::people::{EvidenceForm, Field, Subject};
use pacewright_desk::standing::{self, StandingRow};
use pacewright_desk::whence::races;

use crate::squad::{Papers, Squad, day, noon};

const ADA: &str = "name;screening\nAda Stone;cleared 2026-08-20\n";

fn race(after: u64) -> EvidenceForm {
    EvidenceForm::new(Subject::Race, day(after))
        .with(Field::Distance, "5 km")
        .with(Field::Time, "16:30")
}

fn row(squad: &Squad, after: u64) -> StandingRow {
    standing::rows([&squad.page("Ada Stone")], &noon(after)).remove(0)
}

#[test]
fn a_race_that_would_change_zones_is_named_in_the_review_until_it_is_decided() {
    let squad = Squad::of(ADA);
    squad.tested("ada stone", 1, 4.5, 165.0);
    // 8 weeks after 2 September the window closes, on 28 October; a race of 1 November stands in
    let _noted = enter(&squad.desk, "Ada Stone", &race(61), false, &noon(62)).unwrap();
    let offered = row(&squad, 62);
    assert_eq!(offered.sentence, "The 5 km race of 1 November gives other zones than the card.");
    assert_eq!(offered.act, Some("See the zones"));
    if let Some(review) = Papers::of(&squad.desk, &noon(62)).printed("review.pdf") {
        let said = review.replace('\n', " ");
        assert!(said.contains("gives other zones than the card."), "{review}");
    }
    // somebody who waits for a decision, or must not run, is told of that first
    squad.reads("ada stone later", TwentyMinutes, 63, 4.6, 166.0);
    assert_eq!(row(&squad, 63).act, Some("Open the test"));
}

#[test]
fn zones_by_the_coachs_own_rules_hide_no_test_that_is_late() {
    let squad = Squad::of(ADA);
    squad.tested("ada stone", 1, 4.5, 165.0);
    let share = EvidenceForm::new(Subject::Factor, day(20))
        .with(Field::Factor, "91")
        .with(Field::Reason, "two fades in cool weather");
    let _noted = enter(&squad.desk, "Ada Stone", &share, false, &noon(20)).unwrap();
    assert_eq!(row(&squad, 20).act, Some("See the zones"));
    // judgement: the window closes 8 weeks after 2 September; from then on the test comes first
    let late = row(&squad, 58);
    assert!(matches!(late.concern, Concern::Overdue { .. }), "{late:?}");
}

#[test]
fn on_hold_nothing_is_offered_before_the_hold_has_ended() {
    let squad = Squad::of("name;screening\nAda Stone;hold 2026-08-20\n");
    squad.tested("ada stone", 1, 4.5, 165.0);
    let waits = "On hold: no all-out test. 2 September: 20-minute test, look before it counts.";
    assert_eq!(row(&squad, 2).sentence, waits);
    squad.counts_the_rest(2);
    // a hold stands above a card to hand out, and both are said
    let card = "On hold: no all-out test. New zones since yesterday; hand out the card.";
    assert_eq!((row(&squad, 2).sentence.as_str(), row(&squad, 2).concern), (card, Concern::OnHold));
    let _noted = enter(&squad.desk, "Ada Stone", &race(61), false, &noon(62)).unwrap();
    assert_eq!(row(&squad, 62).sentence, "On hold: no all-out test.");
}

#[test]
fn a_race_in_force_renews_the_date_of_the_test_it_stands_in_for() {
    let squad = Squad::of(ADA);
    squad.tested("ada stone", 1, 4.5, 165.0);
    let twenty = |after| {
        let lines = squad.due("Ada Stone", after).into_iter();
        lines.into_iter().find(|line| line.kind == TwentyMinutes).unwrap()
    };
    let _noted = enter(&squad.desk, "Ada Stone", &race(61), false, &noon(62)).unwrap();
    assert_eq!(twenty(62).state, State::Overdue, "until the coach takes its zones");
    let page = squad.page("Ada Stone");
    let _zones = pacewright_desk::decide::take_offered(&squad.desk, &page, &noon(62)).unwrap();
    let line = twenty(62);
    // 4 and 8 weeks after the race of 1 November (common practice, no source)
    assert_eq!((line.state, line.last_on), (State::Fresh, Some(day(61))));
    assert_eq!((line.opens_on, line.closes_on), (Some(day(89)), Some(day(117))));
    assert_eq!(
        line.why,
        "Run on 1 November; its window opens on 29 November (counted from the 5 km race of 1 November)."
    );
    assert_eq!(twenty(118).state, State::Overdue);
    squad.tested("ada stone again", 90, 4.6, 166.0);
    assert_eq!(twenty(90).last_on, Some(day(90)), "a newer test takes over again");
}

#[test]
fn the_outlook_goes_by_the_newest_test_also_where_it_kept_the_zones() {
    let squad = Squad::of(ADA);
    squad.tested("ada stone", 1, 4.5, 165.0);
    squad.reads("ada stone later", TwentyMinutes, 40, 4.55, 165.0);
    let page = squad.page("Ada Stone");
    let test = page.tests.iter().find(|test| test.on == day(40)).unwrap().clone();
    let decided = Decided { test, choice: Choice::KeepZones, reason: None, good_for: Use::Usable };
    let _outcomes = decide(&squad.desk, &squad.book(), vec![decided], &noon(40)).unwrap();
    let page = squad.page("Ada Stone");
    let zones = page.current(day(40)).unwrap().markers.lt2.speed.unwrap();
    assert!((zones.value.m_per_s() - 0.95 * 4.5).abs() < 1e-3, "the zones were kept");
    let five_km = Distance::from_m(5_000.0).unwrap();
    let races = races(&page, day(41)).unwrap();
    let (_, outlook) = races.usual.into_iter().find(|(distance, _)| *distance == five_km).unwrap();
    // 5460 m in 1200 s by Riegel's 1.06: 1200 (5000 / 5460) ^ 1.06 = 1093.1 s; the older test would say
    // 1200 (5000 / 5400) ^ 1.06 = 1106.0
    assert!((outlook.unwrap().time.s() - 1_093.1).abs() < 1.0);
}
