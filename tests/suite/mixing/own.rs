//! The book's own words on a page, and what is left without them.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::OnceLock;

use loambook::quantity::{Unit, unit_words};
use loambook::source::Store;
use loambook::speech::{Catalogue, pattern};
use loambook::vocabulary::{self, BLOCKS};

/// A run of this many words or more counts as a sentence of somebody's prose.
const SENTENCE: usize = 4;

/// The most words of a value that is printed beside another one.
const LONGEST: usize = 16;

/// Signs inside a value, none of which a word has.
const SIGNS: [char; 5] = [',', ';', ':', '(', '='];

/// The book's own words.
#[derive(Default, Clone)]
pub struct Own {
    /// Whole texts: values, names of files, words behind a block's.
    values: BTreeSet<String>,
    /// Those of several words with signs between them.
    with_signs: Vec<String>,
    /// All that is written in it, its words one blank apart.
    written: String,
}

impl Own {
    /// All notebooks of a store.
    pub fn of(store: &dyn Store) -> Self {
        let mut own = Self::default();
        let files = store.list().unwrap().files;
        // The words of languages and the templates are not a diary.
        for file in files.iter().filter(|file| !file.path.starts_with("templates/")) {
            let text = store.read(&file.path, u64::MAX).unwrap();
            own.add(&file.path, &String::from_utf8_lossy(&text));
        }
        own
    }

    pub fn add(&mut self, path: &str, text: &str) {
        let stem = Path::new(path).file_stem().unwrap().to_string_lossy().into_owned();
        self.values.extend([path.to_owned(), stem]);
        let mut block = "";
        for line in text.lines() {
            self.values.extend(line.split('"').skip(1).step_by(2).map(joined));
            if let Some((key, value)) = line.split_once('=') {
                let key = key.trim().trim_matches('"');
                // The book names what is serviced, a plan, a band and the like as it pleases.
                if value.trim_start().starts_with('{') || block == "service" {
                    self.values.extend(key.split('.').next().map(joined));
                }
            }
            if let Some(words) = line.trim_start().strip_prefix("```") {
                let mut words = words.split_whitespace();
                block = words.next().unwrap_or_default();
                self.values.extend(words.map(str::to_owned));
            }
            if let Some(name) = line.strip_prefix('[').and_then(|line| line.trim().strip_suffix(']')) {
                self.values.extend(name.rsplit('.').next().map(str::to_owned));
            }
            if let Some(heading) = line.strip_prefix("# ") {
                self.values.insert(joined(heading));
            }
        }
        self.written.push_str(&joined(text));
        self.written.push('\n');
        let signed = self.values.iter().filter(|value| value.contains(SIGNS) && value.contains(' '));
        self.with_signs = signed.cloned().collect();
        self.with_signs.sort_by_key(|value| std::cmp::Reverse(value.len()));
    }

    /// Whether a run of plain words is the book's own: values one behind the other, or words in the book's order.
    fn has(&self, run: &[&str]) -> bool {
        // `from[at]`: whether all before `at` is explained.
        let mut from = vec![true];
        for end in 1..=run.len() {
            let starts = end.saturating_sub(LONGEST)..end;
            from.push(starts.into_iter().any(|start| from[start] && self.is_own(&run[start..end])));
        }
        from.last() == Some(&true)
    }

    fn is_own(&self, words: &[&str]) -> bool {
        let text = words.join(" ");
        match words {
            [word] => {
                !is_bare(word)
                    || is_excepted(word)
                    || self.values.contains(&text)
                    || word.contains('/') && self.is_place(words)
            }
            _ => self.values.contains(&text) || self.is_written(&text) || self.is_place(words),
        }
    }

    /// Whether it names a place in a notebook, as notebooks spell it: `sag rear/aboard`, `settings fork.preload`. Keys
    /// of notebooks are the same in every language.
    fn is_place(&self, words: &[&str]) -> bool {
        let mut parts = words.iter().flat_map(|word| word.split('/'));
        let word = parts.next();
        let Some(block) = BLOCKS.iter().find(|block| Some(block.word) == word) else { return false };
        let keys = block.keys.iter().map(|key| key.name);
        let behind = ["aim", "within", "want", "recheck", "found", "after_ride"];
        let known: BTreeSet<&str> = keys
            .chain(behind)
            .chain(vocabulary::every_name().iter().map(String::as_str))
            .flat_map(|key| key.split('.'))
            .collect();
        parts.flat_map(|part| part.split('.')).all(|part| known.contains(part) || self.values.contains(part))
    }

    /// Whether it is in the book. A label can be in somebody's prose as well, so a few words do not count.
    fn is_written(&self, text: &str) -> bool {
        if text.split(' ').count() < SENTENCE {
            return false;
        }
        let ends = |letter: Option<char>| letter.is_none_or(|letter| !letter.is_alphanumeric());
        self.written.match_indices(text).any(|(at, _)| {
            let (before, behind) = (&self.written[..at], &self.written[at + text.len()..]);
            ends(before.chars().next_back()) && ends(behind.chars().next())
        })
    }
}

