//! Numbers as riders write them: signs, decimals, fractions, lap times; no units.

use std::borrow::Cow;
use std::ops::Range;

use super::Way;
use super::problem::{Fault, Problem};

/// The finest decimal place that is kept: a finer one does not survive the way to SI and back.
const FINEST_PLACE: usize = 15;

/// The finest division of a ruler in inches.
const FINEST_FRACTION: u32 = 64;

/// A number without its unit.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Numeral {
    /// Not negative; see `sign`.
    pub size: f64,
    /// The place value of the last digit written.
    pub digit: f64,
    /// `Plus` or `Minus` where one was written.
    pub sign: Option<Way>,
    /// Written as a time, `2:04.1`.
    pub is_clock: bool,
    pub range: Range<usize>,
}

impl Numeral {
    /// A whole number that was not text.
    pub fn whole(number: f64) -> Option<Self> {
        let sign = number.is_sign_negative().then_some(Way::Minus);
        let is_whole = number.fract() == 0.0 && number.abs() <= LARGEST;
        is_whole.then(|| Self { size: number.abs(), digit: 1.0, sign, is_clock: false, range: 0..0 })
    }

    pub fn value(&self) -> f64 {
        if self.sign == Some(Way::Minus) { -self.size } else { self.size }
    }
}

/// A place in a text, and the rest of the text from there.
#[derive(Debug, Clone)]
pub(super) struct Cursor<'t> {
    pub text: &'t str,
    pub at: usize,
}

/// Nothing on a motorcycle is counted or measured beyond this.
const LARGEST: f64 = 1e15;

/// As many digits as an exact number has for certain.
const FEW_DIGITS: usize = 15;

/// How a character joins or parts quantities.
pub(super) fn is_dash(letter: char) -> bool {
    matches!(letter, '-' | '−' | '–' | '—')
}

/// Spaces that typesetters put between groups of three digits.
fn is_thin_space(letter: char) -> bool {
    matches!(letter, '\u{2009}' | '\u{202f}')
}

/// A fraction in one character, reduced.
fn vulgar(letter: char) -> Option<(u32, u32)> {
    Some(match letter {
        '½' => (1, 2),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        _ => return None,
    })
}

impl<'t> Cursor<'t> {
    pub fn new(text: &'t str) -> Self {
        Self { text, at: 0 }
    }

