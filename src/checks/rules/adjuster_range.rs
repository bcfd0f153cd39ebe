//! Clicks and turns beyond what the adjuster has.

use crate::checks::written::WrittenSetting;
use crate::checks::{code, shown};
use crate::finding::{Code, Finding, Severity};
use crate::speech::{Message, say};

pub(super) static CODE: Code = code(
    "adjuster/past-its-end",
    Severity::Error,
    r#"More clicks or turns out than the adjuster has.

The adjuster stops earlier, so what is written is not what was set. Counting
from it goes wrong from there on.

````
```settings
fork.rebound = "27 clicks"
```
````

Better: turn the adjuster in gently until it stops, and count out again:
`fork.rebound = "12 clicks"`.
"#,
);

pub(super) fn check(written: &WrittenSetting<'_>, findings: &mut Vec<Finding>) {
    let (Some(adjuster), Some(set)) = (written.adjuster(), written.quantity()) else { return };
    let most = &adjuster.quantity;
    if set.kind != most.kind || set.value <= most.value * (1.0 + 1e-9) {
        return;
    }
    let found = if written.is_step {
        say!("it comes to {set}", set = shown::written(set))
    } else {
        Message::default()
    };
    let headline = say!(
        "`{name}` is {set} out, and there are {most}",
        name = written.name,
        set = shown::written(set),
        most = shown::written(most)
    );
    let finding = Finding::new(&CODE, written.span, headline)
        .found(found)
        .see(adjuster.span, say!("all there are"))
        .help(say!("turn it in until it stops, softly, and count out again"));
    findings.push(match written.is_step {
        true => finding.help(say!("where it stands is written without `out` or `in`; with one it is a step")),
        false => finding,
    });
}
