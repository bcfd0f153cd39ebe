//! Tonight, on a screen of 80 columns and 40 lines a rider.

use super::super::columns::wrapped;
use super::super::sheet::Look;
use super::{Today, Tonight};

const LINE: usize = 80;
const LINES: usize = 40;
/// Of a list that has to give way, so many lines stay.
const FEWEST: usize = 2;
/// No list is longer to begin with.
const MOST: usize = 14;

/// The page for people.
pub fn text(tonight: &Tonight) -> String {
    let pages: Vec<String> = tonight.riders.iter().map(|today| fitted(today).join("\n") + "\n").collect();
    pages.join("\n")
}

/// As many lines of each list as the screen has room for; what is left out is counted.
fn fitted(today: &Today) -> Vec<String> {
    let most = (FEWEST..=MOST).rev().find(|most| lines(today, *most).len() <= LINES);
    lines(today, most.unwrap_or(FEWEST))
}

fn lines(today: &Today, most: usize) -> Vec<String> {
    let mut page = Vec::new();
    let who = [&today.rider, &today.machine, &today.track].into_iter().flatten();
    page.extend(wrapped(&who.map(String::as_str).collect::<Vec<_>>().join(" · "), LINE));
    page.extend(wrapped(&today.about, LINE));
    if let Some(stop) = &today.stop {
        page.push(String::new());
        page.extend(wrapped(stop, LINE));
        return page;
    }
    let from =
        today.stands.as_ref().map_or_else(String::new, |stands| format!(", from what stands: {stands}"));
    page.push(String::new());
    page.extend(wrapped(&format!("To set{from}"), LINE));
    let mut to_set = today.to_set.clone();
    to_set.extend(today.jet.clone());
    if to_set.is_empty() {
        to_set.push("nothing: it stands so already".to_owned());
    }
    list(&mut page, &to_set, most, "`loambook sheet` has all");
    page.push(String::new());
    page.push("To pump, cold".to_owned());
    let pumped: Vec<String> =
        today.to_pump.iter().map(|line| format!("{}: {}", line.label, line.told)).collect();
    list(&mut page, &pumped, MOST, "");
    page.push(String::new());
    page.push("Due".to_owned());
    let due: Vec<String> = today.due.iter().map(due).collect();
    list(&mut page, &due, most, "`loambook due` has all");
    page.push(String::new());
    next(&mut page, today, most);
    page.push(String::new());
    page.extend(wrapped(&today.cautions.join(" "), LINE));
    page
}

fn due(look: &Look) -> String {
    match &look.since {
        Some(since) => format!("{}: {since}", look.label),
        None => look.label.clone(),
    }
}

fn next(page: &mut Vec<String>, today: &Today, most: usize) {
    let Some(next) = &today.next else {
        page.push("The last ride complained of nothing".to_owned());
        return;
    };
    let complaint = today.complaint.as_deref().unwrap_or_default();
    page.extend(wrapped(&format!("The last ride: {complaint}"), LINE));
    page.extend(wrapped(next, LINE - 2).into_iter().map(|line| format!("  {line}")));
    let mut rest: Vec<String> = today.next_lines.clone();
    rest.extend(today.undo.as_ref().map(|undo| format!("back: {undo}")));
    for words in rest.iter().take(most) {
        page.extend(wrapped(words, LINE - 4).into_iter().map(|line| format!("    {line}")));
    }
}

fn list(page: &mut Vec<String>, items: &[String], most: usize, where_all: &str) {
    if items.is_empty() {
        page.push("  nothing".to_owned());
    }
    for item in items.iter().take(most) {
        for (at, line) in wrapped(item, LINE - 4).into_iter().enumerate() {
            page.push(format!("  {}{line}", if at == 0 { "" } else { "  " }));
        }
    }
    let left = items.len().saturating_sub(most);
    if left > 0 {
        page.push(format!("  and {left} more: {where_all}"));
    }
}
