//! What can be wrong with a notebook as a text, whatever it is about.

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
    r#"A notebook with blocks or figures and no head.

The head says which machine, rider and day the notebook is about. Without it the
readings belong to nobody. A text without blocks and figures needs no head, and
is left alone.

````
# First day

```sag rear
hanging = "612 mm"
```
````

Better: begin the file with

````
+++
kind = "day"
date = 2026-04-11
machine = "corrie-450"
rider = "senior"
+++
````
"#,
);
pub static HEAD_OPEN: Code = error(
    "notebook/head-open",
    r#"A head without its second `+++`.

The program can only guess where the head ends: it reads everything up to the
first empty line as the head, and the rest as prose.

````
+++
kind = "rider"

# The senior
````

Better: write `+++` on a line of its own below the last line of the head.

````
+++
kind = "rider"
+++

# The senior
````
"#,
);
pub static FENCE_OPEN: Code = error(
    "notebook/fence-open",
    r#"A fenced block that is not closed before the next one begins or the text ends.

In Markdown an open fence runs on to the next closing line, or to the end.
Everything between is lost, prose and blocks alike.

````
```sag rear
hanging = "612 mm"

The collar wants a turn.
````

Better: end the block with a line of three backticks.

````
```sag rear
hanging = "612 mm"
```

The collar wants a turn.
````
"#,
);
pub static UNKNOWN_BLOCK: Code = error(
    "block/unknown",
    r#"A fenced block whose word is not a block's, but nearly one.

A fence with any other word is prose and left alone. A word one or two letters
off is most likely a slip, and the readings in the block would be silently lost.

````
```presures
main = "152 psi"
```
````

Better: write `pressures`.

````
```pressures
main = "152 psi"
```
````
"#,
);
pub static UNREAD: Code = Code {
    name: "block/unread",
    severity: Severity::Warning,
    since: "0.1.0",
    page: r#"Text that looks like a block and is not read as one.

In Markdown a line indented by four spaces is an example, and so is everything
in the fence that it opens. Quotes, one backtick or two open no block at all.
The readings do not count.

````
    ```sag rear
    hanging = "612 mm"
    ```
````

Better: three backticks at the margin; within a list, below the item's own text.
Put what is meant as an example between four backticks.

````
```sag rear
hanging = "612 mm"
```
````
"#,
};
pub static CONFLICT: Code = error(
    "notebook/conflict",
    r#"Two versions of the same lines, left by git.

Where two people changed the same lines, git writes both between lines of `<`,
`=` and `>`, and leaves the choice to whoever merges. The program cannot know
which is right.

````
<<<<<<< HEAD
fork.height = "5 mm"
=======
fork.height = "7 mm"
>>>>>>> tuesday
````

Better: keep the line that is right, and delete the other one and the three
lines of marks.

````
fork.height = "7 mm"
````
"#,
);
pub static TOO_DEEP: Code = error(
    "notebook/too-deep",
    "Lists, quotes or emphasis nested deeper than can be printed.

The limit is far beyond what a person writes; it keeps a damaged file from
stopping the whole book.

Better: write the same with less nesting.
",
);
pub static SYNTAX: Code = error(
    "toml/syntax",
    r#"A line of a head, a block or `book.toml` that is not TOML.

Heads and blocks are TOML: `key = value`, text in quotes, `#` before a remark.
Each such line gets one finding; the other lines of the block count.

````
```sag rear
hanging "612 mm"
```
````

Better: `hanging = "612 mm"`.
"#,
);
pub static SPACED_KEY: Code = error(
    "toml/spaced-key",
    r#"A key with a space in it.

A key is one word, its parts joined by points. The line does not count.

````
```settings
front tyre = "12 psi"
```
````

Better: `tyre.front = "12 psi"`.
"#,
);
pub static UNQUOTED: Code = error(
    "toml/unquoted",
    r#"A value without quotes that is neither a number nor a date.

TOML wants quotes around everything else, and a number with a unit is text.

````
```sag rear
hanging = 612 mm
```
````

Better: `hanging = "612 mm"`.
"#,
);
pub static REPEATED_KEY: Code = error(
    "toml/repeated-key",
    r#"A key that the same head or block has already.

Nobody can know which of the two was meant; the first counts.

````
```sag rear
hanging = "612 mm"
hanging = "613 mm"
```
````

Better: repeats are one list, `hanging = "612 613 mm"`.
"#,
);
pub static NOT_FINITE: Code = error(
    "toml/not-finite",
    "`nan` or `inf` where a number is wanted.

TOML has them, but no reading is one. What is not known is left out; the figures
that need it then say so.

````
```conditions
humidity = nan
```
````

Better: leave the key out.
",
);
pub static NUMBER_TOO_LARGE: Code = error(
    "toml/number-too-large",
    r#"A number with more digits than a computer's number holds.

Its last digits would be lost.

````
```rider
number = 99999999999999999999
```
````

Better: put it in quotes where it is a name, such as `number = "27"`, or correct
it.
"#,
);
pub static MORE_ERRORS: Code = error(
    "toml/more-errors",
    "A file with so many lines that are not TOML that the rest are not listed.

Most often one fault near the first of them is behind them all.

Better: mend the first and check again.
",
);
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
