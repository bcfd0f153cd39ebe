//! No page of the library mixes languages: every day's sheet, comparison, roster and tool, told in the language of [`mixing`].

use loambook::document::Document;
use loambook::render::html::{self, HtmlOptions};

use super::*;
use crate::mixing::{self, Own, TAG};

/// What is left on pages that nobody of the book said, each once.
fn left(own: &Own, documents: Vec<(String, Document)>) -> Vec<String> {
    let mut left = std::collections::BTreeSet::new();
    for (name, document) in documents {
        assert_eq!(document.language, TAG, "{name}");
        let html = html::write(&document, &HtmlOptions::default());
        for line in mixing::shown(&html) {
            let strays = mixing::strays(&line, own).into_iter().chain(mixing::points(&line));
            // Ids of notebooks stand at the foot.
            let strays: Vec<String> = strays.filter(|stray| !is_id(stray)).collect();
            if !strays.is_empty() {
                left.insert(format!("{strays:?} in {line}"));
            }
        }
    }
    left.into_iter().collect()
}

fn is_id(text: &str) -> bool {
    text.len() == 40 && text.chars().all(|letter| letter.is_ascii_hexdigit())
}

#[test]
fn no_page_mixes_languages() {
    let demo = demo();
    let mut own = Own::default();
    for file in demo.list().unwrap().files {
        if let Ok(text) = String::from_utf8(demo.read(&file.path, 1 << 24).unwrap()) {
            own.add(&file.path, &text);
        }
    }
    let about = String::from_utf8(demo.read("book.toml", 1 << 20).unwrap()).unwrap();
    let store = Memory::over(&demo)
        .with("book.toml", format!("language = \"{TAG}\"\n{about}"))
        .with(format!("templates/words/{TAG}.toml"), mixing::language());
    let mut all = others::documents(&store);
    all.extend(tools::documents(&store));
    assert!(all.len() > 250, "{}", all.len());
    let left = left(&own, all);
    assert!(left.is_empty(), "{}:\n{}", left.len(), left.join("\n"));
}
