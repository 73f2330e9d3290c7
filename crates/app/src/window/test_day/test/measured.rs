//! How far the effort went, as somebody measured it: typed here, it overrides the recording.

use std::sync::Arc;

use iced::widget::{Column, Row, column, operation};
use iced::{Alignment, Element, Task};
use pacewright_core::course::Course;
use pacewright_core::words;
use pacewright_desk::Problem;
use pacewright_desk::measured::{measure, measured_as, name_course};

use super::Message;
use super::open::Open;
use crate::window::ink::Ink;
use crate::window::parts::{act, field_with_enter, link, small, wrong};
use crate::window::shared::Shared;
use crate::window::work::off_thread;

const DISTANCE: &str = "measured distance";
const COURSE: &str = "course to name";

/// What is to be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Given {
    /// What is typed.
    Typed,
    /// What was entered for other edges, for these.
    Here,
    /// The recording's own distance again.
    Own,
}

/// What is being typed.
#[derive(Debug, Default)]
pub(super) struct Entry {
    text: String,
    course: String,
    naming: bool,
    busy: bool,
    wrong: Option<String>,
    wrong_course: Option<String>,
    named: Vec<Course>,
}

impl Entry {
    pub(super) fn typed(&mut self, text: String) {
        (self.text, self.wrong) = (text, None);
    }

    pub(super) fn course_typed(&mut self, text: String) {
        (self.course, self.wrong_course) = (text, None);
    }

    pub(super) fn name_one(&mut self) {
        self.naming = true;
    }

    /// Whether a distance is on its way into the library: until the test is read again, its edges
    /// stay where they were judged.
    pub(super) fn is_busy(&self) -> bool {
        self.busy
    }

    /// Why nothing can be decided yet: what was typed would not count, or the decision would stand on
    /// the distance before.
    pub(super) fn in_the_way(&self) -> Option<&'static str> {
        let naming = self.naming && !self.course.trim().is_empty();
        if !self.text.trim().is_empty() {
            Some(
                "The distance that is typed is not used yet: decide once it is, or empty its field.",
            )
        } else if self.busy {
            Some("The distance is being written: decide once it stands.")
        } else if naming {
            Some(
                "The course that is typed is not named yet: decide once it is, or empty its field.",
            )
        } else {
            None
        }
    }

    /// The distance was taken, or not: then the field stays as it was typed.
    pub(super) fn done(&mut self, outcome: &Result<String, Problem>) {
        match outcome {
            Ok(_) => self.text.clear(),
            Err(problem) => (self.busy, self.wrong) = (false, Some(problem.to_string())),
        }
    }

    /// Writes a course behind the laps that are typed, ready for their number where none is.
    pub(super) fn laps_of(&mut self, course: &str) -> Task<Message> {
        let laps = [" of ", " in lane "]
            .into_iter()
            .fold(self.text.as_str(), |text, end| text.split(end).next().unwrap_or_default())
            .trim()
            .to_owned();
        self.wrong = None;
        let front = laps.is_empty() || laps == "laps";
        self.text = match laps.parse::<f64>() {
            Ok(_) => format!("{laps} laps of {course}"),
            Err(_) if front => format!(" laps of {course}"),
            Err(_) => format!("{laps} of {course}"),
        };
        let focus = operation::focus(DISTANCE);
        if front { focus.chain(operation::move_cursor_to_front(DISTANCE)) } else { focus }
    }

    pub(super) fn named(&mut self, outcome: &Result<Course, Problem>) {
        match outcome {
            Ok(course) => {
                self.named.retain(|known| known.name != course.name);
                self.named.push(course.clone());
                (self.naming, self.course) = (false, String::new());
            }
            Err(problem) => self.wrong_course = Some(problem.to_string()),
        }
    }
}

/// Takes a distance for the effort where its edges stand now, and keeps them with it; not while a
/// decision is being written, which would stand on the distance before.
pub(super) fn enter(open: &mut Open, given: Given, shared: &Shared) -> Option<Task<Message>> {
    let typed = open.entry.text.trim().to_owned();
    if open.entry.busy || open.answer.is_busy() || (given == Given::Typed && typed.is_empty()) {
        return None;
    }
    let effort = open.judged.as_ref()?.effort;
    let before = open.recorded()?.measured().map(|entered| entered.measured.clone());
    open.entry.busy = true;
    let test = open.opened.test.id;
    let (desk, now, units) = (Arc::clone(&shared.desk), shared.now(), shared.units());
    let job = move || {
        let measured = match given {
            Given::Typed => Some(measured_as(&desk, &typed)?),
            Given::Here => before,
            Given::Own => None,
        };
        let said = measured.as_ref().map_or_else(
            || "The distance is the recording\u{2019}s own again.".to_owned(),
            |measured| {
                format!(
                    "Entered: {}, for the edges as they stood.",
                    words::measured(measured, units)
                )
            },
        );
        let at = Some((effort.span, effort.found_by));
        let _test = measure(&desk, test, measured, at, &now)?;
        Ok(format!("{said} The test waits for your decision."))
    };
    Some(off_thread(job, move |outcome| Message::Measured(test, outcome)))
}

