//! What a book's own template may say, and what it costs.
//!
//! A book may come from anybody, and its templates run on the reader's machine. Templates have loops and conditions
//! over the page's values, and nothing that makes values grow: no variables, no captures, no lists of any length.
//! The rest takes time in proportion to the loops. So each turn of a loop and each inclusion has a cost. A call
//! that counts steps is inserted behind its head, and the run ends when the steps are used up. Filters and escaped
//! values count what they go through themselves.

use std::cell::Cell;

use super::error::{Place, TemplateError};
use crate::source::limits;

/// The function that counts; its argument is the cost of one turn.
pub(super) const STEPS: &str = "steps";
/// The cost of a turn besides its text: the call itself.
const TURN: usize = 32;
/// How many filters may be in one pair of braces: each goes through a value.
const FILTERS: usize = 8;

/// The tags that are allowed.
const TAGS: [&str; 8] = ["for", "endfor", "if", "elif", "else", "endif", "include", "continue"];

/// The filters that are allowed: those that count what they go through, and those that look at one thing.
pub(super) const OWN_FILTERS: [&str; 12] = [
    "default", "toml", "prose", "say", "code", "told", "length", "upper", "lower", "trim", "join", "replace",
];
const SHORT_FILTERS: [&str; 7] = ["first", "last", "nth", "round", "abs", "int", "float"];

/// The tests behind `is`.
const TESTS: [&str; 16] = [
    "same",
    "defined",
    "undefined",
    "none",
    "string",
    "number",
    "map",
    "bool",
    "array",
    "integer",
    "float",
    "iterable",
    "odd",
    "even",
    "divisible_by",
    "starting_with",
];

/// Words for one value.
const CONSTANTS: [&str; 7] = ["true", "True", "false", "False", "none", "None", "null"];

thread_local! {
    /// The steps left for the run on this thread; a run stays on its thread.
    static LEFT: Cell<u64> = const { Cell::new(u64::MAX) };
}

/// Gives this thread's next run its steps.
pub(super) fn allow(steps: u64) {
    LEFT.set(steps);
}

/// Whether a run on this thread needed more steps than it had.
pub(super) fn is_spent() -> bool {
    LEFT.get() == 0
}

/// The message about such a run.
pub(super) fn spent() -> String {
    let (base, per_byte) = (limits::TEMPLATE_STEPS, limits::TEMPLATE_STEPS_PER_BYTE);
    format!("it takes more than {base} steps, and {per_byte} for each byte of its page")
}

/// Takes steps away.
///
/// # Errors
///
/// Where there were fewer; the text is for a finding.
pub(super) fn spend(steps: usize) -> Result<(), String> {
    let left = LEFT.get().checked_sub(steps as u64);
    LEFT.set(left.unwrap_or(0));
    left.map(|_| ()).ok_or_else(spent)
}

/// A book's own template, with its costs inserted.
#[derive(Debug, Clone)]
pub(super) struct Guarded {
    pub text: String,
    /// The template as it was written.
    original: String,
    /// Where something was inserted into the original, and how many bytes; in order.
    put_in: Vec<(usize, usize)>,
}

impl Guarded {
    /// # Errors
    ///
    /// What the template may not say, at its place.
    pub fn new(name: &str, original: &str) -> Result<Self, TemplateError> {
        let most = limits::TEMPLATE_BYTES;
        if original.len() > most {
            let said = format!("it has {} bytes, and {most} is the most", original.len());
            return Err(TemplateError::whole(name, said));
        }
        let mut scan = Scan { name, text: original, at: 0, open: Vec::new(), turns: Vec::new() };
        scan.template()?;
        let end = original.len();
        // A loop without an end is a syntax fault, which the engine reports.
        let left_open = std::mem::take(&mut scan.open);
        scan.turns.extend(left_open.into_iter().map(|(head, trims)| (head, trims, end - head)));
        // The text itself is gone through once for each inclusion.
        scan.turns.push((0, false, end));
        scan.turns.sort_unstable();
        let mut text = String::with_capacity(end + 64 * scan.turns.len());
        let mut put_in = Vec::new();
        let mut so_far = 0;
        for (at, trims, bytes) in scan.turns {
            text.push_str(original.get(so_far..at).unwrap_or_default());
            so_far = at;
            let trim = if trims { "-" } else { "" };
            let charge = format!("{{% if {STEPS}(n={}) %}}{{% endif {trim}%}}", bytes + TURN);
            put_in.push((at, charge.len()));
            text.push_str(&charge);
        }
        text.push_str(original.get(so_far..).unwrap_or_default());
        Ok(Self { text, original: original.to_owned(), put_in })
    }

