//! A book in a folder of its own, and the program run in it as its users run it.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use loambook::document::{self, Templates};
use loambook::render::terminal::{self, TextOptions};
use serde_json::Value;
use temp_dir::TempDir;

/// The program that all this is about.
pub const PROGRAM: &str = env!("CARGO_BIN_EXE_loambook");

pub fn program() -> Command {
    Command::new(PROGRAM)
}

pub struct Desk {
    pub folder: TempDir,
}

impl Desk {
    pub fn empty() -> Self {
        Self { folder: temp_dir::TempDir::new().unwrap() }
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
        program().current_dir(self.path(folder)).args(arguments).output().unwrap()
    }

    pub fn run_with_input(&self, arguments: &[&str], input: impl AsRef<[u8]>) -> Output {
        let mut command = program();
        command.current_dir(self.path("")).args(arguments);
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().unwrap();
        let (mut to, input) = (child.stdin.take().unwrap(), input.as_ref().to_vec());
        // It may write before it has read everything, or leave.
        let giver = std::thread::spawn(move || drop(to.write_all(&input)));
        let output = child.wait_with_output().unwrap();
        giver.join().unwrap();
        output
    }

    /// A command's output with `--format json`: one object.
    pub fn json(&self, arguments: &[&str]) -> Value {
        let arguments: Vec<&str> = arguments.iter().copied().chain(["--format", "json"]).collect();
        let output = self.run(&arguments);
        assert_eq!(code(&output), 0, "{arguments:?}: {}{}", out(&output), err(&output));
        exact(out(&output))
    }
}

/// JSON with its numbers as they are written: `serde_json` may read another last digit, unless it is built otherwise than it
/// is for the program.
pub fn exact(json: &str) -> Value {
    const MARK: &str = "\u{1}";
    let mut marked = String::new();
    // Every other part is inside quotes; a quote in a text has an odd number of backslashes before it.
    let (mut is_text, mut rest) = (false, json);
    while !rest.is_empty() {
        let quote = rest
            .match_indices('"')
            .map(|(at, _)| at)
            .find(|at| !is_text || (at - rest[..*at].trim_end_matches('\\').len()).is_multiple_of(2));
        let (part, behind) = rest.split_at(quote.map_or(rest.len(), |at| at + 1));
        if is_text {
            marked.push_str(part);
        } else {
            for token in part.split_inclusive([',', ':', '[', ']', '{', '}', ' ', '\n']) {
                let number = token.trim_end_matches([',', ']', '}', ' ', '\n']);
                if number.contains(['.', 'e']) && number.parse::<f64>().is_ok() {
                    marked.push_str(&format!("\"\\u0001{number}\"{}", &token[number.len()..]));
                } else {
                    marked.push_str(token);
                }
            }
        }
        (is_text, rest) = (quote.is_some() != is_text, behind);
    }
    fn read(value: &mut Value) {
        match value {
            Value::String(text) => {
                if let Some(number) = text.strip_prefix(MARK) {
                    *value = number.parse::<f64>().unwrap().into();
                }
            }
            Value::Array(items) => items.iter_mut().for_each(read),
            Value::Object(entries) => entries.values_mut().for_each(read),
            _ => {}
        }
    }
    let mut value = serde_json::from_str(&marked).unwrap();
    read(&mut value);
    value
}

#[test]
fn numbers_are_read_as_they_are_written() {
    let json =
        "{\"a\\\\\": [-0.0012140864923682049, 3, 1e-7, 0.1,\n\"1.5, \\\"2.5\"], \"b.c\": {\"d\": 2.5e300}}";
    let numbers = [-0.001_214_086_492_368_204_9, 1e-7, 0.1, 2.5e300];
    let told = exact(json);
    let list = &told["a\\"];
    let read = [&list[0], &list[2], &list[3], &told["b.c"]["d"]].map(|it| it.as_f64().unwrap().to_bits());
    assert_eq!(read, numbers.map(f64::to_bits));
    assert_eq!((&list[1], &list[4]), (&Value::from(3), &Value::from("1.5, \"2.5")));
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
