//! The words of a text, and the clauses that they stand in.

use std::borrow::Cow;

use super::looks::Looks;

/// A word of a clause.
pub struct Token<'t> {
    /// Without accents and capitals.
    pub plain: Cow<'t, str>,
    pub looks: Looks,
    word: Word<'t>,
}

impl Token<'_> {
    /// In lower case.
    pub fn written(&self) -> String {
        small(self.word.raw)
    }

    /// Its bytes in the text.
    pub fn at(&self) -> std::ops::Range<usize> {
        self.word.from..self.word.to()
    }
}

/// Words that no comma, full stop or empty line parts.
#[derive(Clone, Copy)]
pub struct Clause<'t> {
    text: &'t str,
    from: usize,
    to: usize,
}

impl<'t> Clause<'t> {
    /// Its words, for a closer look.
    pub fn tokens(self) -> Vec<Token<'t>> {
        let words = Words { at: self.from, ..Words::of(self.text) };
        let words = words.take_while(|word| word.from < self.to);
        words.map(|word| Token { plain: word.plain(), looks: word.looks(), word }).collect()
    }
}

/// Which bytes are letters and digits of plain words.
#[expect(clippy::indexing_slicing, reason = "there is one for every byte")]
const IS_PLAIN: [bool; 256] = {
    let mut all = [false; 256];
    let mut byte = 0;
    while byte < u8::MAX {
        all[byte as usize] = byte.is_ascii_alphanumeric();
        byte += 1;
    }
    all
};

#[expect(clippy::indexing_slicing, reason = "there is one for every byte")]
fn is_plain_letter(byte: u8) -> bool {
    IS_PLAIN[usize::from(byte)]
}

/// Whether a word of a text that does not begin with a digit looks as if it mattered.
pub fn any_word(text: &str, matters: impl Fn(&Looks, &str) -> bool) -> bool {
    let bytes = text.as_bytes();
    let mut from = 0;
    while let Some(rest) = bytes.get(from..).filter(|rest| !rest.is_empty()) {
        let length = rest.iter().position(|byte| !is_plain_letter(*byte)).unwrap_or(rest.len());
        let (word, behind) = rest.split_at(length);
        let is_plain = behind.first().is_none_or(|stop| stop.is_ascii() && *stop != b'\'');
        let mut to = from + length;
        let does_matter = if is_plain {
            word.first().is_some_and(|first| !first.is_ascii_digit())
                && matters(&Looks::of_letters(word), text.get(from..to).unwrap_or_default())
        } else {
            // Few words have other letters.
            let is_between =
                |letter: char| letter.is_ascii() && !letter.is_ascii_alphanumeric() && letter != '\'';
            let word = text.get(from..).and_then(|rest| rest.split(is_between).next()).unwrap_or_default();
            to = from + word.len();
            Words::of(word).any(|word| matters(&word.looks(), word.raw))
        };
        if does_matter {
            return true;
        }
        from = to + 1;
    }
    false
}

/// The clauses of a text in which a word looks as if it mattered.
pub fn clauses<'t>(
    text: &'t str,
    matters: impl Fn(&Looks, &str) -> bool,
) -> impl Iterator<Item = Clause<'t>> {
    let mut words = Words::of(text).peekable();
    let clause = move || {
        let first = words.next()?;
        let (mut to, mut does_matter) = (first.to(), matters(&first.looks(), first.raw));
        while let Some(word) = words.next_if(|word| word.clause == first.clause) {
            to = word.to();
            does_matter = does_matter || matters(&word.looks(), word.raw);
        }
        Some((Clause { text, from: first.from, to }, does_matter))
    };
    std::iter::from_fn(clause).filter_map(|(clause, does_matter)| does_matter.then_some(clause))
}

/// A word where it stands.
#[derive(Clone, Copy)]
struct Word<'t> {
    /// As written.
    raw: &'t str,
    from: usize,
    /// Its clause in the text.
    clause: usize,
    /// Whether it has plain letters and digits alone, which may be capitals.
    is_simple: bool,
}

