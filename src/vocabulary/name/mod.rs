//! Names as values: a row of a table with its open part filled in.
//!
//! A name is parsed once, where a notebook is read. From then on settings and figures are compared and ordered as
//! small values. Nothing below this room looks into a name's text.

mod index;

use std::fmt;
use std::hash::Hash;

use serde::{Serialize, Serializer};

use crate::speech::Message;

use super::names::{End, PERCENTS, is_name};
use super::symbol::Symbol;

pub use index::Index;

/// What fills the open part of a row's pattern.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Open {
    /// The pattern has no open part.
    Nothing,
    End(End),
    /// A place in the fork's travel, in percent.
    Percent(u8),
    Gear(u8),
    Word(Symbol),
}

/// The open part of a pattern.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    Nothing,
    End,
    Percent,
    Gear,
    Word,
}

impl Part {
    /// The open part of a pattern, with the text before and behind it.
    fn of(pattern: &'static str) -> (&'static str, Self, &'static str) {
        let parts = [("END", Self::End), ("P", Self::Percent), ("GEAR", Self::Gear), ("NAME", Self::Word)];
        let all = parts.into_iter().chain([("ANYTHING", Self::Word)]);
        for (word, part) in all {
            let mut at = 0;
            for piece in pattern.split('.') {
                if piece == word {
                    let (before, rest) = pattern.split_at(at);
                    return (before, part, rest.strip_prefix(word).unwrap_or_default());
                }
                at += piece.len() + 1;
            }
        }
        (pattern, Self::Nothing, "")
    }

    /// All that can fill it, where that is known beforehand.
    pub fn all(self) -> Vec<Open> {
        match self {
            Self::Nothing => vec![Open::Nothing],
            Self::End => End::BOTH.into_iter().map(Open::End).collect(),
            Self::Percent => PERCENTS.into_iter().map(Open::Percent).collect(),
            Self::Gear | Self::Word => Vec::new(),
        }
    }

    pub(super) fn read(self, word: &str) -> Option<Open> {
        match self {
            Self::Gear => {
                let is_plain = word.bytes().all(|byte| byte.is_ascii_digit()) && !word.starts_with('0');
                word.parse().ok().filter(|_| is_plain).map(Open::Gear)
            }
            Self::Word => is_name(word).then(|| Open::Word(Symbol::of(word))),
            Self::Nothing | Self::End | Self::Percent => None,
        }
    }
}

impl Open {
    /// In words, for labels.
    pub fn said(self) -> Message {
        match self {
            Self::End(end) => end.said(),
            Self::Nothing | Self::Percent(_) | Self::Gear(_) | Self::Word(_) => {
                Message::text(self.to_string())
            }
        }
    }
}

impl fmt::Display for Open {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Nothing => Ok(()),
            Self::End(end) => end.fmt(f),
            Self::Percent(number) | Self::Gear(number) => number.fmt(f),
            Self::Word(word) => word.fmt(f),
        }
    }
}

/// A row of a table of names, by its place there.
pub trait Row: Copy + Ord + Hash + fmt::Debug + Send + Sync + 'static {
    /// All rows, in their order.
    const ALL: &'static [Self];

    fn pattern(self) -> &'static str;

    /// Finds names of the table by their text.
    fn index() -> &'static Index<Self>;

    /// The row's open part.
    fn part(self) -> Part {
        Part::of(self.pattern()).1
    }
}

/// A name of a table: its row, and what fills the open part. Ordered as the table, and within a row by the open part.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Name<R> {
    pub row: R,
    pub open: Open,
}

impl<R: Row> Name<R> {
    /// A name by its text; `None` where the table does not have it.
    pub fn parse(text: &str) -> Option<Self> {
        R::index().name(text)
    }

    /// As written in a notebook.
    pub fn as_str(self) -> &'static str {
        match self.open {
            Open::Nothing => self.row.pattern(),
            _ => self.symbol().as_str(),
        }
    }

    /// As written in a notebook.
    pub fn symbol(self) -> Symbol {
        R::index().symbol(self)
    }

    /// The end in its name, where its row is open for one.
    pub fn end(self) -> Option<End> {
        match self.open {
            Open::End(end) => Some(end),
            _ => None,
        }
    }

    /// The rider's own word in it.
    pub fn word(self) -> Option<Symbol> {
        match self.open {
            Open::Word(word) => Some(word),
            _ => None,
        }
    }
}

impl<R: Row> fmt::Display for Name<R> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.open {
            Open::Nothing => f.pad(self.row.pattern()),
            open => {
                let (before, _, behind) = Part::of(self.row.pattern());
                write!(f, "{before}{open}{behind}")
            }
        }
    }
}

/// Written as in a notebook; in a sentence by its label.
impl<R: Row> crate::speech::Part for Name<R> {
    fn part(&self) -> Message {
        Message::text(self.to_string())
    }
}

/// As written in a notebook.
impl<R: Row> Serialize for Name<R> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.as_str())
    }
}

