//! Figures in prose that cannot be shown.

use crate::book::{Book, Day, asked};
use crate::checks::code;
use crate::checks::place::{OfDay, OfMachine};
use crate::figures::{Absent, Bench, Here, Missing, Plain, Recorder, Recording};
use crate::finding::{Code, Finding, Severity};
use crate::notebook::{Document, Extent, Mention};
use crate::season::State;
use crate::speech::say;
use crate::vocabulary::{self, Named, ReadingName};

pub(super) static CODE: Code = code(
    "mention/no-figure",
    Severity::Warning,
    "A figure in the prose that cannot be worked out at that place.

A code span that begins with `@` shows what the readings above it give. Above
its readings it shows what was carried from earlier days, if anything was. Each
block says what it lacks for the figure.

```
The collar wants `@spring.rear.collar_turns`.
```

Better: write the missing reading, or move the sentence below the block that it
is about.
",
);

pub(super) fn check_day(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    // A day without its machine was reported, and has no figures.
    if place.machine.is_none() || is_broken(&place.day.notebook.document) {
        return;
    }
    let mut benches: Vec<Bench<'_, Plain>> = Vec::new();
    for mention in &place.day.notebook.document.mentions {
        let asked = asked(mention);
        let (index, state) = match asked.day {
            None => (place.index, place.replay.at(mention.span.start)),
            Some(other) => {
                // A day that does not exist was reported.
                let other = place.book.other_day(Some(place.day), other);
                let Some(index) = other.and_then(|other| index_of(place.book, other)) else { continue };
                let Some(replay) = place.season.days.get(index) else { continue };
                (index, replay.end())
            }
        };
        if asked.day.is_none() && place.bench.is_at(state) {
            let absent = absent(&place.bench, state, asked.name);
            findings.extend(absent.map(|absent| finding(mention, asked.name, None, &absent)));
            continue;
        }
        // Most mentions follow another at the same place of the diary, whose figures share what they rest on.
        if !benches.iter().any(|bench| bench.is_at(state)) {
            // Whether there is a figure does not depend on its uncertainty.
            let here = Here::of_day(place.book, place.season, index, state);
            benches.extend(here.map(|here| Bench::new(here, Plain).untraced()));
        }
        let bench = benches.iter().find(|bench| bench.is_at(state));
        let absent = bench.and_then(|bench| absent(bench, state, asked.name));
        findings.extend(absent.map(|absent| finding(mention, asked.name, asked.day, &absent)));
    }
}

pub(super) fn check_machine(place: &OfMachine<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    if is_broken(&place.machine.document) {
        return;
    }
    for mention in &place.machine.document.mentions {
        let asked = asked(mention);
        if asked.day.is_some() {
            continue;
        }
        let absent = absent(&place.bench, place.state, asked.name);
        findings.extend(absent.map(|absent| finding(mention, asked.name, None, &absent)));
    }
}

/// Whether a block could not be read in full, so that an absent key may not be missing.
fn is_broken(document: &Document<Extent>) -> bool {
    document.blocks.iter().any(|block| block.body.broken)
}

fn index_of(book: &Book, day: &Day) -> Option<usize> {
    book.days.iter().position(|other| std::ptr::eq(other, day))
}

/// Why a name has no value to show; `None` where it has one, or where the name is unknown, which was reported.
///
/// Where a value waits for an error to be mended, that error is reported and nothing more. Advice that replaces a number
/// is shown in its place.
fn absent(bench: &Bench<'_, impl Recorder>, state: &State, name: &str) -> Option<Absent> {
    why_absent(bench, state, name)
        .filter(|absent| !matches!(absent, Absent::Rejected(_) | Absent::Instead(_)))
}

fn why_absent(bench: &Bench<'_, impl Recorder>, state: &State, name: &str) -> Option<Absent> {
    let unset = || {
        Absent::Missing(vec![Missing { block: "settings".to_owned(), key: name.to_owned(), notebook: "day" }])
    };
    match vocabulary::lookup(name)? {
        Named::Figure(name) => bench.why_absent(name),
        Named::Setting(setting) => {
            let is_written = state.setting(setting).is_some()
                || state.rejected_setting(setting).is_some()
                || state.last_read(setting).is_some();
            (!is_written).then(unset)
        }
        Named::Reading(reading) => {
            let steering = state.steering();
            let is_read = match reading {
                ReadingName::SteeringDrop => steering.is_some_and(|steering| steering.drop.is_some()),
                ReadingName::SteeringPull => steering.is_some_and(|steering| steering.pull.is_some()),
            };
            (!is_read).then(|| {
                Absent::Cannot(say!("nobody has read `{name}` yet: add a `steering` block above", name))
            })
        }
    }
}

fn finding(mention: &Mention, name: &str, day: Option<&str>, absent: &Absent) -> Finding {
    let headline = match day {
        Some(day) => say!("there is no `{name}` on {day}", name, day),
        None => say!("there is no `{name}` here", name),
    };
    let mut finding = Finding::new(&CODE, mention.span, headline);
    match absent {
        Absent::Missing(missing) => {
            for missing in missing {
                finding = finding.help(missing.help());
            }
        }
        Absent::Rejected(faulty) => finding = finding.found(faulty.reason()),
        Absent::Cannot(reason) | Absent::Instead(reason) => finding = finding.found(reason.clone()),
    }
    finding
}
