//! Text for people: documents for a terminal, and the one place that makes text for a terminal harmless.
//!
//! A terminal obeys control characters (ECMA-48: C0 and C1, and sequences that begin with them). The controls of
//! direction (Unicode Standard Annex 9) make it show text in another order. A stranger's book must change neither what
//! the terminal does nor what seems to be written, so each of these is shown as `U+FFFD`.

#[cfg(not(target_family = "wasm"))]
mod canvas;
#[cfg(not(target_family = "wasm"))]
mod line;
#[cfg(not(target_family = "wasm"))]
mod table;
#[cfg(not(target_family = "wasm"))]
mod values;
#[cfg(not(target_family = "wasm"))]
mod write;

use std::borrow::Cow;

use crate::source::is_obeyed;

#[cfg(not(target_family = "wasm"))]
pub use write::{Drawings, TextOptions, write};

/// Shown in place of a letter that would be obeyed.
const SHOWN: char = '\u{fffd}';

/// A value, a name, a path, a message: at most one line of it.
pub fn one_line(text: &str) -> Cow<'_, str> {
    let is_shown = |letter: char| letter == harmless(letter);
    if text.chars().all(is_shown) {
        text.into()
    } else {
        text.chars().map(harmless).collect::<String>().into()
    }
}

/// A letter that can safely be shown.
pub fn harmless(letter: char) -> char {
    match letter {
        '\n' | '\r' | '\t' => ' ',
        _ if is_obeyed(letter) => SHOWN,
        _ => letter,
    }
}

/// A page of our own, with its line ends; and with its colours, where the terminal takes them.
///
/// The colours are only those sequences that set a style (ECMA-48, 8.3.117 SGR): no other letter that a terminal obeys gets
/// through, whoever wrote it.
pub fn page(text: &str, has_colour: bool) -> Cow<'_, str> {
    if !text.contains(|letter| letter != '\n' && (letter == '\t' || is_obeyed(letter))) {
        return text.into();
    }
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(letter) = rest.chars().next() {
        let style = if has_colour { style(rest) } else { "" };
        if style.is_empty() {
            out.push(if letter == '\n' { letter } else { harmless(letter) });
            rest = rest.get(letter.len_utf8()..).unwrap_or_default();
        } else {
            out.push_str(style);
            rest = rest.get(style.len()..).unwrap_or_default();
        }
    }
    out.into()
}

/// The sequence at the beginning of a text, if it only sets a style.
fn style(text: &str) -> &str {
    let Some(parameters) = text.strip_prefix("\u{1b}[") else { return "" };
    let digits = parameters.bytes().take_while(|byte| byte.is_ascii_digit() || *byte == b';').count();
    let is_style = parameters.as_bytes().get(digits) == Some(&b'm');
    text.get(..if is_style { digits + 3 } else { 0 }).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_that_is_obeyed_gets_through() {
        assert_eq!(
            one_line("a\u{1b}[2Jb\u{9b}31m\u{202e}c\nd\u{2028}"),
            "a\u{fffd}[2Jb\u{fffd}31m\u{fffd}c d\u{fffd}"
        );
        assert_eq!(one_line("12 ± 1 °C 🏍"), "12 ± 1 °C 🏍");
        assert_eq!(page("a\nb\r\u{7}", true), "a\nb \u{fffd}");
    }

    #[test]
    fn colours_get_through_where_they_are_wanted() {
        let text = "\u{1b}[1;31ma\u{1b}[0m";
        assert_eq!(page(text, true), text);
        assert_eq!(page(text, false), "\u{fffd}[1;31ma\u{fffd}[0m");
        assert_eq!(page("\u{1b}[2J\u{1b}[1", true), "\u{fffd}[2J\u{fffd}[1");
    }
}
