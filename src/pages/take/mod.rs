//! The text of a day that came back from the track, on its way into the book.

mod merge;
mod message;

use jiff::civil::Date;

use crate::book::{Book, Day};

use super::starters::{self, DayStarter};

pub use merge::{Merged, Unfit, merged};
pub use message::{Message, message};

/// Whose day a notebook is, by the names that it gives, whether the book has them or not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Whose {
    pub date: Date,
    pub machine: String,
    pub rider: String,
}

impl Whose {
    /// # Errors
    ///
    /// The keys that the day lacks.
    pub fn of(day: &Day) -> Result<Self, Vec<&'static str>> {
        let head = &day.notebook.head;
        let said =
            |known: &Option<String>, written: Option<&str>| known.clone().or(written.map(str::to_owned));
        let written =
            |link: &Option<crate::vocabulary::values::Written>| link.as_ref().map(|link| link.text.clone());
        let machine = said(&day.machine, written(&head.machine).as_deref());
        let rider = said(&day.rider, written(&head.rider).as_deref());
        match (day.is_dated, machine, rider) {
            (true, Some(machine), Some(rider)) => Ok(Self { date: day.date, machine, rider }),
            (is_dated, machine, rider) => {
                let all = [("date", is_dated), ("machine", machine.is_some()), ("rider", rider.is_some())];
                Err(all.into_iter().filter(|(_, is_said)| !is_said).map(|(key, _)| key).collect())
            }
        }
    }

    /// The names that its notebook can have, the shortest first.
    pub fn names(&self) -> [String; 2] {
        let Self { date, machine, rider } = self;
        [format!("{date}-{rider}"), format!("{date}-{rider}-{machine}")]
    }
}

/// A text without a head, behind the head of its day.
pub fn headed(book: &Book, starter: &DayStarter<'_>, text: &str) -> String {
    let (date, links) = (starter.date, starters::links(book, starter, None));
    format!("+++\nkind = \"day\"\ndate = {date}\n{links}+++\n\n{text}")
}
