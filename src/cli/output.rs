//! Writes files: the only module that does.

use std::fs::{self, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use super::failure::Failure;

/// Writes a file beside its place and renames it in, so that a run that is killed leaves the old file or
/// the new one. Folders on the way are made.
pub(super) fn replace(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    make_folder_of(path)?;
    let beside = beside(path);
    let written = write_new(&beside, bytes).and_then(|()| fs::rename(&beside, path));
    written.map_err(|error| {
        // Already failing: what could not be written may not be there to be taken away.
        let _ = fs::remove_file(&beside);
        Failure::writing(path, &error)
    })
}

/// Writes a file that was not there before; refuses to touch one that was.
pub(super) fn create(path: &Path, text: &str) -> Result<(), Failure> {
    make_folder_of(path)?;
    write_new(path, text.as_bytes()).map_err(|error| match error.kind() {
        io::ErrorKind::AlreadyExists => is_there(path),
        _ => Failure::writing(path, &error),
    })
}

/// A file that would have to be overwritten.
pub(super) fn is_there(path: &Path) -> Failure {
    Failure::new(format!("{} is there already", path.display()))
        .help("nothing was written; choose another name, or move the file away")
}

fn write_new(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).open(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

fn make_folder_of(path: &Path) -> Result<(), Failure> {
    match path.parent() {
        Some(folder) => fs::create_dir_all(folder).map_err(|error| Failure::writing(folder, &error)),
        None => Ok(()),
    }
}

/// A name in the same folder, and so on the same file system, that no notebook has.
fn beside(path: &Path) -> PathBuf {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!(".{name}.{}.part", std::process::id()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_replaced_file_leaves_nothing_beside_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("sheets/a.pdf");
        replace(&path, b"old").unwrap();
        replace(&path, b"new").unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"new");
        assert_eq!(fs::read_dir(path.parent().unwrap()).unwrap().count(), 1);
    }

    #[test]
    fn a_file_that_is_there_is_not_touched() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.md");
        create(&path, "mine").unwrap();
        assert!(create(&path, "yours").is_err());
        assert_eq!(fs::read_to_string(&path).unwrap(), "mine");
    }
}
