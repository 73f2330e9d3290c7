//! A recording as FIT: what a recorder writes, in the order it writes it.

use std::io::Cursor;

use chrono::{DateTime, Utc};
use embedded_io_adapters::std::FromStd;
use pacewright_core::athlete::Sensor;
use pacewright_core::recording::{LapTrigger, Recording, Sample, Span, Sport};
use rustyfit::profile::mesgdef;
use rustyfit::profile::typedef::{self, FitBaseType, MesgNum};
use rustyfit::proto::{Field, Message, Value};
use rustyfit::{Encoder, HeaderOption};

use crate::fit::{EPOCH_S, FIRST_DATED};
use crate::{Format, WriteError, sport};

/// The recording as a FIT activity: records in whole seconds, the timer's starts and stops where
/// the recording knows them, laps, sessions. A sport FIT has no number for becomes generic.
///
/// # Errors
/// No date; two samples within one second; a value FIT cannot hold.
pub fn write_fit(recording: &Recording) -> Result<Vec<u8>, WriteError> {
    let clock = Clock::of(recording)?;
    let mut bytes = Cursor::new(Vec::with_capacity(24 * recording.samples().len() + 500));
    let mut encoder = Encoder::builder().header_option(HeaderOption::Normal(15)).build();
    let mut stream = encoder.stream(FromStd::new(&mut bytes));
    let mut write = |mut message: Message| {
        stream.write_message(&mut message).map_err(|error| WriteError::Encoder(error.to_string()))
    };
    write(file_id(clock.start))?;
    if let Some(sensor) = recording.circumstances().heart_rate_sensor {
        write(heart_rate_device(sensor, clock.start))?;
    }
    let mut events = timer_events(recording, clock)?.into_iter().peekable();
    let mut before = None;
    for sample in recording.samples() {
        let at_s = sample.time.s();
        let time = clock.time(at_s)?;
        if before.replace(time).is_some_and(|before| before >= time) {
            return Err(WriteError::TooFine { at_s });
        }
        while let Some((time, kind)) = events.next_if(|(due, _)| *due <= time) {
            write(timer_event(time, kind))?;
        }
        write(record(sample, time)?)?;
    }
    for (time, kind) in events {
        write(timer_event(time, kind))?;
    }
    if recording.timer_pauses().is_some() {
        let end = clock.time(recording.duration().s())?;
        write(timer_event(end, typedef::EventType::STOP_ALL))?;
    }
    for lap in recording.laps() {
        write(lap_message(lap.span, lap.trigger, clock)?)?;
    }
    let whole = whole(recording);
    let mut sessions = 0_u16;
    for leg in recording.legs() {
        write(session(leg.span, &leg.sport, recording, clock)?)?;
        sessions += 1;
    }
    if sessions == 0 {
        write(session(whole, recording.sport(), recording, clock)?)?;
        sessions = 1;
    }
    write(activity(whole, sessions, clock)?)?;
    stream.finish().map_err(|error| WriteError::Encoder(error.to_string()))?;
    Ok(bytes.into_inner())
}

/// From seconds since the start to FIT times.
#[derive(Clone, Copy)]
struct Clock {
    start: u32,
    started_at: DateTime<Utc>,
}

impl Clock {
    fn of(recording: &Recording) -> Result<Self, WriteError> {
        let started_at = recording.started_at().ok_or(WriteError::Dateless(Format::Fit))?;
        let clock = Self { start: 0, started_at };
        Ok(Self { start: clock.time(0.0)?, started_at })
    }

    /// The whole second a time falls in; before 1998 FIT has no dates.
    fn time(self, at_s: f64) -> Result<u32, WriteError> {
        #[expect(clippy::cast_possible_truncation, reason = "a recording is far shorter than i64")]
        let micros = (at_s * 1e6).round() as i64;
        let since_1970 = (self.started_at.timestamp_micros() + micros).div_euclid(1_000_000);
        u32::try_from(since_1970 - EPOCH_S)
            .ok()
            .filter(|time| (FIRST_DATED..u32::MAX).contains(time))
            .ok_or(WriteError::OutOfRange { what: "date", value: since_1970 as f64, at_s })
    }
}

fn whole(recording: &Recording) -> Span {
    let samples = recording.samples();
    Span {
        from: samples.first().map_or(recording.duration(), |s| s.time),
        to: recording.duration(),
    }
}

