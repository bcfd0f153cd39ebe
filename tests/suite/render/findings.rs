//! Findings as text, JSON and SARIF.

use loambook::finding::tally;
use loambook::finding::{Code, Finding, Severity};
use loambook::notebook::CODES;
use loambook::render::findings::{self, Look, brief, sarif, text};
use loambook::source::{Sources, Span};
use loambook::speech::Message;
use proptest::prelude::*;
use serde_json::{Value, json};
use unicode_width::UnicodeWidthStr;

use super::schema::faults;

static ORDER: Code = Code {
    name: "sag/reading-order",
    severity: Severity::Error,
    since: "0.1.0",
    page: "Readings of one sag that cannot all be right.\n\nMore of it.\n",
};

/// A finding with every part that one can have, in two files.
fn example() -> (Sources, Vec<Finding>) {
    let mut sources = Sources::new();
    let day = sources
        .set("days/é 1.md", "\u{feff}# Day\n\n```sag rear\nhanging = \"6 ± 1 mm\"\nalone = \"7 mm\"\n```\n");
    let machine = sources.set("machines/corrie.md", "```band\nx = 1\n```\n");
    let place = |file, part: &str| {
        let start = sources.whole(file).find(part).unwrap();
        Span::new(file, start, start + part.len())
    };
    let finding =
        Finding::new(&ORDER, place(day, "6 ± 1 mm"), Message::text("the wheel hangs lower than it stands"))
            .found(Message::text("hanging"))
            .see(place(day, "7 mm"), Message::text("standing alone"))
            .see(place(machine, "x = 1"), Message::text("the band"))
            .help(Message::text("measure again"))
            .fix(Message::text("or swap them"), place(day, "\"7 mm\""), "\"6 mm\"");
    let mut note = Finding::new(&ORDER, Span::top(machine), Message::text("a note"));
    note.severity = Severity::Note;
    (sources, vec![finding, note])
}

#[test]
fn text_shows_the_lines_and_the_help() {
    let (sources, findings) = example();
    assert_eq!(
        text(&findings, &sources, Look::default()).trim_end(),
        r#"✗ the wheel hangs lower than it stands
  days/é 1.md:4:12        hanging = "▸6 ± 1 mm◂"  — hanging
  days/é 1.md:5:10        alone = "▸7 mm◂"  — standing alone
  machines/corrie.md:2:1  ▸x = 1◂  — the band
  → measure again
  → or swap them                                               sag/reading-order

· a note
  machines/corrie.md:1:1  ▸```band
                                                               sag/reading-order"#
    );
    assert_eq!(
        brief(&findings, &sources).trim_end(),
        r#"days/é 1.md:4:12: error: the wheel hangs lower than it stands (sag/reading-order)
machines/corrie.md:1:1: note: a note (sag/reading-order)"#
    );
    assert_eq!(tally(&findings).to_string(), "✗ 1 error, · 1 note");
    assert_eq!(tally(&[]).to_string(), "nothing to report");
}

#[test]
fn colour_is_there_only_if_asked_for() {
    let (sources, findings) = example();
    let coloured = text(&findings, &sources, Look { colour: true, ..Look::default() });
    assert!(coloured.contains("\u{1b}["));
    assert!(!text(&findings, &sources, Look::default()).contains('\u{1b}'));
}

#[test]
fn a_terminal_obeys_nothing_that_a_notebook_says() {
    let mut sources = Sources::new();
    let file = sources.set("a\u{1b}[2J.md", "x = \"\u{1b}]0;title\u{7}\u{202e}\"\n");
    let finding = Finding::new(&ORDER, Span::new(file, 4, 10), Message::text("\u{1b}[31mred\r"))
        .found(Message::text("\u{1b}[1m\u{85}"))
        .help(Message::text("\u{9b}31m\u{202e}"));
    let shown = text(&[finding], &sources, Look::default());
    assert!(!shown.contains(|c: char| c.is_control() && c != '\n'), "{shown:?}");
    assert!(!shown.contains('\u{202e}'), "{shown:?}");
}

/// The lines of a finding about a part of the first line of a text.
fn lines_about(text_of_file: &str, part: &str) -> Vec<String> {
    let mut sources = Sources::new();
    let file = sources.set("a.md", text_of_file);
    let start = text_of_file.find(part).unwrap();
    let finding = Finding::new(&ORDER, Span::new(file, start, start + part.len()), Message::text("headline"))
        .help(Message::text("do"));
    let shown = text(&[finding], &sources, Look::default());
    for line in shown.lines() {
        assert!(line.width() <= 80, "{} columns: {line}", line.width());
    }
    shown.lines().map(str::to_owned).collect()
}

#[test]
fn the_marks_stand_around_what_is_meant_whatever_stands_before_it() {
    assert_eq!(lines_about("雨の日 = \"雨\"\r\nnext\r\n", "\"雨\"")[1], "  a.md:1:7  雨の日 = ▸\"雨\"◂");
    assert_eq!(lines_about("\t\tsag\t= 🏍️ 12 mm\n", "12 mm")[1], "  a.md:1:12  sag = 🏍️ ▸12 mm◂");
    assert_eq!(lines_about("\u{feff}e\u{301} = 1\r\n", "1")[1], "  a.md:1:6  e\u{301} = ▸1◂");
    assert_eq!(lines_about("sag =\n", "\n")[1], "  a.md:1:6  sag =▸");
}

#[test]
fn a_line_longer_than_the_terminal_is_cut_around_what_is_meant() {
    let long = format!("{} = \"here\" # {}", "雨".repeat(200), "x".repeat(200));
    let line = &lines_about(&long, "\"here\"")[1];
    assert!(
        line.contains("雨 = ▸\"here\"◂ # xx") && line.contains("  …雨") && line.ends_with("x…"),
        "{line}"
    );
    let line = &lines_about(&format!("{}\n", "y".repeat(200)), &"y".repeat(200))[1];
    assert!(line.starts_with("  a.md:1:1  ▸yyy") && line.ends_with("y…◂"), "{line}");
    let accents = format!("e{} = 1", "\u{301}".repeat(5000));
    assert!(lines_about(&accents, "1")[1].chars().count() < 300);
}

#[test]
fn what_is_to_be_copied_is_not_broken_and_a_number_keeps_its_unit() {
    let mut sources = Sources::new();
    let file = sources.set("a.md", "x\n");
    let words = format!("{} 12 mm; write `fork.height = \"2 mm  up\"`", "word ".repeat(15).trim());
    let finding = Finding::new(&ORDER, Span::new(file, 0, 1), Message::text("h")).help(Message::text(words));
    let shown = text(&[finding], &sources, Look::default());
    assert!(shown.contains("word\n    12 mm; write `fork.height = \"2 mm  up\"`"), "{shown}");
}

