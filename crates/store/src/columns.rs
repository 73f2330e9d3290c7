//! How values stand in columns: numbers as they are, days and names as text, and back.
//! A column that holds no such value is damage, never a default.

use chrono::{DateTime, NaiveDate, SecondsFormat, Utc};
use pacewright_core::athlete::{Sensor, Sex};
use pacewright_core::course::Surface;
use pacewright_core::effort::FoundBy;
use pacewright_core::ids::{
    AthleteId, AwayId, BookingId, CalibrationId, ConditionsId, FactorId, LaboratoryId,
    MedicationId, OwnWindowId, ProgrammeId, RaceId, RecordingId, SquadId, TestId,
};
use pacewright_core::laboratory::Protocol;
use pacewright_core::markers::MarkerName;
use pacewright_core::physiology::conditions::{Celsius, Ground};
use pacewright_core::physiology::thresholds::FirstThresholdFactor;
use pacewright_core::race::Priority;
use pacewright_core::schedule::AwayKind;
use pacewright_core::test::TestKind;
use pacewright_core::units::{Altitude, Distance, HeartRate, Seconds, Share, Speed};
use rusqlite::types::{Value, ValueRef};

use crate::error::StoreError;
use crate::hash::ContentHash;
use crate::table::{Row, Table};
use crate::undo::ActState;

/// A value that stands in one column.
pub(crate) trait Column: Sized {
    /// As it is stored.
    fn cell(&self) -> Value;
    /// From what is stored; `None` where that is no such value.
    fn from_cell(cell: ValueRef<'_>) -> Option<Self>;
}

/// The columns of a row, read from the first to the last.
pub(crate) struct Cells<'r> {
    table: &'r Table,
    id: i64,
    values: Values<'r>,
    next: usize,
}

/// A row's own columns: in a row that is kept, or as they stand in the file.
enum Values<'r> {
    Kept(&'r [Value]),
    Raw(&'r [ValueRef<'r>]),
}

impl<'r> Cells<'r> {
    /// At the first column.
    pub(crate) fn new(table: &'r Table, row: &'r Row) -> Self {
        Self { table, id: row.id, values: Values::Kept(&row.cells), next: 0 }
    }

    /// At the first column of a row that is not kept.
    pub(crate) fn raw(table: &'r Table, id: i64, values: &'r [ValueRef<'r>]) -> Self {
        Self { table, id, values: Values::Raw(values), next: 0 }
    }

    /// The row's key.
    pub(crate) fn id(&self) -> i64 {
        self.id
    }

    /// The next column.
    ///
    /// # Errors
    /// Damaged where it holds no such value.
    pub(crate) fn take<T: Column>(&mut self) -> Result<T, StoreError> {
        self.next_as(T::from_cell)
    }

    /// The next column, written as JSON.
    ///
    /// # Errors
    /// Damaged where it holds no such value.
    pub(crate) fn json<T: serde::de::DeserializeOwned>(&mut self) -> Result<T, StoreError> {
        let text = self.text()?;
        crate::exact_json::from_text(text)
            .ok_or_else(|| self.damaged("what it holds cannot be read"))
    }

    /// The next column, a text that is only looked at.
    ///
    /// # Errors
    /// Damaged where it holds no text.
    pub(crate) fn text(&mut self) -> Result<&'r str, StoreError> {
        self.next_as(as_text)
    }

