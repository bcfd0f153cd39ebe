//! Which riders are meant, and which day of each.

use jiff::civil::Date;

use crate::book::{Book, Day};
use crate::vocabulary::blocks::Stint;

use super::super::prepare::{Asked, team};

/// A rider on a machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rides {
    pub rider: Option<String>,
    /// `None` where it is unknown.
    pub machine: Option<String>,
}

/// Which day is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When {
    /// A day that is written, by its place in the book.
    Written(usize),
    /// No day is written: the machine as it is now, on this date.
    Supposed(Date),
}

/// Who is meant: those asked for; else the book's own rider; else those with a notebook for the first date from the one
/// of asking on; else those who rode last.
pub fn riders(book: &Book, asked: &[String], machine: Option<&str>, date: Date) -> Vec<Rides> {
    let own = book.about.rider.as_ref().map(|own| own.text.clone());
    let asked: Vec<String> = if asked.is_empty() { own.into_iter().collect() } else { asked.to_vec() };
    if !asked.is_empty() {
        let asked: Vec<Asked> = asked.into_iter().map(|rider| (rider, None)).collect();
        let own = book.about.machine.as_ref().map(|own| own.text.as_str());
        // Later days count too: a machine that is already prepared is the one that is meant.
        let until = date.saturating_add(jiff::Span::new().days(365));
        let machine = machine.or(own);
        let members = team(book, &asked, machine, until).into_iter();
        return members.map(|member| Rides { rider: Some(member.rider), machine: member.machine }).collect();
    }
    let of_machine =
        |day: &&Day| day.is_dated && machine.is_none_or(|machine| day.machine.as_deref() == Some(machine));
    let next = book.days.iter().filter(of_machine).map(|day| day.date).find(|day| *day >= date);
    let rides = |day: &Day| Rides { rider: day.rider.clone(), machine: day.machine.clone() };
    let mut all: Vec<Rides> = match next {
        Some(next) => book.days.iter().filter(of_machine).filter(|day| day.date == next).map(rides).collect(),
        None => book.days.iter().rfind(of_machine).map(rides).into_iter().collect(),
    };
    all.dedup();
    all
}

/// The day of a rider on a machine. On a date that was named, that date's; else the next one not ridden yet; else what was
/// ridden on the date of asking; else none that is written.
pub fn when(book: &Book, rides: &Rides, date: Date, is_named: bool) -> When {
    let is_theirs = |day: &Day| day.is_dated && day.machine == rides.machine && day.rider == rides.rider;
    let was_ridden = |day: &Day| day.notebook.all::<Stint>().next().is_some();
    let mut days = book.days.iter().enumerate().filter(|(_, day)| is_theirs(day) && day.date >= date);
    let found = if is_named {
        days.rfind(|(_, day)| day.date == date)
    } else {
        let mut on_date = None;
        days.find(|(index, day)| {
            if day.date == date && was_ridden(day) {
                on_date = Some(*index);
            }
            !was_ridden(day)
        })
        .or_else(|| on_date.and_then(|index| Some((index, book.days.get(index)?))))
    };
    found.map_or(When::Supposed(date), |(index, _)| When::Written(index))
}
