//! The runs as files, to be read like anyone's.

use std::io;
use std::path::{Path, PathBuf};

use pacewright_core::recording::Recording;
use pacewright_recording::{WriteError, write_fit, write_gpx};

use crate::simulate::SimulationError;
use crate::{DemoRun, DemoSquad, FileFormat};

/// Why a run cannot be written as a file.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// It cannot be simulated.
    #[error(transparent)]
    Simulation(#[from] SimulationError),
    /// Its file format cannot hold it.
    #[error(transparent)]
    Format(#[from] WriteError),
    /// The file system refused.
    #[error("{} could not be written ({source}); choose a folder you may write to", path.display())]
    Disk {
        /// Which file.
        path: PathBuf,
        /// What it said.
        source: io::Error,
    },
}

impl DemoRun {
    /// The bytes of its file.
    ///
    /// # Errors
    /// As [`crate::simulate::Run::simulate`]; or the format cannot hold the recording. No run of the
    /// demo does either.
    pub fn file(&self) -> Result<Vec<u8>, FileError> {
        self.format.file_of(&self.recording()?)
    }
}

impl FileFormat {
    /// The bytes of a file of this format that holds a recording.
    ///
    /// # Errors
    /// The format cannot hold it.
    pub fn file_of(self, recording: &Recording) -> Result<Vec<u8>, FileError> {
        Ok(match self {
            Self::Fit => write_fit(recording)?,
            Self::Gpx => write_gpx(recording)?.into_bytes(),
        })
    }
}

impl DemoSquad {
    /// Writes every run's file into a folder that exists, and returns their paths in the order of
    /// the runs.
    ///
    /// # Errors
    /// The first file that cannot be made or written.
    pub fn write_files(&self, folder: &Path) -> Result<Vec<PathBuf>, FileError> {
        let write = |run: &DemoRun| {
            let path = folder.join(&run.file_name);
            match std::fs::write(&path, run.file()?) {
                Ok(()) => Ok(path),
                Err(source) => Err(FileError::Disk { path, source }),
            }
        };
        self.runs.iter().map(write).collect()
    }
}

#[cfg(test)]
mod tests {
    use chrono::NaiveDate;
    use pacewright_core::assess::assess;
    use pacewright_core::remark::Use;

    use super::*;
    use crate::squad;

    fn demo() -> DemoSquad {
        squad(NaiveDate::from_ymd_opt(2026, 11, 25).unwrap())
    }

    #[test]
    fn every_run_survives_its_file_and_its_effort_is_found_where_it_was_run() {
        for run in &demo().runs {
            let simulated = run.simulate().unwrap();
            let back = pacewright_recording::read(&run.file().unwrap(), &run.file_name).unwrap();
            for (read, made) in back.samples().iter().zip(simulated.recording.samples()) {
                assert_eq!(read.distance, made.distance, "{}", run.file_name);
                assert_eq!((read.time, read.heart_rate), (made.time, made.heart_rate));
                let [read_at, made_at] = [read.position.unwrap(), made.position.unwrap()];
                let north = read_at.latitude_degrees() - made_at.latitude_degrees();
                let east = read_at.longitude_degrees() - made_at.longitude_degrees();
                // GPX keeps seven decimals here: a centimetre
                assert!(north.abs().max(east.abs()) < 1e-7, "{}", run.file_name);
            }
            assert_eq!(back.samples().len(), simulated.recording.samples().len());
            assert_eq!(back.laps(), simulated.recording.laps());
            let assessed = assess(&back, run.kind, run.target_heart_rate).unwrap();
            let found = assessed.effort.unwrap().span.from.s() - simulated.truth.effort.from.s();
            assert!(found.abs() <= 2.0, "{}: {found} s late", run.file_name);
            let measured =
                assessed.performance().unwrap().distance.m() / simulated.truth.distance.m();
            // a device's own distance has its stated bias; raw positions measure 0.988 to 1.022 of it
            let (expected, within) = match run.format {
                FileFormat::Fit => (1.0 + run.run.device.distance_bias_percent / 100.0, 0.0005),
                FileFormat::Gpx => (1.0, 0.015),
            };
            assert!((measured - expected).abs() < within, "{}: {measured}", run.file_name);
        }
    }

    #[test]
    fn all_but_the_slipped_strap_can_be_used_for_speed() {
        let squad = demo();
        for run in &squad.runs {
            let recording = run.recording().unwrap();
            let good_for = assess(&recording, run.kind, run.target_heart_rate).unwrap().good_for;
            let slipped = run.to_confirm && squad.athletes[run.athlete].name == "Lucía Ferreyra";
            assert!(good_for != Use::Unusable, "{}", run.file_name);
            assert!(!slipped || good_for == Use::Doubtful, "{}", run.file_name);
        }
    }

    #[test]
    fn files_land_in_the_folder_and_a_missing_folder_is_said() {
        let folder = tempfile::tempdir().unwrap();
        let mut few = demo();
        few.runs.truncate(3);
        let written = few.write_files(folder.path()).unwrap();
        assert_eq!(std::fs::read(&written[1]).unwrap(), few.runs[1].file().unwrap());
        let error = few.write_files(&folder.path().join("none")).unwrap_err().to_string();
        assert!(error.contains("could not be written"), "{error}");
    }
}
