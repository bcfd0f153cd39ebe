//! Books on disk, in memory and at git revisions.

use std::fs;
use std::path::Path;
use std::process::Command;

use loambook::notebook::fault_finding;
use loambook::source::{
    Disk, FaultKind, Memory, ReadError, Revision, RevisionError, Store, find_book, limits, read_book,
};

fn write(folder: &Path, path: &str, bytes: impl AsRef<[u8]>) {
    let full = folder.join(path);
    fs::create_dir_all(full.parent().unwrap()).unwrap();
    fs::write(full, bytes).unwrap();
}

fn paths(store: &dyn Store) -> Vec<String> {
    store.list().unwrap().files.into_iter().map(|listed| listed.path).collect()
}

#[test]
fn a_folder_is_listed_in_one_order_without_what_is_hidden() {
    let folder = temp_dir::TempDir::new().unwrap();
    for path in
        ["book.toml", "days/b.md", "days/a.md", "Z.md", ".git/x.md", "days/.draft.md", "photos/é 1.jpg"]
    {
        write(folder.path(), path, path);
    }
    let disk = Disk::new(folder.path());
    assert_eq!(paths(&disk), ["Z.md", "book.toml", "days/a.md", "days/b.md", "photos/é 1.jpg"]);
    assert_eq!(disk.read("photos/é 1.jpg", limits::PHOTO_BYTES).unwrap(), "photos/é 1.jpg".as_bytes());
    assert_eq!(disk.read("photos/none.jpg", 10), Err(ReadError::Missing));
    assert_eq!(disk.read("book.toml", 8), Err(ReadError::TooLarge { limit: 8 }));
    assert!(matches!(disk.read("photos", 10), Err(ReadError::Unreadable { .. })));
    assert_eq!(Disk::new(folder.path().join("none")).list(), Err(ReadError::Missing));
}

#[cfg(unix)]
#[test]
fn links_in_a_circle_end_and_nothing_is_listed_twice() {
    use std::os::unix::fs::symlink;
    let folder = temp_dir::TempDir::new().unwrap();
    write(folder.path(), "days/a.md", "x");
    symlink(folder.path(), folder.path().join("days/again")).unwrap();
    symlink("round.md", folder.path().join("days/round.md")).unwrap();
    symlink("a.md", folder.path().join("days/latest.md")).unwrap();
    symlink("nowhere", folder.path().join("days/broken.md")).unwrap();
    let disk = Disk::new(folder.path());
    assert_eq!(paths(&disk), ["days/a.md"]);
    let listing = disk.list().unwrap();
    let problems: Vec<&str> = listing.problems.iter().map(|(path, _)| path.as_str()).collect();
    assert_eq!(problems, ["days/broken.md", "days/round.md"]);
    // A link within the book is read by its own name.
    assert_eq!(disk.read("days/latest.md", 10).unwrap(), b"x");
    assert_eq!(disk.read("days/again/days/a.md", 10).unwrap(), b"x");
}

#[cfg(unix)]
#[test]
fn a_folder_too_deep_and_a_name_that_is_no_text_are_faults() {
    use std::os::unix::ffi::OsStrExt;
    let folder = temp_dir::TempDir::new().unwrap();
    write(folder.path(), &format!("{}a.md", "d/".repeat(limits::DEPTH + 1)), "x");
    write(folder.path(), &format!("{}a.md", "e/".repeat(limits::DEPTH)), "x");
    fs::write(folder.path().join(std::ffi::OsStr::from_bytes(b"\xff.md")), "x").unwrap();
    let listing = Disk::new(folder.path()).list().unwrap();
    assert_eq!(listing.files.len(), 1);
    let kinds: Vec<&FaultKind> = listing.problems.iter().map(|(_, kind)| kind).collect();
    assert_eq!(kinds, [&FaultKind::TooDeep { limit: limits::DEPTH }, &FaultKind::NameNotUtf8]);
}

#[test]
fn a_file_that_cannot_be_read_is_a_finding_and_the_others_are_read() {
    let store = Memory::new()
        .with("book.toml", "title = \"Loam\"")
        .with("days/a.md", "one")
        .with("days/bad.md", b"# Title\nsag \xb1 1".to_vec())
        .with("days/huge.md", vec![b'x'; limits::TEXT_BYTES as usize + 1])
        .with("notes.txt", "no notebook");
    let book = read_book(&store.list().unwrap(), &store);
    assert_eq!(book.book.map(|file| book.sources.path(file)), Some("book.toml"));
    let notebooks: Vec<&str> = book.notebooks.iter().map(|&file| book.sources.path(file)).collect();
    assert_eq!(notebooks, ["days/a.md"]);
    let findings: Vec<_> = book.faults.iter().map(fault_finding).collect();
    let shown: Vec<_> = findings
        .iter()
        .map(|finding| {
            let start = book.sources.start(finding.span);
            (finding.code.name, book.sources.path(finding.span.file), start.line, start.column)
        })
        .collect();
    assert_eq!(shown, [("file/not-utf-8", "days/bad.md", 2, 5), ("file/too-large", "days/huge.md", 1, 1)]);
}

