//! No page mixes languages: on a page in the marked language, whatever is in plain letters is a notebook's own.

use std::collections::{BTreeMap, BTreeSet};

use loambook::document::{Document, compose_in};
use loambook::pages::sheet::{self, Options};
use loambook::pages::spring::{self, Diameter, Measured};
use loambook::render::html::{self, HtmlOptions};
use loambook::source::{Memory, Store};

use super::*;
use crate::paper::{demo, others, tools};

/// The demo book in the marked language.
fn marked_demo(demo: &dyn Store) -> Memory<'_> {
    demo_in(demo, language())
}

fn demo_in(demo: &dyn Store, language: String) -> Memory<'_> {
    let about = String::from_utf8(demo.read("book.toml", 1 << 20).unwrap()).unwrap();
    Memory::over(demo)
        .with("book.toml", format!("language = \"{TAG}\"\n{about}"))
        .with(format!("templates/words/{TAG}.toml"), language)
}

/// The texts of a page, each as its element has it; text in code is the notebook's.
fn texts(html: &str) -> Vec<String> {
    let body = &html[html.find("<body").unwrap()..];
    let (mut texts, mut in_code) = (Vec::new(), 0_u32);
    for part in body.split('<').skip(1) {
        let (tag, text) = part.split_once('>').unwrap();
        let name = tag.split_whitespace().next().unwrap();
        match name {
            "code" | "pre" | "script" | "style" => in_code += 1,
            "/code" | "/pre" | "/script" | "/style" => in_code -= 1,
            _ => {}
        }
        if in_code == 0 && !text.trim().is_empty() {
            texts.push(plain(text));
        }
    }
    texts
}

/// A text of HTML as it is read.
fn plain(text: &str) -> String {
    let named =
        [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&amp;", "&"), ("\u{a0}", " ")];
    named.iter().fold(text.trim().to_owned(), |text, (name, letter)| text.replace(name, letter))
}

/// Texts of elements and of their attributes that are read aloud or shown.
fn told(html: &str) -> BTreeSet<String> {
    let mut told = texts(html);
    for name in [" aria-label=\"", " title=\"", " alt=\"", " placeholder=\""] {
        told.extend(html.split(name).skip(1).map(|text| plain(text.split('"').next().unwrap())));
    }
    told.into_iter().collect()
}

/// Every stray word of some texts, with the page and one text that has it.
struct Slips<'o> {
    own: &'o Own,
    seen: BTreeSet<String>,
    found: BTreeMap<String, String>,
}

impl<'o> Slips<'o> {
    fn of(own: &'o Own) -> Self {
        Self { own, seen: BTreeSet::new(), found: BTreeMap::new() }
    }

    fn look(&mut self, page: &str, texts: impl IntoIterator<Item = String>) {
        for text in texts {
            // The settings in force are listed by the names that notebooks have for them.
            let is_name = page.starts_with("state ") && loambook::vocabulary::lookup(&text).is_some();
            if is_name || !self.seen.insert(text.clone()) {
                continue;
            }
            for stray in strays(&text, self.own).into_iter().chain(points(&text, self.own)) {
                self.found.entry(stray).or_insert_with(|| format!("{text:?} of {page}"));
            }
        }
    }

    fn look_at(&mut self, documents: Vec<(String, Document)>) {
        for (name, document) in documents {
            self.look(&name, told(&html::write(&document, &HtmlOptions::default())));
        }
    }

    fn told(&self) -> Vec<String> {
        self.found.iter().map(|(stray, at)| format!("{stray:?} in {at}")).collect()
    }
}

#[test]
fn no_page_mixes_languages() {
    let demo = demo();
    let store = marked_demo(&demo);
    let mut own = Own::of(&demo);
    // A day that no book has is prepared.
    own.add("days/2027-03-06-ahead.md", "");
    // Tried changes.
    own.add("tried.md", "fork.height = \"2 mm down\"\nshock.rebound = \"1 click in\"\n");
    let mut all = others::documents(&store);
    all.extend(tools::documents(&store));
    assert!(all.len() > 260, "{}", all.len());
    let mut slips = Slips::of(&own);
    slips.look_at(all);
    assert!(slips.seen.len() > 3000, "{} texts are no test", slips.seen.len());
    assert!(slips.found.is_empty(), "{}:\n{}", slips.found.len(), slips.told().join("\n"));
}

/// The sheet of the demo's first day, and the page of a coil.
fn two_pages(store: &dyn Store) -> Vec<(String, Document)> {
    let Compiled { book, season, advice, .. } = Session::over(store).unwrap().compile(None);
    let sheet = sheet::sheet(&book, &season, &advice, 0, Options::default()).unwrap();
    let coil = Measured {
        wire: "12 mm".to_owned(),
        diameter: Diameter::Outside("75 mm".to_owned()),
        active_coils: 6.5,
        material: None,
        label: Some("50 N/mm".to_owned()),
    };
    let coil = spring::bare(&coil, book.about.units.tongue()).unwrap();
    let templates = others::templates();
    vec![
        ("sheet".to_owned(), compose_in(&sheet.tongue, "sheet.md", &sheet, &templates).unwrap()),
        ("coil".to_owned(), compose_in(&coil.tongue, "coil.md", &coil, &templates).unwrap()),
    ]
}

#[test]
fn a_coil_is_told_in_the_readers_language_and_a_word_that_is_forgotten_is_found() {
    let demo = demo();
    let own = Own::of(&demo);
    let found = |forgotten: &str| {
        let mut slips = Slips::of(&own);
        slips.look_at(two_pages(&demo_in(&demo, language_without(forgotten))));
        slips.found.into_keys().collect::<Vec<_>>()
    };
    assert_eq!(found(""), [""; 0]);
    // One label, one word of a template, one sentence, one unit, one caution of the coil.
    for forgotten in [
        "fork rebound",
        "END rider sag",
        "to set",
        "unit|clicks",
        "Young riders: an adult and a qualified mechanic. These figures do not replace the machine's manual, the event's rules or a doctor's advice.",
        "{percent} stiffer than the label",
        "music wire",
    ] {
        assert!(!found(forgotten).is_empty(), "{forgotten:?} was left in English, and nobody saw it");
    }
}
