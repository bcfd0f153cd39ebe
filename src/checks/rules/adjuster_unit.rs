//! Clicks written where the adjuster is counted in turns, and the reverse.

use crate::checks::written::WrittenSetting;
use crate::checks::{code, shown};
use crate::finding::{Code, Finding, Severity};
use crate::speech::{Message, say};

pub(super) static CODE: Code = code(
    "adjuster/other-count",
    Severity::Error,
    r#"Clicks of an adjuster that the machine's notebook counts in turns, or turns of
one that it counts in clicks.

Nobody can tell how far the adjuster is from its ends, or whether two days
differ: a click is not a turn.

````
```adjusters
shock.high_compression = "3 turns"
```

```settings
shock.high_compression = "8 clicks"
```
````

Better: count as the machine's notebook does, here `shock.high_compression =
"1.5 turns"`, or correct `adjusters` there.
"#,
);

pub(super) fn check(written: &WrittenSetting<'_>, findings: &mut Vec<Finding>) {
    let (Some(adjuster), Some(set)) = (written.adjuster(), written.quantity()) else { return };
    let all = &adjuster.quantity;
    if set.kind == all.kind {
        return;
    }
    let (found, counted) = (Message::word(set.kind.plural()), Message::word(all.kind.plural()));
    let headline = say!(
        "`{name}` is written in {found}, and its adjuster is counted in {counted}",
        name = written.name,
        found,
        counted
    );
    findings.push(
        Finding::new(&CODE, written.span, headline)
            .see(adjuster.span, say!("there are {all}", all = shown::written(all)))
            .help(say!("write {counted} out from closed, or correct `adjusters`", counted)),
    );
}
