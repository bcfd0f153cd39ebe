//! Two changes at once, of which neither can be told to have done it.

use std::collections::BTreeMap;

use crate::checks::code;
use crate::checks::place::OfDay;
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::season::Event;
use crate::source::Span;
use crate::vocabulary::blocks::AnyBlock;
use crate::vocabulary::settings;

pub(super) static CODE: Code = code(
    "change/confounded",
    Severity::Warning,
    r#"Two or more settings changed between two stints.

Better or worse, nobody can say which of them did it; the history claims nothing for either. Settings that belong
together, such as spring and preload or the two sprockets, count as one.

````
```change
fork.height = "2 mm down"
tyre.rear   = "-1 psi"
because = "headshake"
```
````

Better: one change, a stint, and then the other; best of all back again once more.
"#,
);

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let mut has_ridden = false;
    let mut changed: Vec<&Event> = Vec::new();
    for (at, block) in place.blocks().iter().enumerate() {
        let AnyBlock::Stint(stint) = block else {
            changed.extend(place.replay.events.iter().filter(|event| event.block == at));
            continue;
        };
        if has_ridden {
            findings.extend(check_between(&changed, stint.header.fence));
        }
        has_ridden = true;
        changed.clear();
    }
}

/// What stands for a setting where it is counted: itself, or what it belongs together with.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Unit {
    Together(settings::Together),
    Alone(String),
}

fn unit(name: &str) -> Unit {
    match settings::row(name).and_then(|row| row.together) {
        Some(together) => Unit::Together(together),
        None => Unit::Alone(name.to_owned()),
    }
}

fn check_between(changed: &[&Event], stint: Span) -> Option<Finding> {
    // What was put back where it was before the next stint was not changed.
    let mut net: BTreeMap<&str, (&Event, &Event)> = BTreeMap::new();
    for event in changed {
        net.entry(&event.name).and_modify(|(_, last)| *last = event).or_insert((event, event));
    }
    let mut units: BTreeMap<Unit, &Event> = BTreeMap::new();
    for (name, (first, last)) in net {
        let is_same = match (&first.before, &last.after) {
            (Some(before), Some(after)) => before.value.same_as(&after.value),
            (before, after) => before.is_none() && after.is_none(),
        };
        if !is_same {
            units.entry(unit(name)).or_insert(last);
        }
    }
    let mut events: Vec<&Event> = units.into_values().collect();
    events.sort_by_key(|event| (event.span.file, event.span.start));
    let (last, others) = events.split_last()?;
    if others.is_empty() {
        return None;
    }
    let names: Vec<String> = events.iter().map(|event| format!("`{}`", event.name)).collect();
    let all = match names.split_last() {
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
        None => String::new(),
    };
    let none = if others.len() == 1 { "neither" } else { "none of them" };
    let headline = format!("{all} were changed before one stint: {none} can be told to have done it");
    let mut finding = Finding::new(&CODE, last.span, headline);
    for other in others {
        finding = finding.see(other.span, "and this");
    }
    Some(
        finding
            .see(stint, "the stint that they share")
            .help("ride a stint between two changes; going back to one of them now tells them apart"),
    )
}