    /// The place in the original of a range in the text with costs.
    pub fn place(&self, start: usize, end: usize) -> Place {
        let (start, end) = (self.offset(start), self.offset(end));
        place(&self.original, start, end)
    }

    fn offset(&self, at: usize) -> usize {
        let mut before = 0;
        for (place, bytes) in &self.put_in {
            if place + before + bytes > at {
                return (at - before).min(*place);
            }
            before += bytes;
        }
        at - before
    }
}

fn place(text: &str, start: usize, end: usize) -> Place {
    let before = text.get(..start).unwrap_or(text);
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    Place::Template {
        line: before.matches('\n').count() + 1,
        column: before.get(line_start..).unwrap_or_default().chars().count() + 1,
        start,
        end: end.max(start),
    }
}

/// Reads a template the way the engine does.
struct Scan<'t> {
    name: &'t str,
    text: &'t str,
    at: usize,
    /// Open loops: where the head ends, and whether it trims what follows.
    open: Vec<(usize, bool)>,
    /// The same for all closed loops, with the bytes of their bodies.
    turns: Vec<(usize, bool, usize)>,
}

/// A part of what is in braces.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Token<'t> {
    Word(&'t str),
    /// A text or a number.
    Literal,
    Sign(&'t str),
}

const RAW: &str = "raw";
const END_RAW: &str = "endraw";

impl<'t> Scan<'t> {
    fn template(&mut self) -> Result<(), TemplateError> {
        while let Some((start, opening)) = self.next_opening() {
            self.at = start + opening.len();
            match opening {
                "{#" => self.skip_past("#}"),
                "{%" => {
                    if let Some(behind) = self.tag_named(self.at, RAW) {
                        self.at = behind;
                        self.raw();
                    } else {
                        self.braces(start, "%}")?;
                    }
                }
                _ => self.braces(start, "}}")?,
            }
        }
        Ok(())
    }

    fn rest(&self) -> &'t str {
        self.text.get(self.at..).unwrap_or_default()
    }

    fn next_opening(&self) -> Option<(usize, &'static str)> {
        let rest = self.rest().as_bytes();
        let found = rest.windows(2).enumerate().find_map(|(at, pair)| {
            let opening = ["{{", "{%", "{#"].into_iter().find(|opening| opening.as_bytes() == pair)?;
            Some((at, opening))
        });
        found.map(|(at, opening)| (self.at + at, opening))
    }

    fn skip_past(&mut self, end: &str) {
        let length = self.rest().find(end).map_or(self.rest().len(), |at| at + end.len());
        self.at += length;
    }

    /// Where a tag of one word ends, with an opening that ends at an offset.
    fn tag_named(&self, at: usize, name: &str) -> Option<usize> {
        let blanks = |text: &'t str| text.trim_start_matches(|letter: char| letter.is_ascii_whitespace());
        let rest = self.text.get(at..)?;
        let rest = blanks(rest.strip_prefix('-').unwrap_or(rest)).strip_prefix(name)?;
        let rest = blanks(rest);
        let rest = rest.strip_prefix('-').unwrap_or(rest).strip_prefix("%}")?;
        Some(self.text.len() - rest.len())
    }

    fn raw(&mut self) {
        while let Some(at) = self.rest().find("{%") {
            self.at += at + 2;
            if let Some(behind) = self.tag_named(self.at, END_RAW) {
                self.at = behind;
                return;
            }
        }
        self.at = self.text.len();
    }

    /// Reads what is in braces, up to their end.
    fn braces(&mut self, start: usize, end: &str) -> Result<(), TemplateError> {
        if self.rest().starts_with('-') {
            self.at += 1;
        }
        let is_tag = end == "%}";
        let mut tokens: Vec<(Token<'t>, usize)> = Vec::new();
        let trims = loop {
            let blanks =
                self.rest().len() - self.rest().trim_start_matches(|c: char| c.is_ascii_whitespace()).len();
            self.at += blanks;
            let rest = self.rest();
            if rest.is_empty() {
                break false;
            }
            if let Some(behind) = rest.strip_prefix('-')
                && behind.starts_with(end)
            {
                self.at += 1 + end.len();
                break true;
            }
            if rest.starts_with(end) {
                self.at += end.len();
                break false;
            }
            let (token, length) = token(rest);
            tokens.push((token, self.at));
            self.at += length;
        };
        self.rules(&tokens, is_tag)?;
        if let (true, Some((Token::Word(word), _))) = (is_tag, tokens.first()) {
            match *word {
                "for" => self.open.push((self.at, trims)),
                "endfor" => {
                    if let Some((head, trims)) = self.open.pop() {
                        self.turns.push((head, trims, start.saturating_sub(head)));
                    }
                }
                _ => {}
            }
        }
        Ok(())
    }

    fn rules(&self, tokens: &[(Token<'t>, usize)], is_tag: bool) -> Result<(), TemplateError> {
        let row = Row { tokens, is_tag };
        let mut filters = 0;
        for (at, (token, place)) in tokens.iter().enumerate() {
            let mut said = match *token {
                Token::Word(word) => row.word(word, at),
                Token::Sign(sign) => row.sign(sign, at),
                Token::Literal => None,
            };
            filters += usize::from(matches!(token, Token::Word(_)) && row.sign_before(at) == Some("|"));
            if filters > FILTERS && said.is_none() {
                said = Some(format!("more than {FILTERS} filters stand here"));
            }
            if let Some(said) = said {
                return Err(self.refused(*place, *token, said));
            }
        }
        Ok(())
    }

    fn refused(&self, at: usize, token: Token<'_>, said: String) -> TemplateError {
        let length = match token {
            Token::Word(text) | Token::Sign(text) => text.len(),
            Token::Literal => 1,
        };
        TemplateError {
            template: self.name.to_owned(),
            place: place(self.text, at, at + length),
            message: said,
        }
    }
}

/// What is in one pair of braces, to be checked part by part.
#[derive(Clone, Copy)]
struct Row<'a, 't> {
    tokens: &'a [(Token<'t>, usize)],
    is_tag: bool,
}

impl<'t> Row<'_, 't> {
    fn word_at(&self, at: usize) -> Option<&'t str> {
        match self.tokens.get(at) {
            Some((Token::Word(word), _)) => Some(*word),
            _ => None,
        }
    }

    fn sign_at(&self, at: usize) -> Option<&'t str> {
        match self.tokens.get(at) {
            Some((Token::Sign(sign), _)) => Some(*sign),
            _ => None,
        }
    }

    fn word_before(&self, at: usize) -> Option<&'t str> {
        self.word_at(at.checked_sub(1)?)
    }

    fn sign_before(&self, at: usize) -> Option<&'t str> {
        self.sign_at(at.checked_sub(1)?)
    }

    fn is_literal(&self, at: Option<usize>) -> bool {
        match at.and_then(|at| self.tokens.get(at)) {
            Some((Token::Literal, _)) => true,
            Some((Token::Word(word), _)) => CONSTANTS.contains(word),
            _ => false,
        }
    }

    /// Why a word may not be where it is.
    fn word(&self, word: &str, at: usize) -> Option<String> {
        let is_asked = self.word_before(at) == Some("is")
            || (self.word_before(at) == Some("not")
                && at.checked_sub(1).and_then(|at| self.word_before(at)) == Some("is"));
        let is_call = self.sign_at(at + 1) == Some("(")
            && !matches!(word, "and" | "or" | "not" | "if" | "elif" | "in" | "else");
        if self.is_tag && at == 0 {
            (!TAGS.contains(&word))
                .then(|| format!("templates have no `{word}`; they hold loops and conditions"))
        } else if matches!(self.sign_before(at), Some("." | "?.")) {
            None
        } else if self.sign_before(at) == Some("|") {
            let all = || [&OWN_FILTERS[..], &SHORT_FILTERS[..]].concat();
            (!all().contains(&word))
                .then(|| format!("templates have no filter `{word}`; there are {}", all().join(", ")))
        } else if is_asked {
            (word != "not" && !TESTS.contains(&word))
                .then(|| format!("templates cannot ask whether something is `{word}`"))
        } else if word == "for" {
            Some("a list is made by the page; loop over it with `for`".to_owned())
        } else if word == "in" {
            // The one in a loop's head.
            let is_first = self.is_tag
                && self.word_at(0) == Some("for")
                && !(0..at).any(|before| self.word_at(before) == Some("in"));
            (!is_first).then(|| "templates cannot search lists".to_owned())
        } else {
            is_call.then(|| format!("templates have no function `{word}`; the page gives all values"))
        }
    }

    /// Why a sign may not be where it is.
    fn sign(&self, sign: &str, at: usize) -> Option<String> {
        let behind = if self.sign_at(at + 1) == Some("-") { at + 2 } else { at + 1 };
        match sign {
            "==" | "!=" if !self.is_literal(at.checked_sub(1)) && !self.is_literal(Some(behind)) => {
                Some("two values are compared by `is same(as=…)`".to_owned())
            }
            "~" => Some("values are put together by `[a, b] | join(sep=\" \")`".to_owned()),
            ":" => Some("templates can cut no lists and make no tables".to_owned()),
            _ => None,
        }
    }
}

