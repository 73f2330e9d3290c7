//! The study of the finder: many simulated recordings with stated distributions, and how often the
//! program finds the effort and the faults that were put in.
//!
//! The simulator varies what the finder does not assume: pacing, running straight into the effort,
//! strides, hills, noise, sampling, what marks the effort. What varies how is `draw`'s business
//! and stands there; the marks are [`Tally::failures`].

mod draw;

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use pacewright_core::assess::{Assessment, assess};
use pacewright_core::recording::Span;
use pacewright_core::remark::{Code, Severity};
use pacewright_core::test::TestKind;

use crate::simulate::{Fault, Simulated, SimulationError};
pub use draw::Drawn;

/// A window this near (seconds) to where the effort was run is found.
const NEAR_S: f64 = 5.0;
/// A remark this near (seconds) to a fault is about it.
const BESIDE_S: f64 = 15.0;

/// A kind of fault put into a recording.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FaultClass {
    /// A pause of 25 to 150 s.
    Pause,
    /// Positions 25 to 300 m aside for 10 to 60 s.
    Jump,
    /// One heart rate for 90 to 300 s.
    Flat,
    /// Steps for beats for 180 to 600 s.
    Lock,
    /// 20 to 60 beats too low for 8 to 90 s.
    Dropout,
}

impl FaultClass {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Pause, Self::Jump, Self::Flat, Self::Lock, Self::Dropout];

    /// The remark that must tell it.
    fn code(self) -> Code {
        match self {
            Self::Pause => Code::Pause,
            Self::Jump => Code::GpsJump,
            Self::Flat => Code::HeartRateFlat,
            Self::Lock => Code::CadenceLock,
            Self::Dropout => Code::HeartRateDropout,
        }
    }

    /// The severity it must be told with at least: positions that the distance does not rest on, and
    /// a flat stretch between two records far apart, are only noted.
    fn severity(self) -> Severity {
        match self {
            Self::Jump | Self::Flat => Severity::Note,
            Self::Pause | Self::Lock | Self::Dropout => Severity::Check,
        }
    }

    /// The share that must be found.
    fn mark(self) -> f64 {
        if self == Self::Lock { 0.95 } else { 0.98 }
    }

    fn name(self) -> &'static str {
        match self {
            Self::Pause => "pause of 25 to 150 s",
            Self::Jump => "jump of 25 to 300 m",
            Self::Flat => "flat for 90 to 300 s",
            Self::Lock => "lock of 180 to 600 s",
            Self::Dropout => "dropout of 20 to 60 beats",
        }
    }
}

/// So many of so many.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Share {
    /// How many did.
    pub did: usize,
    /// Of how many.
    pub of: usize,
}

impl Share {
    fn count(&mut self, did: bool) {
        self.did += usize::from(did);
        self.of += 1;
    }

    /// As a ratio; 1 of nothing.
    pub fn ratio(self) -> f64 {
        if self.of == 0 { 1.0 } else { self.did as f64 / self.of as f64 }
    }
}

impl fmt::Display for Share {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{:>5} of {:>5}  {:>6.2} %", self.did, self.of, 100.0 * self.ratio())
    }
}

/// What a study found.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tally {
    /// Recordings.
    pub runs: usize,
    /// Windows found within 5 s at both ends, by test; no pause inside the effort.
    pub found: [Share; 3],
    /// Faults told at their place, in the order of [`FaultClass::ALL`].
    pub told: [Share; 5],
    /// Something that spoils on recordings without a fault.
    pub spoiled_clean: Share,
    /// Remarks of at least "check" on recordings without a fault, for information.
    pub checked_clean: Share,
    /// The same by what is to check.
    pub checks_on_clean: BTreeMap<String, usize>,
    /// What went wrong, one line each.
    pub misses: Vec<String>,
}

