//! A changed byte anywhere in the library is reported or harmless; it never becomes another number.
//!
//! First behind the store's back, value by value, through SQLite itself: every column of every row of
//! every table. Then in the file's bytes, where whole rows can vanish or double.

mod club;

use std::collections::{BTreeMap, HashMap};
use std::fs;
use std::path::{Path, PathBuf};

use pacewright_core::athlete::{Athlete, Squad};
use pacewright_core::calibration::Calibration;
use pacewright_core::first_threshold::FactorFrom;
use pacewright_core::ids::{AthleteId, RecordingId, TestId};
use pacewright_core::laboratory::LaboratoryValue;
use pacewright_core::medication::Medication;
use pacewright_core::programme::{OwnWindow, Programme};
use pacewright_core::race::Race;
use pacewright_core::recording::Recording;
use pacewright_core::schedule::{Away, Booking};
use pacewright_core::test::{Test, TestConditions};
use pacewright_store::{ByAthlete, CachedRemarks, Library, LoggedAct, StoreError, StoredRecording};
use rusqlite::Connection;
use rusqlite::types::Value;

use club::{ATHLETES, RULES, build, recording, remarks};

/// Everything the library shows, by every way it shows it.
#[derive(Debug, PartialEq)]
struct Everything {
    athletes: Vec<Athlete>,
    one_by_one: Vec<Athlete>,
    squads: Vec<Squad>,
    tests: Vec<Test>,
    tests_of: Vec<Vec<Test>>,
    tests_one_by_one: Vec<Test>,
    calibrations: Vec<Calibration>,
    together: (ByAthlete<Test>, ByAthlete<Calibration>),
    calibrations_of: Vec<Vec<Calibration>>,
    bookings: Vec<Booking>,
    bookings_of: Vec<Vec<Booking>>,
    aways: Vec<Away>,
    aways_of: Vec<Vec<Away>>,
    heads: Vec<StoredRecording>,
    heads_of: Vec<Vec<StoredRecording>>,
    by_hash: Vec<Option<StoredRecording>>,
    recordings: Vec<Recording>,
    races: Vec<Race>,
    races_of: Vec<Vec<Race>>,
    laboratory: Vec<LaboratoryValue>,
    laboratory_of: Vec<Vec<LaboratoryValue>>,
    factors: Vec<FactorFrom>,
    factors_of: Vec<Vec<FactorFrom>>,
    medications: Vec<Medication>,
    medications_of: Vec<Vec<Medication>>,
    conditions: Vec<TestConditions>,
    conditions_of: Vec<Vec<TestConditions>>,
    programmes: Vec<Programme>,
    own_windows: Vec<OwnWindow>,
    cancelled: Vec<Booking>,
    settings: BTreeMap<String, String>,
    log: Vec<LoggedAct>,
    undo: Option<LoggedAct>,
    redo: Option<LoggedAct>,
}

fn read(library: &Library) -> Result<Everything, StoreError> {
    fn each<T>(read: impl Fn(i64) -> Result<T, StoreError>) -> Result<Vec<T>, StoreError> {
        (1..=ATHLETES).map(read).collect()
    }
    Ok(Everything {
        athletes: library.athletes()?,
        one_by_one: each(|id| library.athlete(AthleteId(id)))?,
        squads: library.squads()?,
        tests: library.tests()?,
        tests_of: each(|id| library.tests_of(AthleteId(id)))?,
        tests_one_by_one: (1..=3 * ATHLETES)
            .map(|id| library.test(TestId(id)))
            .collect::<Result<_, _>>()?,
        calibrations: library.calibrations()?,
        together: library.tests_and_calibrations()?,
        calibrations_of: each(|id| library.calibrations_of(AthleteId(id)))?,
        bookings: library.bookings()?,
        bookings_of: each(|id| library.bookings_of(AthleteId(id)))?,
        aways: library.aways()?,
        aways_of: each(|id| library.aways_of(AthleteId(id)))?,
        heads: library.recordings()?,
        heads_of: each(|id| library.recordings_of(AthleteId(id)))?,
        by_hash: each(|id| library.recording_by_hash(&recording(id).content_hash))?,
        recordings: each(|id| library.recording(RecordingId(id)).map(|(_, recording)| recording))?,
        races: library.races()?,
        races_of: each(|id| library.races_of(AthleteId(id)))?,
        laboratory: library.laboratory_values()?,
        laboratory_of: each(|id| library.laboratory_values_of(AthleteId(id)))?,
        factors: library.factors()?,
        factors_of: each(|id| library.factors_of(AthleteId(id)))?,
        medications: library.medications()?,
        medications_of: each(|id| library.medications_of(AthleteId(id)))?,
        conditions: library.conditions()?,
        conditions_of: each(|id| library.conditions_of(AthleteId(id)))?,
        programmes: library.programmes()?,
        own_windows: library.own_windows()?,
        cancelled: library.cancelled_bookings()?,
        settings: library.settings()?,
        log: library.log(100)?,
        undo: library.next_undo()?,
        redo: library.next_redo()?,
    })
}

