//! Reads a block's table by its row of the vocabulary.
//!
//! What cannot be read is absent and reported; the rest of the block counts. `quantity` turns text into
//! quantities. Here is decided which ones are wanted, and where in the notebook their faults are.

mod entries;
mod leaf;
mod quantities;
mod slips;
mod values;

use super::{End, Setting};
use crate::finding::{Finding, Rejected, closest, meant};
use crate::notebook::{Block, Node, Table, Value};
use crate::quantity::{Kind, UnitDefaults};
use crate::source::{Span, limits};
use crate::speech::{Message, say};

use super::blocks::{Faults, Header, Unread};
use super::codes;
use super::names::is_name;
use super::spec::{Argument, BlockSpec, KeySpec, Open};
use super::values::Written;
use leaf::{Leaf, Occasion};

pub use leaf::{UNITS, is_reserved_chamber, pressure_setting};
pub(crate) use values::Read;

/// More names than this would not help.
const MOST_OFFERED: usize = 3;

/// Reads blocks of one notebook.
pub(crate) struct Reader<'a> {
    pub units: &'a UnitDefaults,
    pub findings: &'a mut Vec<Finding>,
    /// Keys of the present block with an error in them.
    unread: Vec<(String, Rejected)>,
    /// Rows of the present block that are still to be read.
    rows: std::iter::Enumerate<std::slice::Iter<'static, KeySpec>>,
}

/// A block's entries under their dotted names, ready for look-up.
pub(crate) struct Keys<'n> {
    spec: &'static BlockSpec,
    leaves: Vec<Leaf<'n>>,
    /// The rows that have a leaf, a bit each: most blocks have few of theirs.
    rows: u64,
    /// Whether something in the block could not be read at all: an absent key may have been there.
    is_broken: bool,
}

impl<'a> Reader<'a> {
    pub fn new(units: &'a UnitDefaults, findings: &'a mut Vec<Finding>) -> Self {
        Self { units, findings, unread: Vec::new(), rows: [].iter().enumerate() }
    }

    #[cold]
    pub fn report(&mut self, finding: Finding) {
        self.findings.push(finding);
    }

    /// Checks the words behind a block's own and makes its header.
    pub fn header(&mut self, spec: &'static BlockSpec, block: &Block<Table<'_>>) -> Header {
        let mut arguments = block.arguments.iter();
        let argument = arguments.next().map(|(text, span)| Written { text: text.clone(), span: *span });
        let word = spec.word;
        let wanted =
            |words: &[&str]| Message::either(words.iter().map(|w| Message::text(format!("`{word} {w}`"))));
        let ends: &[&str] = &["front", "rear"];
        let (needed, words): (bool, Option<&[&str]>) = match spec.argument {
            Argument::None => (false, Some(&[])),
            Argument::End => (true, Some(ends)),
            Argument::OneOf(words) => (true, Some(words)),
            Argument::MaybeOneOf(words) => (false, Some(words)),
            Argument::Name => (true, None),
            Argument::MaybeName => (false, None),
        };
        let mut argument_is_known = true;
        match (&argument, words) {
            (None, words) if needed => {
                let help = match words {
                    Some(words) => say!("write {words}", words = wanted(words)),
                    None => say!("write `{word} NAME`, with a name of your choice", word),
                };
                self.report(
                    Finding::new(&codes::ARGUMENT, block.fence, say!("`{word}` does not say which", word))
                        .help(help),
                );
            }
            (Some(found), Some(words)) if !words.contains(&found.text.as_str()) => {
                argument_is_known = false;
                let headline = if words.is_empty() {
                    say!("`{word}` takes no word after it", word)
                } else {
                    say!("`{word}` does not take the word `{found}`", found = found.text, word)
                };
                let help = if words.is_empty() {
                    say!("write `{word}` alone", word)
                } else {
                    say!("write {words}", words = wanted(words))
                };
                self.report(Finding::new(&codes::ARGUMENT, found.span, headline).help(help));
            }
            _ => {}
        }
        if let Some((extra, span)) = arguments.next() {
            let headline = say!("`{extra}` is one word too many after `{word}`", extra, word);
            self.report(
                Finding::new(&codes::ARGUMENT, *span, headline)
                    .help(say!("delete it, or keep it in the prose")),
            );
        }
        let argument = argument.filter(|_| argument_is_known);
        let unread = Unread::default();
        Header { word: spec.word, argument, fence: block.fence, span: block.span, unread }
    }