/// Draws, simulates and judges so many recordings from one seed.
///
/// # Errors
/// A drawn run that cannot be simulated: a fault of the study.
pub fn study(count: u32, seed: u64) -> Result<Tally, SimulationError> {
    let mut tally = Tally::default();
    for index in 0..count {
        let drawn = draw::draw(seed, index);
        let simulated = drawn.run.simulate()?;
        tally.add(index, &drawn, &simulated);
    }
    Ok(tally)
}

impl Tally {
    fn add(&mut self, index: u32, drawn: &Drawn, simulated: &Simulated) {
        self.runs += 1;
        let kind = drawn.kind;
        let assessed = assess(&simulated.recording, kind, None);
        let paused = drawn.class == Some(FaultClass::Pause);
        if !paused && drawn.is_marked() {
            let truth = simulated.truth.effort;
            let span = assessed.as_ref().ok().and_then(|a| Some(a.effort?.span));
            let found = span.is_some_and(|span| near(span, truth));
            if let Some(share) = self.found.get_mut(place_of(kind)) {
                share.count(found);
            }
            if !found {
                let span = span.map(|s| (s.from.s(), s.to.s()));
                self.miss(index, drawn, &format!("found {span:?} for {}", truth.from.s()));
            }
        }
        let Ok(assessment) = assessed else {
            self.miss(index, drawn, "no effort");
            return;
        };
        match drawn.class {
            None => self.clean(index, drawn, &assessment),
            Some(class) => self.faulty(index, drawn, class, &assessment, simulated),
        }
    }

    fn clean(&mut self, index: u32, drawn: &Drawn, assessment: &Assessment) {
        let spoils = assessment.remarks.iter().find(|r| r.severity == Severity::Spoils);
        self.spoiled_clean.count(spoils.is_some());
        let checks = assessment.remarks.iter().filter(|r| r.severity >= Severity::Check);
        let codes: BTreeSet<String> =
            checks.map(|remark| format!("{:?}", remark.finding.code())).collect();
        self.checked_clean.count(!codes.is_empty());
        for code in codes {
            *self.checks_on_clean.entry(code).or_default() += 1;
        }
        if let Some(remark) = spoils {
            self.miss(index, drawn, &format!("clean but spoiled: {:?}", remark.finding));
        }
    }

    fn faulty(
        &mut self,
        index: u32,
        drawn: &Drawn,
        class: FaultClass,
        assessment: &Assessment,
        simulated: &Simulated,
    ) {
        let Some((from, to)) = drawn.run.faults.first().map(extent) else { return };
        let start = simulated.truth.effort.from.s();
        let beside = |span: Span| {
            span.from.s() <= start + to + BESIDE_S && span.to.s() >= start + from - BESIDE_S
        };
        let told = assessment.remarks.iter().any(|r| {
            r.finding.code() == class.code()
                && r.severity >= class.severity()
                && r.span.is_some_and(beside)
        });
        if let Some(share) = self.told.get_mut(class as usize) {
            share.count(told);
        }
        if !told {
            self.miss(index, drawn, &format!("{} not told", class.name()));
        }
    }

    fn miss(&mut self, index: u32, drawn: &Drawn, what: &str) {
        self.misses.push(format!("run {index}: {what} ({drawn})"));
    }

