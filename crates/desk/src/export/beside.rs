//! What stands beside the tests, as tables: bookings, days away, races, laboratory values, the factor to
//! LT1 heart rate, medication, conditions.

use pacewright_core::laboratory::Protocol;
use pacewright_core::physiology::conditions::{Celsius, Conditions, Ground, Weather};
use pacewright_core::race::Priority;
use pacewright_core::units::{Altitude, Distance, HeartRate, Seconds, Share, Speed};
use pacewright_core::words;

use crate::Problem;
use crate::book::Page;
use crate::papers::tables::{day_cell, write};

type Table = (&'static str, Vec<u8>);

/// Each with a header row; units stand in it. Nothing is rounded.
pub(super) fn tables(pages: &[&Page]) -> Result<Vec<Table>, Problem> {
    Ok(vec![
        ("bookings.csv", bookings(pages)?),
        ("away.csv", aways(pages)?),
        ("races.csv", races(pages)?),
        ("laboratory.csv", laboratory(pages)?),
        ("lt1-factors.csv", factors(pages)?),
        ("medication.csv", medications(pages)?),
        ("conditions.csv", conditions(pages)?),
    ])
}

/// A table of every athlete's facts of one kind, the athlete's name before each.
fn table<'p, T: 'p>(
    columns: &[&str],
    pages: &[&'p Page],
    facts: impl Fn(&'p Page) -> &'p [T],
    cells: impl Fn(&'p Page, &'p T) -> Vec<String>,
) -> Result<Vec<u8>, Problem> {
    let header: Vec<&str> = std::iter::once("athlete").chain(columns.iter().copied()).collect();
    let mut rows = Vec::new();
    for page in pages {
        for fact in facts(page) {
            let mut row = vec![page.athlete.name.clone()];
            row.extend(cells(page, fact));
            rows.push(row);
        }
    }
    write(&header, rows.into_iter())
}

fn bookings(pages: &[&Page]) -> Result<Vec<u8>, Problem> {
    table(
        &["test_minutes", "on"],
        pages,
        |page| &page.bookings,
        |_, booking| vec![booking.kind.minutes().to_string(), booking.on.to_string()],
    )
}

fn aways(pages: &[&Page]) -> Result<Vec<u8>, Problem> {
    table(
        &["why", "from", "to", "well_on"],
        pages,
        |page| &page.aways,
        |_, away| {
            vec![
                words::away(away.kind).to_owned(),
                away.from.to_string(),
                day_cell(away.to),
                day_cell(away.well_on),
            ]
        },
    )
}

fn races(pages: &[&Page]) -> Result<Vec<u8>, Problem> {
    table(
        &["on", "name", "distance_m", "goal", "time_s", "peak_heart_rate"],
        pages,
        |page| &page.beside.races,
        |_, race| {
            vec![
                race.on.to_string(),
                race.name.clone(),
                number(Some(race.distance), Distance::m),
                yes_or_no(race.priority == Priority::Goal),
                number(race.result.map(|ran| ran.duration), Seconds::s),
                number(race.result.and_then(|ran| ran.peak_heart_rate), HeartRate::bpm),
            ]
        },
    )
}

fn laboratory(pages: &[&Page]) -> Result<Vec<u8>, Problem> {
    table(
        &["on", "marker", "speed_m_per_s", "heart_rate", "protocol", "notes"],
        pages,
        |page| &page.beside.laboratory,
        |_, value| {
            let protocol = match value.protocol {
                Protocol::Lactate => "lactate",
                Protocol::GasExchange => "gas exchange",
                Protocol::Other => "other",
            };
            vec![
                value.on.to_string(),
                words::marker(value.marker).to_owned(),
                number(value.speed, Speed::m_per_s),
                number(value.heart_rate, HeartRate::bpm),
                protocol.to_owned(),
                value.notes.clone(),
            ]
        },
    )
}

fn factors(pages: &[&Page]) -> Result<Vec<u8>, Problem> {
    table(
        &["from", "factor", "reason"],
        pages,
        |page| &page.beside.factors,
        |_, chosen| {
            vec![chosen.from.to_string(), chosen.factor.ratio().to_string(), chosen.reason.clone()]
        },
    )
}

fn medications(pages: &[&Page]) -> Result<Vec<u8>, Problem> {
    table(
        &["from", "to", "dose", "reason"],
        pages,
        |page| &page.beside.medications,
        |_, span| {
            vec![
                span.from.to_string(),
                day_cell(span.to),
                span.dose.clone(),
                span.reason.clone().unwrap_or_default(),
            ]
        },
    )
}

fn conditions(pages: &[&Page]) -> Result<Vec<u8>, Problem> {
    table(
        &[
            "test_minutes",
            "on",
            "temperature_c",
            "humidity_share",
            "wet_bulb_globe_c",
            "altitude_m",
            "ground",
        ],
        pages,
        |page| &page.beside.conditions,
        |page, noted| {
            let test = page.tests.iter().find(|test| test.id == noted.test);
            let mut row = vec![
                test.map(|test| test.kind.minutes().to_string()).unwrap_or_default(),
                test.map(|test| test.on.to_string()).unwrap_or_default(),
            ];
            row.extend(conditions_cells(&noted.conditions));
            row
        },
    )
}

/// Temperature and humidity, or the wet-bulb globe temperature; height; ground.
fn conditions_cells(conditions: &Conditions) -> [String; 5] {
    let (temperature, humidity, globe) = match conditions.weather {
        Some(Weather::Air { temperature, humidity }) => (Some(temperature), Some(humidity), None),
        Some(Weather::WetBulbGlobe(measured)) => (None, None, Some(measured)),
        None => (None, None, None),
    };
    let ground = match conditions.ground {
        Some(Ground::Course(surface)) => words::surface(surface),
        Some(Ground::Treadmill) => "treadmill",
        None => "",
    };
    [
        number(temperature, Celsius::degrees),
        number(humidity, Share::ratio),
        number(globe, Celsius::degrees),
        number(conditions.altitude, Altitude::m),
        ground.to_owned(),
    ]
}

/// A number as it is kept.
fn number<T>(value: Option<T>, of: impl Fn(T) -> f64) -> String {
    value.map(|value| of(value).to_string()).unwrap_or_default()
}

fn yes_or_no(yes: bool) -> String {
    if yes { "yes" } else { "no" }.to_owned()
}
