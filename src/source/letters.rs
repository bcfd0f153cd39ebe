//! Letters that are not shown but obeyed.

/// Whether whoever shows a text obeys a letter: control characters (ECMA-48: C0 and C1), line ends with them, and the
/// controls of direction (Unicode Standard Annex 9), which have text stand in another order than it has.
pub fn is_obeyed(letter: char) -> bool {
    letter.is_control()
        || matches!(letter, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}
