//! How a figure came about: its formula, every input with its place, and where its uncertainty comes from.

use serde::Serialize;

use crate::book::Book;
use crate::figures::tape::Tape;
use crate::figures::{Absent, Bench, Cause, ENOUGH, Figure, Here, Number, PRIOR_FREEDOM, Pool, Source};
use crate::quantity::{Kind, Units, show_width, show_with_uncertainty};
use crate::source::Span;
use crate::speech::{Message, Tongue, say};
use crate::vocabulary::{self, FigureName};

use super::gauge::Pump;
use super::say::{Say, wanted};

/// A figure's working.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Why {
    /// The reader's language.
    #[serde(skip)]
    pub tongue: Tongue,
    pub id: FigureName,
    /// Its label on a sheet.
    pub label: String,
    /// With its uncertainty; `None` where it has no value.
    pub shown: Option<String>,
    /// What to write to have it, or why there is no such value.
    pub missing: Option<String>,
    /// Whether it only needs to be written.
    pub is_wanted: bool,
    /// In the trade's symbols.
    pub formula: String,
    pub published: String,
    pub inputs: Vec<Input>,
    /// Error sources, the largest share first.
    pub budget: Vec<Line>,
    pub assumed: Vec<String>,
    /// How readings scatter with each instrument behind the figure, and how well that is known.
    pub scatter: Vec<String>,
    /// Coverage factor and effective degrees of freedom; `None` without uncertainty.
    pub coverage: Option<String>,
    /// The one reading that would improve the figure most.
    pub improve: Option<String>,
}

/// A reading or setting that a figure rests on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Input {
    pub name: String,
    /// As the rider wrote it.
    pub written: String,
    /// File and line.
    pub place: String,
}

/// One error source of a figure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    pub name: String,
    /// The source's own value, with its expanded uncertainty (k = 2).
    pub value: String,
    /// File and line; `None` for what was assumed.
    pub place: Option<String>,
    /// The figure's uncertainty from this source alone (k = 2).
    pub effect: String,
    /// Its share of the figure's variance, as a fraction.
    pub share: f64,
    /// The same for people.
    pub percent: String,
}

/// A figure's working at one place of a notebook.
pub fn why(book: &Book, here: Here<'_>, name: FigureName, units: &Units) -> Why {
    let tape = Tape::new();
    let say = Say::new(units);
    let pump = Pump { say, book, machine: here.machine, state: here.state };
    let bench = Bench::new(here, &tape);
    let figure = bench.figure(name);
    let kind = name.info().kind().unwrap_or(Kind::Number);
    let budget = lines(book, &figure, kind, units);
    Why {
        tongue: units.tongue().clone(),
        id: name,
        label: say.text(&name.label()),
        shown: say.told(&figure).map(|told| pump.told(&figure, told)),
        missing: figure.absent().map(|absent| say.text(&wanted(absent))),
        is_wanted: matches!(figure.absent(), Some(Absent::Missing(_))),
        formula: units.word(figure.formula.text),
        published: units.word(figure.formula.source),
        inputs: figure.from.iter().filter_map(|span| input(book, *span)).collect(),
        improve: figure.number().and_then(|number| improve(number, units)),
        scatter: figure.number().map(|number| scatter(number, units)).unwrap_or_default(),
        coverage: coverage(&figure, units),
        assumed: figure.assumed.iter().map(|text| say.text(text)).collect(),
        budget,
    }
}

fn input(book: &Book, span: Span) -> Option<Input> {
    let name = book.name_of(span)?;
    Some(Input {
        name: format!("{} {}", name.block, name.key),
        written: short(book.sources.text(span)),
        place: book.place(span),
    })
}

/// What was written, on one line; a table by its beginning.
fn short(written: &str) -> String {
    const MOST: usize = 40;
    let words: Vec<&str> = written.split_whitespace().collect();
    let line = words.join(" ");
    match line.char_indices().nth(MOST) {
        Some((end, _)) => format!("{}…", line.get(..end).unwrap_or(&line).trim_end()),
        None => line,
    }
}

fn lines(book: &Book, figure: &Figure, kind: Kind, units: &Units) -> Vec<Line> {
    let Some(number) = figure.number() else { return Vec::new() };
    let all = &number.sources;
    // Assumptions for several days have one label each: each names its notebook.
    let is_shared = |source: &Source| all.iter().filter(|other| other.label == source.label).count() > 1;
    let name =
        |source: &Source| match source.id.notebook().filter(|_| source.span.is_none() && is_shared(source)) {
            Some(notebook) => say!("{label}, {notebook}", label = source.label, notebook),
            None => source.label.clone(),
        };
    let line = |(source, share): (&Source, f64)| Line {
        name: units.say(&name(source)),
        value: show_with_uncertainty(source.kind, source.nominal, 2.0 * source.u, units).to_string(),
        place: source.span.map(|span| book.place(span)),
        effect: format!("± {}", width(kind, 2.0 * (source.sensitivity * source.u).abs(), units)),
        share,
        percent: percent(share),
    };
    number.budget().into_iter().map(line).collect()
}

