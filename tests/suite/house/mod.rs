//! The laws of the house that a compiler does not check. Each is a function over source files, and a test shows that it
//! fails on a file that breaks it.

mod code;

use loambook::vocabulary;

use code::SourceFile;

/// The rooms from the top down: each knows only those above it.
const ROOMS: [&str; 19] = [
    "source",
    "speech",
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
    "session",
    "pages",
    "document",
    "render",
    "pocket",
    "editor",
    "cli",
];

/// The laws that no file may break.
fn assert_kept(law: impl Fn(&SourceFile) -> Vec<String>) {
    let broken: Vec<String> = code::all().iter().flat_map(law).collect();
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

/// What each of these files breaks by itself.
fn assert_broken(law: impl Fn(&SourceFile) -> Vec<String>, files: &[(&str, &str)]) {
    for (path, text) in files {
        assert!(!law(&code::read(path, text)).is_empty(), "{path} keeps the law: {text}");
    }
}

/// The rooms that a file names, each once.
fn rooms_named(file: &SourceFile) -> Vec<&'static str> {
    let names = |room: &str| {
        file.paths
            .iter()
            .any(|path| matches!(path.as_slice(), [top, second, ..] if top == "crate" && second == room))
    };
    ROOMS.into_iter().filter(|room| names(room)).collect()
}

/// Whether a file names a path that begins with this: `std::fs` is named by `std::fs::read` too.
fn names(file: &SourceFile, beginning: &str) -> bool {
    let beginning: Vec<&str> = beginning.split("::").collect();
    file.paths.iter().any(|path| {
        path.len() >= beginning.len() && path.iter().zip(&beginning).all(|(part, wanted)| part == wanted)
    })
}

fn knows_only_rooms_above(file: &SourceFile) -> Vec<String> {
    let Some(depth) = ROOMS.iter().position(|room| *room == file.room) else { return Vec::new() };
    let below = rooms_named(file).into_iter().filter(|named| ROOMS[depth + 1..].contains(named));
    below.map(|named| format!("{} uses {named}, which is below {}", file.path, file.room)).collect()
}

#[test]
fn each_room_knows_only_those_above_it() {
    assert_kept(knows_only_rooms_above);
    let rooms: Vec<String> = code::all().iter().map(|file| file.room.clone()).collect();
    for room in ROOMS {
        assert!(rooms.iter().any(|found| found == room), "the room {room} is empty");
    }
    for room in rooms.iter().filter(|room| !["lib", "main", "shown"].contains(&room.as_str())) {
        assert!(ROOMS.contains(&room.as_str()), "{room} is no room of the house");
    }
}

#[test]
fn a_file_that_looks_down_is_found() {
    assert_broken(
        knows_only_rooms_above,
        &[
            ("book/a.rs", "use crate::season::State;"),
            ("book/a.rs", "use crate::{source, season};"),
            ("book/a.rs", "use crate::{source::{Span}, season as years};"),
            ("book/a.rs", "use super::super::season::State;"),
            ("book/deep/a.rs", "fn f() { super::super::super::cli::run() }"),
            ("book/a.rs", "fn f() { let x: Vec<crate::pages::Page> = Vec::new(); }"),
            ("book/a.rs", "fn f() { write!(out, \"{}\", crate::render::text()); }"),
            ("book/a.rs", "#[cfg(test)] mod tests {} fn f() { crate::cli::run() }"),
        ],
    );
    let kept = code::read("book/a.rs", "#[cfg(test)] mod tests { use crate::season::State; }");
    assert!(knows_only_rooms_above(&kept).is_empty(), "a test may look anywhere");
}

fn physics_is_alone(file: &SourceFile) -> Vec<String> {
    let others = rooms_named(file).into_iter().filter(|room| *room != "physics");
    let of_physics = others.filter(|_| file.room == "physics");
    of_physics.map(|other| format!("{} uses {other}", file.path)).collect()
}

#[test]
fn physics_knows_no_other_room() {
    assert_kept(physics_is_alone);
    assert_broken(physics_is_alone, &[("physics/a.rs", "use crate::{quantity::Unit};")]);
}

