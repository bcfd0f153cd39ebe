//! The whole check over the demo's notebooks, as they are and damaged in every way.

use std::fs;
use std::path::{Path, PathBuf};

use loambook::advice;
use loambook::finding::Severity;
use loambook::session::{Compiled, Session};
use loambook::source::{Disk, Memory};
use proptest::prelude::*;

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks")
}

/// The texts of the demo, by path.
fn texts() -> Vec<(String, Vec<u8>)> {
    let mut found = Vec::new();
    for folder in ["", "machines", "riders", "tracks", "days", "laps"] {
        let Ok(entries) = fs::read_dir(demo().join(folder)) else { continue };
        for entry in entries {
            let path = entry.unwrap().path();
            if path.is_file() {
                let name = path.file_name().unwrap().to_string_lossy().into_owned();
                let relative = if folder.is_empty() { name } else { format!("{folder}/{name}") };
                found.push((relative, fs::read(&path).unwrap()));
            }
        }
    }
    found.sort();
    assert!(found.len() > 10);
    found
}

fn compile(files: &[(String, Vec<u8>)]) -> Compiled {
    let mut store = Memory::new();
    for (path, bytes) in files {
        store.set(path.clone(), bytes.clone());
    }
    Session::over(&store).unwrap().compile(Some("2026-12-01".parse().unwrap()))
}

#[test]
fn the_demo_has_no_errors() {
    let compiled = Session::over(Disk::new(demo())).unwrap().compile(None);
    let errors: Vec<_> =
        compiled.findings.iter().filter(|finding| finding.severity == Severity::Error).collect();
    assert!(errors.is_empty(), "{errors:#?}");
}

#[test]
fn a_book_is_found_to_be_the_same_however_often_it_is_checked() {
    let files = texts();
    let first = compile(&files).findings;
    assert!(!first.is_empty());
    for _ in 0..4 {
        assert_eq!(compile(&files).findings, first);
    }
}

#[test]
fn every_rule_has_a_name_of_its_own_and_a_page() {
    let all = advice::catalogue();
    for pair in all.windows(2) {
        assert_ne!(pair[0].name, pair[1].name);
    }
    for code in all {
        assert!(code.page.len() > 80, "{} has no page", code.name);
        assert!(code.page.contains("Better:"), "{} does not say what is better", code.name);
    }
}

/// Ways of damaging a text.
#[derive(Debug, Clone)]
enum Harm {
    Truncate(usize),
    /// Bytes inserted.
    Insert(usize, Vec<u8>),
    /// A stretch removed.
    Remove(usize, usize),
    /// A stretch of another file inserted.
    Splice(usize, usize, usize, usize),
    /// One number changed.
    Digits(usize, String),
}

fn harm() -> impl Strategy<Value = Harm> {
    let place = any::<usize>;
    prop_oneof![
        place().prop_map(Harm::Truncate),
        (place(), prop::collection::vec(any::<u8>(), 0..40)).prop_map(|(at, bytes)| Harm::Insert(at, bytes)),
        (place(), 0..400_usize).prop_map(|(at, length)| Harm::Remove(at, length)),
        (place(), place(), place(), 0..600_usize)
            .prop_map(|(at, file, from, length)| Harm::Splice(at, file, from, length)),
        (place(), "[-+]?[0-9]{1,12}(\\.[0-9]{1,3})?(e[0-9]{1,3})?")
            .prop_map(|(at, text)| Harm::Digits(at, text)),
    ]
}

fn apply(files: &mut [(String, Vec<u8>)], file: usize, harm: &Harm) {
    let count = files.len();
    let donor = |index: usize, files: &[(String, Vec<u8>)]| files[index % count].1.clone();
    let others = match harm {
        Harm::Splice(_, index, ..) => donor(*index, files),
        _ => Vec::new(),
    };
    let bytes = &mut files[file % count].1;
    let length = bytes.len() + 1;
    match harm {
        Harm::Truncate(at) => bytes.truncate(at % length),
        Harm::Insert(at, new) => {
            let at = at % length;
            bytes.splice(at..at, new.iter().copied());
        }
        Harm::Remove(at, many) => {
            let at = at % length;
            let end = (at + many).min(bytes.len());
            bytes.drain(at..end);
        }
        Harm::Splice(at, _, from, many) => {
            let at = at % length;
            let from = from % (others.len() + 1);
            let end = (from + many).min(others.len());
            bytes.splice(at..at, others[from..end].iter().copied());
        }
        Harm::Digits(at, text) => {
            // The first number at or after the place.
            let at = at % length;
            let Some(start) = bytes[at..].iter().position(u8::is_ascii_digit).map(|offset| at + offset)
            else {
                return;
            };
            let many =
                bytes[start..].iter().take_while(|byte| byte.is_ascii_digit() || **byte == b'.').count();
            bytes.splice(start..start + many, text.bytes());
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn whatever_stands_in_a_notebook_gives_findings_and_never_a_fall(
        harms in prop::collection::vec((any::<usize>(), harm()), 1..12)
    ) {
        let mut files = texts();
        for (file, harm) in &harms {
            apply(&mut files, *file, harm);
        }
        let Compiled { book, findings, .. } = compile(&files);
        for finding in &findings {
            prop_assert!(!finding.headline.is_empty());
            let text = book.sources.whole(finding.span.file);
            prop_assert!(finding.span.range().end <= text.len(), "{finding:?}");
            for label in &finding.labels {
                prop_assert!(label.span.range().end <= book.sources.whole(label.span.file).len());
            }
        }
    }

    #[test]
    fn bytes_that_are_no_notebook_give_findings_and_never_a_fall(
        bytes in prop::collection::vec(any::<u8>(), 0..2000)
    ) {
        let head = b"+++\nkind = \"day\"\ndate = 2026-04-11\nmachine = \"corrie-450\"\nrider = \"senior\"\n+++\n```sag rear\n";
        let mut files = texts();
        files.push(("days/bytes.md".to_owned(), bytes.clone()));
        files.push(("days/behind-a-head.md".to_owned(), [head.as_slice(), &bytes].concat()));
        compile(&files);
    }
}
