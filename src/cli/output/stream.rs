//! Outputs that are written piece by piece, so that nothing has to hold all of them: beside their place, and brought in
//! whole at the end.

use std::fs::{self, Metadata};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crate::render::mark::Form;

use super::super::failure::Failure;
use super::disk::{Disk, Draft, Steps};
use super::{Output, Writer, folder_of, look, may_replace};

/// So much is written in one step.
const PIECE_BYTES: usize = 1 << 16;
/// A former output is known by so many of its first or last bytes: its mark is far shorter.
const MARK_BYTES: u64 = 1 << 14;

/// An output in the making. What is not brought in leaves what was there before.
pub(in crate::cli) struct Streamed<'w, S: Steps = Disk> {
    path: PathBuf,
    form: Form,
    /// By what a former output is known.
    mark: String,
    draft: Draft<'w, S>,
    waiting: Vec<u8>,
}

/// An output that lies beside its place, whole and on the disk.
pub(super) struct Ready<'w, S: Steps> {
    path: PathBuf,
    draft: Draft<'w, S>,
    former: Option<Metadata>,
}

impl<S: Steps> Writer<S> {
    /// Begins an output at a place that the program named; `mark` is by what a former one is known. Folders on the way are made.
    ///
    /// # Errors
    /// Where something else is there, as [`Writer::replace`] has it.
    pub fn begin(&self, path: &Path, form: Form, mark: &str) -> Result<Streamed<'_, S>, Failure> {
        let folder = folder_of(path);
        fs::create_dir_all(folder).map_err(|error| Failure::writing(folder, &error))?;
        self.clear(folder);
        former(path, form, mark)?;
        let draft = Draft::begin(&self.steps, folder).map_err(|error| Failure::writing(path, &error))?;
        Ok(Streamed { path: path.to_owned(), form, mark: mark.to_owned(), draft, waiting: Vec::new() })
    }
}

impl<'w, S: Steps> Streamed<'w, S> {
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Says why it cannot be written.
    pub fn failure(&self, error: &io::Error) -> Failure {
        Failure::writing(&self.path, error)
    }

    /// Makes it ready to be brought in. What appeared at its place meanwhile is looked at like what was there before.
    pub(super) fn ready(mut self) -> Result<Ready<'w, S>, Failure> {
        self.pass_on().map_err(|error| self.failure(&error))?;
        let Self { path, form, mark, draft, .. } = self;
        let former = former(&path, form, &mark)?;
        draft.complete(former.as_ref()).map_err(|error| Failure::writing(&path, &error))?;
        Ok(Ready { path, draft, former })
    }

    fn pass_on(&mut self) -> io::Result<()> {
        self.draft.add(&self.waiting)?;
        self.waiting.clear();
        Ok(())
    }
}

impl<S: Steps> Ready<'_, S> {
    /// Brings it in, in one piece.
    pub(super) fn bring_in(self) -> Result<(), Failure> {
        let Self { path, draft, former } = self;
        let brought = if former.is_some() { draft.replace(&path) } else { draft.bring_in(&path) };
        brought.map_err(|error| Failure::writing(&path, &error))
    }
}

impl<S: Steps> Write for Streamed<'_, S> {
    /// Writes more behind what was written.
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.waiting.extend_from_slice(bytes);
        if self.waiting.len() >= PIECE_BYTES {
            self.pass_on()?;
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// The former output at a place; what is none is refused.
fn former(path: &Path, form: Form, mark: &str) -> Result<Option<Metadata>, Failure> {
    let former = look(path).map_err(|error| Failure::writing(path, &error))?;
    if let Some(former) = &former {
        may_replace(path, former, Output { form, bytes: mark.as_bytes() }, MARK_BYTES)?;
    }
    Ok(former)
}
