//! The words of every language: English is what the code, the templates and the tables have, and the translations are made
//! from it.
//!
//! `LOAMBOOK_ACCEPT=1` writes `templates/words/en.toml` anew.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use loambook::advice::LIMITS;
use loambook::figures::{ASSUMPTIONS, ORDINARY};
use loambook::quantity::{Kind, unit_words};
use loambook::speech::{self, Catalogue, ENGLISH, Message, SHIPPED_TAGS, Tongue, quoted};
use loambook::vocabulary::blocks::LOOKS;
use loambook::vocabulary::figures::FigureId;
use loambook::vocabulary::name::Row as _;
use loambook::vocabulary::settings::SettingId;
use loambook::vocabulary::{BLOCKS, Damper, ReadingName};
use proc_macro2::{TokenStream, TokenTree};

const ACCEPT: &str = "LOAMBOOK_ACCEPT";

/// The sections in their order: a pattern that several use is in the first of them.
const SECTIONS: [&str; 5] = ["names", "findings", "cautions", "advice", "pages"];

/// One use of a pattern in the code: its key, and the names of its parts.
#[derive(Debug, PartialEq)]
struct Said {
    key: String,
    parts: Vec<String>,
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn files(folder: &Path, ending: &str, into: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            files(&path, ending, into);
        } else if path.extension().is_some_and(|own| own == ending) {
            into.push(path);
        }
    }
}

/// Every `say!` in some code, except in its own tests.
fn said(code: TokenStream, into: &mut Vec<Said>) {
    let tokens: Vec<TokenTree> = code.into_iter().collect();
    let is = |at: usize, word: &str| tokens.get(at).is_some_and(|token| token.to_string() == word);
    for (at, token) in tokens.iter().enumerate() {
        let TokenTree::Group(group) = token else { continue };
        if at > 1 && is(at - 2, "mod") && is(at - 1, "tests") {
            continue;
        }
        if at > 1 && is(at - 2, "say") && is(at - 1, "!") {
            into.extend(message(group.stream()));
        }
        said(group.stream(), into);
    }
}

/// The text between the brackets of a `say!`; `None` in the macro's own rules.
fn message(inside: TokenStream) -> Option<Said> {
    let tokens: Vec<TokenTree> = inside.into_iter().collect();
    let literal = |at: usize| -> Option<String> {
        let token = tokens.get(at)?.to_string();
        syn::parse_str::<syn::LitStr>(&token).ok().map(|literal| literal.value())
    };
    let pattern = literal(0)?;
    let context = tokens.get(1).is_some_and(|token| token.to_string() == "in").then(|| literal(2).unwrap());
    let rest = tokens.split(|token| token.to_string() == ",").skip(1);
    let parts = rest.filter_map(|part| Some(part.first()?.to_string())).collect();
    let key = context.map_or_else(|| pattern.clone(), |context| format!("{context}|{pattern}"));
    Some(Said { key, parts })
}

fn section_of(path: &str) -> &'static str {
    match path.split('/').next().unwrap() {
        "quantity" | "speech" => "names",
        "advice" => "advice",
        "pages" | "document" | "render" | "pocket" | "editor" | "cli" => "pages",
        _ => "findings",
    }
}

/// Every pattern of the code, with its file.
fn of_code() -> Vec<(String, Said)> {
    let (folder, mut found) = (root().join("src"), Vec::new());
    files(&folder, "rs", &mut found);
    let mut all = Vec::new();
    for path in found {
        let name = path.strip_prefix(&folder).unwrap().to_string_lossy().replace('\\', "/");
        let mut own = Vec::new();
        said(fs::read_to_string(&path).unwrap().parse().unwrap(), &mut own);
        all.extend(own.into_iter().map(|said| (name.clone(), said)));
    }
    all
}

/// The words that a template's text hands to `say`.
fn of_template(text: &str) -> Vec<String> {
    let mut words = Vec::new();
    for (at, _) in text.match_indices("| say") {
        let before = text[..at].trim_end();
        let Some(inner) = before.strip_suffix('"') else { continue };
        words.push(inner[inner.rfind('"').unwrap() + 1..].to_owned());
    }
    words
}

