//! Words as riders say them: without case and endings, and found again in a text.

use std::borrow::Cow;

use super::injury::tokens::without_accent;

/// Endings that do not change a word. Longer first.
const ENDINGS: [&str; 6] = ["ing", "ers", "er", "ed", "es", "s"];
/// The fewest letters that must be left of a word without its ending.
const LEAST_STEM: usize = 3;

/// Letters and pairs of letters that stand for one another.
const DIGRAPHS: [(&str, &str); 4] = [("ae", "a"), ("oe", "o"), ("ue", "u"), ("ß", "ss")];
/// In a way of saying something: here may be other words of the clause. German parts its verbs.
const OTHERS: char = '…';

/// One word of a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Token<'t> {
    /// In lower case, without apostrophes.
    pub text: Cow<'t, str>,
    /// The same without accents, where it has some.
    folded: Option<String>,
    /// The length of its text without accents and ending.
    stem: usize,
    /// Its place in the text, in bytes.
    pub from: usize,
    pub to: usize,
    /// Its clause, counted: commas and the like separate them.
    pub clause: usize,
    /// The lists of words that it is on, a bit each; none until somebody who has lists looks.
    pub lists: u16,
}

impl Token<'_> {
    pub fn number(&self) -> Option<u64> {
        self.text.parse().ok()
    }

    /// Without accents and ending.
    pub fn stem(&self) -> &str {
        self.folded.as_deref().unwrap_or(&self.text).get(..self.stem).unwrap_or_default()
    }
}

/// The words of a text in their order.
pub(super) fn tokens(text: &str) -> Vec<Token<'_>> {
    let mut all: Vec<Token<'_>> = Vec::new();
    // Where a word began, and whether it stands as it is spelt here.
    let mut word: Option<(usize, bool)> = None;
    let mut clause = 0;
    let is_digit =
        |at: usize| text.get(at..).is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()));
    // The point in a number separates no words.
    let is_point = |at: usize, c: char| c == '.' && is_digit(at + 1) && at > 0 && is_digit(at - 1);
    let is_part = |at: usize, c: char| c.is_alphanumeric() || is_apostrophe(c) || is_point(at, c);
    for (at, c) in text.char_indices().chain([(text.len(), ' ')]) {
        if is_apostrophe(c) && word.is_none() {
            continue;
        }
        if is_part(at, c) {
            let is_plain = c.is_ascii_lowercase() || c.is_ascii_digit() || c == '.';
            word.get_or_insert((at, true)).1 &= is_plain;
            continue;
        }
        if let Some((from, is_plain)) = word.take() {
            let written = text.get(from..at).unwrap_or_default();
            let text = if is_plain { Cow::Borrowed(written) } else { Cow::Owned(small(written)) };
            let folded = folded(&text);
            let stem = stem(folded.as_deref().unwrap_or(&text)).len();
            all.push(Token { stem, folded, text, from, to: at, clause, lists: 0 });
        }
        if matches!(c, ',' | ';' | '.' | ':' | '!' | '?' | '(' | ')' | '+' | '&') {
            clause += 1;
        }
    }
    all
}

fn is_apostrophe(c: char) -> bool {
    matches!(c, '\'' | '\u{2019}')
}

/// A word as those write it who have no accents at hand: `schlägt` and `schlaegt` are one. `None` where that is how it
/// stands.
fn folded(word: &str) -> Option<String> {
    // Nearly all words are let go here.
    let is_pair = |two: &[u8]| DIGRAPHS.iter().any(|(pair, _)| pair.as_bytes() == two);
    let has_pair = || word.as_bytes().windows(2).any(is_pair);
    if word.is_ascii() && !has_pair() {
        return None;
    }
    let plain: String = word.chars().map(without_accent).collect();
    Some(DIGRAPHS.iter().fold(plain, |word, (pair, letter)| word.replace(pair, letter)))
}

/// A word in lower case, without apostrophes.
fn small(word: &str) -> String {
    word.chars().filter(|letter| !is_apostrophe(*letter)).flat_map(char::to_lowercase).collect()
}

