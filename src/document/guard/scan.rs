//! A template read the way the engine does, and what in it is refused.

use super::super::error::TemplateError;
use super::{CONSTANTS, FILTERS, OWN_FILTERS, SHORT_FILTERS, TAGS, TESTS, place};

/// Reads a template the way the engine does.
pub(super) struct Scan<'t> {
    pub name: &'t str,
    pub text: &'t str,
    pub at: usize,
    /// Open loops: where the head ends, and whether it trims what follows.
    pub open: Vec<(usize, bool)>,
    /// The same for all closed loops, with the bytes of their bodies.
    pub turns: Vec<(usize, bool, usize)>,
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
    pub fn template(&mut self) -> Result<(), TemplateError> {
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
                said = Some(format!("there are more than {FILTERS} filters here"));
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
