//! The rules of a whole library, from the setting to the card: LT2's share of the 20-minute test, and
//! the floor by the heart-rate reserve. Expected numbers are worked by hand or published.

use pacewright_core::physiology::thresholds::SecondThresholdShare;
use pacewright_core::remark::{BearsOn, Finding};
use pacewright_core::review::because;
use pacewright_core::rules::{FloorMethod, Rules};
use pacewright_core::test::TestKind::{FortyMinutes, TwentyMinutes};
use pacewright_core::units::UnitSystem;
use pacewright_core::{calibration, markers::MarkerName, sources, words};
use pacewright_desk::decide::{offered, take_offered};
use pacewright_desk::rules::set_rules;
use pacewright_desk::whence::{Number, answers};
use pacewright_desk::{history, standing};

use crate::squad::{Papers, Squad, day, noon};

fn at(ratio: f64) -> Rules {
    let second_threshold = SecondThresholdShare::from_ratio(ratio).unwrap();
    Rules { second_threshold, ..Rules::default() }
}

fn told(squad: &Squad, name: &str, after: u64) -> String {
    let lt2 = Number::Marker(MarkerName::Lt2, BearsOn::Speed);
    let answers = answers(&squad.page(name), UnitSystem::Kilometres, &noon(after));
    answers.into_iter().find(|answer| answer.number == lt2).unwrap().answer
}

#[test]
fn another_share_is_offered_said_kept_and_taken_back() {
    let squad = Squad::of("name;screening\nAda Stone;cleared 2026-08-20\n");
    squad.tested("ada stone", 1, 4.5, 165.0);
    assert!(told(&squad, "Ada Stone", 2).contains("95 % of its mean. Common practice: no source"));
    let said = set_rules(&squad.desk, at(0.93), &noon(10)).unwrap();
    assert!(said.starts_with("From 11 September: LT2 is 93 % of the 20-minute test"), "{said}");
    let page = squad.page("Ada Stone");
    let before = page.current(day(10)).unwrap().clone();
    // 95 % of 4.5 m/s: zones that were handed out stay, and still say by which share
    assert!((before.markers.lt2.speed.unwrap().value.m_per_s() - 4.275).abs() < 1e-3);
    assert!(told(&squad, "Ada Stone", 10).contains("95 % of its mean"));
    let offer = offered(&page, day(10)).unwrap();
    let why = because(&page.facts(&page.tests), &before, &offer);
    let said = "LT2 is 93 % of the 20-minute test since 11 September; on the card it is 95 %.";
    assert_eq!(why.iter().map(words::because).collect::<Vec<_>>(), [said]);
    let rows = standing::rows([&page], &noon(10));
    assert_eq!(
        rows[0].sentence,
        "The 20-minute test of 2 September (LT2 at 93 %) gives other zones than the card."
    );
    let zones = take_offered(&squad.desk, &page, &noon(10)).unwrap();
    // 93 % of 4.5 m/s and of 165 beats; LT1 95 % of that (arithmetic)
    assert!((zones.markers.lt2.speed.unwrap().value.m_per_s() - 4.185).abs() < 1e-3);
    assert!((zones.markers.lt2.heart_rate.unwrap().value.bpm() - 153.45).abs() < 0.05);
    assert!((zones.markers.lt1.heart_rate.unwrap().value.bpm() - 145.78).abs() < 0.05);
    assert!((zones.basis[0].share.ratio() - 0.93).abs() < 1e-12);
    assert_eq!(squad.zones("Ada Stone", 10).unwrap(), zones, "read back from the library");
    let own = told(&squad, "Ada Stone", 10);
    assert!(own.contains("93 % of its mean. Entered: the coach's own share"), "{own}");
    if let Some(card) = Papers::of(&squad.desk, &noon(10)).printed("cards.pdf") {
        assert!(card.contains("20-minute test (LT2 at 93 %) 2 September 2026"), "{card}");
    }
    let _zones = history::undo(&squad.desk).unwrap();
    let _rules = history::undo(&squad.desk).unwrap();
    assert_eq!(offered(&squad.page("Ada Stone"), day(10)), None, "both are taken back");
}

