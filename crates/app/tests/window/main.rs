//! The window through its real update and view, without a display.

#[cfg(test)]
mod athlete;
#[cfg(test)]
mod athlete_screens;
#[cfg(test)]
mod beside;
#[cfg(test)]
mod calendar;
#[cfg(test)]
mod drawn;
#[cfg(test)]
mod hands;
#[cfg(test)]
mod journeys;
#[cfg(test)]
mod keys;
#[cfg(test)]
mod laid;
#[cfg(test)]
mod measured;
#[cfg(test)]
mod recorded;
#[cfg(test)]
mod recorded_pictures;
#[cfg(test)]
mod runs;
#[cfg(test)]
mod screens;
#[cfg(test)]
mod splits;
#[cfg(test)]
mod stage;
#[cfg(test)]
mod table;
