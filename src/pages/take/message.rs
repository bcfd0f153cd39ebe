//! Undoes what a messaging program does to a text, as far as nobody can have meant it.

use crate::source::is_obeyed;

/// The text of some days, as it was sent.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Message {
    /// Each with its head; the only one without where the text has no head.
    pub days: Vec<String>,
    /// Lines before the first head, which belong to no day.
    pub before: usize,
    /// Control characters that were left out.
    pub dropped: usize,
}

/// Takes a message apart. It restores line ends, and the straight quotation marks that a telephone made curly, where a
/// head or a block needs them.
pub fn message(text: &str) -> Message {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text).replace("\r\n", "\n").replace('\r', "\n");
    let is_dropped = |letter: char| is_obeyed(letter) && !matches!(letter, '\n' | '\t');
    let dropped = text.chars().filter(|letter| is_dropped(*letter)).count();
    let text: String = text.chars().filter(|letter| !is_dropped(*letter)).collect();
    let lines: Vec<&str> = text.lines().collect();
    let heads: Vec<usize> = (0..lines.len()).filter(|at| begins_a_day(&lines, *at)).collect();
    let first = heads.first().copied().unwrap_or(0);
    let before = lines.iter().take(first).filter(|line| !line.trim().is_empty()).count();
    let ends = heads.iter().skip(1).copied().chain([lines.len()]);
    let starts = if heads.is_empty() { vec![0] } else { heads.clone() };
    let days = starts.into_iter().zip(ends).map(|(from, to)| day(lines.get(from..to).unwrap_or_default()));
    Message { days: days.filter(|day| !day.trim().is_empty()).collect(), before, dropped }
}

fn is_mark(line: &str) -> bool {
    line.trim() == "+++"
}

/// Whether a head begins at a line: a mark, lines of which one gives the kind, a mark.
fn begins_a_day(lines: &[&str], at: usize) -> bool {
    let (mark, rest) = match lines.get(at..) {
        Some([mark, rest @ ..]) => (mark, rest),
        _ => return false,
    };
    let Some(end) = rest.iter().position(|line| is_mark(line)).filter(|_| is_mark(mark)) else {
        return false;
    };
    let says_kind = |line: &&str| line.split_once('=').is_some_and(|(key, _)| key.trim() == "kind");
    rest.get(..end).unwrap_or_default().iter().any(says_kind)
}

/// A day's lines, with what a telephone did to the marks and quotation marks of its head and fences undone.
fn day(lines: &[&str]) -> String {
    let mut text = String::new();
    let (mut is_in_head, mut is_in_fence) = (false, false);
    for (at, line) in lines.iter().enumerate() {
        let line = line.trim_end();
        if is_mark(line) && (at == 0 || is_in_head) {
            is_in_head = at == 0;
            text.push_str("+++\n");
            continue;
        }
        let is_fence = line.starts_with("```");
        let round = ['“', '”', '„', '‟'];
        if (is_in_head || is_in_fence) && !line.contains('"') {
            text.push_str(&line.replace(round, "\""));
        } else {
            text.push_str(line);
        }
        text.push('\n');
        is_in_fence ^= is_fence;
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "+++\nkind = \"day\"\nrider = \"wren\"\n+++\n";

    #[test]
    fn a_day_is_itself() {
        let text = format!("{HEAD}\n“Fog.”\n\n```stint\nnote = \"he said “go”\"\n```\n");
        assert_eq!(message(&text), Message { days: vec![text], ..Message::default() });
    }

    #[test]
    fn what_a_telephone_did_is_undone() {
        let sent = "From the pits\u{200e}:\r\n+++\u{a0}\r\nkind = “day”\r\n+++\r\n```stint\r\nlaps = „2:01“\r\nnote = ”a”\r\n```\u{1b}\r\n”b”";
        let taken = message(sent);
        // U+201C closes in German and opens in English.
        assert_eq!(
            taken.days,
            ["+++\nkind = \"day\"\n+++\n```stint\nlaps = \"2:01\"\nnote = \"a\"\n```\n”b”\n"]
        );
        assert_eq!((taken.before, taken.dropped), (1, 2));
    }

    #[test]
    fn several_days_are_several() {
        let taken = message(&format!("{HEAD}\na\n\n+++\n\n{HEAD}b\n"));
        assert_eq!(taken.days, [format!("{HEAD}\na\n\n+++\n\n"), format!("{HEAD}b\n")]);
        assert_eq!(message("no head\n").days, ["no head\n"]);
        assert_eq!(message(" \n"), Message::default());
        assert_eq!(message("+++\nkind = 1\n").days, ["+++\nkind = 1\n"]);
    }
}
