//! One book, with the texts in the editor.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use jiff::civil::Date;
use lsp_types::{Diagnostic, PublishDiagnosticsParams, TextDocumentContentChangeEvent, Uri};

use crate::finding::Finding;
use crate::session::{Compiled, Session};
use crate::source::{Disk, FileId, Patience, ReadError, Stamps};

use super::{address, findings, text};

/// A book being worked on.
pub(super) struct Desk {
    /// The book's folder, as the editor names it.
    root: PathBuf,
    disk: Disk,
    /// The folder as of the last look.
    seen: Stamps,
    session: Session<'static>,
    /// By path in the book.
    open: BTreeMap<String, Open>,
    /// Compiled last, and for which day; `None` where something has changed since.
    compiled: Option<(Date, Compiled)>,
    /// Files that have changed since the findings were last sent.
    touched: BTreeSet<String>,
    /// The findings that the editor has, by path in the book.
    told: BTreeMap<String, Told>,
}

/// A text in the editor.
struct Open {
    uri: Uri,
    version: i32,
    text: String,
}

/// What was sent about a file.
#[derive(Default)]
struct Told {
    findings: Vec<Finding>,
    diagnostics: Vec<Diagnostic>,
}

impl Desk {
    /// The book of a folder.
    ///
    /// # Errors
    /// Where the folder cannot be listed.
    pub fn over(root: PathBuf) -> Result<Self, ReadError> {
        let disk = Disk::new(root.clone());
        Ok(Self {
            seen: disk.stamps()?,
            session: Session::over(disk.clone())?,
            disk,
            root,
            open: BTreeMap::new(),
            compiled: None,
            touched: BTreeSet::new(),
            told: BTreeMap::new(),
        })
    }

    /// The path of a file in the book; `None` where it is not a file of the book.
    pub fn within(&self, path: &Path) -> Option<String> {
        let mut parts = Vec::new();
        for part in path.strip_prefix(&self.root).ok()?.components() {
            match part {
                std::path::Component::Normal(part) => parts.push(part.to_str()?),
                _ => return None,
            }
        }
        (!parts.is_empty()).then(|| parts.join("/"))
    }

    pub fn open(&mut self, path: String, uri: Uri, version: i32, text: String) {
        self.session.edit(path.as_str(), text.as_str());
        self.open.insert(path.clone(), Open { uri, version, text });
        self.touch(path);
    }

    /// Applies changes to an open text; any other text is left alone.
    pub fn change(&mut self, path: String, version: i32, changes: Vec<TextDocumentContentChangeEvent>) {
        let Some(open) = self.open.get_mut(&path) else { return };
        open.version = version;
        changes.into_iter().for_each(|change| text::change(&mut open.text, change));
        self.touch(path);
    }

    /// A file was saved. Its text comes with the message and is right, even if the changes before it went wrong: Helix 25.01,
    /// for one, sends them out of order.
    pub fn save(&mut self, path: String, text: Option<String>) {
        let Some(open) = self.open.get_mut(&path) else { return self.look_again(path) };
        if let Some(text) = text.filter(|text| *text != open.text) {
            open.text = text;
            self.touch(path);
        }
    }

    /// The file on disk counts again.
    pub fn close(&mut self, path: String) {
        self.open.remove(&path);
        self.session.close(&path);
        self.touch(path);
    }

    /// Looks again at a file that another program may have changed.
    pub fn look_again(&mut self, path: String) {
        if !self.open.contains_key(&path) {
            self.close(path);
        }
    }

    /// Looks for files that another program has written, for an editor that does not report them. A folder that cannot be listed
    /// counts as unchanged.
    pub fn look_around(&mut self) {
        let Ok(now) = self.disk.stamps() else { return };
        let changed = now.since(&self.seen);
        self.seen = now;
        changed.into_iter().for_each(|path| self.look_again(path));
    }

    fn touch(&mut self, path: String) {
        self.touched.insert(path);
        self.compiled = None;
    }

    pub fn has_changed(&self) -> bool {
        !self.touched.is_empty()
    }

    /// The text of a file in the editor.
    pub fn text(&self, path: &str) -> Option<&str> {
        self.open.get(path).map(|open| open.text.as_str())
    }

    /// The book as in the editor: compiled once, however many changes came before. `None` once nobody waits for it.
    pub fn compiled(&mut self, on: Date, patience: Patience<'_>) -> Option<&Compiled> {
        let compiled = match self.compiled.take().filter(|(day, _)| *day == on) {
            Some(kept) => kept,
            None => {
                for path in &self.touched {
                    if let Some(open) = self.open.get(path) {
                        self.session.edit(path.as_str(), open.text.as_str());
                    }
                }
                (on, self.session.compile_while(Some(on), patience)?)
            }
        };
        Some(&self.compiled.insert(compiled).1)
    }

    /// The address of a file of the book; the editor's own where it is open.
    pub fn uri(&self, path: &str) -> Option<Uri> {
        self.open.get(path).map_or_else(|| address::uri(&self.root.join(path)), |open| Some(open.uri.clone()))
    }

    /// The findings of each file that has other findings than those sent last, and of files that were edited. None once nobody
    /// waits for them; they are then sent later.
    pub fn news(&mut self, on: Date, patience: Patience<'_>) -> Vec<PublishDiagnosticsParams> {
        let Some(compiled) = self.compiled(on, patience).cloned() else { return Vec::new() };
        let touched = std::mem::take(&mut self.touched);
        let sources = &compiled.book.sources;
        let mut found: BTreeMap<String, Vec<Finding>> = BTreeMap::new();
        for finding in compiled.told(on) {
            found.entry(sources.path(finding.span.file).to_owned()).or_default().push(finding);
        }
        for path in self.told.keys().chain(&touched) {
            found.entry(path.clone()).or_default();
        }
        let has_moved = |file: FileId| touched.contains(sources.path(file));
        let mut news = Vec::new();
        for (path, findings) in found {
            let is_edited = touched.contains(&path) && self.open.contains_key(&path);
            let points_to_edited = |finding: &Finding| {
                has_moved(finding.span.file) || finding.labels.iter().any(|label| has_moved(label.span.file))
            };
            let told = self.told.get(&path);
            let has_stayed =
                told.is_some_and(|told| told.findings == findings) && !findings.iter().any(points_to_edited);
            if has_stayed && !is_edited {
                continue;
            }
            let diagnostics = findings::diagnostics(&compiled, &findings, |path| self.uri(path));
            let is_same = told.map_or(&[][..], |told| &told.diagnostics) == diagnostics.as_slice();
            if let Some(uri) = self.uri(&path).filter(|_| is_edited || !is_same) {
                let version = self.open.get(&path).map(|open| open.version);
                news.push(PublishDiagnosticsParams { uri, version, diagnostics: diagnostics.clone() });
            }
            if findings.is_empty() {
                self.told.remove(&path);
            } else {
                self.told.insert(path, Told { findings, diagnostics });
            }
        }
        news
    }
}
