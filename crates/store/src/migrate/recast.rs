//! Rows of an older form turned into rows of a newer one, where a step makes their table anew.
//!
//! Each table stands here as it was at that step, not as it is now: a later form changes nothing here.

use rusqlite::Connection;
use rusqlite::types::Value;

use crate::error::StoreError;
use crate::rows;
use crate::table::{Row, Table};
use crate::tally;

/// How the rows of one table are carried over a step.
pub(crate) struct Recast {
    /// The table as it was.
    was: Table,
    /// The table as the step makes it.
    now: Table,
    /// The columns of a row, from old to new.
    turn: fn(Vec<Value>) -> Option<Vec<Value>>,
}

impl Recast {
    /// The rows before the step, their seals and number checked.
    ///
    /// # Errors
    /// Damaged where they are not what was written.
    pub(crate) fn read(&self, connection: &Connection) -> Result<Vec<Row>, StoreError> {
        rows::all(connection, &self.was)
    }

    /// Writes them after it, sealed and tallied anew.
    ///
    /// # Errors
    /// Damaged where a row has other columns than it should, or the file cannot be written.
    pub(crate) fn write(&self, connection: &Connection, rows: Vec<Row>) -> Result<(), StoreError> {
        tally::forget(connection, &self.now)?;
        tally::begin(connection, &self.now)?;
        for row in rows {
            let Row { id, removed, cells } = row;
            let cells = (self.turn)(cells).ok_or_else(|| {
                StoreError::damaged(self.was.name, id, "it cannot be carried over")
            })?;
            rows::write(connection, &self.now, None, &Row { id, removed, cells })?;
        }
        Ok(())
    }
}

