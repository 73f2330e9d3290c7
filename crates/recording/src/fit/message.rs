//! What the messages of a FIT file hold: records, timer events, laps, sessions.
//!
//! Field numbers, scales and the values that mean "none" are those of the FIT profile, as rustyfit
//! carries it.

use pacewright_core::athlete::Sensor;
use pacewright_core::recording::{LapTrigger, Sport};
use pacewright_core::units::{Altitude, Cadence, Distance, HeartRate, Position};
use rustyfit::profile::{mesgdef, typedef};
use rustyfit::proto::{Field, Message, Value};

use super::{Reading, tick};
use crate::ReadError;
use crate::cells::Place;
use crate::clock::{Point, TICKS_PER_SECOND, Tick};
use crate::draft::Stretch;
use crate::sport;

/// The distance of a compressed field: 12 bits in sixteenths of a metre that roll over every 256 m.
#[derive(Debug, Default)]
pub(super) struct Rolling {
    last: Option<u16>,
    total: u64,
}

impl Rolling {
    /// The unrolled distance in metres.
    fn read(&mut self, [_, middle, high]: [u8; 3]) -> f64 {
        let now = (u16::from(high) << 4) | u16::from(middle >> 4);
        // from 0 at first: the counter starts with the recording
        let step = now.wrapping_sub(self.last.unwrap_or(0)) & 0x0FFF;
        self.last = Some(now);
        self.total += u64::from(step);
        self.total as f64 / 16.0
    }
}

/// A whole number that is not its type's "none".
fn whole(value: &Value) -> Option<u32> {
    match *value {
        Value::Uint8(v) if v != u8::MAX => Some(u32::from(v)),
        Value::Uint16(v) if v != u16::MAX => Some(u32::from(v)),
        Value::Uint32(v) if v != u32::MAX => Some(v),
        _ => None,
    }
}

fn field(message: &Message, number: u8) -> Option<u32> {
    message.fields.iter().find(|field| field.num == number).and_then(|field| whole(&field.value))
}

fn semicircles(value: &Value) -> Option<i32> {
    match *value {
        Value::Int32(v) if v != i32::MAX => Some(v),
        _ => None,
    }
}

fn position(latitude: Option<i32>, longitude: Option<i32>) -> Option<(f64, f64)> {
    let (latitude, longitude) = latitude.zip(longitude)?;
    // devices write 0, 0 while they have no position
    if latitude == 0 && longitude == 0 {
        return None;
    }
    rustyfit::semconv::to_degrees(latitude).zip(rustyfit::semconv::to_degrees(longitude))
}

/// A record's fields before they are checked.
#[derive(Default)]
struct Raw {
    time: Option<u32>,
    latitude: Option<i32>,
    longitude: Option<i32>,
    altitude: Option<u32>,
    enhanced_altitude: Option<u32>,
    distance: Option<u32>,
    rolling: Option<[u8; 3]>,
    heart_rate: Option<u32>,
    cadence: Option<u32>,
    cadence_128ths: Option<u32>,
}

impl Raw {
    fn take(&mut self, Field { num, value, .. }: &Field) {
        use mesgdef::Record;
        match *num {
            Record::TIMESTAMP => self.time = whole(value),
            Record::POSITION_LAT => self.latitude = semicircles(value),
            Record::POSITION_LONG => self.longitude = semicircles(value),
            Record::ALTITUDE => self.altitude = whole(value),
            Record::ENHANCED_ALTITUDE => self.enhanced_altitude = whole(value),
            Record::DISTANCE => self.distance = whole(value),
            Record::HEART_RATE => self.heart_rate = whole(value),
            Record::CADENCE => self.cadence = whole(value),
            Record::FRACTIONAL_CADENCE => self.cadence_128ths = whole(value),
            Record::COMPRESSED_SPEED_DISTANCE => {
                if let Value::ArrayUint8(bytes) = value {
                    let bytes: Option<[u8; 3]> = bytes.as_ref().try_into().ok();
                    self.rolling = bytes.filter(|bytes| *bytes != [u8::MAX; 3]);
                }
            }
            _ => {}
        }
    }
}