/// What opens, lists, looks for or writes files.
const FILES: [&str; 1] = ["std::fs"];
/// The same as methods of a path.
const FILE_METHODS: [&str; 11] = [
    "canonicalize",
    "metadata",
    "symlink_metadata",
    "read_dir",
    "read_link",
    "exists",
    "try_exists",
    "is_file",
    "is_dir",
    "is_symlink",
    "set_permissions",
];

/// The parts of the program that may touch files. Add one here with its reason.
const MAY_TOUCH_FILES: [&str; 3] = [
    // This reads the time zone.
    "cli/clock.rs",
    // These read files.
    "source/",
    // These write files.
    "cli/output/",
];

fn touches_no_file(file: &SourceFile) -> Vec<String> {
    if MAY_TOUCH_FILES.iter().any(|may| file.path.starts_with(may)) {
        return Vec::new();
    }
    let named = FILES.iter().filter(|path| names(file, path)).map(|path| (*path).to_owned());
    let called = FILE_METHODS.iter().filter(|method| file.methods.iter().any(|called| called == *method));
    let all = named.chain(called.map(|method| format!(".{method}()")));
    all.map(|what| format!("{} touches files: {what}", file.path)).collect()
}

#[test]
fn only_source_reads_files_and_only_output_writes_them() {
    assert_kept(touches_no_file);
    assert_broken(
        touches_no_file,
        &[
            ("figures/a.rs", "use std::fs;"),
            ("figures/a.rs", "use std::{fs as disk, io};"),
            ("figures/a.rs", "fn f() { std::fs::read(\"x\"); }"),
            ("figures/a.rs", "use std::fs::File; fn f() { File::open(\"x\"); }"),
            ("cli/check.rs", "fn f(path: &Path) -> bool { path.exists() }"),
        ],
    );
}

/// The calls that give the time.
const CLOCKS: [&str; 6] = [
    "std::time::SystemTime",
    "std::time::Instant",
    "jiff::Zoned::now",
    "jiff::ZonedDateTime::now",
    "jiff::Timestamp::now",
    "jiff::tz::TimeZone::system",
];

fn asks_no_clock(file: &SourceFile) -> Vec<String> {
    let asked = CLOCKS.iter().filter(|clock| file.path != "cli/clock.rs" && names(file, clock));
    asked.map(|clock| format!("{} asks the clock: {clock}", file.path)).collect()
}

#[test]
fn only_one_file_asks_the_clock() {
    assert_kept(asks_no_clock);
    let clock = code::all().iter().find(|file| file.path == "cli/clock.rs").unwrap();
    assert!(
        CLOCKS.iter().any(|name| names(clock, name)),
        "the clock goes by a name that this law does not know"
    );
    assert_broken(
        asks_no_clock,
        &[
            ("cli/due.rs", "use jiff::ZonedDateTime; fn f() { ZonedDateTime::now(); }"),
            ("season/a.rs", "fn f() { std::time::SystemTime::now(); }"),
            ("season/a.rs", "use std::time::{Duration, Instant};"),
        ],
    );
}

/// The one file that listens.
const MAY_LISTEN: &str = "cli/watch/listen.rs";
/// What it listens with: one address, and nothing that connects out.
const LISTENS_WITH: [&str; 7] = [
    "std::net::TcpListener",
    "std::net::TcpListener::bind",
    "std::net::TcpStream",
    "std::net::Ipv4Addr",
    "std::net::Ipv4Addr::LOCALHOST",
    "std::net::Shutdown",
    "std::net::Shutdown::Write",
];

fn reaches_no_network(file: &SourceFile) -> Vec<String> {
    let is_allowed =
        |path: &[String]| file.path == MAY_LISTEN && LISTENS_WITH.iter().any(|may| path.join("::") == *may);
    let reaching = file.paths.iter().filter(|path| {
        matches!(path.as_slice(), [top, second, ..] if top == "std" && second == "net") && !is_allowed(path)
    });
    reaching.map(|path| format!("{} reaches for the network: {}", file.path, path.join("::"))).collect()
}

