//! Bookings and spans away.

use pacewright_core::ids::{AwayId, BookingId};
use pacewright_core::schedule::{Away, Booking};

use super::athlete::ATHLETE;
use crate::act::Kind;
use crate::columns::{Cells, Column};
use crate::error::StoreError;
use crate::table::{Record, Reference, Row, Table};

pub(crate) static BOOKING: Table = Table {
    name: "booking",
    noun: "booking",
    kind: Some(Kind::Bookings),
    columns: &["athlete", "kind", "booked_on"],
    owner: Some(0),
    references: &[Reference { column: 0, table: &ATHLETE, live: true }],
};

pub(crate) static AWAY: Table = Table {
    name: "away",
    noun: "span away",
    kind: Some(Kind::Aways),
    columns: &["athlete", "kind", "away_from", "away_to", "well_on"],
    owner: Some(0),
    references: &[Reference { column: 0, table: &ATHLETE, live: true }],
};

impl Record for Booking {
    const TABLE: &'static Table = &BOOKING;

    fn row(&self) -> Result<Row, StoreError> {
        Ok(Row::live(self.id.0, vec![self.athlete.cell(), self.kind.cell(), self.on.cell()]))
    }

    fn read(cells: &mut Cells<'_>) -> Result<Self, StoreError> {
        let id = BookingId(cells.id());
        Ok(Self { id, athlete: cells.take()?, kind: cells.take()?, on: cells.take()? })
    }
}

impl Record for Away {
    const TABLE: &'static Table = &AWAY;

    fn row(&self) -> Result<Row, StoreError> {
        let cells = vec![
            self.athlete.cell(),
            self.kind.cell(),
            self.from.cell(),
            self.to.cell(),
            self.well_on.cell(),
        ];
        Ok(Row::live(self.id.0, cells))
    }

    fn read(cells: &mut Cells<'_>) -> Result<Self, StoreError> {
        Ok(Self {
            id: AwayId(cells.id()),
            athlete: cells.take()?,
            kind: cells.take()?,
            from: cells.take()?,
            to: cells.take()?,
            well_on: cells.take()?,
        })
    }
}
