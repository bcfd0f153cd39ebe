//! `loambook try`: what changes would do that nobody made.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::advice::{self, Wanted};
use crate::finding::{Finding, Severity};
use crate::pages::what_if::{self, Told, Typed, WhatIf, solved_told};
use crate::quantity::{self, Kind, UnitDefaults};
use crate::session::Compiled;
use crate::vocabulary::{FigureName, Setting};

use super::Verdict;
use super::failure::Failure;
use super::latest::asked_for;
use super::output::{AnyFormat, Printing};
use super::press::{Json, WayOut};
use super::screen::Screen;
use super::shelf::Shelf;

/// The template of the page; a book's own in `templates/` replaces it.
const TEMPLATE: &str = "try.md";

/// Shows what changes would do, without writing them anywhere.
///
/// Changes are written as in a `change` block: `fork.height = 2 mm down`. Those of one `--or` are tried together, beside the
/// others.
#[derive(Debug, Args)]
#[command(
    after_help = "Example: loambook try 'fork.height = 2 mm down' \\\n             --or 'shock.preload = 1 turn in; shock.rebound = 1 click in'\n\n         loambook try --best sag.rear.rider=105mm"
)]
pub(super) struct Try {
    /// Changes to try together. Before them may come the notebook of the day that they start from; when not given, the
    /// last day of the book's own machine and rider.
    #[arg(value_name = "DAY or CHANGE")]
    given: Vec<String>,

    /// Other changes to try beside them, with `;` between.
    #[arg(long = "or", value_name = "CHANGES")]
    others: Vec<String>,

    /// A figure and the value wanted: finds the one setting that gives it, after the other changes.
    #[arg(long, value_name = "FIGURE=VALUE")]
    best: Option<String>,

    /// The setting that `--best` changes; the usual one for the figure when not given.
    #[arg(long, value_name = "SETTING", requires = "best")]
    by: Option<String>,

    /// Shows every figure that changes.
    #[arg(long)]
    all: bool,

    #[command(flatten)]
    printing: Printing<AnyFormat>,
}

/// One set of changes, tried.
struct Tried {
    typed: Typed,
    /// The book with the changes in it.
    with: Compiled,
    /// The same without the pressures past their limits, where there are other changes.
    allowed: Option<Compiled>,
    findings: Vec<Finding>,
    solved: Option<String>,
}

impl Try {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let way_out = WayOut::new(&self.printing, "try")?;
        let (path, first) = self.split();
        let mut shelf = Shelf::open(book, path.as_slice())?.told_as(way_out.form());
        let day = asked_for(&shelf, path.as_deref())?;
        let start = Start { now: Compiled::clone(&shelf), day };
        let sets = self.sets(&first)?;
        let mut tried = Vec::new();
        for (place, typed) in sets.into_iter().enumerate() {
            let best = self.best.as_deref().filter(|_| place == 0);
            tried.push(self.tried(&mut shelf, &start, typed, best, screen)?);
        }
        let page = start.page(&tried, self.all)?;
        let pages = std::slice::from_ref(&page);
        way_out.print((&shelf.book, &shelf.store), (TEMPLATE, Json::Lines), pages, |page| page, screen)?;
        let is_past = page.sets.iter().any(|set| !set.limits.is_empty());
        Ok(if is_past { Verdict::Faulty } else { Verdict::Clean })
    }

    /// The path, which is the argument without `=`, and the changes.
    fn split(&self) -> (Option<PathBuf>, Vec<&str>) {
        match self.given.split_first() {
            Some((path, changes)) if !path.contains('=') => {
                (Some(PathBuf::from(path)), changes.iter().map(String::as_str).collect())
            }
            _ => (None, self.given.iter().map(String::as_str).collect()),
        }
    }

    fn sets(&self, first: &[&str]) -> Result<Vec<Typed>, Failure> {
        let read = |given: &[&str]| {
            Typed::read(given).map_err(|error| {
                Failure::new(error).help("write a setting and how it changes: `fork.height = 2 mm down`")
            })
        };
        let mut sets = Vec::new();
        if !first.is_empty() || self.best.is_some() {
            sets.push(read(first)?);
        }
        for other in &self.others {
            sets.push(read(&[other])?);
        }
        if sets.is_empty() {
            return Err(Failure::new("there is nothing to try").help(
                "`loambook try 'fork.height = 2 mm down'`; `--best sag.rear.rider=105mm` finds the setting",
            ));
        }
        Ok(sets)
    }

    fn tried(
        &self,
        shelf: &mut Shelf,
        start: &Start,
        mut typed: Typed,
        best: Option<&str>,
        screen: &mut Screen,
    ) -> Result<Tried, Failure> {
        let (mut with, mut told) = start.suppose(shelf, &typed, screen)?;
        let mut solved = None;
        if let Some(best) = best {
            let wanted = self.wanted(best)?;
            let there = start.day_in(&with)?;
            let best =
                advice::best(&with.book, &with.season, &with.advice, there, &wanted).map_err(Failure::new)?;
            solved = Some(solved_told(&with.book, there, &best, wanted.value));
            if let Some(line) = best.write {
                typed.add(line);
                (with, told) = start.suppose(shelf, &typed, screen)?;
            }
        }
        if !told.findings.is_empty() {
            screen.report_findings(with.book.about.units.tongue(), &told.findings, &told.sources);
        }
        let past = what_if::past_limits(&with.book, &with.season, start.day_in(&with)?, &typed);
        let allowed = match typed.without(&past).filter(|_| !past.is_empty()) {
            Some(allowed) => Some(start.suppose(shelf, &allowed, screen)?.0),
            None => None,
        };
        Ok(Tried { typed, with, allowed, findings: told.findings, solved })
    }

    fn wanted(&self, best: &str) -> Result<Wanted, Failure> {
        let failure = |text: String| Failure::new(text).help("as in `--best sag.rear.rider=105mm`");
        let (figure, value) =
            best.split_once('=').ok_or_else(|| failure(format!("`{best}` has no value")))?;
        let (figure, value) = (figure.trim(), value.trim());
        let figure =
            FigureName::parse(figure).ok_or_else(|| failure(format!("there is no figure `{figure}`")))?;
        let kind = figure.info().kind().unwrap_or(Kind::Number);
        let value = quantity::quantity(value, &[kind], &UnitDefaults::default()).map_err(|_| {
            failure(format!("`{value}` is not a value of `{figure}`: write {} with its unit", kind.name()))
        })?;
        let no_setting = |by: &String| Failure::new(format!("there is no setting `{by}`"));
        let by = self.by.as_ref().map(|by| Setting::parse(by).ok_or_else(|| no_setting(by))).transpose()?;
        Ok(Wanted { figure, value: value.value, by })
    }
}

