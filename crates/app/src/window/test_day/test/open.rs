//! An open test: where its edges stand, what that makes of it, and its page.

use std::sync::Arc;

use iced::widget::{Row, column, container, responsive, row, scrollable, text};
use iced::{Element, Fill, FillPortion, Size, Task};
use pacewright_core::effort::Edge;
use pacewright_core::format;
use pacewright_core::ids::TestId;
use pacewright_core::remark::{BearsOn, Remark, Severity, Use, worst};
use pacewright_core::test::{Decision, Test};
use pacewright_core::units::Seconds;
use pacewright_core::words;
use pacewright_desk::Problem;
use pacewright_desk::decide::{Choice, Decided, decide};
use pacewright_desk::trace::{Consequence, Judged, Opened, Recorded, consequence};
use pacewright_sheets::ink::Role;
use pacewright_sheets::trace::Numbered;

use super::answers::Answer;
use super::measured::Entry;
use super::{BODY_OF_PAGE, Message, answers, change, effort, trace, waiting_ids};
use crate::window::ink::{BODY, STRONG, TITLE};
use crate::window::parts::{page, small, wrong};
use crate::window::shared::Shared;
use crate::window::work::off_thread;

/// From this width on, px, the effort and what it changes stand side by side.
const SIDE_BY_SIDE: f32 = 860.0;

#[derive(Debug)]
pub(super) struct Open {
    pub(super) opened: Arc<Opened>,
    /// The effort where its edges stand; `None` for a typed result.
    pub(super) judged: Option<Judged>,
    /// Remarks that have a place, for the trace.
    pub(super) numbered: Vec<Numbered>,
    pub(super) consequence: Consequence,
    pub(super) answer: Answer,
    pub(super) entry: Entry,
    pub(super) unfolded: bool,
    /// It may stand otherwise in the library, and is to be read again.
    pub(super) stale: bool,
    /// Grows whenever the trace looks different.
    pub(super) revision: u64,
}

impl Open {
    pub(super) fn new(opened: Arc<Opened>, shared: &Shared) -> Result<Self, Problem> {
        let judged = opened.recorded.as_ref().map(|recorded| recorded.kept.clone());
        let test = test_as_judged(&opened, judged.as_ref());
        let consequence =
            consequence(shared.book.of_id(opened.test.athlete)?, &test, &shared.now());
        Ok(Self {
            numbered: numbered(judged.as_ref()),
            judged,
            consequence,
            answer: Answer::default(),
            entry: Entry::default(),
            unfolded: false,
            stale: false,
            revision: 0,
            opened,
        })
    }

    pub(super) fn recorded(&self) -> Option<&Recorded> {
        self.opened.recorded.as_ref()
    }

    /// The test as it would be kept now.
    pub(super) fn test(&self) -> Test {
        test_as_judged(&self.opened, self.judged.as_ref())
    }

    pub(super) fn good_for(&self) -> Use {
        let by_itself = self.judged.as_ref().map_or(Use::Usable, |judged| judged.good_for);
        if by_itself == Use::Usable && !self.consequence.doubts.is_empty() {
            return Use::Doubtful;
        }
        by_itself
    }

    pub(super) fn remarks(&self) -> &[Remark] {
        self.judged.as_ref().map(|judged| judged.remarks.as_slice()).unwrap_or_default()
    }

    /// Whether the edges stand elsewhere than where they were found.
    pub(super) fn is_moved(&self) -> bool {
        match (self.recorded(), &self.judged) {
            (Some(recorded), Some(judged)) => recorded.found.effort.span != judged.effort.span,
            _ => false,
        }
    }

    pub(super) fn edge_by(&mut self, edge: Edge, seconds: f64, shared: &Shared) {
        let Some(span) = self.judged.as_ref().map(|judged| judged.effort.span) else { return };
        let stands = match edge {
            Edge::Start => span.from,
            Edge::End => span.to,
        };
        if let Ok(to) = Seconds::from_s((stands.s() + seconds).max(0.0)) {
            self.edge_to(edge, to, shared);
        }
    }

    pub(super) fn edge_to(&mut self, edge: Edge, to: Seconds, shared: &Shared) {
        if self.entry.is_busy() {
            return;
        }
        let (Some(recorded), Some(judged)) = (self.recorded(), &self.judged) else { return };
        let span = judged.effort.span;
        let Some(moved) = recorded.moved(span, edge, to).filter(|moved| *moved != span) else {
            return;
        };
        // an edge only ever goes where the effort can still be judged
        if let Ok(judged) = recorded.judge_at(moved) {
            self.stand_on(judged, shared);
        }
    }

    pub(super) fn back_to_found(&mut self, shared: &Shared) {
        if self.entry.is_busy() {
            return;
        }
        if let Some(found) = self.recorded().map(|recorded| recorded.found.clone()) {
            self.stand_on(found, shared);
        }
    }

    fn stand_on(&mut self, judged: Judged, shared: &Shared) {
        self.judged = Some(judged);
        self.numbered = numbered(self.judged.as_ref());
        self.revision += 1;
        self.follow(shared);
    }

    /// Works out anew what would change.
    pub(super) fn follow(&mut self, shared: &Shared) {
        let test = self.test();
        if let Ok(page) = shared.book.of_id(test.athlete) {
            self.consequence = consequence(page, &test, &shared.now());
        }
    }

    /// The answer that is framed: inside the error the zones are better kept; a test that should not
    /// have been run, whose pace is doubtful, or that the others contradict or do not explain, is
    /// better looked into than followed, so Enter puts no zones in force by it.
    pub(super) fn framed(&self) -> Choice {
        let better_not = self.good_for() == Use::Unusable
            || !self.consequence.doubts.is_empty()
            || self.consequence.is_off_its_trend()
            || self.is_pace_doubtful();
        if better_not { Choice::SetAside } else { self.consequence.first_choice }
    }

