//! A paper as it will print, and where it goes.

use std::path::PathBuf;
use std::sync::Arc;

use iced::widget::{center, container, image, row};
use iced::{Alignment, Element, Fill};
use pacewright_desk::Problem;
use pacewright_desk::files::{documents_folder, write_whole};
use pacewright_sheets::Preview;
use pacewright_sheets::ink::Role;

use crate::window::action::Outcome;
use crate::window::dialogs::Dialogs;
use crate::window::ink::Ink;
use crate::window::parts::{act, field, main_act, small};

/// Where a paper usually goes: the person's documents, else where the program was started.
pub(super) fn usual_path(name: &str) -> String {
    documents_folder().join(name).display().to_string()
}

/// A picture for the screen.
pub(super) fn picture(preview: &Preview) -> image::Handle {
    image::Handle::from_rgba(preview.width, preview.height, preview.rgba.clone())
}

/// A page as it will print, within a thin line.
pub(super) fn sheet<'a, M: 'a>(picture: &image::Handle, ink: Ink) -> Element<'a, M> {
    let sheet = image(picture.clone()).content_fit(iced::ContentFit::Contain);
    let sheet = container(sheet).padding(1).style(move |_| container::Style {
        border: iced::Border { color: ink.of(Role::Rule), width: 1.0, radius: 0.0.into() },
        ..container::Style::default()
    });
    center(sheet).into()
}

/// From page to page, beneath the middle of the page, where there are more than one.
pub(super) fn pages<'a, M: Clone + 'a>(
    here: usize,
    last: usize,
    turned: fn(usize) -> M,
    ink: Ink,
) -> Element<'a, M> {
    if last < 2 {
        return row![].into();
    }
    let to = |words, page: usize, may: bool| {
        act(words, "", ink).on_press_maybe(may.then(|| turned(page)))
    };
    let pages = row![
        to("Previous", here.saturating_sub(1), here > 1),
        small(format!("page {here} of {last}"), ink),
        to("Next", here + 1, here < last),
    ];
    container(pages.spacing(10).align_y(Alignment::Center)).center_x(Fill).into()
}

/// Where to save, across the whole page so that the file's name is seen, and the two ways to do it,
/// where there is something to save.
pub(super) fn save_line<'a, M: Clone + 'a>(
    id: &'static str,
    path: &str,
    is_ready: bool,
    (typed, save, open): (fn(String) -> M, M, M),
    ink: Ink,
) -> Element<'a, M> {
    let first = if is_ready { main_act } else { act };
    row![
        container(field(id, "Where to save", path, None, ink, typed)).width(Fill),
        first("Save", "S", ink).on_press_maybe(is_ready.then_some(save)),
        act("Save and open", "O", ink).on_press_maybe(is_ready.then_some(open)),
    ]
    .spacing(10)
    .align_y(Alignment::Center)
    .into()
}

/// What is said once it was saved, or not.
pub(super) fn saved(outcome: Result<PathBuf, Problem>) -> Outcome {
    match outcome {
        Ok(path) => Outcome::Said(format!("Saved as {}. Print at 100 %.", path.display())),
        Err(problem) => Outcome::Failed(problem),
    }
}

/// Writes a PDF, and opens it in the desktop's viewer where one is given.
///
/// # Errors
/// No place was named, it cannot be written, or there is no viewer.
pub(super) fn save(
    path: PathBuf,
    pdf: &[u8],
    viewer: Option<Arc<dyn Dialogs>>,
    (paper, is): (&str, &str),
) -> Result<PathBuf, Problem> {
    if path.as_os_str().is_empty() {
        return Err(Problem::new(format!("Name the file to save the {paper} to.")));
    }
    write_whole(&path, pdf)?;
    if viewer.is_some_and(|viewer| !viewer.view(&path)) {
        return Err(Problem::new(format!(
            "The {paper} {is} saved as {}, but no program to show a PDF was found; open it by hand.",
            path.display()
        )));
    }
    Ok(path)
}
