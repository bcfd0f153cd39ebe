//! Tables of the advice file, each declared once: its keys, what each takes, and the type they are read into.
//!
//! Faults are reported at their place, and unknown keys at the end. An entry with a fault is not used; those around it are.

mod file;
mod values;

use std::ops::Deref;

use crate::finding::{Finding, closest};
use crate::notebook::{Entry, Node, Table, Value};
use crate::quantity::Kind;
use crate::source::Span;
use crate::speech::say;

use super::codes;

pub(super) use file::{File, Noun, OwnWords};
pub use values::By;

/// What the value of a key may be.
#[derive(Debug, Clone, Copy)]
pub(super) enum Takes {
    Text,
    /// One of these words.
    Word(&'static [&'static str]),
    Truth,
    /// Whole days.
    Days,
    /// A quantity of one of these kinds.
    Quantity(&'static [Kind]),
    /// A name of the vocabulary; the finding about an unknown one calls it by this noun.
    Name(Noun),
    /// A word that the file itself declares.
    Own(Own),
    /// Whatever the type itself takes: one of its words, a table.
    Itself,
}

/// The sets of words that a file declares.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Own {
    Place,
    Look,
    /// A complaint by its key.
    Complaint,
    /// A complaint by a word for it.
    Feel,
    Caution,
}

/// A table being read.
pub(super) struct Keys<'t, 'f> {
    table: &'t Table<'t>,
    /// Where the table is named, for findings about what it lacks.
    place: Span,
    asked: Vec<&'static str>,
    pub file: &'f mut File,
}

/// A value that can be read.
pub(super) trait Taken: Sized {
    fn take(node: &Node, key: &str, takes: Takes, file: &mut File) -> Option<Self>;
}

/// The value of an entry's name: one, or one or several.
pub(super) trait Behind: Sized {
    fn behind(node: &Node, key: &str, takes: Takes, file: &mut File) -> Option<Self>;
}

/// The value of an entry's key; `None` where the entry is of no use without it.
pub(super) trait Field: Sized {
    fn field(keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes) -> Option<Self>;
}

/// A table that overlays an earlier one.
pub(super) trait Laid {
    fn lay(&mut self, keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes);
}

/// An entry under its own name.
pub(super) trait Entered: Sized {
    fn enter(entry: &Entry, takes: Takes, file: &mut File) -> Option<Self>;
    fn is_named_as(&self, other: &Self) -> bool;
}

/// Entries by name: a later one replaces the one with its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listed<T>(Vec<T>);

/// Tables under one key; those with a fault are left out.
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
    // A table that overlays an earlier one, key by key.
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

/// Declares the value of an entry's key, and what it is without one.
macro_rules! field {
    ($keys:ident, $type:ty, $key:literal, $takes:expr) => {
        $keys.field::<$type>($key, $takes)
    };
    ($keys:ident, $type:ty, $key:literal, $takes:expr, $or:expr) => {
        $keys.field::<Option<$type>>($key, $takes).map(|own| own.unwrap_or($or))
    };
}
pub(super) use field;

/// Declares entries that are a name and its value.
macro_rules! pairs {
    ($($(#[$doc:meta])* $name:ident: $own:ident, $value:ident: $type:ty = $takes:expr;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq)]
        pub struct $name {
            pub $own: String,
            pub $value: $type,
        }

        impl $crate::advice::table::Entered for $name {
            fn enter(entry: &Entry, takes: Takes, file: &mut File) -> Option<Self> {
                let $value = <$type as $crate::advice::table::Behind>::behind(&entry.value, &entry.key, $takes, file)?;
                Some(Self { $own: file.name_of(entry, takes)?, $value })
            }

            fn is_named_as(&self, other: &Self) -> bool {
                self.$own == other.$own
            }
        }
    )*};
}
pub(super) use pairs;

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

impl<'t, 'f> Keys<'t, 'f> {
    pub fn new(table: &'t Table, place: Span, file: &'f mut File) -> Self {
        file.is_broken |= table.broken;
        Self { table, place, asked: Vec::new(), file }
    }

    pub fn field<T: Field>(&mut self, key: &'static str, takes: Takes) -> Option<T> {
        T::field(self, key, takes)
    }

    /// The value of a key.
    pub fn node(&mut self, key: &'static str) -> Option<&'t Node<'t>> {
        self.asked.push(key);
        self.table.get(key)
    }

    /// One value of a key or several.
    pub fn items(&mut self, key: &'static str) -> &'t [Node<'t>] {
        self.node(key).map_or(&[], Node::items)
    }

    /// The entries of a table under a key.
    fn entries(&mut self, key: &'static str) -> &'t [Entry<'t>] {
        let Some(node) = self.node(key) else { return &[] };
        if let Value::Table(table) = &node.value {
            return &table.entries;
        }
        self.file.bad(
            node.span,
            say!("`{key}` is not a table", key),
            say!("write it as a table: `[{key}]`", key),
        );
        &[]
    }

    /// One of a few words; `None` where nothing is written, `Some(None)` where something else is.
    pub fn word<T: Copy>(&mut self, key: &'static str, words: &[(&str, T)]) -> Option<Option<T>> {
        let node = self.node(key)?;
        Some(self.file.word(node, key, words))
    }

    /// The place of a key's value; the table's own where it has none.
    pub fn place_of(&self, key: &str) -> Span {
        self.table.get(key).map_or(self.place, |node| node.span)
    }

    pub fn lacks(&mut self, key: &str) {
        self.file.is_broken = true;
        self.file.findings.push(
            Finding::new(&codes::MISSING, self.place, say!("`{key}` is missing here", key))
                .help(say!("add `{key} = …`", key)),
        );
    }

    /// Reports keys that nothing has read.
    pub fn close(self) {
        for entry in self.table.entries.iter().filter(|entry| !self.asked.contains(&&*entry.key)) {
            let headline = say!("there is no key `{entry}` here", entry = entry.key);
            let mut finding = Finding::new(&codes::UNKNOWN_KEY, entry.key_span, headline);
            for name in closest(&entry.key, self.asked.iter().copied()) {
                finding = finding.fix(say!("did you mean `{name}`?", name), entry.key_span, name);
            }
            if finding.remedies.is_empty() {
                let mut asked = self.asked.clone();
                asked.sort_unstable();
                asked.dedup();
                finding = finding.help(say!("known here: {asked}", asked = asked.join(", ")));
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

impl<T: Taken> Behind for T {
    fn behind(node: &Node, key: &str, takes: Takes, file: &mut File) -> Option<Self> {
        T::take(node, key, takes, file)
    }
}

impl<T: Taken> Behind for Vec<T> {
    fn behind(node: &Node, key: &str, takes: Takes, file: &mut File) -> Option<Self> {
        Some(file.list(node, key, takes))
    }
}

impl<T: Taken> Field for T {
    fn field(keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes) -> Option<Self> {
        match keys.node(key) {
            Some(node) => T::take(node, key, takes, keys.file),
            None => {
                keys.lacks(key);
                None
            }
        }
    }
}

impl<T: Taken> Field for Option<T> {
    fn field(keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes) -> Option<Self> {
        Some(keys.node(key).and_then(|node| T::take(node, key, takes, keys.file)))
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