    /// Opens a block's table: each dotted key becomes one name, and unknown ones are reported.
    pub fn open<'n>(&mut self, spec: &'static BlockSpec, body: &'n Table) -> Keys<'n> {
        self.rows = spec.keys.iter().enumerate();
        let (leaves, rows) = leaf::leaves(spec, body);
        let keys = Keys { spec, leaves, rows, is_broken: body.broken };
        for leaf in keys.leaves.iter().filter(|leaf| leaf.role.is_none()) {
            self.unknown_key(spec, leaf);
        }
        keys
    }

    #[cold]
    fn unknown_key(&mut self, spec: &'static BlockSpec, leaf: &Leaf<'_>) {
        let name = &leaf.name;
        let any_name = matches!(spec.open, Open::Limits | Open::Bands);
        let open = match spec.open {
            Open::Limits | Open::Bands => super::every_name(),
            Open::Settings | Open::Adjusters => super::every_setting(),
            _ => &[],
        };
        let candidates = spec.keys.iter().map(|key| key.name).chain(open.iter().map(String::as_str));
        // Beyond this many findings no more are shown, and near names are not searched for.
        let is_told = self.findings.len() < limits::FILE_FINDINGS;
        let near = meant(name, candidates.take(if is_told { usize::MAX } else { 0 }));
        let as_setting = Setting::parse(&format!("{}.{name}", spec.word));
        let mut near: Vec<String> = near
            .into_iter()
            .take(if as_setting.is_some() { 0 } else { MOST_OFFERED })
            .map(str::to_owned)
            .collect();
        if let Some(in_full) = self.in_full(spec.open, leaf) {
            near = in_full;
        }
        let (code, headline) = if any_name {
            (&codes::UNKNOWN_NAME, say!("there is no figure, reading or setting `{leaf}`", leaf = name))
        } else if spec.open == Open::Settings {
            (&codes::UNKNOWN_NAME, say!("there is no setting `{leaf}`", leaf = name))
        } else {
            (&codes::UNKNOWN_KEY, say!("`{spec}` has no key `{leaf}`", spec = spec.word, leaf = name))
        };
        let mut finding = Finding::new(code, leaf.name_span, headline);
        if near.is_empty() {
            let word = spec.word;
            finding = if let Some(as_setting) = as_setting {
                finding.help(say!("`{as_setting}` is a setting: it is written in `settings`", as_setting))
            } else if spec.open == Open::Pressures && Occasion::from_word(name).is_some() {
                finding.help(say!(
                    "write which: `{leaf}.tyre.front`, or a chamber such as `{leaf}.main`",
                    leaf = name
                ))
            } else if spec.open == Open::Settings {
                finding.help(say!(
                    "a setting that the tool does not know can be kept as `other.NAME = \"in words\"`"
                ))
            } else if spec.keys.is_empty() {
                finding.help(say!("`loambook words {word}` lists what it takes", word))
            } else {
                let known: Vec<&str> = spec.keys.iter().map(|key| key.name).collect();
                finding.help(say!("it takes {known}", known = known.join(", ")))
            };
        }
        if let ([meant], Some(rejected)) = (near.as_slice(), finding.rejects()) {
            self.unread.push((meant.clone(), rejected));
        }
        for name in near {
            finding = finding.fix(say!("did you mean `{name}`?", name = name.as_str()), leaf.name_span, name);
        }
        self.report(finding);
    }

    /// A key that is short for others: a tyre's by its end, a chamber's by its name, a setting's by its last part.
    fn in_full(&self, open: Open, leaf: &Leaf<'_>) -> Option<Vec<String>> {
        let name = &*leaf.name;
        match open {
            Open::Pressures => {
                let (lead, end) = name.rsplit_once('.').map_or(("", name), |(lead, end)| (lead, end));
                let is_short = lead.is_empty() || Occasion::from_word(lead).is_some();
                let tyre = Setting::TYRE.of(End::from_word(end).filter(|_| is_short)?);
                Some(vec![if lead.is_empty() { tyre.to_string() } else { format!("{lead}.{tyre}") }])
            }
            Open::Settings if is_name(name) => {
                let is_pressure = matches!(&leaf.node.value, Value::Text(text)
                    if crate::quantity::amount(&text.text, &[Kind::GaugePressure], self.units).is_ok());
                if is_pressure {
                    return Some(vec![match End::from_word(name) {
                        Some(end) => Setting::TYRE.of(end).to_string(),
                        None => Setting::CHAMBER.named(name).to_string(),
                    }]);
                }
                let ends_so = |full: &&String| full.rsplit_once('.').is_some_and(|(_, last)| last == name);
                let all: Vec<String> = super::every_setting().iter().filter(ends_so).cloned().collect();
                (!all.is_empty() && all.len() <= MOST_OFFERED).then_some(all)
            }
            _ => None,
        }
    }