    pub fn rest(&self) -> &'t str {
        self.text.get(self.at..).unwrap_or("")
    }

    pub fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    pub fn slice(&self, range: Range<usize>) -> &'t str {
        self.text.get(range).unwrap_or("")
    }

    pub fn is_at_end(&self) -> bool {
        self.at >= self.text.len()
    }

    /// The next byte: digits and most marks are one each.
    pub fn byte(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    /// Takes the next characters if they are these.
    pub fn take(&mut self, wanted: &str) -> bool {
        let found = self.starts_with(wanted);
        if found {
            self.at += wanted.len();
        }
        found
    }

    /// Whether a mark is next, with a digit behind it.
    fn has_digit_behind(&self, mark: u8) -> bool {
        let next = self.text.as_bytes().get(self.at..);
        matches!(next, Some([first, b'0'..=b'9', ..]) if *first == mark)
    }

    pub fn starts_with(&self, wanted: &str) -> bool {
        let rest = self.text.as_bytes().get(self.at..);
        rest.is_some_and(|rest| rest.starts_with(wanted.as_bytes()))
    }

    pub fn take_if(&mut self, wanted: impl Fn(char) -> bool) -> Option<char> {
        let letter = self.peek().filter(|&letter| wanted(letter))?;
        self.at += letter.len_utf8();
        Some(letter)
    }

    pub fn take_while(&mut self, wanted: impl Fn(char) -> bool) -> &'t str {
        let rest = self.rest();
        let taken = rest.get(..rest.find(|letter| !wanted(letter)).unwrap_or(rest.len())).unwrap_or_default();
        self.at += taken.len();
        taken
    }

    pub fn take_digits(&mut self) -> &'t str {
        let start = self.at;
        while self.byte().is_some_and(|byte| byte.is_ascii_digit()) {
            self.at += 1;
        }
        self.slice(start..self.at)
    }

    pub fn skip_space(&mut self) {
        while self.byte() == Some(b' ') {
            self.at += 1;
        }
        // Other spaces are rare.
        if self.byte().is_some_and(|byte| !byte.is_ascii_graphic()) {
            self.take_while(char::is_whitespace);
        }
    }

    /// A run of letters without space or mark, to name in a finding.
    pub fn word(&mut self) -> Range<usize> {
        let start = self.at;
        self.take_while(|letter| !letter.is_whitespace());
        start..self.at
    }

    /// Takes a number, if one is next.
    pub fn numeral(&mut self) -> Result<Option<Numeral>, Problem> {
        if let Some(numeral) = self.plain() {
            self.at = numeral.range.end;
            return Ok(Some(numeral));
        }
        let mut ahead = self.clone();
        let start = ahead.at;
        let sign = ahead.take_if(|letter| letter == '+' || is_dash(letter)).map(|letter| match letter {
            '+' => Way::Plus,
            _ => Way::Minus,
        });
        if sign.is_some() {
            ahead.skip_space();
        }
        let Some(mut numeral) = ahead.unsigned(start)? else { return Ok(None) };
        if numeral.is_clock && sign.is_some() {
            let found = ahead.slice(start..ahead.at).to_owned();
            return Err(Problem { fault: Fault::Clock { found }, range: start..ahead.at });
        }
        numeral.sign = sign;
        *self = ahead;
        Ok(Some(numeral))
    }

    /// A number of few digits, with decimals or without: nearly all are. What else a number can be is read by `unsigned`,
    /// which reads these alike.
    fn plain(&self) -> Option<Numeral> {
        let mut ahead = self.clone();
        let whole = ahead.take_digits();
        let mut behind = ahead.clone();
        let decimals = if behind.take(".") { behind.take_digits() } else { "" };
        let goes_on = if decimals.is_empty() {
            ahead.goes_on()
        } else {
            ahead = behind;
            matches!(ahead.byte(), Some(b'.' | b':' | b','))
        };
        if whole.is_empty() || goes_on || whole.len() + decimals.len() > FEW_DIGITS {
            return None;
        }
        let digits = whole.bytes().chain(decimals.bytes());
        let number = digits.fold(0, |number, digit| number * 10 + u64::from(digit - b'0'));
        // Both are exact, so that the division rounds once.
        let scale = ten_to(decimals.len());
        let range = self.at..ahead.at;
        Some(Numeral { size: number as f64 / scale, digit: 1.0 / scale, sign: None, is_clock: false, range })
    }

    /// Whether a number may go on behind its first digits, as a fraction, a time or a group of three more.
    fn goes_on(&self) -> bool {
        let mut ahead = self.clone();
        if matches!(ahead.byte(), Some(b'/' | b'-' | b':' | b',')) || ahead.peek().is_some_and(is_thin_space)
        {
            return true;
        }
        ahead.skip_space();
        if ahead.peek().and_then(vulgar).is_some() {
            return true;
        }
        // `4 1/8`
        ahead.take_digits();
        ahead.byte() == Some(b'/')
    }

    fn unsigned(&mut self, start: usize) -> Result<Option<Numeral>, Problem> {
        if let Some((above, below)) = self.peek().and_then(vulgar) {
            self.take_if(|_| true);
            return self.fraction(start, 0, above, below).map(Some);
        }
        let digits = self.digits();
        let has_decimals = self.has_digit_behind(b'.');
        if digits.is_empty() && !has_decimals {
            return Ok(None);
        }
        if !digits.is_empty() && self.has_digit_behind(b':') {
            return self.clock(start, &digits).map(Some);
        }
        if self.has_digit_behind(b',') {
            return Err(self.comma(start));
        }
        if !has_decimals && let Some(fraction) = self.common_fraction(start, &digits)? {
            return Ok(Some(fraction));
        }
        let mut all = digits;
        let mut decimals = 0;
        if has_decimals {
            self.take(".");
            let behind = self.take_digits();
            decimals = behind.len();
            all = match all {
                Cow::Borrowed(whole) => {
                    Cow::Borrowed(self.slice(self.at - decimals - 1 - whole.len()..self.at))
                }
                Cow::Owned(whole) => Cow::Owned(whole + "." + behind),
            };
            if self.has_digit_behind(b'.') || self.has_digit_behind(b':') {
                return Err(self.not_a_number(start));
            }
            if self.has_digit_behind(b',') {
                return Err(self.comma(start));
            }
        }
        // Any number of digits: those past the last that a number can hold are rounded away.
        let size = all.parse::<f64>().ok().filter(|size| *size <= LARGEST);
        let Some(size) = size else { return Err(self.not_a_number(start)) };
        let digit = 1.0 / ten_to(decimals.min(FINEST_PLACE));
        Ok(Some(Numeral { size, digit, sign: None, is_clock: false, range: start..self.at }))
    }

    /// Digits, with thin spaces between groups of three left out.
    fn digits(&mut self) -> Cow<'t, str> {
        let mut digits = Cow::Borrowed(self.take_digits());
        loop {
            let mut ahead = self.clone();
            if digits.is_empty() || ahead.take_if(is_thin_space).is_none() {
                return digits;
            }
            let group = ahead.take_digits();
            if group.len() != 3 || digits.is_empty() {
                return digits;
            }
            digits.to_mut().push_str(group);
            *self = ahead;
        }
    }

    /// `1/8`, `4 1/8`, `4-1/8`, `4½`: the digits before are already taken.
    fn common_fraction(&mut self, start: usize, digits: &str) -> Result<Option<Numeral>, Problem> {
        let mut ahead = self.clone();
        let number = |digits: &str| digits.parse::<u32>().ok();
        if ahead.take("/") {
            let below = ahead.take_digits();
            if below.is_empty() {
                return Ok(None);
            }
            *self = ahead;
            return match (number(digits), number(below)) {
                (Some(above), Some(below)) => self.fraction(start, 0, above, below).map(Some),
                _ => Err(self.no_fraction(start)),
            };
        }
        // `4-1/8` is written by hand as often as `4 1/8`.
        if !ahead.take("-") {
            ahead.skip_space();
        }
        let (above, below) = if let Some(pair) = ahead.peek().and_then(vulgar) {
            ahead.take_if(|_| true);
            pair
        } else {
            let above = ahead.take_digits();
            if above.is_empty() || !ahead.take("/") {
                return Ok(None);
            }
            let below = ahead.take_digits();
            match (number(above), number(below)) {
                (Some(above), Some(below)) => (above, below),
                _ => {
                    *self = ahead;
                    return Err(self.no_fraction(start));
                }
            }
        };
        *self = ahead;
        match number(digits) {
            Some(whole) => self.fraction(start, whole, above, below).map(Some),
            None => Err(self.no_fraction(start)),
        }
    }

    fn fraction(&self, start: usize, whole: u32, above: u32, below: u32) -> Result<Numeral, Problem> {
        let divisor = common_divisor(above, below);
        let (above, below) = match (above.checked_div(divisor), below.checked_div(divisor)) {
            (Some(above), Some(below)) if below > 0 => (above, below),
            _ => return Err(self.no_fraction(start)),
        };
        if below > FINEST_FRACTION || (whole > 0 && above >= below) {
            return Err(self.no_fraction(start));
        }
        let below = f64::from(below);
        let size = (f64::from(whole) * below + f64::from(above)) / below;
        Ok(Numeral { size, digit: 1.0 / below, sign: None, is_clock: false, range: start..self.at })
    }

    /// `2:04.1` or `1:02:04.1`: the digits before the first colon are already taken.
    fn clock(&mut self, start: usize, digits: &str) -> Result<Numeral, Problem> {
        let (mut parts, mut count) = ([digits, "", ""], 1);
        while self.has_digit_behind(b':') {
            self.take(":");
            let part = self.take_digits();
            parts.get_mut(count).into_iter().for_each(|place| *place = part);
            count += 1;
        }
        let mut decimals = "";
        if self.has_digit_behind(b'.') {
            self.take(".");
            decimals = self.take_digits();
        } else if self.has_decimal_comma() {
            return Err(self.comma(start));
        }
        let fault = || Problem {
            fault: Fault::Clock { found: self.slice(start..self.at).to_owned() },
            range: start..self.at,
        };
        if count > parts.len() || digits.len() > 4 || decimals.len() > 6 {
            return Err(fault());
        }
        let mut seconds = 0_u64;
        for (place, part) in parts.iter().take(count).enumerate() {
            let count: u64 = part.parse().map_err(|_| fault())?;
            if place > 0 && (part.len() != 2 || count >= 60) {
                return Err(fault());
            }
            seconds = seconds * 60 + count;
        }
        // In units of the last digit, so that there is one division and one rounding.
        let scale = ten_to(decimals.len());
        let behind: u64 = if decimals.is_empty() { 0 } else { decimals.parse().map_err(|_| fault())? };
        let size = (seconds as f64 * scale + behind as f64) / scale;
        Ok(Numeral { size, digit: 1.0 / scale, sign: None, is_clock: true, range: start..self.at })
    }

    /// Whether `1:58,1` goes on here; in `1:58,1:59` the comma separates two times.
    fn has_decimal_comma(&self) -> bool {
        let mut ahead = self.clone();
        let has_digits = ahead.take(",") && !ahead.take_digits().is_empty();
        has_digits && ahead.peek() != Some(':')
    }

    fn comma(&mut self, start: usize) -> Problem {
        self.take_while(|letter| letter.is_ascii_digit() || matches!(letter, ',' | '.' | ':'));
        // A comma that ends a list's entry is not part of the number.
        let found = self.slice(start..self.at).trim_end_matches([',', '.']);
        Problem { range: start..start + found.len(), fault: Fault::Comma { found: found.to_owned() } }
    }

    fn no_fraction(&self, start: usize) -> Problem {
        let found = self.slice(start..self.at).to_owned();
        Problem { fault: Fault::Fraction { found }, range: start..self.at }
    }

    fn not_a_number(&mut self, start: usize) -> Problem {
        self.word();
        let found = self.slice(start..self.at).to_owned();
        Problem { fault: Fault::NotANumber { found, wanted: Vec::new() }, range: start..self.at }
    }
}

pub(super) fn starts_with_digit(text: &str) -> bool {
    text.starts_with(|letter: char| letter.is_ascii_digit())
}

/// 10 to a power that is not negative; exact up to 22.
pub(super) fn ten_to(exponent: usize) -> f64 {
    (0..exponent).fold(1.0, |power, _| power * 10.0)
}

fn common_divisor(one: u32, other: u32) -> u32 {
    if other == 0 { one } else { common_divisor(other, one % other) }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn plain_numbers_are_read_as_all_others_are(text in "[0-9]{0,17}[.,:/ −-]{0,2}([0-9]{0,5}|[½² \u{2009}±°a+%…]{0,2})[.,:/ 1-9½]{0,3}") {
            let mut cursor = Cursor::new(&text);
            if let Some(plain) = cursor.plain() {
                prop_assert_eq!(cursor.unsigned(0), Ok(Some(plain.clone())));
                prop_assert_eq!(cursor.at, plain.range.end);
            }
        }
    }
}
