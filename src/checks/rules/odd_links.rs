//! A chain that cannot be joined.

use crate::checks::written::WrittenSetting;
use crate::checks::{code, shown};
use crate::finding::{Code, Finding, Severity};
use crate::speech::say;
use crate::vocabulary::Setting;

pub(super) static CODE: Code = code(
    "drive/odd-links",
    Severity::Warning,
    "A chain with an odd number of links.

Inner and outer links alternate, so only an even number joins. The half link
that closes an odd chain is weaker than the rest of it.

````
```drive
links = 113
```
````

Better: count again. A link is one pin, and the joining link counts too: `links
= 114`.
",
);

pub(super) fn check(written: &WrittenSetting<'_>, findings: &mut Vec<Finding>) {
    let Some(links) = written.quantity().filter(|_| written.name == Setting::DRIVE_LINKS) else { return };
    if (links.value / 2.0).fract() == 0.0 {
        return;
    }
    let below = 2.0 * (links.value / 2.0).floor();
    findings.push(
        Finding::new(
            &CODE,
            written.span,
            say!("a chain of {links} cannot be joined", links = shown::written(links)),
        )
        .help(say!(
            "count the pins again: {below} or {above}",
            below = format!("{below:.0}"),
            above = format!("{:.0}", below + 2.0)
        )),
    );
}