    /// Reads the block's next key, in the order of its rows; `None` where it is absent or cannot be read.
    #[inline(never)]
    pub fn next_key<T: Read>(&mut self, keys: &Keys<'_>) -> Option<T> {
        let (at, row) = self.rows.next()?;
        let bit = leaf::bit(at);
        if bit != 0 && keys.rows & bit == 0 {
            return None;
        }
        let is_it = |leaf: &&Leaf<'_>| leaf.listed().is_some_and(|listed| std::ptr::eq(listed, row));
        let leaf = keys.leaves.iter().find(is_it)?;
        self.kept(leaf, |reader| T::read(leaf.node, &row.value, reader))
    }

    /// Reads the value of a key. With an error anywhere in it, none of it counts.
    fn kept<T>(&mut self, leaf: &Leaf<'_>, read: impl FnOnce(&mut Self) -> Option<T>) -> Option<T> {
        let before = self.findings.len();
        let read = read(self);
        let reported = self.findings.get(before..).unwrap_or_default();
        match reported.iter().find_map(Finding::rejects) {
            Some(rejected) => {
                self.unread.push((leaf.name.to_string(), rejected));
                None
            }
            None => read,
        }
    }

    /// What in a block could not be read; asked after all of it was tried.
    pub fn unread(&mut self, body: &Table, block: Span) -> Unread {
        let lost = || {
            let here = |rejected: &Rejected| block.contains(rejected.span);
            self.findings.iter().filter_map(Finding::rejects).find(here)
        };
        let line = body.broken.then(lost).flatten();
        Unread::of(Faults { keys: std::mem::take(&mut self.unread), line })
    }

    /// Reports missing keys without which the block is of little use.
    pub fn close(&mut self, keys: &Keys<'_>, header: &Header) {
        if keys.is_broken {
            return;
        }
        let word = keys.spec.word;
        // A misspelt key was reported at its place, so the key it meant is not missing.
        let is_it = |leaf: &Leaf<'_>, name: &str| match leaf.role {
            Some(_) => leaf.listed().is_some_and(|row| row.name == name),
            None => !closest(&leaf.name, [name]).is_empty(),
        };
        let has = |name: &str| keys.leaves.iter().any(|leaf| is_it(leaf, name));
        let mut missing: Vec<&KeySpec> = Vec::new();
        for key in keys.spec.keys.iter().filter(|key| key.needed_for.is_some() && !has(key.name)) {
            let is_other_there = |other: &str| has(other) || missing.iter().any(|key| key.name == other);
            if !key.or.is_some_and(is_other_there) {
                missing.push(key);
            }
        }
        // Keys that serve one purpose are missing together.
        for together in missing.chunk_by(|one, next| one.needed_for == next.needed_for) {
            let quoted = |name| Message::text(format!("`{name}`"));
            let either =
                |key: &&KeySpec| Message::either([Some(key.name), key.or].into_iter().flatten().map(quoted));
            let which = Message::both(together.iter().map(either));
            let purpose = Message::word(together.first().and_then(|key| key.needed_for).unwrap_or_default());
            let headline = match together {
                [_] => say!("`{word}` has no {which}, which is needed for {purpose}", word, which, purpose),
                _ => say!("`{word}` has no {which}, which are needed for {purpose}", word, which, purpose),
            };
            let finding = Finding::new(&codes::MISSING_KEY, header.fence, headline);
            let add = |finding: Finding, key: &&KeySpec| {
                let (name, help) = (key.name, Message::word(key.help));
                finding.help(say!("add `{name} = …`: {help}", name, help))
            };
            self.report(together.iter().fold(finding, add));
        }
        if keys.leaves.is_empty() && keys.spec.open != Open::No {
            self.report(
                Finding::new(
                    &codes::EMPTY_BLOCK,
                    header.fence,
                    say!("there is nothing in this `{word}`", word),
                )
                .help(say!("`loambook words {word}` lists what it takes", word)),
            );
        }
    }

    /// Reports a value of the wrong form.
    #[cold]
    pub(super) fn wrong_form(&mut self, node: &Node, wanted: Message) {
        let found = match &node.value {
            Value::Text(_) => say!("text"),
            Value::Integer(_) | Value::Float(_) => say!("a number"),
            Value::Boolean(_) => say!("a truth value"),
            Value::Date(_) => say!("a date"),
            Value::List(_) => say!("a list"),
            Value::Table(_) => say!("a table"),
        };
        self.report(
            Finding::new(
                &codes::WRONG_FORM,
                node.span,
                say!("wanted {wanted}, found {found}", wanted, found),
            )
            .found(say!("this is {found}", found)),
        );
    }
}
