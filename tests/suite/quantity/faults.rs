//! Faults: the code, the exact text pointed at, the headline and what to write instead.

use loambook::finding::Finding;
use loambook::quantity::{CODES, Kind, Problem, UnitDefaults, amount, interval, number, quantity, repeats};
use loambook::source::{Sources, Span};

/// A finding in four lines, with the text it points at.
fn lines(text: &str, problem: &Problem) -> String {
    // Any file will do: places are moved by their offsets alone.
    let file = Sources::new().set("book.toml", "");
    let finding: Finding = problem.finding(|range| Span::new(file, range.start, range.end));
    let pointed_at = &text[finding.span.range()];
    let mut lines = format!("[{}] {pointed_at:?}: {}", finding.code.name, finding.headline);
    for remedy in &finding.remedies {
        lines.push_str(&format!("\n  {}", remedy.text));
        if let Some(edit) = &remedy.edit {
            lines.push_str(&format!(" => {}", edit.replacement));
        }
    }
    lines
}

fn of_one(text: &str, kinds: &[Kind]) -> String {
    lines(text, &quantity(text, kinds, &UnitDefaults::default()).unwrap_err())
}

fn of_range(text: &str, kinds: &[Kind]) -> String {
    lines(text, &interval(text, kinds, &UnitDefaults::default()).unwrap_err())
}

fn of_amount(text: &str, kinds: &[Kind]) -> String {
    lines(text, &amount(text, kinds, &UnitDefaults::default()).unwrap_err())
}

/// Each case of the table below, in its words.
fn gallery() -> Vec<String> {
    let length = &[Kind::Length];
    let gauge = &[Kind::GaugePressure];
    let clicks = &[Kind::Clicks, Kind::Turns];
    vec![
        of_one("", length),
        of_one("about 612 mm", length),
        of_one("~612 mm", length),
        of_one("612? mm", length),
        of_one("1.2.3 mm", length),
        of_one("2:64.1", &[Kind::Time]),
        of_one("4 9/8 in", length),
        of_one("1/0 in", length),
        of_one("612,5 mm", length),
        of_one("1,485 mm", length),
        of_one("152", gauge),
        of_one("12", clicks),
        lines("", &number(13.0, gauge, &UnitDefaults::default()).unwrap_err()),
        of_one("152 spi", gauge),
        of_one("152 PSA", &[Kind::Mass]),
        of_one("105 MM", length),
        of_one("152 psi", length),
        of_one("4 kg", &[Kind::Force]),
        of_one("2 in", clicks),
        of_one("2:04.1", length),
        of_one("203 psi abs", gauge),
        of_one("0 psi gauge", &[Kind::AbsolutePressure]),
        of_one("298 300 mm", length),
        of_one("298..300 mm", length),
        of_range("105 mm", length),
        of_range("..", length),
        of_range("150-154 psi", gauge),
        of_range("150 psi - 154 psi", gauge),
        of_range("150 psi to 154 psi", gauge),
        of_range("at least 100 mm", length),
        of_range("106..104 mm", length),
        of_one("-300 °C", &[Kind::Temperature]),
        of_one("-20 psi", gauge),
        of_one("-5 kg", &[Kind::Mass]),
        of_one("12.5 clicks", clicks),
        of_one("612 mm up", length),
        of_amount("+2 clicks in", clicks),
        of_one("152 psi cold", gauge),
        of_one("12 mm abs", length),
        of_one("105 ± mm", length),
        of_range("104 ± 1..106 mm", length),
    ]
}

#[test]
fn each_fault_says_what_it_is_and_what_to_write() {
    let wanted = include_str!("faults.txt");
    let found = gallery().join("\n") + "\n";
    if std::env::var_os("LOAMBOOK_ACCEPT").is_some() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/suite/quantity/faults.txt");
        std::fs::write(path, &found).unwrap();
    } else {
        for (line, (found, wanted)) in found.lines().zip(wanted.lines()).enumerate() {
            assert_eq!(found, wanted, "line {}", line + 1);
        }
        assert_eq!(found, wanted);
    }
}

#[test]
fn every_code_is_in_the_gallery() {
    let gallery = gallery().join("\n");
    for code in CODES {
        assert!(gallery.contains(&format!("[{}]", code.name)), "{}", code.name);
        for part in ["```", "Better"] {
            assert!(code.page.contains(part), "{} has no {part}", code.name);
        }
    }
}

#[test]
fn a_fault_in_a_list_points_at_the_one_value() {
    let defaults = UnitDefaults::default();
    let text = "506 508,5 507 mm";
    let problem = repeats(text, &[Kind::Length], &defaults).unwrap_err();
    assert_eq!(&text[problem.range], "508,5");
    let text = "2:04.1 2:74.8 2:03.3";
    let problem = repeats(text, &[Kind::Time], &defaults).unwrap_err();
    assert_eq!(&text[problem.range], "2:74.8");
    let text = "506 mm 152 psi";
    let problem = repeats(text, &[Kind::Length], &defaults).unwrap_err();
    assert_eq!(&text[problem.range], "psi");
}
