//! The window through its real update and view, without a display.

mod journeys;
mod pictures;
mod stage;
