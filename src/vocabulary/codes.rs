//! What can be wrong with the words of a notebook.

use crate::finding::{Code, Severity};

const fn code(name: &'static str, severity: Severity, page: &'static str) -> Code {
    Code { name, severity, since: "0.1.0", page }
}

pub static MISPLACED: Code = code(
    "block/misplaced",
    Severity::Error,
    r#"A block in a kind of notebook that it does not belong to.

Readings belong to days, hardware to machines. A `sag` block in a machine's
notebook has no date, so nothing can be made of it.

````machines/corrie-450.md
```sag rear
hanging = "612 mm"
```
````

Better: move the block to the notebook that the help names, here a day's.
"#,
);
pub static ARGUMENT: Code = code(
    "block/argument",
    Severity::Error,
    r#"The second word behind a fence is missing, unknown or one too many.

`sag` needs to know which end it is about, and `chamber` needs a name.

````
```sag
hanging = "612 mm"
```
````

Better: write `sag rear` behind the fence.

````
```sag rear
hanging = "612 mm"
```
````
"#,
);
pub static REPEATED: Code = code(
    "block/repeated",
    Severity::Warning,
    r#"A block that a notebook should have once, and has twice.

Of two `frame` blocks only the later one counts, which is seldom what was meant.

````
```frame
rake = "26.9°"
```

```frame
wheelbase = "1480 mm"
```
````

Better: put both into one block, or write `void = "why"` into the one that no
longer holds.

````
```frame
rake      = "26.9°"
wheelbase = "1480 mm"
```
````
"#,
);
pub static UNKNOWN_KEY: Code = code(
    "key/unknown",
    Severity::Error,
    r#"A key that the block does not have.

Without this finding a misspelt key would be a reading silently lost.

````
```sag rear
hangin = "612 mm"
```
````

Better: take the word that the help offers, here `hanging = "612 mm"`. `loambook
words sag` lists them all.
"#,
);
pub static MISSING_KEY: Code = code(
    "key/missing",
    Severity::Warning,
    r#"A block that lacks one of its main keys.

The rest of the block counts. The finding says what is missing until the key is
there.

````
```sag rear
aboard = "508 mm"
```
````

Better: add `hanging`, from which every sag counts.

````
```sag rear
hanging = "612 mm"
aboard  = "508 mm"
```
````
"#,
);
pub static EMPTY_BLOCK: Code = code(
    "block/empty",
    Severity::Note,
    "A block with nothing in it.

It does no harm and says nothing. Most often something was meant to go there and
was forgotten.

````
```settings
```
````

Better: fill it in, or delete it.
",
);
pub static WRONG_FORM: Code = code(
    "value/wrong-form",
    Severity::Error,
    r#"A value of the wrong form: a number where words are wanted, or a table where a
number is.

It cannot be read, so it does not count.

````
```change
because = 3
```
````

Better: write it in the form that the help shows, here `because = "headshake on
the straight"`.
"#,
);
pub static UNKNOWN_WORD: Code = code(
    "value/unknown-word",
    Severity::Error,
    r#"A word that is not one of the few that a key takes.

The reading is not understood, so it does not count.

````
```steering
drop = "drops"
```
````

Better: `drop = "falls"` or `drop = "stays"`.
"#,
);
pub static UNKNOWN_NAME: Code = code(
    "name/unknown",
    Severity::Error,
    r#"A figure, reading or setting that does not exist.

There is nothing to judge or to set by that name, so the line does not count.

````
```band
sag.rear.ridr = { aim = "105 mm" }
```
````

Better: take the name that the help offers, here `sag.rear.rider`. `loambook
words` lists them all.
"#,
);
pub static BAD_DATE: Code = code(
    "value/date",
    Severity::Error,
    "A date that does not exist, or is not written as one.

A date is year-month-day, with two digits each for month and day. Days follow
each other by their dates.

```
date = 2026-02-30
```

Better: `date = 2026-02-28`.
",
);
pub static BAD_TIME: Code = code(
    "value/time-of-day",
    Severity::Error,
    r#"A time of day that cannot be read.

A time is hours and minutes, from 0:00 to 23:59. Days of one date are put in
order by it, and stints are compared with the one before.

````
```stint
start = "half past nine"
```
````

Better: `start = "9:30"`.
"#,
);
pub static LINKAGE_FALLS: Code = code(
    "linkage/falls",
    Severity::Error,
    r#"A linkage table in which wheel travel or shock stroke does not rise from row to
row, or does not start at zero.

No leverage can be worked out between two such rows.

````
```shock
leverage = [["0 mm", "0 mm"], ["50 mm", "17 mm"], ["40 mm", "20 mm"]]
```
````

Better: measure from full extension, and put the rows in the order of the wheel
travel.

````
```shock
leverage = [["0 mm", "0 mm"], ["40 mm", "14 mm"], ["50 mm", "17 mm"]]
```
````
"#,
);

