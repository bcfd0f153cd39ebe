//! Characters that are obeyed rather than shown.

/// Whether a display obeys a character: control characters (ECMA-48: C0 and C1), line ends among them, and the
/// controls of direction (Unicode Standard Annex 9), which make text appear in another order than it has.
pub fn is_obeyed(letter: char) -> bool {
    letter.is_control()
        || matches!(letter, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}
