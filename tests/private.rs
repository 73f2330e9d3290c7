//! What the papers say of those who must not run, who heal, who take medication; and what they never
//! say of anyone.

use pacewright_core::retest::Hold;
use pacewright_core::schedule::AwayKind;
use pacewright_core::test::TestKind;
use pacewright_desk::papers::{SessionTyped, SplitsAsked, splits};
use pacewright_desk::schedule::{ToBook, ToNote, enter};
use pacewright_desk::standing;

use crate::squad::{Papers, Squad, day, noon, printed};

/// Five who may not run for five reasons, one without heart rates, and one for whom nothing holds.
/// Words that stand nowhere else mark what is private.
const ROSTER: &str = "\
name,born,medication,screening,sensor,guardian_consent,notes\n\
Ada Stone,1990-01-01,no,cleared 2026-09-01,strap,,quokkanote\n\
Bo Reed,1990-01-01,no,hold 2026-09-20,strap,,myocarditis since spring\n\
Cy Hart,2011-01-01,no,cleared 2026-09-01,strap,,parents separated\n\
Di Moss,1990-01-01,no,cleared 2026-09-01,strap,,stress fracture tibia\n\
Ed Lane,1960-01-01,yes,cleared 2026-09-01,strap,,metoprolol 50 mg\n\
Fay Cole,1990-01-01,no,cleared 2026-09-01,wrist,,quokkanote\n\
Gus Webb,1990-01-01,no,not asked,strap,,quokkanote\n";

const NAMES: [&str; 7] =
    ["Ada Stone", "Bo Reed", "Cy Hart", "Di Moss", "Ed Lane", "Fay Cole", "Gus Webb"];
const MAY_NOT_RUN: [&str; 4] = ["Bo Reed", "Cy Hart", "Di Moss", "Gus Webb"];

/// Everyone tested on the second of September; Di hurt from the 10th to the 30th; everyone booked.
fn squad(booked_after: Option<u64>) -> Squad {
    let squad = Squad::of_day(ROSTER, 20);
    for (place, name) in (0_u8..).zip(NAMES) {
        let slower = f64::from(place) / 10.0;
        squad.reads(name, TestKind::TwentyMinutes, 1, 4.5 - slower, 165.0);
    }
    assert_eq!(squad.confirms(1).len(), NAMES.len());
    squad.counts_the_rest(1);
    let id = |name: &str| squad.page(name).athlete.id;
    let bookings = booked_after.map(|after| {
        let book = |name: &&str| ToBook {
            athlete: id(name),
            kind: TestKind::TwentyMinutes,
            on: day(after),
        };
        NAMES.iter().map(book).collect()
    });
    let hurt = ToNote {
        athlete: id("Di Moss"),
        kind: AwayKind::Injury,
        from: day(9),
        to: Some(day(29)),
        well_on: None,
    };
    enter(&squad.desk, bookings.unwrap_or_default(), vec![hurt], &noon(2)).unwrap();
    squad
}

/// One athlete's card, from their name to the caution at its foot.
fn card(cards: &str, name: &str) -> String {
    let from = cards.find(name).unwrap_or_else(|| panic!("no card of {name}"));
    let rest = &cards[from..];
    rest[..rest.find("not medical").unwrap()].to_owned()
}

fn documents(papers: &Papers) -> Option<[String; 3]> {
    Some([
        papers.printed("cards.pdf")?,
        papers.printed("test-day.pdf")?,
        papers.printed("review.pdf")?,
    ])
}