/// Formulas and their sources, except those that are only signs.
fn of_formulas() -> Vec<String> {
    let text = fs::read_to_string(root().join("src/figures/formula.rs")).unwrap();
    let file = syn::parse_file(&text).unwrap();
    let mut texts = Vec::new();
    for item in file.items {
        let expression = match item {
            syn::Item::Static(item) => *item.expr,
            syn::Item::Const(item) => *item.expr,
            _ => continue,
        };
        let literal = |expression: &syn::Expr| match expression {
            syn::Expr::Lit(syn::ExprLit { lit: syn::Lit::Str(text), .. }) => Some(text.value()),
            _ => None,
        };
        match expression {
            syn::Expr::Call(call) => texts.extend(call.args.iter().skip(1).filter_map(literal)),
            other => texts.extend(literal(&other)),
        }
    }
    texts.retain(|text| {
        let words = text.split(|letter: char| !letter.is_ascii_alphabetic());
        words.into_iter().any(|word| word.len() > 3 && word != "asin")
    });
    texts
}

/// The words that the shipped advice prints, not those that it listens for.
const TOLD: [&str; 12] =
    ["say", "low", "high", "first", "warns", "no_cure", "costs", "better", "usual", "how", "by_manual", "do"];

/// Every sentence of a table of the advice, with those of its subtables.
fn of_advice(table: &toml::Table, into: &mut Vec<String>) {
    for (key, value) in table {
        match value {
            toml::Value::String(text) if TOLD.contains(&key.as_str()) => into.push(text.clone()),
            toml::Value::Table(inner) => of_advice(inner, into),
            toml::Value::Array(all) => {
                all.iter().filter_map(toml::Value::as_table).for_each(|inner| of_advice(inner, into));
            }
            _ => {}
        }
    }
}

/// Every English pattern with its section.
fn english() -> BTreeMap<String, &'static str> {
    let mut all: Vec<(&str, String)> = Vec::new();
    let mut add = |section, keys: Vec<String>| all.extend(keys.into_iter().map(|key| (section, key)));
    for (path, said) in of_code() {
        add(section_of(&path), vec![said.key]);
    }
    let mut templates = Vec::new();
    files(&root().join("templates"), "md", &mut templates);
    for path in templates {
        add("pages", of_template(&fs::read_to_string(path).unwrap()));
    }
    let words = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect();
    add("names", SettingId::ALL.iter().map(|id| id.info().label.to_owned()).collect());
    add("names", FigureId::ALL.iter().map(|id| id.info().label.to_owned()).collect());
    add("names", ReadingName::ALL.iter().map(|name| name.info().label.to_owned()).collect());
    add("names", words(&[Damper::Fork.label(), Damper::Shock.label()]));
    add("names", LOOKS.iter().map(|look| look.ask.to_owned()).collect());
    add("names", unit_words().map(str::to_owned).collect());
    add("names", Kind::ALL.iter().flat_map(|kind| [kind.name(), kind.plural()]).map(str::to_owned).collect());
    add("names", ASSUMPTIONS.iter().map(|assumption| assumption.text.to_owned()).collect());
    add(
        "names",
        ORDINARY.iter().flat_map(|tool| [tool.scatter_text, tool.text]).map(str::to_owned).collect(),
    );
    let needed =
        BLOCKS.iter().flat_map(|block| block.keys).filter_map(|key| Some((key.needed_for?, key.help)));
    add("findings", needed.flat_map(|(purpose, help)| [purpose, help]).map(str::to_owned).collect());
    add("names", of_formulas());
    let data = |path: &str| -> toml::Table {
        fs::read_to_string(root().join("templates").join(path)).unwrap().parse().unwrap()
    };
    let (advice, said, injury) = (data("advice.toml"), data("said/en.toml"), data("injury.toml"));
    let places = said["places"].as_array().unwrap().iter();
    add("names", places.map(|place| format!("place|{}", place.as_str().unwrap())).collect());
    for part in ["look", "reading", "complaint"] {
        let mut told = Vec::new();
        of_advice(advice[part].as_table().unwrap(), &mut told);
        add("advice", told);
    }
    add("advice", words(&LIMITS));
    let texts = |table: &toml::Value, keys: Option<&[&str]>| -> Vec<String> {
        let table = table.as_table().unwrap().iter();
        let asked = table.filter(|(key, _)| keys.is_none_or(|keys| keys.contains(&key.as_str())));
        asked.map(|(_, text)| text.as_str().unwrap().to_owned()).collect()
    };
    add("cautions", texts(&advice["caution"], None));
    add("cautions", texts(&injury["injury"], Some(&["say", "others", "ask", "look_over"])));
    let rank = |section: &str| SECTIONS.iter().position(|known| *known == section).unwrap();
    let mut ranked: BTreeMap<String, usize> = BTreeMap::new();
    for (section, key) in all.into_iter().filter(|(_, key)| !key.is_empty()) {
        let rank = rank(section);
        ranked.entry(key).and_modify(|least| *least = rank.min(*least)).or_insert(rank);
    }
    ranked.into_iter().map(|(key, rank)| (key, SECTIONS[rank])).collect()
}

