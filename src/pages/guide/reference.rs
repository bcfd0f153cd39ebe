//! The reference of the language as a page of the guide: each block and figure of the vocabulary, with an example from the
//! page's own book.

use crate::session::Compiled;
use crate::vocabulary::blocks::{BLOCKS, HEADS};
use crate::vocabulary::figures::{FIGURES, FigureRow};
use crate::vocabulary::name::Row as _;
use crate::vocabulary::spec::BlockSpec;

use super::super::{figures, words};
use super::Example;

const BLOCKS_HERE: &str = "{blocks}\n";
const FIGURES_HERE: &str = "{figures}\n";

/// Prose with the reference in place of the lines that ask for it.
pub(super) fn put_in(prose: &str, compiled: &Compiled, examples: &[Example]) -> String {
    let mut text = prose.to_owned();
    if text.contains(BLOCKS_HERE) {
        let blocks: Vec<String> = HEADS.iter().chain(BLOCKS).map(|spec| block(spec, examples)).collect();
        text = text.replace(BLOCKS_HERE, &blocks.join("\n"));
    }
    if text.contains(FIGURES_HERE) {
        text = text.replace(FIGURES_HERE, &figures(compiled));
    }
    text
}

fn block(spec: &BlockSpec, examples: &[Example]) -> String {
    let mut text = format!(
        "### {}{}\n\n{}{}\n\n",
        spec.word,
        words::argument(spec.argument),
        spec.help,
        words::places(spec)
    );
    if let Some(example) = examples.iter().find_map(|example| excerpt(example, spec.word)) {
        text.push_str(&format!("````\n{example}````\n\n"));
    }
    let keys = spec.keys.iter().map(|key| (words::key_name(key), words::taken(&key.value), key.help));
    let open =
        words::open_keys(spec.open).map(|(name, takes, help)| (name.to_owned(), takes.to_owned(), help));
    let rows: String =
        keys.chain(open).map(|(name, takes, help)| row(&[&code(&name), &takes, help])).collect();
    if !rows.is_empty() {
        text.push_str(&format!("| key | takes | |\n| :-- | :-- | :-- |\n{rows}"));
    }
    text
}

/// The first block with a word in an example, with its fence; for a head its lines between `+++`, for a book its
/// file.
fn excerpt(example: &Example, word: &str) -> Option<String> {
    let (opens, closes) = match word {
        "book" => return (example.path == crate::source::BOOK_FILE).then(|| example.text.clone()),
        "head" => ("+++".to_owned(), "+++"),
        word => (format!("```{word}"), "```"),
    };
    let is_opened =
        |line: &&str| *line == opens || line.strip_prefix(&*opens).is_some_and(|rest| rest.starts_with(' '));
    let mut lines = example.text.lines().skip_while(|line| !is_opened(line));
    let mut text = format!("{}\n", lines.next()?);
    for line in lines {
        text.push_str(&format!("{line}\n"));
        if line == closes {
            break;
        }
    }
    Some(text)
}

/// All figures, each with a value that one of its names has in the book.
fn figures(compiled: &Compiled) -> String {
    let (book, season) = (&compiled.book, &compiled.season);
    let days = (0..book.days.len()).filter_map(|day| figures::of_day(book, season, day));
    let lines: Vec<figures::FigureLine> = days.flat_map(|page| page.figures).collect();
    let mut text = "| figure | what it is | here |\n| :-- | :-- | :-- |\n".to_owned();
    for figure in FIGURES {
        let is_of = |line: &&figures::FigureLine| line.id.row.pattern() == figure.pattern;
        let worked_out: Vec<String> =
            lines.iter().filter(is_of).filter_map(|line| told(figure, line)).collect();
        // A number is a better example than *no change*.
        let is_number = |told: &&String| told.contains(|letter: char| letter.is_ascii_digit());
        let example = worked_out.iter().rfind(is_number).or(worked_out.last());
        let help = if figure.help.is_empty() { figure.label } else { figure.help };
        text.push_str(&row(&[&code(figure.pattern), help, example.map_or("", String::as_str)]));
    }
    text
}

/// The value of a figure in a row, with its whole name where the row has several.
fn told(row: &FigureRow, line: &figures::FigureLine) -> Option<String> {
    let shown = line.shown.as_ref()?;
    Some(if line.id.as_str() == row.pattern { shown.clone() } else { format!("{}: {shown}", line.id) })
}

fn code(name: &str) -> String {
    format!("`{name}`")
}

/// A row of a table; a cell may contain a `|`.
fn row(cells: &[&str]) -> String {
    let cells: Vec<String> = cells.iter().map(|cell| cell.replace('|', "\\|")).collect();
    format!("| {} |\n", cells.join(" | "))
}
