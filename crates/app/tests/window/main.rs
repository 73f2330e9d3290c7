//! The window through its real update and view, without a display.

mod athlete;
mod beside;
mod hands;
mod journeys;
mod pictures;
mod recorded;
mod recorded_pictures;
mod runs;
mod stage;
mod table;