#[test]
fn the_test_day_sheet_names_who_must_not_run_and_gives_them_no_test() {
    // on a booked day, and with nothing booked on a day when everyone is due (35 days after)
    for booked in [Some(40), None] {
        let squad = squad(booked);
        let papers = squad.papers(&noon(35));
        let Some([_, sheet, _]) = documents(&papers) else { return };
        let (head, tests) = sheet.split_once("20-minute test").unwrap();
        for name in NAMES {
            assert_eq!(sheet.matches(name).count(), 1, "{name} stands in one place\n{sheet}");
            let may_not = MAY_NOT_RUN.contains(&name);
            assert_eq!(head.contains(name), may_not, "{name}\n{sheet}");
            assert_eq!(tests.contains(name), !may_not, "{name}\n{sheet}");
        }
        let must_not = head.split_once("Must not run all-out").unwrap().1;
        let (must_not, ask) = must_not.split_once("Ask about health first: ").unwrap();
        assert!(must_not.contains("Bo Reed") && must_not.contains("Di Moss"), "{sheet}");
        assert!(ask.contains("Cy Hart") && ask.contains("Gus Webb"), "{sheet}");
        for words in ["Not today if", "fever", "Stop", "Warm-up", "clinician"] {
            assert!(sheet.contains(words), "{words}");
        }
    }
}

/// The split sheet of everybody on a day, read back.
fn split_sheet(squad: &Squad, zone: u8, run: &str, after: u64) -> Option<String> {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("splits.pdf");
    let session = SessionTyped { zone, run: run.to_owned(), lap: "400".to_owned() };
    let asked = SplitsAsked { session, squad: None, out: out.clone(), units: None };
    let _written = splits(&squad.desk, &asked, &noon(after)).unwrap();
    let text = printed(&out)?;
    Some(text.split_whitespace().collect::<Vec<_>>().join(" "))
}

#[test]
fn the_split_sheet_groups_nobody_who_must_not_run_hard_and_says_no_reason() {
    let squad = squad(None);
    let Some(hard) = split_sheet(&squad, 4, "6 x 1000 m", 35) else { return };
    let (groups, apart) = hard.split_once("Not today, ask the coach: ").unwrap();
    for name in NAMES {
        assert_eq!(hard.matches(name).count(), 1, "{name} stands in one place\n{hard}");
        assert_eq!(groups.contains(name), name != "Bo Reed" && !MAY_NOT_RUN.contains(&name));
    }
    assert!(apart.starts_with("Bo Reed \u{b7} Di Moss "), "{hard}");
    let ask = "Ask first: Cy Hart \u{b7} Gus Webb ";
    assert!(apart.contains(ask), "{hard}");
    // easy running is for all but who is on hold; who was away for three weeks runs by feel
    let easy = split_sheet(&squad, 2, "5 km", 35).unwrap();
    let (groups, apart) = easy.split_once("Not today, ask the coach: ").unwrap();
    for name in NAMES {
        assert_eq!(groups.contains(name), !["Bo Reed", "Di Moss"].contains(&name), "{name}");
    }
    assert!(apart.contains("Back since 1 October: by feel until a new test: Di Moss "), "{easy}");
    let row = |name: &str| {
        let rest = &easy[easy.find(name).unwrap()..];
        rest[..rest.len().min(100)].to_owned()
    };
    assert!(row("Ada Stone").contains("up to 149 bpm"), "{easy}");
    // Ed takes medication that lowers the heart rate, Fay's sensor sits at the wrist
    for name in ["Ed Lane", "Fay Cole"] {
        assert!(row(name).contains("by feel: you can talk in sentences"), "{easy}");
    }
    for text in [hard, easy] {
        for word in ["quokka", "myocarditis", "fracture", "metoprolol", "injury", "hold", "consent"]
        {
            assert!(!text.contains(word), "{word}\n{text}");
        }
    }
}

#[test]
fn the_calendar_plans_nothing_for_whoever_must_not_run() {
    let squad = squad(Some(40));
    let calendar = squad.papers(&noon(35)).text("calendar.ics");
    for name in NAMES {
        assert_eq!(calendar.contains(name), !MAY_NOT_RUN.contains(&name), "{name}\n{calendar}");
    }
    for (name, hold) in [
        ("Bo Reed", Hold::NotCleared),
        ("Cy Hart", Hold::NotCleared),
        ("Di Moss", Hold::Returning),
        ("Gus Webb", Hold::NotCleared),
    ] {
        assert!(squad.due(name, 35)[1].held_by.contains(&hold), "{name}");
    }
    // no strip shows a day of the return as one to test on
    let page = squad.page("Di Moss");
    let from = page.due(&noon(35))[1].not_before.unwrap();
    assert!(squad.due("Di Moss", 35)[1].why.contains(": not before "));
    let strip = standing::rows([&page], &noon(35)).remove(0).strip.unwrap();
    assert!(strip.window.is_none_or(|window| window.opens >= from), "{from} {strip:?}");
}

