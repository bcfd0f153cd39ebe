//! The figures of a notebook for people.

use std::fmt::Write;

use crate::pages::columns::wrapped;
use crate::vocabulary::figures;

use super::{FigureLine, NotebookFigures};

/// No line is wider, in characters, where names are no longer than ours.
const WIDTH: usize = 100;

/// How much is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extent {
    /// What is set and looked at first.
    First,
    All,
}

/// What holds at the end of a notebook and since which line, then what cannot be had and what is wanted for it; at the
/// foot what was assumed and what was read only once.
pub fn text(page: &NotebookFigures, extent: Extent) -> String {
    let mut last: Vec<&FigureLine> = Vec::new();
    for line in &page.figures {
        match last.iter_mut().find(|known| known.id == line.id) {
            Some(known) => *known = line,
            None => last.push(line),
        }
    }
    let all = last.len();
    last.retain(|line| extent == Extent::All || is_first(line));
    let name_width = last.iter().map(|line| line.id.chars().count()).max().unwrap_or(0);
    let shown = |line: &&FigureLine| line.shown.as_ref().map_or(0, |shown| shown.chars().count());
    let value_width = last.iter().map(shown).max().unwrap_or(0);
    let mut notes = Notes::default();
    let mut text = format!("{}\n", page.notebook);
    for line in last.iter().filter(|line| line.shown.is_some()) {
        let shown = line.shown.as_deref().unwrap_or_default();
        let _ = write!(text, "  {:<name_width$}  {shown:<value_width$}  line {}", line.id, line.at.line);
        let mut remarks: Vec<String> = line.assumed.iter().map(|what| format!("assumed: {what}")).collect();
        if !line.read_once.is_empty() {
            remarks.push(format!("read once, better three times: {}", line.read_once.join(", ")));
        }
        let numbers: Vec<String> =
            remarks.into_iter().map(|remark| notes.number(remark).to_string()).collect();
        if !numbers.is_empty() {
            let _ = write!(text, " ({})", numbers.join(", "));
        }
        text.push('\n');
    }
    for line in last.iter().filter(|line| line.shown.is_none()) {
        let lead = if line.is_wanted { "needs " } else { "" };
        let words = format!("{lead}{}", line.missing.join(", "));
        let lines = wrapped(&words, WIDTH.saturating_sub(name_width + 4));
        for (at, words) in lines.iter().enumerate() {
            let name = if at == 0 { line.id.as_str() } else { "" };
            let _ = writeln!(text, "  {name:<name_width$}  {words}");
        }
    }
    notes.foot(&mut text);
    match all - last.len() {
        0 => {}
        rest => {
            let _ = writeln!(text, "  {rest} more figures with `--all`");
        }
    }
    text.push('\n');
    text
}

fn is_first(line: &FigureLine) -> bool {
    figures::row(&line.id).is_some_and(figures::FigureRow::is_first)
}

/// What is to be said of figures, each once, numbered from 1 in the order in which it is met.
#[derive(Default)]
struct Notes(Vec<String>);

impl Notes {
    fn number(&mut self, note: String) -> usize {
        let at = self.0.iter().position(|known| *known == note).unwrap_or_else(|| {
            self.0.push(note);
            self.0.len() - 1
        });
        at + 1
    }

    fn foot(&self, text: &mut String) {
        for (number, note) in (1..).zip(&self.0) {
            for (at, words) in wrapped(note, WIDTH - 8).iter().enumerate() {
                let lead = if at == 0 { format!("({number})") } else { String::new() };
                let _ = writeln!(text, "  {lead:<4}  {words}");
            }
        }
    }
}
