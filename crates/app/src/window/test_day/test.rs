//! One recorded test: the trace, the effort with its two edges, what would change, the three answers.

mod answers;
mod change;
mod effort;
mod measured;
mod open;
mod trace;

use std::sync::Arc;

use iced::widget::operation;
use iced::{Element, Task, widget::column, widget::scrollable};
use pacewright_core::course::Course;
use pacewright_core::effort::Edge;
use pacewright_core::ids::TestId;
use pacewright_core::test::Test;
use pacewright_core::units::Seconds;
use pacewright_core::words;
use pacewright_desk::Problem;
use pacewright_desk::decide::Choice;
use pacewright_desk::trace::{self as desk_trace, Opened};
use pacewright_desk::waiting::waiting;

use crate::window::action::{Action, Outcome};
use crate::window::keys::Shortcut;
use crate::window::parts::{act, page, soft, wrong};
use crate::window::shared::Shared;
use crate::window::work::off_thread;
use measured::Given;
use open::Open;

const REASON: &str = "test reason";
const BODY_OF_PAGE: &str = "test page";

/// The view's state.
#[derive(Debug)]
pub(in crate::window) struct TestScreen {
    id: TestId,
    stage: Stage,
}

#[derive(Debug)]
enum Stage {
    /// The recording is being read.
    Opening,
    /// It cannot be looked at.
    Failed(String),
    /// At work.
    Open(Box<Open>),
}

/// What happens here.
#[derive(Debug, Clone)]
pub enum Message {
    /// The test and its recording were read.
    Opened(TestId, Result<Arc<Opened>, Problem>),
    /// An edge was dragged to a time.
    EdgeMoved(Edge, Seconds),
    /// The effort as it was found is wanted back.
    BackToFound,
    /// An answer was given.
    Chosen(Choice),
    /// The reason was typed at.
    ReasonTyped(String),
    /// Enter in the reason.
    ReasonGiven,
    /// The answer that waits for its reason was given up.
    AnswerDropped,
    /// All remarks, or the worst three.
    RemarksFolded,
    /// It was decided, or could not be.
    Decided(TestId, Result<String, Problem>),
    /// The measured distance was typed at.
    MeasuredTyped(String),
    /// A distance is to be used.
    MeasuredGiven(Given),
    /// Laps of a course that was named are to be counted.
    CoursePicked(String),
    /// It was taken, or not.
    Measured(TestId, Result<String, Problem>),
    /// A course is to be named.
    CourseWanted,
    /// It was typed at.
    CourseTyped(String),
    /// It is whole.
    CourseGiven,
    /// It was named, or not.
    CourseNamed(TestId, Result<Course, Problem>),
    /// The next or the one before of the tests that wait.
    Turned(Turn),
    /// Back to the recordings.
    LeavePressed,
}

/// Which way to turn among the tests that wait.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// The one before.
    Back,
    /// The next.
    On,
}

/// Where to go from here.
pub(super) enum Next {
    /// Stay.
    Here(Action<Message>),
    /// To one recorded test.
    Test(TestId),
    /// It is decided: say so, then the next test that waits, or the recordings.
    Decided { words: String, next: Option<TestId> },
    /// Back to the recordings.
    Recordings,
}

impl TestScreen {
    pub(super) fn new(test: TestId, shared: &Shared) -> (Self, Task<Message>) {
        (Self { id: test, stage: Stage::Opening }, read(test, shared))
    }

    pub(super) fn update(&mut self, message: Message, shared: &Shared) -> Next {
        match message {
            Message::Opened(id, outcome) if id == self.id => {
                self.stage = match outcome.and_then(|opened| Open::new(opened, shared)) {
                    Ok(open) => Stage::Open(Box::new(open)),
                    Err(problem) => Stage::Failed(problem.to_string()),
                };
                Next::Here(Action::none())
            }
            Message::Decided(id, outcome) if id == self.id => self.decided(outcome, shared),
            message @ Message::Decided(..) => Next::Here(late(message)),
            Message::MeasuredGiven(given) => self.measure(given, shared),
            Message::CoursePicked(name) => self.pick_course(&name),
            Message::Measured(id, outcome) => Next::Here(self.measured(id, outcome)),
            Message::CourseGiven => self.name_course(shared),
            Message::CourseNamed(id, outcome) => Next::Here(self.course_named(id, outcome)),
            Message::Turned(turn) => self.turn(turn, shared),
            Message::LeavePressed => Next::Recordings,
            Message::Chosen(choice) => self.choose(Some(choice), shared),
            Message::ReasonGiven => self.choose(None, shared),
            message => {
                if let Stage::Open(open) = &mut self.stage {
                    match message {
                        Message::EdgeMoved(edge, to) => open.edge_to(edge, to, shared),
                        Message::BackToFound => open.back_to_found(shared),
                        Message::ReasonTyped(text) => open.answer.typed(text),
                        Message::AnswerDropped => open.answer.drop_it(),
                        Message::MeasuredTyped(text) => open.entry.typed(text),
                        Message::CourseWanted => open.entry.name_one(),
                        Message::CourseTyped(text) => open.entry.course_typed(text),
                        Message::RemarksFolded => open.unfolded = !open.unfolded,
                        // late answers about a test that is no longer shown
                        _ => {}
                    }
                }
                Next::Here(Action::none())
            }
        }
    }

