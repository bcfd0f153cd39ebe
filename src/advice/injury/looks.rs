//! How a word looks at a glance.
//!
//! Every word of a diary is held against some thousand words of injury, in three languages and with slips. Marks decide
//! for nearly all of them, and only words with a mark in common are compared letter by letter.

/// A shorter word must be spelt right: of four letters, one changed makes another word.
pub const LEAST_MISSPELT: usize = 7;

/// The marks of a word. A word has a mark in common with every word that it may stand for, spelt right or with one slip behind
/// the first letter.
///
/// A slip is in one half of a word and leaves the other as it is. So the marks of a long word are how it begins and how it
/// ends, with its number of letters.
#[derive(Debug, Clone, Copy, Default)]
pub struct Looks {
    /// Of the whole word, of how it begins, and of how it ends; 0 for none.
    marks: [u32; 3],
    /// Long, with letters that have no plain form: it may stand for any word.
    is_foreign: bool,
}

impl Looks {
    /// Of a word in lower case without accents.
    pub fn of(word: &str) -> Self {
        if word.is_ascii() {
            return Self::of_letters(word.as_bytes());
        }
        let letters = word.chars().count();
        let whole = whole(word, letters).unwrap_or_default();
        Self { marks: [whole, 0, 0], is_foreign: letters + 1 >= LEAST_MISSPELT }
    }

    /// Of plain letters and digits, which may be capitals.
    pub fn of_letters(word: &[u8]) -> Self {
        let length = word.len();
        let whole = if length < LEAST_MISSPELT { mark(WHOLE, length, packed(word)) } else { 0 };
        let of_part = |part: Option<u32>| part.filter(|_| length + 1 >= LEAST_MISSPELT).unwrap_or_default();
        Self { marks: [whole, of_part(begin(word, length)), of_part(end(word, length))], is_foreign: false }
    }

    pub fn marks(&self) -> impl Iterator<Item = u32> {
        self.marks.into_iter().filter(|mark| *mark != 0)
    }

    pub fn may_be_any(&self) -> bool {
        self.is_foreign
    }

    /// The marks of all words that may stand for one, as data has it; `None` where any word may.
    pub fn of_slips(word: &str) -> Option<Vec<u32>> {
        let letters = word.chars().count();
        if letters < LEAST_MISSPELT {
            return Some(whole(word, letters).into_iter().collect());
        }
        let of_length = |length: usize| [begin(word.as_bytes(), length), end(word.as_bytes(), length)];
        let lengths = letters - 1..=letters + 1;
        word.is_ascii().then(|| lengths.flat_map(of_length).flatten().collect())
    }
}

const WHOLE: u64 = 1;
const BEGIN: u64 = 2;
const END: u64 = 3;

fn whole(word: &str, letters: usize) -> Option<u32> {
    (letters < LEAST_MISSPELT).then(|| mark(WHOLE, word.len(), packed(word.as_bytes())))
}

/// How many letters at either end are a mark, of a word with a number of letters. One slip, which may change places of two
/// letters, does not reach both ends.
fn half(length: usize) -> usize {
    if length > 9 { 4 } else { 3 }
}

fn begin(word: &[u8], length: usize) -> Option<u32> {
    Some(mark(BEGIN, length, packed(word.get(..half(length))?)))
}

/// The first letter is never wrong.
fn end(word: &[u8], length: usize) -> Option<u32> {
    let rest = word.get(word.len().checked_sub(half(length))?..)?;
    Some(mark(END ^ packed(word.get(..1)?) << 2, length, packed(rest)))
}

/// Letters as one number, of more than eight the first and the last four. Capitals count as small. What was made ready has
/// the same numbers on every machine.
fn packed(letters: &[u8]) -> u64 {
    let four = |four: &[u8; 4]| u64::from(u32::from_le_bytes(*four) | 0x2020_2020);
    if let (Some(first), Some(last)) = (letters.first_chunk(), letters.last_chunk()) {
        return four(first) << u32::BITS | four(last);
    }
    letters.iter().fold(0, |all, letter| all << u8::BITS | u64::from(letter | 0x20))
}

/// A number made from letters, which is never 0. It is multiplied by the golden ratio, so that words that are alike do not
/// have marks that are.
fn mark(kind: u64, length: usize, letters: u64) -> u32 {
    let kind = (kind << 16 ^ u64::try_from(length).unwrap_or(u64::MAX)).wrapping_mul(0xd1b5_4a32_d192_ed03);
    let mixed = (letters ^ kind).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    u32::try_from(mixed >> u32::BITS).unwrap_or_default() | 1
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::finding::is_a_letter_off;

    proptest! {
        #[test]
        fn no_slip_is_overlooked(word in "[a-d]{7,12}", slip in 0..4, at in 1_usize..12, letter in "[a-e]") {
            let mut written: Vec<char> = word.chars().collect();
            let at = at.min(written.len() - 1);
            let letter = letter.chars().next().unwrap();
            match slip {
                0 => written[at] = letter,
                1 => written.insert(at, letter),
                2 => drop(written.remove(at)),
                _ if at > 1 => written.swap(at, at - 1),
                _ => {}
            }
            let written: String = written.into_iter().collect();
            prop_assert!(is_a_letter_off(&word, &written));
            let all = Looks::of_slips(&word).unwrap();
            prop_assert!(Looks::of(&written).marks().any(|mark| all.contains(&mark)), "{} {}", word, written);
        }
    }

    #[test]
    fn a_short_word_is_marked_as_it_is_spelt() {
        let has = |word: &str, written: &str| {
            Looks::of(written).marks().any(|mark| Looks::of_slips(word).unwrap().contains(&mark))
        };
        assert!(has("wrist", "wrist") && has("wrist", "WRIST"));
        assert!(!has("wrist", "wrists") && !has("wrist", "twist"));
        assert!(Looks::of("żebrami").may_be_any() && Looks::of_slips("żebrami").is_none());
    }
}
