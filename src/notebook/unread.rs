//! Blocks that were meant and are not read: indented like an example, or opened with the wrong marks.

use std::ops::Range;

/// Marks that look like backticks to the person who types them.
const LOOKALIKES: [char; 8] = ['`', '~', '\'', '´', '"', '’', '‘', '”'];

/// Columns of indent that make a line an example. CommonMark 0.31, 4.4.
const INDENT: usize = 4;

/// A line that opens no block, and the block's word behind its marks.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Unread {
    /// The line without its indentation.
    pub line: Range<usize>,
    pub word: Range<usize>,
    pub why: Why,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Why {
    /// It is indented by four columns or more.
    Indented,
    /// Its marks are not three backticks or tildes.
    Marks,
}

/// Searches a stretch of prose.
pub(super) fn find(text: &str, prose: Range<usize>, is_block: impl Fn(&str) -> bool) -> Vec<Unread> {
    let mut found = Vec::new();
    let mut start = prose.start;
    let written = text.get(prose.clone()).unwrap_or("").as_bytes();
    let ends = memchr::memchr_iter(b'\n', written).map(|at| prose.start + at + 1);
    for next in ends.chain([prose.end]) {
        if text.as_bytes().get(start).is_some_and(|first| can_begin(*first)) {
            let line = text.get(start..next).unwrap_or("");
            found.extend(unread(text, start, line, next..prose.end, &is_block));
        }
        start = next;
    }
    found
}

/// Whether a line that opens a block can begin with this byte. Nearly all lines begin with a word, or are empty.
fn can_begin(first: u8) -> bool {
    matches!(first, b' ' | b'\t' | b'>' | b'`' | b'~' | b'\'' | b'"') || !first.is_ascii()
}

fn unread(
    text: &str,
    start: usize,
    line: &str,
    behind: Range<usize>,
    is_block: impl Fn(&str) -> bool,
) -> Option<Unread> {
    let content = line.trim_start_matches([' ', '\t', '>']);
    let at = start + (line.len() - content.len());
    let content = content.trim_end();
    let mark = content.chars().next().filter(|mark| LOOKALIKES.contains(mark))?;
    let named = content.trim_start_matches(mark);
    let marks = content.chars().count() - named.chars().count();
    let info = named.trim_start();
    let word = info.split_whitespace().next()?;
    let is_fence = marks >= 3 && matches!(mark, '`' | '~');
    // In a sentence a word is between marks, and no key follows it.
    let is_sentence = || !named.starts_with(word) || info.split_whitespace().count() > 2;
    if is_fence && !is_indented(line) {
        return None;
    }
    if !is_fence && (is_sentence() || !begins_with_a_key(text.get(behind)?)) {
        return None;
    }
    if !is_block(word) {
        return None;
    }
    let word_at = at + (content.len() - info.len());
    Some(Unread {
        line: at..at + content.len(),
        word: word_at..word_at + word.len(),
        why: if is_fence { Why::Indented } else { Why::Marks },
    })
}

/// A fence that opens no block, and was meant to: what its line should be.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Meant<'t> {
    pub word: &'t str,
    /// The words behind its marks.
    pub words: String,
    /// How many bytes of the text below the opening line belong to it.
    pub below: usize,
}

/// What may stand between a block's word and the next where both were written as one.
const JOINTS: [char; 5] = ['-', '_', ':', '.', '/'];

