//! What can be wrong between notebooks, and in their heads.

use crate::finding::{Code, Severity};

const fn code(name: &'static str, severity: Severity, page: &'static str) -> Code {
    Code { name, severity, since: "0.1.0", page }
}

pub static NO_KIND: Code = code(
    "head/kind",
    Severity::Error,
    r#"A notebook that does not say what it is about.

Without `kind` the program cannot tell which blocks belong in it.

```
+++
name = "Corrie"
+++
```

Better: add `kind = "machine"` (or `rider`, `track`, `day`).
"#,
);
pub static UNKNOWN_LANGUAGE: Code = code(
    "head/language",
    Severity::Warning,
    r#"A language that the program has no words for.

Findings and pages stay in English.

```
language = "xx"
```

Better: a language that the help lists, such as `language = "de"`. Or put the
words of yours into the book, as `templates/words/xx.toml`.
"#,
);
pub static BAD_WORDS: Code = code(
    "words/entry",
    Severity::Warning,
    r#"An entry in a book's own words of a language that cannot be used.

The words stand behind an English pattern, and have the same places in braces,
in any order. An entry that cannot be used is left out; the words that ship are
shown instead.

```
[findings]
"{headline} and {more} more" = "{headline}"
```

Better: the pattern as `loambook words --missing` lists it, with all its places.

```
[findings]
"{headline} and {more} more" = "{headline} und {more} weitere"
```
"#,
);
pub static NO_DATE: Code = code(
    "head/date",
    Severity::Error,
    r#"A day without a date.

Settings carry from day to day by date. A day without one has no place among the
others.

````
+++
kind = "day"
machine = "corrie-450"
rider = "senior"
+++
````

Better: add `date = 2026-04-11` to the head.
"#,
);
pub static NO_LINK: Code = code(
    "link/missing",
    Severity::Warning,
    r#"A day that does not name its machine, rider or track, in a book without a
default for it.

Without the machine nothing can be worked out. Without the rider no settings
carry.

````
+++
kind = "day"
date = 2026-04-11
+++
````

Better: add `machine = "NAME"` to the head, or once to `book.toml`:

```
[defaults]
machine = "corrie-450"
```
"#,
);
pub static UNKNOWN_LINK: Code = code(
    "link/unknown",
    Severity::Error,
    r#"A machine, rider, track, instrument or linkage that the book does not have.

A notebook is known by its file name without `.md`, an instrument by its name in
`book.toml`, a linkage by the name behind `link` in the machine's notebook.

```
machine = "corrie-405"
```

Better: take the name that the help offers, here `machine = "corrie-450"`, or
write the notebook.
"#,
);
pub static SAME_NAME: Code = code(
    "link/same-name",
    Severity::Error,
    "Two notebooks of one kind with the same name.

Other notebooks refer to a notebook by its file name, in whichever folder it
lies. Of two with one name, only the first can be meant.

Better: rename one of the files: `corrie-450.md` and `corrie-450-spare.md`.
",
);
pub static NO_PHOTO: Code = code(
    "link/photo",
    Severity::Warning,
    "A photo that is not in the book, or is neither PNG nor JPEG.

Photos are printed on the page behind the sheet. Nothing is ever fetched from
elsewhere.

````
![the worn chain guide](photos/guide.webp)
````

Better: put the file into the book, and write its path as seen from the
notebook.

````
![the worn chain guide](../photos/guide.jpg)
````
",
);
pub static UNPRINTED_PHOTO: Code = code(
    "photo/unprinted",
    Severity::Warning,
    "A photo that cannot be printed: it is too large, or broken.

The rest of the page is printed without it. A photo may have 16 MiB and 128
million pixels, the photos of a page 32 MiB. PNGs are unpacked here, and may
have 16 million pixels a page. The finding comes only when the page is printed,
since no other command opens a photo.

Better: save it smaller, or as JPEG.
",
);
pub static FOLDER_OUTSIDE: Code = code(
    "link/folder",
    Severity::Error,
    r#"An output folder that is not inside the book.

A book may come from somebody else, and only the command line may name a place
outside the book to write to. The path goes down from `book.toml`: it is not
absolute, has no `..`, and passes no hidden folder.

```
[output]
folder = "../prints"
```

Better: `folder = "prints"`, or `-o` on the command line.
"#,
);
pub static UNKNOWN_MENTION: Code = code(
    "name/mention",
    Severity::Error,
    "A code span that begins with `@` and names no figure, reading or setting.

The sheet has no value to show in its place.

```
The rider sag came out at `@sag.rear.ridr`.
```

Better: take the name that the help offers, here `@sag.rear.rider`.
",
);
pub static UNKNOWN_CHAMBER: Code = code(
    "link/chamber",
    Severity::Error,
    r#"A chamber that the machine's notebook does not have.

Its pressure belongs to nothing and does not count.

````
```pressures
mian = "152 psi"
```
````

Better: take the name that the help offers, here `main = "152 psi"`, or add a
`chamber NAME` block to the machine.
"#,
);

