//! The due list as a calendar that any calendar program reads.
//!
//! **Source** RFC 5545, *Internet Calendaring and Scheduling Core Object Specification*: lines end in CRLF and
//! are folded before 75 octets (3.1), text is escaped (3.3.11), `UID` and `DTSTAMP` are in every entry
//! (3.6.1, 3.6.2).

use jiff::civil::{Date, date};

use crate::pages::due::{DueList, Entry};

use super::mark;

/// The most octets of a line, without its end.
const LINE_OCTETS: usize = 75;

/// Writes the due list as an iCalendar object.
///
/// What has a date is an event of that day. What is overdue without one is on the date of asking. What waits
/// for hours is a to-do without a date. An entry keeps its `UID`, and its `SEQUENCE` grows with the date of
/// asking: reading the calendar in again updates it.
pub fn calendar(list: &DueList) -> String {
    let mut out = Lines::default();
    out.line("BEGIN:VCALENDAR");
    out.line("VERSION:2.0");
    out.line(&format!("PRODID:{}{}//EN", mark::PRODUCT, env!("CARGO_PKG_VERSION")));
    out.line("CALSCALE:GREGORIAN");
    for machine in &list.machines {
        for entry in &machine.entries {
            write_entry(&mut out, list.on, &machine.title, entry);
        }
    }
    out.line("END:VCALENDAR");
    out.text
}

fn write_entry(out: &mut Lines, on: Date, machine: &str, entry: &Entry) {
    let day = entry.by.or_else(|| entry.is_overdue.then_some(on));
    let component = if day.is_some() { "VEVENT" } else { "VTODO" };
    out.line(&format!("BEGIN:{component}"));
    out.line(&format!("UID:{}", entry.uid));
    out.line(&format!("DTSTAMP:{}T000000Z", compact(on)));
    out.line(&format!("SEQUENCE:{}", sequence(on)));
    if let Some(day) = day {
        out.line(&format!("DTSTART;VALUE=DATE:{}", compact(day)));
        // A day on which something is due is not a day on which somebody is busy.
        out.line("TRANSP:TRANSPARENT");
    }
    out.line(&format!("SUMMARY:{}", escaped(&format!("{machine}: {}", entry.titled()))));
    out.line(&format!("DESCRIPTION:{}", escaped(&format!("{}; {}", entry.when(), entry.why))));
    out.line(&format!("CATEGORIES:{}", escaped(machine)));
    out.line(&format!("END:{component}"));
}

/// `20260411`.
fn compact(date: Date) -> String {
    date.strftime("%Y%m%d").to_string()
}

/// Days since 1970-01-01: a whole number, never negative, that grows with the date of asking.
fn sequence(on: Date) -> i32 {
    (on - date(1970, 1, 1)).get_days().max(0)
}

/// Text in the form of a value (RFC 5545, 3.3.11). Controls have no form there.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '\\' | ';' | ',' => {
                out.push('\\');
                out.push(letter);
            }
            '\n' => out.push_str("\\n"),
            letter if letter.is_control() => {}
            letter => out.push(letter),
        }
    }
    out
}

/// Content lines, folded.
#[derive(Default)]
struct Lines {
    text: String,
}

impl Lines {
    fn line(&mut self, line: &str) {
        let mut room = LINE_OCTETS;
        for letter in line.chars() {
            let octets = letter.len_utf8();
            if octets > room {
                self.text.push_str("\r\n ");
                // The space that marks a folded line counts as well.
                room = LINE_OCTETS - 1;
            }
            self.text.push(letter);
            room -= octets;
        }
        self.text.push_str("\r\n");
    }
}
