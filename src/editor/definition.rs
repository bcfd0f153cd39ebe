//! Where something that is named at a position is written.

use lsp_types::{Location, Position};

use crate::figures::tape::Tape;
use crate::figures::{Bench, Here};
use crate::source::{Span, beside};
use crate::vocabulary::blocks::{Settings, Stint};
use crate::vocabulary::values::Laps;
use crate::vocabulary::{Named, lookup};

use super::names::{Sort, Use, uses_in, uses_in_about};
use super::page::Page;
use super::words::{self, KeyOf};

/// All places meant at a position, the most useful first.
pub(super) fn definitions(page: &Page<'_>, position: Position) -> Vec<Location> {
    let offset = page.offset(position);
    let spans = of_name(page, offset)
        .or_else(|| of_mention(page, offset))
        .or_else(|| of_setting(page, offset))
        .or_else(|| of_laps(page, offset))
        .unwrap_or_default();
    spans.into_iter().filter_map(|span| page.location(span)).collect()
}

/// The name at a byte.
pub(super) fn name_at(page: &Page<'_>, offset: u32) -> Option<Use> {
    let uses = match page.notebook() {
        Some(notebook) => uses_in(page.book(), notebook),
        None => uses_in_about(page.book()),
    };
    uses.into_iter()
        .find(|one| one.span.file == page.file && one.span.start <= offset && offset <= one.span.end)
}

/// Where a machine, a rider, a track, an instrument or a plan is described.
fn of_name(page: &Page<'_>, offset: u32) -> Option<Vec<Span>> {
    let named = name_at(page, offset)?;
    let book = page.book();
    let span = match named.sort {
        Sort::Machine | Sort::Rider | Sort::Track => {
            Span::top(named.sort.notebooks(book)?.get(&named.name)?.document.file)
        }
        Sort::Instrument => book.instrument(&named.name)?.name_span,
        Sort::Plan => {
            let plans = page.machine()?.settings_named(&named.name);
            plans.last().map(|plan: &Settings| plan.header.fence)?
        }
    };
    Some(vec![span])
}

/// For a figure, its band and what it rests on; for a setting, where it was set; behind `on`, the day.
fn of_mention(page: &Page<'_>, offset: u32) -> Option<Vec<Span>> {
    let mention = page.mention(offset)?;
    let (asked, place) = page.asks(mention);
    let (day, state) = place?;
    let about = page.book().days.get(day)?;
    let is_behind_name = offset as usize > mention.span.start as usize + asked.name.len();
    if asked.day.is_some() && is_behind_name {
        return Some(vec![Span::top(about.notebook.document.file)]);
    }
    let name = lookup(asked.name)?;
    if let Named::Setting(name) = name {
        return Some(vec![state.setting(name)?.span]);
    }
    let tape = Tape::new();
    let bench = Bench::new(Here::of_day(page.book(), &page.compiled.season, day, &state)?, &tape);
    let band = bench.band(name).map(|band| band.name_span);
    let from = name.figure().map(|name| bench.figure(name).from).unwrap_or_default();
    Some(band.into_iter().chain(from).collect())
}

/// For a setting, the place that set what holds up to here, and its band; for anything else, its band.
fn of_setting(page: &Page<'_>, offset: u32) -> Option<Vec<Span>> {
    let spot = page.compiled.spot(page.path, offset)?;
    let (block, key) = (spot.block?, spot.key?);
    let KeyOf::Named { name, .. } = words::key_of(words::table(Some(block), page.path)?, &key)? else {
        return None;
    };
    let state = page.compiled.state(page.path, block.span.start);
    let held = state.and_then(|state| state.setting(name.setting()?));
    let band = page.machine().and_then(|machine| machine.band(name));
    let spans = held.map(|held| held.span).into_iter().chain(band.map(|band| band.name_span));
    Some(
        spans
            .filter(|span| span.file != page.file || !(span.start <= offset && offset <= span.end))
            .collect(),
    )
}

/// The file of a stint's laps.
fn of_laps(page: &Page<'_>, offset: u32) -> Option<Vec<Span>> {
    let stints = page.notebook()?.all::<Stint>();
    let mut paths = stints.filter_map(|stint| match &stint.laps {
        Some(Laps::File(path)) => Some(path),
        _ => None,
    });
    let path = paths.find(|path| path.span.start <= offset && offset <= path.span.end)?;
    let file = page.book().sources.find(&beside(page.path, &path.text)?)?;
    Some(vec![Span::top(file)])
}