impl Reading {
    pub(super) fn record(&mut self, message: &Message) -> Result<(), ReadError> {
        self.records += 1;
        let mut raw = Raw::default();
        for field in &message.fields {
            raw.take(field);
        }
        // the rolling counter goes on also in a record that is dropped later
        let rolled = raw.rolling.map(|bytes| self.rolling.read(bytes));
        let Some(time) = raw.time else {
            self.draft.timeless += 1;
            return Ok(());
        };
        let place = Place::Record(self.records);
        let ignored = &mut self.draft.ignored;
        let altitude = raw.enhanced_altitude.or(raw.altitude).map(|v| f64::from(v) / 5.0 - 500.0);
        let distance = raw.distance.map(|v| f64::from(v) / 100.0).or(rolled);
        let heart_rate = raw.heart_rate.filter(|&bpm| bpm > 0).map(f64::from);
        let cadence = raw.cadence.map(|whole| {
            f64::from(whole) + raw.cadence_128ths.map_or(0.0, |part| f64::from(part) / 128.0)
        });
        let point = Point {
            tick: tick(time),
            position: position(raw.latitude, raw.longitude).and_then(|(north, east)| {
                let position = Position::from_degrees(north, east).ok();
                if position.is_none() {
                    ignored.add("position", format_args!("{north} {east}"), place);
                }
                position
            }),
            distance: distance
                .and_then(|m| ignored.quantity("distance", m, place, Distance::from_m)),
            altitude: altitude
                .and_then(|m| ignored.quantity("altitude", m, place, Altitude::from_m)),
            heart_rate: heart_rate
                .and_then(|bpm| ignored.quantity("heart rate", bpm, place, HeartRate::from_bpm)),
            cadence: cadence
                .and_then(|c| ignored.quantity("cadence", c, place, Cadence::from_per_minute)),
        };
        self.draft.push(point)
    }

    pub(super) fn event(&mut self, message: &Message) {
        use mesgdef::Event;
        if field(message, Event::EVENT) != Some(u32::from(typedef::Event::TIMER.0)) {
            return;
        }
        let what = field(message, Event::EVENT_TYPE).and_then(|v| u8::try_from(v).ok());
        let running = match what.map(typedef::EventType) {
            Some(typedef::EventType::START) => true,
            Some(
                typedef::EventType::STOP
                | typedef::EventType::STOP_ALL
                | typedef::EventType::STOP_DISABLE
                | typedef::EventType::STOP_DISABLE_ALL,
            ) => false,
            _ => return,
        };
        if let Some(time) = field(message, Event::TIMESTAMP) {
            self.draft.timer.get_or_insert_default().push((tick(time), running));
        }
    }

    pub(super) fn lap(&mut self, message: &Message) {
        use mesgdef::Lap;
        let before = self.draft.laps.last().map(|(stretch, _)| stretch.to);
        let elapsed = field(message, Lap::TOTAL_ELAPSED_TIME);
        let start = field(message, Lap::START_TIME);
        let Some(stretch) = stretch(message, start, elapsed, before) else { return };
        let trigger = field(message, Lap::LAP_TRIGGER).and_then(|v| u8::try_from(v).ok());
        self.draft.laps.push((stretch, lap_trigger(trigger)));
    }

    pub(super) fn session(&mut self, message: &Message) {
        use mesgdef::Session;
        let number = field(message, Session::SPORT).and_then(|v| u8::try_from(v).ok());
        let done = number.map_or(Sport::Unknown, sport::from_fit);
        let first = !std::mem::replace(&mut self.sport_from_session, true);
        if first && done != Sport::Unknown {
            self.draft.sport = done.clone();
        }
        self.ground(field(message, Session::SUB_SPORT));
        let before = self.draft.legs.last().map(|(stretch, _)| stretch.to);
        let elapsed = field(message, Session::TOTAL_ELAPSED_TIME);
        let start = field(message, Session::START_TIME);
        if let Some(stretch) = stretch(message, start, elapsed, before) {
            self.draft.legs.push((stretch, done));
        }
    }