pub static FILLED_IN_TURN: Code = code(
    "chamber/filled-in-turn",
    Severity::Error,
    r#"A chamber that is filled from itself, or from a chamber that is itself filled
from another.

No chamber is left that somebody fills by hand, so neither has a pressure.

````
```chamber counter
side         = "negative"
charged_from = "counter"
```
````

Better: name the chamber that is filled by hand: `charged_from = "main"`.
"#,
);
pub static RESERVED_CHAMBER: Code = code(
    "chamber/reserved-name",
    Severity::Error,
    r#"A chamber whose name means something else in a `pressures` block, such as `at`,
`found` or `gauge`.

A pressure written under that name would be read as the temperature, the
readings before topping up, or the gauge.

````
```chamber found
side = "positive"
```
````

Better: give it another name, such as `chamber main`.
"#,
);
pub static NO_LAP_FILE: Code = code(
    "laps/file",
    Severity::Error,
    r#"A lap file that does not exist or cannot be read.

A path counts from the notebook, then from the book's folder. Nothing outside
the book is read.

````
```stint
laps = "laps/2026-04-11.csv"
```
````

Better: put the file there, or correct the path.
"#,
);
pub static NO_LAP_COLUMN: Code = code(
    "laps/column",
    Severity::Error,
    r#"A lap file in which the column of lap times cannot be found.

The stint names a column that the file does not have; or it names none, and
several columns look like lap times, or none does. Lap numbers, places, gaps and
running times are never taken for lap times.

````
```stint
laps   = "laps/2026-04-11.csv"
column = "tiem"
```
````

Better: the name in the file's first line, such as `column = "time"`, or `column
= "2"` for the second column.
"#,
);
pub static BAD_LAP_ROW: Code = code(
    "laps/row",
    Severity::Warning,
    "Rows of a lap file without a lap time.

They are left out, and the others count. The finding shows the first of them.

````laps/2026-04-11.csv
lap,time
1,2:04.1
2,pit
````

Better: minutes and seconds, `2:04.1`, or seconds, `124.1`. Name laps that do
not count in `skip`.
",
);

pub static TOO_MANY_LAP_ROWS: Code = code(
    "file/too-many-rows",
    Severity::Error,
    "A lap file with more rows than the limit.

The limit is more than a season of laps; it keeps a file of another kind from
stopping the whole book. The rows up to it count.

Better: a file for each day.
",
);

pub static TOO_MANY_CHAMBERS: Code = code(
    "file/too-many-chambers",
    Severity::Error,
    "A machine's notebook with more air chambers than the limit.

The limit is about five times what forks are built with. Chambers beyond it are
left out.

Better: one `chamber NAME` block for each chamber that the fork has.
",
);

/// All of this room's codes.
pub static CODES: &[&Code] = &[
    &NO_KIND,
    &UNKNOWN_LANGUAGE,
    &BAD_WORDS,
    &NO_DATE,
    &NO_LINK,
    &UNKNOWN_LINK,
    &SAME_NAME,
    &NO_PHOTO,
    &UNPRINTED_PHOTO,
    &FOLDER_OUTSIDE,
    &UNKNOWN_MENTION,
    &UNKNOWN_CHAMBER,
    &FILLED_IN_TURN,
    &RESERVED_CHAMBER,
    &NO_LAP_FILE,
    &NO_LAP_COLUMN,
    &BAD_LAP_ROW,
    &TOO_MANY_LAP_ROWS,
    &TOO_MANY_CHAMBERS,
];
