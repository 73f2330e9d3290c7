//! A test that stands in two files, because the watch was stopped and started again.

use pacewright_core::assess::assess_known;
use pacewright_core::recording::joined as join;
use pacewright_store::{ContentHash, NewRecording};

use super::batch::{As, Batch, Ready, ready};

/// Recordings further apart than this (minutes) are no one test (judgement).
const LONGEST_GAP_MINUTES: i64 = 15;

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

/// Every two pieces that follow one another and together make a test.
pub(super) fn joined(batch: &Batch<'_>, mut pieces: Vec<Piece>) -> Vec<Joined> {
    let order = |piece: &Piece| {
        let As { athlete, kind, .. } = &piece.as_test;
        (athlete.0, kind.minutes(), piece.recording.recording.started_at())
    };
    pieces.sort_by_key(order);
    let mut made = Vec::new();
    let mut pieces = pieces.into_iter().peekable();
    while let Some(first) = pieces.next() {
        let Some(second) = pieces.peek() else { break };
        if let Some(joined) = make(batch, &first, second) {
            made.push(joined);
            let _used = pieces.next();
        }
    }
    made
}

fn make(batch: &Batch<'_>, first: &Piece, second: &Piece) -> Option<Joined> {
    let of = |piece: &Piece| (piece.as_test.athlete, piece.as_test.kind);
    if of(first) != of(second) {
        return None;
    }
    let (one, other) = (&first.recording.recording, &second.recording.recording);
    let apart = other.started_at()? - one.started_at()?;
    #[expect(clippy::cast_possible_truncation, reason = "under the length of a test")]
    let gap_s = apart.num_seconds() - one.duration().s() as i64;
    if gap_s > 60 * LONGEST_GAP_MINUTES {
        return None;
    }
    let whole = join(one, other)?;
    let known = batch.known(&first.as_test);
    let assessment = assess_known(&whole, first.as_test.kind, &known).ok()?;
    let hashes = format!("{}{}", first.recording.content_hash, second.recording.content_hash);
    let recording = NewRecording {
        content_hash: ContentHash::of(hashes.as_bytes()),
        file_name: format!("{} + {}", first.recording.file_name, second.recording.file_name),
        recording: whole,
        ..first.recording.clone()
    };
    Some(Joined {
        ready: ready(recording, first.as_test.clone(), assessment, first.line).ok()?,
        parts: vec![first.recording.clone(), second.recording.clone()],
        lines: vec![first.line, second.line],
    })
}
