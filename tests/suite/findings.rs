//! The annotated notebooks of `tests/findings/`.
//!
//! A page holds tests under second-level headings. The files of a book are in fences of four or more backticks
//! whose info is a path; those before the first test belong to every test of the page. A remark at the end of a
//! line, `# error: 11 [sag/reading-order]`, says that a finding of that severity and name begins in that
//! column. It is removed before the book is checked, so that it can be on any line. A finding without a remark
//! fails the test, and so does a remark without a finding. A line `Asked on 2026-05-01.` gives the date of
//! asking.
//!
//! A fence `snapshot` holds all of the test's findings as text. `LOAMBOOK_ACCEPT=1` rewrites them.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use jiff::civil::Date;
use loambook::advice;
use loambook::book::Book;
use loambook::finding::Finding;
use loambook::render::findings::{Look, text};
use loambook::session::{Compiled, Session};
use loambook::source::{Disk, FaultKind, Listing, Memory, ReadError, Sources, Store, limits};

const ACCEPT: &str = "LOAMBOOK_ACCEPT";

fn check(files: &BTreeMap<String, String>, on: Option<Date>) -> (Arc<Book>, Vec<Finding>) {
    let mut store = Memory::new();
    for (path, text) in files {
        store.set(path.clone(), text.clone());
    }
    let Compiled { book, findings, .. } = Session::over(&store).unwrap().compile(on);
    (book, findings)
}

/// Codes that no text can be written for: they are about bytes, names and folders, and each has a folder made for it
/// below. Photos are the exception: their faults are seen when a page is printed (`hostile::bounds`).
const NOT_OF_TEXT: [&str; 2] = [OF_FILES, "photo/"];
const OF_FILES: &str = "file/";

/// The lines of a finding about one place, in 80 columns.
const MOST_LINES: usize = 5;