/// The remarks of the first two tests: the right ones, or a miss.
fn check_cache(library: &Library) -> [CachedRemarks; 2] {
    let known = CachedRemarks::Known(remarks());
    let found = [1, 2].map(|id| library.cached_remarks(TestId(id), RULES, "").unwrap());
    assert!(found.iter().all(|found| !matches!(found, CachedRemarks::Known(_)) || *found == known));
    let all: HashMap<_, _> = library.all_cached_remarks(RULES).unwrap();
    assert!(all.iter().all(|(test, found)| (1..=2).contains(&test.0) && *found == remarks()));
    found
}

/// The read that shows a table's rows.
fn matching_read(library: &Library, table: &str) -> Result<(), StoreError> {
    match table {
        "athlete" | "membership" => library.athletes().map(drop),
        "squad" => library.squads().map(drop),
        "test" => library.tests().map(drop),
        "calibration" => library.calibrations().map(drop),
        "booking" => library.bookings().map(drop),
        "away" => library.aways().map(drop),
        "race" => library.races().map(drop),
        "laboratory_value" => library.laboratory_values().map(drop),
        "factor" => library.factors().map(drop),
        "medication" => library.medications().map(drop),
        "test_conditions" => library.conditions().map(drop),
        "programme" => library.programmes().map(drop),
        "own_window" => library.own_windows().map(drop),
        "recording" => library.recordings().map(drop),
        "content" => (1..=ATHLETES).try_for_each(|id| library.recording(RecordingId(id)).map(drop)),
        "setting" => library.settings().map(drop),
        "act" => library.log(100).map(drop),
        "tally" => read(library).map(drop),
        other => panic!("{other} is a table this test does not know: add how it is read"),
    }
}

struct Place {
    table: String,
    column: String,
    key: &'static str,
    rows: i64,
}

/// Every column of every table.
fn places(path: &Path) -> Vec<Place> {
    let raw = Connection::open(path).unwrap();
    let mut statement = raw
        .prepare(
            "SELECT m.name, c.name FROM sqlite_schema m JOIN pragma_table_info(m.name) c WHERE m.type = 'table'",
        )
        .unwrap();
    let found = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?))).unwrap();
    let names: Vec<(String, String)> = found.map(Result::unwrap).collect();
    let count = |table: &str| {
        raw.query_row(&format!("SELECT count(*) FROM {table}"), [], |row| row.get(0)).unwrap()
    };
    let place = |(table, column): (String, String)| {
        let key = match table.as_str() {
            "tally" => "of_table || ' ' || owner",
            "remark_cache" => "test",
            _ => "id",
        };
        Place { rows: count(&table), table, column, key }
    };
    names.into_iter().map(place).collect()
}

