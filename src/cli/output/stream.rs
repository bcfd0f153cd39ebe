//! Outputs that are written piece by piece, so that nothing has to hold all of them: beside their place, and brought in
//! whole at the end.

use std::fs;
use std::path::{Path, PathBuf};

use crate::render::mark::Form;

use super::super::failure::Failure;
use super::disk::{Disk, Draft, Steps};
use super::{Output, Writer, folder_of, look, may_replace};

/// So much is written in one step.
const PIECE_BYTES: usize = 1 << 16;
/// A former output is known by so many of its first bytes: its first line is far shorter.
const HEAD_BYTES: u64 = 1 << 14;

/// An output in the making. What is not finished leaves what was there before.
pub(in crate::cli) struct Streamed<'w, S: Steps = Disk> {
    path: PathBuf,
    form: Form,
    /// The first line, by which a former output is known.
    head: String,
    draft: Draft<'w, S>,
    waiting: Vec<u8>,
}

impl<S: Steps> Writer<S> {
    /// Begins an output at a place that the program named, with its first line. Folders on the way are made.
    ///
    /// # Errors
    /// Where something else is there, as [`Writer::replace`] has it.
    pub fn begin(&self, path: &Path, form: Form, head: &str) -> Result<Streamed<'_, S>, Failure> {
        let folder = folder_of(path);
        fs::create_dir_all(folder).map_err(|error| Failure::writing(folder, &error))?;
        self.clear(folder);
        if let Some(former) = look(path).map_err(|error| Failure::writing(path, &error))? {
            may_replace(path, &former, Output { form, bytes: head.as_bytes() }, HEAD_BYTES)?;
        }
        let draft = Draft::begin(&self.steps, folder).map_err(|error| Failure::writing(path, &error))?;
        let waiting = head.as_bytes().to_vec();
        Ok(Streamed { path: path.to_owned(), form, head: head.to_owned(), draft, waiting })
    }
}

impl<S: Steps> Streamed<'_, S> {
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Writes more behind what was written.
    pub fn write(&mut self, text: &str) -> Result<(), Failure> {
        self.waiting.extend_from_slice(text.as_bytes());
        if self.waiting.len() < PIECE_BYTES { Ok(()) } else { self.pass_on() }
    }

    /// Brings it in, in one piece. What appeared at its place meanwhile is looked at like what was there before.
    pub fn finish(mut self) -> Result<(), Failure> {
        self.pass_on()?;
        let Self { path, form, head, draft, .. } = self;
        let failed = |error| Failure::writing(&path, &error);
        let former = look(&path).map_err(failed)?;
        if let Some(former) = &former {
            may_replace(&path, former, Output { form, bytes: head.as_bytes() }, HEAD_BYTES)?;
        }
        draft.complete(former.as_ref()).map_err(failed)?;
        if former.is_some() { draft.replace(&path) } else { draft.bring_in(&path) }.map_err(failed)
    }

    fn pass_on(&mut self) -> Result<(), Failure> {
        self.draft.add(&self.waiting).map_err(|error| Failure::writing(&self.path, &error))?;
        self.waiting.clear();
        Ok(())
    }
}