#[test]
fn only_one_file_listens_and_nothing_connects() {
    assert_kept(reaches_no_network);
    let listens = code::all().iter().find(|file| file.path == MAY_LISTEN).unwrap();
    for with in LISTENS_WITH {
        assert!(names(listens, with), "it does not listen with {with} any more");
    }
    assert_broken(
        reaches_no_network,
        &[
            ("cli/a.rs", "use std::{io, net::TcpListener};"),
            ("cli/watch/mod.rs", "use std::net::Ipv4Addr;"),
            ("cli/a.rs", "fn f() { std::net::TcpStream::connect(x); }"),
            (MAY_LISTEN, "fn f() { std::net::TcpStream::connect(x); }"),
            (MAY_LISTEN, "use std::net::UdpSocket;"),
            (MAY_LISTEN, "use std::net::Ipv4Addr; fn f() -> Ipv4Addr { Ipv4Addr::UNSPECIFIED }"),
        ],
    );
}

/// The one file that runs another program.
const MAY_RUN_PROGRAMS: &str = "source/store/git.rs";

fn runs_no_program(file: &SourceFile) -> Vec<String> {
    let runs = file.path != MAY_RUN_PROGRAMS && names(file, "std::process::Command");
    runs.then(|| format!("{} runs a program", file.path)).into_iter().collect()
}

#[test]
fn only_one_file_starts_another_program() {
    assert_kept(runs_no_program);
    assert_broken(
        runs_no_program,
        &[
            ("cli/a.rs", "use std::process::{Command, ExitCode};"),
            ("cli/a.rs", "use std::process; fn f() { process::Command::new(\"x\"); }"),
        ],
    );
}

fn spells_no_name(file: &SourceFile, known: &[String]) -> Vec<String> {
    let spelt = known.iter().filter(|name| file.room != "vocabulary" && file.strings.contains(name));
    spelt.map(|name| format!("{} spells {name}", file.path)).collect()
}

#[test]
fn names_are_spelt_in_the_vocabulary_alone() {
    let known: Vec<String> =
        vocabulary::every_name().iter().filter(|name| name.contains('.')).cloned().collect();
    assert_kept(|file| spells_no_name(file, &known));
    assert_broken(
        |file| spells_no_name(file, &known),
        &[
            ("figures/a.rs", "fn f() { bench.figure(\"geometry.trail\"); }"),
            ("figures/a.rs", "fn f() { format!(\"{}\", \"geometry.trail\"); }"),
        ],
    );
}

/// The ways into the four rooms that a session brings together.
const ASSEMBLED: [&str; 6] = [
    "crate::book::load",
    "crate::season::replay",
    "crate::checks::check",
    "crate::checks::check_recording",
    "crate::advice::of_book",
    "crate::advice::check",
];

fn assembles_nothing(file: &SourceFile) -> Vec<String> {
    if file.room == "session" {
        return Vec::new();
    }
    let is_of_room = |way: &str| way.strip_prefix("crate::").is_some_and(|way| way.starts_with(&file.room));
    let ways = ASSEMBLED.iter().filter(|way| !is_of_room(way) && names(file, way));
    ways.map(|way| format!("{} goes past the session: {way}", file.path)).collect()
}

#[test]
fn nothing_assembles_load_replay_checks_and_advice_but_the_session() {
    assert_kept(assembles_nothing);
    let session: Vec<&SourceFile> = code::all().iter().filter(|file| file.room == "session").collect();
    for way in ASSEMBLED.iter().filter(|way| !way.ends_with("_recording")) {
        assert!(session.iter().any(|file| names(file, way)), "the session goes another way than {way}");
    }
    assert_broken(
        assembles_nothing,
        &[
            ("cli/a.rs", "use crate::book; fn f() { book::load(&listing, &store); }"),
            ("cli/a.rs", "use crate::season::{Season, replay};"),
            ("cli/a.rs", "use crate::{advice, checks}; fn f() { checks::check(&book, &season, None); }"),
            ("pages/a.rs", "fn f() { crate::season::replay(&book); }"),
            ("advice/a.rs", "use super::super::checks::check;"),
            ("advice/a.rs", "use crate::season; fn f() { season::replay(&book); }"),
        ],
    );
    let own = code::read("season/a.rs", "use super::replay; fn f() { replay::replay(&book); }");
    assert!(assembles_nothing(&own).is_empty(), "a room may go its own ways");
}
