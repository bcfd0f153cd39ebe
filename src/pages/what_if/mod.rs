//! What if: changes that nobody has made, and their effects.
//!
//! The changes are added to the end of the day's own notebook, as if they were written there, and both are
//! compared. So everything is worked out as it is for changes that are really written.

mod bands;
mod typed;

use serde::Serialize;

use crate::advice::{self, Advice, Best};
use crate::book::Book;
use crate::figures::Here;
use crate::finding::{Finding, Severity};
use crate::quantity::Kind;
use crate::season::Season;
use crate::speech::{Tongue, say};
use crate::vocabulary::figures::FigureId;
use crate::vocabulary::{FigureName, Setting};

use super::compare::{Comparison, FigureChange, Said, SettingChange, Side, Subject, Verdict, compare};
use super::say::Say;
use super::sheet::cautions_of_changes;

pub use bands::{BandLine, Place};
pub use typed::{TYPED, Told, Typed};

/// The version of this format; a reader that knows another one should stop.
const SCHEMA: u32 = 1;
/// A figure that was solved for counts as missed from this share of it on.
const MISSED: f64 = 1e-9;

/// One or more sets of changes to a day's end.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WhatIf {
    pub schema: u32,
    /// The reader's language.
    #[serde(skip)]
    pub tongue: Tongue,
    /// For bookmarks and windows.
    pub title: String,
    /// What it starts from.
    pub notebook: String,
    pub foot: String,
    /// Date, rider, machine, track and air, in one line.
    pub line: String,
    /// The rider is not to ride: nothing else is shown.
    pub stop: Option<String>,
    pub sets: Vec<Set>,
    /// Figures and pressures that any of the sets moves, in the order of the vocabulary, side by side.
    pub rows: Vec<Row>,
    /// Labels of those without a row where not all are asked for, in one line.
    pub also: Option<String>,
    pub cautions: Vec<String>,
}

/// Changes that are tried together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Set {
    /// `A`, `B`, …
    pub name: String,
    /// The changes, as in a notebook.
    pub changes: Vec<String>,
    pub settings: Vec<SettingChange>,
    /// What the changes do by themselves; where a limit on pressure is passed, what the others do without that one.
    pub figures: Vec<FigureChange>,
    /// Labels of the figures whose change is within the measurement, in one line.
    pub within: Option<String>,
    pub bands: Vec<BandLine>,
    /// Which of the settings have no model.
    pub unmodelled: Option<String>,
    /// Limits that are passed.
    pub limits: Vec<String>,
    /// What was solved for, and the result.
    pub solved: Option<String>,
    /// The figures' assumptions, each once.
    pub assumed: Vec<String>,
}

/// A figure under every set.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Row {
    pub id: FigureName,
    pub label: String,
    pub now: Option<Said>,
    /// One for each of the sets; `None` where it does not move.
    pub cells: Vec<Option<Cell>>,
}

/// A figure under one set.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cell {
    pub then: Option<Said>,
    /// Rounded to what a person can see; `None` where it is new, gone, or then zero.
    pub change: Option<String>,
}

/// Figures shown first: what a rider feels, and what decides about a change.
pub(super) const TOLD: [FigureId; 16] = [
    FigureId::SAG_RIDER_EXPECTED,
    FigureId::WHEEL_FREQUENCY,
    FigureId::BALANCE_FREQUENCY,
    FigureId::RAKE,
    FigureId::TRAIL,
    FigureId::WHEELBASE,
    FigureId::ANTI_SQUAT,
    FigureId::GATE_CHAMBER,
    FigureId::GATE_TYRE,
    FigureId::FULL_CHAMBER,
    FigureId::FORK_FORCE,
    FigureId::DRIVE_RATIO,
    FigureId::DRIVE_AXLE_MOVE,
    FigureId::DRIVE_SPEED,
    FigureId::BARS_TORQUE_CHANGE,
    FigureId::JET_MAIN_ON_HAND,
];

/// A day with one set of changes at its end.
pub struct Supposed<'a> {
    pub book: &'a Book,
    pub season: &'a Season,
    /// The same without the pressures past their limits; `None` where there are none, or nothing else.
    pub allowed: Option<(&'a Book, &'a Season)>,
    pub typed: &'a Typed,
    /// What is wrong with the changes.
    pub findings: &'a [Finding],
    pub solved: Option<String>,
}

