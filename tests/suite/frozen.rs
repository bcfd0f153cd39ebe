//! The promise of `CHANGELOG.md`: what the first version read is still read, and what it wrote for programs keeps its
//! keys.
//!
//! `tests/frozen/1` holds the notebooks of that version, the shape of each JSON that it wrote of them, the columns of its tables,
//! and the values of its figures. It is not edited: a test that fails means that the promise is broken. `LOAMBOOK_FREEZE=1`
//! writes what is missing, and nothing else.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::desk::{Desk, code, copy, err, out};

const DATE: &str = "2026-11-29";
/// What the frozen book is asked, by the name of the file with its shape.
const ASKED: [(&str, &[&str]); 11] = [
    ("check", &["check", "--format", "json", "--on", DATE]),
    ("check-sarif", &["check", "--format", "sarif", "--on", DATE]),
    ("figures", &["figures", "days", "--format", "json"]),
    ("spring", &["spring", "days", "--format", "json"]),
    ("gearing", &["gearing", "days", "--format", "json"]),
    ("season", &["season", "--format", "json", "-o", "-", "--on", DATE]),
    ("compare", &["compare", "days/2026-04-11-senior.md", "days/2026-05-09-senior.md", "--format", "json"]),
    ("next", &["next", "days", "--format", "json"]),
    ("why", &["why", "geometry.trail", "days/2026-05-09-senior.md", "--format", "json"]),
    ("try", &["try", "fork.height = 2 mm down", "--or", "shock.preload = 1 turn in", "--format", "json"]),
    ("today", &["today", "--machine", "corrie-450", "--rider", "senior", "--format", "json"]),
];

fn frozen() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/frozen/1")
}

/// The frozen book, where commands may write beside it.
fn book(name: &str) -> Desk {
    let desk = Desk::empty();
    copy(&frozen().join(name), desk.folder.path());
    desk
}

/// Every place of a value with its type: `figures[].value: number`.
fn shape(value: &Value, place: &str, of: &mut BTreeSet<String>) {
    let kind = match value {
        // Null: another value of the same place gives its type.
        Value::Null => return,
        Value::Bool(_) => "truth",
        Value::Number(_) => "number",
        Value::String(_) => "text",
        Value::Array(items) => {
            items.iter().for_each(|item| shape(item, &format!("{place}[]"), of));
            "list"
        }
        Value::Object(keys) => {
            for (key, value) in keys {
                shape(value, &if place.is_empty() { key.clone() } else { format!("{place}.{key}") }, of);
            }
            "object"
        }
    };
    of.insert(format!("{place}: {kind}"));
}

/// What was frozen; written first where it is missing and `LOAMBOOK_FREEZE` asks for it.
fn kept(name: &str, now: impl Fn() -> String) -> String {
    let path = frozen().join(name);
    if !path.exists() && std::env::var_os("LOAMBOOK_FREEZE").is_some() {
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(&path, now()).unwrap();
    }
    fs::read_to_string(&path).unwrap_or_else(|_| panic!("{} is gone", path.display()))
}

fn lines(all: &BTreeSet<String>) -> String {
    all.iter().map(|line| format!("{line}\n")).collect()
}

#[test]
fn every_notebook_of_the_first_version_is_read_without_an_error() {
    for name in ["demo", "imperial"] {
        let desk = book(name);
        let told = desk.run(&["check", ".", "--format", "json", "--on", DATE]);
        let is_error = |line: &&str| line.contains("\"severity\":\"error\"");
        assert_eq!(out(&told).lines().find(is_error), None, "{name}: {}", err(&told));
        assert_eq!(code(&told), 0, "{name}");
        assert_eq!(code(&desk.run(&["sheet", ".", "-o", "sheets"])), 0, "{name}");
    }
}

#[test]
fn every_json_of_the_first_version_has_its_keys() {
    let desk = book("demo");
    for (name, arguments) in ASKED {
        let told = desk.run(arguments);
        assert_eq!(code(&told), 0, "{name}: {}", err(&told));
        let mut now = BTreeSet::new();
        for value in serde_json::Deserializer::from_str(out(&told)).into_iter::<Value>() {
            shape(&value.unwrap(), "", &mut now);
        }
        let then = kept(&format!("json/{name}.txt"), || lines(&now));
        let gone: Vec<&str> = then.lines().filter(|line| !now.contains(*line)).collect();
        assert_eq!(gone, Vec::<&str>::new(), "{name}: what programs read is gone, or of another type");
    }
}

