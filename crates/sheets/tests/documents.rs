//! Every document, made and read back. With `PACEWRIGHT_LOOK` set to a folder, each page is also
//! written there as a picture, to be looked at.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a test stops at the first surprise; pages are far inside usize"
)]

mod invented;
mod split_sheet;

use std::io::{Write as _, stderr};
use std::path::Path;
use std::process::Command;

use invented::{TESTED, calibration, card, marker, markers, on, speed, zones};
use pacewright_core::markers::{Marker, Markers};
use pacewright_core::test::TestKind;
use pacewright_core::units::{HeartRate, UnitSystem};
use pacewright_core::zones::{derive, read_scheme};
use pacewright_sheets::card::{CardFacts, Layout, cards};
use pacewright_sheets::review::{ReviewFacts, ReviewRow, review};
use pacewright_sheets::strip::{StripFacts, Window};
use pacewright_sheets::test_day::{Runner, TestDayFacts, test_day};
use pacewright_sheets::{Document, Paper, Printed, SheetError, Warning};

const HOSTILE: &str = "#panic(\"x\") *bold* _x_ $y$ \\ @ <a>";
const LONG: &str = "Wilhelmina Konstantinopoulou-Featherstonehaugh of Ballachulish";
const ALL_ESTIMATED: [&str; 4] = ["Estimated"; 4];

/// The PDF, checked for structure where qpdf is installed; pictures where they are asked for.
fn printed(document: &Document, name: &str) -> Printed {
    if let Some(folder) = std::env::var_os("PACEWRIGHT_LOOK") {
        for page in 1..=document.page_count() {
            let png = document.png(page, 150).unwrap();
            std::fs::write(Path::new(&folder).join(format!("{name}-{page}.png")), png).unwrap();
        }
    }
    let printed = document.pdf().unwrap();
    assert!(printed.pdf.starts_with(b"%PDF-"));
    if let Some((code, output)) = with_tool("qpdf", &["--check"], &printed.pdf, &[]) {
        assert_eq!(code, Some(0), "{name}: {output}");
    }
    printed
}

/// The text of a PDF as another program reads it; `None` where that program is missing.
fn text_of(pdf: &[u8]) -> Option<String> {
    // in the order of the content, so that cards beside each other do not mix
    with_tool("pdftotext", &["-raw", "-enc", "UTF-8"], pdf, &["-"]).map(|(_, output)| output)
}

fn with_tool(
    tool: &str,
    before: &[&str],
    pdf: &[u8],
    after: &[&str],
) -> Option<(Option<i32>, String)> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("sheet.pdf");
    std::fs::write(&path, pdf).unwrap();
    match Command::new(tool).args(before).arg(&path).args(after).output() {
        Ok(out) => {
            let text = String::from_utf8_lossy(&out.stdout).into_owned()
                + &String::from_utf8_lossy(&out.stderr);
            Some((out.status.code(), text))
        }
        Err(error) if std::env::var_os("PACEWRIGHT_TOOLS_REQUIRED").is_some() => {
            panic!("{tool}: {error}")
        }
        Err(_) => {
            // past what keeps a passing test's words back
            stderr().write_all(format!("skipped: no {tool}\n").as_bytes()).unwrap();
            None
        }
    }
}

/// Words in order, however a reader breaks lines and spaces.
fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn assert_says(pdf: &[u8], wanted: &[&str]) {
    let Some(text) = text_of(pdf) else { return };
    let text = squeezed(&text);
    for words in wanted {
        assert!(text.contains(&squeezed(words)), "{words:?} in\n{text}");
    }
}

fn assert_silent_on(pdf: &[u8], unwanted: &[&str]) {
    let Some(text) = text_of(pdf) else { return };
    let text = squeezed(&text);
    for words in unwanted {
        assert!(!text.contains(words), "{words:?} in\n{text}");
    }
}

