//! The guide: how to use the program, in pages whose examples are notebooks and whose figures are worked out.
//!
//! A page is Markdown. A fence of four backticks with a path behind its first word is a file of the page's own book. `@figure` in
//! the prose shows the figure at the end of the last day above it. A line `{blocks}` or `{figures}` is replaced by the reference
//! of the language, with examples from the page's own book.

use crate::book::Book;
use crate::notebook::{BlockWord, parse};
use crate::season::Season;
use crate::session::{Compiled, Session};
use crate::source::FileId;

mod reference;

use super::{figures, state};

/// What opens and closes an example.
const FENCE: &str = "````";

/// One page of the guide.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Topic {
    pub name: &'static str,
    /// As written.
    pub source: &'static str,
}

macro_rules! topics {
    ($($name:literal),* $(,)?) => {
        /// All pages, in the order in which they are read.
        pub static TOPICS: &[Topic] = &[$(Topic {
            name: $name,
            source: include_str!(concat!("../../../templates/guide/", $name, ".md")),
        }),*];
    };
}

topics!(
    "first-evening",
    "air-fork",
    "test-day",
    "growing-junior",
    "coach-weekend",
    "season-end",
    "git",
    "pages",
    "blocks",
    "uncertainty",
    "cautions",
    "tables",
    "federation",
    "promises"
);

/// A file of a page's own book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Example {
    /// Its path in the book.
    pub path: &'static str,
    pub text: String,
}

/// A part of a page.
enum Part {
    Prose(String),
    Example(Example),
}

impl Topic {
    /// The page with a name.
    pub fn find(name: &str) -> Option<Self> {
        TOPICS.iter().copied().find(|topic| topic.name == name)
    }

    /// Its heading.
    pub fn title(self) -> &'static str {
        self.source.lines().next().unwrap_or_default().trim_start_matches(['#', ' '])
    }

    /// The files of its own book, in the order of the page.
    pub fn examples(self) -> Vec<Example> {
        let of_part = |part| match part {
            Part::Example(example) => Some(example),
            Part::Prose(_) => None,
        };
        self.parts().into_iter().filter_map(of_part).collect()
    }

    fn parts(self) -> Vec<Part> {
        let mut parts = vec![Part::Prose(String::new())];
        let mut is_open = false;
        for line in self.source.split_inclusive('\n') {
            let path = line.strip_prefix(FENCE).map(|info| info.split_whitespace().nth(1));
            match (path, parts.last_mut()) {
                (Some(Some(path)), _) if !is_open => {
                    parts.push(Part::Example(Example { path, text: String::new() }));
                    is_open = true;
                }
                (Some(None), _) if is_open => {
                    parts.push(Part::Prose(String::new()));
                    is_open = false;
                }
                (_, Some(Part::Prose(text) | Part::Example(Example { text, .. }))) => text.push_str(line),
                (_, None) => {}
            }
        }
        parts
    }

    /// Its own book, replayed.
    fn compiled(self) -> Compiled {
        let mut session = Session::new();
        for example in self.examples() {
            session.edit(example.path, example.text);
        }
        session.replay()
    }

    /// The page as Markdown, its figures worked out.
    pub fn markdown(self) -> String {
        self.written(|example| format!("`{}`:\n\n{FENCE}\n{}{FENCE}\n", example.path, example.text))
    }

    /// The page for a terminal: examples are indented, below their paths.
    pub fn text(self) -> String {
        self.written(|example| {
            let lines = example.text.lines().map(|line| format!("    {line}").trim_end().to_owned() + "\n");
            format!("{}:\n\n{}", example.path, lines.collect::<String>())
        })
    }

    fn written(self, write: impl Fn(&Example) -> String) -> String {
        let (compiled, examples) = (self.compiled(), self.examples());
        let mut day = None;
        let mut page = String::new();
        for part in self.parts() {
            match part {
                Part::Prose(text) => {
                    let text = reference::put_in(&text, &compiled, &examples);
                    page.push_str(&filled(&text, &compiled, day));
                }
                Part::Example(example) => {
                    day = day_of(&compiled.book, example.path).or(day);
                    page.push_str(&write(&example));
                }
            }
        }
        page
    }
}

fn day_of(book: &Book, path: &str) -> Option<usize> {
    book.day_of(book.sources.find(path)?)
}

/// Prose with its mentions filled in; a mention without a value stays as written.
fn filled(prose: &str, compiled: &Compiled, day: Option<usize>) -> String {
    let (document, _) = parse(FileId(0), prose, |_| BlockWord::Prose);
    let mut text = String::new();
    let mut from = 0;
    for mention in &document.mentions {
        let written = format!("`@{}`", mention.name);
        let Some(start) = prose.get(from..).and_then(|rest| rest.find(&written)).map(|at| from + at) else {
            continue;
        };
        let Some(shown) = day.and_then(|day| shown(&compiled.book, &compiled.season, day, &mention.name))
        else {
            continue;
        };
        text.push_str(prose.get(from..start).unwrap_or_default());
        text.push_str(&format!("**{shown}**"));
        from = start + written.len();
    }
    text + prose.get(from..).unwrap_or_default()
}

/// A figure or a setting at the end of a day; `None` where it has no value.
fn shown(book: &Book, season: &Season, day: usize, name: &str) -> Option<String> {
    let figure =
        figures::of_day(book, season, day)?.figures.into_iter().rfind(|line| line.id.as_str() == name);
    if let Some(figure) = figure {
        return figure.shown;
    }
    let in_force = state::of_day(book, season, day, None)?;
    in_force.settings.into_iter().find(|line| line.id.as_str() == name).map(|line| line.value)
}
