//! What may be written at a position.

use lsp_types::{
    CompletionItem, CompletionItemKind, CompletionTextEdit, Documentation, InsertTextFormat, MarkupContent,
    MarkupKind, Position, Range, TextEdit,
};

use crate::book::Notebook;
use crate::pages::words::{self as reference, open_keys};
use crate::quantity::Kind;
use crate::vocabulary::blocks::{BLOCKS, Checked, LOOKS, Stint, spec};
use crate::vocabulary::settings::SettingValue;
use crate::vocabulary::spec::{Argument, BlockSpec, Open, Shape};
use crate::vocabulary::{
    End, Named, NotebookKind, Setting, Typed, UNITS, every_name, every_setting, lookup, names_of_chamber,
};

use super::names::Sort;
use super::page::Page;
use super::place::{self, InTable, Place};
use super::words::{self, KeyOf};

/// One thing to write.
struct Offer {
    label: String,
    kind: CompletionItemKind,
    /// Beside it, in a few words.
    detail: String,
    /// What it means.
    about: String,
}

impl Offer {
    fn new(label: impl Into<String>, kind: CompletionItemKind) -> Self {
        Self { label: label.into(), kind, detail: String::new(), about: String::new() }
    }

    fn detail(mut self, text: impl Into<String>) -> Self {
        self.detail = text.into();
        self
    }

    fn about(mut self, text: impl Into<String>) -> Self {
        self.about = text.into();
        self
    }
}

/// Offers, and how they are inserted.
struct Offers {
    offers: Vec<Offer>,
    /// How many bytes before the position are replaced.
    written: usize,
    /// What is inserted around an offer.
    around: Around,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Around {
    Nothing,
    Quotes,
    /// ` = ` behind it, and a value's quotes where the editor can put the cursor between them.
    Assignment,
}

/// What may be written at a position.
pub(super) fn completions(page: &Page<'_>, position: Position, takes_snippets: bool) -> Vec<CompletionItem> {
    let before = place::before(page, position);
    let Some(place) = place::of(page, position) else { return Vec::new() };
    let offers = match &place {
        Place::Fence { word } => fence(page, word.as_deref(), before),
        Place::Figure => {
            let offers = every_figure(page.machine()).map(|name| of_name(page, &name)).collect();
            Offers { offers, written: name_before(before), around: Around::Nothing }
        }
        Place::Table { spec, keys, argument, at: InTable::Key } => {
            let behind = page.lines.line(position.line as usize).get(before.len()..).unwrap_or("");
            let around = if behind.contains('=') { Around::Nothing } else { Around::Assignment };
            let offers = all_keys(page, spec, argument);
            let offers = offers.into_iter().filter(|offer| !keys.contains(&offer.label)).collect();
            Offers { offers, written: name_before(before), around }
        }
        Place::Table { spec, argument, at: InTable::Value { key, written }, .. } => {
            values(page, spec, argument, key, written.as_deref())
        }
    };
    put(page, position, offers, takes_snippets)
}

fn put(page: &Page<'_>, position: Position, offers: Offers, takes_snippets: bool) -> Vec<CompletionItem> {
    let Offers { mut offers, written, around } = offers;
    let end = page.lines.offset(position);
    // An editor that takes a dot for the end of a word compares only the part behind it with the names.
    let before = place::before(page, position);
    let begun = before.get(before.len().saturating_sub(written)..).unwrap_or("");
    let family = begun.rfind('.').and_then(|dot| begun.get(..=dot)).unwrap_or("");
    let is_of_family = |offer: &Offer| offer.label.starts_with(family);
    if offers.iter().any(is_of_family) {
        offers.retain(is_of_family);
    }
    let start = page.lines.position(end.saturating_sub(written));
    let range = Range { start, end: position };
    let item = |(index, offer): (usize, Offer)| {
        let label = &offer.label;
        let (text, is_snippet) = match around {
            Around::Nothing => (label.clone(), false),
            Around::Quotes => (format!("\"{label}\""), false),
            Around::Assignment if takes_snippets => (format!("{label} = \"$1\"$0"), true),
            Around::Assignment => (format!("{label} = "), false),
        };
        let about = Some(offer.about).filter(|about| !about.is_empty());
        CompletionItem {
            kind: Some(offer.kind),
            detail: Some(offer.detail).filter(|detail| !detail.is_empty()),
            documentation: about.map(|value| {
                Documentation::MarkupContent(MarkupContent { kind: MarkupKind::Markdown, value })
            }),
            // In our own order, that of the work.
            sort_text: Some(format!("{index:04}")),
            filter_text: (around == Around::Quotes).then(|| text.clone()),
            insert_text_format: is_snippet.then_some(InsertTextFormat::SNIPPET),
            text_edit: Some(CompletionTextEdit::Edit(TextEdit { range, new_text: text })),
            label: offer.label,
            ..CompletionItem::default()
        }
    };
    offers.into_iter().enumerate().map(item).collect()
}

/// How much of a dotted name, or of a word, is at the end of a line's beginning.
fn name_before(before: &str) -> usize {
    let is_part = |letter: char| letter.is_alphanumeric() || matches!(letter, '.' | '_' | '-');
    before.len() - before.trim_end_matches(is_part).len()
}

/// Words of blocks that belong in such a notebook; behind one of them, its second words.
fn fence(page: &Page<'_>, word: Option<&str>, before: &str) -> Offers {
    let kind = page.notebook().map(|notebook| notebook.kind);
    let offers = match word.map(spec) {
        None => {
            let fits = |spec: &&&BlockSpec| kind.is_none_or(|kind| spec.places.contains(&kind));
            let offer = |spec: &&'static BlockSpec| {
                Offer::new(spec.word, CompletionItemKind::STRUCT)
                    .detail(reference::argument(spec.argument).trim())
                    .about(words::of_block(spec))
            };
            BLOCKS.iter().filter(fits).map(offer).collect()
        }
        Some(None) => Vec::new(),
        Some(Some(spec)) => {
            let names: Vec<String> = match spec.argument {
                Argument::End => End::BOTH.iter().map(|end| end.word().to_owned()).collect(),
                Argument::OneOf(words) | Argument::MaybeOneOf(words) => {
                    words.iter().map(|word| (*word).to_owned()).collect()
                }
                Argument::MaybeName if kind == Some(NotebookKind::Rider) => {
                    page.book().machines.keys().cloned().collect()
                }
                Argument::None | Argument::Name | Argument::MaybeName => Vec::new(),
            };
            names.into_iter().map(|name| Offer::new(name, CompletionItemKind::ENUM_MEMBER)).collect()
        }
    };
    Offers { offers, written: name_before(before), around: Around::Nothing }
}

