//! Two changes at once: nobody can say which one did it.

use std::collections::BTreeMap;

use crate::checks::code;
use crate::checks::place::OfDay;
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::season::{Changed, Event, Point, singles};
use crate::source::Span;
use crate::speech::{Message, say};
use crate::vocabulary::blocks::AnyBlock;

pub(super) static CODE: Code = code(
    "change/confounded",
    Severity::Warning,
    r#"Two or more settings changed between two stints.

Whether it got better or worse, nobody can say which of them did it. The history
gives neither the credit. Settings that belong together, such as spring and
preload or the two sprockets, count as one.

````
```change
fork.height = "2 mm down"
tyre.rear   = "-1 psi"
because = "headshake"
```
````

Better: one change, a stint, then the other. Best of all, go back once more and
ride again.

````
```change
fork.height = "2 mm down"
because = "headshake"
```
````
"#,
);

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let stints: Vec<(&Point, Span)> = place
        .replay
        .points
        .iter()
        .filter_map(|point| match place.blocks().get(point.block) {
            Some(AnyBlock::Stint(stint)) => Some((point, stint.header.fence)),
            _ => None,
        })
        .collect();
    for pair in stints.windows(2) {
        let [(before, _), (after, stint)] = pair else { continue };
        findings.extend(check_between(&place.replay.events, before, after, *stint));
    }
}

/// A setting by its name; a damper's valving, which has no name in notebooks, in words.
fn told_name(name: Changed) -> Message {
    match name {
        Changed::Valving(damper) => Message::word(damper.label()),
        Changed::Setting(name) => Message::text(format!("`{name}`")),
    }
}

fn check_between(events: &[Event], before: &Point, after: &Point, stint: Span) -> Option<Finding> {
    let differences = before.state.differences(&after.state);
    // The first setting of what counts as one change represents all.
    let mut told = BTreeMap::new();
    for (difference, single) in differences.iter().zip(singles(&differences)) {
        told.entry(single).or_insert(difference.name);
    }
    let between = |event: &&Event| (before.block..after.block).contains(&event.block);
    let last = |name: Changed| events.iter().filter(between).rfind(|event| event.name == name);
    let mut events: Vec<&Event> = told.into_values().filter_map(last).collect();
    events.sort_by_key(|event| (event.span.file, event.span.start));
    let (last, others) = events.split_last()?;
    if others.is_empty() {
        return None;
    }
    let all = Message::both(events.iter().map(|event| told_name(event.name)));
    let headline = match others.len() {
        1 => say!("{all} were changed before one stint: nobody can say which of the two did it", all),
        _ => say!("{all} were changed before one stint: nobody can say which of them did it", all),
    };
    let mut finding = Finding::new(&CODE, last.span, headline);
    for other in others {
        finding = finding.see(other.span, say!("and this"));
    }
    Some(
        finding
            .see(stint, say!("the stint that they share"))
            .help(say!("ride a stint between two changes; going back to one of them now tells them apart")),
    )
}
