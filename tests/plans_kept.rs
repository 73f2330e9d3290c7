//! Plans, moves, races and days away into the library and back: one act each, refused whole.

use chrono::{NaiveDate, TimeDelta};
use pacewright_core::remark::Use;
use pacewright_core::test::TestKind;
use pacewright_desk::decide::{Choice, Decided, decide};
use pacewright_desk::plan::{
    Asked, Compared, Line, Proposal, accept, cancel, move_booking, propose,
};
use pacewright_desk::programmes::{ProgrammeForm, keep_own_window};
use pacewright_desk::{Now, entries, history};

use crate::squad::{Squad, day, noon};

const ROSTER: &str = "name,squad,screening\n\
    Ada Stone,Mile,cleared 2026-08-01\n\
    Bo Reed,Mile,cleared 2026-08-01\n\
    Cy Hart,Mile,hold\n";

fn asked(squad: &Squad, days: &[u64], capacity: u32) -> Asked {
    let dates: Vec<NaiveDate> = days.iter().map(|after| day(*after)).collect();
    Asked::of(&squad.book(), &dates, capacity)
}

fn bookings(squad: &Squad) -> usize {
    squad.book().pages.iter().map(|page| page.bookings.len()).sum()
}

#[test]
fn a_proposal_is_booked_in_one_act_and_undone_in_one() {
    let squad = Squad::of(ROSTER);
    let question = asked(&squad, &[1, 3, 6, 8], 4);
    let plan = propose(&squad.book(), &question, &noon(0), &mut |_| true).unwrap();
    assert_eq!(plan.lines.len(), 6, "three tests each for the two who are cleared");
    assert!(plan.lines.iter().all(|line| line.beside == Compared::New));
    assert!(plan.unplaced.iter().all(|one| one.name == "Cy Hart"));
    // a part of it first
    let _part = accept(&squad.desk, &plan.lines[..2], &noon(0)).unwrap();
    assert_eq!(bookings(&squad), 2);
    let _undone = history::undo(&squad.desk).unwrap().unwrap();
    assert_eq!(bookings(&squad), 0);
    let accepted = accept(&squad.desk, &plan.lines, &noon(0)).unwrap();
    assert_eq!((accepted.new, accepted.moved), (6, 0));
    // planned anew, the same plan is booked already
    let again = Asked { anew: true, ..question };
    let again = propose(&squad.book(), &again, &noon(0), &mut |_| true).unwrap();
    assert!(again.lines.iter().all(|line| matches!(line.beside, Compared::Same(_))), "{again:?}");
    let _undone = history::undo(&squad.desk).unwrap().unwrap();
    assert_eq!(bookings(&squad), 0);
}

#[test]
fn who_has_no_zones_goes_before_who_trains_by_old_ones() {
    let squad = Squad::of(ROSTER);
    squad.tested("Ada Stone", 0, 4.0, 160.0);
    // after 100 days Ada's 20-minute test is overdue; Bo was never tested
    let planned = |days: &[u64]| {
        let question = asked(&squad, days, 1);
        let plan = propose(&squad.book(), &question, &noon(100), &mut |_| true).unwrap();
        let line = |line: &Line| (line.name.clone(), line.kind);
        plan.lines.iter().map(line).collect::<Vec<_>>()
    };
    let [bo, ada] = ["Bo Reed", "Ada Stone"].map(|who| (who.to_owned(), TestKind::TwentyMinutes));
    assert_eq!(planned(&[101]), std::slice::from_ref(&bo));
    // Bo's further tests wait for Ada's old zones
    let mut two = planned(&[101, 103]);
    two.sort();
    assert_eq!(two, [ada, bo]);
}

