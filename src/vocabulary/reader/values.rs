//! Words, truth values, dates and times of day.

use jiff::civil::Date;

use crate::finding::{Finding, closest};
use crate::notebook::{Node, Value, dates};
use crate::speech::{Message, say};

use super::super::codes;
use super::super::spec::ValueSpec;
use super::super::values::{Dated, Texts, TimeOfDay, Truth, Written};
use super::Reader;

/// A value that can be read from a notebook.
pub(crate) trait Read: Sized {
    /// Reads a value; one that cannot be read is reported and absent.
    fn read(node: &Node, spec: &ValueSpec, reader: &mut Reader<'_>) -> Option<Self>;
}

impl Reader<'_> {
    fn word(&mut self, node: &Node) -> Option<Written> {
        match &node.value {
            Value::Text(text) => Some(Written { text: text.text.to_string(), span: node.span }),
            Value::Integer(number) => {
                // A race number, a machine called by its capacity.
                let quoted = format!("\"{number}\"");
                let headline = say!("`{number}` is not in quotes", number);
                let finding = Finding::new(&codes::WRONG_FORM, node.span, headline);
                self.report(finding.fix(say!("write `{quoted}`", quoted), node.span, quoted));
                None
            }
            _ => {
                self.wrong_form(node, say!("text in quotes"));
                None
            }
        }
    }

    /// Reports a word that is not on a closed list.
    fn known_word(&mut self, word: Written, words: &[&str]) -> Option<Written> {
        if words.is_empty() || words.contains(&word.text.as_str()) {
            return Some(word);
        }
        let mut finding = Finding::new(
            &codes::UNKNOWN_WORD,
            word.span,
            say!("`{text}` is not one of the words taken here", text = word.text),
        )
        .help(say!("write {words}", words = any_of(words)));
        for near in closest(&word.text, words.iter().copied()) {
            finding = finding.fix(say!("did you mean `{near}`?", near), word.span, format!("\"{near}\""));
        }
        self.report(finding);
        None
    }
}

/// `a`, `b` or `c`, each in backticks.
fn any_of(words: &[&str]) -> Message {
    Message::either(words.iter().map(|word| Message::text(format!("`{word}`"))))
}

impl Read for Written {
    fn read(node: &Node, spec: &ValueSpec, reader: &mut Reader<'_>) -> Option<Self> {
        let word = reader.word(node)?;
        reader.known_word(word, spec.words)
    }
}

impl Read for Texts {
    fn read(node: &Node, spec: &ValueSpec, reader: &mut Reader<'_>) -> Option<Self> {
        let nodes: &[Node] = match &node.value {
            Value::List(nodes) => nodes,
            _ => std::slice::from_ref(node),
        };
        let mut values = Vec::with_capacity(nodes.len());
        for node in nodes {
            let word = reader.word(node);
            values.extend(word.and_then(|word| reader.known_word(word, spec.words)));
        }
        Some(Self { values, span: node.span })
    }
}

impl Read for Truth {
    fn read(node: &Node, _spec: &ValueSpec, reader: &mut Reader<'_>) -> Option<Self> {
        match node.value {
            Value::Boolean(value) => Some(Self { value, span: node.span }),
            _ => {
                reader.wrong_form(node, say!("`true` or `false`"));
                None
            }
        }
    }
}

impl Read for Dated {
    fn read(node: &Node, _spec: &ValueSpec, reader: &mut Reader<'_>) -> Option<Self> {
        let text = match &node.value {
            Value::Date(text) => &**text,
            Value::Text(text) => &*text.text,
            _ => {
                reader.wrong_form(node, say!("a date such as `2026-04-11`"));
                return None;
            }
        };
        // The date parser takes other forms too; a notebook has one.
        let has_form = text.len() == 10
            && text
                .bytes()
                .enumerate()
                .all(|(at, byte)| if matches!(at, 4 | 7) { byte == b'-' } else { byte.is_ascii_digit() });
        let date = if has_form { text.parse::<Date>().ok() } else { None };
        if date.is_none() {
            let headline = if has_form {
                say!("there is no day {text}", text)
            } else {
                say!("`{text}` is not a date", text)
            };
            let finding = Finding::new(&codes::BAD_DATE, node.span, headline);
            let meant = dates::meant(text);
            reader.report(if meant.is_empty() {
                finding.help(say!("write year, month and day: `2026-04-11`"))
            } else {
                meant.into_iter().fold(finding, |finding, date| {
                    finding.fix(say!("write `{date}`", date), node.span, date.to_string())
                })
            });
        }
        date.map(|date| Self { date, span: node.span })
    }
}

impl Read for TimeOfDay {
    fn read(node: &Node, _spec: &ValueSpec, reader: &mut Reader<'_>) -> Option<Self> {
        // TOML has times of its own.
        let text = match &node.value {
            Value::Date(text) => &**text,
            Value::Text(text) => &*text.text,
            _ => {
                reader.wrong_form(node, say!("a time of day such as `9:30`"));
                return None;
            }
        };
        let time = dates::time_of_day(text);
        if time.is_none() {
            let headline = say!("`{text}` is not a time of day", text);
            let help = say!("write hours and minutes, from `0:00` to `23:59`: `9:30`");
            reader.report(Finding::new(&codes::BAD_TIME, node.span, headline).help(help));
        }
        time.map(|time| Self { time, span: node.span })
    }
}
