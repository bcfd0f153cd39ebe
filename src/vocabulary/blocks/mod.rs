//! The blocks. Each is declared once; that gives its row in the table, its keys, its type and its reader.

mod day;
mod head;
mod machine;

pub use day::*;
pub use head::*;
pub use machine::*;

use std::collections::HashMap;
use std::ops::Deref;
use std::sync::{Arc, LazyLock};

use foldhash::fast::FixedState;

use crate::finding::Rejected;
use crate::notebook::Table;
use crate::source::Span;

use super::reader::Reader;
use super::spec::BlockSpec;
use super::values::Written;

/// What every block has: its word, the word behind that, and its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Header {
    pub word: &'static str,
    /// The second word, where the block takes one.
    pub argument: Option<Written>,
    /// The line of the opening fence.
    pub fence: Span,
    pub span: Span,
    /// What in the block could not be read.
    pub unread: Unread,
}

/// What is written in a block and does not count, because it has an error. Hardly any block has some, and a book keeps
/// thousands.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Unread(Option<Box<Faults>>);

/// The errors in a block.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Faults {
    /// By key as written, in the order of the block.
    pub keys: Vec<(String, Rejected)>,
    /// An error that lost a whole line: a missing key may be on it.
    pub line: Option<Rejected>,
}

impl Unread {
    pub fn of(faults: Faults) -> Self {
        Self((faults != Faults::default()).then(|| Box::new(faults)))
    }

    /// Adds the error of a key.
    pub fn add(&mut self, key: &str, rejected: Rejected) {
        self.0.get_or_insert_default().keys.push((key.to_owned(), rejected));
    }

    pub fn rejections(&self) -> impl Iterator<Item = Rejected> {
        self.keys.iter().map(|(_, rejected)| *rejected).chain(self.line)
    }
}

impl Deref for Unread {
    type Target = Faults;

    fn deref(&self) -> &Faults {
        static NONE: Faults = Faults { keys: Vec::new(), line: None };
        self.0.as_deref().unwrap_or(&NONE)
    }
}

impl Header {
    /// The second word, or nothing.
    pub fn argument(&self) -> &str {
        self.argument.as_ref().map_or("", |argument| argument.text.as_str())
    }

    /// The error that hides a key; asked where the block has no value for it.
    pub fn rejected(&self, key: &str) -> Option<Rejected> {
        let own = self.unread.keys.iter().find(|(name, _)| name == key).map(|(_, rejected)| *rejected);
        own.or(self.unread.line)
    }

    /// The end that the block is about; `None` where it names none.
    pub fn end(&self) -> Option<super::names::End> {
        super::names::End::from_word(self.argument())
    }
}

/// A table with a row in the vocabulary.
pub trait Typed: Sized {
    const SPEC: &'static BlockSpec;
    fn header(&self) -> &Header;
}

/// A block with a fence in a notebook.
pub trait Fenced: Typed {
    /// This block, if it is of this type.
    fn of(block: &AnyBlock) -> Option<&Self>;
}

macro_rules! block {
    (
        $(#[$doc:meta])*
        $name:ident $word:literal, $argument:expr, $places:expr, $open:expr, $help:literal {
            $($field:ident : $type:ty = $key:literal, $value:expr, $needed:expr, $or:expr, $keyhelp:literal;)*
        }
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $name {
            pub header: $crate::vocabulary::blocks::Header,
            $(#[doc = $keyhelp] pub $field: Option<$type>,)*
            /// The entries under keys that the table does not list.
            pub others: $crate::vocabulary::values::Others,
        }

        #[allow(non_upper_case_globals)]
        #[allow(dead_code, reason = "every key has a name, whether anybody asks for it or not")]
        impl $name {
            $(#[doc = $keyhelp] pub const $field: &'static str = $key;)*
        }

        impl $name {
            pub(crate) fn read(
                header: $crate::vocabulary::blocks::Header,
                body: &$crate::notebook::Table,
                reader: &mut $crate::vocabulary::reader::Reader<'_>,
            ) -> Self {
                let spec = <Self as $crate::vocabulary::blocks::Typed>::SPEC;
                let keys = reader.open(spec, body);
                let mut read = Self {
                    $($field: reader.next_key(&keys),)*
                    others: reader.others(&keys),
                    header,
                };
                reader.close(&keys, &read.header);
                read.header.unread = reader.unread(body, read.header.span);
                read
            }
        }

        impl $crate::vocabulary::blocks::Typed for $name {
            const SPEC: &'static $crate::vocabulary::spec::BlockSpec = &$crate::vocabulary::spec::BlockSpec {
                word: $word,
                argument: $argument,
                places: $places,
                help: $help,
                open: $open,
                keys: &[$($crate::vocabulary::spec::KeySpec {
                    name: $key,
                    value: $value,
                    needed_for: $needed,
                    or: $or,
                    help: $keyhelp,
                },)*],
            };
            fn header(&self) -> &$crate::vocabulary::blocks::Header {
                &self.header
            }
        }
    };
}
use block;

macro_rules! every_block {
    ($($name:ident),* $(,)?) => {
        /// Any block. The states of a diary share it.
        #[derive(Debug, Clone, PartialEq)]
        pub enum AnyBlock {
            $($name(Arc<$name>),)*
        }

        /// Every kind of block, in the order in which the reference prints them.
        pub static BLOCKS: &[&BlockSpec] = &[$(<$name as Typed>::SPEC,)*];

        $(impl Fenced for $name {
            fn of(block: &AnyBlock) -> Option<&Self> {
                match block {
                    AnyBlock::$name(found) => Some(found),
                    _ => None,
                }
            }
        })*

        impl AnyBlock {
            pub fn header(&self) -> &Header {
                match self {
                    $(Self::$name(block) => &block.header,)*
                }
            }
        }

        /// Reads a block by its row of the table; `None` where there is no row.
        pub(crate) fn read(spec: &'static BlockSpec, header: Header, body: &Table, reader: &mut Reader<'_>) -> Option<AnyBlock> {
            $(if spec.word == <$name as Typed>::SPEC.word {
                return Some(AnyBlock::$name(Arc::new($name::read(header, body, reader))));
            })*
            None
        }
    };
}

every_block!(
    Frame,
    Wheel,
    Fork,
    Chamber,
    Shock,
    Link,
    Springs,
    Coil,
    Drive,
    Adjusters,
    Fuelling,
    Carburettor,
    Limits,
    BandBlock,
    ServiceBlock,
    Torques,
    Checklist,
    RiderBlock,
    TrackBlock,
    Conditions,
    Sag,
    Pressures,
    Scales,
    Steering,
    Hours,
    Checked,
    Settings,
    Change,
    Stint,
    Valving,
    Expect,
);

/// The tables without a fence: a notebook's head and `book.toml`.
pub static HEADS: &[&BlockSpec] = &[Head::SPEC, BookHead::SPEC];

/// The row for a block's word.
pub fn spec(word: &str) -> Option<&'static BlockSpec> {
    static BY_WORD: LazyLock<HashMap<&'static str, &'static BlockSpec, FixedState>> =
        LazyLock::new(|| BLOCKS.iter().map(|spec| (spec.word, *spec)).collect());
    BY_WORD.get(word).copied()
}
