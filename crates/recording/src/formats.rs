//! Small files of each format, by hand: what is read, what is mended, what is refused.

use pacewright_core::recording::{LapTrigger, Recording, Repair, Sport};
use pacewright_core::units::{Altitude, Cadence, Distance, HeartRate, Position, Seconds};

use crate::{Format, ReadError, format_of, read};

fn gpx(head: &str, body: &str) -> String {
    format!(
        "<?xml version=\"1.0\"?>{head}<gpx xmlns='http://www.topografix.com/GPX/1/1'>{body}</gpx>"
    )
}

fn point(second: u32, inner: &str) -> String {
    format!(
        "<trkpt lat='48.{second:05}' lon='11.5'><time>2024-05-01T10:00:{second:02}Z</time>{inner}</trkpt>"
    )
}

fn track(inner: &str) -> String {
    format!("<trk><trkseg>{inner}</trkseg></trk>")
}

fn read_text(text: &str) -> Result<Recording, ReadError> {
    read(text.as_bytes(), "run")
}

fn rates(recording: &Recording) -> Vec<Option<f64>> {
    recording.samples().iter().map(|s| s.heart_rate.map(HeartRate::bpm)).collect()
}

#[test]
fn gpx_values_are_found_by_local_name_under_any_prefix() {
    let inner = "<ele>512.5</ele><extensions><q:X xmlns:q='urn:q'><q:hr>150</q:hr><z><cad>88</cad>\
                 <distance>12.5</distance></z></q:X></extensions>";
    let recording = read_text(&gpx("", &track(&point(0, inner)))).unwrap();
    let sample = recording.samples()[0];
    assert_eq!(sample.heart_rate, HeartRate::from_bpm(150.0).ok());
    assert_eq!(sample.cadence, Cadence::from_per_minute(88.0).ok());
    assert_eq!(sample.altitude, Altitude::from_m(512.5).ok());
    assert_eq!(sample.distance, Distance::from_m(12.5).ok());
    assert_eq!(sample.position, Position::from_degrees(48.0, 11.5).ok());
}

#[test]
fn gpx_routes_and_waypoints_are_no_track() {
    let other = "<wpt lat='1' lon='1'><time>2024-05-01T09:00:00Z</time></wpt>\
                 <rte><rtept lat='1' lon='1'><time>2024-05-01T09:00:00Z</time></rtept></rte>\
                 <trkpt lat='1' lon='1'><time>2024-05-01T09:00:00Z</time></trkpt>";
    let only = read_text(&gpx("", other));
    assert_eq!(only, Err(ReadError::Timeless { format: Format::Gpx }));
    let both = read_text(&gpx("", &format!("{other}{}", track(&point(1, ""))))).unwrap();
    assert_eq!(both.samples().len(), 1);
}

#[test]
fn gpx_segments_are_laps_and_tracks_of_different_sports_are_legs() {
    let (a, b) = (point(0, "") + &point(5, ""), point(10, "") + &point(20, ""));
    let body = format!(
        "<trk><type>running</type><trkseg>{a}</trkseg></trk><trk><type>cycling</type><trkseg>{b}</trkseg></trk>"
    );
    let recording = read_text(&gpx("", &body)).unwrap();
    assert_eq!(*recording.sport(), Sport::Running);
    assert_eq!(recording.laps().len(), 2);
    assert!(recording.laps().iter().all(|lap| lap.trigger == LapTrigger::Segment));
    let legs: Vec<_> = recording.legs().iter().map(|l| (l.span.from.s(), l.span.to.s())).collect();
    assert_eq!(legs, [(0.0, 5.0), (10.0, 20.0)]);
    let one = read_text(&gpx("", &track(&a))).unwrap();
    assert!(one.laps().is_empty() && one.legs().is_empty());
    let silent = body.replace("<type>cycling</type>", "");
    assert!(read_text(&gpx("", &silent)).unwrap().legs().is_empty());
}

#[test]
fn gpx_cells_of_own_entities_are_ignored_and_never_expanded() {
    let head = "<!DOCTYPE gpx [<!ENTITY a '150'><!ENTITY b '&a;&a;&a;'>]>";
    let body = point(0, "<extensions><hr>&b;</hr></extensions>")
        + &point(1, "<extensions><hr>1&#53;0</hr></extensions>");
    let recording = read_text(&gpx(head, &track(&body))).unwrap();
    assert_eq!(rates(&recording), [None, Some(150.0)]);
    let first = "heart rate (unreadable) in track point 1".to_owned();
    assert_eq!(recording.repairs(), [Repair::CellsIgnored { count: 1, first }]);
}

#[test]
fn gpx_cut_anywhere_gives_the_points_before_the_cut() {
    let text = gpx("", &track(&(point(0, "") + &point(1, "") + &point(2, ""))));
    let ends: Vec<usize> = text.match_indices("</trkpt>").map(|(at, end)| at + end.len()).collect();
    for cut in ends[0]..text.len() - 1 {
        let recording = read_text(&text[..cut]).unwrap();
        let whole = ends.iter().filter(|end| **end <= cut).count();
        assert_eq!(recording.samples().len(), whole, "cut at {cut}");
        let at = recording.duration();
        assert_eq!(recording.repairs(), [Repair::Truncated { at }], "cut at {cut}");
    }
}