/// The first token of a text, and its bytes; at least one.
fn token(rest: &str) -> (Token<'_>, usize) {
    let first = rest.chars().next().unwrap_or(' ');
    if matches!(first, '"' | '\'' | '`') {
        let mut is_escaped = false;
        let end = rest.char_indices().skip(1).find(|(_, letter)| {
            let is_end = *letter == first && !is_escaped;
            is_escaped = *letter == '\\' && !is_escaped;
            is_end
        });
        return (Token::Literal, end.map_or(rest.len(), |(at, _)| at + 1));
    }
    let run = |is_part: fn(char) -> bool| rest.find(|letter| !is_part(letter)).unwrap_or(rest.len());
    if first.is_ascii_digit() {
        return (Token::Literal, run(|letter| letter.is_ascii_digit() || letter == '.'));
    }
    if first.is_ascii_alphabetic() || first == '_' {
        let length = run(|letter| letter.is_ascii_alphanumeric() || letter == '_');
        return (Token::Word(rest.get(..length).unwrap_or_default()), length);
    }
    let pair = ["//", "**", "==", "!=", ">=", "<=", "?."].into_iter().find(|pair| rest.starts_with(pair));
    let length = pair.map_or(first.len_utf8(), str::len);
    (Token::Sign(rest.get(..length).unwrap_or_default()), length)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_readme_lists_what_templates_may_use() {
        let readme = include_str!("../../README.md");
        let listed = |lead: &str| {
            let list = readme.split_once(lead).unwrap().1;
            let list = list.split("\n- ").next().unwrap().split("\n\n").next().unwrap();
            list.split('`').skip(1).step_by(2).map(str::to_owned).collect::<Vec<_>>()
        };
        assert_eq!(listed("- tags: "), TAGS);
        let filters = [&OWN_FILTERS[..], &SHORT_FILTERS].concat();
        let words = listed("- filters: ");
        assert_eq!(
            words.iter().filter(|word| *word != "layout").collect::<Vec<_>>(),
            filters.iter().collect::<Vec<_>>()
        );
        assert_eq!(listed("- questions behind `is`: "), TESTS);
    }

    fn refusal(text: &str) -> Option<String> {
        Guarded::new("t.md", text).err().map(|error| error.to_string())
    }

    #[test]
    fn what_makes_values_grow_is_no_part_of_templates() {
        for (text, place) in [
            ("a\n {% set x = 1 %}", "line 2, column 5"),
            ("{% filter upper %}{% endfilter %}", "column 4"),
            ("{{ range(end=100000) }}", "column 4"),
            ("{{ [x for x in y] }}", "column 7"),
            ("{% for x in range(end=9) %}{% endfor %}", "column 13"),
            ("{{ a ~ a }}", "column 6"),
            ("{{ a[1:] }}", "column 7"),
            ("{% if a == b %}{% endif %}", "column 9"),
            ("{% if a in b %}{% endif %}", "column 9"),
            ("{{ a | indent(width=100000000) }}", "column 8"),
            ("{% if a is containing(b) %}{% endif %}", "column 12"),
            ("{% extends \"sheet.md\" %}", "column 4"),
            ("{% component x() %}{% endcomponent %}", "column 4"),
            ("{# {{ fine() #}{% raw %}{% set x = 1 %}{% endraw %}{{ \"}}\" | first }}{{ f() }}", "column 73"),
        ] {
            let said = refusal(text).unwrap_or_default();
            assert!(said.contains(place), "{text}: {said}");
        }
        assert_eq!(refusal("{{ a | trim | trim | trim | trim | trim | trim | trim | trim | trim }}"), {
            Some("template t.md, line 1, column 64: more than 8 filters stand here".to_owned())
        });
        assert!(refusal(&" ".repeat(limits::TEMPLATE_BYTES + 1)).is_some());
    }

    #[test]
    fn loops_and_conditions_are_left_as_they_are_but_for_their_charges() {
        let text = "a{% for x in y.in -%}\n  {% if x.for == \"~\" and not (z is not none) %}{{ x | default(value=[1, 2]) }}\
                    {% elif loop.first %}{% else %}{% endif %}{%- endfor %}b";
        let guarded = Guarded::new("t.md", text).unwrap();
        let body = text.find("{%- endfor").unwrap() - text.find("\n").unwrap();
        let charges = [
            format!("{{% if steps(n={}) %}}{{% endif %}}", text.len() + TURN),
            format!("{{% if steps(n={}) %}}{{% endif -%}}", body + TURN),
        ];
        assert!(charges.iter().all(|charge| guarded.text.contains(charge)), "{}", guarded.text);
        let without = charges.iter().fold(guarded.text.clone(), |text, charge| text.replace(charge, ""));
        assert_eq!(without, text);
        // A place in the text with costs is the same place in the template.
        let at = guarded.text.find("loop.first").unwrap();
        assert!(matches!(
            guarded.place(at, at + 4),
            Place::Template { line: 2, start, .. } if text[start..].starts_with("loop.first")
        ));
    }

    #[test]
    fn a_template_that_ends_anywhere_is_read_to_its_end() {
        let text =
            "{# é #}{% raw %}{%{% endraw -%}{{ \"\\\"}}\" | toml -}}{% for x in y %}{{ x['a'] }}{% endfor %}";
        for (end, _) in text.char_indices() {
            let _ = Guarded::new("t.md", &text[..end]);
        }
        assert!(Guarded::new("t.md", text).is_ok());
    }
}