#[test]
fn a_card_says_its_zones() {
    let calibration = calibration(4.78, TESTED, true);
    let printed = printed(
        &cards(&[card("Mirela Stanescu", &calibration)], Layout::OneToAPage).unwrap(),
        "card",
    );
    assert_eq!(printed.warnings, vec![], "PDF/UA-1 is met");
    assert_says(
        &printed.pdf,
        &[
            "Mirela Stanescu",
            "from 19 November 2026",
            "20-minute test 19 November 2026 · 40-minute test 2 October 2026 · 5-minute test 8 October 2026",
            "Heart rate Pace, min per km 400 m",
            // 1000 / (4.78 x 0.533) = 392.5 s; / (4.78 x 0.715) = 292.6; / (4.78 x 0.858) = 243.8; / 4.78 = 209.2
            "Very easy heart rate as a ceiling; walk breaks fine below 137 slower than 6:33",
            "Easy heart rate as a ceiling; usual 6:13 – 5:21 per km 137 – 157 6:33 – 4:54 1:58",
            "158 – 165 4:53 – 4:05 1:38",
            "above 165 4:04 – 3:30 1:24",
            "3:29 and faster",
            "Retest 5 minutes by 3 December from 5 November 20 minutes by 14 January from 17 December",
            "40 minutes by 27 November from 30 October; hold 157 bpm",
            "Stop at chest pain",
        ],
    );
}

#[test]
fn the_same_facts_give_the_same_bytes() {
    let calibration = calibration(4.78, TESTED, true);
    let bytes = || {
        cards(&[card("Mirela Stanescu", &calibration)], Layout::OneToAPage)
            .unwrap()
            .pdf()
            .unwrap()
            .pdf
    };
    assert_eq!(bytes(), bytes());
}

#[test]
fn names_print_literally_in_any_script() {
    let calibration = calibration(4.1, TESTED, true);
    let names = [
        HOSTILE,
        LONG,
        "山田 花子",
        "김민준",
        "ليلى الحداد",
        "नेहा शर्मा",
        "Zażółć Gęśłą-Jaźń",
        "สมชาย ใจดี",
    ];
    let facts: Vec<CardFacts<'_>> = names.iter().map(|name| card(name, &calibration)).collect();
    let printed = printed(&cards(&facts, Layout::EightToAPage).unwrap(), "eight");
    assert_eq!(printed.warnings, vec![]);
    let Some(text) = text_of(&printed.pdf) else {
        return;
    };
    // long names break over lines, and readers put spaces around signs: compare without spaces
    let bare = |text: &str| text.chars().filter(|c| !c.is_whitespace()).collect::<String>();
    for name in [HOSTILE, LONG, "山田 花子", "김민준", "Zażółć Gęśłą-Jaźń", "สมชาย ใจดี"]
    {
        assert!(bare(&text).contains(&bare(name)), "{name} in\n{text}");
    }
    // readers give right-to-left text in either order
    let (forward, backward) = ("الحداد".to_owned(), "الحداد".chars().rev().collect::<String>());
    assert!(text.contains(&forward) || text.contains(&backward), "{text}");
}

#[test]
fn letters_that_no_font_has_are_reported() {
    let calibration = calibration(4.1, TESTED, true);
    let printed = printed(
        &cards(&[card("Bob \u{1F3C3}", &calibration)], Layout::OneToAPage).unwrap(),
        "letters",
    );
    let missing =
        Warning::NoLetters { text: "Bob \u{1F3C3}".to_owned(), characters: vec!['\u{1F3C3}'] };
    assert_eq!(printed.warnings.first(), Some(&missing));
    assert!(
        matches!(printed.warnings.get(1), Some(Warning::NotFullyAccessible { .. })),
        "{:?}",
        printed.warnings
    );
    assert!(missing.to_string().contains("U+1F3C3"), "{missing}");
}

#[test]
fn on_medication_no_heart_rate_is_printed() {
    let calibration = calibration(4.1, TESTED, true);
    let facts = CardFacts { medication: true, ..card("Ewan MacAllister", &calibration) };
    let printed = printed(&cards(&[facts], Layout::OneToAPage).unwrap(), "medication");
    assert_says(
        &printed.pdf,
        &["No heart rates on this card: run by pace and by feel.", "you can talk in sentences"],
    );
    assert_silent_on(&printed.pdf, &["137", "157", "165", "bpm", "Heart rate", "heart rate as"]);
}

