//! FIT: parts, checksums and cuts here, what single messages hold in `message`.

mod checksum;
mod message;

use pacewright_core::recording::Recording;
use rustyfit::profile::typedef::MesgNum;
use rustyfit::proto::{Message, MessageDefinition};
use rustyfit::{Decoder, DecoderEvent, StreamingIterator};

use crate::clock::{TICKS_PER_SECOND, Tick};
use crate::draft::Draft;
use crate::{Format, MOST_RECORDS, ReadError};
use message::Rolling;

/// FIT counts seconds from 31 December 1989; ticks count from 1970.
pub(crate) const EPOCH_S: i64 = 631_065_600;

/// FIT times below this count from when the device was switched on, not from a date.
pub(crate) const FIRST_DATED: u32 = 0x1000_0000;

/// The shortest header: size, versions, data size, ".FIT".
const SHORTEST_HEADER: usize = 12;

/// Messages of any kind in one file (16 for each record that may be kept): bounds the time spent.
const MOST_MESSAGES: usize = 16 * MOST_RECORDS;

/// Definitions of developer fields in one file; the decoder searches them for every field.
const MOST_DEVELOPER_FIELDS: usize = 100;

/// Fields without a byte in one definition: reading them costs time that no byte pays for.
const MOST_EMPTY_FIELDS: usize = 4;

/// A FIT time in ticks.
pub(crate) fn tick(fit_time: u32) -> Tick {
    (i64::from(fit_time) + EPOCH_S) * TICKS_PER_SECOND
}

/// Whether the bytes begin as a FIT file does.
pub(crate) fn is_header(bytes: &[u8]) -> bool {
    bytes.get(8..SHORTEST_HEADER) == Some(b".FIT".as_slice())
}

/// A recording from the bytes of a FIT file, or of several one after the other.
pub(crate) fn read(bytes: &[u8]) -> Result<Recording, ReadError> {
    let mut reading = Reading::new();
    let mut rest = bytes;
    let mut parts = 0;
    while is_header(rest) {
        let records = reading.records;
        rest = reading.part(rest)?;
        parts += usize::from(reading.records > records);
    }
    // what follows the last part, unless it is padding, is the head of something cut off
    reading.draft.truncated |= rest.iter().any(|&byte| byte != 0);
    reading.draft.parts = parts;
    reading.finish()
}

/// What one file, or one part of a chained one, holds; shared by its messages.
pub(crate) struct Reading {
    draft: Draft,
    /// Record messages, for the places of ignored cells.
    records: usize,
    messages: usize,
    developer_fields: usize,
    /// The 12-bit distance counter of this part.
    rolling: Rolling,
    /// A session said which sport; until then the sport message does.
    sport_from_session: bool,
}

impl Reading {
    fn new() -> Self {
        Self {
            draft: Draft::new(Format::Fit),
            records: 0,
            messages: 0,
            developer_fields: 0,
            rolling: Rolling::default(),
            sport_from_session: false,
        }
    }

