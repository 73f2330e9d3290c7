//! The shapes promised to scripts. Numbers are unrounded but for shown zone heart rates.

use chrono::NaiveDate;
use pacewright_core::effort::{DistanceSource, Effort, FoundBy};
use pacewright_core::format::seconds_per_km;
use pacewright_core::markers::{MarkerName, Markers};
use pacewright_core::remark::{BearsOn, Code, Remark, Severity, Use};
use pacewright_core::retest::{Hold, State};
use pacewright_core::test::TestKind;
use pacewright_core::units::{Estimate, Origin, Quantity, UnitSystem};
use pacewright_core::words;
use pacewright_core::zones::{HeartRateBand, PaceBand, Zones};
use pacewright_desk::calculate::Calculated;
use pacewright_desk::due::DueLine;
use pacewright_desk::files::{AssessedFile, Measured};
use pacewright_desk::plan::Proposal;
use pacewright_desk::read_in::{Outcome, ReadLine};
use serde::Serialize;

#[derive(Debug, Serialize)]
pub(crate) struct RemarkShape {
    code: Code,
    severity: Severity,
    bears_on: Option<BearsOn>,
    message: String,
    value: Option<f64>,
    from_s: Option<f64>,
    to_s: Option<f64>,
}

pub(crate) fn remarks(remarks: &[Remark]) -> Vec<RemarkShape> {
    let shape = |remark: &Remark| RemarkShape {
        code: remark.finding.code(),
        severity: remark.severity,
        bears_on: remark.bears_on,
        message: words::remark(remark, UnitSystem::Kilometres),
        value: remark.finding.value(),
        from_s: remark.span.map(|s| s.from.s()),
        to_s: remark.span.map(|s| s.to.s()),
    };
    remarks.iter().map(shape).collect()
}

#[derive(Debug, Serialize)]
pub(crate) struct AssessShape {
    file: String,
    error: Option<String>,
    recording: Option<RecordingShape>,
    effort: Option<EffortShape>,
    r#use: Option<Use>,
    remarks: Vec<RemarkShape>,
}

#[derive(Debug, Serialize)]
struct RecordingShape {
    distance_m: Option<f64>,
    duration_s: f64,
    distance_source: Option<DistanceSource>,
}

#[derive(Debug, Serialize)]
struct EffortShape {
    start_s: f64,
    end_s: f64,
    found_by: FoundBy,
    distance_m: f64,
    mean_speed_m_per_s: f64,
    flat_speed_m_per_s: Option<f64>,
    mean_heart_rate_bpm: Option<f64>,
    heart_rate_share: f64,
    peak_heart_rate_bpm: Option<f64>,
    ascent_m: Option<f64>,
}

pub(crate) fn assessed(file: &AssessedFile) -> AssessShape {
    let assessment = file.outcome.as_ref().ok();
    AssessShape {
        file: file.path.display().to_string(),
        error: file.outcome.as_ref().err().map(ToString::to_string),
        recording: file.recording.as_ref().map(recording),
        effort: assessment.and_then(|a| a.effort.as_ref()).map(effort),
        r#use: assessment.map(|a| a.good_for),
        remarks: assessment.map(|a| remarks(&a.remarks)).unwrap_or_default(),
    }
}

fn recording(measured: &Measured) -> RecordingShape {
    RecordingShape {
        distance_m: measured.distance.map(Quantity::in_own_unit),
        duration_s: measured.duration.s(),
        distance_source: measured.source,
    }
}

fn effort(effort: &Effort) -> EffortShape {
    EffortShape {
        start_s: effort.span.from.s(),
        end_s: effort.span.to.s(),
        found_by: effort.found_by,
        distance_m: effort.distance.m(),
        mean_speed_m_per_s: effort.mean_speed.m_per_s(),
        flat_speed_m_per_s: effort.flat_speed.map(Quantity::in_own_unit),
        mean_heart_rate_bpm: effort.mean_heart_rate.map(Quantity::in_own_unit),
        heart_rate_share: effort.heart_rate_share.ratio(),
        peak_heart_rate_bpm: effort.peak_heart_rate.map(Quantity::in_own_unit),
        ascent_m: effort.ascent.map(Quantity::in_own_unit),
    }
}

#[derive(Debug, Serialize)]
pub(crate) struct ZonesShape {
    markers: Vec<MarkerShape>,
    zones: Vec<ZoneShape>,
    critical_speed_m_per_s: Option<f64>,
    remarks: Vec<RemarkShape>,
}

#[derive(Debug, Serialize)]
struct MarkerShape {
    name: MarkerName,
    speed_m_per_s: Option<f64>,
    speed_error_m_per_s: Option<f64>,
    heart_rate_bpm: Option<f64>,
    heart_rate_error_bpm: Option<f64>,
    speed_origin: Option<&'static str>,
    heart_rate_origin: Option<&'static str>,
}