impl<'t> Word<'t> {
    fn to(&self) -> usize {
        self.from + self.raw.len()
    }

    fn looks(&self) -> Looks {
        match self.is_simple {
            true => Looks::of_letters(self.raw.as_bytes()),
            false => Looks::of(&without_accents(self.raw)),
        }
    }

    fn plain(&self) -> Cow<'t, str> {
        without_accents(self.raw)
    }
}

/// The words of a text, from a place on.
struct Words<'t> {
    text: &'t str,
    at: usize,
    clause: usize,
    was_line_end: bool,
}

impl<'t> Words<'t> {
    fn of(text: &'t str) -> Self {
        Self { text, at: 0, clause: 0, was_line_end: false }
    }
}

impl<'t> Iterator for Words<'t> {
    type Item = Word<'t>;

    fn next(&mut self) -> Option<Word<'t>> {
        let bytes = self.text.as_bytes();
        let mut word: Option<Word<'t>> = None;
        loop {
            let before = self.at;
            while bytes.get(self.at).is_some_and(u8::is_ascii_alphanumeric) {
                self.at += 1;
            }
            let stop = match bytes.get(self.at) {
                Some(byte) if !byte.is_ascii() => self.text.get(self.at..)?.chars().next(),
                plain => plain.map(|byte| char::from(*byte)),
            };
            let other = stop.filter(|stop| !stop.is_ascii() && stop.is_alphanumeric());
            self.at += other.map_or(0, char::len_utf8);
            if self.at > before {
                let from = word.map_or(before, |word| word.from);
                let (raw, is_simple) = (self.text.get(from..self.at)?, word.is_none() && other.is_none());
                word = Some(Word { raw, from, clause: self.clause, is_simple });
                self.was_line_end = false;
                if other.is_some() {
                    continue;
                }
            }
            let Some(stop) = stop else { return word };
            self.at += stop.len_utf8();
            // *can't* is one word.
            if is_apostrophe(stop) && word.is_some() {
                continue;
            }
            if matches!(stop, '.' | ',' | ';' | ':' | '!' | '?' | '(' | ')' | '–' | '—' | '|')
                || (stop == '\n' && self.was_line_end)
            {
                self.clause += 1;
            }
            self.was_line_end = stop == '\n' || (self.was_line_end && stop.is_whitespace());
            if word.is_some() {
                return word;
            }
        }
    }
}

fn is_apostrophe(letter: char) -> bool {
    matches!(letter, '\'' | '\u{2019}')
}

/// A word in lower case, without apostrophes.
fn small(raw: &str) -> String {
    raw.replace(is_apostrophe, "").to_lowercase()
}

/// Whether a word is all in lower case without accents.
fn is_plain(word: &str) -> bool {
    word.bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit())
}

/// A word in lower case, without apostrophes and accents.
fn without_accents(raw: &str) -> Cow<'_, str> {
    if is_plain(raw) {
        return Cow::Borrowed(raw);
    }
    if raw.is_ascii() {
        let mut plain = raw.to_ascii_lowercase();
        plain.retain(|letter| !is_apostrophe(letter));
        return Cow::Owned(plain);
    }
    let plain: String = small(raw).chars().map(without_accent).collect();
    Cow::Owned(plain.replace('ß', "ss"))
}

/// A word in lower case without accents: most are already.
pub fn plain(word: &str) -> Cow<'_, str> {
    match is_plain(word) {
        true => Cow::Borrowed(word),
        false => Cow::Owned(Words::of(word).map(|word| word.plain()).collect()),
    }
}

/// A letter of a Western European language without its accent.
pub(in super::super) fn without_accent(letter: char) -> char {
    match letter {
        'à' | 'á' | 'â' | 'ã' | 'ä' | 'å' => 'a',
        'è' | 'é' | 'ê' | 'ë' => 'e',
        'ì' | 'í' | 'î' | 'ï' => 'i',
        'ò' | 'ó' | 'ô' | 'õ' | 'ö' => 'o',
        'ù' | 'ú' | 'û' | 'ü' => 'u',
        'ñ' => 'n',
        'ç' => 'c',
        other => other,
    }
}
