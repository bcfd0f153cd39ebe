//! Nothing that people read mixes languages: findings here, pages in `pages.rs`.
//!
//! This test's own language has each English pattern with every letter in another form. So whatever is shown in plain
//! letters bypassed the catalogue. It must then be a book's own (a name, a rider's words), or in code, or a unit.

mod own;
mod pages;

use loambook::finding::Finding;
use loambook::session::{Compiled, Session};
use loambook::source::Memory;
use loambook::speech::{Catalogue, OPEN, Tongue, pattern, quoted};

use crate::findings;
pub use own::{Own, points, strays};

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
    language_without("")
}

/// The same, with one pattern forgotten.
fn language_without(forgotten: &str) -> String {
    let mut text = format!("language = \"marked\"\ndecimal = \"{DECIMAL}\"\n\n[all]\n");
    for key in Catalogue::english().keys().filter(|key| *key != forgotten) {
        let pattern = pattern(key);
        text.push_str(&format!("{} = {}\n", quoted(key), quoted(&marked(pattern))));
    }
    text
}

#[test]
fn a_stray_word_is_found() {
    let mut own = Own::default();
    own.add("days/a-1.md", "+++\ntitle = \"Big Hill\"\n+++\n\nIt was a long day.\n");
    let ok = "ｒｅａｒ: 104,5 mm, Big Hill, `sag.rear` It was a long day, a-1";
    assert_eq!(strays(ok, &own), [""; 0]);
    assert_eq!(
        strays("ｒｅａｒ 3 clicks, in its band; Big Hills", &own),
        ["3 clicks", "in its band", "Big Hills"]
    );
    assert_eq!(strays("a long day", &own), ["a long day"]);
    // A word of a sentence is not the sentence; a key without its block is a word.
    assert_eq!(strays("long: It was a long day", &own), ["long"]);
    assert_eq!(strays("ｎｅｅｄｓ sag rear/aboard, aboard, fork.rebound", &own), ["aboard"]);
    assert_eq!(points("104.5 mm, 2026-04-11, 1.2.3 `10.5`", &own), ["104.5"]);
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
                let strays: Vec<String> =
                    strays(&line, &own).into_iter().chain(points(&line, &own)).collect();
                if !strays.is_empty() {
                    faults.push(format!("{case}: {}: {strays:?} in {line}", finding.code.name));
                }
            }
        }
    }
    assert!(told > 300, "{told} lines are no test");
    assert!(faults.is_empty(), "{} of {told}:\n{}", faults.len(), faults.join("\n"));
}
