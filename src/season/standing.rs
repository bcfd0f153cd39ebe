//! The settings now on a machine, whoever rode it last.
//!
//! A rider's own settings carry from that rider's last day. The machine itself has what its last rider left, who may be
//! another. What a hand must change counts from there.

use crate::book::Book;

use super::replay::Season;
use super::state::State;

/// What a machine was left on.
#[derive(Debug, Clone, Copy)]
pub struct Standing<'a> {
    /// The day that left it, by its place in the book.
    pub day: usize,
    pub state: &'a State,
}

impl Season {
    /// What a day's machine was left on before that day; `None` where nobody rode it before, or the day has no
    /// machine.
    pub fn standing<'a>(&'a self, book: &Book, day: usize) -> Option<Standing<'a>> {
        let machine = book.days.get(day)?.machine.as_ref()?;
        let before = book.days.get(..day)?;
        let last = before.iter().rposition(|other| other.machine.as_ref() == Some(machine))?;
        Some(Standing { day: last, state: self.days.get(last)?.end() })
    }
}
