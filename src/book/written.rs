//! What a notebook's tables say. A read book keeps what follows from them; for the tables themselves the text is read again.

use crate::notebook::{self, Block, Document, Extent, Table};
use crate::source::FileId;

use super::load::block_word;
use super::{Book, Notebook};

/// One notebook as it was written, without a book around it; its findings are dropped.
pub fn document(file: FileId, text: &str) -> Document<Table<'_>> {
    notebook::parse(file, text, block_word).0
}

impl Book {
    /// A notebook with its tables.
    pub fn written(&self, notebook: &Notebook) -> Document<Table<'_>> {
        let file = notebook.document.file;
        document(file, self.sources.whole(file))
    }

    /// What a block of a notebook says.
    pub fn body(&self, notebook: &Notebook, block: &Block<Extent>) -> Table<'_> {
        let from_afresh = || {
            let written = self.written(notebook).blocks.into_iter().find(|other| other.span == block.span);
            written.map_or_else(|| Table::empty(block.body), |block| block.body)
        };
        notebook::table_at(self.sources.whole(block.span.file), block.body).unwrap_or_else(from_afresh)
    }

    /// What a notebook's head says.
    pub fn head(&self, notebook: &Notebook) -> Option<Table<'_>> {
        let extent = notebook.document.head?;
        let text = self.sources.whole(extent.span.file);
        notebook::table_at(text, extent).or_else(|| self.written(notebook).head)
    }
}