#[test]
fn every_rule_of_the_first_version_is_known() {
    let told = Desk::empty().run(&["rule"]);
    let codes = |text: &str| -> BTreeSet<String> {
        let words = text.split_whitespace().filter(|word| word.contains('/') && !word.contains('.'));
        words.map(str::to_owned).collect()
    };
    let now = codes(out(&told));
    let then = codes(&kept("rules.txt", || lines(&now)));
    assert!(then.len() > 50 && then.is_subset(&now), "{:?}", then.difference(&now));
}

#[test]
fn every_table_of_the_first_version_has_its_columns_in_their_order() {
    let desk = book("demo");
    assert_eq!(code(&desk.run(&["export", "-o", "tables"])), 0);
    let now: Value = serde_json::from_str(&desk.read("tables/schema.json")).unwrap();
    let columns = |schema: &Value| -> BTreeMap<String, Vec<String>> {
        let of_table = |table: &Value| {
            let columns = table["columns"].as_array().unwrap().iter();
            let told = columns.map(|column| {
                format!("{} {} {} {}", column["name"], column["type"], column["unit"], column["unit_in"])
            });
            (table["name"].to_string(), told.collect())
        };
        schema["tables"].as_array().unwrap().iter().map(of_table).collect()
    };
    let then: Value = serde_json::from_str(&kept("tables.json", || now.to_string() + "\n")).unwrap();
    assert_eq!(now["schema"], then["schema"]);
    let (now, then) = (columns(&now), columns(&then));
    for (table, columns) in then {
        assert!(now.get(&table).is_some_and(|now| now.starts_with(&columns)), "{table}: {columns:?}");
    }
}

/// The rows of a table of the frozen book, cut down to some columns.
fn rows(desk: &Desk, table: &str, columns: &[&str]) -> Vec<String> {
    let mut reader = csv::Reader::from_path(desk.path(&format!("tables/{table}.csv"))).unwrap();
    let heads = reader.headers().unwrap().clone();
    let at: Vec<usize> =
        columns.iter().map(|column| heads.iter().position(|head| head == *column).unwrap()).collect();
    let told = |record: csv::StringRecord| {
        at.iter().map(|at| record[*at].to_owned()).collect::<Vec<_>>().join("|") + "\n"
    };
    reader.records().map(|record| told(record.unwrap())).collect()
}

/// What has no uncertainty and is another now, with the reason.
const OTHERWISE: [(&str, f64); 1] = [
    // Springs on hand are anchored on the sags that were read, which agree with the label of the spring on the machine.
    ("days/2026-04-18-junior.md|46|spring.front.best_rate|N/m", 3100.0),
];

/// The settings in force are the same. A figure may be worked out better, and must lie within its former
/// uncertainty.
#[test]
fn what_notebooks_of_the_first_version_say_means_the_same() {
    let desk = book("demo");
    assert_eq!(code(&desk.run(&["export", "-o", "tables"])), 0);
    let settings =
        rows(&desk, "settings", &["notebook", "setting", "value", "word", "unit", "set_in", "set_line"])
            .concat();
    assert!(kept("settings.txt", || settings.clone()) == settings, "{settings}");

    let figures = rows(&desk, "figures", &["notebook", "line", "figure", "unit", "value", "uncertainty"]);
    // Three days have all that machines have.
    let days = ["days/2026-04-18-junior.md", "days/2026-05-09-senior.md", "days/2026-05-23-veteran.md"];
    let is_kept = |row: &&String| days.iter().any(|day| row.starts_with(day)) && !row.contains("||");
    let then = kept("figures.txt", || figures.iter().filter(is_kept).cloned().collect());
    assert!(then.lines().count() > 300, "{}", then.lines().count());
    let split = |row: &str| {
        let words: Vec<&str> = row.trim_end().split('|').collect();
        let value = |at: usize| words[at].parse::<f64>().unwrap_or(f64::NAN);
        (words[..4].join("|"), value(4), value(5))
    };
    let now: BTreeMap<String, f64> =
        figures.iter().map(|row| split(row)).map(|(name, value, _)| (name, value)).collect();
    for (name, value, half) in then.lines().map(split) {
        let found = now.get(&name).copied().unwrap_or(f64::NAN);
        let value = OTHERWISE.iter().find(|(other, _)| *other == name).map_or(value, |(_, value)| *value);
        assert!(
            (found - value).abs() <= half.max(1e-9 * value.abs()),
            "{name}: {found} now, and {value} ± {half} then"
        );
    }
}