/// The ways to spoil a value: other bits, other letters, a byte gone, nothing at all.
fn spoiled(value: Value) -> Vec<Value> {
    match value {
        Value::Null => vec![Value::Integer(1), Value::Real(1.5), Value::Text("x".into())],
        Value::Integer(number) => {
            vec![Value::Integer(number ^ 1), Value::Integer(number ^ (1 << 40)), Value::Null]
        }
        Value::Real(number) => {
            vec![
                Value::Real(f64::from_bits(number.to_bits() ^ 1)),
                Value::Real(number + 1.0),
                Value::Null,
            ]
        }
        Value::Text(text) => {
            let mut other = text.clone().into_bytes();
            if let Some(last) = other.last_mut() {
                *last ^= 1;
            }
            let other = String::from_utf8(other).unwrap_or_default();
            vec![
                Value::Text(other),
                Value::Text(format!("{text} ")),
                Value::Text(String::new()),
                Value::Null,
            ]
        }
        Value::Blob(bytes) => {
            let mut other = bytes.clone();
            other[bytes.len() / 2] ^= 1;
            vec![
                Value::Blob(other),
                Value::Blob(bytes[1..].to_vec()),
                Value::Blob(bytes[..bytes.len() - 1].to_vec()),
            ]
        }
    }
}

/// Spoils one value; `None` where the table's own definition refuses that, which is as good.
fn spoil(path: &Path, place: &Place, row: i64, value: &Value) -> Option<()> {
    let raw = Connection::open(path).unwrap();
    raw.execute_batch("PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON").unwrap();
    let Place { table, column, key, .. } = place;
    let nth = format!("(SELECT {key} FROM {table} ORDER BY {key} LIMIT 1 OFFSET {row})");
    let changed =
        raw.execute(&format!("UPDATE {table} SET {column} = ?1 WHERE {key} = {nth}"), [value]);
    raw.close().unwrap();
    changed.ok().map(|changed| assert_eq!(changed, 1))
}

fn value_at(path: &Path, place: &Place, row: i64) -> Value {
    let Place { table, column, key, .. } = place;
    let raw = Connection::open(path).unwrap();
    let text = format!("SELECT {column} FROM {table} ORDER BY {key} LIMIT 1 OFFSET {row}");
    raw.query_row(&text, [], |row| row.get(0)).unwrap()
}

/// A library and a place for its spoiled copies.
fn workshop() -> (tempfile::TempDir, PathBuf, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let (sound, copy) = (folder.path().join("sound"), folder.path().join("copy"));
    build(&sound);
    (folder, sound, copy)
}

#[test]
fn a_changed_value_in_any_column_is_reported() {
    let (_folder, sound, copy) = workshop();
    let mut tried: BTreeMap<String, usize> = BTreeMap::new();
    for place in places(&sound) {
        assert!(place.rows > 0, "{} holds nothing to spoil", place.table);
        // the first rows, some in the middle, the last: every kind of row is among them
        for row in (0..place.rows).filter(|row| *row < 2 || *row % 7 == 3 || row + 1 == place.rows)
        {
            let mut landed = 0;
            for value in spoiled(value_at(&sound, &place, row)) {
                let _ = fs::copy(&sound, &copy).unwrap();
                if spoil(&copy, &place, row, &value).is_none() {
                    continue;
                }
                landed += 1;
                let library = Library::open(&copy).unwrap();
                let where_it_is = format!("{}.{} row {row} {value:?}", place.table, place.column);
                if place.table == "remark_cache" {
                    let found = check_cache(&library);
                    assert!(
                        found.iter().any(|found| !matches!(found, CachedRemarks::Known(_))),
                        "{where_it_is}"
                    );
                    continue;
                }
                let outcome = matching_read(&library, &place.table);
                assert!(
                    matches!(outcome, Err(StoreError::Damaged { .. })),
                    "{where_it_is}: {outcome:?}"
                );
                assert!(
                    !library.check().unwrap().is_empty(),
                    "{where_it_is}: the check finds nothing"
                );
            }
            assert!(landed > 0, "{}.{} could not be spoiled", place.table, place.column);
            *tried.entry(place.table.clone()).or_default() += landed;
        }
    }
    assert_eq!(tried.len(), 20, "{tried:?}");
}

