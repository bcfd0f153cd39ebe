//! Who is prepared for a date, and on which machine.

use jiff::civil::Date;

use crate::book::Book;

/// One rider of a date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Member {
    /// By the name of the notebook.
    pub rider: String,
    /// `None` where it is unknown.
    pub machine: Option<String>,
}

/// A rider as asked for, with the machine if one was named.
pub type Asked = (String, Option<String>);

/// Riders with their machines. The machine is the first that there is of these: the one named with the rider, the one
/// named for all, that of the rider's last day before the date, the book's own or only one. Without riders asked for:
/// every rider of the book.
pub fn team(book: &Book, asked: &[Asked], machine: Option<&str>, date: Date) -> Vec<Member> {
    let all: Vec<Asked> = match asked {
        [] => book.riders.keys().map(|rider| (rider.clone(), None)).collect(),
        asked => asked.to_vec(),
    };
    let last = |rider: &str| {
        let mut before = book.days.iter().filter(|day| day.is_dated && day.date < date);
        before.rfind(|day| day.rider.as_deref() == Some(rider) && day.machine.is_some())?.machine.clone()
    };
    let own = book.about.machine.as_ref().map(|own| own.text.clone());
    let only = || if book.machines.len() == 1 { book.machines.keys().next().cloned() } else { None };
    let member = |(rider, named): Asked| {
        let machine = named.or_else(|| machine.map(str::to_owned)).or_else(|| last(&rider));
        let machine = machine.or_else(|| own.clone()).or_else(only);
        Member { rider, machine }
    };
    all.into_iter().map(member).collect()
}
