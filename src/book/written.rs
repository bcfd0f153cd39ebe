//! What a notebook's tables say. A read book keeps what follows from them; for the tables themselves the text is read again.

use std::cell::OnceCell;

use crate::notebook::{self, Block, Document, Extent, Table};
use crate::source::FileId;

use super::load::block_word;
use super::{Book, Notebook};

/// One notebook as it was written, without a book around it; its findings are dropped.
pub fn document(file: FileId, text: &str) -> Document<Table<'_>> {
    notebook::parse(file, text, block_word).0
}

/// The tables of a notebook, each read again when it is asked for.
pub struct Tables<'b> {
    file: FileId,
    text: &'b str,
    /// The whole notebook, for tables that cannot be read by themselves. It is read once, however many there are.
    whole: OnceCell<Document<Table<'b>>>,
}

impl Book {
    /// A notebook with its tables.
    pub fn written(&self, notebook: &Notebook) -> Document<Table<'_>> {
        let file = notebook.document.file;
        document(file, self.sources.whole(file))
    }

    /// The tables of a notebook, of which only some are wanted.
    pub fn tables(&self, notebook: &Notebook) -> Tables<'_> {
        let file = notebook.document.file;
        Tables { file, text: self.sources.whole(file), whole: OnceCell::new() }
    }
}

impl<'b> Tables<'b> {
    /// What a block of the notebook says.
    pub fn of(&self, block: &Block<Extent>) -> Table<'b> {
        notebook::table_at(self.text, block.body).unwrap_or_else(|| {
            let blocks = &self.whole().blocks;
            let at = blocks.partition_point(|other| other.span.start < block.span.start);
            blocks.get(at).map_or_else(|| Table::empty(block.body), |found| found.body.clone())
        })
    }

    /// What a head says that stands there.
    pub fn of_head(&self, head: Extent) -> Option<Table<'b>> {
        notebook::table_at(self.text, head).or_else(|| self.whole().head.clone())
    }

    fn whole(&self) -> &Document<Table<'b>> {
        self.whole.get_or_init(|| document(self.file, self.text))
    }
}