#[test]
fn a_row_that_vanishes_or_doubles_is_reported() {
    let (_folder, sound, copy) = workshop();
    let tables: Vec<String> = places(&sound).into_iter().map(|place| place.table).collect();
    for table in tables.iter().filter(|table| !["remark_cache", "tally"].contains(&table.as_str()))
    {
        let double = format!(
            "CREATE TEMP TABLE one AS SELECT * FROM {table} LIMIT 1;
             UPDATE one SET id = 1000; INSERT INTO {table} SELECT * FROM one;"
        );
        let first = format!("DELETE FROM {table} WHERE id = (SELECT min(id) FROM {table});");
        let last = format!("DELETE FROM {table} WHERE id = (SELECT max(id) FROM {table});");
        let all = format!("DELETE FROM {table};");
        for damage in [double, first, last, all] {
            let _ = fs::copy(&sound, &copy).unwrap();
            let raw = Connection::open(&copy).unwrap();
            raw.execute_batch(&format!("PRAGMA foreign_keys = OFF; {damage}")).unwrap();
            raw.close().unwrap();
            let library = Library::open(&copy).unwrap();
            assert!(!library.check().unwrap().is_empty(), "{damage}");
            // entries of the log and contents are looked up by numbers that others name: a row of
            // another number is never looked at
            if !["act", "content"].contains(&table.as_str()) || damage.starts_with("DELETE") {
                let outcome = matching_read(&library, table);
                assert!(
                    matches!(outcome, Err(StoreError::Damaged { .. })),
                    "{damage}: {outcome:?}"
                );
            }
        }
    }
}

/// A small generator with a fixed beginning (splitmix64; Steele, Lea, Flood 2014).
struct Dice(u64);

impl Dice {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        usize::try_from((mixed ^ (mixed >> 31)) % end as u64).unwrap()
    }
}

/// The same library in smaller pages: less empty space, and trees of several levels.
fn in_small_pages(sound: &Path) -> PathBuf {
    let small = sound.with_file_name("small");
    let _ = fs::copy(sound, &small).unwrap();
    let raw = Connection::open(&small).unwrap();
    raw.execute_batch("PRAGMA journal_mode = DELETE; PRAGMA page_size = 512; VACUUM;").unwrap();
    raw.close().unwrap();
    small
}

#[test]
fn a_flipped_byte_of_the_file_is_reported_or_harmless() {
    let (_folder, sound, copy) = workshop();
    let good = read(&Library::open(&sound).unwrap()).unwrap();
    let mut dice = Dice(2026);
    for (file, page) in [(in_small_pages(&sound), 512), (sound, 4_096)] {
        let bytes = fs::read(&file).unwrap();
        assert_eq!(usize::from(u16::from_be_bytes([bytes[16], bytes[17]])), page);
        let (mut refused, mut harmless) = (0, 0);
        for round in 0..1_000 {
            let mut spoiled = bytes.clone();
            // every fourth into the first bytes of a page, where SQLite keeps the order of its rows
            let at = match round % 4 {
                0 => dice.below(bytes.len() / page) * page + dice.below(page / 16),
                _ => dice.below(bytes.len()),
            };
            spoiled[at] ^= u8::try_from(1 + dice.below(255)).unwrap();
            if outcome(&copy, &spoiled, &good, at) {
                harmless += 1;
            } else {
                refused += 1;
            }
        }
        eprintln!(
            "{} bytes in pages of {page}: {refused} flips reported, {harmless} harmless",
            bytes.len()
        );
        // both happen, or the test does not test what it says
        assert!(refused > 150 && harmless > 20, "{refused} {harmless}");
    }
}

/// Whether a spoiled file still gives the same facts; anything but that or an error fails.
fn outcome(copy: &Path, spoiled: &[u8], good: &Everything, at: usize) -> bool {
    fs::write(copy, spoiled).unwrap();
    for beside in ["copy-wal", "copy-shm", "copy-journal"] {
        let _ = fs::remove_file(copy.with_file_name(beside));
    }
    match Library::open(copy).and_then(|library| Ok((read(&library)?, check_cache(&library)))) {
        Ok((found, _)) => {
            assert!(found == *good, "byte {at} gave other facts");
            true
        }
        Err(StoreError::NotFound { what, id }) => {
            panic!("byte {at}: {what} {id} was lost unnoticed")
        }
        Err(_) => false,
    }
}
