//! The history for a terminal of 80 columns: a few lines a day, then what went best, what was complained of, what is due.

use std::fmt::Write;

use super::super::columns::wrapped;
use super::{DayLine, History, Page};

/// How many characters a line may take, as a terminal usually has.
const LINE: usize = 80;

/// The whole page as text.
pub fn text(page: &Page) -> String {
    let parts: Vec<String> = page.histories.iter().map(history).collect();
    parts.join("\n")
}

fn history(history: &History) -> String {
    let who = history.rider_title.iter().chain(std::iter::once(&history.machine_title));
    let who = who.map(String::as_str).collect::<Vec<_>>().join(" · ");
    let mut text = format!(
        "{who}, {} to {}: {}, {}\n",
        history.from,
        history.to,
        counted(history.days.len(), "day"),
        counted(history.stints.len(), "stint")
    );
    for line in &history.days {
        day(&mut text, history, line);
    }
    if !history.best.is_empty() {
        text.push_str("\nbest setting on file, against standard\n");
        for best in &history.best {
            let ground: Vec<&str> = best.track.iter().chain(&best.soil).map(String::as_str).collect();
            let median =
                best.median.as_deref().map(|median| format!(", median {median}")).unwrap_or_default();
            let told =
                format!("{}, {}{median}: {} ({})", ground.join(": "), best.date, best.setting, best.sure);
            lines(&mut text, &told, 2);
        }
    }
    if !history.complaints.is_empty() {
        text.push_str("\ncomplaints\n");
        for complaint in &history.complaints {
            let open = if complaint.is_open { ", still there" } else { "" };
            let stints = counted(complaint.stints, "stint");
            let told =
                format!("{}: {stints}, {} to {}{open}", complaint.say, complaint.first, complaint.last);
            lines(&mut text, &told, 2);
        }
    }
    let overdue: Vec<&str> =
        history.due.iter().filter(|due| due.is_overdue).map(|due| due.label.as_str()).collect();
    if !overdue.is_empty() {
        let _ = writeln!(text, "\noverdue on {}", history.on);
        lines(&mut text, &overdue.join(", "), 2);
    }
    text
}

fn day(text: &mut String, history: &History, day: &DayLine) {
    let ground: Vec<&str> = day.track.iter().chain(&day.soil).map(String::as_str).collect();
    let _ = writeln!(text, "\n{}  {}", day.date, ground.join(": "));
    for change in &day.changes {
        let why = change.because.as_deref().map(|why| format!(" – {why}")).unwrap_or_default();
        lines(text, &format!("{}{why}", change.what), 2);
    }
    let figures = history
        .columns
        .iter()
        .zip(&day.figures)
        .filter(|(column, cell)| column.is_key && !cell.shown.is_empty());
    let mut told: Vec<String> =
        figures.map(|(column, cell)| format!("{} {} {}", column.label, cell.shown, column.unit)).collect();
    if let (Some(best), Some(median)) = (&day.best, &day.median) {
        told.push(format!("best {best}, median {median}"));
    }
    told.extend(day.verdict.iter().map(|verdict| format!("verdict: {verdict}")));
    if !told.is_empty() {
        lines(text, &told.join("; "), 2);
    }
}

fn lines(text: &mut String, words: &str, indent: usize) {
    for (at, line) in wrapped(words, LINE - indent - 2).into_iter().enumerate() {
        let more = if at == 0 { indent } else { indent + 2 };
        let _ = writeln!(text, "{:more$}{line}", "");
    }
}

fn counted(count: usize, word: &str) -> String {
    if count == 1 { format!("1 {word}") } else { format!("{count} {word}s") }
}
