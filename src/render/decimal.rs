//! Numbers split at their decimal mark, so that columns of them can be aligned on it.

/// A text that begins with a number, split at its decimal mark.
pub(super) struct Decimal {
    pub before: String,
    /// The mark and the digits behind it.
    pub fraction: String,
    /// The unit, or whatever else follows.
    pub rest: String,
}

impl Decimal {
    /// Splits a text that begins with a number; `None` for any other.
    pub fn split(text: &str) -> Option<Self> {
        let first = text.find(|letter: char| letter.is_ascii_digit())?;
        let lead = text.get(..first)?;
        if lead.chars().any(char::is_alphabetic) || lead.chars().count() > 3 {
            return None;
        }
        let is_group = |letter: char| matches!(letter, '\u{A0}' | '\u{202F}' | '\u{2009}');
        let mut end = first;
        let mut mark = None;
        let mut letters = text.get(first..)?.char_indices().peekable();
        while let Some((at, letter)) = letters.next() {
            let is_before_digit = letters.peek().is_some_and(|(_, next)| next.is_ascii_digit());
            if letter.is_ascii_digit() {
                end = first + at + 1;
            } else if mark.is_none() && matches!(letter, '.' | ',') && is_before_digit {
                mark = Some(first + at);
            } else if mark.is_none() && letter == ':' && is_before_digit {
                // The minutes of a lap belong to its number.
                end = first + at;
            } else if !(is_group(letter) && is_before_digit) {
                break;
            }
        }
        let point = mark.unwrap_or(end);
        Some(Self {
            before: text.get(..point)?.to_owned(),
            fraction: text.get(point..end)?.to_owned(),
            rest: text.get(end..)?.to_owned(),
        })
    }
}

impl Decimal {
    /// A number with its uncertainty, which goes with what follows.
    pub fn with(value: &str, expanded: Option<&str>) -> Option<Self> {
        let mut number = Self::split(value)?;
        if let Some(expanded) = expanded {
            number.rest.push_str(" ± ");
            number.rest.push_str(expanded);
        }
        Some(number)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn split(text: &str) -> Option<(String, String, String)> {
        Decimal::split(text).map(|d| (d.before, d.fraction, d.rest))
    }

    #[test]
    fn numbers_are_split_at_their_decimal_mark() {
        let parts = |a: &str, b: &str, c: &str| Some((a.to_owned(), b.to_owned(), c.to_owned()));
        assert_eq!(split("104"), parts("104", "", ""));
        assert_eq!(split("−0.35 bar"), parts("−0", ".35", " bar"));
        assert_eq!(split("1,5 turns"), parts("1", ",5", " turns"));
        assert_eq!(split("12."), parts("12", "", "."));
        assert_eq!(split("1\u{202F}250 N"), parts("1\u{202F}250", "", " N"));
        assert_eq!(split("5.2 N/mm ± 0.1"), parts("5", ".2", " N/mm ± 0.1"));
        assert_eq!(split("2:04.35"), parts("2:04", ".35", ""));
        assert_eq!(split("soft 3"), None);
    }
}
