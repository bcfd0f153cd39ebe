//! Books from strangers, and systems that fail: what must not be run, read, written or lost. Each forbidden act leaves a
//! trace that the tests look for.

#![cfg(unix)]

mod bounds;
mod faults;
mod git;
mod links;
mod names;
mod output;
mod small;
mod take;
mod text;

use std::fs;
use std::path::{Path, PathBuf};

use crate::desk::Desk;

const DAY: &str = "days/2026-05-09.md";

/// A small book in a folder of the desk.
fn write_book(desk: &Desk, folder: &str) {
    let write = |path: &str, text: &str| desk.write(&format!("{folder}/{path}"), text);
    write("book.toml", "title = \"A stranger's\"\n");
    write("machines/brae.md", "+++\nkind = \"machine\"\n+++\n\n```settings\nfork.height = \"4 mm\"\n```\n");
    write("riders/wren.md", "+++\nkind = \"rider\"\n+++\n\n```rider\nmass = \"71 kg\"\n```\n");
    write("tracks/pit.md", "+++\nkind = \"track\"\n+++\n\n```track\nelevation = \"300 m\"\n```\n");
    write(DAY, &day("2026-05-09", 3));
    write("days/2026-05-10.md", &day("2026-05-10", 5));
}

fn day(date: &str, height: u32) -> String {
    format!(
        "+++\nkind = \"day\"\ndate = {date}\nmachine = \"brae\"\nrider = \"wren\"\ntrack = \"pit\"\n+++\n\n\
         ```change\nfork.height = \"{height} mm\"\nbecause = \"to try it\"\n```\n"
    )
}

/// A folder where every program that runs writes its name.
struct Canaries(temp_dir::TempDir);

impl Canaries {
    fn new() -> Self {
        let canaries = Self(temp_dir::TempDir::new().unwrap());
        fs::create_dir(canaries.0.path().join("sung")).unwrap();
        canaries
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    /// A program that writes its name there when it is run.
    fn program(&self, name: &str) -> String {
        let path = self.path(name);
        let sung = self.path("sung").join(name);
        fs::write(&path, format!("#!/bin/sh\n: > '{}'\nexit 1\n", sung.display())).unwrap();
        make_executable(&path);
        path.to_str().unwrap().to_owned()
    }

    /// The programs that were run.
    fn sung(&self) -> Vec<String> {
        crate::desk::file_names(&self.path("sung"))
    }
}

fn make_executable(path: &Path) {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(path, fs::Permissions::from_mode(0o755)).unwrap();
}