    /// Whether a remark asks to look at the effort's pace first: new zones would be run by it.
    fn is_pace_doubtful(&self) -> bool {
        worst(self.remarks(), BearsOn::Speed) > Some(Severity::Note)
    }

    /// Decides, or opens the field for the reason that is needed first (`None`).
    pub(super) fn answer(&mut self, choice: Choice, shared: &Shared) -> Option<Task<Message>> {
        let needed = choice == Choice::SetAside
            || self.good_for() != Use::Usable
            || self.consequence.is_off_its_trend();
        let reason = self.answer.give(choice, needed)?;
        let test = self.test();
        let name = athlete_name(&test, shared).to_owned();
        let (id, kind) = (test.id, test.kind);
        let decided = Decided { test, choice, reason, good_for: self.good_for() };
        let (desk, book, now) = (Arc::clone(&shared.desk), Arc::clone(&shared.book), shared.now());
        Some(off_thread(
            move || {
                let outcomes = decide(&desk, &book, vec![decided], &now)?;
                Ok(answers::done(choice, &name, kind, outcomes.first()))
            },
            move |outcome| Message::Decided(id, outcome),
        ))
    }

    pub(super) fn view<'a>(&'a self, id: TestId, shared: &'a Shared) -> Element<'a, Message> {
        page(responsive(move |size| self.sized(size, id, shared)))
    }

    fn sized<'a>(&'a self, size: Size, id: TestId, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let wide = size.width >= SIDE_BY_SIDE;
        let room = size.width - 14.0;
        let facts: Element<'_, Message> = if wide {
            let change = change::view(self, (room - 34.0) * 0.64, shared);
            row![
                container(effort::view(self, shared)).width(FillPortion(36)),
                container(change).width(FillPortion(64)),
            ]
            .spacing(34)
            .into()
        } else {
            column![effort::view(self, shared), change::view(self, room, shared)].spacing(22).into()
        };
        let height = (size.height * 0.36).clamp(170.0, 380.0).round();
        let content = column![self.head(id, shared), trace::view(self, height, shared), facts,]
            .spacing(12)
            .padding(iced::Padding::ZERO.right(14).bottom(10));
        column![
            scrollable(content)
                .id(BODY_OF_PAGE)
                .height(Fill)
                .style(move |theme, status| ink.scroll(theme, status)),
            answers::view(self, shared),
        ]
        .into()
    }

    fn head<'a>(&'a self, id: TestId, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        let test = &self.opened.test;
        let title = format!("{}, {}", athlete_name(test, shared), words::test(test.kind));
        let waiting = waiting_ids(shared);
        let place = waiting.iter().position(|w| *w == id).map_or_else(
            || decision(&test.decision),
            |place| match waiting.len() {
                1 => "the only one that waits".to_owned(),
                all => format!("{} of {all} that wait   \u{2190} \u{2192}", place + 1),
            },
        );
        let mut about = vec![format::day(test.on)];
        match self.recorded() {
            Some(recorded) => about.push(recorded.file_name.clone()),
            None => about.push("typed in".to_owned()),
        }
        // a line breaks between two hints, never within one
        let keys: &[&str] = match self.recorded() {
            Some(_) => &["Left edge  [ ]", "right edge  , .", "ten seconds with Shift"],
            None => &[],
        };
        let keys = Row::with_children(keys.iter().map(|hint| small(*hint, ink))).spacing(13);
        let breaks = text::Wrapping::WordOrGlyph;
        // up here it is read before anything is confirmed, however small the window is
        let doubts = self.consequence.doubts.iter().map(|doubt| wrong(doubt.as_str(), ink));
        column![
            row![
                text(title).size(TITLE).font(STRONG).wrapping(breaks).width(Fill),
                small(place, ink),
            ]
            .spacing(16)
            .align_y(iced::Alignment::Center),
            row![
                text(about.join(" \u{b7} "))
                    .size(BODY)
                    .color(ink.of(Role::SoftInk))
                    .wrapping(breaks)
                    .width(FillPortion(1)),
                container(keys.wrap().vertical_spacing(1).align_x(iced::Alignment::End))
                    .width(FillPortion(1))
                    .align_right(Fill),
            ]
            .spacing(16),
        ]
        .extend(doubts)
        .spacing(2)
        .into()
    }
}

/// What was decided before, in a few words.
fn decision(decision: &Decision) -> String {
    let (what, why) = match decision {
        Decision::ToConfirm => ("to confirm", None),
        Decision::Accepted { reason } => ("decided: zones stand on it", reason.as_ref()),
        Decision::Renewed { reason } => ("decided: zones kept, date renewed", reason.as_ref()),
        Decision::SetAside { reason } => ("decided: set aside", Some(reason)),
    };
    why.map_or_else(|| what.to_owned(), |why| format!("{what} (\u{201c}{why}\u{201d})"))
}

pub(super) fn athlete_name<'a>(test: &Test, shared: &'a Shared) -> &'a str {
    shared.book.of_id(test.athlete).map_or("", |page| page.athlete.name.as_str())
}

fn test_as_judged(opened: &Opened, judged: Option<&Judged>) -> Test {
    judged.map_or_else(|| opened.test.clone(), |judged| opened.with_effort(judged))
}

fn numbered(judged: Option<&Judged>) -> Vec<Numbered> {
    let remarks = judged.map(|judged| judged.remarks.as_slice()).unwrap_or_default();
    remarks
        .iter()
        .enumerate()
        .filter_map(|(index, remark)| {
            let look = remark.severity > Severity::Note;
            Some(Numbered { number: index + 1, span: remark.span?, look })
        })
        .collect()
}