#[test]
fn gpx_in_other_encodings_with_other_line_ends() {
    let text =
        gpx("", &track(&point(0, "<extensions><hr>150</hr></extensions>"))).replace('>', ">\r\n");
    let utf_16: Vec<u8> =
        format!("\u{feff}{text}").encode_utf16().flat_map(u16::to_be_bytes).collect();
    assert_eq!(rates(&read(&utf_16, "").unwrap()), [Some(150.0)]);
    let marked = format!("\u{feff}{text}");
    assert_eq!(rates(&read_text(&marked).unwrap()), [Some(150.0)]);
    let latin = text.replace("version=\"1.0\"", "version=\"1.0\" encoding=\"ISO-8859-1\"");
    let mut latin = latin.into_bytes();
    latin.extend(b"<!-- \xE4 -->");
    assert_eq!(rates(&read(&latin, "").unwrap()), [Some(150.0)]);
}

#[test]
fn gpx_points_without_a_time_are_dropped_and_counted() {
    let body =
        point(0, "") + "<trkpt lat='1' lon='1'/><trkpt lat='1' lon='1'><time>soon</time></trkpt>";
    let recording = read_text(&gpx("", &track(&body))).unwrap();
    assert_eq!(recording.samples().len(), 1);
    assert!(recording.repairs().contains(&Repair::TimelessDropped { count: 2 }));
}

#[test]
fn csv_columns_in_any_order_separator_and_wording() {
    for text in [
        "time,heart_rate,distance\n0,150,0\n1,151,2.5\n",
        "Heart Rate (bpm);Distance [m];Time (s)\n150;0,0;0\n151;2,5;1\n",
        "\u{feff}hr\tdistance_m\ttime_s\tnote\r\n150\t0\t0:00\t\r\n151\t2,5\t0:01\tx\r\n",
        "elapsed,distance,hr\r0:00:00,0,150\r0:00:01,2.5,151\r",
        "timestamp;hr;distance\n2024-05-01T10:00:00+02:00;150;0\n2024-05-01T10:00:01+02:00;151;2,5",
    ] {
        let recording = read_text(text).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert_eq!(rates(&recording), [Some(150.0), Some(151.0)], "{text}");
        let last = recording.samples()[1];
        assert_eq!((last.time.s(), last.distance.unwrap().m()), (1.0, 2.5), "{text}");
        assert!(recording.repairs().is_empty(), "{text}: {:?}", recording.repairs());
    }
}

#[test]
fn csv_dates_are_kept_and_seconds_have_none() {
    let dated = read_text("time,hr\n2024-05-01T10:00:00Z,150\n").unwrap();
    assert_eq!(dated.started_at().unwrap().to_rfc3339(), "2024-05-01T10:00:00+00:00");
    let since_1970 = read_text("timestamp,hr\n1714557600,150\n").unwrap();
    assert_eq!(since_1970.started_at(), dated.started_at());
    assert_eq!(read_text("time,hr\n0,150\n").unwrap().started_at(), None);
}

#[test]
fn csv_cells_that_are_no_number_are_ignored_and_the_first_is_told() {
    let text = "time,hr,distance,lat,lon\n0,abc,NaN,48,11\n1,999,-5,95,11\n2,0,inf,0,0\n3,,,,\n";
    let recording = read_text(text).unwrap();
    assert_eq!(rates(&recording), [None; 4]);
    let first = "distance NaN on line 2".to_owned();
    assert_eq!(recording.repairs(), [Repair::CellsIgnored { count: 6, first }]);
}

#[test]
fn csv_mixing_dates_and_seconds_keeps_the_first_kind() {
    let recording = read_text("time,hr\n0,150\n2024-05-01T10:00:00Z,151\n2,152\n").unwrap();
    assert_eq!(rates(&recording), [Some(150.0), Some(152.0)]);
    assert!(recording.repairs().contains(&Repair::TimelessDropped { count: 1 }));
}

#[test]
fn csv_cut_in_its_last_row_says_so() {
    let recording = read_text("time,hr,distance\n0,150,0\n1,151").unwrap();
    assert_eq!(rates(&recording), [Some(150.0)]);
    let at = Seconds::from_s(0.0).unwrap();
    assert_eq!(recording.repairs(), [Repair::Truncated { at }]);
}

#[test]
fn csv_without_time_and_foreign_tables_are_told_apart() {
    assert_eq!(read_text("hr,distance\n150,0\n"), Err(ReadError::NoTimeColumn));
    assert_eq!(read_text("name,born\nA,1990\n"), Err(ReadError::Foreign { named: None }));
    let timeless = Err(ReadError::Timeless { format: Format::Csv });
    assert_eq!(read_text("time,hr\nsoon,150\n"), timeless);
    assert_eq!(read_text("time,hr\n"), timeless);
}

#[test]
fn the_format_is_what_the_content_says() {
    assert_eq!(format_of(b"time,hr\n0,1\n", "run.fit"), Some(Format::Csv));
    assert_eq!(format_of(gpx("<!-- x -->", "").as_bytes(), "run.csv"), Some(Format::Gpx));
    assert_eq!(format_of(b"\x0e\x10\0\0\0\0\0\0.FIT", "run.gpx"), Some(Format::Fit));
    assert_eq!(format_of(b"<html><gpx/></html>", "run.gpx"), None);
    assert_eq!(format_of(b"plain prose", "run.csv"), None);
}

#[test]
fn errors_are_one_clause_that_says_what_to_do() {
    assert_eq!(read(b"", "a.fit"), Err(ReadError::Empty));
    assert_eq!(read(b" \r\n", "a.csv"), Err(ReadError::Empty));
    assert_eq!(
        read(b"hello", "a.txt").unwrap_err().to_string(),
        "this is not a GPX, FIT or CSV recording; export the run again from the device as one of these"
    );
    assert_eq!(
        read(b"hello", "A.FIT").unwrap_err().to_string(),
        "this is not a GPX, FIT or CSV recording though its name says FIT; export the run again \
         from the device as one of these"
    );
}