/// All but the last stop, which comes after everything else.
fn timer_events(
    recording: &Recording,
    clock: Clock,
) -> Result<Vec<(u32, typedef::EventType)>, WriteError> {
    use typedef::EventType;
    let Some(pauses) = recording.timer_pauses() else { return Ok(Vec::new()) };
    let mut events = vec![(clock.start, EventType::START)];
    for pause in pauses {
        events.push((clock.time(pause.from.s())?, EventType::STOP_ALL));
        events.push((clock.time(pause.to.s())?, EventType::START));
    }
    Ok(events)
}

fn message(num: MesgNum, fields: Vec<Field>) -> Message {
    Message { num, fields, ..Message::default() }
}

fn byte(num: u8, value: u8) -> Field {
    Field { num, base_type: FitBaseType::UINT8, value: Value::Uint8(value), is_expanded: false }
}

fn choice(num: u8, value: u8) -> Field {
    Field { base_type: FitBaseType::ENUM, ..byte(num, value) }
}

fn short(num: u8, value: u16) -> Field {
    Field { num, base_type: FitBaseType::UINT16, value: Value::Uint16(value), is_expanded: false }
}

fn long(num: u8, value: u32) -> Field {
    Field { num, base_type: FitBaseType::UINT32, value: Value::Uint32(value), is_expanded: false }
}

fn angle(num: u8, degrees: f64) -> Field {
    // 180 degrees east is 180 degrees west, which alone fits
    let semicircles = (degrees * (f64::from(1_u32 << 31) / 180.0)).round();
    #[expect(clippy::cast_possible_truncation, reason = "within the bounds of a position")]
    let value = if semicircles >= f64::from(i32::MAX) { i32::MIN } else { semicircles as i32 };
    Field { num, base_type: FitBaseType::SINT32, value: Value::Int32(value), is_expanded: false }
}

/// A rounded value below `none`, the number that means "none".
fn fit_into(value: f64, none: u32) -> Option<u32> {
    let rounded = value.round();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "bounded just before"
    )]
    (rounded >= 0.0 && rounded < f64::from(none)).then_some(rounded as u32)
}

fn file_id(created: u32) -> Message {
    use mesgdef::FileId;
    message(
        MesgNum::FILE_ID,
        vec![
            choice(FileId::TYPE, typedef::File::ACTIVITY.0),
            short(FileId::MANUFACTURER, typedef::Manufacturer::DEVELOPMENT.0),
            short(FileId::PRODUCT, 0),
            long(FileId::TIME_CREATED, created),
        ],
    )
}

fn heart_rate_device(sensor: Sensor, time: u32) -> Message {
    use mesgdef::DeviceInfo;
    let (source, device) = match sensor {
        Sensor::Strap => (typedef::SourceType::ANTPLUS, typedef::AntplusDeviceType::HEART_RATE.0),
        Sensor::Wrist => (typedef::SourceType::LOCAL, typedef::LocalDeviceType::WHR.0),
    };
    message(
        MesgNum::DEVICE_INFO,
        vec![
            long(DeviceInfo::TIMESTAMP, time),
            byte(DeviceInfo::DEVICE_TYPE, device),
            choice(DeviceInfo::SOURCE_TYPE, source.0),
        ],
    )
}

fn timer_event(time: u32, kind: typedef::EventType) -> Message {
    use mesgdef::Event;
    message(
        MesgNum::EVENT,
        vec![
            long(Event::TIMESTAMP, time),
            choice(Event::EVENT, typedef::Event::TIMER.0),
            choice(Event::EVENT_TYPE, kind.0),
        ],
    )
}