impl<R: Row> fmt::Debug for Name<R> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{self}`")
    }
}

/// A row open for an end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OfEnd<R>(pub(super) R);

/// A row open for a rider's own word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OfWord<R>(pub(super) R);

/// A row open for a place in the fork's travel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OfPercent<R>(pub(super) R);

/// A row open for a gear.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OfGear<R>(pub(super) R);

impl<R: Row> OfEnd<R> {
    pub const fn of(self, end: End) -> Name<R> {
        Name { row: self.0, open: Open::End(end) }
    }

    /// The end in a name of this row; `None` for a name of another row.
    pub fn end_of(self, name: Name<R>) -> Option<End> {
        name.end().filter(|_| name.row == self.0)
    }
}

impl<R: Row> OfWord<R> {
    pub const fn of(self, word: Symbol) -> Name<R> {
        Name { row: self.0, open: Open::Word(word) }
    }

    pub fn named(self, word: &str) -> Name<R> {
        self.of(Symbol::of(word))
    }

    /// The word in a name of this row; `None` for a name of another row.
    pub fn word_of(self, name: Name<R>) -> Option<&'static str> {
        name.word().filter(|_| name.row == self.0).map(Symbol::as_str)
    }
}

impl<R: Row> OfGear<R> {
    pub const fn of(self, gear: u8) -> Name<R> {
        Name { row: self.0, open: Open::Gear(gear) }
    }
}

impl<R: Row> OfPercent<R> {
    pub const fn of(self, percent: u8) -> Name<R> {
        Name { row: self.0, open: Open::Percent(percent) }
    }
}

/// The type of a row's constant: a name, or an open row.
macro_rules! constant {
    ($id:ident) => { $crate::vocabulary::name::Name<$id> };
    ($id:ident $of:ident) => { $crate::vocabulary::name::$of<$id> };
}
pub(super) use constant;

/// A row's constant.
macro_rules! constant_of {
    ($row:expr) => {
        $crate::vocabulary::name::Name { row: $row, open: $crate::vocabulary::name::Open::Nothing }
    };
    ($row:expr, $of:ident) => {
        $crate::vocabulary::name::$of($row)
    };
}
pub(super) use constant_of;

/// Turns the rows of a table into values, each with a constant.
macro_rules! name_table {
    ($(#[$doc:meta])* $id:ident; $($constant:ident $($of:ident)? = $pattern:literal;)*) => {
        $(#[$doc])*
        #[allow(non_camel_case_types)]
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $id { $($constant,)* }

        impl $crate::vocabulary::name::Row for $id {
            const ALL: &'static [Self] = &[$(Self::$constant,)*];

            fn pattern(self) -> &'static str {
                match self { $(Self::$constant => $pattern,)* }
            }

            fn index() -> &'static $crate::vocabulary::name::Index<Self> {
                static INDEX: std::sync::OnceLock<$crate::vocabulary::name::Index<$id>> = std::sync::OnceLock::new();
                $crate::vocabulary::name::Index::kept(&INDEX)
            }
        }

        impl $crate::vocabulary::name::Name<$id> {
            $(pub const $constant: $crate::vocabulary::name::constant!($id $($of)?) =
                $crate::vocabulary::name::constant_of!($id::$constant $(, $of)?);)*
        }
    };
}
pub(super) use name_table;

#[cfg(test)]
mod tests {
    use super::super::{FigureName, Setting};
    use super::*;

    fn goes_there_and_back<R: Row>(texts: &[&str]) {
        for text in texts {
            let name = Name::<R>::parse(text);
            assert_eq!(name.map(Name::as_str), Some(*text));
            assert_eq!(name.map(|name| name.to_string()).as_deref(), Some(*text));
        }
    }

    #[test]
    fn a_name_is_shown_as_it_was_read() {
        goes_there_and_back::<super::super::settings::SettingId>(&[
            "drive.front",
            "tyre.rear",
            "chamber.main",
            "other.grüne-7",
        ]);
        goes_there_and_back::<super::super::figures::FigureId>(&[
            "sag.rear.rider",
            "fork.force.75",
            "drive.speed.5",
            "gate.chamber.main",
        ]);
        for none in
            ["", ".", "tyre", "tyre.middle", "tyre.END", "chamber.", "chamber.a b", "chamber.a.b", "other"]
        {
            assert_eq!(Setting::parse(none), None, "{none}");
        }
        for none in [
            "sag.middle.rider",
            "drive.ratio.x",
            "drive.speed.05",
            "drive.speed.+5",
            "drive.speed.0",
            "fork.force.30",
        ] {
            assert_eq!(FigureName::parse(none), None, "{none}");
        }
    }

    #[test]
    fn names_are_ordered_as_their_table_is() {
        let read = |text| Setting::parse(text).unwrap();
        let mut names =
            ["chamber.main", "tyre.rear", "other.a", "drive.rear", "tyre.front", "chamber.balance"].map(read);
        names.sort_unstable();
        let texts = names.map(Name::as_str);
        assert_eq!(
            texts,
            ["drive.rear", "tyre.front", "tyre.rear", "chamber.balance", "chamber.main", "other.a"]
        );
    }

    #[test]
    fn an_open_row_makes_its_names_and_knows_them_again() {
        let rear = FigureName::SAG_RIDER.of(End::Rear);
        assert_eq!(rear.as_str(), "sag.rear.rider");
        assert_eq!(FigureName::SAG_RIDER.end_of(rear), Some(End::Rear));
        assert_eq!(FigureName::SAG_STATIC.end_of(rear), None);
        let main = Setting::CHAMBER.named("main");
        assert_eq!(Setting::CHAMBER.word_of(main), Some("main"));
        assert_eq!(Setting::OTHER.word_of(main), None);
        assert_eq!(Some(main), Setting::parse("chamber.main"));
    }
}
