//! A book in a folder of its own, and the program run in it as its users run it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use assert_cmd::Command;
use loambook::document::{self, Templates};
use loambook::render::terminal::{self, TextOptions};
use serde_json::Value;
use tempfile::TempDir;

pub struct Desk {
    pub folder: TempDir,
}

impl Desk {
    pub fn empty() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    pub fn path(&self, path: &str) -> PathBuf {
        self.folder.path().join(path)
    }

    pub fn write(&self, path: &str, text: &str) {
        let path = self.path(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }

    pub fn read(&self, path: &str) -> String {
        fs::read_to_string(self.path(path)).unwrap()
    }

    pub fn run(&self, arguments: &[&str]) -> Output {
        self.run_in("", arguments)
    }

    pub fn run_in(&self, folder: &str, arguments: &[&str]) -> Output {
        let mut command = Command::cargo_bin("loambook").unwrap();
        command.current_dir(self.path(folder)).args(arguments).output().unwrap()
    }

    pub fn run_with_input(&self, arguments: &[&str], input: &str) -> Output {
        let mut command = Command::cargo_bin("loambook").unwrap();
        command.current_dir(self.path("")).args(arguments).write_stdin(input).output().unwrap()
    }

    /// A command's output with `--format json`: one object.
    pub fn json(&self, arguments: &[&str]) -> Value {
        let arguments: Vec<&str> = arguments.iter().copied().chain(["--format", "json"]).collect();
        let output = self.run(&arguments);
        assert_eq!(code(&output), 0, "{arguments:?}: {}{}", out(&output), err(&output));
        serde_json::from_str(out(&output)).unwrap()
    }
}

/// A folder with all its files.
pub fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap().map(Result::unwrap) {
        let to = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &to);
        } else {
            fs::copy(entry.path(), to).unwrap();
        }
    }
}

/// A page without the marks that keep its dates whole.
pub fn unmarked(html: &str) -> String {
    let mut parts = html.split("<span class=\"word\">");
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |all, part| all + &part.replacen("</span>", "", 1))
}

/// What a browser shows of a page, as text.
pub fn shown(html: &str) -> String {
    let html = unmarked(html);
    let body = html.split_once("<body>").map_or(html.as_str(), |(_, body)| body);
    let mut text = String::new();
    let mut is_markup = false;
    for letter in body.chars() {
        match letter {
            '<' => is_markup = true,
            '>' => {
                is_markup = false;
                text.push(' ');
            }
            letter if !is_markup => text.push(letter),
            _ => {}
        }
    }
    let named = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&amp;", "&")];
    named.iter().fold(text.replace('\u{a0}', " "), |text, (name, letter)| text.replace(name, letter))
}

pub fn out(output: &Output) -> &str {
    std::str::from_utf8(&output.stdout).unwrap()
}

pub fn err(output: &Output) -> &str {
    std::str::from_utf8(&output.stderr).unwrap()
}

pub fn code(output: &Output) -> i32 {
    output.status.code().unwrap()
}

pub fn file_names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

/// A page through its template, as a terminal shows it.
pub fn told(template: &str, page: &impl serde::Serialize) -> String {
    let document = document::compose(template, page, &Templates::new([]).unwrap()).unwrap();
    terminal::write(&document, TextOptions::default())
}
