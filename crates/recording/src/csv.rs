//! CSV: a header row of known names in any order, any separator, any way to write a time.

use std::borrow::Cow;

use csv::{ReaderBuilder, StringRecord};
use pacewright_core::recording::Recording;
use pacewright_core::units::{Altitude, Cadence, Distance};

use crate::cells::Place;
use crate::clock::{Point, TICKS_PER_SECOND, Tick};
use crate::draft::Draft;
use crate::{Format, ReadError, instant};

/// Bytes of one line; a row of numbers needs a hundred.
const LONGEST_LINE: usize = 1 << 20;

/// Plain seconds from 2000 to 2100 on the clock that counts from 1970 are a date; no run is that
/// long.
const DATED: std::ops::Range<Tick> =
    946_684_800 * TICKS_PER_SECOND..4_102_444_800 * TICKS_PER_SECOND;

/// Where the known columns stand.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct Header {
    separator: u8,
    fields: usize,
    time: Option<usize>,
    distance: Option<usize>,
    heart_rate: Option<usize>,
    cadence: Option<usize>,
    altitude: Option<usize>,
    latitude: Option<usize>,
    longitude: Option<usize>,
}

impl Header {
    /// The header in the text's first line that is not blank, by the separator that gives the most
    /// known columns.
    pub(crate) fn find(text: &str) -> Option<Self> {
        let line = text.split(['\n', '\r']).find(|line| !line.trim().is_empty())?;
        if line.len() > LONGEST_LINE {
            return None;
        }
        [b',', b';', b'\t']
            .into_iter()
            .map(|separator| Self::of(line, separator))
            .max_by_key(|header| (header.known(), header.fields))
            .filter(|header| header.known() > 0)
    }

    fn of(line: &str, separator: u8) -> Self {
        let mut header = Self { separator, ..Self::default() };
        for (index, name) in line.split(char::from(separator)).enumerate() {
            header.fields = index + 1;
            let column = match plain(name).as_str() {
                "time" | "time_s" | "elapsed" | "elapsed_s" | "timestamp" => &mut header.time,
                "distance" | "distance_m" => &mut header.distance,
                "heart_rate" | "hr" | "heart_rate_bpm" | "heartrate" => &mut header.heart_rate,
                "cadence" | "cad" => &mut header.cadence,
                "altitude" | "altitude_m" | "elevation" | "elevation_m" | "ele" => {
                    &mut header.altitude
                }
                "latitude" | "lat" => &mut header.latitude,
                "longitude" | "lon" | "lng" => &mut header.longitude,
                _ => continue,
            };
            *column = column.or(Some(index));
        }
        header
    }

    /// Whether a column of time is there.
    pub(crate) fn has_time(&self) -> bool {
        self.time.is_some()
    }

    /// How many known columns are there.
    pub(crate) fn known(&self) -> usize {
        [
            self.time,
            self.distance,
            self.heart_rate,
            self.cadence,
            self.altitude,
            self.latitude,
            self.longitude,
        ]
        .iter()
        .flatten()
        .count()
    }
}

/// "Heart rate (bpm)" as heart_rate_bpm: words of plain letters joined by one underscore.
fn plain(name: &str) -> String {
    let words = name.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(str::to_lowercase).collect::<Vec<_>>().join("_")
}

/// A recording from the text of a CSV file.
pub(crate) fn read(text: &str) -> Result<Recording, ReadError> {
    let header = Header::find(text).ok_or(ReadError::Foreign { named: Some(Format::Csv) })?;
    if !header.has_time() {
        return Err(ReadError::NoTimeColumn);
    }
    if let Some(number) =
        text.as_bytes().split(|&byte| byte == b'\n').position(|line| line.len() > LONGEST_LINE)
    {
        return Err(malformed("a line is too long", number as u64 + 1));
    }
    let mut reader = ReaderBuilder::new()
        .delimiter(header.separator)
        .flexible(true)
        .from_reader(text.as_bytes());
    let mut reading = Reading { draft: Draft::new(Format::Csv), header, dated: None };
    let mut row = StringRecord::new();
    let (unended, size) = (!text.ends_with(['\n', '\r']), text.len() as u64);
    loop {
        match reader.read_record(&mut row) {
            Ok(true) => {}
            Ok(false) => break,
            Err(_) => {
                return Err(malformed("a row cannot be read", reader.position().line()));
            }
        }
        let line = row.position().map_or(0, csv::Position::line);
        // the last row of a cut file lacks cells and its line end
        if row.len() < header.fields && unended && reader.position().byte() >= size {
            reading.draft.truncated = true;
            break;
        }
        reading.row(&row, line)?;
    }
    reading.draft.dated = reading.dated == Some(true);
    reading.draft.finish()
}

fn malformed(what: &'static str, line: u64) -> ReadError {
    ReadError::Malformed { format: Format::Csv, what, place: format!("on line {line}") }
}

struct Reading {
    draft: Draft,
    header: Header,
    /// Whether times are dates, once the first is read: all others must be of the same kind.
    dated: Option<bool>,
}

impl Reading {
    fn row(&mut self, row: &StringRecord, line: u64) -> Result<(), ReadError> {
        let header = self.header;
        let place = Place::Line(line);
        let Some(tick) = self.time(written(row, header.time), place) else {
            self.draft.timeless += 1;
            return Ok(());
        };
        let cell = |column| decimal(written(row, column), header.separator);
        let ignored = &mut self.draft.ignored;
        let point = Point {
            tick,
            distance: ignored.written("distance", &cell(header.distance), place, Distance::from_m),
            heart_rate: ignored.heart_rate(&cell(header.heart_rate), place),
            cadence: ignored.written(
                "cadence",
                &cell(header.cadence),
                place,
                Cadence::from_per_minute,
            ),
            altitude: ignored.written("altitude", &cell(header.altitude), place, Altitude::from_m),
            position: ignored.position(&cell(header.latitude), &cell(header.longitude), place),
        };
        self.draft.push(point)
    }

    fn time(&mut self, written: &str, place: Place) -> Option<Tick> {
        let written = written.trim_ascii();
        if written.is_empty() {
            return None;
        }
        let read = match instant::date_and_time(written) {
            Some(tick) => Some((tick, true)),
            None => self.elapsed(written),
        };
        if let Some((tick, dated)) = read
            && *self.dated.get_or_insert(dated) == dated
        {
            return Some(tick);
        }
        self.draft.ignored.add("time", written, place);
        None
    }

    fn elapsed(&self, written: &str) -> Option<(Tick, bool)> {
        let tick = instant::elapsed(&decimal(written, self.header.separator))?;
        Some((tick, DATED.contains(&tick)))
    }
}

fn written(row: &StringRecord, column: Option<usize>) -> &str {
    column.and_then(|column| row.get(column)).unwrap_or_default()
}

/// A decimal comma made a point, where the comma is not the separator (there a quoted "1,234" may
/// be either, and is left to be ignored).
fn decimal(written: &str, separator: u8) -> Cow<'_, str> {
    if separator == b',' || !written.contains(',') {
        Cow::Borrowed(written)
    } else {
        Cow::Owned(written.replace(',', "."))
    }
}
