//! What is changed from an athlete's page: each through the desk, off the window's thread.

use std::sync::Arc;

use iced::widget::operation;
use pacewright_core::ids::{AthleteId, CalibrationId, TestId};
use pacewright_desk::{Desk, Now, Problem, decide, papers, people, plan, schedule, schemes};

use super::{AthleteScreen, Message, calendar, evidence, focus, form, scheme};
use crate::window::action::{Action, Outcome};
use crate::window::dialogs::Dialogs;
use crate::window::shared::Shared;
use crate::window::work::off_thread;

/// Does something to the library and says it in words.
fn change(
    shared: &Shared,
    words: impl Into<String>,
    job: impl FnOnce(&Desk, &Now) -> Result<(), Problem> + Send + 'static,
) -> Action<Message> {
    let (desk, now, words) = (Arc::clone(&shared.desk), shared.now(), words.into());
    Action::run(off_thread(move || job(&desk, &now).map(|()| words), Message::Changed))
}

impl AthleteScreen {
    pub(super) fn edit(&mut self, shared: &Shared) -> Action<Message> {
        let Some(page) = self.page(shared) else { return Action::none() };
        self.form = Some(Box::new(form::EditForm::of(&page.athlete, &shared.book.squads)));
        Action::run(operation::focus(form::FIRST))
    }

    pub(super) fn form_message(
        &mut self,
        message: form::Message,
        shared: &Shared,
    ) -> Action<Message> {
        let before = self.page(shared).map(|page| page.athlete.clone());
        let Some(form) = &mut self.form else { return Action::none() };
        match form.update(message, before.as_ref(), shared) {
            form::Next::Here => Action::none(),
            form::Next::Focus(field) => Action::run(operation::focus(field)),
            form::Next::Cancel => self.back(),
            form::Next::Save(draft) => {
                let (desk, now, who) = (Arc::clone(&shared.desk), shared.now(), self.who);
                let save = move || people::put_athlete(&desk, who, *draft, &now);
                Action::run(off_thread(save, Message::Saved))
            }
            form::Next::Remove => {
                let Some(athlete) = before else { return Action::none() };
                let words = format!("{} was removed, with all that is theirs.", athlete.name);
                change(shared, words, move |desk, now| people::remove_athlete(desk, &athlete, now))
            }
        }
    }

    pub(super) fn saved(&mut self, who: AthleteId) -> Action<Message> {
        let name = self.form.take().map(|form| form.name()).unwrap_or_default();
        let words = match self.who.replace(who) {
            Some(_) => format!("The facts about {name} were changed."),
            None => format!("{name} was added."),
        };
        Action::say(Outcome::Changed(words))
    }

    pub(super) fn remove_test(&mut self, test: TestId, shared: &Shared) -> Action<Message> {
        let found = self.page(shared).and_then(|page| page.tests.iter().find(|t| t.id == test));
        let Some(test) = found.cloned() else { return Action::none() };
        let words = "The test was removed; zones confirmed on it stay until new ones are.";
        change(shared, words, move |desk, now| people::remove_test(desk, &test, now))
    }

    pub(super) fn calendar_message(
        &mut self,
        message: calendar::Message,
        shared: &Shared,
    ) -> Action<Message> {
        let Some(page) = self.page(shared).cloned() else { return Action::none() };
        match self.calendar.update(message, &page, shared) {
            calendar::Next::Here => Action::none(),
            calendar::Next::Focus(field) => focus(field),
            calendar::Next::Book(booking) => {
                change(shared, "The test was booked.", move |desk, now| {
                    schedule::enter(desk, vec![booking], Vec::new(), now)
                })
            }
            calendar::Next::Note(span) => {
                change(shared, "The span away was noted.", move |desk, now| {
                    schedule::enter(desk, Vec::new(), vec![span], now)
                })
            }
            calendar::Next::Change(away) => {
                change(shared, "The span away was changed.", move |desk, now| {
                    people::change_away(desk, away, now)
                })
            }
            calendar::Next::Cancel(booking) => {
                change(shared, "The booking was cancelled.", move |desk, now| {
                    plan::cancel(desk, &booking, now).map(|_words| ())
                })
            }
            calendar::Next::Remove(away) => {
                change(shared, "The span away was removed.", move |desk, now| {
                    people::remove_away(desk, &away, now)
                })
            }
        }
    }