#[test]
fn annotated_notebooks_have_the_findings_they_announce() {
    let is_accepting = std::env::var_os(ACCEPT).is_some();
    let mut failures = Vec::new();
    for path in pages() {
        let page = fs::read_to_string(&path).unwrap();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let (accepted, faults) = run(&page, is_accepting);
        failures.extend(faults.iter().map(|fault| format!("{name}: {fault}")));
        if is_accepting && accepted != page {
            fs::write(&path, accepted).unwrap();
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n\n"));
}

#[test]
fn every_code_has_a_case_with_a_snapshot() {
    let snapshots: String = pages()
        .iter()
        .flat_map(|path| cases(&fs::read_to_string(path).unwrap()).0)
        .filter_map(|case| case.snapshot.map(|snapshot| snapshot.text + "\n"))
        .collect();
    let without: Vec<&str> = advice::catalogue()
        .into_iter()
        .map(|code| code.name)
        .filter(|name| {
            !NOT_OF_TEXT.iter().any(|lead| name.starts_with(lead))
                && !snapshots.lines().any(|line| line.ends_with(&format!(" {name}")))
        })
        .collect();
    assert!(without.is_empty(), "no case in tests/findings/ shows {without:?}");
}

/// Makes a folder with one fault, and gives the file or folder at fault.
type Spoil = fn(&Path) -> &'static str;

/// A folder for every code about files, except one: [`Crowded`].
#[cfg(unix)]
const SPOILT: &[(&str, Spoil)] = &[
    ("file/not-utf-8", |book| {
        fs::write(book.join("notes.md"), b"sag \xb1 1 mm").unwrap();
        "notes.md"
    }),
    ("file/name-not-utf-8", |book| {
        use std::os::unix::ffi::OsStrExt;
        fs::write(book.join(std::ffi::OsStr::from_bytes(b"\xff.md")), "").unwrap();
        "\u{fffd}.md"
    }),
    ("file/name-has-controls", |book| {
        fs::write(book.join("a\nb.md"), "").unwrap();
        "a\nb.md"
    }),
    ("file/too-large", |book| {
        fs::File::create(book.join("film.md")).unwrap().set_len(limits::TEXT_BYTES + 1).unwrap();
        "film.md"
    }),
    ("file/folder-too-deep", |book| {
        fs::create_dir_all(book.join("d/".repeat(limits::DEPTH + 1))).unwrap();
        "d/"
    }),
    ("file/unreadable", |book| {
        std::os::unix::fs::symlink("nowhere.md", book.join("link.md")).unwrap();
        "link.md"
    }),
    ("file/another-book", |book| {
        fs::create_dir(book.join("loan")).unwrap();
        fs::write(book.join("loan/book.toml"), "").unwrap();
        "loan/book.toml"
    }),
    ("file/leads-out", |book| {
        std::os::unix::fs::symlink("..", book.join("parts")).unwrap();
        "parts"
    }),
];

#[cfg(unix)]
#[test]
fn every_code_about_files_has_a_folder_that_shows_it() {
    let found = |store: &dyn Store| -> Vec<(&'static str, String)> {
        let Compiled { book, findings, .. } = Session::over(store).unwrap().compile(None);
        let found = |finding: &Finding| (finding.code.name, book.sources.path(finding.span.file).to_owned());
        findings.iter().map(found).collect()
    };
    let mut shown = BTreeSet::new();
    for (name, spoil) in SPOILT.iter().copied() {
        let folder = temp_dir::TempDir::new().unwrap();
        let at = spoil(folder.path());
        let found = found(&Disk::new(folder.path()));
        assert!(
            matches!(found.as_slice(), [(code, path)] if *code == name && path.starts_with(at)),
            "{name}: {found:?}"
        );
        shown.insert(name);
    }
    for (name, path) in found(&Crowded) {
        assert_eq!(path, "one-too-many.md");
        shown.insert(name);
    }
    for (name, book) in FLOODED {
        let found = found(&book());
        assert!(found.iter().any(|(code, _)| *code == name), "{name}: {found:?}");
        shown.insert(name);
    }
    let all = advice::catalogue().into_iter().map(|code| code.name);
    assert_eq!(shown, all.filter(|name| name.starts_with(OF_FILES)).collect());
}

/// Makes a book that meets a limit.
type Flood = fn() -> Memory<'static>;

/// A book for every code that names a limit.
#[cfg(unix)]
const FLOODED: [(&str, Flood); 9] = [
    ("file/too-many-chambers", || {
        let chambers: String = (0..=limits::CHAMBERS).map(|at| format!("```chamber c{at}\n```\n")).collect();
        Memory::new().with("m.md", format!("+++\nkind = \"machine\"\n+++\n{chambers}"))
    }),
    ("file/too-many-notebooks", || {
        (0..=limits::NOTEBOOKS).fold(Memory::new(), |book, at| book.with(format!("{at:05}.md"), ""))
    }),
    ("file/book-too-large", || {
        let text = " ".repeat(usize::try_from(limits::TEXT_BYTES).unwrap());
        (0..=limits::BOOK_BYTES / limits::TEXT_BYTES)
            .fold(Memory::new(), |book, at| book.with(format!("{at}.md"), text.clone()))
    }),
    ("file/book-too-long", || {
        let text = "```\n```\n".repeat(limits::BOOK_BLOCKS / 2);
        (0..3).fold(Memory::new(), |book, at| book.with(format!("{at}.md"), text.clone()))
    }),
    ("file/too-many-blocks", || day(&"```hours\n```\n".repeat(limits::NOTEBOOK_BLOCKS + 1))),
    ("file/too-many-values", || {
        day(&format!("```checked\ndone = [{}]\n```\n", "\"a\",".repeat(limits::NOTEBOOK_VALUES)))
    }),
    ("file/more-findings", || day(&"`@nobody` ".repeat(limits::FILE_FINDINGS + 1))),
    ("file/too-many-rows", || {
        let rows = format!("lap\n{}", "100\n".repeat(limits::TABLE_ROWS + 1));
        day("```stint\nlaps = \"laps.csv\"\n```\n").with("laps.csv", rows)
    }),
    ("file/too-much-kept", || {
        let names: String = (0..2_000).map(|name| format!("\"a{name}\",")).collect();
        let hours = "```hours\nridden = \"1 h\"\n```\n".repeat(limits::KEPT / 2_000 + 1);
        day(&format!("```checked\ndone = [{names}]\n```\n{hours}"))
            .with("m.md", "+++\nkind = \"machine\"\n+++\n")
    }),
];

#[cfg(unix)]
fn day(body: &str) -> Memory<'static> {
    let head = "+++\nkind = \"day\"\ndate = 2026-05-02\nmachine = \"m\"\n+++\n";
    Memory::new().with("day.md", format!("{head}{body}"))
}

/// A folder with more files than are made for a test.
#[cfg(unix)]
struct Crowded;

#[cfg(unix)]
impl Store for Crowded {
    fn list(&self) -> Result<Listing, ReadError> {
        let problem = ("one-too-many.md".to_owned(), FaultKind::TooMany { limit: limits::FILES });
        Ok(Listing { problems: vec![problem], ..Listing::default() })
    }

    fn read(&self, _: &str, _: u64) -> Result<Vec<u8>, ReadError> {
        Err(ReadError::Missing)
    }
}

#[test]
fn a_page_that_is_wrong_fails() {
    let page = |line: &str, rest: &str| {
        format!(
            "# Page\n\n## Case\n\n````a.md\n+++\nkind = \"rider\"\n+++\n\n```rider\n{line}\n```\n````\n{rest}"
        )
    };
    let faults = |line: &str, rest: &str| run(&page(line, rest), false).1.len();
    assert_eq!(faults("mass = 66 kg # error: 8 [toml/unquoted]", ""), 0);
    assert_eq!(faults("mass = 66 kg", ""), 1);
    assert_eq!(faults("mass = \"66 kg\" # error: 8 [toml/unquoted]", ""), 1);
    assert_eq!(faults("mass = 66 kg # error: 9 [toml/unquoted]", ""), 2);
    assert_eq!(faults("mass = 66 kg # warning: 8 [toml/unquoted]", ""), 2);
    assert_eq!(faults("mass = 66 kg # error: 8 [toml/syntax]", ""), 2);
    assert_eq!(faults("mass = \"66 kg\" # error: five [toml/syntax]", ""), 1);
    assert_eq!(faults("mass = \"66 kg\"", "\n```snapshot\nnot this\n```\n"), 1);
    assert_eq!(run("# Page\n\nNo test.\n", false).1.len(), 1);
}

/// The books of all cases, each with its name and the date of asking.
pub fn books() -> Vec<(String, BTreeMap<String, String>, Option<Date>)> {
    let texts = pages().into_iter().map(|path| fs::read_to_string(path).unwrap());
    let all = texts.flat_map(|page| cases(&page).0);
    all.map(|case| (case.name, case.files, case.on)).collect()
}

fn pages() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/findings");
    let mut pages: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "md"))
        .collect();
    pages.sort();
    assert!(!pages.is_empty());
    pages
}