/// A catalogue of the patterns themselves.
fn written(english: &BTreeMap<String, &'static str>) -> String {
    let mut text =
        "# Every pattern in English, each once; what a language has for it stands in that language's file.\n\
                    # A test holds this list against the code; LOAMBOOK_ACCEPT=1 writes it anew.\n"
            .to_owned();
    for section in SECTIONS {
        text.push_str(&format!("\n[{section}]\n"));
        for (key, _) in english.iter().filter(|(_, own)| **own == section) {
            let words = speech::pattern(key);
            text.push_str(&format!("{} = {}\n", quoted(key), quoted(words)));
        }
    }
    text
}

#[test]
fn english_is_what_the_code_the_templates_and_the_tables_say() {
    let text = written(&english());
    if std::env::var_os(ACCEPT).is_some() {
        fs::write(root().join("templates/words/en.toml"), text).unwrap();
        return;
    }
    let (has, wanted): (Vec<&str>, Vec<&str>) = (ENGLISH.lines().collect(), text.lines().collect());
    let missing: Vec<&&str> = wanted.iter().filter(|line| !has.contains(line)).collect();
    let left: Vec<&&str> = has.iter().filter(|line| !wanted.contains(line)).collect();
    assert!(
        ENGLISH == text,
        "templates/words/en.toml lacks {missing:#?} and has {left:#?} too many; {ACCEPT}=1 writes it anew"
    );
}

#[test]
fn every_part_has_its_place_and_every_place_its_part() {
    for (path, said) in of_code() {
        let pattern = speech::pattern(&said.key);
        let mut parts: Vec<String> = said.parts.iter().map(|part| format!("{{{part}}}")).collect();
        parts.sort();
        let places = speech::places(pattern);
        let places: Vec<&String> = places.iter().filter(|place| place.starts_with('{')).collect();
        assert_eq!(parts.iter().collect::<Vec<_>>(), places, "{path}: {}", said.key);
        assert!(!pattern.contains('|'), "{path}: a bar parts the context: {}", said.key);
    }
}

#[test]
fn a_message_in_code_is_found_wherever_it_stands() {
    let code = r#"fn f() { let x = vec![say!("a {b}", b = c.d(e, f))]; g(say!("low" in "sag", x)) } mod tests { say!("no"); }"#;
    let mut found = Vec::new();
    said(code.parse().unwrap(), &mut found);
    let said = |key: &str, part: &str| Said { key: key.to_owned(), parts: vec![part.to_owned()] };
    assert_eq!(found, [said("a {b}", "b"), said("sag|low", "x")]);
    assert_eq!(of_template("{{ \"to set\" | say | toml }} {{ x | say }}"), ["to set"]);
}

#[test]
fn a_translation_has_the_places_of_its_pattern_and_nothing_that_english_has_not() {
    for tag in SHIPPED_TAGS {
        let Some(catalogue) = Tongue::shipped(tag).unwrap().catalogue().cloned() else { continue };
        assert_ne!(catalogue.name, tag, "a language has a name");
        let text = fs::read_to_string(root().join(format!("templates/words/{tag}.toml"))).unwrap();
        let mut faults = Vec::new();
        for (section, entries) in speech::sections(&text).unwrap() {
            for (key, words) in entries {
                if let Some(fault) = Catalogue::fault(&key, &words) {
                    faults.push(format!("{tag} [{section}] {key:?}: {fault:?}"));
                } else if Catalogue::english()[&key] != section {
                    faults.push(format!(
                        "{tag} [{section}] {key:?}: it stands in {}",
                        Catalogue::english()[&key]
                    ));
                }
            }
        }
        assert!(faults.is_empty(), "{}", faults.join("\n"));
    }
}

#[test]
fn what_ships_lacks_nothing() {
    for tag in SHIPPED_TAGS {
        let Some(catalogue) = Tongue::shipped(tag).unwrap().catalogue().cloned() else { continue };
        assert_eq!(catalogue.lacks(), [], "{tag}");
    }
    assert_eq!(Catalogue::new("xx").lacks().len(), Catalogue::english().len());
}

#[test]
fn a_catalogue_that_has_a_fault_is_found_out() {
    assert!(Catalogue::fault("{some} or {last}", "{last} y {some}").is_none());
    assert!(Catalogue::fault("{some} or {last}", "{last}").is_some());
    assert!(Catalogue::fault("nobody says this", "x").is_some());
    assert!(Message::word("x").to_string() == "x");
}
