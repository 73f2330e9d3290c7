//! Every screen as a picture, to be looked at. They are written where `PACEWRIGHT_PICTURES` names a
//! folder; without it each is still drawn, so that a screen that cannot be drawn fails.

use iced::Size;

use crate::stage::Stage;

#[test]
fn squad_settings_and_keys() {
    let mut stage = Stage::demo();
    stage.picture("squad");
    stage.click("Settings");
    stage.picture("settings");
    stage.letter("?");
    stage.picture("keys");
    stage.letter("?");
    stage.click("Dark");
    stage.click("Squad");
    stage.picture("squad-dark");
    stage.size = Size::new(1024.0, 700.0);
    stage.picture("squad-small");
}

#[test]
fn cards() {
    let mut stage = Stage::demo();
    stage.click("Cards");
    stage.picture("cards-nobody");
    stage.click("All");
    stage.picture("cards");
    stage.click("Ewan MacAllister");
    stage.assert_shows("13 cards");
    stage.picture("cards-thirteen");
}

#[test]
fn library() {
    let mut stage = Stage::demo();
    stage.click("Library");
    stage.picture("library");
    stage.click("Check every row");
    stage.assert_shows("Every row is as it was written.");
    stage.picture("library-checked");
}

#[test]
fn first_run() {
    let folder = tempfile::tempdir().unwrap();
    let stage = Stage::library(folder.path().join("library"));
    stage.assert_shows("Your squad stands here");
    stage.picture("first-run");
}