/// The day that changes start from.
struct Start {
    now: Compiled,
    /// The day's place in the book.
    day: usize,
}

impl Start {
    fn path(&self) -> Result<&str, Failure> {
        let day = self.now.book.days.get(self.day);
        day.map(|day| day.notebook.path.as_str()).ok_or_else(|| Failure::new("there is no such day"))
    }

    /// The place of the day in a book that has the changes in it.
    fn day_in(&self, with: &Compiled) -> Result<usize, Failure> {
        let path = self.path()?;
        let day = with.book.days.iter().position(|day| day.notebook.path == path);
        day.ok_or_else(|| Failure::new(format!("{path} is not a day's notebook with the changes in it")))
    }

    /// The book with the changes at the end of the day, and what is wrong with them.
    ///
    /// # Errors
    ///
    /// Where one of them cannot be read; it is shown as it was typed.
    /// Where one of them cannot be read; each is told where it was typed.
    fn suppose(
        &self,
        shelf: &mut Shelf,
        typed: &Typed,
        screen: &mut Screen,
    ) -> Result<(Compiled, Told), Failure> {
        let path = self.path()?;
        let file =
            self.now.book.sources.find(path).ok_or_else(|| Failure::new(format!("there is no {path}")))?;
        shelf.suppose(path, typed.appended_to(self.now.book.sources.whole(file)));
        let with = Compiled::clone(shelf);
        let day = self.day_in(&with)?;
        let about = with.book.days.get(day).ok_or_else(|| Failure::new("there is no such day"))?;
        let all = shelf.all_findings(about.date);
        let file = about.notebook.document.file;
        let told = typed.told(&all, &with.book.sources, file);
        // A setting past a limit is in force all the same; one that cannot be read is not.
        let set = with.season.days.get(day).map(|replay| replay.end().settings()).unwrap_or_default();
        let is_in_force = |error: &Finding| set.iter().any(|(_, held)| held.span.contains(error.span));
        let mut errors = all.iter().filter(|finding| finding.severity == Severity::Error);
        if errors.any(|error| typed.has(error.span, &with.book.sources, file) && !is_in_force(error)) {
            screen.report_findings(with.book.about.units.tongue(), &told.findings, &told.sources);
            return Err(Failure::new("there are errors in the changes").help("nothing was worked out"));
        }
        Ok((with, told))
    }

    fn page(&self, tried: &[Tried], complete: bool) -> Result<WhatIf, Failure> {
        let supposed: Vec<what_if::Supposed<'_>> = tried
            .iter()
            .map(|tried| what_if::Supposed {
                book: &tried.with.book,
                season: &tried.with.season,
                allowed: tried.allowed.as_ref().map(|allowed| (&*allowed.book, &*allowed.season)),
                typed: &tried.typed,
                findings: &tried.findings,
                solved: tried.solved.clone(),
            })
            .collect();
        let Compiled { book, season, advice, .. } = &self.now;
        what_if::what_if(book, season, advice, self.day, &supposed, complete)
            .ok_or_else(|| Failure::new("the changes are not in a day's notebook"))
    }
}
