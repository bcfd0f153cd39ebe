//! Outputs that belong together in one folder; the last one shows that they are complete.
//!
//! No file system brings in several files at once. So all of them are written and on the disk before the first is brought
//! in. The former last one is removed before that, and the new one follows when the others are in. A run killed between
//! two of these steps leaves a folder without a last one: its files are not of one run.

use std::path::Path;

use super::super::failure::Failure;
use super::disk::Steps;
use super::stream::Ready;
use super::{Output, Streamed, Writer, look, may_replace};

/// Brings in outputs, then the last one.
///
/// # Errors
///
/// Where one cannot be written. Then nothing has changed, or the last one is missing and the failure says so.
pub(in crate::cli) fn bring_in<S: Steps>(
    writer: &Writer<S>,
    files: Vec<Streamed<'_, S>>,
    (path, last): (&Path, Output<'_>),
) -> Result<(), Failure> {
    let ready: Vec<Ready<'_, S>> = files.into_iter().map(Streamed::ready).collect::<Result<_, _>>()?;
    let failed = |error| Failure::writing(path, &error);
    if let Some(former) = look(path).map_err(failed)? {
        may_replace(path, &former, last, super::OUTPUT_BYTES)?;
        writer.steps.remove(path).map_err(failed)?;
    }
    let all = ready.into_iter().try_for_each(Ready::bring_in).and_then(|()| writer.replace(path, last));
    let name = path.file_name().unwrap_or_default().display().to_string();
    all.map_err(|failure| {
        failure.help(format!(
            "what is there is not of one run, since {name} is missing: move it away and run again"
        ))
    })
}
