//! What is done with the bytes of a fuzzer, and what must hold for all of them. The fuzzer calls these with its own
//! inputs; the suite calls them with the inputs worth keeping.

use std::fmt::Write as _;
use std::fs;
use std::io::Cursor;
use std::path::{Path, PathBuf};
use std::process::Command;

use jiff::civil::Date;
use loambook::document::{self, Templates};
use loambook::editor::{Frame, Server, Standing, read};
use loambook::pages::take::{merged, message};
use loambook::quantity::{Kind, Unit, UnitDefaults, Units, amount, interval, quantity, repeats, show};
use loambook::render::findings::{Look, json, text};
use loambook::render::html::{self, HtmlOptions};
use loambook::render::patch::patch;
use loambook::session::{Compiled, Session};
use loambook::source::{BookFolder, Repository, Revision, Store};
use temp_dir::TempDir;

/// Between the files of a book, the messages of a conversation, a template and its data: ASCII's record separator, which
/// none of them may contain.
pub const SEPARATOR: char = '\u{1e}';

/// The date on which everything is asked.
const ASKED_ON: Date = Date::constant(2026, 12, 1);

/// A target by its name.
pub type Target = fn(&[u8]);

pub const TARGETS: [(&str, Target); 6] = [
    ("book", book),
    ("quantity", quantities),
    ("template", template),
    ("messages", messages),
    ("revision", revision),
    ("take", take),
];

fn checked(session: &mut Session<'_>) -> (String, String) {
    let Compiled { book, findings, .. } = session.compile(Some(ASKED_ON));
    (text(&findings, &book.sources, Look::default()), json(&findings, &book.sources))
}

/// A book: its files one behind the other, each with its path as its first line. It is read, replayed and checked. A
/// session that edits the last file must give what a new session gives, and no control character may reach a terminal.
pub fn book(bytes: &[u8]) {
    let Ok(given) = std::str::from_utf8(bytes) else { return };
    let files: Vec<(&str, &str)> =
        given.split(SEPARATOR).take(12).filter_map(|file| file.split_once('\n')).collect();
    let mut whole = Session::new();
    for (path, text) in &files {
        whole.edit(*path, *text);
    }
    let told = checked(&mut whole);
    assert!(!told.0.contains(|c: char| c.is_control() && c != '\n'), "a terminal would obey it");

    let Some(((path, last), others)) = files.split_last() else { return };
    let mut edited = Session::new();
    for (path, text) in others {
        edited.edit(*path, *text);
    }
    // Half of it first, as for somebody who is still typing.
    let half = (0..=last.len() / 2).rev().find(|at| last.is_char_boundary(*at)).unwrap_or(0);
    edited.edit(*path, &last[..half]);
    checked(&mut edited);
    edited.edit(*path, *last);
    assert_eq!(checked(&mut edited), told, "a session that was edited says something else than a new one");
}

/// One value, as each kind: what is read is finite, and its display reads back as the same.
pub fn quantities(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let (bare, units) = (UnitDefaults::default(), Units::default());
    for kind in Kind::ALL {
        if let Ok(read) = quantity(text, &[kind], &bare) {
            assert!(
                read.value.is_finite() && read.plus_minus.is_none_or(|half| half.is_finite() && half >= 0.0)
            );
            let shown = show(&read, &units).to_string();
            let again = quantity(&shown, &[kind], &bare);
            // A fraction, or a very long number, is shown to twelve digits, and to at most twelve decimals of its unit.
            let near = |a: f64, b: f64| {
                let shown = |value| read.unit.width_from_si(value);
                (a - b).abs() <= 1e-11 * a.abs().max(b.abs()) || (shown(a) - shown(b)).abs() <= 6e-13
            };
            let halves = |a: Option<f64>, b: Option<f64>| match (a, b) {
                (Some(a), Some(b)) => near(a, b),
                (a, b) => a == b,
            };
            let is_same = again.as_ref().is_ok_and(|again| {
                (again.kind, again.unit) == (read.kind, read.unit)
                    && near(again.value, read.value)
                    && halves(again.plus_minus, read.plus_minus)
                    && (near(again.last_digit, read.last_digit) || again.last_digit > read.last_digit)
            });
            assert!(is_same, "{read:?} is shown as {shown:?} and read again as {again:?}");
        }
        if let Ok(repeats) = repeats(text, &[kind], &bare) {
            assert!(repeats.values.iter().all(|(_, range)| text.get(range.clone()).is_some()));
        }
        for fault in [
            interval(text, &[kind], &bare).err(),
            amount(text, &[kind], &bare).err(),
            repeats(text, &[kind], &bare).err(),
        ] {
            let range = fault.map(|problem| problem.range);
            assert!(range.is_none_or(|range| text.get(range).is_some()), "a fault lies within its text");
        }
    }
    assert!(Unit::from_text(text).is_none_or(|unit| !unit.kinds().is_empty()));
}