    fn next_as<T>(&mut self, read: impl Fn(ValueRef<'r>) -> Option<T>) -> Result<T, StoreError> {
        let value = match &self.values {
            Values::Kept(cells) => cells.get(self.next).map(ValueRef::from),
            Values::Raw(cells) => cells.get(self.next).copied(),
        };
        let name = self.table.columns.get(self.next).copied().unwrap_or("its columns");
        self.next += 1;
        value.and_then(read).ok_or_else(|| self.damaged(&format!("{name} cannot be read")))
    }

    /// Damage to this row.
    pub(crate) fn damaged(&self, what: &str) -> StoreError {
        StoreError::damaged(self.table.name, self.id, what)
    }
}

impl<T: Column> Column for Option<T> {
    fn cell(&self) -> Value {
        self.as_ref().map_or(Value::Null, Column::cell)
    }
    fn from_cell(cell: ValueRef<'_>) -> Option<Self> {
        if matches!(cell, ValueRef::Null) { Some(None) } else { T::from_cell(cell).map(Some) }
    }
}

impl Column for i64 {
    fn cell(&self) -> Value {
        Value::Integer(*self)
    }
    fn from_cell(cell: ValueRef<'_>) -> Option<Self> {
        if let ValueRef::Integer(number) = cell { Some(number) } else { None }
    }
}

impl Column for u32 {
    fn cell(&self) -> Value {
        Value::Integer((*self).into())
    }
    fn from_cell(cell: ValueRef<'_>) -> Option<Self> {
        i64::from_cell(cell).and_then(|number| number.try_into().ok())
    }
}

impl Column for bool {
    fn cell(&self) -> Value {
        Value::Integer((*self).into())
    }
    fn from_cell(cell: ValueRef<'_>) -> Option<Self> {
        match cell {
            ValueRef::Integer(0) => Some(false),
            ValueRef::Integer(1) => Some(true),
            _ => None,
        }
    }
}

impl Column for String {
    fn cell(&self) -> Value {
        Value::Text(self.clone())
    }
    fn from_cell(cell: ValueRef<'_>) -> Option<Self> {
        as_text(cell).map(str::to_owned)
    }
}

impl Column for Vec<u8> {
    fn cell(&self) -> Value {
        Value::Blob(self.clone())
    }
    fn from_cell(cell: ValueRef<'_>) -> Option<Self> {
        if let ValueRef::Blob(bytes) = cell { Some(bytes.to_vec()) } else { None }
    }
}

/// Values written as text: how to write one, how to read one.
macro_rules! texts {
    ($($type:ty: $write:expr, $read:expr;)*) => {$(
        impl Column for $type {
            fn cell(&self) -> Value {
                let write: fn(&$type) -> String = $write;
                Value::Text(write(self))
            }
            fn from_cell(cell: ValueRef<'_>) -> Option<Self> {
                let read: fn(&str) -> Option<$type> = $read;
                as_text(cell).and_then(read)
            }
        }
    )*};
}
texts! {
    NaiveDate: NaiveDate::to_string, |text| plain_day(text).or_else(|| text.parse().ok());
    DateTime<Utc>: |time| time.to_rfc3339_opts(SecondsFormat::AutoSi, true), |text| text.parse().ok();
    ContentHash: ContentHash::to_string, ContentHash::from_hex;
}

/// "2026-11-25", as nearly all days are written, without the search for other forms.
fn plain_day(text: &str) -> Option<NaiveDate> {
    let [y0, y1, y2, y3, b'-', m0, m1, b'-', d0, d1] = text.as_bytes() else { return None };
    let number = |digits: &[u8]| {
        digits.iter().try_fold(0_u32, |number, digit| {
            digit.is_ascii_digit().then(|| number * 10 + u32::from(digit - b'0'))
        })
    };
    let year = number(&[*y0, *y1, *y2, *y3])?;
    let (month, day) = (number(&[*m0, *m1])?, number(&[*d0, *d1])?);
    NaiveDate::from_ymd_opt(year.try_into().ok()?, month, day)
}

fn as_text(cell: ValueRef<'_>) -> Option<&str> {
    if let ValueRef::Text(text) = cell { std::str::from_utf8(text).ok() } else { None }
}

macro_rules! ids {
    ($($type:ident)*) => {$(
        impl Column for $type {
            fn cell(&self) -> Value {
                Value::Integer(self.0)
            }
            fn from_cell(cell: ValueRef<'_>) -> Option<Self> {
                i64::from_cell(cell).map($type)
            }
        }
    )*};
}
ids! {
    AthleteId SquadId RecordingId TestId CalibrationId BookingId AwayId RaceId LaboratoryId FactorId
    MedicationId ConditionsId ProgrammeId OwnWindowId
}

/// Quantities, in the unit their column's name states.
macro_rules! quantities {
    ($($type:ident: $from:ident, $get:ident;)*) => {$(
        impl Column for $type {
            fn cell(&self) -> Value {
                // SQLite keeps no negative zero: adding zero makes it a plain one, which is equal
                Value::Real(self.$get() + 0.0)
            }
            fn from_cell(cell: ValueRef<'_>) -> Option<Self> {
                if let ValueRef::Real(number) = cell { Self::$from(number).ok() } else { None }
            }
        }
    )*};
}
quantities! {
    Distance: from_m, m;
    Seconds: from_s, s;
    HeartRate: from_bpm, bpm;
    Share: from_ratio, ratio;
    Speed: from_m_per_s, m_per_s;
    Altitude: from_m, m;
}

impl Column for Celsius {
    fn cell(&self) -> Value {
        Value::Real(self.degrees() + 0.0)
    }
    fn from_cell(cell: ValueRef<'_>) -> Option<Self> {
        if let ValueRef::Real(number) = cell { Self::from_degrees(number) } else { None }
    }
}

impl Column for FirstThresholdFactor {
    fn cell(&self) -> Value {
        Value::Real(self.ratio())
    }
    fn from_cell(cell: ValueRef<'_>) -> Option<Self> {
        if let ValueRef::Real(number) = cell { Self::from_ratio(number) } else { None }
    }
}

/// Choices, in words that anyone who opens the file can read.
macro_rules! words {
    ($($type:ident { $($variant:ident = $word:literal),* })*) => {$(
        impl Column for $type {
            fn cell(&self) -> Value {
                Value::Text(match self { $(Self::$variant => $word),* }.to_owned())
            }
            fn from_cell(cell: ValueRef<'_>) -> Option<Self> {
                match as_text(cell)? {
                    $($word => Some(Self::$variant),)*
                    _ => None,
                }
            }
        }
    )*};
}
words! {
    Sex { Female = "female", Male = "male" }
    Sensor { Strap = "strap", Wrist = "wrist" }
    TestKind { FiveMinutes = "5 minutes", TwentyMinutes = "20 minutes", FortyMinutes = "40 minutes" }
    FoundBy { Lap = "lap", WholeRecording = "whole recording", Fastest = "fastest", ByHand = "by hand" }
    AwayKind { Injury = "injury", Illness = "illness", Holiday = "holiday", Camp = "camp" }
    MarkerName { AerobicFloor = "aerobic floor", Lt1 = "LT1", Lt2 = "LT2", Vo2max = "VO2max" }
    Priority { Goal = "goal", Other = "other" }
    Surface { Track = "track", Road = "road", Trail = "trail" }
    Protocol { Lactate = "lactate", GasExchange = "gas exchange", Other = "other" }
    ActState { Done = "done", Undone = "undone", Dropped = "dropped" }
}

const TREADMILL: &str = "treadmill";

impl Column for Ground {
    fn cell(&self) -> Value {
        match self {
            Self::Course(surface) => surface.cell(),
            Self::Treadmill => Value::Text(TREADMILL.to_owned()),
        }
    }
    fn from_cell(cell: ValueRef<'_>) -> Option<Self> {
        match as_text(cell)? {
            TREADMILL => Some(Self::Treadmill),
            _ => Surface::from_cell(cell).map(Self::Course),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read<T: Column>(value: &Value) -> Option<T> {
        T::from_cell(ValueRef::from(value))
    }

    fn comes_back<T: Column + PartialEq + std::fmt::Debug>(value: &T) {
        assert_eq!(read::<T>(&value.cell()).as_ref(), Some(value));
    }

    #[test]
    fn values_come_back_and_anything_else_is_refused() {
        comes_back(&NaiveDate::from_ymd_opt(2024, 2, 29));
        comes_back(&NaiveDate::MAX);
        comes_back(&DateTime::from_timestamp(1_790_000_000, 123_456_789));
        comes_back(&DateTime::from_timestamp(0, 0));
        comes_back(&None::<HeartRate>);
        for kind in TestKind::ALL {
            comes_back(&kind);
        }
        for surface in [Surface::Track, Surface::Road, Surface::Trail] {
            comes_back(&Ground::Course(surface));
        }
        comes_back(&Ground::Treadmill);
        let text = |words: &str| Value::Text(words.to_owned());
        assert_eq!(read::<TestKind>(&text("6 minutes")), None);
        assert_eq!(read::<Option<TestKind>>(&text("")), None);
        assert_eq!(read::<bool>(&Value::Integer(2)), None);
        for wrong in ["2024-02-30", "2024-02-0a", "25.11.2026"] {
            assert_eq!(read::<NaiveDate>(&text(wrong)), None, "{wrong}");
        }
        assert_eq!(read::<HeartRate>(&Value::Real(0.0)), None);
    }
}
