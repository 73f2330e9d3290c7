//! The program as a process: what it prints, what it writes, how it ends; whatever it is given.

#[cfg(test)]
mod evidence;
#[cfg(test)]
mod files;
#[cfg(test)]
mod interrupted;
#[cfg(test)]
mod keeping;
#[cfg(test)]
mod numbers;
#[cfg(test)]
mod papers;
#[cfg(test)]
mod plans;
#[cfg(test)]
mod program;
#[cfg(test)]
mod recordings;
#[cfg(test)]
mod rosters;
#[cfg(test)]
mod shape;
