//! No page mixes languages. In a language that shares no letter with English, English left on a page must be a word from a
//! notebook, a unit, or a name of the vocabulary.

use std::collections::BTreeSet;

use loambook::render::html::{self, HtmlOptions};
use loambook::speech::{Catalogue, OPEN, pattern, quoted};
use loambook::vocabulary;

use super::*;

/// Each small letter of English as one of another script; placeholders stay as they are.
fn otherwise(pattern: &str) -> String {
    let mut is_place = false;
    let letter = |letter: char| match letter {
        '{' | '}' => {
            is_place = letter == '{';
            letter
        }
        'a'..='z' if !is_place => char::from_u32(u32::from(letter) - u32::from('a') + 0x430).unwrap(),
        'A'..='Z' if !is_place => char::from_u32(u32::from(letter) - u32::from('A') + 0x410).unwrap(),
        other => other,
    };
    pattern.chars().map(letter).collect()
}

/// Every pattern in the other script.
pub fn catalogue() -> String {
    let mut text = "language = \"Other\"\ndecimal = \",\"\n\n[all]\n".to_owned();
    for key in Catalogue::english().keys() {
        let pattern = pattern(key);
        let said = kept(pattern, &OPEN);
        text.push_str(&format!("{} = {}\n", quoted(key), quoted(&said)));
    }
    text
}

/// A pattern in the other script, its placeholders as they are.
fn kept(pattern: &str, open: &[&str]) -> String {
    if pattern.contains('{') {
        return otherwise(pattern);
    }
    let words = pattern.split_inclusive(|letter: char| !letter.is_alphanumeric());
    words
        .map(|word| {
            let bare = word.trim_end_matches(|letter: char| !letter.is_alphanumeric());
            if open.contains(&bare) { word.to_owned() } else { otherwise(word) }
        })
        .collect()
}

/// The runs of four or more Latin letters.
fn latin(text: &str) -> BTreeSet<String> {
    let runs = text.split(|letter: char| !letter.is_ascii_alphabetic());
    // Ids of notebooks are hexadecimal.
    let is_id = |run: &str| run.chars().all(|letter| ('a'..='f').contains(&letter));
    runs.filter(|run| run.len() > 3 && !is_id(run)).map(str::to_lowercase).collect()
}

/// What people wrote: every word of the book, and the names that notebooks are written with.
fn written(store: &dyn Store) -> BTreeSet<String> {
    let files = store.list().unwrap().files;
    let texts = files.iter().filter(|file| !file.path.starts_with("templates/"));
    let mut words: BTreeSet<String> = texts
        .flat_map(|file| {
            let text = store.read(&file.path, u64::MAX).unwrap();
            let mut words = latin(&String::from_utf8_lossy(&text));
            words.extend(latin(&file.path));
            words
        })
        .collect();
    words.extend(vocabulary::every_name().iter().flat_map(|name| latin(name)));
    // Keys of blocks, options, and words that are the same in every language.
    let alike = [
        "front",
        "rear",
        "loambook",
        "check",
        "bench",
        "normal",
        "hanging",
        "aboard",
        "alone",
        "scales",
        "conditions",
        // In a line to write in a notebook, `bars.position = "forward"`, as HTML writes its quotes.
        "position",
        "forward",
        "quot",
    ];
    words.extend(alike.map(str::to_owned));
    words
}

fn mixed(store: &dyn Store, documents: Vec<(String, loambook::document::Document)>) -> Vec<String> {
    let known = written(store);
    let mut left: BTreeSet<String> = BTreeSet::new();
    for (name, document) in documents {
        let html = html::write(&document, &HtmlOptions::default());
        let body = &html[html.find("<body>").unwrap()..];
        let mut text = String::new();
        let mut is_tag = false;
        for letter in body.chars() {
            match letter {
                '<' => is_tag = true,
                '>' => {
                    is_tag = false;
                    text.push(' ');
                }
                letter if !is_tag => text.push(letter),
                _ => {}
            }
        }
        let kind = name.split(' ').next().unwrap();
        left.extend(latin(&text).difference(&known).map(|word| format!("{kind}: {word}")));
    }
    left.into_iter().collect()
}

#[test]
fn no_page_mixes_languages() {
    let demo = demo();
    let about = String::from_utf8(demo.read("book.toml", 1 << 20).unwrap()).unwrap();
    let store = Memory::over(&demo)
        .with("book.toml", format!("language = \"xx\"\n{about}"))
        .with("templates/words/xx.toml", catalogue());
    let all = others::documents(&store);
    assert!(all.len() > 60);
    let left = mixed(&store, all);
    assert!(left.is_empty(), "{}", left.join("\n"));
    let left = mixed(&store, tools::documents(&store));
    assert!(left.is_empty(), "{}", left.join("\n"));
}