/// Words that pages show in plain letters rightly, each with its reason.
fn is_excepted(word: &str) -> bool {
    // Units whose sign is the same everywhere.
    is_unit(word)
        // A name of the vocabulary as notebooks spell it, `fork.rebound`: it leads to the meaning.
        || word.contains('.') && vocabulary::lookup(word).is_some()
        // A notebook's name by its content.
        || word.len() == 40 && word.chars().all(|letter| letter.is_ascii_hexdigit())
        // Signs of formulas, the same in every language.
        || ["sin", "cos", "Rf", "pa"].contains(&word)
        // The rider's own word for a direction, which a finding repeats.
        || word == "softer"
}

fn joined(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn is_unit(word: &str) -> bool {
    let is_said = |word: &str| unit_words().any(|key| key.ends_with(&format!("|{word}")));
    Unit::ALL.iter().any(|unit| unit.symbol() == word && !is_said(word))
}

/// A text without the parts that a notebook has exactly so: code, values with signs of their own, whole lines.
fn without_own(text: &str, own: &Own) -> String {
    let mut rest: String = text.split('`').step_by(2).collect::<Vec<_>>().join(" ¦ ");
    if own.is_written(&joined(&rest)) {
        return String::new();
    }
    if rest.contains(SIGNS) {
        for value in &own.with_signs {
            if rest.contains(value.as_str()) {
                rest = rest.replace(value.as_str(), "¦");
            }
        }
    }
    // In quotes, exactly.
    let quoted: Vec<&str> = text.split('"').skip(1).step_by(2).collect();
    for value in quoted.into_iter().filter(|value| own.values.contains(*value)) {
        rest = rest.replace(&format!("\"{value}\""), "¦");
    }
    rest = rest.replace("= { within = … }", "¦");
    // A key beside its place: `at (days/2026-03-21-senior.md:43)`.
    let mut parts: Vec<&str> = rest.split(" (").collect();
    for at in 1..parts.len() {
        let place = parts[at].split(')').next().unwrap_or_default();
        let is_place = place.rsplit_once(':').is_some_and(|(path, line)| {
            own.values.contains(path) && line.chars().all(|digit| digit.is_ascii_digit())
        });
        let before = parts[at - 1];
        let name = before.rsplit([',', ';', '¦']).next().unwrap_or_default().trim_start();
        let is_key = BLOCKS.iter().flat_map(|block| block.keys).any(|known| known.name == name);
        if is_place && (is_key || own.is_place(&name.split(' ').collect::<Vec<_>>())) {
            parts[at - 1] = &before[..before.len() - name.len()];
        }
    }
    parts.join(" (")
}

/// Whether it has letters that could be a word: a single letter is a sign.
fn is_bare(word: &str) -> bool {
    word.split(|letter: char| !letter.is_ascii_alphabetic()).any(|part| part.len() > 1)
}

/// All of our own texts of several words without placeholders.
fn patterns() -> &'static BTreeSet<&'static str> {
    static PATTERNS: OnceLock<BTreeSet<&str>> = OnceLock::new();
    PATTERNS.get_or_init(|| {
        let all = Catalogue::english().keys().map(|key| pattern(key));
        all.filter(|pattern| pattern.contains(' ')).collect()
    })
}

/// Runs of plain words in a text that are neither the book's, code nor units.
pub fn strays(text: &str, own: &Own) -> Vec<String> {
    let outside = without_own(text, own);
    let is_plain = |letter: char| {
        letter.is_ascii_alphanumeric() || " '-./_²³·".contains(letter) || ('À'..='ž').contains(&letter)
    };
    let words = |run: &str| -> Vec<String> {
        let words = run.split_whitespace().map(|word| word.trim_matches(|c| "'-./_·".contains(c)));
        words.filter(|word| !word.is_empty()).map(str::to_owned).collect()
    };
    let mut strays = Vec::new();
    for run in outside.split(|letter: char| !is_plain(letter)).map(words) {
        let run: Vec<&str> = run.iter().map(String::as_str).collect();
        // One of our own patterns is ours, whatever words the book has.
        // A reading's label is its block with its key, as notebooks spell it.
        let is_named_so = run == ["steering", "pull"];
        let is_ours = !is_named_so
            && patterns().contains(run.join(" ").as_str())
            && !own.values.contains(&run.join(" "));
        if is_ours || !own.has(&run) {
            strays.push(run.join(" "));
        }
    }
    strays
}

/// A decimal point where this language has a comma.
pub fn points(text: &str, own: &Own) -> Vec<String> {
    let outside = without_own(text, own);
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
