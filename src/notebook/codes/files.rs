//! Files that cannot be read, and books that are too large.

use crate::finding::{Code, Severity};

use super::error;

pub static NOT_UTF_8: Code = error(
    "file/not-utf-8",
    "A notebook or `book.toml` whose bytes are not UTF-8 text.

Older editors save é and ± in other ways, and a photo under the wrong name is no
text at all. The file is left out of the book.

Better: open it in an editor and save it as UTF-8.
",
);
pub static NAME_NOT_UTF_8: Code = error(
    "file/name-not-utf-8",
    "A file whose name is not UTF-8.

No finding, sheet or link could name it. The file is left out of the book.

Better: rename it with letters, digits and hyphens, such as `2026-04-11.md`.
",
);
pub static NAME_HAS_CONTROLS: Code = error(
    "file/name-has-controls",
    "A file whose name holds a line break or another control character.

The name would break the line that shows it, or control the terminal. The file
is left out of the book.

Better: rename it with letters, digits and hyphens, such as `2026-04-11.md`.
",
);
pub static TOO_LARGE: Code = error(
    "file/too-large",
    "A notebook larger than the limit.

The limit is far more than anybody writes, so this is most likely another kind
of file. It is left out of the book.

Better: move it out of the book, or split it.
",
);
pub static TOO_MANY: Code = error(
    "file/too-many",
    "A book with more files than the limit.

Most often `book.toml` lies in the wrong folder, above many files that are not
notebooks.

Better: put `book.toml` into the folder that holds the notebooks.
",
);
pub static TOO_MANY_NOTEBOOKS: Code = error(
    "file/too-many-notebooks",
    "A book with more notebooks than the limit.

Those up to the limit are read, in the order of their paths; the rest do not
count.

Better: one book for each rider or year, each a folder with its own `book.toml`.
",
);
pub static BOOK_TOO_LARGE: Code = error(
    "file/book-too-large",
    "A book whose notebooks are larger, taken together, than the limit.

Those up to the limit are read, in the order of their paths; the rest do not
count.

Better: one book for each rider or year, each a folder with its own `book.toml`.
",
);
pub static TOO_MANY_BLOCKS: Code = error(
    "file/too-many-blocks",
    "A notebook with more blocks than the limit.

The limit is some hundred days in one notebook. Blocks beyond it are left out.

Better: a notebook for each day.
",
);
pub static TOO_MANY_VALUES: Code = error(
    "file/too-many-values",
    "A notebook with more values than the limit.

Keys, items of lists and long texts count. The limit is some hundred days in one
notebook. Blocks beyond it are left out.

Better: a notebook for each day, and long tables as files of their own.
",
);
pub static BOOK_TOO_LONG: Code = error(
    "file/book-too-long",
    "A book with more blocks than the limit.

The notebooks up to the limit are read, in the order of their paths; the rest do
not count.

Better: one book for each rider or year, each a folder with its own `book.toml`.
",
);
pub static FOLDER_TOO_DEEP: Code = error(
    "file/folder-too-deep",
    "A folder nested deeper than the limit.

It is left out of the book, and its notebooks do not count.

Better: move it up.
",
);
pub static ANOTHER_BOOK: Code = Code {
    severity: Severity::Note,
    ..error(
        "file/another-book",
        "A `book.toml` in a folder of the book.

Each `book.toml` begins a book, and a notebook belongs to the nearest one
upward. What lies below this one is not read with the book around it.

Better: check that book by itself, or delete this `book.toml` if its notebooks
belong to the book around it.
",
    )
};
pub static LEADS_OUT: Code = error(
    "file/leads-out",
    "A link to a file or folder outside the book.

A book may come from somebody else, and what is read from it can be printed,
sent or shown. So nothing outside its folder is read: no notebook, no lap file,
no photo, no template. Links within the book are followed.

Better: replace the link by the file or folder itself.
",
);
pub static UNREADABLE: Code = error(
    "file/unreadable",
    "A file or folder of the book that the system does not let the program read.

It is left out of the book, and what refers to it will not find it.

Better: check who may read it, and whether a link leads nowhere.
",
);
