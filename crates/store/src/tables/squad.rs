//! Squads, and which athletes are in which.

use std::collections::HashMap;

use pacewright_core::athlete::{Athlete, Squad};
use pacewright_core::ids::{AthleteId, SquadId};

use super::athlete::ATHLETE;
use crate::act::Kind;
use crate::columns::{Cells, Column};
use crate::door::Door;
use crate::error::StoreError;
use crate::rows;
use crate::table::{Record, Reference, Row, Table};

pub(crate) static SQUAD: Table = Table {
    name: "squad",
    noun: "squad",
    kind: Some(Kind::Squads),
    columns: &["name"],
    owner: None,
    references: &[],
};

pub(crate) static MEMBERSHIP: Table = Table {
    name: "membership",
    noun: "membership",
    kind: Some(Kind::Athletes),
    columns: &["athlete", "squad", "place"],
    owner: Some(0),
    references: &[
        Reference { column: 0, table: &ATHLETE, live: true },
        Reference { column: 1, table: &SQUAD, live: true },
    ],
};

impl Record for Squad {
    const TABLE: &'static Table = &SQUAD;

    fn row(&self) -> Result<Row, StoreError> {
        Ok(Row::live(self.id.0, vec![self.name.cell()]))
    }

    fn read(cells: &mut Cells<'_>) -> Result<Self, StoreError> {
        Ok(Self { id: SquadId(cells.id()), name: cells.take()? })
    }
}

/// Writes the squads an athlete is in, over the athlete's earlier rows as far as they go.
pub(crate) fn put_memberships(door: &mut Door<'_>, athlete: &Athlete) -> Result<(), StoreError> {
    let mut earlier = rows::of_owner(door.connection, &MEMBERSHIP, athlete.id.0)?.into_iter();
    for (place, squad) in (0_i64..).zip(&athlete.squads) {
        let id = match earlier.next() {
            Some(row) => row.id,
            None => door.next_id(&MEMBERSHIP)?,
        };
        door.put(&MEMBERSHIP, &Row::live(id, vec![athlete.id.cell(), squad.cell(), place.cell()]))?;
    }
    for row in earlier {
        door.put(&MEMBERSHIP, &Row { removed: true, ..row })?;
    }
    Ok(())
}

/// The squads of each athlete, in each athlete's own order, from rows of memberships.
pub(crate) fn by_athlete(
    memberships: &[Row],
) -> Result<HashMap<AthleteId, Vec<SquadId>>, StoreError> {
    let mut places: HashMap<AthleteId, Vec<(i64, SquadId)>> = HashMap::new();
    for row in memberships.iter().filter(|row| !row.removed) {
        let mut cells = Cells::new(&MEMBERSHIP, row);
        let (athlete, squad, place) = (cells.take()?, cells.take()?, cells.take()?);
        places.entry(athlete).or_default().push((place, squad));
    }
    let in_order = places.into_iter().map(|(athlete, mut squads)| {
        squads.sort_unstable();
        (athlete, squads.into_iter().map(|(_, squad)| squad).collect())
    });
    Ok(in_order.collect())
}