/// Paces from a test long ago may be too fast or too slow by now: a card of zones that are out of date says to
/// run by feel, and nobody is told to run by pace, whether it has heart rates or not.
#[test]
fn a_card_that_is_out_of_date_says_by_feel() {
    for heart_rates in [true, false] {
        let calibration = calibration(5.0, TESTED, heart_rates);
        let facts = CardFacts { out_of_date: true, ..card("Ewan MacAllister", &calibration) };
        let document = cards(&[facts], Layout::OneToAPage).unwrap();
        let printed = printed(&document, &format!("out-of-date-{heart_rates}"));
        let says = "These zones are out of date: run by feel until the next test.";
        assert_says(&printed.pdf, &[says, "by feel until a new test"]);
        let leading = ["by pace", "run by pace and by feel", "as a ceiling", "; usual", "talk in"];
        assert_silent_on(&printed.pdf, &leading);
    }
}

#[test]
fn the_target_stands_without_a_window_too() {
    let tested = calibration(4.1, TESTED, true);
    let mut never = tested.clone();
    never.basis.retain(|test| test.kind != TestKind::FortyMinutes);
    let says = |calibration, name| {
        let facts = CardFacts { retests: Vec::new(), ..card("Oskar Lindqvist-Vale", calibration) };
        printed(&cards(&[facts], Layout::OneToAPage).unwrap(), name).pdf
    };
    assert_says(&says(&never, "never"), &["40 minutes at 157 bpm not tested yet"]);
    let overdue = says(&tested, "overdue");
    assert_says(&overdue, &["40 minutes at 157 bpm"]);
    assert_silent_on(&overdue, &["not tested yet"]);
}

#[test]
fn what_was_not_tested_is_worded() {
    let all = calibration(3.4, ALL_ESTIMATED, true);
    let some = calibration(4.6, ["Estimated", "Estimated", "Measured", "Estimated"], false);
    let mut old = card(LONG, &all);
    (old.out_of_date, old.units) = (true, UnitSystem::Miles);
    old.notes =
        vec!["Heart rate limits come from a wrist sensor: look at the pace first.".to_owned()];
    let printed = printed(
        &cards(&[old, card("Hamid Nazari", &some)], Layout::OneToAPage).unwrap(),
        "estimated",
    );
    assert_says(
        &printed.pdf,
        &[
            "Estimated, not tested (dashed): pace at aerobic floor, LT1, LT2 and VO2max; heart rate at aerobic floor, LT1 and LT2.",
            "These zones are out of date",
            "Pace, min per mile",
            "wrist sensor",
            "Estimated, not tested (dashed): pace at aerobic floor, LT1 and VO2max.",
            "No heart rates to go by yet",
        ],
    );
}

#[test]
fn walking_paces_and_missing_markers_fit() {
    let slow = {
        let mut slow = calibration(2.3, TESTED, true);
        slow.zones = zones(&slow.markers, true, true);
        slow
    };
    let slowest = calibration(1.6, TESTED, true);
    let bare = {
        let mut bare = calibration(4.0, TESTED, false);
        bare.markers = Markers { lt2: marker(3.6, None, "Measured"), ..Markers::default() };
        bare.zones = zones(&bare.markers, false, true);
        bare.basis.truncate(1);
        bare
    };
    let mut none = card("Nobody Tested", &bare);
    (none.retests, none.forty_minute_target) = (Vec::new(), None);
    let mut miles = card("A Slow Miler", &slowest);
    miles.units = UnitSystem::Miles;
    let all = [card("Walking Floor", &slow), miles, none];
    let one = printed(&cards(&all, Layout::OneToAPage).unwrap(), "slow");
    assert_says(&one.pdf, &["walk, or very easy jog"]);
    let eight = printed(&cards(&all, Layout::EightToAPage).unwrap(), "slow-eight");
    assert_says(&eight.pdf, &["walk, or very easy jog"]);
}

