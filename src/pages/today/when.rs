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
/// of asking on; else everybody who has ridden, the last one first, each on the machine ridden last.
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
    let mut all: Vec<Rides> = Vec::new();
    match next {
        Some(next) => {
            let on_date = book.days.iter().filter(of_machine).filter(|day| day.date == next).map(rides);
            on_date.for_each(|rides| {
                if !all.contains(&rides) {
                    all.push(rides)
                }
            });
        }
        None => {
            let latest_first = book.days.iter().rev().filter(of_machine).map(rides);
            latest_first.for_each(|it| {
                if all.iter().all(|known| known.rider != it.rider) {
                    all.push(it)
                }
            });
        }
    }
    all
}

/// The riders with a day in the book who are not among those shown, by name.
pub fn not_shown(book: &Book, shown: &[Rides]) -> Vec<String> {
    let is_shown = |name: &str| shown.iter().any(|it| it.rider.as_deref() == Some(name));
    let has_ridden =
        |name: &str| book.days.iter().any(|day| day.is_dated && day.rider.as_deref() == Some(name));
    book.riders.keys().filter(|name| !is_shown(name) && has_ridden(name)).cloned().collect()
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
