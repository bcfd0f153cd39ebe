//! The steps of writing a file: beside its place under a name of its own, then brought in whole.
//!
//! Whoever writes holds a lock on the file beside. One that nobody holds was left by a run that is gone, on this
//! machine or in another container, and is cleared by the next run that writes there.

use std::fs::{self, File, Metadata, OpenOptions, TryLockError};
use std::hash::{BuildHasher, RandomState};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

const PREFIX: &str = ".loambook-";
const ENDING: &str = ".part";
/// Hexadecimal digits of a 64-bit number between the two: 31 bytes in all, whatever the file will be called.
const DIGITS: usize = 16;
/// So many names are tried: each is taken by chance alone, or is being cleared at this moment.
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

/// A file beside its place, written and locked. What is not brought in is taken away again.
pub(super) struct Draft<'s, S: Steps> {
    steps: &'s S,
    path: PathBuf,
    /// Open as long as the lock is to hold.
    file: File,
    is_brought_in: bool,
}

impl<'s, S: Steps> Draft<'s, S> {
    /// Writes a draft in a folder, with owner and mode of the file that it will replace.
    pub fn write(steps: &'s S, folder: &Path, bytes: &[u8], former: Option<&Metadata>) -> io::Result<Self> {
        let mut draft = Self::begin(steps, folder)?;
        draft.add(bytes)?;
        draft.complete(former)?;
        Ok(draft)
    }

    /// Begins a draft in a folder, with nothing in it yet.
    pub fn begin(steps: &'s S, folder: &Path) -> io::Result<Self> {
        let (path, file) = open(steps, folder)?;
        Ok(Self { steps, path, file, is_brought_in: false })
    }

    /// Writes more behind what is in it.
    pub fn add(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.steps.write(&mut self.file, bytes)
    }

    /// Makes it ready to be brought in: with owner and mode of the file that it will replace, and on the disk.
    pub fn complete(&self, former: Option<&Metadata>) -> io::Result<()> {
        if let Some(former) = former {
            keep_owner(&self.file, former);
            self.file.set_permissions(former.permissions())?;
        }
        self.steps.sync(&self.file)
    }

    /// Puts it in the place of what is there.
    pub fn replace(mut self, path: &Path) -> io::Result<()> {
        self.steps.rename(&self.path, path)?;
        self.is_brought_in = true;
        Ok(())
    }

    /// Puts it where nothing is.
    ///
    /// # Errors
    /// [`io::ErrorKind::AlreadyExists`] where something is.
    pub fn bring_in(self, path: &Path) -> io::Result<()> {
        match self.steps.link(&self.path, path) {
            Err(error) if error.kind() != io::ErrorKind::AlreadyExists => {
                // Not every disk knows second names: the place is claimed first, then filled.
                drop(self.steps.create(path)?);
                self.replace(path).inspect_err(|_| {
                    // Already failing, and the claim is empty.
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
            // What cannot be taken away now is cleared by the next run.
            let _ = fs::remove_file(&self.path);
        }
    }
}

/// A new file that no other run has or takes away.
fn open(steps: &impl Steps, folder: &Path) -> io::Result<(PathBuf, File)> {
    for _ in 0..TRIES {
        let path = folder.join(format!("{PREFIX}{:0DIGITS$x}{ENDING}", any_number()));
        let file = match steps.create(&path) {
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => continue,
            created => created?,
        };
        match file.try_lock() {
            // Somebody clears it, between its being made and its being locked.
            Err(TryLockError::WouldBlock) => continue,
            // Where there are no locks nothing is cleared either.
            Ok(()) | Err(TryLockError::Error(_)) => {}
        }
        if path.symlink_metadata().is_ok() {
            return Ok((path, file));
        }
    }
    Err(io::Error::other("no temporary name is free"))
}

/// Another number each time and in each process: the standard library seeds its hashing from the system. It goes
/// into temporary names alone.
fn any_number() -> u64 {
    RandomState::new().hash_one(std::process::id())
}

/// Clears a folder of what runs that are gone left beside their files.
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

/// The owner stays who it was, as far as whoever runs this may say so.
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
