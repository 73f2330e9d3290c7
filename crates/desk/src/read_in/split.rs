//! A test that stands in two files, because the watch was stopped and started again.

use chrono::{DateTime, TimeDelta, Utc};
use pacewright_core::assess::assess_known;
use pacewright_core::effort::SHORTEST_SHARE;
use pacewright_core::recording::{Recording, joined as join};
use pacewright_core::test::TestKind;
use pacewright_store::{ContentHash, NewRecording};

use super::Ask;
use super::batch::{As, Batch, Ready, asks_how_far, ready};

/// Recordings further apart than this (minutes) are no one test (judgement).
const LONGEST_GAP_MINUTES: i64 = 15;

/// When a recording began and ended, where its clock has a date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ran {
    from: DateTime<Utc>,
    to: DateTime<Utc>,
}

impl Ran {
    pub(super) fn of(recording: &Recording) -> Option<Self> {
        let from = recording.started_at()?;
        #[expect(clippy::cast_possible_truncation, reason = "a recording is far shorter than i64")]
        let lasted = TimeDelta::milliseconds((recording.duration().s() * 1e3) as i64);
        Some(Self { from, to: from.checked_add_signed(lasted)? })
    }

    /// Whether another begins after this one ends, and soon enough to be the rest of one test.
    fn goes_on_in(self, other: Self) -> bool {
        other.from > self.to && other.from - self.to <= TimeDelta::minutes(LONGEST_GAP_MINUTES)
    }

    /// Whether this began before another.
    pub fn is_before(self, other: Self) -> bool {
        self.from < other.from
    }

    /// Whether this is too short for a test of a kind, but together with another long enough.
    pub fn makes_with(self, other: Self, kind: TestKind) -> bool {
        let long = |from: DateTime<Utc>, to: DateTime<Utc>| {
            (to - from).num_milliseconds() as f64 >= SHORTEST_SHARE * kind.length_s() * 1e3
        };
        let (first, second) = if self.from <= other.from { (self, other) } else { (other, self) };
        !long(self.from, self.to)
            && !long(other.from, other.to)
            && first.goes_on_in(second)
            && long(first.from, second.to)
    }
}

/// A recording too short for its test.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    pub(super) recording: NewRecording,
    pub(super) as_test: As,
    /// Its line.
    pub(super) line: usize,
}

/// A test out of two pieces, and the pieces themselves: their files are known from now on.
pub(super) struct Joined {
    pub(super) ready: Ready,
    pub(super) parts: Vec<NewRecording>,
    pub(super) lines: Vec<usize>,
}

/// Two pieces that follow one another and yet make no test together.
pub(super) struct Apart {
    /// Their lines, with why.
    pub(super) lines: [(usize, String); 2],
    /// What would have to be said first.
    pub(super) ask: Ask,
}

/// Every two pieces that follow one another and together make a test, or why they make none.
pub(super) fn joined(batch: &Batch<'_>, mut pieces: Vec<Piece>) -> Vec<Result<Joined, Apart>> {
    let order = |piece: &Piece| {
        let As { athlete, kind, .. } = &piece.as_test;
        (athlete.0, kind.minutes(), piece.recording.recording.started_at())
    };
    pieces.sort_by_key(order);
    let mut made = Vec::new();
    let mut pieces = pieces.into_iter().peekable();
    while let Some(first) = pieces.next() {
        let Some(second) = pieces.peek() else { break };
        let Some(joined) = make(batch, &first, second) else { continue };
        if joined.is_ok() {
            let _used = pieces.next();
        }
        made.push(joined);
    }
    made
}

/// What a recording joined of two files is known by.
pub(crate) fn hash_of(first: &ContentHash, second: &ContentHash) -> ContentHash {
    ContentHash::of(format!("{first}{second}").as_bytes())
}

/// `None` where two pieces are too far apart, or too short together too.
fn make(batch: &Batch<'_>, first: &Piece, second: &Piece) -> Option<Result<Joined, Apart>> {
    let of = |piece: &Piece| (piece.as_test.athlete, piece.as_test.kind);
    if of(first) != of(second) {
        return None;
    }
    let (one, other) = (&first.recording.recording, &second.recording.recording);
    if !Ran::of(one)?.goes_on_in(Ran::of(other)?) {
        return None;
    }
    let whole = join(one, other)?;
    let measured = match (&first.as_test.measured, &second.as_test.measured) {
        (Some(one), Some(other)) if one != other => {
            let why = "two distances were given; give one, how far both files went together.";
            return Some(Err(apart(first, second, why, Ask::Distance)));
        }
        (one, other) => one.as_ref().or(other.as_ref()).cloned(),
    };
    let as_test = As { measured, ..first.as_test.clone() };
    let assessment = assess_known(&whole, as_test.kind, &batch.known(&as_test)).ok()?;
    let recording = NewRecording {
        content_hash: hash_of(&first.recording.content_hash, &second.recording.content_hash),
        file_name: format!("{} + {}", first.recording.file_name, second.recording.file_name),
        recording: whole,
        ..first.recording.clone()
    };
    if let Some(ask) = asks_how_far(&assessment) {
        let why = "neither holds a distance; type how far both went together, and join them.";
        return Some(Err(apart(first, second, why, ask)));
    }
    Some(match ready(recording, as_test, assessment, first.line) {
        Ok(ready) => Ok(Joined {
            ready,
            parts: vec![first.recording.clone(), second.recording.clone()],
            lines: vec![first.line, second.line],
        }),
        // perhaps another test is meant
        Err(why) => Err(apart(first, second, &why, Ask::Kind)),
    })
}

fn apart(first: &Piece, second: &Piece, why: &str, ask: Ask) -> Apart {
    let said = |piece: &Piece, other: &Piece| {
        (
            piece.line,
            format!("too short on its own; together with {}: {why}", other.recording.file_name),
        )
    };
    Apart { lines: [said(first, second), said(second, first)], ask }
}
