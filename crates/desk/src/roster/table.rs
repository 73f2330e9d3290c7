//! The roster's table: a header row and cells, read with one sentence for each wrong one, and written
//! so that it is read the same.

use chrono::NaiveDate;
use pacewright_core::athlete::{Athlete, Screening, Sensor, Sex, Squad};
use pacewright_core::screening::{is_credible_birth, whole_years};
use pacewright_core::units::HeartRate;

use crate::Problem;
use crate::book::Book;
use crate::papers::tables::{day_cell, write};

/// One athlete as a row gives them; an empty cell says nothing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Row {
    /// Line in the table, the header being 1.
    pub line: usize,
    /// Full name.
    pub name: String,
    /// Names of squads.
    pub squads: Vec<String>,
    /// Day of birth.
    pub born: Option<NaiveDate>,
    /// Sex.
    pub sex: Option<Sex>,
    /// Resting heart rate.
    pub resting_heart_rate: Option<HeartRate>,
    /// Maximal heart rate.
    pub max_heart_rate: Option<HeartRate>,
    /// Rate-lowering medication.
    pub medication: Option<bool>,
    /// What screening said.
    pub screening: Option<Screening>,
    /// Other names.
    pub aliases: Vec<String>,
    /// What measures heart rate.
    pub sensor: Option<Sensor>,
    /// Guardian's consent.
    pub guardian_consent: Option<NaiveDate>,
    /// Notes.
    pub notes: String,
}

/// A row that was left out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RefusedRow {
    /// Line in the table, the header being 1.
    pub line: usize,
    /// Why, in one sentence.
    pub reason: String,
}

const COLUMNS: [&str; 12] = [
    "name",
    "squad",
    "born",
    "sex",
    "resting_heart_rate",
    "max_heart_rate",
    "medication",
    "screening",
    "alias",
    "sensor",
    "guardian_consent",
    "notes",
];

/// Rows and refused rows of a roster's text.
///
/// # Errors
/// No header with a column called name, or a column nobody knows, in one sentence.
pub fn parse(text: &str) -> Result<(Vec<Row>, Vec<RefusedRow>), String> {
    let separator = if text.lines().next().unwrap_or_default().contains(';') { b';' } else { b',' };
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let header = reader.headers().map_err(|e| format!("is no table ({e})."))?.clone();
    let columns: Vec<String> =
        header.iter().map(|h| h.trim().to_lowercase().replace([' ', '-'], "_")).collect();
    if let Some(unknown) = columns.iter().find(|c| !COLUMNS.contains(&c.as_str())) {
        return Err(format!(
            "has a column \"{unknown}\" that means nothing here; the columns are {}.",
            COLUMNS.join(", ")
        ));
    }
    if !columns.iter().any(|c| c == "name") {
        return Err("has no column \"name\"; the first line must name the columns.".to_owned());
    }
    let (mut rows, mut refused) = (Vec::new(), Vec::new());
    for (index, record) in reader.records().enumerate() {
        let line = index + 2;
        let parsed = record
            .map_err(|e| format!("cannot be read ({e})."))
            .and_then(|record| row(line, &columns, &record));
        match parsed {
            Ok(row) => rows.push(row),
            Err(reason) => refused.push(RefusedRow { line, reason }),
        }
    }
    Ok((rows, refused))
}

fn row(line: usize, columns: &[String], record: &csv::StringRecord) -> Result<Row, String> {
    let mut row = Row { line, ..Row::default() };
    for (column, cell) in columns.iter().zip(record) {
        if !cell.is_empty() {
            fill(&mut row, column, cell)
                .map_err(|expected| format!("{column} \"{cell}\" is not {expected}."))?;
        }
    }
    if row.name.is_empty() {
        return Err("the name is missing.".to_owned());
    }
    Ok(row)
}