#[test]
fn places_far_apart_and_lines_without_end_stay_readable() {
    let mut sources = Sources::new();
    let far = format!("first\n{}last\n", "between\n".repeat(100_000));
    let (length, long) = (far.len(), "é".repeat(2_000_000));
    let file = sources.set("far.md", far);
    let line = sources.set("long.md", long);
    let apart = Finding::new(&ORDER, Span::new(file, 0, 5), Message::text("apart"))
        .see(Span::new(file, length - 5, length - 1), Message::text("here"));
    let whole = Finding::new(&ORDER, Span::new(file, 0, length), Message::text("whole"));
    let long = Finding::new(&ORDER, Span::new(line, 3_000_000, 3_000_002), Message::text("long"));
    let shown = text(&[apart, whole, long], &sources, Look::default());
    assert!(shown.lines().count() < 40, "{shown}");
    assert!(shown.contains("far.md:100002"), "{shown}");
    assert!(shown.contains("long.md:1:1500001"), "{shown}");
}

#[test]
fn json_is_one_object_a_line() {
    let (sources, findings) = example();
    assert_eq!(
        findings::json(&findings, &sources).trim_end(),
        r#"{"code":"sag/reading-order","severity":"error","headline":"the wheel hangs lower than it stands","file":"days/é 1.md","line":4,"column":12,"end_line":4,"end_column":20,"labels":[{"file":"days/é 1.md","line":4,"column":12,"text":"hanging"},{"file":"days/é 1.md","line":5,"column":10,"text":"standing alone"},{"file":"machines/corrie.md","line":2,"column":1,"text":"the band"}],"remedy":["measure again","or swap them"]}
{"code":"sag/reading-order","severity":"note","headline":"a note","file":"machines/corrie.md","line":1,"column":1,"end_line":1,"end_column":1,"labels":[],"remedy":[]}"#
    );
}

