//! The window through its real update and view, without a display.

mod hands;
mod journeys;
mod pictures;
mod stage;
mod table;
