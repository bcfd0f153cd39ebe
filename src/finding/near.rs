//! What was most likely meant by an unknown name.

use crate::speech::{Message, say};

/// How many names are offered at most.
const OFFERED: usize = 3;

/// The longest name that is looked at: nobody mistypes a longer one.
const LONGEST: usize = 80;

/// How many names a word is compared with. No book has more that somebody could mistype, and a flood of unknown
/// names must not be compared with a flood of known ones.
const CANDIDATES: usize = 1_000;

/// How many names are listed to choose from.
const LISTED: usize = 12;

/// The names that there are, for a sentence: the first twelve, and how many more.
pub fn listed<'c>(names: impl IntoIterator<Item = &'c str>) -> Message {
    let mut names = names.into_iter();
    let told = names.by_ref().take(LISTED).collect::<Vec<_>>().join(", ");
    match names.count() {
        0 => Message::text(told),
        more => say!("{told} and {more} more", told, more),
    }
}

/// The names nearest to a misspelt word, at most three, nearest first. Between two as near, the one with the
/// same first letter wins, since fingers seldom miss that; then the one as long; then the alphabet.
///
/// A name is near if few letters differ for its length: one up to three letters, two up to eight, three
/// beyond. Capitals do not count as different.
pub fn closest<'c>(word: &str, candidates: impl IntoIterator<Item = &'c str>) -> Vec<&'c str> {
    let length = word.chars().count();
    let cap = match length {
        0..=3 => 1,
        4..=8 => 2,
        _ => 3,
    };
    let first = |word: &str| word.chars().next().map(|letter| letter.to_ascii_lowercase());
    let near = |name: &'c str| {
        let distance = distance(word, name, cap)?;
        Some((distance, first(name) != first(word), name.chars().count() != length, name))
    };
    let mut near: Vec<(usize, bool, bool, &str)> =
        candidates.into_iter().take(CANDIDATES).filter_map(near).collect();
    near.sort_unstable();
    near.dedup();
    near.into_iter().take(OFFERED).map(|(.., name)| name).collect()
}

/// What an unknown name most likely meant. The first of these that finds something decides: a name that begins alike
/// in each of its parts (`fork.comp`), one with the same parts in another order (`front tyre`), one that sounds
/// alike, one near by letters.
pub fn meant<'c>(word: &str, candidates: impl IntoIterator<Item = &'c str>) -> Vec<&'c str> {
    let candidates: Vec<(&'c str, Vec<String>)> =
        candidates.into_iter().map(|name| (name, parts(name))).collect();
    let kept = |is_meant: &dyn Fn(&[String]) -> bool| -> Vec<&'c str> {
        let mut all: Vec<&str> = Vec::new();
        for (name, _) in candidates.iter().filter(|(_, parts)| is_meant(parts)) {
            if !all.contains(name) {
                all.push(name);
            }
        }
        all
    };
    let own = parts(word);
    let mut begun = kept(&|parts| begins_alike(&own, parts));
    // Of names that begin alike, one with as many parts says all that was written.
    if begun.iter().any(|name| parts(name).len() == own.len()) {
        begun.retain(|name| parts(name).len() == own.len());
    }
    if !begun.is_empty() {
        return begun;
    }
    let sorted = |parts: &[String]| {
        let mut parts = parts.to_vec();
        parts.sort_unstable();
        parts
    };
    let own_sorted = sorted(&own);
    let reordered = kept(&|parts| own.len() > 1 && own.len() == parts.len() && own_sorted == sorted(parts));
    if !reordered.is_empty() {
        return reordered;
    }
    let own_sound: Vec<String> = own.iter().map(|part| sound(part)).collect();
    let sounding = kept(&|parts| {
        own_sound.len() == parts.len() && own_sound.iter().zip(parts).all(|(own, part)| *own == sound(part))
    });
    if !sounding.is_empty() {
        return sounding;
    }
    closest(word, candidates.iter().map(|(name, _)| *name))
}

/// The parts of a name, in lower case.
fn parts(name: &str) -> Vec<String> {
    let parts = name.split(|c: char| !c.is_alphanumeric() && c != '_').filter(|part| !part.is_empty());
    parts.map(str::to_lowercase).collect()
}

/// Whether each part begins the part of the name in its place; a part that is cut short needs at least three
/// letters.
fn begins_alike(own: &[String], name: &[String]) -> bool {
    let begins = |(own, name): (&String, &String)| {
        own == name || own.chars().count() >= LEAST_BEGUN && name.starts_with(own.as_str())
    };
    !own.is_empty() && own.len() <= name.len() && own != name && own.iter().zip(name).all(begins)
}

/// The fewest letters of a part that tell which it is.
const LEAST_BEGUN: usize = 3;

/// A word as it sounds, roughly, by spellings that are mistaken for each other in English.
fn sound(word: &str) -> String {
    let spelt = word.replace("ph", "f").replace("ck", "k").replace("gh", "").replace("ght", "t");
    let mut sound = String::new();
    for letter in spelt.chars() {
        let letter = match letter {
            'c' | 'q' => 'k',
            'z' => 's',
            'a' | 'e' | 'i' | 'o' | 'u' | 'y' | 'h' | 'w' => continue,
            letter => letter,
        };
        if !sound.ends_with(letter) {
            sound.push(letter);
        }
    }
    // A word of vowels alone sounds like no other.
    if sound.is_empty() { word.to_owned() } else { sound }
}