#[test]
fn who_ran_and_waits_for_a_decision_is_not_sent_to_run_it_again() {
    let squad = Squad::of(ROSTER);
    squad.reads("bo reed", TestKind::TwentyMinutes, 0, 4.0, 160.0);
    let plan = |after: u64| {
        let question = asked(&squad, &[after], 4);
        propose(&squad.book(), &question, &noon(after - 1), &mut |_| true).unwrap()
    };
    let twenty = |name: &str, plan: &Proposal| {
        let of = |line: &&Line| line.name == name && line.kind == TestKind::TwentyMinutes;
        plan.lines.iter().filter(of).count()
    };
    let waits = plan(4);
    assert_eq!((twenty("Ada Stone", &waits), twenty("Bo Reed", &waits)), (1, 0));
    let why = waits
        .unplaced
        .iter()
        .find(|one| one.name == "Bo Reed" && one.kind == TestKind::TwentyMinutes);
    assert_eq!(
        why.map(|one| one.reason.as_str()),
        Some("The one of 1 September waits for your decision: decide it first, then plan anew.")
    );
    // set aside, it is to be run again
    let test = squad.page("Bo Reed").tests[0].clone();
    let reason = Some("the watch stopped".to_owned());
    let aside = Decided { test, choice: Choice::SetAside, reason, good_for: Use::Usable };
    let _outcome = decide(&squad.desk, &squad.book(), vec![aside], &noon(3)).unwrap();
    assert_eq!(twenty("Bo Reed", &plan(4)), 1);
}

#[test]
fn a_test_that_was_read_in_meanwhile_is_not_booked_again() {
    let squad = Squad::of(ROSTER);
    let question = asked(&squad, &[4], 4);
    let plan = propose(&squad.book(), &question, &noon(0), &mut |_| true).unwrap();
    let is_bo = |line: &&Line| line.name == "Bo Reed" && line.kind == TestKind::TwentyMinutes;
    let lines: Vec<Line> = plan.lines.iter().filter(is_bo).cloned().collect();
    assert_eq!(lines.len(), 1, "{plan:?}");
    squad.reads("bo reed", TestKind::TwentyMinutes, 0, 4.0, 160.0);
    let refused = accept(&squad.desk, &lines, &noon(0)).unwrap_err().to_string();
    assert_eq!(
        refused,
        "Nothing was booked. Bo Reed, 20-minute test on 5 September: The one of 1 September waits for \
         your decision: decide it first, then plan anew."
    );
    assert_eq!(bookings(&squad), 0);
    // set aside, the place is theirs
    let test = squad.page("Bo Reed").tests[0].clone();
    let reason = Some("the watch stopped".to_owned());
    let aside = Decided { test, choice: Choice::SetAside, reason, good_for: Use::Usable };
    let _outcome = decide(&squad.desk, &squad.book(), vec![aside], &noon(0)).unwrap();
    let accepted = accept(&squad.desk, &lines, &noon(0)).unwrap();
    assert_eq!((accepted.new, bookings(&squad)), (1, 1));
}

#[test]
fn a_plan_that_no_longer_fits_is_not_half_booked() {
    let squad = Squad::of(ROSTER);
    let plan = propose(&squad.book(), &asked(&squad, &[1, 3, 6, 8], 4), &noon(0), &mut |_| true);
    let plan = plan.unwrap();
    // meanwhile Bo is hurt
    let list = entries::read(&squad.book(), "Bo Reed: since 1 Sep injury", None, &[], &noon(0));
    let _entered = entries::enter(&squad.desk, &list, &noon(0)).unwrap();
    let refused = accept(&squad.desk, &plan.lines, &noon(0)).unwrap_err().to_string();
    assert!(refused.starts_with("Nothing was booked. Bo Reed"), "{refused}");
    assert_eq!(bookings(&squad), 0);
}

