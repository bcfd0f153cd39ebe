//! Writes files: the only module that does.
//!
//! One rule holds for every command: the only file ever overwritten is a former output of the same form, known
//! by its mark. A file is replaced whole or left as it was.

#![expect(clippy::disallowed_methods, reason = "the one module that writes files")]

mod disk;
mod names;
mod place;
mod stream;
mod together;

use std::collections::BTreeSet;
use std::fs::{self, File, Metadata, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use crate::render::mark::Form;

use super::failure::Failure;
use super::screen::Screen;

use disk::{Disk, Draft, Steps};

pub(super) use names::{ROSTER, address, day_files, file_name};
pub(super) use place::{AnyFormat, Format, PaperName, Place, Printing, To, place_of};
pub(super) use stream::Streamed;
pub(super) use together::bring_in;

/// A larger file was not written by this program.
const OUTPUT_BYTES: u64 = 1 << 30;
const NOTHING_WRITTEN: &str = "nothing was written; choose another name, or move the file away";
/// How often a path is looked at again when others write there at the same time.
const TRIES: usize = 16;

/// Bytes with their form.
#[derive(Debug, Clone, Copy)]
pub(super) struct Output<'b> {
    pub form: Form,
    pub bytes: &'b [u8],
}

impl Output<'_> {
    /// Refuses a file that is an output of another date.
    pub fn is_of_the_date_of(&self, path: &Path) -> Result<(), Failure> {
        let dated = |bytes: &[u8]| self.form.date(bytes);
        let is_file = path.metadata().is_ok_and(|there| there.is_file());
        let former =
            if is_file { read(path, OUTPUT_BYTES).ok().and_then(|former| dated(&former)) } else { None };
        if former.is_some_and(|former| Some(former) != dated(self.bytes)) {
            return Err(Failure::new(format!("{} is of another date", path.display())).help(NOTHING_WRITTEN));
        }
        Ok(())
    }
}

/// Writes the files of one run.
pub(super) struct Writer<S: Steps = Disk> {
    steps: S,
    /// The folders already cleared of what ended runs left.
    cleared: Mutex<BTreeSet<PathBuf>>,
}

impl Writer {
    pub fn new() -> Self {
        Self::with(Disk)
    }
}

impl<S: Steps> Writer<S> {
    fn with(steps: S) -> Self {
        Self { steps, cleared: Mutex::default() }
    }

    /// Writes the one output of a command and says where it is; `stem` is its name in a folder.
    pub fn deliver(
        &self,
        place: &Place,
        stem: &str,
        output: Output<'_>,
        screen: &mut Screen,
    ) -> Result<(), Failure> {
        let path = match place {
            Place::Standard if output.form == Form::Pdf && screen.is_terminal() => {
                return Err(Failure::new("a terminal cannot show a PDF")
                    .help(format!("give it a file: `-o {stem}.pdf`")));
            }
            Place::Standard if output.form == Form::Text => {
                return screen.print(&String::from_utf8_lossy(output.bytes));
            }
            Place::Standard => return screen.print_data(output.bytes),
            Place::File(path) => {
                self.write_to(path, output)?;
                path.clone()
            }
            Place::Folder(folder) => {
                let path = folder.join(file_name(stem, output.form.ending()));
                self.replace(&path, output)?;
                path
            }
        };
        screen.print(&format!("{}\n", path.display()))
    }

    /// Writes an output to a path that the user named. Links are followed. Devices, pipes and open files of a process
    /// are written to, not replaced.
    pub fn write_to(&self, path: &Path, output: Output<'_>) -> Result<(), Failure> {
        if is_stream(path) {
            // Whoever opened it decides where it begins: nothing in it is cut off.
            let written = OpenOptions::new().append(true).open(path).and_then(|mut file| {
                file.write_all(output.bytes)?;
                file.flush()
            });
            return match written {
                // The reader had enough of it.
                Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
                written => written.map_err(|error| Failure::writing(path, &error)),
            };
        }
        let is_link = path.symlink_metadata().is_ok_and(|there| there.is_symlink());
        match path.canonicalize() {
            Ok(real) if is_link => self.replace(&real, output),
            _ => self.replace(path, output),
        }
    }

    /// Writes an output to a path that the program chose, in one step: a killed run leaves the former output or this
    /// one. Missing folders are made.
    ///
    /// # Errors
    ///
    /// Where the path holds anything but a former output of this form: another file, a link, a folder, a device.
    pub fn replace(&self, path: &Path, output: Output<'_>) -> Result<(), Failure> {
        let failed = |error: io::Error| Failure::writing(path, &error);
        let folder = folder_of(path);
        fs::create_dir_all(folder).map_err(|error| Failure::writing(folder, &error))?;
        self.clear(folder);
        for _ in 0..TRIES {
            let Some(former) = look(path).map_err(failed)? else {
                let draft = Draft::write(&self.steps, folder, output.bytes, None).map_err(failed)?;
                match draft.bring_in(path) {
                    // Another run was quicker; what it wrote is looked at like any other file.
                    Err(error) if error.kind() == io::ErrorKind::AlreadyExists => continue,
                    brought => return brought.map_err(failed),
                }
            };
            may_replace(path, &former, output, OUTPUT_BYTES)?;
            let draft = Draft::write(&self.steps, folder, output.bytes, Some(&former)).map_err(failed)?;
            return draft.replace(path).map_err(failed);
        }
        Err(Failure::new(format!("{} is written by others all the time", path.display())))
    }

