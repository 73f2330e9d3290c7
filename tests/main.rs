//! The checks of the whole program, one module each.

#[cfg(test)]
mod beside;
#[cfg(test)]
mod calendar_readers;
#[cfg(test)]
mod fastest;
#[cfg(test)]
mod flipped_bytes;
#[cfg(test)]
mod hostile;
#[cfg(test)]
mod journeys;
#[cfg(test)]
mod library_rules;
#[cfg(test)]
mod made_faults;
#[cfg(test)]
mod measured;
#[cfg(test)]
mod offered;
#[cfg(test)]
mod physiology_properties;
#[cfg(test)]
mod physiology_table;
#[cfg(test)]
mod planner;
#[cfg(test)]
mod planner_study;
#[cfg(test)]
mod plans_kept;
#[cfg(test)]
mod printed;
#[cfg(test)]
mod private;
#[cfg(test)]
mod recordings;
#[cfg(test)]
mod second_look;
#[cfg(test)]
mod squad;
#[cfg(test)]
mod test_day;
#[cfg(test)]
mod tidy;
#[cfg(test)]
mod trend_reference;
#[cfg(test)]
mod what_counts;
#[cfg(test)]
mod worked_athletes;