/// What a fence was meant to open that has these words behind it and this text below: ```` ```sag-rear ````,
/// ```` ```rear sag ````, or three backticks with `pressures` on the line below. Keys must follow.
pub(super) fn meant<'t>(
    words: &[&'t str],
    below: &'t str,
    is_block: impl Fn(&str) -> bool,
) -> Option<Meant<'t>> {
    match words {
        [] => {
            let start = below.len() - below.trim_start().len();
            let first = below.get(start..)?.lines().next()?;
            let end = start + first.trim_end().len();
            let word = first.split_whitespace().next()?;
            let is_it = first.split_whitespace().count() <= 2 && is_block(word);
            let words = first.trim().to_owned();
            (is_it && begins_with_a_key(below.get(end..)?)).then_some(Meant { word, words, below: end })
        }
        _ if !begins_with_a_key(below) => None,
        [joined] => {
            let (word, rest) = joined.split_once(JOINTS)?;
            let is_it = is_block(word) && !rest.is_empty() && rest.chars().all(char::is_alphanumeric);
            is_it.then(|| Meant { word, words: format!("{word} {rest}"), below: 0 })
        }
        [first, word] if is_block(word) => Some(Meant { word, words: format!("{word} {first}"), below: 0 }),
        _ => None,
    }
}

/// Whether a line is indented by four columns or more.
fn is_indented(line: &str) -> bool {
    let blanks = line.chars().take_while(|letter| matches!(letter, ' ' | '\t' | '>'));
    blanks.map(|blank| if blank == '\t' { INDENT } else { 1 }).sum::<usize>() >= INDENT
}

/// Whether the first line that is not empty is `key = …`.
fn begins_with_a_key(text: &str) -> bool {
    let mut lines = text.lines().map(str::trim).filter(|line| !line.is_empty() && !line.starts_with('#'));
    let Some((key, _)) = lines.next().and_then(|line| line.split_once('=')) else { return false };
    let is_of_key = |letter: char| letter.is_alphanumeric() || matches!(letter, '.' | '_' | '-' | '"');
    !key.trim().is_empty() && key.trim().chars().all(is_of_key)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn whys(text: &str) -> Vec<(&str, Why)> {
        let found = find(text, 0..text.len(), |word| ["sag", "pressures"].contains(&word));
        found.into_iter().map(|it| (&text[it.word], it.why)).collect()
    }

    #[test]
    fn what_was_meant_for_a_block_is_found() {
        assert_eq!(
            whys("Words.\n\n    ```sag rear\n    hanging = \"1 mm\"\n    ```\n"),
            [("sag", Why::Indented)]
        );
        for marks in ["'''", "``", "`", "\"\"\"", "´´´", "~~"] {
            let text = format!("{marks}pressures\n\n# the legs\nat = \"9 °C\"\n{marks}\n");
            assert_eq!(whys(&text), [("pressures", Why::Marks)], "{marks}");
        }
    }

    #[test]
    fn a_fence_that_was_meant_to_open_a_block_is_found() {
        let meant = |words: &[&str], below: &str| {
            let found = meant(words, below, |word| ["sag", "pressures"].contains(&word))?;
            Some((found.words, below[found.below..].to_owned()))
        };
        let keys = "\nhanging = \"1 mm\"\n";
        for words in [&["sag-rear"] as &[&str], &["sag_rear"], &["rear", "sag"]] {
            assert_eq!(meant(words, keys), Some(("sag rear".to_owned(), keys.to_owned())), "{words:?}");
        }
        assert_eq!(meant(&[], "\npressures\nat = \"1 °C\"\n").unwrap().0, "pressures");
        assert_eq!(meant(&[], "\npressures\nat = 1\n").unwrap().1, "\nat = 1\n");
        for (words, below) in [
            (&["text"] as &[&str], keys),
            (&["sag-rear"], "\nis what it does\n"),
            (&["why", "we", "sag"], keys),
            (&["x-ray"], keys),
            (&[], keys),
            (&[], "\nsag is what it does\nx = 1\n"),
            (&[], "\nsag\n\nwords\n"),
        ] {
            assert_eq!(meant(words, below), None, "{words:?} {below}");
        }
    }

    #[test]
    fn sentences_are_left_alone() {
        for text in [
            "'sag' is what it does\n",
            "`sag rear` = 105\n",
            "``pressures\nare written below.\n",
            "'pressures were low again = bad'\nx = 1\n",
            "    ```text\n    sag = 1\n",
            "~~sag~~\nx = 1\n",
        ] {
            assert_eq!(whys(text), [], "{text}");
        }
    }
}