    /// The sport message stands at the head, so that a cut file still tells.
    pub(super) fn sport(&mut self, message: &Message) {
        let number = field(message, mesgdef::Sport::SPORT).and_then(|v| u8::try_from(v).ok());
        self.ground(field(message, mesgdef::Sport::SUB_SPORT));
        if !self.sport_from_session && self.draft.sport == Sport::Unknown {
            self.draft.sport = number.map_or(Sport::Unknown, sport::from_fit);
        }
    }

    /// Where it was run, by the number of the kind of sport.
    fn ground(&mut self, kind: Option<u32>) {
        let indoors = [typedef::SubSport::TREADMILL, typedef::SubSport::INDOOR_RUNNING];
        self.draft.circumstances.indoors |=
            indoors.iter().any(|known| kind == Some(u32::from(known.0)));
    }

    /// A device that took part. A strap that is paired is used before the sensor in the watch.
    pub(super) fn device(&mut self, message: &Message) {
        use mesgdef::DeviceInfo;
        let number = field(message, DeviceInfo::DEVICE_TYPE);
        let is = |known: u8| number == Some(u32::from(known));
        let source = field(message, DeviceInfo::SOURCE_TYPE)
            .and_then(|number| u8::try_from(number).ok())
            .map(typedef::SourceType);
        let sensor = &mut self.draft.circumstances.heart_rate_sensor;
        match source {
            Some(typedef::SourceType::ANTPLUS) if is(typedef::AntplusDeviceType::HEART_RATE.0) => {
                *sensor = Some(Sensor::Strap);
            }
            Some(typedef::SourceType::BLUETOOTH | typedef::SourceType::BLUETOOTH_LOW_ENERGY)
                if is(typedef::BleDeviceType::HEART_RATE.0) =>
            {
                *sensor = Some(Sensor::Strap);
            }
            Some(typedef::SourceType::LOCAL) if is(typedef::LocalDeviceType::WHR.0) => {
                *sensor = sensor.or(Some(Sensor::Wrist));
            }
            _ => {}
        }
    }
}

/// From its start for its elapsed time; without one until its own time, without a start from the
/// end of the one before.
fn stretch(
    message: &Message,
    start: Option<u32>,
    elapsed_ms: Option<u32>,
    before: Option<Tick>,
) -> Option<Stretch> {
    let written = field(message, mesgdef::Lap::TIMESTAMP).map(tick);
    let from = start.map(tick).or(before)?;
    let elapsed = elapsed_ms.map(|ms| from + i64::from(ms) * (TICKS_PER_SECOND / 1_000));
    Some(Stretch { from, to: elapsed.or(written)? })
}

fn lap_trigger(number: Option<u8>) -> LapTrigger {
    use typedef::LapTrigger as Fit;
    match number.map(Fit) {
        Some(Fit::MANUAL) => LapTrigger::Manual,
        Some(Fit::TIME) => LapTrigger::Time,
        Some(Fit::DISTANCE) => LapTrigger::Distance,
        Some(
            Fit::POSITION_START | Fit::POSITION_LAP | Fit::POSITION_WAYPOINT | Fit::POSITION_MARKED,
        ) => LapTrigger::Place,
        Some(Fit::SESSION_END) => LapTrigger::End,
        _ => LapTrigger::Unknown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rolling_counter_is_unwrapped() {
        let packed = |sixteenths: u16| {
            let [low, high] = (sixteenths << 4).to_le_bytes();
            [0x55, low | 0x05, high]
        };
        let mut rolling = Rolling::default();
        // 16 m, 255 m, then over the edge to 260 m
        assert!((rolling.read(packed(256)) - 16.0).abs() < 1e-9);
        assert!((rolling.read(packed(4_080)) - 255.0).abs() < 1e-9);
        assert!((rolling.read(packed(64)) - 260.0).abs() < 1e-9);
    }

    #[test]
    fn what_means_none_is_none() {
        assert_eq!(whole(&Value::Uint8(255)), None);
        assert_eq!(whole(&Value::Uint16(65_535)), None);
        assert_eq!(whole(&Value::Uint32(u32::MAX)), None);
        assert_eq!(semicircles(&Value::Int32(i32::MAX)), None);
        assert_eq!(position(Some(0), Some(0)), None);
        assert_eq!(position(Some(1), None), None);
    }
}
