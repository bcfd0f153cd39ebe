//! What coverage-guided fuzzing found worth keeping, run through the same targets: `tests/guided`.

use std::fs;
use std::path::Path;

#[path = "../guided/targets.rs"]
mod targets;

/// Runs every kept input of a target.
fn run(name: &str) {
    let (_, target) = targets::TARGETS.into_iter().find(|(target, _)| *target == name).unwrap();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/guided/corpus").join(name);
    let mut count = 0;
    for entry in fs::read_dir(&folder).unwrap() {
        let path = entry.unwrap().path();
        let bytes = fs::read(&path).unwrap();
        let survived = std::panic::catch_unwind(|| target(&bytes));
        assert!(survived.is_ok(), "{}", path.display());
        count += 1;
    }
    assert!(count > 5, "{} inputs of {name}", count);
}

#[test]
fn kept_books() {
    run("book");
}

#[test]
fn kept_quantities() {
    run("quantity");
}

#[test]
fn kept_templates() {
    run("template");
}

#[test]
fn kept_messages() {
    run("messages");
}

#[test]
fn kept_texts_that_were_taken() {
    run("take");
}

#[test]
fn kept_revisions() {
    run("revision");
}
