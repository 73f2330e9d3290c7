//! Every screen as a picture, to be looked at. They are written where `PACEWRIGHT_PICTURES` names a
//! folder; without it each is still drawn, so that a screen that cannot be drawn fails.

use crate::stage::Stage;

#[test]
fn squad() {
    let mut stage = Stage::demo();
    stage.picture("squad");
    stage.click("Settings");
    stage.picture("settings");
    stage.letter("?");
    stage.picture("keys");
}
