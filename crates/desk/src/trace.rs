//! One test looked at closely: its recording ready to be drawn, its effort judged wherever its edges
//! are set, and what would change if it counted.

use std::path::PathBuf;

use chrono::{DateTime, NaiveDate, Utc};
use pacewright_core::assess::{Assessment, Known, assess_at_known, assess_known, line_of};
use pacewright_core::calibration::Calibration;
use pacewright_core::change::Change;
use pacewright_core::course::{Course, MeasuredEffort};
use pacewright_core::effort::{DistanceLine, Edge, Effort, FoundBy, with_edge};
use pacewright_core::ids::TestId;
use pacewright_core::quality::LeftOut;
use pacewright_core::recording::{Recording, Span};
use pacewright_core::remark::{Remark, Use};
use pacewright_core::test::{Decision, Evidence, Performance, Test, TestKind};
use pacewright_core::trend::TrendChange;
use pacewright_core::units::{Seconds, Speed, UnitSystem};
use pacewright_sheets::trace::Moment;
use pacewright_store::ContentHash;

use crate::book::{Page, known_of, pairs, second_recording};
use crate::decide::{Choice, Outcome, others_aside, preview, proposed_with};
use crate::desk::Desk;
use crate::files::read_bytes;
use crate::measured::courses;
use crate::read_in::split::hash_of;
use crate::second_look::{contradiction, first_choice, should_not_have_run};
use crate::typed::foresee;
use crate::{Now, Problem};

/// The speed that is drawn is the mean over this many seconds around each moment. Nothing is
/// measured on it.
const DRAWN_OVER_S: f64 = 15.0;
/// Between samples further apart than this (seconds) no line is drawn.
const BROKEN_FROM_S: f64 = 30.0;
/// An edge that comes this near (seconds) to where it was measured or found is meant to stand there:
/// less than a step of the keyboard, and more than a drag to whole seconds can miss.
const SNAPS_WITHIN_S: f64 = 0.5;
/// Edges nearer than this (seconds) are parted by rounding alone.
const ROUNDING_S: f64 = 1e-3;

/// A test, opened.
#[derive(Debug, Clone)]
pub struct Opened {
    /// The test as it stands in the library.
    pub test: Test,
    /// Its recording; `None` where the result was typed in.
    pub recorded: Option<Recorded>,
    /// Courses named so far.
    pub courses: Vec<Course>,
}

/// A recording behind a test.
#[derive(Debug, Clone)]
pub struct Recorded {
    /// The name of the file it was read from.
    pub file_name: String,
    /// When it began.
    pub started_at: Option<DateTime<Utc>>,
    /// What is drawn, moment by moment.
    pub moments: Vec<Moment>,
    /// Pauses and legs of other sports.
    pub pauses: Vec<Span>,
    /// When positions jumped.
    pub jumps: Vec<Seconds>,
    /// The effort as the program finds it.
    pub found: Judged,
    /// The effort as the test has it.
    pub kept: Judged,
    recording: Recording,
    line: DistanceLine,
    kind: TestKind,
    known: Known,
    /// What is to be said of another recording of the same effort.
    second: Option<Remark>,
}

/// An effort with all that is said of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// The effort.
    pub effort: Effort,
    /// What the checks say, worst first.
    pub remarks: Vec<Remark>,
    /// What it is good for.
    pub good_for: Use,
    /// The numbers the test keeps.
    pub performance: Performance,
    /// The speeds of its four quarters; fewer where one cannot be told.
    pub quarters: Vec<Speed>,
}

/// Opens a test with its recording.
///
/// # Errors
/// A test that is gone, damage in the library, or a recording that no longer holds the test.
pub fn open(desk: &Desk, test: TestId) -> Result<Opened, Problem> {
    let (test, stored) = desk.ask(move |library| {
        let test = library.test(test)?;
        let Evidence::Recorded { recording, .. } = test.evidence else {
            return Ok((test, None));
        };
        let known = known_of(library, &test)?;
        let second = second_recording(library, &test)?;
        let (row, recording) = library.recording(recording)?;
        Ok((test, Some((row.file_name, recording, known, second))))
    })?;
    let recorded = match stored {
        Some((file_name, recording, known, second)) => {
            Some(Recorded::new(&test, recording, file_name, known, second)?)
        }
        None => None,
    };
    Ok(Opened { test, recorded, courses: courses(desk)? })
}