/// A table of athletes' rows at some step, for reading and writing rows only.
const fn of_athletes(name: &'static str, columns: &'static [&'static str]) -> Table {
    Table { name, noun: name, kind: None, columns, owner: Some(0), references: &[] }
}

/// The third form: races gain a name, a priority and may lack a time; conditions gain air, humidity
/// and ground.
pub(crate) static RACES_AND_WEATHER: &[Recast] = &[
    Recast {
        was: of_athletes(
            "race",
            &["athlete", "run_on", "distance_m", "duration_s", "peak_heart_rate_bpm"],
        ),
        now: of_athletes(
            "race",
            &[
                "athlete",
                "run_on",
                "name",
                "distance_m",
                "priority",
                "duration_s",
                "peak_heart_rate_bpm",
            ],
        ),
        turn: |cells| {
            let [athlete, on, distance, duration, peak] = <[Value; 5]>::try_from(cells).ok()?;
            let (name, priority) = (Value::Text(String::new()), Value::Text("other".to_owned()));
            Some(vec![athlete, on, name, distance, priority, duration, peak])
        },
    },
    Recast {
        was: of_athletes(
            "test_conditions",
            &["athlete", "test", "wet_bulb_globe_celsius", "altitude_m", "treadmill"],
        ),
        now: of_athletes(
            "test_conditions",
            &[
                "athlete",
                "test",
                "air_celsius",
                "relative_humidity",
                "wet_bulb_globe_celsius",
                "altitude_m",
                "ground",
            ],
        ),
        turn: |cells| {
            let [athlete, test, heat, altitude, treadmill] = <[Value; 5]>::try_from(cells).ok()?;
            let ground = match treadmill {
                Value::Integer(1) => Value::Text("treadmill".to_owned()),
                _ => Value::Null,
            };
            Some(vec![athlete, test, Value::Null, Value::Null, heat, altitude, ground])
        },
    },
];

#[cfg(test)]
mod tests {
    use super::super::{STEPS, check_structure, run};
    use super::*;
    use crate::check::check;
    use crate::read::read;
    use crate::tables::athlete::ATHLETE;
    use crate::tables::calibration::CALIBRATION;
    use crate::tables::evidence;
    use crate::tables::test::TEST;
    use pacewright_core::calibration::{Calibration, StandsOn};
    use pacewright_core::ids::TestId;
    use pacewright_core::physiology::conditions::Celsius;
    use pacewright_core::race::{Priority, Race};
    use pacewright_core::test::TestConditions;

    fn text(words: &str) -> Value {
        Value::Text(words.to_owned())
    }

    /// A library of the second form with a race, conditions on a treadmill, and zones.
    fn second_form() -> Connection {
        let mut connection = Connection::open_in_memory().unwrap();
        run(&mut connection, &STEPS[..2]).unwrap();
        let put = |table: &Table, cells: Vec<Value>| {
            rows::write(&connection, table, None, &Row::live(1, cells)).unwrap();
        };
        let mut athlete = vec![Value::Null; ATHLETE.columns.len()];
        for (at, cell) in [(0, text("Ida Berg")), (5, Value::Integer(0)), (6, text("not asked"))] {
            athlete[at] = cell;
        }
        athlete[10] = text("[]");
        athlete[11] = text("");
        put(&ATHLETE, athlete);
        let mut test = vec![Value::Null; TEST.columns.len()];
        let known = [
            (0, Value::Integer(1)),
            (1, text("20 minutes")),
            (2, text("2026-03-01")),
            (3, Value::Real(5_400.0)),
            (4, Value::Real(1_200.0)),
            (6, Value::Real(1.0)),
            (8, text("typed")),
            (13, text("accepted")),
        ];
        for (at, cell) in known {
            test[at] = cell;
        }
        put(&TEST, test);
        let race = vec![
            Value::Integer(1),
            text("2026-04-05"),
            Value::Real(5_000.0),
            Value::Real(1_140.5),
            Value::Null,
        ];
        put(&RACES_AND_WEATHER[0].was, race);
        let conditions = vec![
            Value::Integer(1),
            Value::Integer(1),
            Value::Real(19.5),
            Value::Null,
            Value::Integer(1),
        ];
        put(&RACES_AND_WEATHER[1].was, conditions);
        let basis = r#"[{"kind":"TwentyMinutes","on":"2026-03-01","test":1}]"#;
        let marker = r#"{"speed":null,"heart_rate":null}"#;
        let markers = format!(
            r#"{{"aerobic_floor":{marker},"lt1":{marker},"lt2":{marker},"vo2max":{marker}}}"#
        );
        let cells = vec![
            Value::Integer(1),
            text("2026-03-01"),
            text(basis),
            text(&markers),
            text(r#"{"zones":[]}"#),
        ];
        put(&CALIBRATION, cells);
        connection
    }

    #[test]
    fn a_library_of_the_second_form_keeps_its_races_weather_and_zones() {
        let mut connection = second_form();
        run(&mut connection, STEPS).unwrap();
        check_structure(&connection).unwrap();
        assert_eq!(check(&connection).unwrap(), []);
        let one = |table| rows::one(&connection, table, 1).unwrap().unwrap();
        let race: Race = read(&one(&evidence::RACE)).unwrap();
        assert_eq!((race.name.as_str(), race.priority), ("", Priority::Other));
        assert_eq!(race.result.map(|result| result.duration.s()), Some(1_140.5));
        let noted: TestConditions = read(&one(&evidence::CONDITIONS)).unwrap();
        assert!(noted.conditions.is_treadmill());
        assert_eq!(noted.conditions.heat().map(Celsius::degrees), Some(19.5));
        let zones: Calibration = read(&one(&CALIBRATION)).unwrap();
        assert_eq!(zones.basis[0].stands_on, StandsOn::Test(TestId(1)));
    }

    #[test]
    fn damage_from_before_is_not_sealed_over() {
        let mut connection = second_form();
        connection.execute_batch("UPDATE race SET duration_s = 1040.5").unwrap();
        let outcome = run(&mut connection, STEPS);
        assert!(matches!(outcome, Err(StoreError::Damaged { .. })), "{outcome:?}");
        assert_eq!(super::super::pragma(&connection, "user_version").unwrap(), 2);
    }
}