/// The page of a day, by its place in a book, with each set on it; `None` where there is no such day. With
/// `complete`, every figure that moves has its row.
pub fn what_if(
    book: &Book,
    season: &Season,
    advice: &Advice,
    day: usize,
    supposed: &[Supposed<'_>],
    complete: bool,
) -> Option<WhatIf> {
    let about = book.days.get(day)?;
    let file = about.notebook.document.file;
    let units = book.units_for(about.rider.as_deref());
    let side = Side::new(book, season, about.notebook.path.as_str(), Subject::Notebook(file))?
        .labelled(units.say(&say!("now")));
    let head = compare(&side, &side, false).a;
    let units = side.units();
    let mut page = WhatIf {
        schema: SCHEMA,
        tongue: units.tongue().clone(),
        title: units.say(&say!("What if, {line}", line = head.line)),
        notebook: about.notebook.path.clone(),
        foot: units.say(&say!(
            "tried on {notebook} · {blob}; written nowhere",
            notebook = head.notebook,
            blob = head.blob,
        )),
        line: head.line,
        stop: advice::unfit(book, advice, day).map(|unfit| unfit.text()),
        sets: Vec::new(),
        rows: Vec::new(),
        also: None,
        cautions: Vec::new(),
    };
    if page.stop.is_some() {
        return Some(page);
    }
    for (place, supposed) in supposed.iter().enumerate() {
        let name = name_of(place);
        let path = &about.notebook.path;
        let then_as = |book, season| then(book, season, path, &name);
        let then = then_as(supposed.book, supposed.season)?;
        let allowed = supposed.allowed.and_then(|(book, season)| then_as(book, season));
        page.sets.push(set(book, season, day, (&side, &then, allowed.as_ref()), supposed, name.clone()));
    }
    let is_told = |row: &Row| complete || TOLD.contains(&row.id.row);
    let (told, left): (Vec<Row>, Vec<Row>) =
        rows(&page.sets, Say::new(&units)).into_iter().partition(is_told);
    page.rows = told;
    let also: Vec<&str> = left.iter().map(|row| row.label.as_str()).collect();
    page.also = (!also.is_empty()).then(|| also.join("; "));
    let changed = page.sets.iter().flat_map(|set| set.settings.iter().map(|line| line.id));
    page.cautions = cautions_of_changes(Say::new(&units), &changed.collect::<Vec<_>>());
    Some(page)
}

/// `A` to `Z`, and on.
fn name_of(place: usize) -> String {
    let letter = u8::try_from(place % 26).map_or('A', |letter| char::from(b'A' + letter));
    let round = place / 26;
    if round == 0 { letter.to_string() } else { format!("{letter}{round}") }
}

fn then<'a>(book: &'a Book, season: &'a Season, path: &str, name: &str) -> Option<Side<'a>> {
    let file = book.sources.find(path)?;
    Some(Side::new(book, season, name, Subject::Notebook(file))?.labelled(name))
}

/// The pressures that a set of changes puts past a limit. `day` is the place in the book of the day that has
/// the changes in it.
pub fn past_limits(book: &Book, season: &Season, day: usize, typed: &Typed) -> Vec<Setting> {
    let Some(here) = here(book, season, day) else { return Vec::new() };
    let is_past = |name: &Setting| {
        let name = *name;
        let value = here.state.setting(name).and_then(|held| held.value.number());
        let machine = here.machine.filter(|_| name.is_pressure());
        value.zip(machine).is_some_and(|(value, machine)| machine.pressure_past(name, value).is_some())
    };
    typed.names().filter_map(Setting::parse).filter(is_past).collect()
}

fn set(
    book: &Book,
    season: &Season,
    day: usize,
    (now, then, allowed): (&Side<'_>, &Side<'_>, Option<&Side<'_>>),
    supposed: &Supposed<'_>,
    name: String,
) -> Set {
    let mut lines = compare(now, then, false).settings;
    let Comparison { figures, within, pressures, assumed, .. } = compare(now, allowed.unwrap_or(then), false);
    let units = now.units();
    let say = Say::new(&units);
    let in_force = there(supposed.book, supposed.season, book, day);
    let past = |id: Setting| {
        let value = in_force?.state.setting(id)?.value.number()?;
        Some((in_force?.machine.filter(|_| id.is_pressure())?.pressure_past(id, value)?, value))
    };
    let mut limits = Vec::new();
    for line in &mut lines {
        if let Some((bounds, value)) = past(line.id) {
            // Somebody would pump it, whatever was written beside it.
            line.b = Some(Said::words(&say.text(&say!("past its limit"))));
            (line.change, line.by) = (None, None);
            let limit = say.end_past(&bounds, value);
            let label = &line.label;
            limits.push(say!(
                "{label} would be past its limit of {limit}: nothing is shown for it",
                label,
                limit
            ));
        }
    }
    let is_past = !limits.is_empty();
    let is_told = !is_past || allowed.is_some();
    if is_past && is_told {
        let last = limits.pop();
        limits.extend(last.map(|last| say!("{last}; what follows is of the other changes alone", last)));
    }
    let (with, season_with) = supposed.allowed.unwrap_or((supposed.book, supposed.season));
    let (here, there) = (here(book, season, day), there(with, season_with, book, day));
    let is_error = |finding: &&Finding| finding.severity == Severity::Error;
    if !is_past {
        let errors = supposed.findings.iter().filter(is_error);
        limits = errors.map(|finding| finding.headline.clone()).collect();
    }
    let bands = match (here, there) {
        (Some(here), Some(there)) if is_told => bands::bands(here, there, say),
        _ => Vec::new(),
    };
    let is_clicked = |line: &&SettingChange| line.id.info().is_adjuster();
    let clicked: Vec<&str> = lines.iter().filter(is_clicked).map(|line| line.label.as_str()).collect();
    let unmodelled = (!clicked.is_empty()).then(|| {
        say.text(&say!("no model covers {what}: common practice, no source", what = clicked.join(", ")))
    });
    let all = figures.into_iter().chain(pressures.lines);
    let both = [within, pressures.within].into_iter().flatten().collect::<Vec<_>>().join("; ");
    Set {
        name,
        changes: supposed.typed.lines.clone(),
        settings: lines,
        figures: if is_told { all.collect() } else { Vec::new() },
        within: Some(both).filter(|both| is_told && !both.is_empty()),
        bands,
        unmodelled,
        limits: limits.iter().map(|limit| say.text(limit)).collect(),
        solved: supposed.solved.clone(),
        assumed: if is_told { assumed } else { Vec::new() },
    }
}

fn here<'a>(book: &'a Book, season: &'a Season, day: usize) -> Option<Here<'a>> {
    Here::of_day(book, season, day, season.days.get(day)?.end())
}

fn there<'a>(with: &'a Book, season: &'a Season, book: &Book, day: usize) -> Option<Here<'a>> {
    let path = &book.days.get(day)?.notebook.path;
    let index = with.days.iter().position(|day| day.notebook.path == *path)?;
    here(with, season, index)
}

/// Each figure once, in the order of the vocabulary.
fn rows(sets: &[Set], say: Say<'_>) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    for (place, set) in sets.iter().enumerate() {
        for line in &set.figures {
            let Some(cell) = cell(line, say) else { continue };
            let at = rows.iter().position(|row| row.id == line.id).unwrap_or_else(|| {
                let (id, label, now) = (line.id, line.label.clone(), line.a.clone());
                rows.push(Row { id, label, now, cells: vec![None; sets.len()] });
                rows.len() - 1
            });
            if let Some(slot) = rows.get_mut(at).and_then(|row| row.cells.get_mut(place)) {
                *slot = Some(cell);
            }
        }
    }
    rows.sort_by_key(|row| row.id.row);
    rows
}

/// `None` where it does not move, or by too little to be seen.
fn cell(line: &FigureChange, say: Say<'_>) -> Option<Cell> {
    match (line.verdict, line.by) {
        (Verdict::Within | Verdict::Same, _) => None,
        (_, None) => Some(Cell { then: line.b.clone(), change: None }),
        (_, Some(by)) => {
            let kind = line.id.info().kind().unwrap_or(Kind::Number);
            let change = say.by(kind, by)?;
            Some(Cell { then: line.b.clone(), change: Some(change) })
        }
    }
}

/// The result of solving one setting for one figure, in one line; in the units of a day's rider.
pub fn solved_told(book: &Book, day: usize, best: &Best, wanted: f64) -> String {
    let units = book.units_for(book.days.get(day).and_then(|day| day.rider.as_deref()));
    let say = Say::new(&units);
    let kind = best.figure.info().kind().unwrap_or(Kind::Number);
    let label = best.figure.label();
    let (reached, target) = (say.value(kind, best.reached).to_string(), say.value(kind, wanted).to_string());
    let how = match &best.write {
        Some(write) => say!("by `{write}`", write),
        None => say!("with `{setting}` as it is now", setting = best.setting),
    };
    say.text(&match (&best.stopped_by, best.is_reached) {
        (Some(why), false) => say!(
            "{label} {target} cannot be reached: as far as it goes is {reached}, {how}; {why}",
            label,
            target,
            reached,
            how,
            why,
        ),
        _ if (best.reached - wanted).abs() <= MISSED * wanted.abs() => {
            say!("{label} {target}: {how}", label, target, how)
        }
        _ => say!("{label} {target}: {reached} is the nearest, {how}", label, target, reached, how),
    })
}