/// How many letters must be inserted, removed, replaced or swapped with their neighbour to turn one word into
/// the other (optimal string alignment); `None` for more than `cap`. Capitals do not count.
pub fn distance(a: &str, b: &str, cap: usize) -> Option<usize> {
    let length = |word: &str| word.chars().take(LONGEST + 1).count();
    if length(a).abs_diff(length(b)) > cap {
        return None;
    }
    if a.is_ascii() && b.is_ascii() {
        // Each letter that only one of them has takes a step by itself.
        let (ours, theirs) = (letters(a), letters(b));
        if (ours & !theirs).count_ones().max((theirs & !ours).count_ones()) as usize > cap {
            return None;
        }
    }
    let small = |word: &str| word.chars().take(LONGEST + 1).flat_map(char::to_lowercase).collect::<String>();
    let (a, b) = (small(a), small(b));
    if a.chars().count().max(b.chars().count()) > LONGEST {
        return None;
    }
    Some(strsim::osa_distance(&a, &b)).filter(|&distance| distance <= cap)
}

/// Which letters and digits are in a word, a bit each. Capitals do not count.
fn letters(word: &str) -> u64 {
    word.bytes().filter(u8::is_ascii_alphanumeric).fold(0, |set, letter| set | 1 << (letter | 0x20) % 64)
}

/// Whether two words are the same but for one letter inserted, left out, replaced or swapped with its neighbour: a
/// [`distance`] of one at most. It is fast enough for every word of a diary. Capitals count.
pub fn is_a_letter_off(one: &str, other: &str) -> bool {
    fn alike(pairs: impl Iterator<Item = (char, char)>) -> usize {
        pairs.take_while(|(one, other)| one == other).map(|(letter, _)| letter.len_utf8()).sum()
    }
    let begin = alike(one.chars().zip(other.chars()));
    let (one, other) = (one.get(begin..).unwrap_or_default(), other.get(begin..).unwrap_or_default());
    let end = alike(one.chars().rev().zip(other.chars().rev()));
    let (one, other) = (one.get(..one.len() - end), other.get(..other.len() - end));
    let (mut one, mut other) = (one.unwrap_or_default().chars(), other.unwrap_or_default().chars());
    // What is left begins and ends otherwise.
    match (one.next(), one.next(), other.next(), other.next()) {
        (_, None, _, None) => true,
        (Some(a), Some(b), Some(c), Some(d)) => {
            (a, b) == (d, c) && one.next().is_none() && other.next().is_none()
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn a_letter_off_is_a_distance_of_one_at_most(one in "[abß]{0,6}", other in "[abß]{0,6}") {
            prop_assert_eq!(is_a_letter_off(&one, &other), distance(&one, &other, 1).is_some());
        }

        #[test]
        fn no_near_word_is_passed_over_by_its_letters(one in "[a-eA-E0p]{0,7}", other in "[a-eA-E0p]{0,7}") {
            let (small, others) = (one.to_lowercase(), other.to_lowercase());
            for cap in 0..4 {
                let near = Some(strsim::osa_distance(&small, &others)).filter(|far| *far <= cap);
                prop_assert_eq!(distance(&one, &other, cap), near);
            }
        }
    }

    #[test]
    fn letters_put_in_taken_out_replaced_and_swapped_count_one() {
        assert_eq!(distance("sag", "sag", 3), Some(0));
        assert_eq!(distance("sag", "Sag", 3), Some(0));
        assert_eq!(distance("presures", "pressures", 3), Some(1));
        assert_eq!(distance("sitnt", "stint", 3), Some(1));
        assert_eq!(distance("kitten", "sitting", 3), Some(3));
        assert_eq!(distance("kitten", "sitting", 2), None);
        assert_eq!(distance("", "ab", 2), Some(2));
        assert_eq!(distance(&"a".repeat(100), &"a".repeat(100), 3), None);
    }

    #[test]
    fn a_long_list_is_cut_with_a_count() {
        assert_eq!(listed(["a", "b"]).to_string(), "a, b");
        assert_eq!(listed(["x"; 20]).to_string(), format!("{} and 8 more", ["x"; 12].join(", ")));
    }

    #[test]
    fn what_begins_alike_goes_first_then_what_sounds_alike_then_what_is_near() {
        let names = [
            "fork.oil",
            "fork.compression",
            "fork.rebound",
            "fork.height",
            "tyre.front",
            "tyre.rear",
            "sag.rear.rider",
            "sag.rear.static",
            "needle.clip",
        ];
        for (written, meant_for) in [
            ("fork.comp", vec!["fork.compression"]),
            ("front tyre", vec!["tyre.front"]),
            ("sag.rear", vec!["sag.rear.rider", "sag.rear.static"]),
            ("fork.hite", vec!["fork.height"]),
            ("tire.front", vec!["tyre.front"]),
            ("needel.klip", vec!["needle.clip"]),
            ("elephant", vec![]),
        ] {
            assert_eq!(meant(written, names), meant_for, "{written}");
        }
    }

    #[test]
    fn the_nearest_come_first_and_no_more_than_three() {
        assert_eq!(closest("hangin", ["alone", "hanging", "aboard"]), ["hanging"]);
        assert_eq!(closest("aaaa", ["aaab", "aaac", "aabb", "aaad", "aaaa"]), ["aaaa", "aaab", "aaac"]);
        // Between two as near: the same first letter, and as long.
        assert_eq!(closest("mn", ["in", "kN", "m", "min", "mm"]), ["mm", "m", "min"]);
        // A short word is not a slip for every other short word.
        assert!(closest("sh", ["sag", "jet"]).is_empty());
    }
}
