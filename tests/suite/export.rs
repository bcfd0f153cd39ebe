//! `loambook export`: the tables have what `figures --format json`, `state` and the notebooks have.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::desk::{Desk, code, err, exact, file_names, out, program};

type Row = BTreeMap<String, String>;

const TABLES: [&str; 7] = ["changes", "feels", "figures", "laps", "readings", "settings", "stints"];

fn demo(arguments: &[&str]) -> std::process::Output {
    let book = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("notebooks");
    program().current_dir(book).args(arguments).output().unwrap()
}

fn table(folder: &Path, name: &str) -> Vec<Row> {
    let mut reader = csv::Reader::from_path(folder.join(format!("{name}.csv"))).unwrap();
    let heads: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let records = reader.records().map(|record| record.unwrap());
    records.map(|record| heads.iter().cloned().zip(record.iter().map(str::to_owned)).collect()).collect()
}

/// The demo book's tables in a folder.
fn exported() -> temp_dir::TempDir {
    let folder = temp_dir::TempDir::new().unwrap();
    let output = demo(&["export", "-o", folder.path().to_str().unwrap()]);
    assert_eq!((code(&output), err(&output)), (0, ""));
    folder
}

/// A number as a cell has it, with all its digits.
fn cell(number: &Value) -> String {
    number.as_f64().map(|number| number.to_string()).unwrap_or_default()
}

#[test]
fn the_figures_are_those_of_the_figures_json_to_the_last_digit() {
    let folder = exported();
    let told = demo(&["figures", "days", "--format", "json"]);
    let words = |list: &Value| {
        let all = list.as_array().unwrap().iter().map(|it| it.as_str().unwrap());
        all.collect::<Vec<_>>().join("; ")
    };
    let mut wanted: Vec<Vec<String>> = Vec::new();
    for line in out(&told).lines() {
        let page: Value = exact(line);
        for it in page["figures"].as_array().unwrap() {
            wanted.push(vec![
                page["notebook"].as_str().unwrap().to_owned(),
                it["at"]["line"].to_string(),
                it["id"].as_str().unwrap().to_owned(),
                cell(&it["value"]),
                it["unit"].as_str().unwrap().to_owned(),
                cell(&it["expanded"]),
                words(&it["missing"]),
            ]);
        }
    }
    let columns = ["notebook", "line", "figure", "value", "unit", "uncertainty", "missing"];
    let rows = table(folder.path(), "figures");
    let found: Vec<Vec<String>> =
        rows.iter().map(|row| columns.iter().map(|column| row[*column].clone()).collect()).collect();
    assert!(wanted.len() > 1_000, "{}", wanted.len());
    assert!(found == wanted, "{} rows, {} wanted", found.len(), wanted.len());
    assert!(rows.iter().all(|row| row["book"] == "notebooks" && !row["machine"].is_empty()));
}

#[test]
fn the_settings_are_those_in_force_by_state() {
    let folder = exported();
    let rows = table(folder.path(), "settings");
    let told = demo(&["state", "days", "--format", "json"]);
    let mut wanted = Vec::new();
    for page in serde_json::Deserializer::from_str(out(&told)).into_iter::<Value>() {
        let page = page.unwrap();
        let notebook = page["notebook"].as_str().unwrap();
        for setting in page["settings"].as_array().unwrap() {
            let text = |value: &Value| value.as_str().map_or_else(|| value.to_string(), str::to_owned);
            let (id, at) = (text(&setting["id"]), &setting["at"]);
            // Clicks are shown as they are stored.
            if let Some(clicks) = text(&setting["value"]).strip_suffix(" clicks") {
                let row = rows.iter().find(|row| row["notebook"] == notebook && row["setting"] == id);
                assert_eq!(
                    (row.unwrap()["value"].as_str(), row.unwrap()["unit"].as_str()),
                    (clicks, "click")
                );
            }
            wanted.push([
                notebook.to_owned(),
                id,
                text(&setting["by"]),
                text(&at["file"]),
                text(&at["line"]),
            ]);
        }
    }
    let columns = ["notebook", "setting", "by", "set_in", "set_line"];
    let found: Vec<[String; 5]> = rows.iter().map(|row| columns.map(|column| row[column].clone())).collect();
    assert!(wanted.len() > 300, "{}", wanted.len());
    assert_eq!(found, wanted);
}

