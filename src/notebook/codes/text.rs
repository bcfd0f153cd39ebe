//! Faults in how a notebook is written.

use crate::finding::{Code, Severity};

use super::error;

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