#[test]
fn a_day_that_was_filled_meanwhile_takes_no_more() {
    let squad = Squad::of(ROSTER);
    let everybody = asked(&squad, &[1], 1);
    let of = |asked: &Asked| propose(&squad.book(), asked, &noon(0), &mut |_| true).unwrap().lines;
    let lines = of(&everybody);
    let first = lines[0].athlete;
    let others = everybody.athletes.iter().copied().filter(|athlete| *athlete != first).collect();
    let of_others = of(&Asked { athletes: others, ..everybody.clone() });
    assert_eq!((lines.len(), of_others.len()), (1, 1));
    let _booked = accept(&squad.desk, &of_others, &noon(0)).unwrap();
    let refused = accept(&squad.desk, &lines, &noon(0)).unwrap_err().to_string();
    assert_eq!(
        refused,
        "Nothing was booked. Wed 2 September has room for 1, but another is booked there beside the 1 \
         chosen: choose fewer, cancel a booking, or propose anew."
    );
    assert_eq!(bookings(&squad), 1);
    // the place is given back
    let _undone = history::undo(&squad.desk).unwrap().unwrap();
    let _booked = accept(&squad.desk, &lines, &noon(0)).unwrap();
    assert_eq!(bookings(&squad), 1);
    let again = accept(&squad.desk, &lines, &noon(0)).unwrap_err().to_string();
    assert!(again.contains("it was booked meanwhile: propose anew"), "{again}");
}

#[test]
fn a_booking_that_was_moved_meanwhile_is_not_moved_back() {
    let squad = Squad::of(ROSTER);
    let question = asked(&squad, &[1, 3, 6, 8], 2);
    let of = |asked: &Asked| propose(&squad.book(), asked, &noon(0), &mut |_| true).unwrap().lines;
    let _booked = accept(&squad.desk, &of(&question), &noon(0)).unwrap();
    let same = of(&Asked { anew: true, ..question.clone() });
    let ada = squad.page("Ada Stone");
    let forty = ada.bookings.iter().find(|b| b.kind == TestKind::FortyMinutes).unwrap();
    let _moved = move_booking(&squad.desk, forty, day(30), &noon(0)).unwrap();
    let refused = accept(&squad.desk, &same, &noon(0)).unwrap_err().to_string();
    assert!(refused.starts_with("Nothing was booked. Ada Stone, 40-minute test"), "{refused}");
    assert!(refused.contains("its booking was moved to"), "{refused}");
    let _gone = cancel(&squad.desk, forty, &noon(0)).unwrap();
    let refused = accept(&squad.desk, &same, &noon(0)).unwrap_err().to_string();
    assert!(refused.contains("its booking was cancelled meanwhile"), "{refused}");
}

#[test]
fn a_clock_that_was_set_back_is_named() {
    let squad = Squad::of(ROSTER);
    let plan = propose(&squad.book(), &asked(&squad, &[1, 3], 4), &noon(0), &mut |_| true).unwrap();
    let _accepted = accept(&squad.desk, &plan.lines, &noon(30)).unwrap_err();
    let _accepted = accept(&squad.desk, &plan.lines[..1], &noon(0)).unwrap();
    let earlier = Now { instant: noon(0).instant - TimeDelta::days(40), ..noon(0) };
    let refused = accept(&squad.desk, &plan.lines[1..], &earlier).unwrap_err().to_string();
    assert!(refused.contains("set the clock right"), "{refused}");
    assert_eq!(bookings(&squad), 1);
}