    /// Reads the part the bytes begin with; gives what follows it.
    fn part<'bytes>(&mut self, bytes: &'bytes [u8]) -> Result<&'bytes [u8], ReadError> {
        self.messages += 1;
        let Some((&[header, _, _, _, a, b, c, d], _)) = bytes.split_first_chunk::<8>() else {
            return Ok(&[]);
        };
        let header = usize::from(header);
        if header != 12 && header != 14 {
            return Err(malformed("its header has an unknown size", "at its beginning".into()));
        }
        let data = usize::try_from(u32::from_le_bytes([a, b, c, d])).unwrap_or(usize::MAX);
        let after_nothing = bytes.get(header + 2..).unwrap_or_default();
        if data == 0 && !after_nothing.is_empty() && !is_header(after_nothing) {
            self.unfinished(bytes, header)?;
            return Ok(&[]);
        }
        let size = data.saturating_add(header + 2);
        let (part, rest) = bytes.split_at_checked(size).unwrap_or((bytes, &[]));
        if part.len() < size {
            self.draft.truncated = true;
        } else if !checksum::matches(part, header) {
            self.draft.checksum_wrong = true;
        }
        self.decode(part)?;
        Ok(rest)
    }

    /// A device that stopped before closing its file leaves the data size at zero: everything that
    /// follows is data.
    fn unfinished(&mut self, bytes: &[u8], header: usize) -> Result<(), ReadError> {
        let mut patched = bytes.to_vec();
        let data = u32::try_from(bytes.len().saturating_sub(header)).unwrap_or(u32::MAX);
        if let Some(size) = patched.get_mut(4..8) {
            size.copy_from_slice(&data.to_le_bytes());
        }
        self.draft.truncated = true;
        self.decode(&patched)
    }

    /// Every message of a part, up to its end or to where it cannot be understood any more.
    fn decode(&mut self, part: &[u8]) -> Result<(), ReadError> {
        self.rolling = Rolling::default();
        // checksums are checked by us: the decoder's own stop at files that are right (see there)
        let mut decoder = Decoder::builder().checksum(false).expand_components(false).build();
        let mut bytes = part;
        let mut stream = decoder.stream(&mut bytes);
        while let Some(event) = stream.next() {
            match event {
                Ok(DecoderEvent::Message(message)) => self.message(message)?,
                Ok(DecoderEvent::MessageDefinition(definition)) => self.definition(definition)?,
                Ok(DecoderEvent::FileHeader(_)) => {}
                Ok(DecoderEvent::Crc(_)) => break,
                Err(_) => {
                    self.draft.truncated = true;
                    break;
                }
            }
        }
        Ok(())
    }

    fn count_message(&mut self) -> Result<(), ReadError> {
        self.messages += 1;
        if self.messages > MOST_MESSAGES {
            return Err(ReadError::TooManyRecords { format: Format::Fit, limit: MOST_RECORDS });
        }
        Ok(())
    }

    fn definition(&mut self, definition: &MessageDefinition) -> Result<(), ReadError> {
        self.count_message()?;
        let own = definition.field_definitions.iter().map(|field| field.size);
        let developer = definition.developer_field_definitions.iter().map(|field| field.size);
        if own.chain(developer).filter(|&size| size == 0).count() > MOST_EMPTY_FIELDS {
            let place = format!("after record {}", self.records);
            return Err(malformed("it defines too many empty fields", place));
        }
        Ok(())
    }

    fn message(&mut self, message: &Message) -> Result<(), ReadError> {
        self.count_message()?;
        match message.num {
            MesgNum::RECORD => self.record(message)?,
            MesgNum::EVENT => self.event(message),
            MesgNum::LAP => self.lap(message),
            MesgNum::SESSION => self.session(message),
            MesgNum::SPORT => self.sport(message),
            MesgNum::DEVICE_INFO => self.device(message),
            MesgNum::FIELD_DESCRIPTION => {
                self.developer_fields += 1;
                if self.developer_fields > MOST_DEVELOPER_FIELDS {
                    let place = format!("after record {}", self.records);
                    return Err(malformed("it defines too many fields of its own", place));
                }
            }
            _ => {}
        }
        Ok(())
    }

    /// Times with and without a date cannot stand on one clock: the more frequent kind is kept.
    fn finish(mut self) -> Result<Recording, ReadError> {
        let first_dated = tick(FIRST_DATED);
        let points = self.draft.points();
        let with_date = points.iter().filter(|point| point.tick >= first_dated).count();
        let dated = 2 * with_date >= points.len();
        self.draft.dated = dated;
        self.draft.keep(|point| (point.tick >= first_dated) == dated);
        self.draft.finish()
    }
}

fn malformed(what: &'static str, place: String) -> ReadError {
    ReadError::Malformed { format: Format::Fit, what, place }
}