    pub(super) fn pressed(&mut self, shortcut: Shortcut, shared: &Shared) -> Next {
        let Stage::Open(open) = &mut self.stage else {
            return match shortcut {
                Shortcut::Back | Shortcut::Main => Next::Recordings,
                _ => Next::Here(Action::none()),
            };
        };
        let step = |shift: bool| if shift { 10.0 } else { 1.0 };
        match shortcut {
            Shortcut::Letter('[', shift) => open.edge_by(Edge::Start, -step(shift), shared),
            Shortcut::Letter(']', shift) => open.edge_by(Edge::Start, step(shift), shared),
            Shortcut::Letter(',' | '<', shift) => open.edge_by(Edge::End, -step(shift), shared),
            Shortcut::Letter('.' | '>', shift) => open.edge_by(Edge::End, step(shift), shared),
            Shortcut::Letter('b', _) => open.back_to_found(shared),
            Shortcut::Letter('m', _) => open.unfolded = !open.unfolded,
            Shortcut::Letter('u', _) => return self.choose(Some(Choice::NewZones), shared),
            Shortcut::Letter('k', _) => return self.choose(Some(Choice::KeepZones), shared),
            Shortcut::Letter('x', _) => return self.choose(Some(Choice::SetAside), shared),
            Shortcut::Main if open.answer.is_asking() => return self.choose(None, shared),
            Shortcut::Main => {
                let framed = open.framed();
                return self.choose(Some(framed), shared);
            }
            Shortcut::Left => return self.turn(Turn::Back, shared),
            Shortcut::Right => return self.turn(Turn::On, shared),
            Shortcut::Up => return scroll(-80.0),
            Shortcut::Down => return scroll(80.0),
            Shortcut::Back if open.answer.is_asking() => open.answer.drop_it(),
            Shortcut::Back => return Next::Recordings,
            _ => {}
        }
        Next::Here(Action::none())
    }

    /// An answer, or the one that waited for its reason.
    fn choose(&mut self, choice: Option<Choice>, shared: &Shared) -> Next {
        let Stage::Open(open) = &mut self.stage else { return Next::Here(Action::none()) };
        let Some(choice) = choice.or(open.answer.asking()) else {
            return Next::Here(Action::none());
        };
        if let Some(why) = open.entry.in_the_way() {
            return Next::Here(Action::say(Outcome::Said(why.to_owned())));
        }
        if choice == Choice::KeepZones && open.consequence.now.is_none() {
            return Next::Here(Action::say(Outcome::Said(
                "There are no zones in force yet that could be kept.".to_owned(),
            )));
        }
        match open.answer(choice, shared) {
            Some(task) => Next::Here(Action::run(task)),
            None => Next::Here(Action::run(operation::focus(REASON))),
        }
    }

    fn measure(&mut self, given: Given, shared: &Shared) -> Next {
        let Stage::Open(open) = &mut self.stage else { return Next::Here(Action::none()) };
        let task = measured::enter(open, given, shared);
        Next::Here(task.map_or_else(Action::none, Action::run))
    }

    fn measured(&mut self, id: TestId, outcome: Result<String, Problem>) -> Action<Message> {
        match &mut self.stage {
            Stage::Open(open) if id == self.id => {
                open.entry.done(&outcome);
                // what is wrong stands beneath the field
                outcome
                    .map_or_else(|_| Action::none(), |words| Action::say(Outcome::Changed(words)))
            }
            _ => late(Message::Measured(id, outcome)),
        }
    }

    fn pick_course(&mut self, name: &str) -> Next {
        let Stage::Open(open) = &mut self.stage else { return Next::Here(Action::none()) };
        Next::Here(Action::run(open.entry.laps_of(name)))
    }

    fn name_course(&self, shared: &Shared) -> Next {
        match &self.stage {
            Stage::Open(open) => Next::Here(Action::run(measured::name(open, shared))),
            _ => Next::Here(Action::none()),
        }
    }

