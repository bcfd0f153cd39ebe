//! Whole diaries of pressures, worked out block by block from the definition by another program.

use std::fs;
use std::path::Path;

use serde_json::Value;
use toml::Table;

use crate::desk::Desk;

/// A diary whose figures are worked out, and how many of them.
fn check(name: &str, least: usize) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/diaries");
    let diary: Table = fs::read_to_string(folder.join(format!("{name}.toml"))).unwrap().parse().unwrap();
    let desk = Desk::empty();
    for (path, text) in diary["files"].as_table().unwrap() {
        desk.write(path, text.as_str().unwrap());
    }
    let mut faults = Vec::new();
    let mut compared = 0;
    for point in diary["point"].as_array().unwrap() {
        let (day, line) = (point["day"].as_str().unwrap(), point["line"].as_integer().unwrap());
        let figures = desk.json(&["figures", day]);
        // What counts at a place is what was last written above it.
        let told = |id: &str| {
            let all = figures["figures"].as_array().unwrap().iter();
            let mut above = all.filter(|figure| figure["at"]["line"].as_i64().unwrap() <= line);
            above.rfind(|figure| figure["id"] == id).map_or(Value::Null, |figure| figure["value"].clone())
        };
        for (id, expected) in point.get("pascal").and_then(|known| known.as_table()).into_iter().flatten() {
            let (expected, told) = (expected.as_float().unwrap(), told(id).as_f64());
            compared += 1;
            if told.is_none_or(|told| (told - expected).abs() > 1e-6 * expected.abs().max(1e3)) {
                faults.push(format!("{day}:{line} {id}: {told:?}, not {expected}"));
            }
        }
        for id in point.get("missing").and_then(|missing| missing.as_array()).into_iter().flatten() {
            let told = told(id.as_str().unwrap());
            if !told.is_null() {
                faults.push(format!("{day}:{line} {id:?}: {told}, and nobody can know"));
            }
        }
    }
    assert!(compared >= least, "{compared} figures");
    assert!(faults.is_empty(), "{} faults\n{}", faults.len(), faults.join("\n"));
}

#[test]
fn a_diary_with_one_chamber_and_two_riders_is_as_worked_out() {
    check("first", 20);
}

#[test]
fn a_diary_with_two_chambers_and_a_bench_at_another_height_is_as_worked_out() {
    check("second", 20);
}

#[test]
fn a_diary_with_a_chamber_that_is_filled_from_another_is_as_worked_out() {
    check("third", 20);
}

#[test]
fn a_diary_with_a_day_without_conditions_is_as_worked_out() {
    check("fourth", 20);
}

#[test]
fn a_diary_with_plans_and_a_mousse_is_as_worked_out() {
    check("fifth", 20);
}

#[test]
fn a_diary_with_one_chamber_read_at_other_heights_is_as_worked_out() {
    check("sixth", 20);
}