impl Recorded {
    fn new(
        test: &Test,
        recording: Recording,
        file_name: String,
        known: Known,
        second: Option<Remark>,
    ) -> Result<Self, Problem> {
        let gone = || {
            Problem::new(
                "The recording of this test no longer holds an effort of its length; set the test aside.",
            )
        };
        let line = line_of(&recording, &known).ok_or_else(gone)?;
        let Evidence::Recorded { span, found_by, .. } = test.evidence else { return Err(gone()) };
        // where it was found or set stays, also where newer rules would find it elsewhere
        let kept = assess_at_known(&recording, test.kind, span, found_by, &known);
        let second_of = second.as_ref();
        let kept = kept.ok().and_then(|a| judged(&line, a, second_of)).ok_or_else(gone)?;
        let found = assess_known(&recording, test.kind, &known).ok();
        let found = found.and_then(|a| judged(&line, a, second_of)).unwrap_or_else(|| kept.clone());
        Ok(Self {
            file_name,
            started_at: recording.started_at(),
            moments: moments(&recording, &line),
            pauses: line.pauses().to_vec(),
            jumps: line.jumps().iter().map(|jump| jump.at).collect(),
            found,
            kept,
            line,
            kind: test.kind,
            known,
            second,
            recording,
        })
    }

    /// How far an effort went, as somebody measured it: it overrides the recording where it
    /// [counts](MeasuredEffort::counts_for).
    pub fn measured(&self) -> Option<&MeasuredEffort> {
        self.known.measured.as_ref()
    }

    /// The whole recording's length.
    pub fn duration(&self) -> Seconds {
        self.recording.duration()
    }

    /// Where the effort stands once one of its edges is moved to a time, as far as the test's length
    /// allows. It snaps to where it was measured or found, which may be at parts of a second.
    pub fn moved(&self, span: Span, edge: Edge, to: Seconds) -> Option<Span> {
        let measured = self.known.measured.as_ref().and_then(|entered| entered.over);
        let places = || measured.into_iter().chain([self.found.effort.span]);
        let apart = |a: Seconds, b: Seconds| (a.s() - b.s()).abs();
        let of = |place: Span| if edge == Edge::Start { place.from } else { place.to };
        let near = places().map(of).filter(|place| apart(*place, to) <= SNAPS_WITHIN_S);
        let to = near.min_by(|a, b| apart(*a, to).total_cmp(&apart(*b, to))).unwrap_or(to);
        let moved = with_edge(self.kind, self.recording.duration(), span, edge, to)?;
        let same = |place: &Span| {
            apart(place.from, moved.from) < ROUNDING_S && apart(place.to, moved.to) < ROUNDING_S
        };
        Some(places().find(same).unwrap_or(moved))
    }

    /// Judges another stretch as the effort; the stretch that was found is as it was found.
    ///
    /// # Errors
    /// A stretch too short for the test.
    pub fn judge_at(&self, span: Span) -> Result<Judged, Problem> {
        if span == self.found.effort.span {
            return Ok(self.found.clone());
        }
        let by_hand = FoundBy::ByHand;
        let assessment = assess_at_known(&self.recording, self.kind, span, by_hand, &self.known)
            .map_err(|error| Problem::new(format!("{error}: leave the edges further apart.")))?;
        judged(&self.line, assessment, self.second.as_ref()).ok_or_else(|| {
            Problem::new("That stretch cannot be measured; move the edges elsewhere.")
        })
    }

