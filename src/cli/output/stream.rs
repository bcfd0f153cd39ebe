//! Outputs written piece by piece, so that none is held whole in memory: beside their place, then brought in whole.

use std::fs::{self, Metadata};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crate::render::mark::Form;

use super::super::failure::Failure;
use super::disk::{Disk, Draft, Steps};
use super::{Output, Writer, folder_of, look, may_replace};

/// Bytes written in one step.
const PIECE_BYTES: usize = 1 << 16;
/// How many first or last bytes are searched for a former output's mark, which is far shorter.
const MARK_BYTES: u64 = 1 << 14;

/// An output in the making. Unless it is brought in, the former one stays.
pub(in crate::cli) struct Streamed<'w, S: Steps = Disk> {
    path: PathBuf,
    form: Form,
    /// The mark that tells a former output.
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
    /// Begins an output at a path that the program chose; `mark` tells a former one. Missing folders are made.
    ///
    /// # Errors
    ///
    /// Where the path holds anything else, as for [`Writer::replace`].
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

    /// Why it cannot be written.
    pub fn failure(&self, error: &io::Error) -> Failure {
        Failure::writing(&self.path, error)
    }

    /// Completes it. What appeared at its place meanwhile is held to the same rule as before.
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
    /// Brings it in, in one step.
    pub(super) fn bring_in(self) -> Result<(), Failure> {
        let Self { path, draft, former } = self;
        let brought = if former.is_some() { draft.replace(&path) } else { draft.bring_in(&path) };
        brought.map_err(|error| Failure::writing(&path, &error))
    }
}

impl<S: Steps> Write for Streamed<'_, S> {
    /// Adds bytes at the end.
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

/// The former output at a path; anything else is refused.
fn former(path: &Path, form: Form, mark: &str) -> Result<Option<Metadata>, Failure> {
    let former = look(path).map_err(|error| Failure::writing(path, &error))?;
    if let Some(former) = &former {
        may_replace(path, former, Output { form, bytes: mark.as_bytes() }, MARK_BYTES)?;
    }
    Ok(former)
}