    pub(super) fn beside_message(
        &mut self,
        message: evidence::Message,
        shared: &Shared,
    ) -> Action<Message> {
        let Some(page) = self.page(shared).cloned() else { return Action::none() };
        let (desk, now) = (Arc::clone(&shared.desk), shared.now());
        match self.beside.update(message, &page, shared) {
            evidence::Next::Here => Action::none(),
            evidence::Next::Focus(field) => focus(field),
            evidence::Next::Keep(fact) => {
                let keep = move || people::keep_evidence(&desk, fact, &now);
                Action::run(off_thread(keep, Message::Changed))
            }
            evidence::Next::KeepForDay(noted) => {
                let keep = move || people::keep_conditions_of_day(&desk, &noted, &now);
                Action::run(off_thread(keep, Message::Changed))
            }
            evidence::Next::Remove(fact) => {
                let remove = move || people::remove_evidence(&desk, &fact, &now);
                Action::run(off_thread(remove, Message::Changed))
            }
        }
    }

    pub(super) fn scheme_message(
        &mut self,
        message: scheme::Message,
        shared: &Shared,
    ) -> Action<Message> {
        match self.scheme.update(message, shared) {
            scheme::Next::Here => Action::none(),
            scheme::Next::Choose(whose, name) => {
                change(shared, "The zone scheme was chosen.", move |desk, now| {
                    schemes::choose_scheme(desk, whose, name.as_deref(), now)
                })
            }
            scheme::Next::Write(name, text) => {
                change(shared, format!("{name} was written down."), move |desk, now| {
                    schemes::put_scheme(desk, &name, &text, now)
                })
            }
            scheme::Next::Remove(name) => {
                change(shared, format!("{name} was removed."), move |desk, now| {
                    schemes::remove_scheme(desk, &name, now)
                })
            }
        }
    }

    /// Puts the offered zones in force.
    pub(super) fn take_offer(&self, shared: &Shared) -> Action<Message> {
        let Some(page) = self.page(shared).cloned() else { return Action::none() };
        let words =
            format!("New zones of {} are in force; the card can be printed.", page.athlete.name);
        change(shared, words, move |desk, now| {
            decide::take_offered(desk, &page, now).map(|_zones| ())
        })
    }

    /// The card of zones that were replaced, in the viewer.
    pub(super) fn open_card(&self, wanted: CalibrationId, shared: &Shared) -> Action<Message> {
        let Some(page) = self.page(shared).cloned() else { return Action::none() };
        let (units, now, viewer) = (shared.units(), shared.now(), Arc::clone(&shared.dialogs));
        let job = move || {
            let found = page.calibrations.iter().find(|one| one.id == wanted);
            let calibration = found
                .ok_or_else(|| Problem::new("Those zones are not in the library any more."))?;
            let pdf = papers::card_of(&page, calibration, units, &now)?;
            show(&pdf, &format!("zones-from-{}.pdf", calibration.from), &*viewer)
        };
        Action::run(off_thread(job, Message::OldCardOpened))
    }
}

/// Writes a document into the system's folder for passing things and opens it in the viewer.
fn show(pdf: &[u8], name: &str, viewer: &dyn Dialogs) -> Result<String, Problem> {
    let path = std::env::temp_dir().join(name);
    std::fs::write(&path, pdf).map_err(|error| {
        Problem::new(format!("{}: the card could not be written ({error}).", path.display()))
    })?;
    if !viewer.view(&path) {
        let place = path.display();
        return Err(Problem::new(format!("No viewer opened; the card stands in {place}.")));
    }
    Ok(format!("The card opens in your viewer; it stands in {}.", path.display()))
}
