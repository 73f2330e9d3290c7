//! The window through its real update and view, without a display.

mod athlete;
mod journeys;
mod pictures;
mod stage;