fn fill(row: &mut Row, column: &str, cell: &str) -> Result<(), &'static str> {
    match column {
        "name" => cell.clone_into(&mut row.name),
        "squad" => row.squads = list(cell),
        "born" => row.born = Some(day(cell)?),
        "sex" => row.sex = Some(sex(cell)?),
        "resting_heart_rate" => row.resting_heart_rate = Some(rate(cell, RESTING)?),
        "max_heart_rate" => row.max_heart_rate = Some(rate(cell, HIGHEST)?),
        "medication" => row.medication = Some(yes_or_no(cell)?),
        "screening" => row.screening = Some(screening(cell)?),
        "alias" => row.aliases = list(cell),
        "sensor" => row.sensor = Some(sensor(cell)?),
        "guardian_consent" => row.guardian_consent = Some(day(cell)?),
        _ => cell.clone_into(&mut row.notes),
    }
    Ok(())
}

pub(crate) fn list(cell: &str) -> Vec<String> {
    cell.split([';', '|'])
        .map(str::trim)
        .filter(|part| !part.is_empty())
        .map(str::to_owned)
        .collect()
}

/// Why a day that is over, or today, cannot be one that lies ahead.
pub(crate) fn lies_ahead(day: NaiveDate, today: NaiveDate) -> Option<String> {
    (day > today).then(|| format!("{day} lies ahead; today is {today}."))
}

/// Why nobody coached can be born on a day.
pub(crate) fn impossible_birth(born: NaiveDate, today: NaiveDate) -> Option<String> {
    lies_ahead(born, today).or_else(|| {
        (!is_credible_birth(born, today)).then(|| {
            let years = whole_years(born, today);
            format!("{born} makes an age of {years}: athletes are 5 to 120; check the year.")
        })
    })
}

impl Row {
    /// The first of its days that cannot be, in one sentence with its column.
    pub(crate) fn impossible_day(&self, today: NaiveDate) -> Option<String> {
        let screened = self.screening.and_then(|screening| match screening {
            Screening::Cleared { on } => Some(on),
            Screening::Hold { since } => since,
            Screening::NotAsked => None,
        });
        let ahead = |day: Option<NaiveDate>| lies_ahead(day?, today);
        [
            ("born", self.born.and_then(|born| impossible_birth(born, today))),
            ("screening", ahead(screened)),
            ("guardian_consent", ahead(self.guardian_consent)),
        ]
        .into_iter()
        .find_map(|(column, wrong)| Some(format!("{column} {}", wrong?)))
    }
}

pub(crate) fn day(cell: &str) -> Result<NaiveDate, &'static str> {
    NaiveDate::parse_from_str(cell, "%Y-%m-%d").map_err(|_| {
        let is_digit = |(place, sign): (usize, char)| match place {
            4 | 7 => sign == '-',
            _ => sign.is_ascii_digit(),
        };
        if cell.len() == 10 && cell.chars().enumerate().all(is_digit) {
            "a day of the calendar"
        } else {
            "a day like 2001-04-30"
        }
    })
}

fn sex(cell: &str) -> Result<Sex, &'static str> {
    match cell.to_lowercase().as_str() {
        "female" | "f" | "w" => Ok(Sex::Female),
        "male" | "m" => Ok(Sex::Male),
        _ => Err("female or male"),
    }
}

/// Heart rates a person can have, and what they are called where one is none.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Credible {
    /// The lowest, bpm.
    pub(crate) least: f64,
    /// The highest, bpm.
    pub(crate) most: f64,
    /// "a resting heart rate a person can have".
    pub(crate) expected: &'static str,
}

/// At rest (judgement).
pub(crate) const RESTING: Credible =
    Credible { least: 25.0, most: 120.0, expected: "a resting heart rate a person can have" };
/// The highest ever (judgement).
pub(crate) const HIGHEST: Credible =
    Credible { least: 100.0, most: 240.0, expected: "a highest heart rate a person can have" };

pub(crate) fn rate(cell: &str, credible: Credible) -> Result<HeartRate, &'static str> {
    let bpm: f64 = cell.replace(',', ".").parse().map_err(|_| "a heart rate")?;
    if !(credible.least..=credible.most).contains(&bpm) {
        return Err(credible.expected);
    }
    HeartRate::from_bpm(bpm).map_err(|_| "a heart rate")
}