/// The beginning of a word: without its ending, and without the letter that the ending doubled.
fn stem(word: &str) -> &str {
    let cut = ENDINGS.iter().find_map(|ending| {
        word.strip_suffix(ending)
            .filter(|rest| rest.chars().nth(LEAST_STEM - 1).is_some() && !rest.ends_with('s'))
    });
    let word = cut.unwrap_or(word);
    let mut without_last = word.chars();
    let last = without_last.next_back();
    let is_doubled = last.is_some() && last == without_last.clone().next_back();
    let is_long = word.chars().nth(LEAST_STEM).is_some();
    if is_long && (is_doubled || last == Some('e')) { without_last.as_str() } else { word }
}

/// A way of saying something: words without their endings, with a space between them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Saying<'p> {
    now: &'p str,
    /// Words that come later in the clause; mostly none.
    later: &'p str,
}

impl<'p> Saying<'p> {
    /// A text as a line that `read` understands; `None` for one without words.
    pub fn line(text: &str) -> Option<String> {
        let stems = |text| {
            let tokens = tokens(text);
            tokens.iter().map(Token::stem).collect::<Vec<&str>>().join(" ")
        };
        let (now, later) = text.split_once(OTHERS).unwrap_or((text, ""));
        let now = stems(now);
        (!now.is_empty()).then(|| now + "\t" + &stems(later))
    }

    pub fn read(line: &'p str) -> Self {
        let (now, later) = line.split_once('\t').unwrap_or((line, ""));
        Self { now, later }
    }

    /// How many words it has.
    pub fn len(self) -> usize {
        self.now.split(' ').count() + if self.later.is_empty() { 0 } else { self.later.split(' ').count() }
    }

    /// The first word, without its ending.
    pub fn first(self) -> &'p str {
        self.now.split(' ').next().unwrap_or_default()
    }

    /// How many words from here on say it; small words between them count and do not matter, and those that come later are
    /// not counted.
    pub fn matches(self, text: &[Token<'_>], is_small: impl Fn(&Token<'_>) -> bool) -> Option<usize> {
        let clause = text.first()?.clause;
        let mut at = 0;
        for (index, stem) in self.now.split(' ').enumerate() {
            let mut token = text.get(at)?;
            while index > 0 && token.stem() != stem && is_small(token) {
                at += 1;
                token = text.get(at)?;
            }
            if token.stem() != stem || token.clause != clause {
                return None;
            }
            at += 1;
        }
        if self.later.is_empty() {
            return Some(at);
        }
        let rest = text.get(at..)?.iter().take_while(|token| token.clause == clause);
        let rest: Vec<&str> = rest.map(Token::stem).collect();
        let later: Vec<&str> = self.later.split(' ').collect();
        rest.windows(later.len()).any(|words| words == later).then_some(at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn says(phrase: &str, text: &str) -> bool {
        let is_small = |word: &Token<'_>| ["the", "a", "in", "at"].contains(&&*word.text);
        let phrase = Saying::line(phrase).unwrap();
        let phrase = Saying::read(&phrase);
        let tokens = tokens(text);
        (0..tokens.len()).any(|at| phrase.matches(&tokens[at..], is_small).is_some())
    }

    #[test]
    fn endings_case_and_small_words_do_not_matter() {
        for (phrase, text) in [
            ("packs", "it was PACKING badly"),
            ("dives", "diving"),
            ("swaps", "swapped twice"),
            ("knifes", "then knifes in at the hairpin"),
            ("shakes head", "shakes the head"),
            ("corner-entry", "Corner entry"),
            ("wont turn", "it won\u{2019}t turn"),
            ("shakes its head", "shaking its head"),
        ] {
            assert!(says(phrase, text), "{phrase}: {text}");
        }
        for (phrase, text) in [("packs", "a package"), ("mid corner", "mid, corner"), ("harsh", "marsh")] {
            assert!(!says(phrase, text), "{phrase}: {text}");
        }
    }
}