fn record(sample: &Sample, time: u32) -> Result<Message, WriteError> {
    use mesgdef::Record;
    let at_s = sample.time.s();
    let none = u32::from(u8::MAX);
    let mut fields = vec![long(Record::TIMESTAMP, time)];
    if let Some(position) = sample.position {
        fields.push(angle(Record::POSITION_LAT, position.latitude_degrees()));
        fields.push(angle(Record::POSITION_LONG, position.longitude_degrees()));
    }
    if let Some(m) = sample.altitude.map(pacewright_core::units::Altitude::m) {
        let value = fit_into((m + 500.0) * 5.0, u32::MAX);
        let value = value.ok_or(WriteError::OutOfRange { what: "altitude", value: m, at_s })?;
        fields.push(long(Record::ENHANCED_ALTITUDE, value));
    }
    if let Some(m) = sample.distance.map(pacewright_core::units::Distance::m) {
        let value = fit_into(m * 100.0, u32::MAX);
        let value = value.ok_or(WriteError::OutOfRange { what: "distance", value: m, at_s })?;
        fields.push(long(Record::DISTANCE, value));
    }
    if let Some(bpm) = sample.heart_rate.map(pacewright_core::units::HeartRate::bpm) {
        let value = fit_into(bpm, none).and_then(|value| u8::try_from(value).ok());
        let value = value.ok_or(WriteError::OutOfRange { what: "heart rate", value: bpm, at_s })?;
        fields.push(byte(Record::HEART_RATE, value));
    }
    if let Some(turns) = sample.cadence.map(pacewright_core::units::Cadence::per_minute) {
        let parts = fit_into(turns * 128.0, none * 128);
        let parts = parts.ok_or(WriteError::OutOfRange { what: "cadence", value: turns, at_s })?;
        fields.push(byte(Record::CADENCE, u8::try_from(parts / 128).unwrap_or(u8::MAX)));
        if parts % 128 > 0 {
            let part = u8::try_from(parts % 128).unwrap_or(u8::MAX);
            fields.push(byte(Record::FRACTIONAL_CADENCE, part));
        }
    }
    Ok(message(MesgNum::RECORD, fields))
}

/// A span's length in the milliseconds FIT counts it in.
fn milliseconds(span: Span) -> Result<u32, WriteError> {
    fit_into(span.length_s() * 1_000.0, u32::MAX).ok_or(WriteError::OutOfRange {
        what: "length in seconds",
        value: span.length_s(),
        at_s: span.from.s(),
    })
}

fn lap_message(span: Span, trigger: LapTrigger, clock: Clock) -> Result<Message, WriteError> {
    use mesgdef::Lap;
    let elapsed = milliseconds(span)?;
    let mut fields = vec![
        long(Lap::TIMESTAMP, clock.time(span.to.s())?),
        choice(Lap::EVENT, typedef::Event::LAP.0),
        choice(Lap::EVENT_TYPE, typedef::EventType::STOP.0),
        long(Lap::START_TIME, clock.time(span.from.s())?),
        long(Lap::TOTAL_ELAPSED_TIME, elapsed),
    ];
    let number = match trigger {
        LapTrigger::Manual => Some(typedef::LapTrigger::MANUAL),
        LapTrigger::Time => Some(typedef::LapTrigger::TIME),
        LapTrigger::Distance => Some(typedef::LapTrigger::DISTANCE),
        LapTrigger::Place => Some(typedef::LapTrigger::POSITION_LAP),
        LapTrigger::End => Some(typedef::LapTrigger::SESSION_END),
        // FIT has no word for a track segment
        LapTrigger::Segment | LapTrigger::Unknown => None,
    };
    fields.extend(number.map(|number| choice(Lap::LAP_TRIGGER, number.0)));
    Ok(message(MesgNum::LAP, fields))
}

fn session(
    span: Span,
    done: &Sport,
    recording: &Recording,
    clock: Clock,
) -> Result<Message, WriteError> {
    use mesgdef::Session;
    let indoors = recording.circumstances().indoors;
    let ground = indoors.then(|| choice(Session::SUB_SPORT, typedef::SubSport::TREADMILL.0));
    let mut session = message(
        MesgNum::SESSION,
        vec![
            long(Session::TIMESTAMP, clock.time(span.to.s())?),
            choice(Session::EVENT, typedef::Event::SESSION.0),
            choice(Session::EVENT_TYPE, typedef::EventType::STOP_DISABLE_ALL.0),
            long(Session::START_TIME, clock.time(span.from.s())?),
            choice(Session::SPORT, sport::to_fit(done)),
            long(Session::TOTAL_ELAPSED_TIME, milliseconds(span)?),
        ],
    );
    session.fields.extend(ground);
    Ok(session)
}

fn activity(span: Span, sessions: u16, clock: Clock) -> Result<Message, WriteError> {
    use mesgdef::Activity;
    Ok(message(
        MesgNum::ACTIVITY,
        vec![
            long(Activity::TIMESTAMP, clock.time(span.to.s())?),
            short(Activity::NUM_SESSIONS, sessions),
            choice(Activity::TYPE, typedef::Activity::MANUAL.0),
            choice(Activity::EVENT, typedef::Event::ACTIVITY.0),
            choice(Activity::EVENT_TYPE, typedef::EventType::STOP.0),
        ],
    ))
}
