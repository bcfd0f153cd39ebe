//! What belongs together in a head stands side by side.

use super::others::printed;
use super::*;

/// A head of so many fields, then a pair with so many words each.
fn head(before: usize, words: (usize, usize)) -> String {
    let field = |label: &str, value: &str, with_next: bool| {
        format!("[[field]]\nlabel = \"{label}\"\nvalue = \"{value}\"\nwith_next = {with_next}\n")
    };
    let fields: String = (0..before).map(|at| field(&format!("field {at}"), "Corrie 450", false)).collect();
    let [one, other] = [words.0, words.1].map(|count| "Tannery Pit ".repeat(count).trim().to_owned());
    let pair = field("2026-04-18", &one, true) + &field("2026-04-19", &other, false);
    format!(
        "+++\ntitle = \"Head\"\nfoot = \"head\"\n+++\n\n```layout head\ntitle = \"Comparison\"\n{fields}{pair}```\n"
    )
}

#[test]
fn both_sides_of_a_comparison_stand_on_one_line() {
    let mut lower = 0;
    for before in 0..7 {
        for words in (1..12).flat_map(|one| (1..12).map(move |other| (one, other))) {
            let text = head(before, words);
            let templates = Templates::new([("head.md", text.as_str())]).unwrap();
            let document = compose("head.md", &serde_json::json!({}), &templates).unwrap();
            for paper in [Paper::A4, Paper::Letter] {
                let printed = printed(&document, paper);
                let of = |label: &str| {
                    let is_it = |placed: &&Placed| matches!(&placed.what, What::Text(text) if text == label);
                    printed.boxes.iter().find(is_it).unwrap().at
                };
                let (one, other) = (of("2026-04-18"), of("2026-04-19"));
                assert!(
                    (one.y - other.y).abs() < 0.01 && one.x < other.x,
                    "{before} before, {words:?}, {paper:?}"
                );
                let faults = placed_wrongly("head", &printed, paper);
                assert!(faults.is_empty(), "{before} before, {words:?}: {}", faults.join("\n"));
                assert_eq!(printed.broken, 0);
                lower += usize::from(before > 0 && one.y > of("field 0").y + 5.0);
            }
        }
    }
    // Some pairs have room beside what is before them, and some begin a line.
    assert!(lower > 100 && lower < 6 * 121 * 2 - 50, "{lower}");
}
