//! A book, and a day in it that is being written.

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde::Serialize;
use serde_json::Value;

use crate::advice;
use crate::book::Day;
use crate::finding::Finding;
use crate::pages::figures;
use crate::pages::pocket::{self, SettingLine};
use crate::pages::take::{Whose, merged};
use crate::render::findings::{json, json_in};
use crate::session::{Compiled, Session};
use crate::vocabulary::FigureName;
use crate::vocabulary::figures::FigureId;

/// The figures to go by when turning a collar or holding a gauge, in the order of the work.
const TOLD: [FigureId; 12] = [
    FigureId::SAG_STATIC,
    FigureId::SAG_RIDER,
    FigureId::SAG_STATIC_SHARE,
    FigureId::SAG_RIDER_SHARE,
    FigureId::SAG_STICTION,
    FigureId::SPRING_PRELOAD_WANTED,
    FigureId::SPRING_COLLAR_TURNS,
    FigureId::GATE_CHAMBER,
    FigureId::BENCH_CHAMBER,
    FigureId::GATE_TYRE,
    FigureId::BENCH_TYRE,
    FigureId::LEAK_CHAMBER,
];

/// A book in memory, and the texts that were put into it.
#[derive(Default)]
pub struct Desk {
    session: Session<'static>,
    texts: BTreeMap<String, String>,
    /// The notebook that last had a text laid into it; that text is taken out before the next one is laid in.
    laid: Option<String>,
}

/// What the page shows of a day.
#[derive(Serialize)]
struct Told {
    /// Who is not cleared to ride, if anybody is not.
    not_cleared: Option<String>,
    /// One object for each, as `check --format json` writes them.
    findings: Vec<Value>,
    figures: Vec<FigureTold>,
    /// The settings in force at its end.
    settings: Vec<SettingLine>,
}

/// A figure that rests on what is written in the day.
#[derive(Serialize)]
struct FigureTold {
    id: FigureName,
    label: String,
    shown: String,
}

impl Desk {
    pub fn new() -> Self {
        Self::default()
    }

    /// Puts a text into the book. A photo may be empty.
    pub fn put(&mut self, path: &str, text: &str) {
        self.session.edit(path, text);
        self.texts.insert(path.to_owned(), text.to_owned());
    }

    /// All findings of the book on a date, one object a line, as `check --format json` writes them. Nothing is left out,
    /// as `check` does for a whole book.
    pub fn findings(&mut self, on: &str) -> String {
        let compiled = self.compiled(on);
        json(&compiled.findings, &compiled.book.sources)
    }

    /// A notebook's figures, as `figures --format json` writes them; empty where it is no day's.
    pub fn figures(&mut self, path: &str) -> String {
        let compiled = self.session.replay();
        let page =
            day(&compiled, path).and_then(|day| figures::of_day(&compiled.book, &compiled.season, day));
        page.and_then(|page| serde_json::to_string(&page).ok()).unwrap_or_default()
    }

    /// What the page shows of a day with a text laid into its notebook, as JSON; empty where the text is no day's. Texts of
    /// earlier calls do not count, only what was put into the book.
    pub fn told(&mut self, path: &str, text: &str, on: &str) -> String {
        if let Some(before) = self.laid.take() {
            match self.texts.get(&before) {
                Some(own) => self.session.edit(before, own.as_str()),
                None => self.session.close(&before),
            }
        }
        let path = &self.notebook_of(path, text);
        self.laid = Some(path.clone());
        let laid = match self.texts.get(path) {
            // A text that cannot be laid in is looked at by itself.
            Some(notebook) => merged(notebook, text).map_or_else(|_| text.to_owned(), |merged| merged.text),
            None => text.to_owned(),
        };
        self.session.edit(path.as_str(), laid);
        let compiled = self.compiled(on);
        let told = told(&compiled, path);
        told.and_then(|told| serde_json::to_string(&told).ok()).unwrap_or_default()
    }

    /// The notebook that a text belongs to: that of its machine, rider and date where the book has one, as `take` finds it;
    /// else the path given.
    fn notebook_of(&mut self, path: &str, text: &str) -> String {
        if self.texts.contains_key(path) {
            return path.to_owned();
        }
        self.session.edit(path, text);
        let book = self.session.read();
        self.session.close(path);
        let of = |day: &Day| Whose::of(day).ok();
        let whose = book
            .sources
            .find(path)
            .and_then(|file| book.day_of(file))
            .and_then(|day| of(book.days.get(day)?));
        let known = book.days.iter().filter(|day| day.notebook.path != path);
        let known =
            known.filter(|day| whose.is_some() && of(day) == whose).map(|day| day.notebook.path.clone());
        known.into_iter().next().unwrap_or_else(|| path.to_owned())
    }

    fn compiled(&mut self, on: &str) -> Compiled {
        self.session.compile(on.parse::<Date>().ok())
    }
}

fn day(compiled: &Compiled, path: &str) -> Option<usize> {
    compiled.book.day_of(compiled.book.sources.find(path)?)
}

fn told(compiled: &Compiled, path: &str) -> Option<Told> {
    let Compiled { book, season, advice, .. } = compiled;
    let day = day(compiled, path)?;
    let findings: Vec<Finding> = compiled.findings_of(path).cloned().collect();
    let units = book.units_for(book.days.get(day)?.rider.as_deref());
    let findings = json_in(units.tongue(), &findings, &book.sources);
    let mut last: BTreeMap<FigureName, FigureTold> = BTreeMap::new();
    for line in figures::of_day(book, season, day)?.figures {
        let rests_here = line.from.iter().any(|at| at.file == path);
        match line.shown {
            Some(shown) if rests_here && TOLD.contains(&line.id.row) => {
                let label = units.say(&line.id.label());
                last.insert(line.id, FigureTold { label, id: line.id, shown });
            }
            _ => drop(last.remove(&line.id)),
        }
    }
    Some(Told {
        not_cleared: advice::not_cleared(book, advice, [day]).into_iter().next(),
        findings: findings.lines().filter_map(|line| serde_json::from_str(line).ok()).collect(),
        figures: last.into_values().collect(),
        settings: pocket::settings(book, season, day),
    })
}
