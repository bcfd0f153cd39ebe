//! What can be wrong with a notebook as a text, before it means anything.

use crate::finding::{Code, Severity};

const fn error(name: &'static str, page: &'static str) -> Code {
    Code { name, severity: Severity::Error, since: "0.1.0", page }
}

/// Every code of this room.
pub static CODES: &[&Code] = &[
    &HEAD_MISSING,
    &HEAD_OPEN,
    &FENCE_OPEN,
    &UNKNOWN_BLOCK,
    &UNREAD,
    &CONFLICT,
    &TOO_DEEP,
    &SYNTAX,
    &SPACED_KEY,
    &UNQUOTED,
    &REPEATED_KEY,
    &NOT_FINITE,
    &NUMBER_TOO_LARGE,
    &MORE_ERRORS,
    &NOT_UTF_8,
    &NAME_NOT_UTF_8,
    &NAME_HAS_CONTROLS,
    &TOO_LARGE,
    &TOO_MANY,
    &TOO_MANY_NOTEBOOKS,
    &BOOK_TOO_LARGE,
    &TOO_MANY_BLOCKS,
    &TOO_MANY_VALUES,
    &BOOK_TOO_LONG,
    &FOLDER_TOO_DEEP,
    &LEADS_OUT,
    &ANOTHER_BOOK,
    &UNREADABLE,
];

