//! Things ticked off that nobody asks for.

use std::collections::BTreeSet;

use crate::checks::code;
use crate::checks::place::OfDay;
use crate::figures::Recording;
use crate::speech::say;

use crate::finding::{Code, Finding, Severity, closest};
use crate::source::limits;
use crate::vocabulary;
use crate::vocabulary::blocks::{BandBlock, Checked, LOOKS, ServiceBlock, is_look};

pub(super) static CODE: Code = code(
    "checked/unknown",
    Severity::Warning,
    r#"Something ticked off that is no look, no service of the machine and no reading.

Nothing becomes less due by it.

````
```checked
done = ["air filtre"]
```
````

Better: the look's own word, or the service as the machine's notebook spells it.
`loambook words checked` lists the looks. What you only want to remember is
prose.

````
```checked
done = ["filter"]
```
````
"#,
);

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    // Without a machine its services are not known.
    let Some(machine) = place.machine else { return };
    let services = || {
        machine.all::<ServiceBlock>().flat_map(|block| &block.others.services).map(|service| &*service.name)
    };
    let bands = || machine.all::<BandBlock>().flat_map(|block| &block.others.bands);
    let known = || -> BTreeSet<&str> {
        let looks = LOOKS.iter().map(|look| look.word);
        looks.chain(services()).chain(bands().map(|band| band.name.as_str())).collect()
    };
    let done =
        place.day.notebook.all::<Checked>().flat_map(|block| &block.done).flat_map(|done| &done.values);
    for done in done {
        let name = done.text.as_str();
        if is_look(name) || services().any(|service| service == name) || vocabulary::lookup(name).is_some() {
            continue;
        }
        // Beyond this many findings no more are shown, and near words are not searched for.
        let is_told = findings.len() < limits::FILE_FINDINGS;
        let near = if is_told { nearest(name, &known()) } else { Vec::new() };
        let finding = Finding::new(
            &CODE,
            done.span,
            say!(
                "{title} has no check or service `{name}`: nothing was ticked off",
                name,
                title = machine.title
            ),
        );
        findings.push(match near.first() {
            Some(near) => finding.help(say!("did you mean `{near}`?", near)),
            None => {
                finding.help(say!("take a look's word, a service of the machine's notebook, or a reading"))
            }
        });
    }
}

/// What a name most likely meant: `air filtre` is nearest to `filter` by its second word.
fn nearest<'a>(name: &str, known: &BTreeSet<&'a str>) -> Vec<&'a str> {
    let near = closest(name, known.iter().copied());
    if !near.is_empty() {
        return near;
    }
    name.split_whitespace().flat_map(|word| closest(word, known.iter().copied())).collect()
}
