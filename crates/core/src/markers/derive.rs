//! Tests to markers: the rules, the estimates for what was not tested, and what contradicts.

mod consistency;
mod heart_rates;
mod speeds;

pub(crate) use heart_rates::{floor_by_method, maximum};

use chrono::NaiveDate;

use super::{Attempt, MarkerEvidence, MarkerName, Markers};
use crate::laboratory::LaboratoryValue;
use crate::physiology::critical_speed::CriticalSpeed;
use crate::remark::{BearsOn, Finding, Remark, Severity};
use crate::units::{Estimate, HeartRate, Origin, Speed, Spread};

/// Markers with what has to be said about them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Derived {
    /// The markers.
    pub markers: Markers,
    /// Critical speed, where the two all-out tests give one.
    pub critical_speed: Option<CriticalSpeed>,
    /// What contradicts or is doubtful, worst first.
    pub remarks: Vec<Remark>,
}

/// Markers from tests. Empty evidence gives empty markers.
pub fn derive(evidence: &MarkerEvidence) -> Derived {
    let mut remarks = Vec::new();
    let mut markers = speeds::speeds(evidence);
    if evidence.rate_lowering_medication {
        let finding = Finding::RateLoweringMedication;
        remarks.push(Remark::new(finding, Severity::Note, BearsOn::HeartRate));
    } else {
        heart_rates::heart_rates(evidence, &mut markers, &mut remarks);
    }
    if evidence.five.is_some_and(|five| five.first) {
        remarks.push(Remark::new(Finding::FirstFiveMinutes, Severity::Note, BearsOn::Speed));
    }
    let critical_speed = consistency::both_all_out(evidence, &mut remarks);
    remarks.extend(consistency::remarks(evidence, &markers));
    remarks.sort_by_key(|remark| std::cmp::Reverse(remark.severity));
    Derived { markers, critical_speed, remarks }
}

/// The target of the next 40-minute test: LT1 heart rate by rule, if there is one.
pub fn forty_minute_target(markers: &Markers) -> Option<HeartRate> {
    markers.lt1.heart_rate.map(|lt1| lt1.value)
}

/// The newest laboratory value of a marker, unless a field test of it is newer. A test of no known
/// day was just typed in: it is newer than any laboratory.
fn laboratory<'a>(
    evidence: &'a MarkerEvidence,
    marker: MarkerName,
    test: Option<&Attempt>,
) -> Option<&'a LaboratoryValue> {
    let newer = |tested: Option<NaiveDate>, on| tested.is_none_or(|tested| tested > on);
    evidence
        .newest_in_laboratory(marker)
        .filter(|value| test.is_none_or(|test| !newer(test.on, value.on)))
}

fn speed(value: Speed, validity: f64, repeatability: f64, origin: Origin) -> Estimate<Speed> {
    let (validity, repeatability) = (Spread::new(validity), Spread::new(repeatability));
    Estimate { value, validity, repeatability, origin }
}

fn beats(
    value: HeartRate,
    validity: f64,
    repeatability: f64,
    origin: Origin,
) -> Estimate<HeartRate> {
    let (validity, repeatability) = (Spread::new(validity), Spread::new(repeatability));
    Estimate { value, validity, repeatability, origin }
}
