//! GPX 1.1 by local names, whatever the prefixes; track points only. Nothing is ever expanded:
//! what a file's own entities stand for counts as missing.

use std::borrow::Cow;

use pacewright_core::recording::{LapTrigger, Recording, Sport};
use pacewright_core::units::{Altitude, Cadence, Distance};
use quick_xml::Reader;
use quick_xml::events::{BytesRef, BytesStart, Event};

use crate::cells::Place;
use crate::clock::{Point, Tick};
use crate::draft::{Draft, Stretch};
use crate::{Format, ReadError, instant, sport};

/// Elements inside elements; recorders stay below ten.
const DEEPEST: usize = 100;

/// Attributes looked at in a track point; two matter.
const MOST_ATTRIBUTES: usize = 32;

/// Characters of a cell; the longest numbers seen in real files have 50.
const LONGEST_CELL: usize = 200;

/// Whether the text's first element is a GPX root.
pub(crate) fn has_root(text: &str) -> bool {
    let mut reader = Reader::from_str(text);
    loop {
        match reader.read_event() {
            Ok(Event::Start(start) | Event::Empty(start)) => {
                return start.local_name().as_ref() == "gpx";
            }
            Ok(Event::Eof) | Err(_) => return false,
            Ok(_) => {}
        }
    }
}

/// A recording from the text of a GPX file.
pub(crate) fn read(text: &str) -> Result<Recording, ReadError> {
    let mut reading = Reading::new();
    let mut reader = Reader::from_str(text);
    loop {
        match reader.read_event() {
            Ok(Event::Start(start)) => reading.open(&start)?,
            Ok(Event::Empty(start)) => {
                reading.open(&start)?;
                reading.close()?;
            }
            Ok(Event::End(_)) => reading.close()?,
            Ok(Event::Text(text)) => reading.text(&text),
            Ok(Event::CData(text)) => reading.text(&text),
            Ok(Event::GeneralRef(reference)) => reading.reference(&reference),
            Ok(Event::Eof) => break,
            Ok(_) => {}
            // a broken tag is nearly always the end of a cut file; nothing after it can be trusted
            Err(_) => {
                reading.draft.truncated = true;
                break;
            }
        }
    }
    reading.finish()
}

/// What an element means where it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Element {
    Root,
    Track,
    TrackType,
    Segment,
    Point,
    /// Inside a point, such as its extensions.
    Within,
    Cell(Cell),
    Other,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Cell {
    Time,
    Altitude,
    HeartRate,
    Cadence,
    Distance,
}

impl Element {
    fn of(parent: Option<Self>, name: &str) -> Self {
        match (parent, name) {
            (None, "gpx") => Self::Root,
            (Some(Self::Root), "trk") => Self::Track,
            (Some(Self::Track), "type") => Self::TrackType,
            (Some(Self::Track), "trkseg") => Self::Segment,
            (Some(Self::Segment), "trkpt") => Self::Point,
            (Some(Self::Point), "time") => Self::Cell(Cell::Time),
            (Some(Self::Point), "ele") => Self::Cell(Cell::Altitude),
            (Some(Self::Point | Self::Within), _) => match name {
                "hr" | "heartrate" | "heart_rate" | "heartRate" | "HeartRate" => {
                    Self::Cell(Cell::HeartRate)
                }
                "cad" | "cadence" | "Cadence" => Self::Cell(Cell::Cadence),
                "distance" | "Distance" => Self::Cell(Cell::Distance),
                _ => Self::Within,
            },
            _ => Self::Other,
        }
    }
}

/// A track point being read, its time not known yet.
struct Pending {
    time: Option<Tick>,
    point: Point,
}

struct Reading {
    draft: Draft,
    path: Vec<Element>,
    pending: Option<Pending>,
    /// Points seen, for the places of ignored cells.
    points: usize,
    text: String,
    /// The text holds what cannot be read.
    spoiled: bool,
    segment: Option<Stretch>,
    track: Option<Stretch>,
    track_type: Sport,
}

impl Reading {
    fn new() -> Self {
        let mut draft = Draft::new(Format::Gpx);
        draft.dated = true;
        Self {
            draft,
            path: Vec::new(),
            pending: None,
            points: 0,
            text: String::new(),
            spoiled: false,
            segment: None,
            track: None,
            track_type: Sport::Unknown,
        }
    }

    fn open(&mut self, start: &BytesStart<'_>) -> Result<(), ReadError> {
        let element = Element::of(self.path.last().copied(), start.local_name().as_ref());
        match element {
            Element::Track => (self.track, self.track_type) = (None, Sport::Unknown),
            Element::Segment => self.segment = None,
            Element::Point => {
                self.points += 1;
                let mut point = Point::at(0);
                let (latitude, longitude) = coordinates(start);
                let place = Place::Point(self.points);
                point.position = self.draft.ignored.position(&latitude, &longitude, place);
                self.pending = Some(Pending { time: None, point });
            }
            Element::Cell(_) | Element::TrackType => {
                self.text.clear();
                self.spoiled = false;
            }
            _ => {}
        }
        self.path.push(element);
        if self.path.len() > DEEPEST {
            return Err(ReadError::Malformed {
                format: Format::Gpx,
                what: "its elements are nested too deeply",
                place: format!("after track point {}", self.points),
            });
        }
        Ok(())
    }