pub static HEAD_MISSING: Code = error(
    "notebook/head-missing",
    "A notebook with blocks or figures and no head.\n\n\
     The head says of which machine, rider and day the notebook is; without it nothing in it can be placed. A text \
     without blocks and figures needs no head and is left alone.\n\n\
     ````\n# First day\n\n```sag rear\nhanging = \"612 mm\"\n```\n````\n\n\
     Better: begin the file with\n\n\
     ````\n+++\nkind = \"day\"\ndate = 2026-04-11\nmachine = \"corrie-450\"\nrider = \"senior\"\n+++\n````\n",
);
pub static HEAD_OPEN: Code = error(
    "notebook/head-open",
    "A head without the second `+++`.\n\n\
     Where the head ends can only be guessed: what comes up to the first empty line is read as the head, the rest as \
     prose.\n\n\
     ````\n+++\nkind = \"rider\"\n\n# The senior\n````\n\nBetter: write `+++` on a line of its own behind the last line of the head.\n",
);
pub static FENCE_OPEN: Code = error(
    "notebook/fence-open",
    "A fenced block that is not closed before another begins, or before the text ends.\n\n\
     Markdown runs an open fence on to the next closing line or to the end, and all that stands between is lost as \
     prose and as blocks.\n\n\
     ````\n```sag rear\nhanging = \"612 mm\"\n\nThe collar wants a turn.\n````\n\n\
     Better: end the block with a line of three backticks.\n",
);
pub static UNKNOWN_BLOCK: Code = error(
    "block/unknown",
    "A fenced block whose word is no block's, but nearly one.\n\n\
     A fence with any other word is prose and left alone; one whose word is a letter or two off a block's is most \
     likely a slip, and what stands in it would be silently lost.\n\n\
     ````\n```presures\nmain = \"152 psi\"\n```\n````\n\nBetter: write `pressures`.\n",
);
pub static UNREAD: Code = Code {
    name: "block/unread",
    severity: Severity::Warning,
    since: "0.1.0",
    page: "What looks like a block and will not be read as one.\n\n\
           A line that stands four blanks in is an example in Markdown, and so is all of what it opens; quotes, two \
           backticks or a single one open nothing at all. The readings in it count for nothing.\n\n\
           ````\n    ```sag rear\n    hanging = \"612 mm\"\n    ```\n````\n\n\
           Better: three backticks at the margin, in a list below the item's own text. What is meant as an example stands between \
           four backticks.\n",
};
pub static CONFLICT: Code = error(
    "notebook/conflict",
    "Two versions of the same lines, left by git.\n\n\
     When two people changed the same lines, git writes both between lines of `<`, `=` and `>` and leaves the choice \
     to whoever merges. Neither version can be taken for the right one.\n\n\
     ````\n<<<<<<< HEAD\nfork.height = \"5 mm\"\n=======\nfork.height = \"7 mm\"\n>>>>>>> tuesday\n````\n\n\
     Better: keep the line that is right, delete the other and the three lines of marks.\n",
);
pub static TOO_DEEP: Code = error(
    "notebook/too-deep",
    "Lists, quotes or emphasis nested deeper than can be printed.\n\n\
     The limit is far beyond what a person writes; it keeps a damaged file from stopping the whole book.\n\n\
     Better: write the same with less nesting.\n",
);
pub static SYNTAX: Code = error(
    "toml/syntax",
    "A line of a head, a block or `book.toml` that is not TOML.\n\n\
     Heads and blocks are TOML: `key = value`, text in quotes, `#` before a remark. One finding is given for a line; the \
     other lines of the block are read all the same.\n\n\
     ````\n```sag rear\nhanging \"612 mm\"\n```\n````\n\nBetter: `hanging = \"612 mm\"`.\n",
);
pub static SPACED_KEY: Code = error(
    "toml/spaced-key",
    "A key with a space in it.\n\nA key is one word, its parts joined by points; the line is left out.\n\n\
     ````\n```settings\nfront tyre = \"12 psi\"\n```\n````\n\nBetter: `tyre.front = \"12 psi\"`.\n",
);
pub static UNQUOTED: Code = error(
    "toml/unquoted",
    "A value that is neither a number nor a date and stands without quotes.\n\n\
     TOML wants quotes around everything else, and a number with a unit is text.\n\n\
     ````\n```sag rear\nhanging = 612 mm\n```\n````\n\nBetter: `hanging = \"612 mm\"`.\n",
);
pub static REPEATED_KEY: Code = error(
    "toml/repeated-key",
    "A key that the same head or block has already.\n\n\
     Which of the two was meant cannot be known; the first is kept.\n\n\
     ````\n```sag rear\nhanging = \"612 mm\"\nhanging = \"613 mm\"\n```\n````\n\n\
     Better: repeats are one list, `hanging = \"612 613 mm\"`.\n",
);
pub static NOT_FINITE: Code = error(
    "toml/not-finite",
    "`nan` or `inf` where a number is wanted.\n\n\
     TOML has them, no reading is one. What is not known is left out: the figures that need it then say so.\n\n\
     ````\n```conditions\nhumidity = nan\n```\n````\n\nBetter: leave the key out.\n",
);
pub static NUMBER_TOO_LARGE: Code = error(
    "toml/number-too-large",
    "A number with more digits than a computer's number holds.\n\n\
     ````\n```machine\nnumber = 99999999999999999999\n```\n````\n\nBetter: write it in quotes if it is a name, or correct it.\n",
);
pub static MORE_ERRORS: Code = error(
    "toml/more-errors",
    "A file with so many lines that are not TOML that the rest of them is not listed.\n\n\
     Most often one fault near the first of them is behind them all.\n\nBetter: mend the first and check again.\n",
);
pub static NOT_UTF_8: Code = error(
    "file/not-utf-8",
    "A notebook or `book.toml` whose bytes are not UTF-8 text.\n\n\
     Older editors save é and ± in other ways, and a photo saved under the wrong name is no text at all. Such a file is \
     left out of the book.\n\nBetter: open it in an editor and save it as UTF-8.\n",
);
pub static NAME_NOT_UTF_8: Code = error(
    "file/name-not-utf-8",
    "A file whose name is not UTF-8.\n\n\
     It could not be named in a finding, a sheet or a link. It is left out of the book.\n\nBetter: rename it.\n",
);
pub static NAME_HAS_CONTROLS: Code = error(
    "file/name-has-controls",
    "A file whose name holds an end of line or another character that is no letter.\n\n\
     It would end the line that names it, or do something to the terminal that shows it. It is left out of the book.\n\n\
     Better: rename it with letters, digits and hyphens.\n",
);
pub static TOO_LARGE: Code = error(
    "file/too-large",
    "A notebook larger than a notebook may be.\n\n\
     The limit is a thousand times what a season of days takes, so this is most likely another sort of file. It is left \
     out of the book.\n\nBetter: move it out of the book, or split it.\n",
);
pub static TOO_MANY: Code = error(
    "file/too-many",
    "A book with more files than a book may have.\n\n\
     Most often the book's folder is not the one that was meant.\n\nBetter: put `book.toml` into the folder that holds the notebooks.\n",
);
pub static TOO_MANY_NOTEBOOKS: Code = error(
    "file/too-many-notebooks",
    "A book with more notebooks than a book may have.\n\n\
     Those up to the limit are read, in the order of their paths.\n\n\
     Better: a book for each of several riders or years, each a folder with its own `book.toml`.\n",
);
pub static BOOK_TOO_LARGE: Code = error(
    "file/book-too-large",
    "A book whose notebooks are larger in all than a book's may be.\n\n\
     Those up to the limit are read, in the order of their paths.\n\n\
     Better: a book for each of several riders or years, each a folder with its own `book.toml`.\n",
);
pub static TOO_MANY_BLOCKS: Code = error(
    "file/too-many-blocks",
    "A notebook with more blocks than one may have.\n\n\
     The limit is some hundred days in one notebook; the blocks behind it are left out.\n\nBetter: a notebook for each day.\n",
);
pub static TOO_MANY_VALUES: Code = error(
    "file/too-many-values",
    "A notebook with more values than one may have.\n\n\
     Keys, items of lists and long texts count; the limit is some hundred days in one notebook. The blocks behind it are \
     left out.\n\nBetter: a notebook for each day; long tables as files of their own.\n",
);
pub static BOOK_TOO_LONG: Code = error(
    "file/book-too-long",
    "A book with more blocks than a book may have.\n\n\
     The notebooks up to the limit are read, in the order of their paths.\n\n\
     Better: a book for each of several riders or years, each a folder with its own `book.toml`.\n",
);
pub static FOLDER_TOO_DEEP: Code = error(
    "file/folder-too-deep",
    "A folder nested deeper than a book may be.\n\nIt is left out of the book.\n\nBetter: move it up.\n",
);
pub static ANOTHER_BOOK: Code = Code {
    severity: Severity::Note,
    ..error(
        "file/another-book",
        "A `book.toml` in a folder of the book.\n\n\
         Each `book.toml` begins a book, and a notebook belongs to one: to the nearest folder upward that has the file. What \
         lies below is not read with this book.\n\n\
         Better: check it by itself, or take the file away where its notebooks belong to this book.\n",
    )
};
pub static LEADS_OUT: Code = error(
    "file/leads-out",
    "A link to a file or folder outside the book.\n\n\
     A book may come from somebody else, and what is read of it can be printed, sent or put on show. So nothing outside \
     its folder is read: no notebook, no lap file, no photo, no template. Links from one place of the book to \
     another are followed.\n\n\
     Better: put the file or folder itself in the place of the link.\n",
);
pub static UNREADABLE: Code = error(
    "file/unreadable",
    "A file or folder of the book that the system does not let be read.\n\n\
     It is left out of the book, and what refers to it will not find it.\n\nBetter: see who may read it, and whether a link leads nowhere.\n",
);