#[test]
fn a_move_keeps_the_rules_and_a_done_test_closes_its_booking() {
    let squad = Squad::of(ROSTER);
    let plan = propose(&squad.book(), &asked(&squad, &[1, 3, 6, 8], 4), &noon(0), &mut |_| true);
    let _accepted = accept(&squad.desk, &plan.unwrap().lines, &noon(0)).unwrap();
    let page = squad.page("Ada Stone");
    let of = |kind| page.bookings.iter().find(|b| b.kind == kind).unwrap().clone();
    let [five, twenty, forty] = TestKind::ALL.map(of);
    let moved = |booking, to| move_booking(&squad.desk, booking, to, &noon(0));
    let refused = moved(&forty, twenty.on).unwrap_err().to_string();
    assert!(refused.contains("one test a day") && refused.contains("stays where it was"));
    let refused = moved(&twenty, day(40)).unwrap_err().to_string();
    assert!(refused.contains("20-minute test gives its target"), "{refused}");
    let refused = moved(&five, twenty.on + TimeDelta::days(1)).unwrap_err().to_string();
    assert!(refused.contains("48 hours"), "{refused}");
    let _said = moved(&forty, day(30)).unwrap();
    assert_eq!(squad.page("Ada Stone").bookings.len(), 3);
    // it is run a day late
    squad.reads("Ada Stone", TestKind::TwentyMinutes, 10, 4.0, 160.0);
    let open = |name: &str| squad.page(name).open_bookings(day(0)).count();
    let near = (twenty.on - day(10)).num_days().abs() <= 7;
    assert_eq!(open("Ada Stone"), if near { 2 } else { 3 });
    let _gone = cancel(&squad.desk, &five, &noon(0)).unwrap();
    assert_eq!(squad.page("Ada Stone").bookings.len(), 2);
}

#[test]
fn a_list_is_entered_whole_or_not_at_all() {
    let squad = Squad::of(ROSTER);
    let book = squad.book();
    let everyone: Vec<_> = book.pages.iter().map(|page| page.athlete.id).collect();
    let read = |text: &str| entries::read(&squad.book(), text, None, &everyone, &noon(0));
    let bad = read(
        "Ada Stone: 12 Jan - 26 Jan holiday\n\
         Ada Stone: 20 Jan - 30 Jan camp\n\
         Nobody Here: 12 Jan ill\n\
         12 Jan ill\n\
         Bo Reed: 26 Jan - 12 Jan 2027 holiday\n",
    );
    let wrong: Vec<(usize, &str)> =
        bad.wrong.iter().map(|wrong| (wrong.line, wrong.sentence.as_str())).collect();
    assert_eq!(wrong.len(), 4, "{wrong:?}");
    assert!(wrong[0].1.contains("overlaps Ada Stone's holiday"), "{wrong:?}");
    assert!(wrong[1].1.contains("no athlete \"Nobody Here\""), "{wrong:?}");
    assert!(wrong[2].1.contains("Whose is it?"), "{wrong:?}");
    let refused = entries::enter(&squad.desk, &bad, &noon(0)).unwrap_err().to_string();
    assert!(refused.starts_with("Nothing was entered. Line 2: "), "{refused}");
    assert_eq!(squad.page("Ada Stone").aways, []);

    let good =
        read("Everyone: Sun 29 Nov 5 km Harbour Run goal\nAda Stone: 12 Jan - 26 Jan holiday");
    assert_eq!((good.entries.len(), good.wrong.len()), (4, 0), "{good:?}");
    let _said = entries::enter(&squad.desk, &good, &noon(0)).unwrap();
    let ada = squad.page("Ada Stone");
    assert_eq!((ada.aways.len(), ada.beside.races.len()), (1, 1));
    assert!(read("Bo Reed: 29 Nov 10 km").wrong[0].sentence.contains("has a race"));
    let _undone = history::undo(&squad.desk).unwrap().unwrap();
    assert_eq!(squad.page("Bo Reed").beside.races, []);
}

#[test]
fn a_race_to_come_of_somebody_who_must_not_run_is_said() {
    let squad =
        Squad::of("name;screening\nAda Stone;hold 2026-08-20\nBo Reed;cleared 2026-08-20\n");
    let everyone: Vec<_> = squad.book().pages.iter().map(|page| page.athlete.id).collect();
    let beware = |line: &str| {
        let list = entries::read(&squad.book(), line, None, &everyone, &noon(0));
        let said = list.entries.into_iter().map(|entry| (entry.name, entry.beware));
        said.collect::<Vec<_>>()
    };
    let held = Some("Must not run all-out then: on hold.".to_owned());
    let both = [("Ada Stone".to_owned(), held), ("Bo Reed".to_owned(), None)];
    assert_eq!(beware("Everyone: 29 Nov 5 km Harbour Run goal"), both);
    // what was run was run
    assert_eq!(beware("Ada Stone: 5 July 2026 5 km 20:00"), [("Ada Stone".to_owned(), None)]);
}