    fn course_named(&mut self, id: TestId, outcome: Result<Course, Problem>) -> Action<Message> {
        match &mut self.stage {
            Stage::Open(open) if id == self.id => {
                open.entry.named(&outcome);
                outcome.map_or_else(|_| Action::none(), |course| course_said(&course))
            }
            _ => late(Message::CourseNamed(id, outcome)),
        }
    }

    fn decided(&mut self, outcome: Result<String, Problem>, shared: &Shared) -> Next {
        if let Stage::Open(open) = &mut self.stage {
            open.answer.written(outcome.is_ok());
        }
        match outcome {
            Ok(words) => {
                let waiting = waiting_ids(shared);
                let Some(place) = waiting.iter().position(|id| *id == self.id) else {
                    // decided before and decided anew: it stays open, and is read again
                    return Next::Here(Action::say(Outcome::Changed(words)));
                };
                let next = waiting.get(place + 1).or_else(|| waiting.first()).copied();
                Next::Decided { words, next: next.filter(|id| *id != self.id) }
            }
            Err(problem) => Next::Here(Action::say(Outcome::Failed(problem))),
        }
    }

    fn turn(&self, turn: Turn, shared: &Shared) -> Next {
        let waiting = waiting_ids(shared);
        let place = waiting.iter().position(|id| *id == self.id);
        let next = match (turn, place) {
            (_, None) => waiting.first(),
            (Turn::Back, Some(place)) => place.checked_sub(1).and_then(|p| waiting.get(p)),
            (Turn::On, Some(place)) => waiting.get(place + 1),
        };
        next.map_or_else(|| Next::Here(Action::none()), |id| Next::Test(*id))
    }

    /// Something was taken back or done again: what was measured may be another though the test is the
    /// same to the last bit, so it is read again whatever it looks like.
    pub(super) fn taken_back(&mut self) {
        if let Stage::Open(open) = &mut self.stage {
            open.stale = true;
        }
    }

    /// The library changed: what would change is worked out anew, and the test read again where it
    /// is no longer as it was.
    pub(super) fn refresh(&mut self, shared: &Shared) -> Action<Message> {
        let Some(test) = in_book(self.id, shared) else {
            self.stage = Stage::Failed(
                "This test is not in the library any more: what read it was taken back. Redo brings it back."
                    .to_owned(),
            );
            return Action::none();
        };
        match &mut self.stage {
            // what was measured may be new where the test is the same to the last bit
            Stage::Open(open)
                if open.opened.test == *test && !open.entry.is_busy() && !open.stale =>
            {
                open.follow(shared);
                Action::none()
            }
            _ => Action::run(read(self.id, shared)),
        }
    }

    pub(super) fn view<'a>(&'a self, shared: &'a Shared) -> Element<'a, Message> {
        let ink = shared.ink();
        match &self.stage {
            Stage::Opening => page(soft("Opening the recording\u{2026}", ink)),
            Stage::Failed(sentence) => page(
                column![
                    wrong(sentence.as_str(), ink),
                    act("To the recordings", "Esc", ink).on_press(Message::LeavePressed)
                ]
                .spacing(14),
            ),
            Stage::Open(open) => open.view(self.id, shared),
        }
    }
}

/// An answer that comes when another test is shown, or none.
pub(super) fn late(message: Message) -> Action<Message> {
    match message {
        Message::Decided(_, Ok(words)) | Message::Measured(_, Ok(words)) => {
            Action::say(Outcome::Changed(words))
        }
        Message::CourseNamed(_, Ok(course)) => course_said(&course),
        Message::Decided(_, Err(problem))
        | Message::Measured(_, Err(problem))
        | Message::CourseNamed(_, Err(problem)) => Action::say(Outcome::Failed(problem)),
        _ => Action::none(),
    }
}

fn course_said(course: &Course) -> Action<Message> {
    let words = format!("The course is named: {}. Count laps of it.", words::course(course));
    Action::say(Outcome::Changed(words))
}

fn scroll(by: f32) -> Next {
    let offset = scrollable::AbsoluteOffset { x: 0.0, y: by };
    Next::Here(Action::run(operation::scroll_by(BODY_OF_PAGE, offset)))
}

fn read(test: TestId, shared: &Shared) -> Task<Message> {
    let desk = Arc::clone(&shared.desk);
    off_thread(
        move || desk_trace::open(&desk, test).map(Arc::new),
        move |outcome| Message::Opened(test, outcome),
    )
}

fn in_book(test: TestId, shared: &Shared) -> Option<&Test> {
    shared.book.pages.iter().flat_map(|page| &page.tests).find(|t| t.id == test)
}

fn waiting_ids(shared: &Shared) -> Vec<TestId> {
    waiting(&shared.book).iter().map(|w| w.test.id).collect()
}