/// How wide something is, with its unit.
fn width(kind: Kind, width: f64, units: &Units) -> String {
    show_width(kind, width, units).to_string()
}

fn coverage(figure: &Figure, units: &Units) -> Option<String> {
    let number = figure.number()?;
    let (standard, expanded) = (number.standard()?, number.expanded()?);
    let freedom = number.freedom();
    let behind = match freedom_told(freedom) {
        Some(freedom) => say!("{freedom} effective degrees of freedom", freedom),
        None => say!("distribution|normal"),
    };
    let factor = Message::number(format!("{:.2}", expanded / standard));
    Some(units.say(&say!(
        "k = {factor} for {part} ({behind})",
        factor,
        part = Message::number("95.45 %"),
        behind
    )))
}

/// Degrees of freedom as written by hand; `None` where they are infinite.
fn freedom_told(freedom: f64) -> Option<Message> {
    // From here on Student's factor for 95.45 % is 2.00 to two decimals.
    const MANY: f64 = 500.0;
    match freedom {
        f64::INFINITY => None,
        _ if freedom > MANY => Some(say!("more than {many}", many = format!("{MANY:.0}"))),
        _ => Some(Message::text(format!("{freedom:.0}"))),
    }
}

/// One line for each pool of repeats behind a number.
fn scatter(number: &Number, units: &Units) -> Vec<String> {
    let mut pools: Vec<&Pool> = Vec::new();
    for pool in number.sources.iter().filter_map(|source| Some(&*source.scatter.as_ref()?.pool)) {
        if !pools.contains(&pool) {
            pools.push(pool);
        }
    }
    pools.into_iter().map(|pool| pool_told(pool, units)).collect()
}

fn pool_told(pool: &Pool, units: &Units) -> String {
    let Pool { id, sets, .. } = pool;
    let shown = |deviation| width(pool.kind, deviation, units);
    let by = say!("readings with `{id}` scatter by {spread}", id, spread = shown(pool.deviation));
    let Some(ordinary) = pool.assumed else { return units.say(&say!("{by}, as `book.toml` declares", by)) };
    let assumed = shown(ordinary.scatter);
    let (prior, enough) = (format!("{PRIOR_FREEDOM:.0}"), ENOUGH);
    if *sets == 0 {
        return units.say(&say!(
            "{by}, which is assumed and counts as {prior} degrees of freedom: nothing was read twice with it up to this day; read everything {enough} times",
            by,
            prior,
            enough,
        ));
    }
    let freedom = freedom_told(pool.freedom).unwrap_or_default();
    let sets = match *sets {
        1 => say!("1 set of repeats"),
        sets => say!("{sets} sets of repeats", sets),
    };
    let told = say!(
        "{by}, by {sets} up to this day: {freedom} degrees of freedom, {prior} of them the {assumed} assumed beforehand",
        by,
        sets,
        freedom,
        prior,
        assumed,
    );
    units.say(&match pool.is_well_known() {
        true => told,
        false => say!("{told}; each set of {enough} readings shows it better", told, enough),
    })
}

/// What to do about the largest source that a reading can reduce.
fn improve(number: &Number, units: &Units) -> Option<String> {
    let (source, share) = number.budget().into_iter().find(|(source, _)| source.cause != Cause::Model)?;
    if share == 0.0 {
        return None;
    }
    let label = &source.label;
    let what = match source.cause {
        Cause::Assumed | Cause::Model => say!("measure what is assumed: {label}", label),
        Cause::Instrument => say!("have the instrument calibrated: {label}", label),
        Cause::OrdinaryInstrument => {
            say!("lay the instrument beside a better one and declare it in `book.toml`: {label}", label)
        }
        Cause::Written => match &source.scatter {
            Some(scatter) if scatter.wants_more() => {
                say!("read {label} {enough} times, not once", label, enough = ENOUGH)
            }
            Some(scatter) if scatter.u > source.steady() => say!("read {label} more often", label),
            _ => say!("read {label} with a finer instrument", label),
        },
    };
    Some(units.say(&say!("{what} ({share} of the variance)", what, share = percent(share))))
}

fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// More names than this are a list, and `loambook words figures` has a better one.
const MOST_OFFERED: usize = 8;

/// Names near an unknown figure, for the command line.
pub fn nearest(name: &str) -> Vec<String> {
    let names = vocabulary::every_name();
    let figures: Vec<&str> =
        names.iter().map(String::as_str).filter(|name| FigureName::parse(name).is_some()).collect();
    crate::finding::meant(name, figures).into_iter().take(MOST_OFFERED).map(str::to_owned).collect()
}
