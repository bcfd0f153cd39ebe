//! Tables of the advice file, each declared once: its keys, what each takes, and the type that they are read into.
//!
//! What is wrong is reported at its place, and what nobody declared at the end. An entry in which something is wrong is not
//! used, and does not take along what stands around it.

use std::ops::Deref;

use crate::finding::{Finding, closest};
use crate::notebook::{Entry, Node, Table, Value};
use crate::quantity::{self, Amount, Kind, Problem, Quantity, UnitDefaults, Way};
use crate::source::Span;
use crate::vocabulary::{self, End, FigureName, Named, Names, Setting};

use super::codes;

/// What may stand behind a key.
#[derive(Debug, Clone, Copy)]
pub(super) enum Takes {
    Text,
    Truth,
    /// Whole days.
    Days,
    /// A quantity of one of these kinds.
    Quantity(&'static [Kind]),
    /// A name of the vocabulary, called so where there is none such.
    Name(&'static str),
    /// A word that the file itself declares.
    Own(Own),
    /// What the type alone says: one of its words, a table.
    Itself,
}

/// What a file declares words of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Own {
    Place,
    Look,
    /// By its key.
    Complaint,
    /// A complaint by a word for it.
    Feel,
    Caution,
}

/// The words that a file declares, and those that are there already. Entries may name each other in any order.
#[derive(Debug, Default)]
pub(super) struct OwnWords {
    pub places: Vec<String>,
    pub looks: Vec<String>,
    pub complaints: Vec<String>,
    pub feels: Vec<String>,
    pub cautions: Vec<String>,
}

/// An advice file being read.
pub(super) struct File {
    pub findings: Vec<Finding>,
    pub words: OwnWords,
    /// Something in the entry at hand is missing or wrong.
    is_broken: bool,
}

/// A table being read.
pub(super) struct Keys<'t, 'f> {
    table: &'t Table,
    /// Where the table is named, for what it lacks.
    place: Span,
    asked: Vec<&'static str>,
    pub file: &'f mut File,
}

/// A value that can be read.
pub(super) trait Taken: Sized {
    fn take(node: &Node, key: &str, takes: Takes, file: &mut File) -> Option<Self>;
}

/// What stands behind a key of an entry; `None` where the entry is of no use without it.
pub(super) trait Field: Sized {
    fn field(keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes) -> Option<Self>;
}

/// What is laid over what is there already.
pub(super) trait Laid {
    fn lay(&mut self, keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes);
}

/// An entry under a name of its own.
pub(super) trait Entered: Sized {
    fn enter(entry: &Entry, takes: Takes, file: &mut File) -> Option<Self>;
    fn is_named_as(&self, other: &Self) -> bool;
}

/// Entries by name: one that comes later takes the place of the one with its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listed<T>(Vec<T>);

/// Tables under one key, of which those are left out that are not understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Several<T>(Vec<T>);

/// Declares tables: the type, its keys and what each takes.
macro_rules! table {
    // An entry under a name.
    (
        $(#[$doc:meta])*
        $name:ident, by $own:ident : $own_type:ty = $own_takes:expr;
        $($(#[$field_doc:meta])* $field:ident : $type:ty = $key:literal, $takes:expr $(, or $or:expr)?;)*
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $name {
            pub $own: $own_type,
            $($(#[$field_doc])* pub $field: $type,)*
        }

        impl $crate::advice::table::Entered for $name {
            fn enter(entry: &Entry, _: Takes, file: &mut File) -> Option<Self> {
                let $own = file.name_of(entry, $own_takes);
                let mut keys = file.open(entry)?;
                $(let $field = field!(keys, $type, $key, $takes $(, $or)?);)*
                keys.close();
                Some(Self { $own: $own?, $($field: $field?,)* })
            }

            fn is_named_as(&self, other: &Self) -> bool {
                self.$own == other.$own
            }
        }
    };
    // What is laid over what is there, key by key.
    (
        over $(#[$doc:meta])*
        $name:ident;
        $($(#[$field_doc:meta])* $field:ident : $type:ty = $key:literal, $takes:expr;)*
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $name {
            $($(#[$field_doc])* pub $field: $type,)*
        }

        impl $name {
            pub(super) fn lay_keys(&mut self, keys: &mut Keys<'_, '_>) {
                $($crate::advice::table::Laid::lay(&mut self.$field, keys, $key, $takes);)*
            }
        }

        impl $crate::advice::table::Laid for $name {
            fn lay(&mut self, keys: &mut Keys<'_, '_>, key: &'static str, _: Takes) {
                for node in keys.items(key) {
                    let Some(mut own) = keys.file.open_at(node, key) else { continue };
                    self.lay_keys(&mut own);
                    own.close();
                }
            }
        }
    };
    // A table under a key.
    (
        $(#[$doc:meta])*
        $name:ident;
        $($(#[$field_doc:meta])* $field:ident : $type:ty = $key:literal, $takes:expr $(, or $or:expr)?;)*
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $name {
            $($(#[$field_doc])* pub $field: $type,)*
        }

        impl $crate::advice::table::Taken for $name {
            fn take(node: &Node, key: &str, _: Takes, file: &mut File) -> Option<Self> {
                let mut keys = file.open_at(node, key)?;
                $(let $field = field!(keys, $type, $key, $takes $(, $or)?);)*
                keys.close();
                Some(Self { $($field: $field?,)* })
            }
        }
    };
}
pub(super) use table;

/// Declares what an entry has behind a key; what it is without one.
macro_rules! field {
    ($keys:ident, $type:ty, $key:literal, $takes:expr) => {
        $keys.field::<$type>($key, $takes)
    };
    ($keys:ident, $type:ty, $key:literal, $takes:expr, $or:expr) => {
        $keys.field::<Option<$type>>($key, $takes).map(|own| own.unwrap_or($or))
    };
}
pub(super) use field;

/// Declares the words of a type.
macro_rules! words {
    ($($name:ident: $($word:literal = $value:expr),*;)*) => {$(
        impl $crate::advice::table::Taken for $name {
            fn take(node: &Node, key: &str, _: Takes, file: &mut File) -> Option<Self> {
                file.word(node, key, &[$(($word, $value)),*])
            }
        }
    )*};
}
pub(super) use words;

words! {
    End: "front" = End::Front, "rear" = End::Rear;
}

/// How far, and which way, in the words of a `change`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct By {
    pub size: Quantity,
    pub way: Way,
}

impl OwnWords {
    fn of(&self, own: Own) -> (&'static str, &[String]) {
        match own {
            Own::Place => ("place", &self.places),
            Own::Look => ("look", &self.looks),
            Own::Complaint => ("complaint", &self.complaints),
            Own::Feel => ("complaint", &self.feels),
            Own::Caution => ("caution", &self.cautions),
        }
    }
}

impl File {
    pub fn new(findings: Vec<Finding>, words: OwnWords) -> Self {
        Self { findings, words, is_broken: false }
    }

    /// Reads an entry by itself; `None` where something in it is missing or wrong.
    pub fn whole<T>(&mut self, read: impl FnOnce(&mut Self) -> Option<T>) -> Option<T> {
        let around = std::mem::replace(&mut self.is_broken, false);
        let read = read(self);
        let is_broken = std::mem::replace(&mut self.is_broken, around);
        read.filter(|_| !is_broken)
    }

    /// The table of an entry.
    pub fn open<'t>(&mut self, entry: &'t Entry) -> Option<Keys<'t, '_>> {
        if let Value::Table(table) = &entry.value.value {
            return Some(Keys::new(table, entry.key_span, self));
        }
        let headline = format!("`{}` is no table", entry.key);
        self.bad(entry.value.span, headline, "write it as a table".to_owned());
        None
    }

    /// The table under a key, or one of a list of them.
    pub fn open_at<'t>(&mut self, node: &'t Node, key: &str) -> Option<Keys<'t, '_>> {
        if let Value::Table(table) = &node.value {
            return Some(Keys::new(table, node.span, self));
        }
        self.bad(node.span, format!("`{key}` is no table"), format!("write it as a table: `[{key}]`"));
        None
    }

    /// What an entry goes by.
    pub fn name_of<T: Taken>(&mut self, entry: &Entry, takes: Takes) -> Option<T> {
        T::take(&entry.name(), &entry.key, takes, self)
    }

    /// One of a few words.
    pub fn word<T: Copy>(&mut self, node: &Node, key: &str, words: &[(&str, T)]) -> Option<T> {
        let text = self.text(node)?;
        let found = words.iter().find(|(word, _)| *word == text);
        if found.is_none() {
            let all: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
            let help = format!("write {}", all.join(" or "));
            self.bad(node.span, format!("`{text}` is none of the words of `{key}`"), help);
        }
        found.map(|(_, value)| *value)
    }

    fn text<'n>(&mut self, node: &'n Node) -> Option<&'n str> {
        if let Value::Text(text) = &node.value {
            return Some(&text.text);
        }
        self.bad(node.span, "a text is wanted here".to_owned(), "write it in quotes".to_owned());
        None
    }

    /// A name of the vocabulary, read in one way.
    fn name<T>(&mut self, node: &Node, takes: Takes, parse: impl Fn(&str) -> Option<T>) -> Option<T> {
        let text = self.text(node)?;
        self.name_in(node.span, text, takes, parse)
    }

    /// A name that stands in a text.
    pub fn name_in<T>(
        &mut self,
        span: Span,
        text: &str,
        takes: Takes,
        parse: impl Fn(&str) -> Option<T>,
    ) -> Option<T> {
        let name = parse(text);
        if name.is_none() {
            let what = if let Takes::Name(what) = takes { what } else { "name" };
            self.unknown(span, text, what, vocabulary::every_name());
        }
        name
    }

    /// The settings or figures that an entry is for, with the kinds of quantity that they have. A reading is neither, and words
    /// have no size.
    pub fn names_with_kinds(&mut self, entry: &Entry) -> Option<(Names, Vec<Kind>)> {
        self.name(&entry.name(), Takes::Name("setting or figure"), |text| {
            let names = Names::parse(text)?;
            let kinds = names.kinds();
            let is_of_reading = matches!(names, Names::Only(Named::Reading(_)));
            (!is_of_reading && !kinds.is_empty()).then_some((names, kinds))
        })
    }

    /// One value or several.
    pub fn list<T: Taken>(&mut self, node: &Node, key: &str, takes: Takes) -> Vec<T> {
        node.items().iter().filter_map(|item| T::take(item, key, takes, self)).collect()
    }

    /// One quantity or several.
    pub fn quantities(&mut self, node: &Node, kinds: &[Kind]) -> Vec<Quantity> {
        node.items().iter().filter_map(|item| self.measured(item, kinds, quantity::quantity)).collect()
    }

    pub fn bad(&mut self, span: Span, headline: String, help: String) {
        self.is_broken = true;
        self.findings.push(Finding::new(&codes::BAD_VALUE, span, headline).help(help));
    }

    pub fn unknown(&mut self, span: Span, text: &str, what: &str, names: &[String]) {
        self.is_broken = true;
        let mut finding = Finding::new(&codes::UNKNOWN_NAME, span, format!("there is no {what} `{text}`"));
        for name in closest(text, names.iter().map(String::as_str)) {
            finding = finding.fix(format!("did you mean `{name}`?"), span, format!("\"{name}\""));
        }
        self.findings.push(finding);
    }

    /// A text that `quantity` reads.
    pub fn measured<T>(
        &mut self,
        node: &Node,
        kinds: &[Kind],
        read: impl FnOnce(&str, &[Kind], &UnitDefaults) -> Result<T, Problem>,
    ) -> Option<T> {
        let text = self.text(node)?;
        match read(text, kinds, &UnitDefaults::default()) {
            Ok(value) => Some(value),
            Err(problem) => {
                self.is_broken = true;
                self.findings.push(problem.finding(|range| node.place(range)));
                None
            }
        }
    }
}

impl<'t, 'f> Keys<'t, 'f> {
    pub fn new(table: &'t Table, place: Span, file: &'f mut File) -> Self {
        file.is_broken |= table.broken;
        Self { table, place, asked: Vec::new(), file }
    }

    pub fn field<T: Field>(&mut self, key: &'static str, takes: Takes) -> Option<T> {
        T::field(self, key, takes)
    }

    /// The value of a key.
    pub fn node(&mut self, key: &'static str) -> Option<&'t Node> {
        self.asked.push(key);
        self.table.get(key)
    }

    /// One value of a key or several.
    pub fn items(&mut self, key: &'static str) -> &'t [Node] {
        self.node(key).map_or(&[], Node::items)
    }

    /// The entries of a table under a key.
    fn entries(&mut self, key: &'static str) -> &'t [Entry] {
        let Some(node) = self.node(key) else { return &[] };
        if let Value::Table(table) = &node.value {
            return &table.entries;
        }
        self.file.bad(node.span, format!("`{key}` is no table"), format!("write it as a table: `[{key}]`"));
        &[]
    }

    /// One of a few words; nothing at all where nothing is written.
    pub fn word<T: Copy>(&mut self, key: &'static str, words: &[(&str, T)]) -> Option<Option<T>> {
        let node = self.node(key)?;
        Some(self.file.word(node, key, words))
    }

    /// Where a key's value stands; the table's own place where it has none.
    pub fn place_of(&self, key: &str) -> Span {
        self.table.get(key).map_or(self.place, |node| node.span)
    }

    pub fn lacks(&mut self, key: &str) {
        self.file.is_broken = true;
        self.file.findings.push(
            Finding::new(&codes::MISSING, self.place, format!("`{key}` is missing here"))
                .help(format!("add `{key} = …`")),
        );
    }

    /// Reports keys that nobody asked for.
    pub fn close(self) {
        for entry in self.table.entries.iter().filter(|entry| !self.asked.contains(&entry.key.as_str())) {
            let headline = format!("there is no key `{}` here", entry.key);
            let mut finding = Finding::new(&codes::UNKNOWN_KEY, entry.key_span, headline);
            for name in closest(&entry.key, self.asked.iter().copied()) {
                finding = finding.fix(format!("did you mean `{name}`?"), entry.key_span, name);
            }
            if finding.remedies.is_empty() {
                let mut asked = self.asked.clone();
                asked.sort_unstable();
                asked.dedup();
                finding = finding.help(format!("known here are {}", asked.join(", ")));
            }
            self.file.findings.push(finding);
        }
    }
}

impl<T> Listed<T> {
    pub fn clear(&mut self) {
        self.0.clear();
    }
}

impl<T> Default for Listed<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T> Deref for Listed<T> {
    type Target = [T];

    fn deref(&self) -> &[T] {
        &self.0
    }
}

impl<'l, T> IntoIterator for &'l Listed<T> {
    type Item = &'l T;
    type IntoIter = std::slice::Iter<'l, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter()
    }
}

impl<T> Deref for Several<T> {
    type Target = [T];

    fn deref(&self) -> &[T] {
        &self.0
    }
}

impl<T: Taken> Field for T {
    fn field(keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes) -> Option<Self> {
        match keys.node(key) {
            Some(node) => T::take(node.items().first()?, key, takes, keys.file),
            None => {
                keys.lacks(key);
                None
            }
        }
    }
}

impl<T: Taken> Field for Option<T> {
    fn field(keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes) -> Option<Self> {
        let node = keys.items(key).first();
        Some(node.and_then(|node| T::take(node, key, takes, keys.file)))
    }
}

impl<T: Taken> Field for Vec<T> {
    fn field(keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes) -> Option<Self> {
        Some(keys.node(key).map_or_else(Vec::new, |node| keys.file.list(node, key, takes)))
    }
}

impl<T: Taken> Field for Several<T> {
    fn field(keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes) -> Option<Self> {
        let items = keys.items(key).iter();
        Some(Self(items.filter_map(|node| keys.file.whole(|file| T::take(node, key, takes, file))).collect()))
    }
}

impl<T: Taken> Laid for T {
    fn lay(&mut self, keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes) {
        if let Some(own) = keys.field::<Option<T>>(key, takes).flatten() {
            *self = own;
        }
    }
}

impl<T: Taken> Laid for Vec<T> {
    fn lay(&mut self, keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes) {
        if let Some(own) = keys.field::<Self>(key, takes).filter(|own| !own.is_empty()) {
            *self = own;
        }
    }
}

impl<T: Entered> Laid for Listed<T> {
    fn lay(&mut self, keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes) {
        for entry in keys.entries(key) {
            let Some(own) = keys.file.whole(|file| T::enter(entry, takes, file)) else { continue };
            match self.0.iter_mut().find(|known| known.is_named_as(&own)) {
                Some(known) => *known = own,
                None => self.0.push(own),
            }
        }
    }
}

impl Taken for String {
    fn take(node: &Node, _: &str, takes: Takes, file: &mut File) -> Option<Self> {
        let text = file.text(node)?;
        if let Takes::Own(own) = takes {
            let (what, known) = file.words.of(own);
            if !known.iter().any(|known| known == text) {
                let known = known.to_vec();
                file.unknown(node.span, text, what, &known);
                return None;
            }
        }
        Some(text.to_owned())
    }
}

impl Taken for bool {
    fn take(node: &Node, key: &str, _: Takes, file: &mut File) -> Option<Self> {
        if let Value::Boolean(truth) = node.value {
            return Some(truth);
        }
        let headline = format!("`{key}` is neither true nor false");
        file.bad(node.span, headline, "write `true` or `false`".to_owned());
        None
    }
}

/// Whole days.
impl Taken for u32 {
    fn take(node: &Node, _: &str, _: Takes, file: &mut File) -> Option<Self> {
        let text = file.text(node)?;
        let number = text.strip_suffix("days").or_else(|| text.strip_suffix("day"));
        let days = number.and_then(|number| number.trim().parse().ok());
        if days.is_none() {
            let headline = format!("`{text}` is no number of days");
            file.bad(node.span, headline, "write whole days: `30 days`".to_owned());
        }
        days
    }
}

impl Takes {
    fn kinds(self) -> &'static [Kind] {
        if let Self::Quantity(kinds) = self { kinds } else { &[] }
    }
}

impl Taken for Quantity {
    fn take(node: &Node, _: &str, takes: Takes, file: &mut File) -> Option<Self> {
        file.measured(node, takes.kinds(), quantity::quantity)
    }
}

/// In the SI base unit.
impl Taken for f64 {
    fn take(node: &Node, key: &str, takes: Takes, file: &mut File) -> Option<Self> {
        Quantity::take(node, key, takes, file).map(|quantity| quantity.value)
    }
}

impl Taken for By {
    fn take(node: &Node, _: &str, takes: Takes, file: &mut File) -> Option<Self> {
        match file.measured(node, takes.kinds(), quantity::amount)? {
            Amount::By(size, way) => Some(Self { size, way }),
            Amount::At(_) => {
                let headline = format!("`{}` does not say which way", file.text(node)?);
                let help = "write it as in a `change`: `2 clicks in`, `2 mm down`, `+2 psi`";
                file.bad(node.span, headline, help.to_owned());
                None
            }
        }
    }
}

impl Taken for Setting {
    fn take(node: &Node, _: &str, takes: Takes, file: &mut File) -> Option<Self> {
        file.name(node, takes, Self::parse)
    }
}

impl Taken for FigureName {
    fn take(node: &Node, _: &str, takes: Takes, file: &mut File) -> Option<Self> {
        file.name(node, takes, Self::parse)
    }
}

impl Taken for Named {
    fn take(node: &Node, _: &str, takes: Takes, file: &mut File) -> Option<Self> {
        file.name(node, takes, vocabulary::lookup)
    }
}

impl Taken for Names {
    fn take(node: &Node, _: &str, takes: Takes, file: &mut File) -> Option<Self> {
        file.name(node, takes, Self::parse)
    }
}