#[test]
fn a_scheme_of_seven_zones_fits_and_is_named() {
    let text = "Walk; floor; heart rate\nEasy endurance on flat and rolling ground; 90 % of LT1; heart rate\nSteady; LT1; heart rate\n\
                Tempo; 97 % of LT2; pace\nThreshold; 101 % of LT2; pace\nLong; VO2max; pace\nFast; ; feel";
    let mut seven = calibration(4.0, TESTED, true);
    let scheme = read_scheme(text).unwrap().named("Seven steps of a very careful coach");
    seven.zones = derive(&seven.markers, &scheme);
    let all: Vec<CardFacts<'_>> =
        ["Ida", LONG].repeat(4).iter().map(|name| card(name, &seven)).collect();
    assert_white_foot(&cards(&all, Layout::EightToAPage).unwrap());
    for (layout, name) in [(Layout::EightToAPage, "seven-eight"), (Layout::OneToAPage, "seven")] {
        let document = cards(&all, layout).unwrap();
        let said =
            ["Zones: Seven steps of a very careful coach.", "Threshold", "not medical clearance"];
        let pdf = printed(&document, name).pdf;
        assert_says(&pdf, &said);
        assert_under(&pdf, "ground");
    }
}

/// Panics where the word laid out after another, the guidance of its zone, does not stand under it.
fn assert_under(pdf: &[u8], word: &str) {
    let Some((_, boxes)) = with_tool("pdftotext", &["-raw", "-bbox"], pdf, &["-"]) else { return };
    let place = |line: &str, of: &str| -> f64 {
        let (_, rest) = line.split_once(&format!("{of}=\"")).unwrap();
        rest.split('"').next().unwrap().parse().unwrap()
    };
    let words: Vec<&str> = boxes.lines().filter(|line| line.contains("<word ")).collect();
    let said = |line: &&&str| line.contains(&format!(">{word}</word>"));
    assert_eq!(words.iter().filter(said).count(), 8);
    for (here, next) in words.iter().zip(words.iter().skip(1)).filter(|(here, _)| said(here)) {
        let foot = f64::midpoint(place(here, "yMin"), place(here, "yMax"));
        assert!(place(next, "yMin") > foot, "{next} stands over {here}");
    }
}

/// Panics where ink stands nearer to the page's edge than `millimetres`.
fn assert_white_edge(document: &Document, millimetres: f64) {
    let edge = (millimetres / 25.4 * 72.0).floor() as usize;
    for page in 1..=document.page_count() {
        let picture = document.preview(page, 72).unwrap();
        let (width, height) = (picture.width as usize, picture.height as usize);
        for (index, pixel) in picture.rgba.chunks(4).enumerate() {
            let (x, y) = (index % width, index / width);
            let inside = (edge..width - edge).contains(&x) && (edge..height - edge).contains(&y);
            assert!(inside || pixel == [255, 255, 255, 255], "page {page}: ink at {x}, {y}");
        }
    }
}

#[test]
fn whatever_a_card_has_to_say_stays_on_it() {
    let calibration = calibration(1.6, ALL_ESTIMATED, true);
    let words = ["W".repeat(60), "山".repeat(60), "Wilhelmina ".repeat(12), "x".repeat(200)];
    let crowded = |name: &String| {
        CardFacts {
        out_of_date: true,
        units: UnitSystem::Miles,
        notes: vec!["Heart rate limits come from a wrist sensor: look at the pace first, and wear a strap in the next test.".to_owned(); 3],
        ..card(name, &calibration)
    }
    };
    let facts: Vec<CardFacts<'_>> = words.iter().map(crowded).collect();
    let one = cards(&facts, Layout::OneToAPage).unwrap();
    assert_eq!(one.page_count(), 4);
    assert_white_edge(&one, 5.0);
    let eight = cards(&facts, Layout::EightToAPage).unwrap();
    // printers do not reach the outer 6 mm, the marks included
    assert_white_edge(&eight, 6.0);
    let _ = (printed(&one, "crowded"), printed(&eight, "crowded-eight"));
}

/// Panics where ink stands in the lowest 2.5 mm of the lowest cards of eight to a page: there is the
/// cards' own margin.
fn assert_white_foot(document: &Document) {
    let millimetre = 72.0 / 25.4;
    let band = |from: f64, to: f64| {
        ((297.0 - to) * millimetre) as usize..((297.0 - from) * millimetre) as usize
    };
    for page in 1..=document.page_count() {
        let picture = document.preview(page, 72).unwrap();
        let rows = picture.rgba.chunks(picture.width as usize * 4);
        for (y, row) in rows.enumerate().filter(|(y, _)| band(11.5, 14.0).contains(y)) {
            assert!(row.iter().all(|channel| *channel == 255), "page {page}: ink in line {y}");
        }
    }
}

