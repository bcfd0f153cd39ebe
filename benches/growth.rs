//! How the work on a book grows with its days: `cargo bench --bench growth`, or with numbers of days behind `--`.
//!
//! A made-up diary of four machines is loaded, replayed, checked, told as a season and laid out as HTML. Ten
//! times the days should take ten times as long; the last column says how many times it was.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

use std::fmt::Write as _;
use std::time::{Duration, Instant};

use jiff::civil::date;
use loambook::advice::Advice;
use loambook::document::{self, Templates};
use loambook::finding::Severity;
use loambook::pages;
use loambook::pages::season::Options;
use loambook::render::Paper;
use loambook::render::html::{self, HtmlOptions};
use loambook::session::{Compiled, Session};
use loambook::source::Memory;

/// The demonstration book's machines, each twice under another name.
const MACHINES: [(&str, &str); 4] = [
    ("first", include_str!("../notebooks/machines/corrie-450.md")),
    ("second", include_str!("../notebooks/machines/skerry-125.md")),
    ("third", include_str!("../notebooks/machines/corrie-450.md")),
    ("fourth", include_str!("../notebooks/machines/skerry-125.md")),
];
const BOOK: &str = include_str!("../notebooks/book.toml");
const RIDER: &str = include_str!("../notebooks/riders/senior.md");
const TRACKS: [(&str, &str); 3] = [
    ("cold-ledge", include_str!("../notebooks/tracks/cold-ledge.md")),
    ("marram-bank", include_str!("../notebooks/tracks/marram-bank.md")),
    ("tannery-pit", include_str!("../notebooks/tracks/tannery-pit.md")),
];
/// A track shows it; a photo that is not there would be a finding.
const PHOTO: &[u8] = include_bytes!("../notebooks/photos/loam.png");
/// How many days are tried when nobody says.
const DAYS: [usize; 3] = [200, 2_000, 20_000];

/// What is timed, in the order in which a season's page is made.
const STEPS: [&str; 5] = ["load", "replay", "check", "season page", "HTML"];

fn main() {
    let asked: Vec<usize> = std::env::args().skip(1).filter_map(|argument| argument.parse().ok()).collect();
    let days = if asked.is_empty() { DAYS.to_vec() } else { asked };
    let mut before: Option<(usize, [Duration; 5])> = None;
    for days in days {
        let took = steps(days);
        println!("{days} days");
        for (at, (step, took)) in STEPS.iter().zip(took).enumerate() {
            println!(
                "  {step:<12} {:>9.3} s{}",
                took.as_secs_f64(),
                against(days, took, before.as_ref().map(|it| (it.0, it.1[at])))
            );
        }
        let all: Duration = took.iter().sum();
        let all_before = before.map(|(days, took)| (days, took.iter().sum()));
        println!("  {:<12} {:>9.3} s{}", "all", all.as_secs_f64(), against(days, all, all_before));
        before = Some((days, took));
    }
}

/// How many times as long it took for how many times the days.
fn against(days: usize, took: Duration, before: Option<(usize, Duration)>) -> String {
    let Some((fewer, less)) = before else { return String::new() };
    let (times, longer) = (days as f64 / fewer as f64, took.as_secs_f64() / less.as_secs_f64());
    format!("   {longer:>6.1} times as long for {times:.0} times the days")
}

fn steps(days: usize) -> [Duration; 5] {
    let store = diary(days);
    let mut last = Instant::now();
    let mut lap = || {
        let took = last.elapsed();
        last = Instant::now();
        took
    };
    let mut session = Session::over(&store).unwrap();
    let book = session.read();
    let loading = lap();
    let replayed = session.replay();
    assert!(replayed.findings.is_empty(), "{:?}", replayed.findings);
    let replaying = lap();
    let Compiled { book, season, findings, .. } = session.compile(book.days.last().map(|day| day.date));
    let errors: Vec<_> = findings.iter().filter(|finding| finding.severity == Severity::Error).collect();
    assert!(errors.is_empty(), "{errors:?}");
    let checking = lap();
    let page = pages::season::page(&book, &season, &Advice::shipped(), &Options::default());
    assert_eq!(page.histories.iter().map(|history| history.days.len()).sum::<usize>(), days);
    let telling = lap();
    let document = document::compose("season.md", &page, &Templates::new([]).unwrap()).unwrap();
    let options =
        HtmlOptions { paper: Paper::A4, images: Default::default(), style: None, is_sortable: true };
    let html = html::write(&document, &options);
    assert!(html.len() > days * 100);
    [loading, replaying, checking, telling, lap()]
}

/// A diary of so many days, in turn on each of the machines.
fn diary(days: usize) -> Memory<'static> {
    let mut store =
        Memory::new().with("book.toml", BOOK).with("riders/senior.md", RIDER).with("photos/loam.png", PHOTO);
    for (name, text) in MACHINES {
        store.set(format!("machines/{name}.md"), text);
    }
    for (name, text) in TRACKS {
        store.set(format!("tracks/{name}.md"), text);
    }
    for day in 0..days {
        let (round, (machine, _)) = (day / MACHINES.len(), MACHINES[day % MACHINES.len()]);
        let on = date(2001, 1, 1).saturating_add(jiff::Span::new().days(round as i64));
        store.set(format!("days/{on}-{machine}.md"), notebook(round, machine, &on.to_string()));
    }
    store
}

/// One day's notebook: readings, two stints and a change between them, which every other day takes back.
fn notebook(round: usize, machine: &str, on: &str) -> String {
    let (track, _) = TRACKS[round % TRACKS.len()];
    let swing = |every: usize, step: usize| round * step % every;
    let mut text = format!(
        "+++\nkind = \"day\"\ndate = {on}\nmachine = \"{machine}\"\nrider = \"senior\"\ntrack = \"{track}\"\n+++\n\n\
         # A day\n\nDry after a wet night. The back stood at `@sag.rear.rider`.\n\n"
    );
    let _ = write!(
        text,
        "```conditions\nair = \"{} °C\"\npressure = \"{} hPa\"\nhumidity = \"60 %\"\n```\n\n\
         ```hours\nridden = \"1.5 h\"\n```\n\n\
         ```pressures\ntyre.front = \"13 psi\"\ntyre.rear = \"12.5 psi\"\n```\n\n\
         ```sag rear\nhanging = \"612 mm\"\nalone = \"577 mm\"\naboard = \"{} {} {} mm\"\n```\n\n",
        8 + swing(17, 5),
        1000 + swing(25, 7),
        505 + swing(4, 3),
        506 + swing(3, 2),
        506 + swing(4, 1),
    );
    let way = if round.is_multiple_of(2) { "in" } else { "out" };
    let lap =
        |stint: usize, lap: usize| format!("2:{:02}.{}", 2 + stint + swing(3, 1), (round * 7 + lap * 3) % 10);
    let laps = |stint: usize| (0..6).map(|number| lap(stint, number)).collect::<Vec<_>>().join(" ");
    let _ = write!(
        text,
        "```stint\nlaps = \"{}\"\nfeel = \"harsh chatter 3\"\n```\n\n\
         ```change\nfork.compression = \"1 click {way}\"\nbecause = \"harsh on the chatter\"\n```\n\n\
         ```stint\nlaps = \"{}\"\nfeel = \"harsh chatter 2\"\nverdict = \"better\"\n```\n\n\
         ```checked\ndone = [\"steering.drop\", \"tyres\"]\n```\n",
        laps(1),
        laps(0),
    );
    text
}