/// Names the course that is typed.
pub(super) fn name(open: &Open, shared: &Shared) -> Task<Message> {
    let (desk, now) = (Arc::clone(&shared.desk), shared.now());
    let (course, test) = (open.entry.course.clone(), open.opened.test.id);
    off_thread(
        move || name_course(&desk, &course, &now),
        move |outcome| Message::CourseNamed(test, outcome),
    )
}

/// The field, what it understands, and the courses there are.
pub(super) fn view<'a>(open: &'a Open, shared: &'a Shared) -> Element<'a, Message> {
    let ink = shared.ink();
    let entry = &open.entry;
    let entered = open.recorded().and_then(|recorded| recorded.measured());
    let counts = entered.is_some_and(|entered| {
        open.judged.as_ref().is_none_or(|judged| entered.counts_for(judged.effort.span))
    });
    let head = match entered {
        None => {
            small("Was it measured? Laps, a distance or a treadmill override the recording", ink)
        }
        Some(entered) if counts => {
            let measured = words::measured(&entered.measured, shared.units());
            small(format!("Measured: {measured}"), ink)
        }
        // why, and what to do, stands among the remarks
        Some(entered) => {
            let measured = words::measured(&entered.measured, shared.units());
            wrong(format!("Not counted for these edges: {measured}"), ink)
        }
    };
    let asked = "13 laps 200 in lane 1, 5400 m, treadmill 14.5 km/h 1 %";
    let refused = entry.wrong.as_deref();
    let (typed, given) = (Message::MeasuredTyped, Message::MeasuredGiven(Given::Typed));
    let field = field_with_enter(DISTANCE, asked, &entry.text, refused, ink, typed, given.clone());
    let mut acts: Vec<Element<'_, Message>> =
        vec![act("Use this distance", "", ink).on_press(given).into()];
    if entered.is_some() && !counts {
        let here = act("Count it for these edges", "", ink);
        acts.push(here.on_press(Message::MeasuredGiven(Given::Here)).into());
    }
    if entered.is_some() {
        let back = link("Back to the recording\u{2019}s own", ink);
        acts.push(back.on_press(Message::MeasuredGiven(Given::Own)).into());
    }
    if !entry.naming {
        acts.push(link("Name a course", ink).on_press(Message::CourseWanted).into());
    }
    let acts = Row::with_children(acts).spacing(14).align_y(Alignment::Center);
    let mut page: Column<'_, Message> =
        column![head, field, acts.wrap().vertical_spacing(6)].spacing(6);
    if entry.naming {
        page = page.push(naming(entry, ink));
    }
    courses(page, open, ink).padding([10, 0]).into()
}

/// The field for a new course.
fn naming(entry: &Entry, ink: Ink) -> Element<'_, Message> {
    let asked = "River loop, 850 m, trail, 0.5 %";
    let refused = entry.wrong_course.as_deref();
    let (typed, given) = (Message::CourseTyped, Message::CourseGiven);
    column![
        field_with_enter(COURSE, asked, &entry.course, refused, ink, typed, given.clone()),
        act("Name it", "", ink).on_press(given),
    ]
    .spacing(6)
    .into()
}

/// The courses that were named; each writes itself into the field.
fn courses<'a>(page: Column<'a, Message>, open: &'a Open, ink: Ink) -> Column<'a, Message> {
    let named = &open.entry.named;
    let renewed = |old: &&Course| !named.iter().any(|new| new.name == old.name);
    let known: Vec<&Course> = open.opened.courses.iter().filter(renewed).chain(named).collect();
    if known.is_empty() {
        return page;
    }
    let links = known.into_iter().map(|course| {
        let picked = Message::CoursePicked(course.name.clone());
        link(&words::course(course), ink).on_press(picked).into()
    });
    let links = Row::with_children(links).spacing(14).wrap().vertical_spacing(6);
    page.push(small("Courses you named: press one, and write how many laps", ink)).push(links)
}