#[derive(Debug, Clone, Default)]
struct Case {
    name: String,
    files: BTreeMap<String, String>,
    announced: BTreeSet<Announced>,
    on: Option<Date>,
    snapshot: Option<Snapshot>,
}

#[derive(Debug, Clone)]
struct Snapshot {
    /// Lines of the page between the fences, counted from 0.
    lines: std::ops::Range<usize>,
    text: String,
}

/// A finding, as far as a remark gives it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Announced {
    file: String,
    line: u32,
    column: u32,
    severity: String,
    code: String,
}

/// Runs the cases of a page. Gives the page with the snapshots as they are, and what went wrong.
fn run(page: &str, is_accepting: bool) -> (String, Vec<String>) {
    let (cases, mut faults) = cases(page);
    if cases.is_empty() {
        faults.push("there is no test here".to_owned());
    }
    let mut lines: Vec<String> = page.lines().map(str::to_owned).collect();
    // From the end, so that the lines before keep their numbers.
    for case in cases.iter().rev() {
        let (book, findings) = check(&case.files, case.on);
        let sources = &book.sources;
        for finding in findings.iter().filter(|finding| finding.labels.is_empty()) {
            let lines = text(std::slice::from_ref(finding), sources, Look::default());
            if lines.lines().count() > MOST_LINES {
                faults.push(format!("{}: too long to be read in the cold:\n{lines}", case.name));
            }
        }
        let found: BTreeSet<Announced> = findings.iter().map(|finding| announced(finding, sources)).collect();
        for missing in case.announced.difference(&found) {
            faults.push(format!("{}: announced and not found: {}", case.name, missing.show()));
        }
        for extra in found.difference(&case.announced) {
            let headline = findings
                .iter()
                .find(|finding| announced(finding, sources) == *extra)
                .map_or_else(String::new, |finding| finding.headline.to_string());
            faults.push(format!("{}: found and not announced: {}: {headline}", case.name, extra.show()));
        }
        if let Some(snapshot) = &case.snapshot {
            let rendered = text(&findings, sources, Look::default());
            let rendered = rendered.trim_end();
            if rendered != snapshot.text.trim_end() {
                if !is_accepting {
                    faults.push(format!("{}: the snapshot differs; it is now\n{rendered}", case.name));
                }
                lines.splice(snapshot.lines.clone(), rendered.lines().map(str::to_owned));
            }
        }
    }
    (lines.join("\n") + "\n", faults)
}

