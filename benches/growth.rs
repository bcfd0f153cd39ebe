//! How the work on a book grows with its days: `cargo bench --bench growth`, or with numbers of days behind `--`.
//!
//! A made-up diary of four machines is loaded, replayed, checked, set as a season's page and laid out as HTML.
//! Ten times the days should take ten times as long; the last column says how many times it was.

#![allow(clippy::disallowed_methods, reason = "measures the program from outside")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

#[path = "grown/mod.rs"]
mod grown;

use std::time::{Duration, Instant};

use loambook::advice::Advice;
use loambook::document::{self, Templates};
use loambook::finding::Severity;
use loambook::pages;
use loambook::pages::season::Options;
use loambook::render::Paper;
use loambook::render::html::{self, HtmlOptions};
use loambook::session::{Compiled, Session};

/// How many days are tried where the command line names none.
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
    let (store, _) = grown::diary(days);
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
    let options = HtmlOptions {
        paper: Paper::A4,
        images: Default::default(),
        style: None,
        is_sortable: true,
        watched: None,
    };
    let html = html::write(&document, &options);
    assert!(html.len() > days * 100);
    [loading, replaying, checking, telling, lap()]
}
