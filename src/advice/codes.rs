//! What can be wrong with a `feel`, or with an advice file.

use crate::finding::{Code, Severity};

const fn code(name: &'static str, severity: Severity, page: &'static str) -> Code {
    Code { name, severity, since: "0.1.0", page }
}

pub static UNKNOWN_WORD: Code = code(
    "feel/word",
    Severity::Warning,
    r#"A word in `feel` that is nearly one that is understood.

The text is kept as it was written, but a complaint that is not understood gets
neither count nor advice.

````
```stint
feel = "hedshake straight 3"
```
````

Better: spell it as listed. Words of your own stand behind ` - `.

````
```stint
feel = "headshake straight 3 - from fourth gear on"
```
````
"#,
);
pub static NO_COMPLAINT: Code = code(
    "feel/no-complaint",
    Severity::Warning,
    r#"A `feel` in which no complaint is understood.

The words are kept as they were written, and get neither count nor advice.
`loambook words feel` lists what is understood. A book's own
`templates/advice.toml` can add to it, under `said`.

````
```stint
feel = "straight 3"
```
````

Better: `feel = "headshake straight 3"`. A ride without a complaint needs no
`feel`; other words go into `note`.
"#,
);
pub static SAID_TWICE: Code = code(
    "feel/twice",
    Severity::Warning,
    r#"Two complaints with one strength, or two strengths for one complaint.

Nobody can tell which strength belongs to which complaint, so none counts.

````
```stint
feel = "headshake harsh 3"
```
````

Better: a text for each, or a comma between them.

````
```stint
feel = ["headshake straight 3", "harsh braking 2"]
```
````
"#,
);
pub static VERDICT: Code = code(
    "feel/verdict",
    Severity::Warning,
    r#"A `feel` that only says how the ride compares with the one before: `better`,
`same`, `worse`.

What a change did is counted from `verdict`. In `feel` the word is kept as it
was written, and the season's history does not have it.

````
```stint
feel = "headshake straight 4"
```

```change
fork.height = "3 mm"
```

```stint
feel = "better"
```
````

Better: a verdict, and in `feel` what the machine still does.

````
```stint
feel = "headshake straight 2"
verdict = "better"
```
````
"#,
);
pub static LEFT_OVER: Code = code(
    "feel/left-over",
    Severity::Note,
    r#"A `feel` with one complaint that is understood, and something beside it that
looks like another complaint or a place.

What is understood counts. The rest is kept as it was written, and gets neither
count nor advice.

````
```stint
feel = "headshake straight 3, fork zings"
```
````

Better: a word that `loambook words feel` lists, a place from the track's
`sections`, or ` - ` before words of your own.

````
```stint
feel = "headshake straight 3 - fork zings"
```
````
"#,
);
pub static STRENGTH: Code = code(
    "feel/strength",
    Severity::Warning,
    r#"A strength in `feel` outside 1 to 5.

One can just be felt, five cannot be ridden. The complaint counts without a
strength.

````
```stint
feel = "headshake straight 7"
```
````

Better: a whole number from 1 to 5: `feel = "headshake straight 5"`.
"#,
);
pub static NOT_CLEARED: Code = code(
    "rider/not-cleared",
    Severity::Warning,
    r#"A rider with words of an injury on file, whom nobody has cleared to ride since.

Nothing is advised, prepared or printed for them, on any day, until a `checked`
of a later day says who cleared them and when. The words may stand in a `feel`,
a note or the prose of a day, in each language that pages have. Whether somebody
is fit to ride is for a doctor to say, not for a notebook.

```
feel = "headshake straight 3 - fingers were numb"
```

Better: once a qualified person has said so, write it on that day.

````
```checked
cleared = "by whom, when"
```
````
"#,
);
pub static UNKNOWN_KEY: Code = code(
    "advice/key",
    Severity::Error,
    r#"A key or a table in the advice file that the program does not know.

It is not used, and a rule that silently does nothing is worse than none.

```
beter = "the head shakes less"
```

Better: take the name that the help offers. The advice file that ships has
examples of every key.
"#,
);
pub static BAD_VALUE: Code = code(
    "advice/value",
    Severity::Error,
    r#"A value in the advice file that its key does not take.

The entry is left out, so that no step is proposed that was only half
understood.

```
by = "2 clicks"
```

Better: say which way, as in a `change`: `by = "2 clicks in"`.
"#,
);
pub static MISSING: Code = code(
    "advice/missing",
    Severity::Error,
    "An entry of the advice file without a key that it needs.

A step says what it changes, what that costs, and what the rider feels if it
worked. A step without one of these is left out.

Better: add the key that the help names.
",
);
pub static UNKNOWN_NAME: Code = code(
    "advice/name",
    Severity::Error,
    r#"A name in the advice file that is no setting, figure, reading, look or
complaint.

The entry is left out: there is nothing that it could change or look at.

```
setting = "fork.hight"
```

Better: take the name that the help offers, here `setting = "fork.height"`.
"#,
);

/// All of this room's codes.
pub static CODES: &[&Code] = &[
    &UNKNOWN_WORD,
    &NO_COMPLAINT,
    &SAID_TWICE,
    &VERDICT,
    &LEFT_OVER,
    &STRENGTH,
    &NOT_CLEARED,
    &UNKNOWN_KEY,
    &BAD_VALUE,
    &MISSING,
    &UNKNOWN_NAME,
];