pub static RELATIVE: Code = code(
    "settings/relative",
    Severity::Error,
    r#"A step in `settings`, which say how the machine stands.

`settings` are as found or as set; how far something was moved belongs in a
`change`. People say *12 clicks out* of a clicker that is at 12, and of one that
was opened by 12 more. Nobody could tell which. A minus means a number below
zero here, where the setting can be below zero.

````
```settings
fork.rebound = "12 clicks out"
```
````

Better: `fork.rebound = "12 clicks"`, counted out from closed. For a step, the
same words in a `change`.
"#,
);

pub static UNUSUAL: Code = code(
    "value/unusual",
    Severity::Warning,
    r#"A number that hardly any machine or rider has: most often a decimal point that
slipped, or centimetres where millimetres were meant.

It counts as written, and so does everything that follows from it. What is usual
is wide: a child's machine and an old one are inside. Common practice, no
source.

````
```frame
rake      = "26.9°"
trail     = "115 mm"
wheelbase = "148.5 mm"
```
````

Better: `wheelbase = "1485 mm"`. Where the number is right, leave it.
"#,
);
pub static UNIT_NEEDED: Code = code(
    "value/unit-needed",
    Severity::Error,
    r#"A height above the sea, or the length of a lap, without its unit.

Bare numbers are in the unit that the book has for lengths, and that is one for
parts of a machine. A track 420 mm up has the air of the coast, and jets and
pressures would be worked out for that.

````book.toml
[units]
length = "mm"
````

````tracks/gorse-field.md
+++
kind = "track"
+++

```track
elevation = 420
```
````

Better: `elevation = "420 m"`, or in feet: `"1378 ft"`.
"#,
);
pub static AS_CLOCK: Code = code(
    "hours/as-clock",
    Severity::Error,
    r#"Hours with a colon. `21:30` is a lap time: 21 minutes and 30 seconds.

Services that are counted in hours would never be due.

````
```hours
meter = "21:30"
```
````

Better: `meter = "21.5 h"`.
"#,
);
pub static AIM_OUTSIDE: Code = code(
    "band/aim-outside",
    Severity::Error,
    r#"An aim outside its own band. One of the two is a slip.

Preload and springs are worked out for the aim, and sheets judge by the band:
the one would tell you to leave the other. The aim does not count.

````
```band
sag.rear.rider = { aim = "150 mm", within = "102..108 mm" }
```
````

Better: `aim = "105 mm"`, or the band that was meant.
"#,
);

/// All of this room's codes.
pub static CODES: &[&Code] = &[
    &MISPLACED,
    &ARGUMENT,
    &REPEATED,
    &UNKNOWN_KEY,
    &MISSING_KEY,
    &EMPTY_BLOCK,
    &WRONG_FORM,
    &UNKNOWN_WORD,
    &UNKNOWN_NAME,
    &BAD_DATE,
    &BAD_TIME,
    &LINKAGE_FALLS,
    &RELATIVE,
    &UNUSUAL,
    &UNIT_NEEDED,
    &AS_CLOCK,
    &AIM_OUTSIDE,
];
