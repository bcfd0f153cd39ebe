//! The file names of sheets: each day of a book has its own, whichever days are asked for.

use std::collections::{BTreeMap, BTreeSet};

use unicode_normalization::UnicodeNormalization;

use crate::book::Book;

/// The longest file name, in bytes, that file systems take.
const NAME_BYTES: usize = 255;
/// Names that other commands use in the same folder.
const RESERVED: [&str; 3] = ["season", "compare", "index"];
/// What every roster's name begins with.
pub(in crate::cli) const ROSTER: &str = "roster-";
/// Goes before a day's name that is another command's.
const DAY: &str = "day-";

/// The file name of each day, with its ending, in the order of the book. It is the notebook's own name; where an
/// earlier day has that, the notebook's path with `-` for `/`; where that is taken too, with a number behind. No two
/// are the same on a disk that does not tell capitals from small letters, or one form of an accent from another.
pub(in crate::cli) fn day_files(book: &Book, ending: &str) -> Vec<String> {
    let mut names = Names { taken: BTreeSet::new(), next: BTreeMap::new(), ending };
    let notebooks = book.days.iter().map(|day| &day.notebook);
    notebooks.map(|notebook| names.give(&notebook.name, &notebook.path)).collect()
}

/// A file name from a stem and an ending, cut to the length that file systems take.
pub(in crate::cli) fn file_name(stem: &str, ending: &str) -> String {
    with_tail(stem, &format!(".{ending}"))
}

/// A file name as an address in the same folder.
///
/// **Source** RFC 3986, 2.3: letters, digits and four marks stay; every other byte is written as `%XX`.
pub(in crate::cli) fn address(file: &str) -> String {
    let mut address = String::new();
    for byte in file.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            address.push(char::from(byte));
        } else {
            address.push_str(&format!("%{byte:02X}"));
        }
    }
    address
}

struct Names<'e> {
    /// Folded, as a disk without capitals sees them.
    taken: BTreeSet<String>,
    /// The next number for each name that was taken.
    next: BTreeMap<String, usize>,
    ending: &'e str,
}

impl Names<'_> {
    fn give(&mut self, name: &str, path: &str) -> String {
        let by_path = path.strip_suffix(".md").unwrap_or(path).replace('/', "-");
        for stem in [name, &by_path] {
            let file = file_name(&own(stem), self.ending);
            if self.taken.insert(folded(&file)) {
                return file;
            }
        }
        let stem = own(&by_path);
        let next = self.next.entry(folded(&stem)).or_insert(2);
        loop {
            let file = with_tail(&stem, &format!("-{next}.{}", self.ending));
            *next += 1;
            if self.taken.insert(folded(&file)) {
                return file;
            }
        }
    }
}

/// A name that no other command uses.
fn own(stem: &str) -> String {
    let seen = folded(stem);
    if RESERVED.contains(&seen.as_str()) || seen.starts_with(ROSTER) {
        format!("{DAY}{stem}")
    } else {
        stem.to_owned()
    }
}

fn with_tail(stem: &str, tail: &str) -> String {
    let room = NAME_BYTES.saturating_sub(tail.len());
    let mut end = stem.len().min(room);
    while !stem.is_char_boundary(end) {
        end -= 1;
    }
    format!("{}{tail}", stem.get(..end).unwrap_or_default())
}

/// A name as a disk sees it that tells neither capitals nor forms of accents apart. Folded to capitals and back,
/// since some letters are the same only in capitals.
fn folded(name: &str) -> String {
    name.nfd().flat_map(char::to_uppercase).flat_map(char::to_lowercase).nfc().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn given(days: &[(&str, &str)]) -> Vec<String> {
        let mut names = Names { taken: BTreeSet::new(), next: BTreeMap::new(), ending: "pdf" };
        days.iter().map(|(name, path)| names.give(name, path)).collect()
    }

    #[test]
    fn days_of_one_name_are_told_apart_by_folder_then_by_number() {
        let names = given(&[
            ("a", "days/x/a.md"),
            ("x-a", "x-a.md"),
            ("a", "x/a.md"),
            ("a", "days/x/A.md"),
            ("days-x-a", "days-x-a.md"),
        ]);
        assert_eq!(names, ["a.pdf", "x-a.pdf", "x-a-2.pdf", "days-x-A.pdf", "days-x-a-2.pdf"]);
    }

    #[test]
    fn capitals_and_forms_of_accents_are_one_name() {
        let names = given(&[
            ("Übung", "a/Übung.md"),
            ("u\u{308}bung", "b/u\u{308}bung.md"),
            ("STRASSE", "a/STRASSE.md"),
            ("straße", "b/straße.md"),
            ("ΟΔΟΣ", "a/ΟΔΟΣ.md"),
            ("οδος", "b/οδος.md"),
        ]);
        let seen: BTreeSet<String> = names.iter().map(|name| folded(name)).collect();
        assert_eq!(seen.len(), names.len(), "{names:?}");
        assert_eq!(names[1], "b-u\u{308}bung.pdf");
        assert_eq!(names[3], "b-straße.pdf");
    }

    #[test]
    fn long_names_are_cut_between_letters_and_stay_apart() {
        let long = "ü".repeat(126);
        let days: Vec<(String, String)> =
            (0..30).map(|n| (format!("{long}{n:02}"), format!("d{n}/{long}.md"))).collect();
        let days: Vec<(&str, &str)> =
            days.iter().map(|(name, path)| (name.as_str(), path.as_str())).collect();
        let names = given(&days);
        assert!(names.iter().all(|name| name.len() <= NAME_BYTES && name.ends_with(".pdf")), "{names:?}");
        let seen: BTreeSet<String> = names.iter().map(|name| folded(name)).collect();
        assert_eq!(seen.len(), names.len());
    }

    #[test]
    fn no_day_has_the_name_of_another_commands_file() {
        let names = given(&[("Season", "Season.md"), ("roster-2026-04-04", "roster-2026-04-04.md")]);
        assert_eq!(names, ["day-Season.pdf", "day-roster-2026-04-04.pdf"]);
    }
}
