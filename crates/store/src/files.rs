//! The library's file and folder: where they are and who may read them.

use std::fs;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};

use crate::error::StoreError;

/// Where the library is when nobody names another: in the folder the system gives for a person's data.
///
/// # Errors
/// The system names no such folder.
pub fn default_path() -> Result<PathBuf, StoreError> {
    directories::ProjectDirs::from("", "", "pacewright")
        .map(|folders| folders.data_dir().join("library.pacewright"))
        .ok_or(StoreError::NoDataFolder)
}

/// Makes the file and its folder where they are missing, for the owner only.
///
/// # Errors
/// Where the system refuses.
pub(crate) fn prepare(path: &Path) -> Result<(), StoreError> {
    if let Some(folder) =
        path.parent().filter(|folder| !folder.as_os_str().is_empty() && !folder.exists())
    {
        let mut builder = fs::DirBuilder::new();
        let _ = builder.recursive(true);
        #[cfg(unix)]
        let _ = std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
        builder.create(folder).map_err(|error| refused(folder, error))?;
    }
    let mut options = fs::OpenOptions::new();
    let _ = options.write(true).create_new(true);
    #[cfg(unix)]
    let _ = std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    match options.open(path) {
        Ok(_) => Ok(()),
        Err(error) if error.kind() == ErrorKind::AlreadyExists => {
            if looks_like_a_database(path)? {
                Ok(())
            } else {
                Err(StoreError::NotALibrary { path: path.to_owned() })
            }
        }
        Err(error) => Err(refused(path, error)),
    }
}

/// Whether a file begins as every SQLite file does, or is empty. SQLite itself would take a file of a
/// few bytes for an empty one and write over it.
fn looks_like_a_database(path: &Path) -> Result<bool, StoreError> {
    const BEGINNING: &[u8] = b"SQLite format 3\0";
    // a folder, a device, a pipe
    if !path.is_file() {
        return Ok(false);
    }
    let file = fs::File::open(path).map_err(|error| refused(path, error))?;
    let mut begins = Vec::new();
    let read = file.take(BEGINNING.len() as u64).read_to_end(&mut begins);
    let _ = read.map_err(|error| refused(path, error))?;
    Ok(begins.is_empty() || begins == BEGINNING)
}

/// Takes away what others may do with the library: it holds health data.
///
/// # Errors
/// Where the system refuses.
pub(crate) fn tighten(path: &Path) -> Result<(), StoreError> {
    #[cfg(unix)]
    for ending in ["", "-wal", "-shm", "-journal"] {
        use std::os::unix::fs::PermissionsExt;
        let mut name = path.as_os_str().to_owned();
        name.push(ending);
        let file = PathBuf::from(name);
        match fs::metadata(&file) {
            Ok(found) if found.permissions().mode() & 0o077 != 0 => {
                let owner_only = fs::Permissions::from_mode(0o600);
                fs::set_permissions(&file, owner_only).map_err(|error| refused(&file, error))?;
            }
            Ok(_) => {}
            Err(error) if error.kind() == ErrorKind::NotFound => {}
            Err(error) => return Err(refused(&file, error)),
        }
    }
    Ok(())
}

fn refused(path: &Path, error: std::io::Error) -> StoreError {
    match error.kind() {
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => StoreError::ReadOnly,
        _ => StoreError::io(path, error),
    }
}