#[test]
fn a_change_of_share_is_never_a_gain_or_a_loss() {
    let squad = Squad::of("name;screening\nAda Stone;cleared 2026-08-20\n");
    squad.tested("ada stone", 1, 4.5, 165.0);
    squad.reads("ada stone forty", FortyMinutes, 4, 3.7, 149.0);
    let _confirmed = squad.confirms(4);
    let _said = set_rules(&squad.desk, at(0.91), &noon(20)).unwrap();
    squad.reads("ada stone later", FortyMinutes, 40, 3.4, 143.0);
    squad.reads("ada stone again", TwentyMinutes, 45, 4.5, 165.0);
    let _confirmed = squad.confirms(46);
    let page = squad.page("Ada Stone");
    let of = |kind| page.trends(day(46)).into_iter().find(|trend| trend.kind == kind).unwrap();
    let base = of(FortyMinutes);
    assert!(base.is_newer_series && base.change.is_none(), "its target moved with the share");
    let threshold = of(TwentyMinutes);
    assert!(!threshold.is_newer_series, "the 20-minute run is the same run");
    // the same distance twice: no change, whatever share LT2 is of it
    assert!(threshold.change.unwrap().percent.abs() < 0.01);
}

#[test]
fn by_the_reserve_the_floor_needs_the_resting_heart_rate_and_says_so() {
    let squad = Squad::of(
        "name;screening;resting_heart_rate;max_heart_rate\n\
         Ada Stone;cleared 2026-08-20;50;190\nBo Reed;cleared 2026-08-20;;190\n",
    );
    for (name, beats) in [("ada stone", 176.0), ("bo reed", 178.0)] {
        squad.reads(name, TwentyMinutes, 1, 4.5, beats);
    }
    assert_eq!(squad.confirms(1).len(), 2);
    let by_maximum = squad.zones("Ada Stone", 1).unwrap().markers.aerobic_floor.heart_rate;
    // 72.84 % of 190 (Swain 1994)
    assert!((by_maximum.unwrap().value.bpm() - 138.396).abs() < 1e-6);
    let rules = Rules { floor: FloorMethod::OfReserve, ..Rules::default() };
    let _said = set_rules(&squad.desk, rules, &noon(2)).unwrap();
    let (ada, bo) = (squad.page("Ada Stone"), squad.page("Bo Reed"));
    let floor_of = |page: &pacewright_desk::book::Page| {
        calibration::propose(&page.facts(&page.tests), day(2)).unwrap().derived
    };
    // 55.5 % of the way from 50 to 190: 127.70 (Swain 1998)
    let derived = floor_of(&ada);
    let floor = derived.markers.aerobic_floor.heart_rate.unwrap();
    assert!((floor.value.bpm() - 127.70).abs() < 1e-6);
    let evidence = ada.facts(&ada.tests).evidence(day(2));
    let name = MarkerName::AerobicFloor;
    let told = sources::where_from(&evidence, &derived.markers, name, BearsOn::HeartRate).unwrap();
    let told = pacewright_core::words::where_from(&told);
    assert!(told.contains("55.5 % of the way to the highest. Published: Swain"), "{told}");
    // 0.856 of LT1 heart rate, 95 % of 95 % of the mean (72.84 over 85.1: Swain 1994, Esteve-Lanao 2026)
    let derived = floor_of(&bo);
    let floor = derived.markers.aerobic_floor.heart_rate.unwrap().value.bpm();
    let lt1 = derived.markers.lt1.heart_rate.unwrap().value.bpm();
    assert!((floor / lt1 - 72.84 / 85.1).abs() < 1e-3, "{floor} of {lt1}");
    let unrested =
        |r: &&pacewright_core::remark::Remark| r.finding == Finding::RestingHeartRateUnknown;
    assert_eq!(derived.remarks.iter().filter(unrested).count(), 1, "{:?}", derived.remarks);
}