    /// Replaces a text that was read and added to.
    ///
    /// # Errors
    ///
    /// Where the path is a link, a folder or a device.
    pub fn rewrite(&self, path: &Path, text: &str) -> Result<(), Failure> {
        let failed = |error: io::Error| Failure::writing(path, &error);
        let former = look(path).map_err(failed)?;
        if former.as_ref().is_some_and(|former| !former.is_file()) {
            return Err(
                Failure::new(format!("{} is not a plain file", path.display())).help("nothing was written")
            );
        }
        let draft = Draft::write(&self.steps, folder_of(path), text.as_bytes(), former.as_ref());
        let draft = draft.map_err(failed)?;
        if former.is_some() { draft.replace(path) } else { draft.bring_in(path) }.map_err(failed)
    }

    /// Writes a new notebook; refuses where there is one. If it cannot be written whole, neither it nor the folders
    /// made for it remain.
    pub fn create(&self, path: &Path, text: &str) -> Result<(), Failure> {
        if is_taken(path) {
            return Err(is_there(path));
        }
        let folder = folder_of(path);
        let made: Vec<&Path> = folder.ancestors().take_while(|folder| !is_or_empty(folder)).collect();
        let created = fs::create_dir_all(folder).and_then(|()| {
            self.clear(folder);
            Draft::write(&self.steps, folder, text.as_bytes(), None)?.bring_in(path)
        });
        created.map_err(|error| {
            for folder in made {
                // A folder into which others have put something stays.
                let _ = fs::remove_dir(folder);
            }
            match error.kind() {
                io::ErrorKind::AlreadyExists => is_there(path),
                _ => Failure::writing(path, &error),
            }
        })
    }

    /// Clears a folder, once a run.
    fn clear(&self, folder: &Path) {
        let is_first = self.cleared.lock().is_ok_and(|mut cleared| cleared.insert(folder.to_path_buf()));
        if is_first {
            disk::clear(folder);
        }
    }
}

/// Whether there is anything at a path, even a link that leads nowhere.
pub(super) fn is_taken(path: &Path) -> bool {
    path.symlink_metadata().is_ok()
}

/// A file that would have to be overwritten.
pub(super) fn is_there(path: &Path) -> Failure {
    Failure::new(format!("{} is already there", path.display())).help(NOTHING_WRITTEN)
}

/// Whether what is written to a path goes elsewhere: to a device, a pipe, or an open file of a process.
fn is_stream(path: &Path) -> bool {
    let Ok(there) = path.metadata() else { return false };
    if there.is_dir() || is_disk(&there) {
        return false;
    }
    let is_link = path.symlink_metadata().is_ok_and(|there| there.is_symlink());
    if !is_link {
        return !there.is_file();
    }
    // A link in a book leads to no device; those of the system do.
    let folder = folder_of(path).canonicalize();
    folder.is_ok_and(|folder| folder == Path::new("/dev") || folder.starts_with("/proc"))
}

#[cfg(unix)]
fn is_disk(there: &Metadata) -> bool {
    use std::os::unix::fs::FileTypeExt;
    there.file_type().is_block_device()
}

#[cfg(not(unix))]
fn is_disk(_: &Metadata) -> bool {
    false
}

/// What is at a path, without following links; `None` where there is nothing.
fn look(path: &Path) -> io::Result<Option<Metadata>> {
    match path.symlink_metadata() {
        Ok(there) => Ok(Some(there)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error),
    }
}

/// The rule: only a former output of the same form, or an empty file. It is known by its first `by` bytes.
fn may_replace(path: &Path, former: &Metadata, output: Output<'_>, by: u64) -> Result<(), Failure> {
    let refused = |why: &str| Err(Failure::new(format!("{} {why}", path.display())).help(NOTHING_WRITTEN));
    if former.is_symlink() {
        return refused("is a link, and what it leads to is not written over");
    }
    if !former.is_file() {
        return refused("is already there, and is not a file");
    }
    if former.permissions().readonly() {
        return refused("is already there, and is not to be written to");
    }
    if former.len() == 0 {
        return Ok(());
    }
    let read = if output.form.ends_with_its_mark() { read_end } else { read };
    let bytes = read(path, by).map_err(|error| Failure::writing(path, &error))?;
    if output.form.was_written(&bytes, output.bytes) {
        return Ok(());
    }
    match output.form {
        Form::Text => refused("is already there, and text does not say who wrote it"),
        _ => refused("is already there, and was not written by Loambook"),
    }
}

/// A former output, or enough of a file to show that it is none.
fn read(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    File::open(path)?.take(most).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Enough of a file's end to hold its mark.
fn read_end(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    let mut file = File::open(path)?;
    let length = file.metadata()?.len();
    file.seek(SeekFrom::Start(length.saturating_sub(most)))?;
    let mut bytes = Vec::new();
    file.take(most).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// The folder of a path; the current folder for a bare name.
fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

fn is_or_empty(folder: &Path) -> bool {
    folder.as_os_str().is_empty() || folder.exists()
}

#[cfg(test)]
mod tests;
