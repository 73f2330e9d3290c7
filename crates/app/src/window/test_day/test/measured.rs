//! How far the effort went, as somebody measured it: typed here, it overrides the recording.

use std::sync::Arc;

use iced::widget::{Column, Row, column};
use iced::{Alignment, Element, Task};
use pacewright_core::course::Course;
use pacewright_core::words;
use pacewright_desk::Problem;
use pacewright_desk::measured::{measure, measured_as, name_course};

use super::Message;
use super::open::Open;
use crate::window::parts::{act, field_with_enter, link, small};
use crate::window::shared::Shared;
use crate::window::work::off_thread;

const DISTANCE: &str = "measured distance";
const COURSE: &str = "course to name";

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

    /// The distance was taken, or not: then the field stays as it was typed.
    pub(super) fn done(&mut self, outcome: &Result<String, Problem>) {
        self.busy = false;
        match outcome {
            Ok(_) => self.text.clear(),
            Err(problem) => self.wrong = Some(problem.to_string()),
        }
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

/// Takes the distance as typed (`true`), or goes back to the recording's own.
pub(super) fn enter(open: &mut Open, typed: bool, shared: &Shared) -> Option<Task<Message>> {
    let typed_text = open.entry.text.trim().to_owned();
    if open.entry.busy || (typed && typed_text.is_empty()) {
        return None;
    }
    open.entry.busy = true;
    let test = open.opened.test.id;
    let (desk, now, units) = (Arc::clone(&shared.desk), shared.now(), shared.units());
    let job = move || {
        let measured = if typed { Some(measured_as(&desk, &typed_text)?) } else { None };
        let said = measured.as_ref().map_or_else(
            || "The distance is the recording\u{2019}s own again.".to_owned(),
            |measured| format!("The distance is {} now.", words::measured(measured, units)),
        );
        let _test = measure(&desk, test, measured, &now)?;
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
    let measured = open.recorded().and_then(|recorded| recorded.measured());
    let head = measured.map_or_else(
        || "Was it measured? Laps, a distance or a treadmill override the recording".to_owned(),
        |measured| format!("Measured: {}", words::measured(measured, shared.units())),
    );
    let asked = "13 laps 200 in lane 1, 5400 m, treadmill 14.5 km/h 1 %";
    let wrong = entry.wrong.as_deref();
    let typed = Message::MeasuredTyped;
    let field =
        field_with_enter(DISTANCE, asked, &entry.text, wrong, ink, typed, Message::MeasuredGiven);
    let mut acts: Vec<Element<'_, Message>> =
        vec![act("Use this distance", "", ink).on_press(Message::MeasuredGiven).into()];
    if measured.is_some() {
        let back = link("Back to the recording\u{2019}s own", ink);
        acts.push(back.on_press(Message::MeasuredDropped).into());
    }
    if !entry.naming {
        acts.push(link("Name a course", ink).on_press(Message::CourseWanted).into());
    }
    let acts = Row::with_children(acts).spacing(14).align_y(Alignment::Center);
    let mut page: Column<'_, Message> =
        column![small(head, ink), field, acts.wrap().vertical_spacing(6)].spacing(6);
    if entry.naming {
        let asked = "River loop, 850 m, trail, 0.5 %";
        let wrong = entry.wrong_course.as_deref();
        let typed = Message::CourseTyped;
        let given = Message::CourseGiven;
        let field = field_with_enter(COURSE, asked, &entry.course, wrong, ink, typed, given);
        page = page.push(field);
        page = page.push(act("Name it", "", ink).on_press(Message::CourseGiven));
    }
    let renewed = |old: &&Course| !entry.named.iter().any(|new| new.name == old.name);
    let known = open.opened.courses.iter().filter(renewed).chain(&entry.named);
    let known: Vec<String> = known.map(words::course).collect();
    if !known.is_empty() {
        page = page.push(small(format!("Courses you named: {}", known.join("; ")), ink));
    }
    page.padding([10, 0]).into()
}