/// The keys that a table takes.
fn all_keys(page: &Page<'_>, spec: &'static BlockSpec, section: &str) -> Vec<Offer> {
    let units = page.units();
    let is_book = spec.open == Open::Book;
    let listed = spec.keys.iter().filter_map(|key| {
        // In `book.toml` a key is in the section that it begins with.
        let label = match section {
            "" => key.name,
            _ if is_book => key.name.strip_prefix(section)?.strip_prefix('.')?,
            _ => key.name,
        };
        let about = words::of_key(key.name, &KeyOf::Listed(key), &units);
        let offer = Offer::new(label, CompletionItemKind::PROPERTY);
        Some(offer.detail(reference::taken(&key.value)).about(about))
    });
    let mut all: Vec<Offer> = listed.collect();
    let machine = page.machine();
    let names: Vec<String> = match spec.open {
        Open::Settings => every_setting().iter().cloned().chain(chamber_settings(machine)).collect(),
        Open::Adjusters => {
            let turns = |name: &&String| Setting::parse(name).is_some_and(|name| name.info().is_adjuster());
            every_setting().iter().filter(turns).cloned().collect()
        }
        Open::Limits | Open::Bands => every_name().iter().cloned().chain(filled(machine)).collect(),
        Open::Pressures => {
            let tyres = End::BOTH.into_iter().map(|end| Setting::TYRE.of(end).to_string());
            let chambers = machine.into_iter().flat_map(Notebook::chambers).map(|(name, _)| name.to_owned());
            chambers.chain(tyres).collect()
        }
        Open::No | Open::Services | Open::Torques | Open::Units | Open::Book => Vec::new(),
    };
    all.extend(names.into_iter().map(|name| {
        let of = words::key_of(spec, &name);
        let about = of.map(|of| words::of_key(&name, &of, &units)).unwrap_or_default();
        let detail = lookup(&name).map(|row| page.units().say(&row.label()));
        Offer::new(name, CompletionItemKind::PROPERTY).detail(detail.unwrap_or_default()).about(about)
    }));
    let takes_units = spec.open == Open::Units || (is_book && section.is_empty());
    if let Some((_, takes, help)) = open_keys(Open::Units).filter(|_| takes_units || section == UNITS) {
        let before = if section.is_empty() { format!("{}.", UNITS) } else { String::new() };
        all.extend(Kind::ALL.iter().map(|kind| {
            Offer::new(format!("{before}{}", kind.word()), CompletionItemKind::PROPERTY)
                .detail(takes)
                .about(help)
        }));
    }
    all
}

/// The settings of a machine's chambers.
fn chamber_settings(machine: Option<&Notebook>) -> impl Iterator<Item = String> {
    let chambers = machine.into_iter().flat_map(Notebook::chambers);
    chambers.map(|(name, _)| Setting::CHAMBER.named(name).to_string())
}

/// Names, with those of a machine's chambers.
fn filled(machine: Option<&Notebook>) -> impl Iterator<Item = String> {
    let chambers = machine.into_iter().flat_map(Notebook::chambers);
    chambers.flat_map(|(name, _)| names_of_chamber(name)).map(|name| name.to_string())
}

/// What a code span may name: figures before settings.
fn every_figure(machine: Option<&Notebook>) -> impl Iterator<Item = String> {
    let all = every_name().iter().cloned().chain(filled(machine));
    let (figures, others): (Vec<_>, Vec<_>) =
        all.partition(|name| matches!(lookup(name), Some(Named::Figure(_))));
    figures.into_iter().chain(others)
}