    /// The marks that were not met, one sentence each; with so few runs of a kind that one miss
    /// decides, a miss is allowed.
    pub fn failures(&self) -> Vec<String> {
        let mut failures = Vec::new();
        let mut hold = |what: &str, share: Share, mark: f64| {
            let allowed = ((1.0 - mark) * share.of as f64).max(1.0);
            if (share.of - share.did) as f64 > allowed {
                failures.push(format!("{what}: {share}, below {:.0} %", 100.0 * mark));
            }
        };
        for (kind, share) in TestKind::ALL.into_iter().zip(self.found) {
            hold(&format!("{} minutes", kind.minutes()), share, 0.99);
        }
        for (class, share) in FaultClass::ALL.into_iter().zip(self.told) {
            hold(class.name(), share, class.mark());
        }
        let clean = self.spoiled_clean;
        hold("nothing spoils", Share { did: clean.of - clean.did, of: clean.of }, 0.99);
        failures
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(formatter, "{} simulated recordings", self.runs)?;
        for (kind, share) in TestKind::ALL.into_iter().zip(self.found) {
            let what = format!("{}-minute window within 5 s", kind.minutes());
            writeln!(formatter, "  {what:<34} {share}   mark 99 %")?;
        }
        for (class, share) in FaultClass::ALL.into_iter().zip(self.told) {
            let mark = 100.0 * class.mark();
            writeln!(formatter, "  {:<34} {share}   mark {mark:.0} %", class.name())?;
        }
        let spoiled = "spoils on clean recordings";
        writeln!(formatter, "  {spoiled:<34} {}   at most 1 %", self.spoiled_clean)?;
        let checked = "something to check on clean ones";
        writeln!(formatter, "  {checked:<34} {}   for information", self.checked_clean)?;
        for (code, count) in &self.checks_on_clean {
            writeln!(formatter, "    {code:<32} {count:>5}")?;
        }
        Ok(())
    }
}

fn near(found: Span, truth: Span) -> bool {
    (found.from.s() - truth.from.s()).abs() <= NEAR_S
        && (found.to.s() - truth.to.s()).abs() <= NEAR_S
}

fn place_of(kind: TestKind) -> usize {
    TestKind::ALL.iter().position(|other| *other == kind).unwrap_or_default()
}

/// When a fault begins and ends, in seconds since the start of the effort.
fn extent(fault: &Fault) -> (f64, f64) {
    let (Fault::Pause { from_s, for_s }
    | Fault::PositionJump { from_s, for_s, .. }
    | Fault::HeartRateFall { from_s, for_s, .. }
    | Fault::HeartRateMissing { from_s, for_s }
    | Fault::HeartRateFlat { from_s, for_s }
    | Fault::CadenceLock { from_s, for_s }) = fault;
    (*from_s, from_s + for_s)
}

#[cfg(test)]
mod tests {
    use pacewright_core::remark::{Finding, Remark};

    use super::*;

    #[test]
    fn efforts_and_faults_are_found_as_often_as_promised() {
        let tally = study(300, 20_261_125).unwrap();
        assert!(tally.failures().is_empty(), "{tally}\n{}", tally.misses.join("\n"));
        // every kind of run was drawn
        assert!(tally.found.iter().chain(&tally.told).all(|share| share.of >= 15), "{tally}");
    }

    #[test]
    fn an_effort_without_a_fault_is_hardly_ever_taken_for_two_speeds() {
        let (mut two_speeds, mut misses) = (Share::default(), Vec::new());
        for index in 0..600 {
            let drawn = draw::draw(20_261_127, index);
            if drawn.class.is_some() || !drawn.is_marked() {
                continue;
            }
            let recording = drawn.run.simulate().unwrap().recording;
            let Ok(assessment) = assess(&recording, drawn.kind, None) else { continue };
            let told = |r: &Remark| matches!(r.finding, Finding::TwoSpeeds { .. });
            let said = assessment.remarks.iter().find(|r| told(r));
            two_speeds.count(said.is_some());
            misses.extend(said.map(|remark| format!("run {index}: {remark:?} ({drawn})")));
        }
        assert!(
            two_speeds.of > 150 && two_speeds.ratio() <= 0.01,
            "{two_speeds}\n{}",
            misses.join("\n")
        );
    }

    #[test]
    fn a_study_is_fixed_by_its_seed() {
        assert_eq!(study(5, 7).unwrap(), study(5, 7).unwrap());
    }

    #[test]
    fn a_mark_that_is_missed_is_told() {
        let mut tally = Tally { found: [Share { did: 97, of: 100 }; 3], ..Tally::default() };
        assert_eq!(tally.failures().len(), 3);
        tally.found = [Share { did: 99, of: 100 }; 3];
        assert!(tally.failures().is_empty());
    }
}
