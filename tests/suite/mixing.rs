//! No finding mixes languages; `paper/one_language.rs` checks the same of pages.
//!
//! This test's own language has each English pattern with every letter in another form. So whatever is shown in plain
//! letters bypassed the catalogue. It must then be a book's own (a name, a rider's words), or in code, or a unit.

use std::collections::BTreeSet;
use std::path::Path;

use loambook::finding::Finding;
use loambook::quantity::{Unit, unit_words};
use loambook::session::{Compiled, Session};
use loambook::source::Memory;
use loambook::speech::{Catalogue, OPEN, Tongue, pattern, quoted};

use crate::findings;

pub const TAG: &str = "xx";
const DECIMAL: char = ',';

/// A pattern with every letter in its wide form (U+FF21 on), except its placeholders and its code.
fn marked(pattern: &str) -> String {
    let is_open = |word: &str| OPEN.contains(&word);
    let (mut text, mut word) = (String::new(), String::new());
    let (mut in_place, mut in_code) = (false, false);
    for letter in pattern.chars().chain(['\0']) {
        if letter.is_ascii_alphanumeric() && !in_place && !in_code {
            word.push(letter);
            continue;
        }
        match is_open(&word) {
            true => text.push_str(&word),
            false => text.extend(word.chars().map(wide)),
        }
        word.clear();
        in_code ^= letter == '`';
        in_place = (in_place || letter == '{') && letter != '}';
        text.push(letter);
    }
    decimals(text.trim_end_matches('\0'))
}

/// With this language's decimal sign, as a translation would have it.
fn decimals(pattern: &str) -> String {
    let letters: Vec<char> = pattern.chars().collect();
    let is_digit = |at: usize| letters.get(at).is_some_and(char::is_ascii_digit);
    let mut in_code = false;
    let mut told = |(at, letter): (usize, &char)| {
        in_code ^= *letter == '`';
        let is_decimal = *letter == '.' && at > 0 && is_digit(at - 1) && is_digit(at + 1) && !in_code;
        if is_decimal { DECIMAL } else { *letter }
    };
    letters.iter().enumerate().map(&mut told).collect()
}

fn wide(letter: char) -> char {
    match letter {
        letter if letter.is_ascii_alphabetic() => char::from_u32(u32::from(letter) + 0xFEE0).unwrap(),
        letter => letter,
    }
}

/// The test's language, as a book's own file has it.
pub fn language() -> String {
    let mut text = format!("language = \"marked\"\ndecimal = \"{DECIMAL}\"\n\n[all]\n");
    for key in Catalogue::english().keys() {
        let pattern = pattern(key);
        text.push_str(&format!("{} = {}\n", quoted(key), quoted(&marked(pattern))));
    }
    text
}

/// The book's own words.
#[derive(Default)]
pub struct Own {
    /// Whole texts: values, names of files, words behind a block's.
    values: BTreeSet<String>,
    /// All that is written in it, on one line.
    written: String,
}

impl Own {
    pub fn add(&mut self, path: &str, text: &str) {
        let mut in_service = false;
        let stem = Path::new(path).file_stem().unwrap().to_string_lossy().into_owned();
        self.values.extend([path.to_owned(), stem]);
        for line in text.lines() {
            if let Some((_, value)) = line.split_once('=') {
                let texts: Vec<&str> = value.split('"').skip(1).step_by(2).map(str::trim).collect();
                self.values.extend(texts.iter().map(|text| (*text).to_owned()));
                self.values.extend(texts.iter().flat_map(|text| text.split_whitespace()).map(str::to_owned));
                // Names of things serviced, of bands and the like are the book's own words for a table.
                if value.trim_start().starts_with('{') {
                    self.values
                        .extend(line.split_once('=').map(|(key, _)| key.trim().trim_matches('"').to_owned()));
                }
            }
            // The book names what is serviced as it likes.
            if in_service {
                self.values
                    .extend(line.split(['.', '=']).next().map(|key| key.trim().trim_matches('"').to_owned()));
            }
            if let Some(words) = line.trim_start().strip_prefix("```") {
                in_service = words.trim() == "service";
                self.values.extend(words.split_whitespace().skip(1).map(str::to_owned));
            }
        }
        self.written.push_str(&text.split_whitespace().collect::<Vec<_>>().join(" "));
        self.written.push('\n');
    }

