//! Bytes of GPX 1.1, FIT or CSV to a [`Recording`] with typed repairs, and back to GPX and FIT.
//!
//! Untrusted bytes become a value or an error within bounded memory and time; nothing here panics
//! and nothing is judged: what was mended stands in [`Recording::repairs`], what it means is said
//! by the checks.

mod cells;
mod clock;
mod counter;
mod csv;
mod draft;
mod fit;
mod gpx;
mod instant;
mod sport;
mod text;
mod write_fit;
mod write_gpx;

#[cfg(test)]
mod formats;
#[cfg(test)]
mod hostile;
#[cfg(test)]
mod round_trip;

use pacewright_core::recording::Recording;

pub use write_fit::write_fit;
pub use write_gpx::write_gpx;

/// The largest file that is read, in bytes: some 300 hours of a wordy GPX, a hundred times more in
/// FIT. (A limit of ours, so that memory stays bounded.)
pub const LARGEST_FILE: usize = 256 << 20;

/// The most records that are read: eleven days of one a second. (A limit of ours, as above: a
/// hostile FIT file holds a record in each byte.)
pub const MOST_RECORDS: usize = 1_000_000;

/// A file format that can be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Format {
    /// GPX 1.1, an XML of track points.
    Gpx,
    /// FIT, a binary format of messages.
    Fit,
    /// Comma-separated values under a header row.
    Csv,
}

impl std::fmt::Display for Format {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.write_str(match self {
            Self::Gpx => "GPX",
            Self::Fit => "FIT",
            Self::Csv => "CSV",
        })
    }
}

/// Why bytes are no recording. Each is one plain clause that says what to do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReadError {
    /// Nothing in it.
    #[error("this file is empty; export the run again from the device")]
    Empty,
    /// Neither GPX nor FIT nor CSV.
    #[error(
        "this is not a GPX, FIT or CSV recording{}; export the run again from the device as one of these",
        named.map(|format| format!(" though its name says {format}")).unwrap_or_default()
    )]
    Foreign {
        /// What its name says it is.
        named: Option<Format>,
    },
    /// No point has a time.
    #[error(
        "this {format} recording holds no point with a time; export the run again from the device, with times"
    )]
    Timeless {
        /// What it is.
        format: Format,
    },
    /// CSV with known columns, but none of time.
    #[error(
        "this CSV recording has no column of time; name its columns in a header row, such as time, distance, heart_rate"
    )]
    NoTimeColumn,
    /// Over the size limit.
    #[error("this file is over {} MB; export one run to a file", limit >> 20)]
    TooLarge {
        /// The limit, in bytes.
        limit: usize,
    },
    /// Over the limit of records.
    #[error("this {format} recording holds over {limit} records; export one run to a file")]
    TooManyRecords {
        /// What it is.
        format: Format,
        /// The limit.
        limit: usize,
    },
    /// A structure no recorder writes.
    #[error(
        "this {format} file cannot be read: {what} {place}; export the run again from the device"
    )]
    Malformed {
        /// What it is.
        format: Format,
        /// What is wrong with it.
        what: &'static str,
        /// Where.
        place: String,
    },
}

/// Why a recording cannot be written.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WriteError {
    /// Its clock has no date.
    #[error("this recording has no date, and {0} keeps every time with its date")]
    Dateless(Format),
    /// A point has no position.
    #[error(
        "this recording has no position at {at_s} s, and GPX holds no point without one; write it as FIT"
    )]
    Placeless {
        /// Where, in seconds since the start.
        at_s: f64,
    },
    /// Two samples within a second.
    #[error(
        "this recording has two samples within the second at {at_s} s, and FIT keeps whole seconds; write it as GPX"
    )]
    TooFine {
        /// Where, in seconds since the start.
        at_s: f64,
    },
    /// A value the format cannot hold.
    #[error("FIT cannot hold the {what} {value} at {at_s} s; write it as GPX")]
    OutOfRange {
        /// Which quantity.
        what: &'static str,
        /// Its value, in the quantity's own unit.
        value: f64,
        /// Where, in seconds since the start.
        at_s: f64,
    },
    /// The encoder refused.
    #[error("this recording cannot be written as FIT: {0}")]
    Encoder(String),
}

/// The text of a table or any other text file, whatever its encoding: UTF-8, UTF-16 with a byte
/// order mark, else Latin-1; without the mark.
pub fn decode_text(bytes: &[u8]) -> std::borrow::Cow<'_, str> {
    text::decode(bytes)
}

/// What the bytes are, by their content; the name decides nothing but the wording of errors.
pub fn format_of(bytes: &[u8], name_hint: &str) -> Option<Format> {
    detect(bytes, name_hint).ok()
}

/// A recording from the bytes of a file.
///
/// `name_hint` is the file's name or path; it only helps to word an error.
///
/// # Errors
/// Empty, foreign, without a time, over the limits, or of a hopeless structure: see [`ReadError`].
/// Lesser faults are mended and stand in [`Recording::repairs`].
pub fn read(bytes: &[u8], name_hint: &str) -> Result<Recording, ReadError> {
    if bytes.len() > LARGEST_FILE {
        return Err(ReadError::TooLarge { limit: LARGEST_FILE });
    }
    match detect(bytes, name_hint)? {
        Format::Fit => fit::read(bytes),
        Format::Gpx => gpx::read(&text::decode(bytes)),
        Format::Csv => csv::read(&text::decode(bytes)),
    }
}

fn detect(bytes: &[u8], name_hint: &str) -> Result<Format, ReadError> {
    if fit::is_header(bytes) {
        return Ok(Format::Fit);
    }
    let head = text::decode(text::head(bytes));
    let head = head.trim_start();
    if head.trim_matches('\0').is_empty() {
        return Err(ReadError::Empty);
    }
    let foreign = ReadError::Foreign { named: named_format(name_hint) };
    if head.starts_with('<') {
        return if gpx::has_root(head) { Ok(Format::Gpx) } else { Err(foreign) };
    }
    match csv::Header::find(head) {
        Some(header) if header.has_time() => Ok(Format::Csv),
        // "lat" alone may stand in any prose: two names make a table
        Some(header) if header.known() > 1 => Err(ReadError::NoTimeColumn),
        _ => Err(foreign),
    }
}

fn named_format(name_hint: &str) -> Option<Format> {
    let (_, extension) = name_hint.rsplit_once('.')?;
    match extension.to_ascii_lowercase().as_str() {
        "gpx" => Some(Format::Gpx),
        "fit" => Some(Format::Fit),
        "csv" => Some(Format::Csv),
        _ => None,
    }
}