/// The template trusts a count of lines and measures only where there are many: at every count the
/// card must hold, with short dates and with the longest there are.
#[test]
fn cards_hold_at_every_count_of_lines() {
    let mut estimated = calibration(2.3, ALL_ESTIMATED, true);
    estimated.from = on(2026, 9, 28);
    estimated.basis.iter_mut().for_each(|test| test.on = on(2026, 9, 28));
    let tested = calibration(2.3, TESTED, true);
    let note =
        "A remark of about the length that one line of a card holds, and of no more than that.";
    let mut one_each = Vec::new();
    // and with no retests at all
    for count in 0..6 {
        one_each.push(CardFacts {
            notes: vec![note.to_owned(); count],
            retests: Vec::new(),
            forty_minute_target: None,
            ..card("Maximiliane Brandenburger", &tested)
        });
    }
    for (basis, month) in [(&tested, 5), (&tested, 9), (&estimated, 9)] {
        let window = Window { opens: on(2026, month, 27), closes: on(2026, month, 28) };
        for (count, out_of_date) in (0..5).flat_map(|count| [(count, false), (count, true)]) {
            one_each.push(CardFacts {
                out_of_date,
                notes: vec![note.to_owned(); count],
                retests: TestKind::ALL.map(|kind| (kind, window)).to_vec(),
                units: UnitSystem::Miles,
                ..card("Maximiliane Brandenburger", basis)
            });
        }
    }
    let pocket = cards(&one_each, Layout::OneToAPage).unwrap();
    assert_white_edge(&pocket, 6.5);
    // each fills a page, so that each also stands in the lowest row
    let eight_each: Vec<CardFacts<'_>> =
        one_each.iter().flat_map(|card| std::iter::repeat_n(card.clone(), 8)).collect();
    assert_white_foot(&cards(&eight_each, Layout::EightToAPage).unwrap());
    let _ = (
        printed(&pocket, "lines"),
        printed(&cards(&one_each, Layout::EightToAPage).unwrap(), "lines-eight"),
    );
}

#[test]
fn eight_cards_share_a_page_and_a_ninth_opens_the_next() {
    let calibration = calibration(4.1, TESTED, true);
    let nine: Vec<CardFacts<'_>> =
        (1..=9).map(|n| card(&format!("Runner {n}"), &calibration)).collect();
    assert_eq!(cards(&nine, Layout::EightToAPage).unwrap().page_count(), 2);
    assert_eq!(cards(&nine, Layout::OneToAPage).unwrap().page_count(), 9);
    let document = cards(&nine[..1], Layout::OneToAPage).unwrap();
    // A6 lying, 148 x 105 mm at 100 dots an inch
    let preview = document.preview(1, 100).unwrap();
    assert_eq!((preview.width, preview.height, preview.rgba.len()), (583, 413, 583 * 413 * 4));
    assert!(matches!(
        document.preview(2, 100),
        Err(SheetError::NoSuchPage { pages: 1, asked: 2, .. })
    ));
    assert!(document.preview(0, 100).is_err());
}

fn review_row(index: usize) -> ReviewRow {
    let names = [
        "Oskar Lindqvist-Vale",
        "Priya Ramanathan",
        "Tom Akerele",
        HOSTILE,
        LONG,
        "山田 花子",
        "ليلى الحداد",
    ];
    let sentences = [
        "20-minute test overdue since 17 November; 5 km race on Sunday the 29th.",
        "12 November: 40 minutes at 143, speed faded 4.6 %. Look before it counts, because the last quarter was uphill and into the wind.",
        "Nothing to do.",
    ];
    let acts = [Some("Book a date"), Some("Open the test"), None];
    let count = index as f64;
    let origins = if index.is_multiple_of(4) { ALL_ESTIMATED } else { TESTED };
    let mine = markers(3.0 + (count * 0.37) % 2.4, origins);
    let today = on(2026, 11, 25);
    let ago = |days: usize| today - chrono::Days::new(days as u64);
    let window = Window {
        opens: ago((index * 11) % 50),
        closes: ago((index * 11) % 50) + chrono::Days::new(28),
    };
    ReviewRow {
        name: names[index % names.len()].to_owned(),
        markers: (index != 5).then_some(mine),
        edges: None,
        before: (index == 2).then(|| Markers {
            lt2: Marker { speed: marker(3.0, None, "Measured").speed, ..mine.lt2 },
            ..mine
        }),
        strip: (index != 6).then(|| StripFacts {
            today,
            last_test: Some(window.opens - chrono::Days::new(28)),
            window: Some(window),
            booking: index.is_multiple_of(3).then(|| today + chrono::Days::new(4 + index as u64)),
            away: if index == 4 { vec![(ago(40), Some(ago(16)))] } else { Vec::new() },
        }),
        sentence: sentences[index % 3].to_owned(),
        act: acts[index % 3].map(str::to_owned),
    }
}

