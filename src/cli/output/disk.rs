//! The steps of writing a file: under a name of its own beside its place, then moved there whole.
//!
//! The writer holds a lock on the file beside. A file that nobody holds was left by a run that has ended, on
//! this machine or in another container. The next run that writes there removes it.

use std::fs::{self, File, Metadata, OpenOptions, TryLockError};
use std::hash::{BuildHasher, RandomState};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

const PREFIX: &str = ".loambook-";
const ENDING: &str = ".part";
/// Hexadecimal digits of a 64-bit number in the middle of the name: 31 bytes in all, however long the final
/// name is.
const DIGITS: usize = 16;
/// How many names are tried. One is taken only by chance, or while another run clears it.
const TRIES: usize = 64;

/// The steps that can fail, one a method, so that a test can make each of them fail.
pub(in crate::cli) trait Steps: Sync {
    fn create(&self, path: &Path) -> io::Result<File> {
        OpenOptions::new().write(true).create_new(true).open(path)
    }

    fn write(&self, file: &mut File, bytes: &[u8]) -> io::Result<()> {
        file.write_all(bytes)
    }

    fn sync(&self, file: &File) -> io::Result<()> {
        file.sync_all()
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }

    /// Gives a file a second name, which must not be there yet.
    fn link(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::hard_link(from, to)
    }
}

/// The file system as it is.
pub(in crate::cli) struct Disk;

impl Steps for Disk {}

/// A file beside its place, written and locked. It is removed again unless it is brought in.
pub(super) struct Draft<'s, S: Steps> {
    steps: &'s S,
    path: PathBuf,
    /// Kept open, because closing it gives up the lock.
    file: File,
    is_brought_in: bool,
}

impl<'s, S: Steps> Draft<'s, S> {
    /// Writes a draft in a folder, with the owner and mode of the file it will replace.
    pub fn write(steps: &'s S, folder: &Path, bytes: &[u8], former: Option<&Metadata>) -> io::Result<Self> {
        let mut draft = Self::begin(steps, folder)?;
        draft.add(bytes)?;
        draft.complete(former)?;
        Ok(draft)
    }

    /// Begins an empty draft in a folder.
    pub fn begin(steps: &'s S, folder: &Path) -> io::Result<Self> {
        let (path, file) = open(steps, folder)?;
        Ok(Self { steps, path, file, is_brought_in: false })
    }

    /// Adds bytes at the end.
    pub fn add(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.steps.write(&mut self.file, bytes)
    }

    /// Completes the draft: owner and mode of the file it will replace, and its bytes safely on the disk.
    pub fn complete(&self, former: Option<&Metadata>) -> io::Result<()> {
        if let Some(former) = former {
            keep_owner(&self.file, former);
            self.file.set_permissions(former.permissions())?;
        }
        self.steps.sync(&self.file)
    }

    /// Replaces the file at a path.
    pub fn replace(mut self, path: &Path) -> io::Result<()> {
        self.steps.rename(&self.path, path)?;
        self.is_brought_in = true;
        Ok(())
    }

    /// Brings it in at a path where there is no file.
    ///
    /// # Errors
    ///
    /// [`io::ErrorKind::AlreadyExists`] where there is one.
    pub fn bring_in(self, path: &Path) -> io::Result<()> {
        match self.steps.link(&self.path, path) {
            Err(error) if error.kind() != io::ErrorKind::AlreadyExists => {
                // Not every file system has hard links: claim the place first, then fill it.
                drop(self.steps.create(path)?);
                self.replace(path).inspect_err(|_| {
                    // This is already failing, and the claim is empty.
                    let _ = fs::remove_file(path);
                })
            }
            linked => linked,
        }
    }
}

impl<S: Steps> Drop for Draft<'_, S> {
    fn drop(&mut self) {
        if !self.is_brought_in {
            // What cannot be removed now is removed by the next run.
            let _ = fs::remove_file(&self.path);
        }
    }
}

/// A new file that no other run has, or will clear.
fn open(steps: &impl Steps, folder: &Path) -> io::Result<(PathBuf, File)> {
    for _ in 0..TRIES {
        let path = folder.join(format!("{PREFIX}{:0DIGITS$x}{ENDING}", any_number()));
        let file = match steps.create(&path) {
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => continue,
            created => created?,
        };
        match file.try_lock() {
            // Another run clears it: it saw the file after it was made and before it was locked.
            Err(TryLockError::WouldBlock) => continue,
            // Without locks nothing is cleared either.
            Ok(()) | Err(TryLockError::Error(_)) => {}
        }
        if path.symlink_metadata().is_ok() {
            return Ok((path, file));
        }
    }
    Err(io::Error::other("no temporary name is free"))
}

/// A number that differs between calls and processes: the standard library seeds its hashing from the system. It
/// is used for temporary names alone.
fn any_number() -> u64 {
    RandomState::new().hash_one(std::process::id())
}

/// Removes what ended runs left in a folder beside their files.
pub(super) fn clear(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let is_file = entry.file_type().is_ok_and(|kind| kind.is_file());
        if !is_file || !entry.file_name().to_str().is_some_and(is_temporary) {
            continue;
        }
        if let Ok(file) = File::open(entry.path())
            && file.try_lock().is_ok()
        {
            // Another run may have been quicker.
            let _ = fs::remove_file(entry.path());
        }
    }
}

fn is_temporary(name: &str) -> bool {
    let digits = name.strip_prefix(PREFIX).and_then(|name| name.strip_suffix(ENDING));
    digits.is_some_and(|digits| digits.len() == DIGITS && digits.bytes().all(|byte| byte.is_ascii_hexdigit()))
}

/// Keeps the owner, as far as the system lets this user.
#[cfg(unix)]
fn keep_owner(file: &File, former: &Metadata) {
    use std::os::unix::fs::{MetadataExt, fchown};
    let is_theirs = |now: Metadata| (now.uid(), now.gid()) == (former.uid(), former.gid());
    if !file.metadata().is_ok_and(is_theirs) {
        let _ = fchown(file, Some(former.uid()), Some(former.gid()));
    }
}

#[cfg(not(unix))]
fn keep_owner(_: &File, _: &Metadata) {}