    /// The moment nearest to a time.
    pub fn moment_at(&self, time: Seconds) -> Option<&Moment> {
        let after = self.moments.partition_point(|m| m.time < time);
        let far = |m: &&Moment| (m.time.s() - time.s()).abs();
        let around = self.moments.get(after.saturating_sub(1)..(after + 1).min(self.moments.len()));
        around?.iter().min_by(|a, b| far(a).total_cmp(&far(b)))
    }
}

impl Opened {
    /// The test with an effort as it was judged: what is kept once it is decided on.
    pub fn with_effort(&self, judged: &Judged) -> Test {
        let mut test = self.test.clone();
        if let Evidence::Recorded { span, found_by, .. } = &mut test.evidence {
            (*span, *found_by) = (judged.effort.span, judged.effort.found_by);
            test.performance = judged.performance;
        }
        test
    }
}

fn judged(
    line: &DistanceLine,
    mut assessment: Assessment,
    second: Option<&Remark>,
) -> Option<Judged> {
    let performance = assessment.performance()?;
    let effort = assessment.effort?;
    if let Some(second) = second {
        pairs::add(second.clone(), &mut assessment.remarks);
    }
    Some(Judged {
        effort,
        good_for: assessment.good_for,
        performance,
        quarters: quarters(line, effort.span),
        remarks: assessment.remarks,
    })
}

fn quarters(line: &DistanceLine, span: Span) -> Vec<Speed> {
    let quarter = span.length_s() / 4.0;
    let speed = |index: u32| {
        let from = span.from.s() + quarter * f64::from(index);
        let part = Span { from: Seconds::from_s(from).ok()?, to: seconds(from + quarter)? };
        Speed::over(line.between(part)?, seconds(quarter)?)
    };
    (0..4).filter_map(speed).collect()
}

fn seconds(s: f64) -> Option<Seconds> {
    Seconds::from_s(s).ok()
}

/// What is drawn of each sample; an empty moment stands where the line breaks.
fn moments(recording: &Recording, line: &DistanceLine) -> Vec<Moment> {
    let samples = recording.samples();
    let mut moments: Vec<Moment> = Vec::with_capacity(samples.len());
    for sample in samples {
        if let Some(before) = moments.last().map(|m| m.time.s())
            && sample.time.s() - before > BROKEN_FROM_S
            && let Some(time) = seconds(f64::midpoint(before, sample.time.s()))
        {
            moments.push(Moment { time, speed: None, heart_rate: None, altitude: None });
        }
        moments.push(Moment {
            time: sample.time,
            speed: drawn_speed(line, sample.time, recording.duration()),
            heart_rate: sample.heart_rate,
            altitude: sample.altitude,
        });
    }
    moments
}

/// The mean speed around a moment; none inside a pause.
fn drawn_speed(line: &DistanceLine, time: Seconds, duration: Seconds) -> Option<Speed> {
    let paused = line.pauses().partition_point(|p| p.to < time);
    if line.pauses().get(paused).is_some_and(|p| p.from < time && time < p.to) {
        return None;
    }
    let from = seconds((time.s() - DRAWN_OVER_S / 2.0).max(0.0))?;
    let to = seconds((time.s() + DRAWN_OVER_S / 2.0).min(duration.s()))?;
    let span = Span { from, to };
    Speed::over(line.between(span)?, seconds(span.length_s())?)
}

/// What would change if a test counted.
#[derive(Debug, Clone, PartialEq)]
pub struct Consequence {
    /// The zones in force now.
    pub now: Option<Calibration>,
    /// The zones that would follow, or why none would.
    pub outcome: Outcome,
    /// What would have to be said with them.
    pub remarks: Vec<Remark>,
    /// What speaks against it beside its recording, in sentences: it waits for a reason.
    pub doubts: Vec<String>,
    /// What to do with it first, as far as its recording is usable.
    pub first_choice: Choice,
    /// What changed since the test of this kind it is held against.
    pub since: Option<Since>,
}