fn announced(finding: &Finding, sources: &Sources) -> Announced {
    let start = sources.start(finding.span);
    Announced {
        file: sources.path(finding.span.file).to_owned(),
        line: start.line,
        column: start.column,
        severity: format!("{:?}", finding.severity).to_lowercase(),
        code: finding.code.name.to_owned(),
    }
}

impl Announced {
    fn show(&self) -> String {
        format!("{}:{}: # {}: {} [{}]", self.file, self.line, self.severity, self.column, self.code)
    }
}

/// The cases of a page, and what is wrong with the page itself.
fn cases(page: &str) -> (Vec<Case>, Vec<String>) {
    let mut shared = Case::default();
    let mut cases: Vec<Case> = Vec::new();
    let mut faults = Vec::new();
    let lines: Vec<&str> = page.lines().collect();
    let mut at = 0;
    while let Some(line) = lines.get(at) {
        at += 1;
        if let Some(name) = line.strip_prefix("## ") {
            cases.push(Case { name: name.to_owned(), ..shared.clone() });
            continue;
        }
        let case = cases.last_mut().unwrap_or(&mut shared);
        if let Some(date) = line.strip_prefix("Asked on ").and_then(|rest| rest.strip_suffix('.')) {
            case.on = Some(date.parse().unwrap());
        }
        let info = line.trim_start_matches('`');
        let fence = &line[..line.len() - info.len()];
        if fence.len() < 3 {
            continue;
        }
        let Some(length) = lines[at..].iter().position(|line| *line == fence) else {
            faults.push(format!("{}: a fence is not closed", case.name));
            break;
        };
        let body = at..at + length;
        at = body.end + 1;
        if fence.len() > 3 && !info.is_empty() {
            let (text, announced) = strip(info, &lines[body], &case.name, &mut faults);
            case.files.insert(info.to_owned(), text);
            case.announced.retain(|announced| announced.file != info);
            case.announced.extend(announced);
        } else if info == "snapshot" {
            case.snapshot = Some(Snapshot { text: lines[body.clone()].join("\n"), lines: body });
        }
    }
    (cases, faults)
}

/// Takes the remarks out of a file.
fn strip(path: &str, lines: &[&str], case: &str, faults: &mut Vec<String>) -> (String, Vec<Announced>) {
    let mut text = String::new();
    let mut all = Vec::new();
    for (number, line) in (1..).zip(lines) {
        let marks = ["# error: ", "# warning: ", "# note: "];
        let Some(start) = marks.iter().filter_map(|mark| line.find(mark)).min() else {
            text.push_str(line);
            text.push('\n');
            continue;
        };
        text.push_str(line[..start].trim_end());
        text.push('\n');
        for remark in line[start..].split("# ").filter(|remark| !remark.is_empty()) {
            match read(remark, path, number) {
                Some(announced) => all.push(announced),
                None => faults.push(format!("{case}: {path}:{number}: cannot read the remark `{remark}`")),
            }
        }
    }
    (text, all)
}

/// Reads `error: 11 [sag/reading-order]`.
fn read(remark: &str, path: &str, line: u32) -> Option<Announced> {
    let (severity, rest) = remark.trim().split_once(": ")?;
    let (column, code) = rest.split_once(" [")?;
    Some(Announced {
        file: path.to_owned(),
        line,
        column: column.parse().ok()?,
        severity: severity.to_owned(),
        code: code.strip_suffix(']')?.to_owned(),
    })
}
