//! Tables for spreadsheets: due.csv, zones.csv, tests.csv.

use pacewright_core::format::{clock, metres_number, whole_beats};
use pacewright_core::test::Decision;
use pacewright_core::units::UnitSystem;
use pacewright_core::words;
use pacewright_core::zones::shown::shown_pace;

use crate::book::{Book, Page};
use crate::due::due;
use crate::{Now, Problem};

/// Who is due for which test.
pub(super) fn due_table(book: &Book, now: &Now) -> Result<Vec<u8>, Problem> {
    let rows = due(book, now).into_iter().map(|line| {
        let held: Vec<&str> = line.held_by.iter().map(|hold| words::hold(*hold)).collect();
        vec![
            line.athlete,
            line.kind.minutes().to_string(),
            words::state(line.state).to_owned(),
            held.join("; "),
            day_cell(line.last_on),
            day_cell(line.opens_on),
            day_cell(line.closes_on),
        ]
    });
    write(
        &["athlete", "test_minutes", "state", "held_by", "last_on", "opens_on", "closes_on"],
        rows,
    )
}

/// Every zone in force, as it stands on the cards.
pub(crate) fn zones_table(
    pages: &[&Page],
    units: UnitSystem,
    now: &Now,
) -> Result<Vec<u8>, Problem> {
    let rows = pages.iter().filter_map(|page| Some((page, page.current(now.today)?))).flat_map(
        |(page, current)| {
            current.zones.zones.iter().map(move |zone| {
                let beat = |b: Option<u16>| b.map(|b| b.to_string()).unwrap_or_default();
                let pace = |s: Option<u32>| s.map(clock).unwrap_or_default();
                let band = zone.pace.map(|band| shown_pace(band, units));
                vec![
                    page.athlete.name.clone(),
                    current.from.to_string(),
                    zone.number.to_string(),
                    current.zones.name_of(zone).to_owned(),
                    beat(zone.heart_rate.and_then(|b| b.from)),
                    beat(zone.heart_rate.and_then(|b| b.to)),
                    pace(band.and_then(|b| b.slowest_s)),
                    pace(band.and_then(|b| b.fastest_s)),
                    if zone.estimated { "yes" } else { "no" }.to_owned(),
                ]
            })
        },
    );
    let unit = match units {
        UnitSystem::Kilometres => ["slowest_per_km", "fastest_per_km"],
        UnitSystem::Miles => ["slowest_per_mile", "fastest_per_mile"],
    };
    let header = [
        "athlete",
        "from",
        "zone",
        "name",
        "heart_rate_from",
        "heart_rate_to",
        unit[0],
        unit[1],
        "estimated",
    ];
    write(&header, rows)
}

/// Every test, oldest first for each athlete.
pub(crate) fn tests_table(pages: &[&Page]) -> Result<Vec<u8>, Problem> {
    let rows = pages.iter().flat_map(|page| {
        page.tests.iter().map(|test| {
            let (decision, reason) = match &test.decision {
                Decision::ToConfirm => ("to confirm", String::new()),
                Decision::Accepted { reason } => ("accepted", reason.clone().unwrap_or_default()),
                Decision::Renewed { reason } => {
                    ("accepted, zones kept", reason.clone().unwrap_or_default())
                }
                Decision::SetAside { reason } => ("set aside", reason.clone()),
            };
            vec![
                page.athlete.name.clone(),
                test.kind.minutes().to_string(),
                test.on.to_string(),
                metres_number(test.performance.distance),
                test.performance
                    .mean_heart_rate
                    .map(|r| whole_beats(r).to_string())
                    .unwrap_or_default(),
                decision.to_owned(),
                reason,
            ]
        })
    });
    write(
        &["athlete", "test_minutes", "on", "distance_m", "mean_heart_rate", "decision", "reason"],
        rows,
    )
}

/// A day as tables hold it; empty where there is none.
pub(crate) fn day_cell(day: Option<chrono::NaiveDate>) -> String {
    day.map(|day| day.to_string()).unwrap_or_default()
}

/// A table with a header row.
pub(crate) fn write(
    header: &[&str],
    rows: impl Iterator<Item = Vec<String>>,
) -> Result<Vec<u8>, Problem> {
    let failed = |e: csv::Error| Problem::new(format!("A table could not be written ({e})."));
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(header).map_err(failed)?;
    for row in rows {
        writer.write_record(row).map_err(failed)?;
    }
    writer.into_inner().map_err(|e| Problem::new(format!("A table could not be written ({e}).")))
}