/// A template, or the name of one that ships, and the data of a page: what comes out runs nothing in a browser.
pub fn template(bytes: &[u8]) {
    let Ok(given) = std::str::from_utf8(bytes) else { return };
    let Some((template, data)) = given.split_once(SEPARATOR) else { return };
    let Ok(data) = serde_json::from_str::<serde_json::Value>(data) else { return };
    let is_built_in = document::BUILT_IN.iter().any(|(name, _)| *name == template);
    let (name, own) = if is_built_in { (template, None) } else { ("own.md", Some(("own.md", template))) };
    let Ok(templates) = Templates::new(own) else { return };
    match document::compose(name, &data, &templates) {
        Ok(document) => {
            let page = html::write(&document, &HtmlOptions::default()).to_ascii_lowercase();
            assert!(!page.contains("<script") && !page.contains("=\"javascript:"), "it runs something");
        }
        Err(error) => drop(error.to_string()),
    }
}

/// A small book on disk.
fn small_book(folder: &Path) {
    for (path, text) in [
        ("book.toml", "[instrument.steel]\nresolution = \"1 mm\"\n"),
        (
            "machines/whin.md",
            "+++\nkind = \"machine\"\n+++\n\n```settings\nshock.rebound = \"12 clicks\"\n```\n",
        ),
        ("riders/tall.md", "+++\nkind = \"rider\"\n+++\n"),
        ("tracks/hill.md", "+++\nkind = \"track\"\n+++\n"),
        (
            "days/a.md",
            "+++\nkind = \"day\"\ndate = 2026-05-02\nmachine = \"whin\"\nrider = \"tall\"\ntrack = \"hill\"\n+++\n\n\
             ```sag rear\nhanging = \"612 mm\"\naboard = \"506 508 mm\"\n```\n",
        ),
    ] {
        let path = folder.join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
}

/// Stands for the address of the book's folder in a message.
pub const BOOK: &str = "$BOOK";

/// A conversation with the language server over a small book: each message with its header before it or, behind a `!`, as
/// written. Each request that was understood has one answer.
pub fn messages(bytes: &[u8]) {
    // Dropped with its thread.
    thread_local! {
        static FOLDER: TempDir = {
            let folder = TempDir::new().unwrap();
            small_book(folder.path());
            folder
        };
    }
    let address = FOLDER.with(|folder| format!("file://{}", folder.path().display()));
    let given = String::from_utf8_lossy(bytes).replace(BOOK, &address);
    let mut stream = Vec::new();
    for message in given.split(SEPARATOR).take(40) {
        match message.strip_prefix('!') {
            Some(raw) => stream.extend_from_slice(raw.as_bytes()),
            None => stream.extend(format!("Content-Length: {}\r\n\r\n{message}", message.len()).bytes()),
        }
    }
    let (mut stream, mut server) = (Cursor::new(stream), Server::new());
    let mut waiting = Vec::new();
    loop {
        let frame = read(&mut stream).unwrap();
        let is_end = frame == Frame::End;
        waiting.push(frame);
        // Some arrive together, as they do while the server is busy.
        if is_end || waiting.len() == 3 {
            let asked = waiting.iter().filter(|frame| is_request(frame)).count();
            let answers = server.take(std::mem::take(&mut waiting), ASKED_ON);
            let is_answer =
                |message: &&serde_json::Value| message.get("id").is_some() && message.get("method").is_none();
            let sent: Vec<serde_json::Value> =
                answers.iter().map(|message| serde_json::to_value(message).unwrap()).collect();
            assert!(sent.iter().filter(is_answer).count() >= asked, "a request has no answer");
        }
        if is_end || matches!(server.standing(), Standing::Left { .. }) {
            break;
        }
    }
}

fn is_request(frame: &Frame) -> bool {
    let Frame::Text(text) = frame else { return false };
    matches!(serde_json::from_str(text), Ok(Request { id: serde_json::Value::Number(id), method: Some(_), .. }) if id.as_i64().is_some_and(|id| i32::try_from(id).is_ok()))
}

/// As much of a message as shows that it is a request.
#[derive(serde::Deserialize)]
struct Request {
    id: serde_json::Value,
    method: Option<String>,
    #[serde(rename = "params")]
    _params: Option<serde_json::Value>,
}

fn git(folder: &Path, arguments: &[&str]) {
    let told = Command::new("git")
        .current_dir(folder)
        .args(["-c", "user.name=n", "-c", "user.email=e", "-c", "commit.gpgSign=false"])
        .args(arguments)
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .env("GIT_CONFIG_NOSYSTEM", "1")
        .output()
        .unwrap();
    assert!(told.status.success(), "{}", String::from_utf8_lossy(&told.stderr));
}

/// Every file below a folder that a command could have left there.
fn names_below(folder: &Path, names: &mut String) {
    let mut entries: Vec<PathBuf> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        let length = path.symlink_metadata().unwrap().len();
        let _ = writeln!(names, "{} {length}", path.display());
        if path.is_dir() {
            names_below(&path, names);
        }
    }
}