impl Consequence {
    /// Whether the tests before it do not explain the test.
    pub fn is_off_its_trend(&self) -> bool {
        let trend = self.since.and_then(|since| since.trend);
        trend.is_some_and(|trend| trend.off_percent.is_some())
    }
}

/// A test against an earlier one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Since {
    /// The day of the earlier one.
    pub on: NaiveDate,
    /// What was run.
    pub run: Change,
    /// What the trend makes of all tests together; `None` in a new series, or where it is left out.
    pub trend: Option<TrendChange>,
    /// Why the trend leaves it out, where it does.
    pub left_out: Option<LeftOut>,
}

/// What would change for an athlete if a test counted as it is given; another recording of its effort
/// would count no more.
pub fn consequence(page: &Page, test: &Test, now: &Now) -> Consequence {
    let counted = Test { decision: Decision::Accepted { reason: None }, ..test.clone() };
    let others = others_aside(page, &[&counted]);
    if !others.is_empty() {
        let mut page = page.clone();
        page.tests.retain(|test| others.iter().all(|other| other.id != test.id));
        return consequence(&page, test, now);
    }
    let outcome = preview(page, test);
    let proposed = proposed_with(page, std::slice::from_ref(&counted), test.on);
    let proposal = proposed.as_ref().map(|(_, proposal)| proposal);
    let said = proposal.filter(|_| outcome.zones.is_some());
    let remarks = said.map_or_else(Vec::new, |proposal| proposal.derived.remarks.clone());
    let since = foresee::held_against(test, page).and_then(|before| {
        let run = foresee::change(test, page)?;
        let trend = foresee::by_the_trend(test, page);
        let left_out = if trend.is_none() { foresee::out_of_trend(test, page) } else { None };
        Some(Since { on: before.on, run, trend, left_out })
    });
    let in_force = page.calibrations.last().filter(|c| c.from <= now.today.max(test.on));
    let contradicts =
        proposal.and_then(|proposal| contradiction(&counted, proposal, UnitSystem::Kilometres));
    let markers = in_force.map(|c| &c.markers);
    let after = proposal.map(|proposal| &proposal.derived.markers);
    let first_choice = first_choice(test, page, markers, after);
    let contradicts = contradicts.filter(|_| first_choice == Choice::NewZones);
    let doubts = should_not_have_run(page, test).into_iter().chain(contradicts).collect();
    Consequence { now: in_force.cloned(), outcome, remarks, doubts, first_choice, since }
}

/// The test behind each file, where one was taken in from it or from two of them together; a file
/// that cannot be read any more has none.
///
/// # Errors
/// Damage in the library.
pub fn tests_of_files(desk: &Desk, paths: &[PathBuf]) -> Result<Vec<Option<TestId>>, Problem> {
    let hashes: Vec<Option<ContentHash>> =
        paths.iter().map(|path| Some(ContentHash::of(&read_bytes(path).ok()?))).collect();
    desk.ask(move |library| {
        let tests = library.tests()?;
        let standing_on = |hash: &ContentHash| {
            let stored = library.recording_by_hash(hash)?;
            let on = |test: &&Test| match (test.evidence, &stored) {
                (Evidence::Recorded { recording, .. }, Some(stored)) => recording == stored.id,
                _ => false,
            };
            Ok::<_, Problem>((tests.iter().find(on).map(|test| test.id), stored.is_some()))
        };
        let mut found = vec![None; hashes.len()];
        // stored with no test of their own: parts of one
        let mut parts = Vec::new();
        for (index, hash) in hashes.iter().enumerate() {
            let Some(hash) = hash else { continue };
            match standing_on(hash)? {
                (None, true) => parts.push((index, hash)),
                (test, _) => found[index] = test,
            }
        }
        for (place, &(one, first)) in parts.iter().enumerate() {
            for &(other, second) in &parts[place + 1..] {
                for whole in [hash_of(first, second), hash_of(second, first)] {
                    if let (test @ Some(_), _) = standing_on(&whole)? {
                        (found[one], found[other]) = (test, test);
                    }
                }
            }
        }
        Ok(found)
    })
}