#[derive(Debug, Serialize)]
struct ZoneShape {
    number: u8,
    name: String,
    heart_rate_bpm: Option<HeartRateBand>,
    pace_s_per_km: Option<PaceShape>,
}

#[derive(Debug, Serialize)]
struct PaceShape {
    slowest: Option<f64>,
    fastest: Option<f64>,
}

pub(crate) fn calculated(calculated: &Calculated) -> ZonesShape {
    ZonesShape {
        markers: markers(&calculated.derived.markers),
        zones: zones(&calculated.zones),
        critical_speed_m_per_s: calculated.derived.critical_speed.map(|c| c.speed.m_per_s()),
        remarks: remarks(&calculated.derived.remarks),
    }
}

fn markers(markers: &Markers) -> Vec<MarkerShape> {
    let shape = |name: MarkerName| {
        let marker = markers.get(name);
        MarkerShape {
            name,
            speed_m_per_s: marker.speed.map(|e| e.value.m_per_s()),
            speed_error_m_per_s: marker.speed.map(|e| e.error().m_per_s()),
            heart_rate_bpm: marker.heart_rate.map(|e| e.value.bpm()),
            heart_rate_error_bpm: marker.heart_rate.map(|e| e.error().bpm()),
            speed_origin: marker.speed.as_ref().map(origin),
            heart_rate_origin: marker.heart_rate.as_ref().map(origin),
        }
    };
    MarkerName::ALL.into_iter().map(shape).collect()
}

fn origin<Q>(estimate: &Estimate<Q>) -> &'static str {
    match estimate.origin {
        Origin::Measured => "measured",
        Origin::ByRule => "by rule",
        Origin::Estimated => "estimated",
        Origin::Entered => "entered",
    }
}

fn zones(zones: &Zones) -> Vec<ZoneShape> {
    let pace = |band: PaceBand| PaceShape {
        slowest: band.slowest.and_then(seconds_per_km),
        fastest: band.fastest.and_then(seconds_per_km),
    };
    zones
        .zones
        .iter()
        .map(|zone| ZoneShape {
            number: zone.number,
            name: zone.name.clone(),
            heart_rate_bpm: zone.heart_rate,
            pace_s_per_km: zone.pace.map(pace),
        })
        .collect()
}

#[derive(Debug, Serialize)]
pub(crate) struct ReadShape<'a> {
    file: String,
    athlete: Option<&'a str>,
    test: Option<u32>,
    outcome: &'static str,
    reason: Option<&'a str>,
}

pub(crate) fn read(line: &ReadLine) -> ReadShape<'_> {
    ReadShape {
        file: line.path.display().to_string(),
        athlete: line.athlete.as_deref(),
        test: line.kind.map(TestKind::minutes),
        outcome: match line.outcome {
            Outcome::TakenIn => "taken in",
            Outcome::Duplicate => "duplicate",
            Outcome::Unmatched => "unmatched",
            Outcome::Refused => "refused",
        },
        reason: line.reason.as_deref(),
    }
}

#[derive(Debug, Serialize)]
pub(crate) struct DueShape<'a> {
    athlete: &'a str,
    test: u32,
    state: State,
    held_by: &'a [Hold],
    last_on: Option<NaiveDate>,
    opens_on: Option<NaiveDate>,
    closes_on: Option<NaiveDate>,
}

pub(crate) fn due(line: &DueLine) -> DueShape<'_> {
    DueShape {
        athlete: &line.athlete,
        test: line.kind.minutes(),
        state: line.state,
        held_by: &line.held_by,
        last_on: line.last_on,
        opens_on: line.opens_on,
        closes_on: line.closes_on,
    }
}

#[derive(Debug, Serialize)]
pub(crate) struct PlanShape<'a> {
    bookings: Vec<BookingShape<'a>>,
    unplaced: Vec<UnplacedShape<'a>>,
}

#[derive(Debug, Serialize)]
struct BookingShape<'a> {
    athlete: &'a str,
    test: u32,
    on: NaiveDate,
}

#[derive(Debug, Serialize)]
struct UnplacedShape<'a> {
    athlete: &'a str,
    test: u32,
    reason: &'a str,
}

pub(crate) fn plan(proposal: &Proposal) -> PlanShape<'_> {
    PlanShape {
        bookings: proposal
            .lines
            .iter()
            .map(|line| BookingShape {
                athlete: &line.name,
                test: line.kind.minutes(),
                on: line.on,
            })
            .collect(),
        unplaced: proposal
            .unplaced
            .iter()
            .map(|one| UnplacedShape {
                athlete: &one.name,
                test: one.kind.minutes(),
                reason: &one.reason,
            })
            .collect(),
    }
}