#[test]
fn sarif_keeps_to_its_schema() {
    let (sources, findings) = example();
    let schema: Value = serde_json::from_str(include_str!("../../schemas/sarif-2.1.0.json")).unwrap();
    for findings in [findings.as_slice(), &[]] {
        let log: Value = serde_json::from_str(&sarif(findings, &sources, CODES)).unwrap();
        assert_eq!(faults(&schema, &log), Vec::<String>::new());
    }
    // It does object to faults, so its silence means something: each value of another kind, each object with a key that the
    // schema does not have, and what must be there left out.
    let log: Value = serde_json::from_str(&sarif(&findings, &sources, CODES)).unwrap();
    let mut places = vec![String::new()];
    places_in(&log, "", &mut places);
    assert!(places.len() > 50, "{places:?}");
    for place in &places {
        let mut broken = log.clone();
        *broken.pointer_mut(place).unwrap() = json!(-1.5);
        assert_ne!(faults(&schema, &broken), Vec::<String>::new(), "{place} is a number");
        let mut broken = log.clone();
        if let Some(object) = broken.pointer_mut(place).unwrap().as_object_mut() {
            object.insert("flavour".to_owned(), json!("sweet"));
            assert_ne!(faults(&schema, &broken), Vec::<String>::new(), "{place} has a flavour");
        }
    }
    for (object, key) in [
        ("", "version"),
        ("", "runs"),
        ("/runs/0", "tool"),
        ("/runs/0/tool", "driver"),
        ("/runs/0/tool/driver", "name"),
        ("/runs/0/tool/driver/rules/0", "id"),
        ("/runs/0/tool/driver/rules/0/shortDescription", "text"),
        ("/runs/0/results/0", "message"),
    ] {
        let mut broken = log.clone();
        assert!(broken.pointer_mut(object).unwrap().as_object_mut().unwrap().remove(key).is_some());
        assert_ne!(faults(&schema, &broken), Vec::<String>::new(), "{object} has no {key}");
    }
    let uri = "/runs/0/results/0/locations/0/physicalLocation/artifactLocation/uri";
    for wrong in ["days/é.md", "days/a b.md", "days/%x.md", "C:\\days", "1:2"] {
        let mut broken = log.clone();
        *broken.pointer_mut(uri).unwrap() = json!(wrong);
        assert_ne!(faults(&schema, &broken), Vec::<String>::new(), "{wrong} is no URI");
    }
}

/// Where the values inside a value are, as JSON pointers.
fn places_in(value: &Value, at: &str, places: &mut Vec<String>) {
    let inner: Vec<(String, &Value)> = match value {
        Value::Object(object) => object.iter().map(|(key, value)| (key.replace('/', "~1"), value)).collect(),
        Value::Array(items) => items.iter().enumerate().map(|(at, it)| (at.to_string(), it)).collect(),
        _ => Vec::new(),
    };
    for (key, value) in inner {
        let at = format!("{at}/{key}");
        places_in(value, &at, places);
        places.push(at);
    }
}

#[test]
fn sarif_names_the_rule_the_place_and_the_fix() {
    let (sources, findings) = example();
    let log: Value = serde_json::from_str(&sarif(&findings, &sources, CODES)).unwrap();
    let run = &log["runs"][0];
    let result = &run["results"][0];
    let rule = &run["tool"]["driver"]["rules"][result["ruleIndex"].as_u64().unwrap() as usize];
    assert_eq!(rule["id"], "sag/reading-order");
    assert_eq!(rule["shortDescription"]["text"], "Readings of one sag that cannot all be right.");
    let place = &result["locations"][0]["physicalLocation"];
    assert_eq!(place["artifactLocation"]["uri"], "days/%C3%A9%201.md");
    assert_eq!(
        place["region"],
        serde_json::json!({ "startLine": 4, "startColumn": 12, "endLine": 4, "endColumn": 20 })
    );
    assert_eq!(
        result["relatedLocations"][1]["physicalLocation"]["artifactLocation"]["uri"],
        "machines/corrie.md"
    );
    assert_eq!(
        result["fixes"][0]["artifactChanges"][0]["replacements"][0]["insertedContent"]["text"],
        "\"6 mm\""
    );
    assert_eq!(run["results"][1]["level"], "note");
    assert!(run["results"][1].get("fixes").is_none());
}

proptest! {
    /// Every place of a finding has a text, and lines and columns count from 1.
    #[test]
    fn any_place_can_be_shown(
        page in "(?s)[ab é±🔧\t\r\n\u{feff}\u{0}]{0,60}",
        places in prop::collection::vec((0_usize..80, 0_usize..80), 1..4),
    ) {
        let mut sources = Sources::new();
        let file = sources.set("a.md", page.clone());
        let mut places = places.into_iter().map(|(start, length)| {
            Span::new(file, page.floor_char_boundary(start), page.floor_char_boundary(start + length))
        });
        let mut finding = Finding::new(&ORDER, places.next().unwrap(), Message::text("headline")).found(Message::text("found"));
        for place in places {
            finding = finding.see(place, Message::text("other"));
        }
        let findings = [finding];
        prop_assert!(text(&findings, &sources, Look::default()).contains("headline"));
        let narrow = text(&findings, &sources, Look { width: 0, colour: true });
        prop_assert!(narrow.contains("found"), "{narrow}");
        let line: Value = serde_json::from_str(&findings::json(&findings, &sources)).unwrap();
        prop_assert!(line["line"].as_u64() >= Some(1) && line["column"].as_u64() >= Some(1));
        sarif(&findings, &sources, &[]);
    }
}
