//! The books that are damaged: the demo, and those of the other tests.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use loambook::document::BUILT_IN;

/// A book: bytes by path.
pub type Files = BTreeMap<String, Vec<u8>>;

pub fn all(root: &Path) -> Vec<Files> {
    let demo = folder(&root.join("notebooks"));
    let mut own = demo.clone();
    for (name, text) in BUILT_IN {
        own.insert(format!("templates/{name}"), text.as_bytes().to_vec());
    }
    own.insert("templates/advice.toml".to_owned(), fs::read(root.join("templates/advice.toml")).unwrap());
    // The demo holds all that people write, so it is drawn as often as all small ones together.
    let mut books = vec![folder(&root.join("tests/notebooks/imperial")), own];
    for page in files_under(&root.join("tests/findings")) {
        books.extend(cases(&fs::read_to_string(page).unwrap()));
    }
    let small = books.len();
    books.extend(std::iter::repeat_n(demo, small));
    books
}

fn folder(root: &Path) -> Files {
    let relative = |path: &Path| path.strip_prefix(root).unwrap().to_string_lossy().replace('\\', "/");
    files_under(root).into_iter().map(|path| (relative(&path), fs::read(&path).unwrap())).collect()
}

fn files_under(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() { found.extend(files_under(&path)) } else { found.push(path) }
    }
    found.sort();
    found
}

/// The books of a page of `tests/findings`: fences of four or more backticks; those before the first heading are
/// shared.
fn cases(page: &str) -> Vec<Files> {
    let (mut shared, mut books) = (Files::new(), Vec::<Files>::new());
    let mut lines = page.lines();
    while let Some(line) = lines.next() {
        if line.starts_with("## ") {
            books.push(shared.clone());
        }
        let path = line.trim_start_matches('`');
        let fence = &line[..line.len() - path.len()];
        if fence.len() < 4 || path.is_empty() {
            continue;
        }
        let body: Vec<&str> = lines.by_ref().take_while(|line| *line != fence).collect();
        let files = books.last_mut().unwrap_or(&mut shared);
        files.insert(path.to_owned(), (body.join("\n") + "\n").into_bytes());
    }
    books.retain(|files| !files.is_empty());
    books
}