fn of_name(page: &Page<'_>, name: &str) -> Offer {
    let row = lookup(name);
    let about = row.map(|row| words::of_name(row, &page.units())).unwrap_or_default();
    let label = row.map(|row| page.units().say(&row.label())).unwrap_or_default();
    Offer::new(name, CompletionItemKind::VALUE).detail(label).about(about)
}

/// What a key's value may be. `written` is what is in the quotes so far.
fn values(
    page: &Page<'_>,
    spec: &'static BlockSpec,
    section: &str,
    key: &str,
    written: Option<&str>,
) -> Offers {
    let whole = match section {
        "" => key.to_owned(),
        _ if spec.open == Open::Book => format!("{section}.{key}"),
        _ => key.to_owned(),
    };
    let around = if written.is_some() { Around::Nothing } else { Around::Quotes };
    let text = written.unwrap_or_default();
    if let Some(sort) = Sort::of_key(spec.word, &whole) {
        return Offers { offers: names(page, sort), written: text.len(), around };
    }
    if (spec.word, key) == (Stint::SPEC.word, Stint::feel) {
        return Offers { offers: feelings(page, text), written: name_before(text), around };
    }
    if (spec.word, key) == (Checked::SPEC.word, Checked::done) {
        let looks =
            LOOKS.iter().map(|look| Offer::new(look.word, CompletionItemKind::ENUM_MEMBER).about(look.ask));
        return Offers { offers: looks.collect(), written: name_before(text), around };
    }
    let of = words::key_of(spec, &whole);
    let (words, kinds, shape): (&[&str], &[Kind], Option<Shape>) = match &of {
        Some(KeyOf::Listed(spec)) => (spec.value.words, spec.value.kinds, Some(spec.value.shape)),
        Some(KeyOf::Named { name: Named::Setting(row), .. }) => match row.info().value {
            SettingValue::Quantity(kinds) => (&[], kinds, None),
            SettingValue::Word(words) => (words, &[], None),
            SettingValue::Text => (&[], &[], None),
        },
        _ => (&[], &[], None),
    };
    if shape == Some(Shape::Truth) && written.is_none() {
        let offers = ["true", "false"].map(|word| Offer::new(word, CompletionItemKind::KEYWORD)).into();
        return Offers { offers, written: 0, around: Around::Nothing };
    }
    if !words.is_empty() {
        let words = words.iter().map(|word| Offer::new(*word, CompletionItemKind::ENUM_MEMBER));
        return Offers { offers: words.collect(), written: text.len(), around };
    }
    // A unit comes behind a number.
    let number = text.trim_end_matches(|letter: char| !letter.is_ascii_digit() && letter != ' ');
    let is_behind_number = number.trim_end().ends_with(|letter: char| letter.is_ascii_digit());
    let symbols =
        kinds.iter().filter(|_| is_behind_number).flat_map(|kind| kind.units()).map(|unit| unit.symbol());
    let symbols = symbols.filter(|symbol| !symbol.is_empty());
    let offers = symbols.map(|symbol| Offer::new(symbol, CompletionItemKind::UNIT)).collect();
    Offers { offers, written: text.len() - number.len(), around: Around::Nothing }
}

/// Names in the book.
fn names(page: &Page<'_>, sort: Sort) -> Vec<Offer> {
    let book = page.book();
    if let Some(notebooks) = sort.notebooks(book) {
        let offer = |notebook: &Notebook| {
            Offer::new(&notebook.name, CompletionItemKind::REFERENCE).detail(&notebook.title)
        };
        return notebooks.values().map(|notebook| offer(notebook)).collect();
    }
    match sort {
        Sort::Plan => {
            let plans =
                page.machine().into_iter().flat_map(Notebook::all::<crate::vocabulary::blocks::Settings>);
            let names = plans.map(|plan| plan.header.argument()).filter(|name| !name.is_empty());
            names.map(|name| Offer::new(name, CompletionItemKind::REFERENCE)).collect()
        }
        _ => {
            let instruments = book.about.instruments.keys();
            instruments.map(|name| Offer::new(name, CompletionItemKind::REFERENCE)).collect()
        }
    }
}

/// Complaints with their meanings, and places; nothing once free words have begun.
fn feelings(page: &Page<'_>, written: &str) -> Vec<Offer> {
    if written.contains(" - ") {
        return Vec::new();
    }
    let advice = &page.compiled.advice;
    let complaint = |word: &str| {
        let about = advice.complaint(word, None).map(|complaint| complaint.say.clone());
        Offer::new(word, CompletionItemKind::ENUM_MEMBER)
            .detail("a complaint")
            .about(about.unwrap_or_default())
    };
    let track = page.day().and_then(|day| page.book().track(day));
    let sections = track.and_then(|track| track.track_block()?.sections.as_ref());
    let sections = sections.into_iter().flat_map(|texts| &texts.values).map(|text| text.text.as_str());
    let place = |name: &str| Offer::new(name, CompletionItemKind::ENUM).detail("where");
    let complaints = advice.words().into_iter().map(complaint);
    complaints.chain(advice.sayings().places.iter().map(String::as_str).chain(sections).map(place)).collect()
}