/// A book with a day that fills every table.
fn book() -> Desk {
    let desk = Desk::empty();
    desk.write("book.toml", "[instrument.steel]\nresolution = \"1 mm\"\n[defaults]\ntape = \"steel\"\n");
    desk.write(
        "machines/whin.md",
        "+++\nkind = \"machine\"\n+++\n\n```settings\nshock.rebound = \"12 clicks\"\ntyre.front = \"13 psi\"\n\
         insert.rear = \"tube\"\n```\n",
    );
    desk.write("riders/tall.md", "+++\nkind = \"rider\"\n+++\n");
    desk.write("tracks/hill.md", "+++\nkind = \"track\"\n+++\n");
    desk.write(
        "days/d.md",
        "+++\nkind = \"day\"\ndate = 2026-05-02\nmachine = \"whin\"\nrider = \"tall\"\ntrack = \"hill\"\n+++\n\n\
         ```sag rear\nhanging = \"612 mm\"\naboard = \"506 508 ± 1 mm\"\n```\n\n\
         ```steering\ndrop = \"stays\"\n```\n\n\
         ```stint practice\nlaps = \"2:00.0 1:58.5 2:10.0\"\nskip = [3]\nfeel = \"packs whoops 3\"\n```\n\n\
         ```change\nshock.rebound = \"2 clicks out\"\ninsert.rear = \"mousse\"\nbecause = \"=packs, \\\"hard\\\"\"\n```\n\n\
         ```stint\n```\n\n\
         ```stint race\nlaps = \"1:57.0\"\nverdict = \"better\"\n```\n",
    );
    desk
}

fn rows(desk: &Desk, name: &str, columns: &[&str]) -> Vec<String> {
    let rows = table(&desk.path("out"), name);
    rows.iter()
        .map(|row| columns.iter().map(|column| row[*column].as_str()).collect::<Vec<_>>().join(" | "))
        .collect()
}

#[test]
fn what_was_read_changed_ridden_and_felt_has_a_row_each() {
    let desk = book();
    let output = desk.run(&["export", "-o", "out", "--name", "=mine"]);
    assert_eq!((code(&output), err(&output)), (0, ""));
    assert_eq!(
        rows(
            &desk,
            "readings",
            &["line", "block", "of", "reading", "repeat", "value", "word", "unit", "instrument"]
        ),
        [
            "10 | sag | rear | hanging | 1 | 0.612 |  | m | steel",
            "11 | sag | rear | aboard | 1 | 0.506 |  | m | steel",
            "11 | sag | rear | aboard | 2 | 0.508 |  | m | steel",
            "15 | steering |  | drop | 1 |  | stays |  | ",
        ]
    );
    assert_eq!(
        rows(
            &desk,
            "changes",
            &["setting", "before", "after", "unit", "difference", "before_word", "after_word", "stint"]
        ),
        ["shock.rebound | 12 | 14 | click | 2 |  |  | 3", "insert.rear |  |  |  |  | tube | mousse | 3"],
        "the planned ride was not ridden"
    );
    assert_eq!(
        rows(&desk, "stints", &["stint", "kind", "laps", "best", "median", "verdict"]),
        ["1 | practice | 2 | 118.5 | 119.25 | ", "3 | race | 1 | 117 | 117 | better"]
    );
    assert_eq!(
        rows(&desk, "laps", &["stint", "lap", "value", "unit"]),
        ["1 | 1 | 120 | s", "1 | 2 | 118.5 | s", "3 | 1 | 117 | s"]
    );
    assert_eq!(
        rows(
            &desk,
            "feels",
            &["machine", "rider", "track", "date", "stint", "complaint", "place", "strength"]
        ),
        ["whin | tall | hill | 2026-05-02 | 1 | packs | whoops | 3"]
    );
    // Text that a spreadsheet would compute stays text.
    let changes = desk.read("out/changes.csv");
    assert!(changes.contains(",\"'=packs, \"\"hard\"\"\","), "{changes}");
    assert!(changes.lines().skip(1).all(|line| line.starts_with("\"'=mine\",")), "{changes}");
}

#[test]
fn the_schema_beside_the_tables_names_their_columns_and_units() {
    let desk = book();
    assert_eq!(code(&desk.run(&["export", "-o", "out"])), 0);
    let schema: Value = serde_json::from_str(&desk.read("out/schema.json")).unwrap();
    assert_eq!(schema["schema"], 1);
    let mut files: Vec<String> = vec!["schema.json".to_owned()];
    for table in schema["tables"].as_array().unwrap() {
        let name = format!("{}.csv", table["name"].as_str().unwrap());
        let columns = table["columns"].as_array().unwrap();
        let names: Vec<&str> = columns.iter().map(|column| column["name"].as_str().unwrap()).collect();
        let text = desk.read(&format!("out/{name}"));
        assert_eq!(text.lines().next().unwrap(), names.join(","));
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        for record in reader.records().map(|record| record.unwrap()) {
            for (column, cell) in columns.iter().zip(record.iter()).filter(|(_, cell)| !cell.is_empty()) {
                let is_right = match column["type"].as_str().unwrap() {
                    "number" => cell.parse::<f64>().is_ok(),
                    "count" => cell.parse::<u64>().is_ok(),
                    "date" => cell.parse::<jiff::civil::Date>().is_ok(),
                    "text" => true,
                    other => panic!("{other} is no type"),
                };
                assert!(is_right, "{name}: {column} {cell}");
                if let Some(unit) = column["unit_in"].as_str() {
                    let at = names.iter().position(|name| *name == unit).unwrap();
                    assert!(!record[at].is_empty(), "{name}: {column} {cell} has no unit");
                }
            }
        }
        files.push(name);
    }
    files.sort();
    assert_eq!(files, file_names(&desk.path("out")));
}

