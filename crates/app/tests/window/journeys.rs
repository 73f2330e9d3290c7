//! Whole ways through the window, asserted on what stands on screen.

use crate::stage::Stage;

#[test]
fn the_demo_squad_opens_on_its_ledger() {
    let stage = Stage::demo();
    stage.assert_shows("Eight of fourteen need you this week");
    stage.assert_shows("Oskar Lindqvist-Vale");
}