/// A revision, and a path behind the first `:`, as `compare` takes them: opened in a repository of three commits, which
/// must not change by a name or a byte.
pub fn revision(bytes: &[u8]) {
    thread_local! {
        static FOLDER: (TempDir, String) = {
            let folder = TempDir::new().unwrap();
            repository(folder.path());
            let mut before = String::new();
            names_below(folder.path(), &mut before);
            (folder, before)
        };
    }
    let Ok(given) = std::str::from_utf8(bytes) else { return };
    FOLDER.with(|(folder, before)| asked(folder.path(), given, before));
}

fn repository(folder: &Path) {
    small_book(folder);
    git(folder, &["init", "-q", "-b", "main"]);
    git(folder, &["add", "."]);
    git(folder, &["commit", "-q", "-m", "first"]);
    git(folder, &["tag", "spring"]);
    git(folder, &["mv", "days/a.md", "days/b.md"]);
    git(folder, &["commit", "-q", "-m", "moved"]);
    fs::write(folder.join("days/b.md"), "+++\nkind = \"day\"\ndate = 2026-05-02\n+++\n").unwrap();
    git(folder, &["commit", "-q", "-a", "-m", "changed"]);
}

fn asked(folder: &Path, given: &str, before: &str) {
    let (revision, path) = given.split_once(':').unwrap_or((given, "days/a.md"));
    if let Ok(store) = Revision::open(folder, revision) {
        let listing = store.list().unwrap();
        assert!(listing.files.iter().any(|listed| listed.path == "book.toml"), "each commit has the book");
        assert!(store.commit().len() >= 40);
    }
    if let Ok(repository) = Repository::around(folder) {
        for book in [BookFolder::Nearest, BookFolder::Here] {
            match repository.locate(revision, path, book) {
                Ok(located) => drop(located),
                Err(error) => drop(format!("{error:?}")),
            }
        }
    }
    let mut after = String::new();
    names_below(folder, &mut after);
    assert_eq!(after, before, "the repository is not what it was");
}

/// A notebook, and a text that came back from the track. What is new comes in, nothing is lost, and the same text again brings
/// nothing new. The patch turns the one into the other.
pub fn take(bytes: &[u8]) {
    let Ok(given) = std::str::from_utf8(bytes) else { return };
    let Some((notebook, sent)) = given.split_once(SEPARATOR) else { return };
    let read = message(sent);
    assert!(
        read.days.iter().flat_map(|day| day.chars()).all(|c| !c.is_control() || matches!(c, '\n' | '\t'))
    );
    for day in &read.days {
        let Ok(made) = merged(notebook, day) else { continue };
        let again = merged(&made.text, day).map(|again| (again.text, again.is_new));
        assert_eq!(again, Ok((made.text.clone(), false)), "the same text is new again");
        assert!(made.is_new || made.text == notebook, "nothing is new, and something is changed");
        let of_notebook = notebook.split_inclusive('\n').count();
        assert!(made.text.split_inclusive('\n').count() >= of_notebook, "a line is lost");
        assert_eq!(
            patched(notebook, &patch("days/a.md", notebook, &made.text)),
            made.text,
            "the patch makes another"
        );
    }
}

/// A text with a unified diff applied to it (POSIX.1-2024, `diff -u`).
fn patched(text: &str, patch: &str) -> String {
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let (mut made, mut at) = (String::new(), 0);
    let mut hunks = patch.split_inclusive('\n').skip(2).peekable();
    while let Some(line) = hunks.next() {
        let (mark, rest) = line.split_at(1);
        // The text behind the last line of a file with no line end.
        let rest = match hunks.peek() {
            Some(next) if next.starts_with('\\') => rest.strip_suffix('\n').unwrap_or(rest),
            _ => rest,
        };
        match mark {
            "@" => {
                let old = line
                    .split(' ')
                    .nth(1)
                    .and_then(|old| old.trim_start_matches('-').split(',').next())
                    .unwrap();
                let from: usize = old.parse().unwrap();
                let is_empty = line.split(' ').nth(1).is_some_and(|old| old.ends_with(",0"));
                let from = if is_empty { from } else { from - 1 };
                made.extend(lines[at..from].iter().copied());
                at = from;
            }
            " " | "-" => {
                assert_eq!(lines[at], rest, "the patch does not fit");
                at += 1;
                if mark == " " {
                    made.push_str(rest);
                }
            }
            "+" => made.push_str(rest),
            _ => {}
        }
    }
    made.extend(lines[at..].iter().copied());
    made
}