#[test]
fn a_race_on_a_booked_day_is_said_and_the_plan_keeps_away_from_it() {
    let squad = Squad::of(ROSTER);
    let plan = propose(&squad.book(), &asked(&squad, &[20], 4), &noon(0), &mut |_| true).unwrap();
    let _accepted = accept(&squad.desk, &plan.lines, &noon(0)).unwrap();
    let race = entries::read(&squad.book(), "Ada Stone: 21 Sep 5 km", None, &[], &noon(0));
    let beware = race.entries[0].beware.clone().unwrap();
    assert!(beware.contains("booked on that day"), "{beware}");
    let near = |line| {
        let list = entries::read(&squad.book(), line, None, &[], &noon(0));
        list.entries[0].beware.clone()
    };
    let goal = near("Ada Stone: 25 Sep 10 km Harbour Run goal").unwrap();
    assert!(goal.contains("booked for 21 September") && goal.contains("7 days"), "{goal}");
    assert_eq!(near("Ada Stone: 12 Oct 10 km Harbour Run goal"), None);
    let _entered = entries::enter(&squad.desk, &race, &noon(0)).unwrap();
    let anew = Asked { anew: true, ..asked(&squad, &[20, 23, 25], 4) };
    let plan = propose(&squad.book(), &anew, &noon(0), &mut |_| true).unwrap();
    // 21 September is day 20; four days after a race of 5 km is the 25th, day 24
    let ada = plan.lines.iter().filter(|line| line.name == "Ada Stone");
    assert!(ada.clone().all(|line| line.on == day(25)), "{:?}", ada.collect::<Vec<_>>());
}

#[test]
fn the_squads_window_counts_and_an_athletes_own_before_it() {
    let squad = Squad::of(ROSTER);
    squad.tested("Ada Stone", 0, 4.0, 160.0);
    let opens = |after| squad.due("Ada Stone", after)[1].opens_on;
    assert_eq!(opens(1), Some(day(28)));
    let book = squad.book();
    let mut form = ProgrammeForm::of(&book, book.squads[0].id);
    form.window = "6 to 10".to_owned();
    form.season[0] = "Apr-Aug".to_owned();
    let _said = form.keep(&squad.desk, book.squads[0].id, &noon(1)).unwrap();
    assert_eq!(opens(1), Some(day(42)));
    let ada = squad.page("Ada Stone").athlete.id;
    keep_own_window(&squad.desk, ada, "3 to 6", &noon(1)).unwrap();
    assert_eq!(opens(1), Some(day(21)));
    // typed with the squad's programme
    let book = squad.book();
    let mut form = ProgrammeForm::of(&book, book.squads[0].id);
    assert_eq!(form.own, "Ada Stone: 3 to 6");
    form.own = "Ada Stone: 2 to 6; Bo Reed: 5 to 9".to_owned();
    let _said = form.keep(&squad.desk, book.squads[0].id, &noon(1)).unwrap();
    assert_eq!(opens(1), Some(day(14)));
    form.own = "Nobody: 2 to 6".to_owned();
    assert!(form.keep(&squad.desk, book.squads[0].id, &noon(1)).is_err());
    assert_eq!(opens(1), Some(day(14)));
    keep_own_window(&squad.desk, ada, "", &noon(1)).unwrap();
    assert_eq!(opens(1), Some(day(42)));
    // in September the squad runs no 5-minute tests
    let plan = propose(&squad.book(), &asked(&squad, &[3, 6, 9], 6), &noon(1), &mut |_| true);
    let plan = plan.unwrap();
    assert!(plan.lines.iter().all(|line| line.kind != TestKind::FiveMinutes), "{plan:?}");
    assert!(!plan.lines.is_empty());
}