fn yes_or_no(cell: &str) -> Result<bool, &'static str> {
    match cell.to_lowercase().as_str() {
        "yes" | "y" => Ok(true),
        "no" | "n" => Ok(false),
        _ => Err("yes or no"),
    }
}

fn screening(cell: &str) -> Result<Screening, &'static str> {
    const EXPECTED: &str = "cleared with a day, not asked, or hold";
    let lower = cell.to_lowercase();
    if lower == "not asked" {
        return Ok(Screening::NotAsked);
    }
    if let Some(rest) = lower.strip_prefix("cleared") {
        return Ok(Screening::Cleared { on: day(rest.trim()).map_err(|_| EXPECTED)? });
    }
    let rest = lower.strip_prefix("hold").ok_or(EXPECTED)?.trim();
    let since = if rest.is_empty() { None } else { Some(day(rest).map_err(|_| EXPECTED)?) };
    Ok(Screening::Hold { since })
}

fn sensor(cell: &str) -> Result<Sensor, &'static str> {
    match cell.to_lowercase().as_str() {
        "strap" | "chest strap" => Ok(Sensor::Strap),
        "wrist" => Ok(Sensor::Wrist),
        _ => Err("strap or wrist"),
    }
}

/// Everybody in the book, in the columns they are read by.
///
/// # Errors
/// Where the table cannot be written.
pub(crate) fn roster_table(book: &Book) -> Result<Vec<u8>, Problem> {
    write(&COLUMNS, book.pages.iter().map(|page| roster_row(&page.athlete, &book.squads)))
}

fn roster_row(athlete: &Athlete, squads: &[Squad]) -> Vec<String> {
    let beats = |rate: Option<HeartRate>| rate.map(|r| r.bpm().to_string()).unwrap_or_default();
    let of = athlete.squads.iter().filter_map(|id| squads.iter().find(|squad| squad.id == *id));
    let of: Vec<&str> = of.map(|squad| squad.name.as_str()).collect();
    vec![
        athlete.name.clone(),
        of.join("; "),
        day_cell(athlete.born),
        match athlete.sex {
            Some(Sex::Female) => "female".to_owned(),
            Some(Sex::Male) => "male".to_owned(),
            None => String::new(),
        },
        beats(athlete.resting_heart_rate),
        beats(athlete.max_heart_rate),
        if athlete.rate_lowering_medication { "yes" } else { "no" }.to_owned(),
        match athlete.screening {
            Screening::NotAsked => "not asked".to_owned(),
            Screening::Cleared { on } => format!("cleared {on}"),
            Screening::Hold { since } => format!("hold {}", day_cell(since)).trim_end().to_owned(),
        },
        athlete.aliases.join("; "),
        match athlete.sensor {
            Some(Sensor::Strap) => "strap".to_owned(),
            Some(Sensor::Wrist) => "wrist".to_owned(),
            None => String::new(),
        },
        day_cell(athlete.guardian_consent),
        athlete.notes.clone(),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_roster_is_read_in_any_order_with_its_wrong_rows_said() {
        let text = "born;name;screening;squad\n2001-04-30;Ida Example;cleared 2026-03-03;Mile; \n\
                    30.4.2001;Bad Date;;\n;;;\n;Ada Other;not asked;";
        let (rows, refused) = parse(text).unwrap();
        assert_eq!(rows.len(), 2);
        assert_eq!(rows[0].name, "Ida Example");
        assert!(matches!(rows[0].screening, Some(Screening::Cleared { .. })));
        assert_eq!(rows[1].squads, Vec::<String>::new());
        assert_eq!(refused[0].line, 3);
        assert_eq!(refused[0].reason, "born \"30.4.2001\" is not a day like 2001-04-30.");
        assert_eq!(refused[1].reason, "the name is missing.");
    }

    #[test]
    fn an_unknown_column_is_named() {
        let error = parse("name,vo2\nA,1").unwrap_err();
        assert!(error.starts_with("has a column \"vo2\""));
    }
}