#[test]
fn a_day_booked_only_for_whoever_must_not_run_is_no_test_day() {
    let squad = squad(None);
    let athlete = squad.page("Bo Reed").athlete.id;
    let booking = ToBook { athlete, kind: TestKind::TwentyMinutes, on: day(36) };
    enter(&squad.desk, vec![booking], Vec::new(), &noon(2)).unwrap();
    let Some([_, sheet, _]) = documents(&squad.papers(&noon(35))) else { return };
    assert!(sheet.contains("6 October 2026") && sheet.contains("Ada Stone"), "{sheet}");
}

#[test]
fn cards_propose_no_test_to_whoever_must_not_run_it() {
    // fresh windows, and 80 days later, when every window has closed
    for after in [35, 80] {
        let Some([cards, ..]) = documents(&squad(None).papers(&noon(after))) else { return };
        for name in NAMES {
            let card = card(&cards, name);
            let proposed = card.contains("Retest 20 minutes") || card.contains("Repeat the");
            // on the 80th day the three weeks of injury are long enough ago but never noted as healed
            assert_eq!(proposed, !MAY_NOT_RUN.contains(&name), "{name}, day {after}\n{card}");
        }
    }
}

#[test]
fn medication_and_wrist_sensors_leave_no_heart_rates() {
    let squad = squad(None);
    let Some([cards, sheet, _]) = documents(&squad.papers(&noon(35))) else { return };
    let with = card(&cards, "Ada Stone");
    assert!(with.contains("Heart rate") && with.contains("above 157"), "{with}");
    for name in ["Ed Lane", "Fay Cole"] {
        let card = card(&cards, name);
        assert!(!card.contains("Heart rate") && !card.contains("bpm"), "{name}\n{card}");
        assert!(!card.contains("heart rate as a ceiling"), "{name}\n{card}");
        assert!(card.contains("No heart rates"), "{name}\n{card}");
        let zones = squad.zones(name, 35).unwrap();
        assert!(zones.zones.zones.iter().all(|zone| zone.heart_rate.is_none()), "{name}");
    }
    assert!(!sheet.contains("medication lowers"), "{sheet}");
}

#[test]
fn three_weeks_away_make_paces_a_matter_of_feel() {
    let Some([cards, ..]) = documents(&squad(None).papers(&noon(35))) else { return };
    let di = card(&cards, "Di Moss");
    // the last day away is 30 September
    assert!(di.contains("Back since 1 October: paces by feel until a new test."), "{di}");
    // and no zone of hers is led by a number
    assert_eq!(di.matches("by feel until a new test").count(), 6, "{di}");
    assert!(!di.contains("as a ceiling") && !di.contains("pace or feel"), "{di}");
    assert!(!card(&cards, "Ada Stone").contains("by feel until"), "only hers");
}

#[test]
fn notes_and_reasons_are_never_printed() {
    let squad = squad(Some(40));
    for after in [2, 35, 80] {
        let papers = squad.papers(&noon(after));
        let tables = ["calendar.ics", "due.csv", "zones.csv", "tests.csv"];
        let mut all: Vec<String> = tables.map(|name| papers.text(name)).to_vec();
        let Some(documents) = documents(&papers) else { return };
        // why somebody was away is for the coach's review, not for what is handed out
        for handed_out in [&documents[0], &documents[1], &all[0]] {
            for word in ["injury", "Injury", "illness", "hurt", "beta", "consent", "hold:"] {
                assert!(!handed_out.contains(word), "{word}\n{handed_out}");
            }
        }
        all.extend(documents);
        for text in all {
            for word in [
                "quokkanote",
                "myocarditis",
                "spring",
                "parents",
                "separated",
                "fracture",
                "tibia",
                "metoprolol",
            ] {
                assert!(!text.to_lowercase().contains(word), "{word}\n{text}");
            }
        }
    }
}
