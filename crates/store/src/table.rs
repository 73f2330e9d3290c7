//! What the generic parts of the store know of a table: its name, its columns, what it refers to.

use rusqlite::types::{Value, ValueRef};

use crate::act::Kind;
use crate::error::StoreError;
use crate::seal::seal;
use crate::tables;

/// A table of facts. Every one also has `id` before and `removed` and `seal` around its columns.
#[derive(Debug)]
pub(crate) struct Table {
    /// Its name in the file.
    pub(crate) name: &'static str,
    /// What one row is called in a sentence.
    pub(crate) noun: &'static str,
    /// What a window shows of it, where it does.
    pub(crate) kind: Option<Kind>,
    /// Its own columns, in order.
    pub(crate) columns: &'static [&'static str],
    /// Which of them names the athlete the row belongs to.
    pub(crate) owner: Option<usize>,
    /// Which of them name other rows.
    pub(crate) references: &'static [Reference],
}

/// A column that names a row of another table.
#[derive(Debug)]
pub(crate) struct Reference {
    /// The column's place.
    pub(crate) column: usize,
    /// The other table.
    pub(crate) table: &'static Table,
    /// Whether that row must not be marked as removed when this one is put.
    pub(crate) live: bool,
}

/// Every table with seals and tallies.
pub(crate) static ALL: [&Table; 18] = [
    &tables::athlete::ATHLETE,
    &tables::squad::SQUAD,
    &tables::squad::MEMBERSHIP,
    &tables::recording::CONTENT,
    &tables::recording::RECORDING,
    &tables::test::TEST,
    &tables::calibration::CALIBRATION,
    &tables::schedule::BOOKING,
    &tables::schedule::AWAY,
    &tables::setting::SETTING,
    &crate::undo::ACT,
    &tables::evidence::RACE,
    &tables::evidence::LABORATORY,
    &tables::evidence::FACTOR,
    &tables::evidence::MEDICATION,
    &tables::evidence::CONDITIONS,
    &tables::programme::PROGRAMME,
    &tables::programme::OWN_WINDOW,
];

/// How many of them, from the first on, there were after each step that made new ones.
pub(crate) const OF_FORM: [usize; 3] = [11, 16, 18];

impl Table {
    /// The table of a name.
    pub(crate) fn named(name: &str) -> Option<&'static Self> {
        ALL.into_iter().find(|table| table.name == name)
    }
}

/// One row as it stands in the file.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Row {
    /// Its key.
    pub(crate) id: i64,
    /// Whether it is marked as removed.
    pub(crate) removed: bool,
    /// Its own columns, in the table's order.
    pub(crate) cells: Vec<Value>,
}

impl Row {
    /// A row that is not removed.
    pub(crate) fn live(id: i64, cells: Vec<Value>) -> Self {
        Self { id, removed: false, cells }
    }

    /// Its seal in a table.
    pub(crate) fn seal(&self, table: &Table) -> i64 {
        let head = [ValueRef::Integer(self.id), ValueRef::Integer(i64::from(self.removed))];
        seal(table.name, head.into_iter().chain(self.cells.iter().map(ValueRef::from)))
    }

    /// The whole number in a column; `None` where it is empty or no number.
    pub(crate) fn integer(&self, column: usize) -> Option<i64> {
        match self.cells.get(column) {
            Some(Value::Integer(number)) => Some(*number),
            _ => None,
        }
    }

    /// The athlete the row belongs to.
    pub(crate) fn owner(&self, table: &Table) -> Option<i64> {
        self.integer(table.owner?)
    }
}

/// A fact that is one row of one table.
pub(crate) trait Record: Sized {
    /// Its table.
    const TABLE: &'static Table;

    /// Its row.
    ///
    /// # Errors
    /// Refused where it holds something that cannot be kept.
    fn row(&self) -> Result<Row, StoreError>;

    /// The fact from its row, its columns in order.
    ///
    /// # Errors
    /// Damaged where a column holds no such value.
    fn read(cells: &mut crate::columns::Cells<'_>) -> Result<Self, StoreError>;
}
