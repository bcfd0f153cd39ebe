//! A season: settings in force, what is due, statistics of hand-made stints, the page.

mod browser;
mod due;
mod laps;
mod page;
mod state;
mod step;

use std::sync::Arc;

use loambook::book::Book;
use loambook::season::Season;
use loambook::session::Compiled;
use loambook::source::{Disk, Memory};

use crate::books::replayed;

/// An invented machine with bands, intervals and adjusters.
const MACHINE: &str = r#"+++
kind = "machine"
name = "Whin 300"
+++
```frame
rake = "26.5°"
trail = "112 mm"
wheelbase = "1480 mm"
```
```shock
travel = "300 mm"
leverage = 3
spring = "48 N/mm"
thread_pitch = "1.5 mm"
```
```drive
front = 13
rear = 50
chain = "520"
```
```settings
fork.height = "5 mm"
fork.rebound = "12 clicks"
fork.compression = "12 clicks"
shock.preload = "8 mm"
tyre.rear = "12 psi"
```
```band
sag.rear.rider = { aim = "105 mm", within = "100..110 mm", recheck = "30 days" }
steering.drop = { want = "stays", recheck = "14 days" }
tyre.rear = { within = "11..13 psi", recheck = "before each ride" }
```
```service
"engine oil" = { every = "10 h", last = "20 h" }
"brake fluid, both" = { every = "365 days", last = 2026-01-31 }
```
"#;

const RIDER: &str = "+++\nkind = \"rider\"\nname = \"The tall one\"\n+++\n";
const TRACK: &str = "+++\nkind = \"track\"\nname = \"Gorse Field\"\n+++\n```track\nsoil = \"clay\"\n```\n";

/// A book of one machine, rider and track, and of days given by date and body.
fn store<'b>(days: impl IntoIterator<Item = (&'b str, &'b str)>) -> Memory<'static> {
    let mut store = Memory::new()
        .with("machines/whin.md", MACHINE)
        .with("riders/tall.md", RIDER)
        .with("tracks/gorse.md", TRACK);
    for (date, body) in days {
        let head = format!(
            "+++\nkind = \"day\"\ndate = {date}\nmachine = \"whin\"\nrider = \"tall\"\ntrack = \"gorse\"\n+++\n"
        );
        store.set(format!("days/{date}.md"), format!("{head}{body}"));
    }
    store
}

fn open(store: &Memory<'_>) -> (Arc<Book>, Arc<Season>) {
    let Compiled { book, season, findings, .. } = replayed(store);
    let all: Vec<String> = findings.into_iter().map(|finding| finding.headline.to_string()).collect();
    assert!(all.is_empty(), "{all:?}");
    (book, season)
}

/// The book that comes with the project.
fn demo() -> (Arc<Book>, Arc<Season>) {
    let Compiled { book, season, .. } = replayed(Disk::new("notebooks"));
    (book, season)
}
