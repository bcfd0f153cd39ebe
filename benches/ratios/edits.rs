//! How long an edit takes in a book that is being worked on, and whether a session grows by editing.
//!
//! A made-up diary stays in one session. Edits of several kinds are drawn over all of its days; after each, the whole
//! book's findings are asked for. Edits of a machine, of the rider and of `book.toml` are listed apart: every day
//! rests on them.

use std::time::{Duration, Instant};

use loambook::session::Session;

use super::{grown, milliseconds, resident, tell};

const EDITS: usize = 200;
/// Edits after which a session is as large as before.
const MANY: usize = 10_000;

/// A kind of edit of a day: its name, the words looked for, and their replacement with a number drawn.
type Edit = (&'static str, &'static str, fn(u64) -> String);

const OF_DAYS: [Edit; 6] = [
    ("a word of prose", "Dry after", |n| format!("Drier by {} than after", n % 90)),
    ("a lap", "laps = \"2:03", |n| format!("laps = \"2:0{}", 1 + n % 8)),
    ("the air", "air = \"", |n| format!("air = \"{}", n % 3)),
    ("a pressure", "tyre.front = \"13", |n| format!("tyre.front = \"1{}", 1 + n % 4)),
    ("a sag read once", "alone = \"577", |n| format!("alone = \"57{}", n % 9)),
    ("a sag read three times", "aboard = \"5", |n| format!("aboard = \"50{} 5", 4 + n % 4)),
];
const OF_ALL: [(&str, &str, Edit); 3] = [
    ("machine", "machines/first.md", ("a word of prose", "\n# ", |n| format!("\n# {n} "))),
    ("rider", "riders/senior.md", ("a word of prose", "\n# ", |n| format!("\n# {n} "))),
    ("book.toml", "book.toml", ("its title", "title = \"", |n| format!("title = \"{n} "))),
];

pub fn tell_all(days: usize) {
    let (store, texts) = grown::diary(days);
    let mut session = Session::over(&store).unwrap();
    let start = Instant::now();
    let on = session.replay().book.days.last().map(|day| day.date);
    let replayed = start.elapsed();
    session.compile(on);
    println!(
        "{days} days: read and replayed in {:.0} ms, checked after {:.0} ms",
        milliseconds(replayed),
        milliseconds(start.elapsed())
    );

    let mut draws = 0x9e37_79b9_7f4a_7c15_u64;
    let mut draw = move || {
        draws ^= draws << 13;
        draws ^= draws >> 7;
        draws ^= draws << 17;
        draws
    };
    let of_days: Vec<&(String, String)> =
        texts.iter().filter(|(path, _)| path.starts_with("days/")).collect();
    let mut all = Vec::new();
    for (kind, was, is) in OF_DAYS {
        let mut took = Vec::new();
        for _ in 0..EDITS / OF_DAYS.len() {
            let (path, text) = of_days[usize::try_from(draw()).unwrap_or(0) % of_days.len()];
            let edited = text.replacen(was, &is(draw()), 1);
            took.push(time(&mut session, path, &edited, on));
            // Undone, so that each edit starts from the book as it was.
            session.edit(path.as_str(), text.as_str());
            session.compile(on);
        }
        all.extend(&took);
        show(&format!("day: {kind}"), took);
    }
    let slowest = show("day: all kinds", all);
    tell("an edit of a day, 99th percentile", slowest, "ms", 5.0);
    repeats_that_tell(days);
    let (path, text) = of_days[of_days.len() - 1];
    grown_by(&mut session, (path.as_str(), text.as_str()), on);
    session.edit(path.as_str(), text.as_str());
    for (what, path, (kind, was, is)) in OF_ALL {
        let (_, text) = texts.iter().find(|(known, _)| known == path).unwrap();
        let took = (0..10).map(|_| time(&mut session, path, &text.replacen(was, &is(draw()), 1), on));
        let took = took.collect();
        session.edit(path, text.as_str());
        session.compile(on);
        show(&format!("{what}: {kind}"), took);
    }
}

/// Edits of repeats where nothing else says how readings scatter, so that the intervals of all later days rest on them.
fn repeats_that_tell(days: usize) {
    let (store, texts) = grown::diary_that_tells_scatter(days);
    let mut session = Session::over(&store).unwrap();
    let on = session.replay().book.days.last().map(|day| day.date);
    session.compile(on);
    let of_days: Vec<&(String, String)> =
        texts.iter().filter(|(path, _)| path.starts_with("days/")).collect();
    let (_, was, is) = OF_DAYS[OF_DAYS.len() - 1];
    let took = (0..EDITS).map(|number| {
        // Over all days, early ones and late ones in turn.
        let (path, text) = of_days[number * 617 % of_days.len()];
        let took = time(&mut session, path, &text.replacen(was, &is(number as u64), 1), on);
        session.edit(path.as_str(), text.as_str());
        session.compile(on);
        took
    });
    let took = took.collect();
    let slowest = show("day: a sag that tells the scatter", took);
    tell("an edit that moves all later intervals, 99th percentile", slowest, "ms", 20.0);
}

/// How much a session has grown by edits that were undone, in kB.
fn grown_by(session: &mut Session<'_>, (path, text): (&str, &str), on: Option<jiff::civil::Date>) {
    let mut edit = |count: usize| {
        for number in 0..count {
            session.edit(path, text.replacen("Dry after", &format!("Dry by {number} after"), 1));
            std::hint::black_box(session.compile(on));
        }
    };
    // The first few edits fill what is kept.
    edit(MANY / 10);
    let Some(before) = resident() else { return };
    edit(MANY);
    let after = resident().unwrap_or(before);
    tell(&format!("memory after {MANY} edits more"), after / before, "times", 1.02);
}

fn time(session: &mut Session<'_>, path: &str, text: &str, on: Option<jiff::civil::Date>) -> Duration {
    let start = Instant::now();
    session.edit(path, text);
    std::hint::black_box(session.compile(on));
    start.elapsed()
}

fn show(what: &str, mut took: Vec<Duration>) -> f64 {
    took.sort_unstable();
    let at = |share: usize| milliseconds(took[(took.len() * share).div_ceil(100).clamp(1, took.len()) - 1]);
    println!(
        "{what:<32} {:>4} edits  median {:>8.2} ms  99th percentile {:>8.2} ms",
        took.len(),
        at(50),
        at(99)
    );
    at(99)
}
