//! Writes what is made ready of the advice that ships, and holds it equal to the files that it is made from.

#![cfg(test)]

use std::fmt::Write;

const ACCEPT: &str = "LOAMBOOK_ACCEPT";
/// How long a line of what is written may be.
const WIDE: usize = 110;

/// Holds a file of this room to what it must say, or writes it: then what was compiled is not it.
#[expect(clippy::disallowed_methods, reason = "writes a file of our own code")]
pub fn hold(path: &str, text: &str) -> bool {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/advice").join(path);
    if std::env::var_os(ACCEPT).is_some() {
        std::fs::write(path, text).unwrap();
        return false;
    }
    let has = std::fs::read_to_string(&path).unwrap();
    assert!(has == text, "{} is not as its data say; {ACCEPT}=1 writes it anew", path.display());
    true
}

/// What stands above a file that is made.
pub fn head(what: &str, from: &str, test: &str) -> String {
    format!(
        "//! {what}, made ready.\n//!\n//! Made from `{from}`: `{ACCEPT}=1 cargo nextest run -E 'test(/{test}/)'` writes it anew, and nobody else.\n\n"
    )
}

/// A text as code, broken at its line ends.
pub fn text(text: &str) -> String {
    let mut code = "\"".to_owned();
    let mut wide = WIDE;
    for line in text.split_inclusive('\n') {
        let line = line.escape_debug().to_string();
        if wide + line.len() > WIDE {
            code.push_str("\\\n");
            wide = 0;
        }
        wide += line.len();
        code.push_str(&line);
    }
    code + "\""
}

/// Numbers as code, each followed by a comma.
pub fn numbers(all: impl Iterator<Item = String>) -> String {
    let (mut code, mut wide) = (String::new(), WIDE);
    for number in all {
        if wide + number.len() > WIDE {
            code.push('\n');
            wide = 0;
        }
        wide += number.len() + 1;
        let _ = write!(code, "{number},");
    }
    code
}