    /// Whether a run of plain words is the book's own.
    fn has(&self, run: &str) -> bool {
        let words: Vec<&str> = run.split_whitespace().collect();
        self.values.contains(run)
            || words.len() > 1 && self.written.contains(&words.join(" "))
            || words.iter().all(|word| self.values.contains(*word) || is_unit(word))
    }
}

fn is_unit(word: &str) -> bool {
    Unit::ALL
        .iter()
        .any(|unit| unit.symbol() == word && !unit_words().any(|key| key.ends_with(&format!("|{word}"))))
}

/// Runs of plain words in a text that are neither the book's, code nor units.
pub fn strays(text: &str, own: &Own) -> Vec<String> {
    let outside: String = text.split('`').step_by(2).collect::<Vec<_>>().join(" ¦ ");
    let is_plain = |letter: char| {
        letter.is_ascii_alphanumeric() || " '-./_".contains(letter) || ('À'..='ž').contains(&letter)
    };
    let runs =
        outside.split(|letter: char| !is_plain(letter)).map(|run| run.trim_matches(|c| " '-./_".contains(c)));
    let has_word =
        |run: &&str| run.split(|letter: char| !letter.is_ascii_alphabetic()).any(|word| word.len() > 1);
    let is_bare = |run: &&str| {
        let words = run.split(' ').filter(|word| !word.starts_with(|letter: char| letter.is_ascii_digit()));
        let left: Vec<&str> = words.collect();
        !left.is_empty() && !own.has(&left.join(" "))
    };
    runs.filter(has_word).filter(is_bare).map(str::to_owned).collect()
}

/// A decimal point where this language has a comma.
pub fn points(text: &str) -> Vec<String> {
    let outside: String = text.split('`').step_by(2).collect::<Vec<_>>().join(" ");
    let words = outside.split_whitespace().map(|word| word.trim_matches(|c: char| !c.is_ascii_digit()));
    let is_decimal = |word: &&str| {
        let mut parts = word.split('.');
        let (whole, rest, more) = (parts.next(), parts.next(), parts.next());
        let is_number = |part: Option<&str>| {
            part.is_some_and(|part| !part.is_empty() && part.chars().all(|letter| letter.is_ascii_digit()))
        };
        is_number(whole) && is_number(rest) && more.is_none()
    };
    words.filter(is_decimal).map(str::to_owned).collect()
}

#[test]
fn a_stray_word_is_found() {
    let mut own = Own::default();
    own.add("days/a-1.md", "+++\ntitle = \"Big Hill\"\n+++\n\nIt was a long day.\n");
    let ok = "ｒｅａｒ: 104,5 mm, Big Hill, `sag.rear` a long day, a-1";
    assert_eq!(strays(ok, &own), [""; 0]);
    assert_eq!(
        strays("ｒｅａｒ 3 clicks, in its band; Big Hills", &own),
        ["3 clicks", "in its band", "Big Hills"]
    );
    assert_eq!(points("104.5 mm, 2026-04-11, 1.2.3 `10.5`"), ["104.5"]);
    assert_eq!(marked("the END `sag` of {label}"), "ｔｈｅ END `sag` ｏｆ {label}");
}

#[test]
fn no_finding_mixes_languages() {
    let tongue = Tongue::of(Catalogue::read(TAG, &language()).unwrap());
    let mut faults = Vec::new();
    let mut told = 0;
    for (case, files, on) in findings::books() {
        let mut store = Memory::new();
        let mut own = Own::default();
        for (path, text) in &files {
            store.set(path.clone(), text.clone());
            own.add(path, text);
        }
        if files.keys().any(|path| path.starts_with("templates/")) {
            continue;
        }
        // Findings are messages, and are put into words when somebody reads them.
        let Compiled { findings, .. } = Session::over(&store).unwrap().compile(on);
        let lines = |finding: &Finding| {
            let others = finding.labels.iter().map(|label| tongue.say(&label.text));
            finding.lines(&tongue).into_iter().chain(others).collect::<Vec<String>>()
        };
        for finding in &findings {
            for line in lines(finding) {
                told += 1;
                let strays: Vec<String> = strays(&line, &own).into_iter().chain(points(&line)).collect();
                if !strays.is_empty() {
                    faults.push(format!("{case}: {}: {strays:?} in {line}", finding.code.name));
                }
            }
        }
    }
    assert!(told > 300, "{told} lines are no test");
    assert!(faults.is_empty(), "{} of {told}:\n{}", faults.len(), faults.join("\n"));
}
