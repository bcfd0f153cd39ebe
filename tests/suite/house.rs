//! The laws of the house that a compiler does not keep.

use std::fs;
use std::path::{Path, PathBuf};

use loambook::vocabulary;

/// The rooms from the top down: each knows only those above it.
const ROOMS: [&str; 15] = [
    "source",
    "finding",
    "notebook",
    "quantity",
    "vocabulary",
    "book",
    "season",
    "physics",
    "figures",
    "checks",
    "advice",
    "pages",
    "document",
    "render",
    "cli",
];

fn files_under(folder: &Path, into: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            files_under(&path, into);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            into.push(path);
        }
    }
}

/// Every source file of a room with its code: unit tests and comments left out.
fn room_files(room: &str) -> Vec<(PathBuf, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(room);
    let mut files = Vec::new();
    files_under(&root, &mut files);
    assert!(!files.is_empty(), "the room {room} is empty");
    files
        .into_iter()
        .map(|path| {
            let text = fs::read_to_string(&path).unwrap();
            let code = text.split("#[cfg(test)]").next().unwrap_or_default();
            let code: Vec<&str> = code.lines().filter(|line| !line.trim_start().starts_with("//")).collect();
            (path, code.join("\n"))
        })
        .collect()
}

/// The rooms that a text names as `crate::ROOM`, also within `use crate::{…}`.
fn rooms_named(code: &str) -> Vec<&'static str> {
    let mut named = Vec::new();
    for (at, _) in code.match_indices("crate::") {
        let rest = &code[at + "crate::".len()..];
        if let Some(group) = rest.strip_prefix('{') {
            let group = &group[..group.find(";").unwrap_or(group.len())];
            named.extend(ROOMS.into_iter().filter(|room| group.contains(&format!("{room}::"))));
        } else {
            let word: String = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            named.extend(ROOMS.into_iter().filter(|room| *room == word));
        }
    }
    named
}

#[test]
fn each_room_knows_only_those_above_it() {
    let mut broken = Vec::new();
    for (depth, room) in ROOMS.iter().enumerate() {
        for (path, code) in room_files(room) {
            for named in rooms_named(&code) {
                let other = ROOMS.iter().position(|known| *known == named).unwrap();
                if other > depth {
                    broken.push(format!("{} uses {named}, which is below {room}", path.display()));
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn physics_knows_no_other_room() {
    for (path, code) in room_files("physics") {
        let others: Vec<&str> = rooms_named(&code).into_iter().filter(|room| *room != "physics").collect();
        assert!(others.is_empty(), "{} uses {others:?}", path.display());
    }
}

#[test]
fn only_source_reads_files_and_only_output_writes_them() {
    for room in ROOMS {
        for (path, code) in room_files(room) {
            let may = room == "source" || path.parent().is_some_and(|folder| folder.ends_with("cli/output"));
            let opens = ["std::fs", "fs::File", "File::open", "fs::read", "fs::write"]
                .iter()
                .any(|word| code.contains(word));
            assert!(may || !opens, "{} touches files", path.display());
        }
    }
}

#[test]
fn only_the_command_line_asks_the_clock() {
    for room in ROOMS {
        for (path, code) in room_files(room) {
            let asks = ["SystemTime::now", "Instant::now", "Zoned::now", "Timestamp::now"]
                .iter()
                .any(|word| code.contains(word));
            assert!(room == "cli" || !asks, "{} asks the clock", path.display());
        }
    }
}

#[test]
fn nothing_touches_the_network() {
    for room in ROOMS {
        for (path, code) in room_files(room) {
            assert!(!code.contains("std::net"), "{} touches the network", path.display());
        }
    }
}

#[test]
fn only_one_file_starts_another_program() {
    for room in ROOMS {
        for (path, code) in room_files(room) {
            let may = path.ends_with("source/store/git.rs");
            assert!(may || !code.contains("Command::new"), "{} starts a program", path.display());
        }
    }
}

#[test]
fn names_are_spelt_in_the_vocabulary_alone() {
    let names: Vec<String> = vocabulary::every_name().into_iter().filter(|name| name.contains('.')).collect();
    let mut broken = Vec::new();
    for room in ROOMS.into_iter().filter(|room| *room != "vocabulary") {
        for (path, code) in room_files(room) {
            for name in &names {
                if code.contains(&format!("\"{name}\"")) {
                    broken.push(format!("{} spells {name}", path.display()));
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}