#[test]
fn the_review_flows_over_pages() {
    let facts = |count| ReviewFacts {
        headline: "Seven of fourteen need you this week".to_owned(),
        ahead: "Three tests are booked in the next 7 days.".to_owned(),
        squad: "Tarn Hollow Runners".to_owned(),
        on: on(2026, 11, 25),
        units: UnitSystem::Kilometres,
        paper: Paper::A4,
        rows: (0..count).map(review_row).collect(),
    };
    let document = review(&facts(31)).unwrap();
    assert!(document.page_count() >= 2);
    let printed_long = printed(&document, "review");
    assert_eq!(printed_long.warnings, vec![]);
    assert_says(
        &printed_long.pdf,
        &[
            "Seven of fourteen need you this week",
            "25 November 2026",
            "Oskar Lindqvist-Vale",
            "Book a date",
        ],
    );
    if let Some(text) = text_of(&printed_long.pdf) {
        let heads = text.matches("This week").count();
        assert_eq!(heads, document.page_count(), "the head stands on every page\n{text}");
    }
    let empty = printed(&review(&facts(0)).unwrap(), "review-empty");
    assert_says(&empty.pdf, &["No athletes yet"]);
}

fn test_day_facts() -> TestDayFacts {
    let runner = |name: &str, remark: Option<&str>| Runner {
        name: name.to_owned(),
        target_heart_rate: HeartRate::from_bpm(142.5).ok(),
        pace_hint: Some(speed(4.1)),
        remark: remark.map(str::to_owned),
    };
    let by_feel =
        Runner { target_heart_rate: None, pace_hint: None, ..runner("Ewan MacAllister", None) };
    TestDayFacts {
        squad: "Tarn Hollow Runners".to_owned(),
        on: on(2026, 11, 28),
        units: UnitSystem::Kilometres,
        paper: Paper::A4,
        tests: vec![
            (
                TestKind::FiveMinutes,
                vec![
                    runner("Aiko Brandt", None),
                    runner(LONG, Some("first 5-minute test: practice")),
                ],
            ),
            (
                TestKind::TwentyMinutes,
                (0..9).map(|n| runner(&format!("Runner {n}"), None)).collect(),
            ),
            (
                TestKind::FortyMinutes,
                vec![runner("Mirela Stanescu", None), by_feel, runner(HOSTILE, None)],
            ),
        ],
        must_not_run: vec!["Jonas Whitfield".to_owned(), "山田 花子".to_owned()],
        not_asked: vec!["Beatrix Oyelaran".to_owned()],
        weather: Some("9 °C at the start: no limit from heat.".to_owned()),
    }
}

#[test]
fn the_test_day_sheet_carries_its_cautions() {
    let facts = test_day_facts();
    let document = test_day(&facts).unwrap();
    let sheet = printed(&document, "test-day");
    assert_eq!(sheet.warnings, vec![]);
    assert_says(
        &sheet.pdf,
        &[
            "Not today if",
            "fever",
            "new medication",
            "Stop, do not finish, seek help.",
            "Must not run all-out: Jonas Whitfield · 山田 花子",
            "Ask about health first: Beatrix Oyelaran",
            "Local rules and a licensed clinician come first.",
            "Mirela Stanescu 143 4:04",
            "Ewan MacAllister by feel",
        ],
    );
    let nobody = TestDayFacts {
        tests: vec![],
        must_not_run: vec![],
        not_asked: vec![],
        weather: None,
        ..facts
    };
    let empty = printed(&test_day(&nobody).unwrap(), "test-day-empty");
    assert_says(&empty.pdf, &["Nobody is down for a test on this day."]);
}