    fn close(&mut self) -> Result<(), ReadError> {
        match self.path.pop() {
            Some(Element::Cell(cell)) => self.cell(cell),
            Some(Element::TrackType) if !self.spoiled => {
                self.track_type = sport::from_words(&self.text);
                self.draft.circumstances.indoors |= sport::indoors(&self.text);
            }
            Some(Element::Point) => return self.point(),
            Some(Element::Segment) => {
                if let Some(stretch) = self.segment.take() {
                    self.draft.laps.push((stretch, LapTrigger::Segment));
                }
            }
            Some(Element::Track) => self.end_track(),
            _ => {}
        }
        Ok(())
    }

    fn text(&mut self, text: &str) {
        if !matches!(self.path.last(), Some(Element::Cell(_) | Element::TrackType)) {
            return;
        }
        if self.text.len() + text.len() > LONGEST_CELL {
            self.spoiled = true;
        } else {
            self.text.push_str(text);
        }
    }

    /// A character by its number is plain text; every other entity spoils its cell (the five
    /// predefined ones have no place in a number either).
    fn reference(&mut self, reference: &BytesRef<'_>) {
        match reference.resolve_char_ref() {
            Ok(Some(character)) => self.text(character.encode_utf8(&mut [0; 4])),
            _ => self.spoiled = true,
        }
    }

    fn cell(&mut self, cell: Cell) {
        let Some(pending) = &mut self.pending else { return };
        let place = Place::Point(self.points);
        let ignored = &mut self.draft.ignored;
        let written = self.text.trim_ascii();
        if self.spoiled {
            ignored.add(cell.name(), "(unreadable)", place);
            return;
        }
        let point = &mut pending.point;
        match cell {
            Cell::Time => {
                pending.time = instant::date_and_time(written);
                if pending.time.is_none() && !written.is_empty() {
                    ignored.add(cell.name(), written, place);
                }
            }
            Cell::Altitude => {
                point.altitude = ignored.written(cell.name(), written, place, Altitude::from_m);
            }
            Cell::HeartRate => point.heart_rate = ignored.heart_rate(written, place),
            Cell::Cadence => {
                point.cadence =
                    ignored.written(cell.name(), written, place, Cadence::from_per_minute);
            }
            Cell::Distance => {
                point.distance = ignored.written(cell.name(), written, place, Distance::from_m);
            }
        }
    }

    fn point(&mut self) -> Result<(), ReadError> {
        let Some(Pending { time, mut point }) = self.pending.take() else { return Ok(()) };
        let Some(tick) = time else {
            self.draft.timeless += 1;
            return Ok(());
        };
        point.tick = tick;
        extend(&mut self.segment, tick);
        extend(&mut self.track, tick);
        self.draft.push(point)
    }

    fn end_track(&mut self) {
        let done = std::mem::replace(&mut self.track_type, Sport::Unknown);
        if let Some(stretch) = self.track.take() {
            if self.draft.sport == Sport::Unknown {
                self.draft.sport = done.clone();
            }
            self.draft.legs.push((stretch, done));
        }
    }

    fn finish(mut self) -> Result<Recording, ReadError> {
        // elements still open: the file ends inside them, and what they had so far counts
        self.draft.truncated |= !self.path.is_empty();
        self.pending = None;
        while !self.path.is_empty() {
            self.close()?;
        }
        if self.draft.laps.len() < 2 {
            self.draft.laps.clear();
        }
        // several tracks are legs only where they say that they differ in sport
        let same = |done: &Sport| *done == self.draft.sport || *done == Sport::Unknown;
        if self.draft.legs.iter().all(|(_, done)| same(done)) {
            self.draft.legs.clear();
        }
        self.draft.finish()
    }
}

impl Cell {
    fn name(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Altitude => "altitude",
            Self::HeartRate => "heart rate",
            Self::Cadence => "cadence",
            Self::Distance => "distance",
        }
    }
}

fn extend(stretch: &mut Option<Stretch>, tick: Tick) {
    let stretch = stretch.get_or_insert(Stretch { from: tick, to: tick });
    stretch.to = stretch.to.max(tick);
}

fn coordinates<'a>(start: &'a BytesStart<'_>) -> (Cow<'a, str>, Cow<'a, str>) {
    let (mut latitude, mut longitude) = (Cow::Borrowed(""), Cow::Borrowed(""));
    for attribute in start.attributes().with_checks(false).take(MOST_ATTRIBUTES).flatten() {
        match attribute.key.local_name().as_ref() {
            "lat" => latitude = attribute.value,
            "lon" => longitude = attribute.value,
            _ => {}
        }
    }
    (latitude, longitude)
}
