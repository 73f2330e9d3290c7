//! The window through its real update and view, without a display.

mod athlete;
mod beside;
mod drawn;
mod hands;
mod journeys;
mod recorded;
mod recorded_pictures;
mod runs;
mod screens;
mod stage;
mod table;