#[test]
fn who_is_not_cleared_to_ride_is_said_in_each_row_that_tells_what_to_ride_on() {
    let desk = book();
    let hurt = "+++\nkind = \"day\"\ndate = 2026-05-03\nmachine = \"whin\"\nrider = \"tall\"\n+++\n\n\
                ```stint\nlaps = \"2:00\"\nnote = \"knocked out in the third corner\"\n```\n";
    desk.write("days/e.md", hurt);
    desk.write("riders/small.md", "+++\nkind = \"rider\"\n+++\n");
    desk.write("days/f.md", &hurt.replace("tall", "small").replace("knocked out in", "passed two at"));
    let output = desk.run(&["export", "-o", "out"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let told: Vec<&str> = out(&output).lines().filter(|line| !line.starts_with("out")).collect();
    assert_eq!(told.len(), 1, "{told:?}");
    // As the pages about something else have it.
    assert!(out(&desk.run(&["state", "days/e.md"])).contains(told[0]), "{told:?}");
    for name in ["settings", "figures"] {
        for row in rows(&desk, name, &["rider", "not_cleared"]) {
            let (rider, stop) = row.split_once(" | ").unwrap();
            assert_eq!(stop, if rider == "tall" { told[0] } else { "" }, "{name}");
        }
    }
}

#[test]
fn the_schema_counts_the_rows_and_tables_of_another_format_are_not_left_beside() {
    let desk = book();
    assert_eq!(code(&desk.run(&["export", "-o", "out"])), 0);
    let schema: Value = serde_json::from_str(&desk.read("out/schema.json")).unwrap();
    assert_eq!(schema["format"], "csv");
    for told in schema["tables"].as_array().unwrap() {
        let rows = table(&desk.path("out"), told["name"].as_str().unwrap());
        assert_eq!(told["rows"], rows.len());
    }
    let output = desk.run(&["export", "--format", "parquet", "-o", "out"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("figures.csv is there, of another format"), "{}", err(&output));
    if !cfg!(feature = "parquet") {
        let output = desk.run(&["export", "--format", "parquet", "-o", "other"]);
        assert_eq!(code(&output), 2);
        assert!(err(&output).contains("built without Parquet"), "{}", err(&output));
    }
}

#[test]
fn an_export_takes_the_place_of_a_former_one_and_of_nothing_else() {
    let desk = book();
    let run = || desk.run(&["export", "-o", "out"]);
    assert_eq!((code(&run()), code(&run())), (0, 0), "a former export is replaced");
    let tables: Vec<String> = TABLES.iter().map(|name| format!("out/{name}.csv")).collect();
    let (laps, stints) = (desk.read("out/laps.csv"), desk.read("out/stints.csv"));
    let season = desk.run(&["season", "--format", "csv"]);
    for (path, foreign) in [
        ("out/figures.csv", "figure,what I think of it\nsag,too much\n"),
        ("out/laps.csv", &stints),
        ("out/stints.csv", &laps),
        ("out/feels.csv", out(&season)),
        ("out/schema.json", "{\"schema\": 1, \"mine\": true}"),
    ] {
        let before: Vec<String> = tables.iter().map(|path| desk.read(path)).collect();
        let own = desk.read(path);
        desk.write(path, foreign);
        let output = run();
        assert_eq!(code(&output), 2, "{path}");
        assert!(
            err(&output).contains(path) && err(&output).contains("nothing was written"),
            "{}",
            err(&output)
        );
        assert_eq!(desk.read(path), foreign);
        desk.write(path, &own);
        let after: Vec<String> = tables.iter().map(|path| desk.read(path)).collect();
        assert_eq!(after, before);
        assert_eq!(file_names(&desk.path("out")).len(), 8, "no draft is left");
    }
    desk.write("file", "mine");
    assert_eq!(code(&desk.run(&["export", "-o", "file"])), 2);
    assert_eq!(desk.read("file"), "mine");
    assert_eq!(code(&desk.run(&["export", "-o", "-"])), 2);
}

#[test]
fn books_are_exported_into_one_tree_at_once_and_told_apart_by_their_name() {
    let desk = Desk::empty();
    for name in ["first", "second"] {
        desk.write(&format!("{name}/book.toml"), "");
        desk.write(
            &format!("{name}/days/d.md"),
            "+++\nkind = \"day\"\ndate = 2026-05-02\n+++\n\n```stint\nlaps = \"2:00\"\n```\n",
        );
    }
    std::thread::scope(|scope| {
        for name in ["first", "second"] {
            let desk = &desk;
            scope.spawn(move || {
                let output = desk.run(&["export", "--book", name, "-o", &format!("tree/{name}")]);
                assert_eq!(code(&output), 0, "{}", err(&output));
            });
        }
    });
    let books: Vec<String> = ["first", "second"]
        .iter()
        .flat_map(|name| table(&desk.path("tree").join(name), "laps"))
        .map(|row| row["book"].clone())
        .collect();
    assert_eq!(books, ["first", "second"]);
    assert!(fs::exists(desk.path("tree/first/schema.json")).unwrap());
}
