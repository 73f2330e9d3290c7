//! Tests to markers: the rules, the estimates for what was not tested, and what contradicts.

mod consistency;
mod heart_rates;
mod held;
mod speeds;

pub(crate) use heart_rates::{floor_by_method, maximum};
pub(crate) use held::{Held, held};

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
    let counts = held::that_counts(evidence);
    let mut markers = speeds::speeds(&counts);
    if evidence.rate_lowering_medication {
        let finding = Finding::RateLoweringMedication;
        remarks.push(Remark::new(finding, Severity::Note, BearsOn::HeartRate));
    } else {
        heart_rates::heart_rates(evidence, &mut markers, &mut remarks);
    }
    if held(evidence) == Held::Untargeted {
        remarks.push(Remark::new(Finding::NoTarget, Severity::Note, BearsOn::Speed));
    }
    if evidence.five.is_some_and(|five| five.first) {
        remarks.push(Remark::new(Finding::FirstFiveMinutes, Severity::Note, BearsOn::Speed));
    }
    let critical_speed = consistency::both_all_out(evidence, &mut remarks);
    remarks.extend(consistency::remarks(&counts, &markers));
    remarks.sort_by_key(|remark| std::cmp::Reverse(remark.severity));
    Derived { markers, critical_speed, remarks }
}

/// The target of the next 40-minute test: LT1 heart rate by rule or from a laboratory, if there is one.
/// What an earlier run happened to be held at is none.
pub fn forty_minute_target(markers: &Markers) -> Option<HeartRate> {
    known_target(markers.lt1.heart_rate)
}

fn known_target(lt1: Option<Estimate<HeartRate>>) -> Option<HeartRate> {
    let known = |lt1: &Estimate<HeartRate>| matches!(lt1.origin, Origin::ByRule | Origin::Entered);
    lt1.filter(known).map(|lt1| lt1.value)
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