#[test]
fn the_book_of_a_path_is_the_nearest_folder_upward() {
    let folder = temp_dir::TempDir::new().unwrap();
    write(folder.path(), "book.toml", "");
    write(folder.path(), "inner/book.toml", "");
    write(folder.path(), "inner/days/a.md", "");
    write(folder.path(), "days/a.md", "");
    let book = |path: &str| find_book(&folder.path().join(path));
    assert_eq!(book("days/a.md").as_deref(), Some(folder.path()));
    assert_eq!(book("").as_deref(), Some(folder.path()));
    assert_eq!(book("inner/days").as_deref(), Some(folder.path().join("inner").as_path()));
    let bare = temp_dir::TempDir::new().unwrap();
    assert_eq!(find_book(bare.path()), None);
}

fn git(folder: &Path, arguments: &[&str]) {
    let output = Command::new("git")
        .arg("-C")
        .arg(folder)
        .args(["-c", "user.name=Rider", "-c", "user.email=rider@example.org", "-c", "commit.gpgsign=false"])
        .args(arguments)
        .env("GIT_CONFIG_GLOBAL", "")
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
}

#[test]
fn a_book_is_read_as_it_was() {
    let folder = temp_dir::TempDir::new().unwrap();
    let book = folder.path().join("set-up é");
    write(&book, "days/a.md", "first ±\n");
    write(&book, "days/b c.md", "");
    write(&book, "photos/fork.jpg", [0_u8, 255, 10, 13, 0]);
    write(&book, ".hidden.md", "x");
    write(folder.path(), "other.md", "not of the book");
    git(folder.path(), &["init", "-q"]);
    git(folder.path(), &["add", "-A"]);
    git(folder.path(), &["commit", "-qm", "first"]);
    git(folder.path(), &["tag", "v1"]);
    write(&book, "days/a.md", "second\n");
    write(&book, "book.toml", "title = \"Loam\"\n");
    git(folder.path(), &["add", "-A"]);
    git(folder.path(), &["commit", "-qm", "second"]);
    write(&book, "days/a.md", "not committed\n");

    let first = Revision::open(&book, "v1").unwrap();
    assert_eq!(paths(&first), ["days/a.md", "days/b c.md", "photos/fork.jpg"]);
    for _ in 0..2 {
        assert_eq!(first.read("days/a.md", 100).unwrap(), "first ±\n".as_bytes());
        assert_eq!(first.read("days/b c.md", 100).unwrap(), b"");
        assert_eq!(first.read("photos/fork.jpg", 100).unwrap(), [0_u8, 255, 10, 13, 0]);
    }
    assert_eq!(first.read("photos/fork.jpg", 4), Err(ReadError::TooLarge { limit: 4 }));
    assert_eq!(first.read("book.toml", 100), Err(ReadError::Missing));
    let second = Revision::open(&book, "HEAD").unwrap();
    assert_eq!(second.read("days/a.md", 100).unwrap(), b"second\n");
    assert_ne!(first.commit(), second.commit());
    let read = read_book(&second.list().unwrap(), &second);
    assert_eq!(read.notebooks.len(), 2);
    assert!(read.book.is_some());

    let whole = Revision::open(folder.path(), "HEAD").unwrap();
    assert!(paths(&whole).contains(&"other.md".to_owned()));
}

#[test]
fn revisions_that_are_not_there_say_so() {
    let folder = temp_dir::TempDir::new().unwrap();
    assert!(matches!(Revision::open(folder.path(), "HEAD"), Err(RevisionError::NoRepository { .. })));
    git(folder.path(), &["init", "-q"]);
    let error = |revision: &str| Revision::open(folder.path(), revision).err().unwrap().to_string();
    assert_eq!(error("HEAD"), "git knows no revision `HEAD`");
    write(folder.path(), "a.md", "x");
    git(folder.path(), &["add", "-A"]);
    git(folder.path(), &["commit", "-qm", "first"]);
    // Neither an option nor a file is taken for a revision.
    for revision in ["none", "--all", "--output=x", "HEAD:a.md", "", "HEAD --"] {
        assert_eq!(error(revision), format!("git knows no revision `{revision}`"));
    }
    fs::create_dir(folder.path().join("later")).unwrap();
    let later = Revision::open(&folder.path().join("later"), "HEAD").err();
    assert_eq!(later, Some(RevisionError::NoBook { revision: "HEAD".to_owned() }));
}
