//! What holds of every comparison.

use loambook::source::FileId;
use proptest::prelude::*;

use super::*;

#[test]
fn a_thing_compared_with_itself_is_empty() {
    let book = read(&Disk::new(demo()));
    for notebook in book.0.notebooks() {
        for complete in [false, true] {
            let one = side(&book, &notebook.path);
            let comparison = compare(&one, &side(&book, &notebook.path), complete);
            assert!(comparison.is_empty, "{}: {comparison:?}", notebook.path);
            assert_eq!(comparison.fork, None);
            assert!(complete || comparison.figures.is_empty());
        }
    }
}

#[test]
fn swapping_the_sides_turns_every_sign() {
    let book = read(&Disk::new(demo()));
    let days: Vec<&str> = book.0.days.iter().map(|day| day.notebook.path.as_str()).collect();
    let mut compared = 0;
    for pair in days.windows(2) {
        let (a, b) = (side(&book, pair[0]), side(&book, pair[1]));
        compared += turned(&compare(&a, &b, true), &compare(&b, &a, true));
    }
    assert!(compared > 500, "only {compared} differences were compared");
}

/// How many differences were compared with each other.
fn turned(there: &Comparison, back: &Comparison) -> usize {
    let mut compared = 0;
    assert_eq!(there.settings.len(), back.settings.len());
    for (one, two) in there.settings.iter().zip(&back.settings) {
        // Each way in the units of its own first side.
        assert_eq!((one.a.is_some(), one.b.is_some()), (two.b.is_some(), two.a.is_some()), "{}", one.id);
        assert_eq!((&one.id, one.by.map(|by| 0.0 - by)), (&two.id, two.by));
        compared += usize::from(one.by.is_some_and(|by| by != 0.0));
    }
    assert_eq!(there.figures.len(), back.figures.len());
    for (one, two) in there.figures.iter().zip(&back.figures) {
        assert_eq!((&one.id, one.by.map(|by| 0.0 - by)), (&two.id, two.by));
        // The order of a sum's terms is turned as well.
        let (first, second) = (one.expanded.unwrap_or(0.0), two.expanded.unwrap_or(0.0));
        assert!((first - second).abs() <= 1e-9 * first.abs(), "{}", one.id);
        let swapped = match one.verdict {
            Verdict::Gone => Verdict::New,
            Verdict::New => Verdict::Gone,
            same => same,
        };
        assert_eq!(swapped, two.verdict, "{}", one.id);
        compared += usize::from(one.by.is_some_and(|by| by != 0.0));
    }
    // In the other side's air the same difference has another size, and the other sign.
    for (one, two) in there.pressures.lines.iter().zip(&back.pressures.lines) {
        assert_eq!(one.id, two.id);
        if let (Some(first), Some(second)) = (one.by, two.by) {
            assert!(first * second < 0.0 || first == second, "{}: {first} and {second}", one.id);
        }
    }
    if let (Some(one), Some(two)) = (&there.fork, &back.fork) {
        assert_eq!(one.by, -two.by);
        // Along its travel each way in the lengths of its own first side: millimetres or inches.
        let end = |points: &[(f64, f64)]| points.last().unwrap().0;
        let scale = end(&two.b.points) / end(&one.a.points);
        assert!([1.0, 25.4, 1.0 / 25.4].iter().any(|known| (scale / known - 1.0).abs() < 1e-12), "{scale}");
        let close = |there: f64, back: f64| (there * scale - back).abs() <= 1e-9 * back.abs();
        assert!(close(one.largest_at, two.largest_at), "{} and {}", one.largest_at, two.largest_at);
        assert_eq!(one.a.points.len(), two.b.points.len());
        for (there, back) in one.a.points.iter().zip(&two.b.points) {
            assert!(close(there.0, back.0) && there.1 == back.1, "{there:?} and {back:?}");
        }
    }
    assert_eq!(there.is_text_changed, back.is_text_changed);
    compared
}

/// A line of JSON by its name.
fn by_id<'j>(page: &'j Value, part: &str) -> std::collections::BTreeMap<&'j str, &'j Value> {
    let lines = match part {
        "pressures" => &page["pressures"]["lines"],
        part => &page[part],
    };
    lines.as_array().unwrap().iter().map(|line| (line["id"].as_str().unwrap(), line)).collect()
}

/// `+4 mm` and `−4 mm`: the sign that the words begin with; `None` for other words.
fn sign(change: &Value) -> Option<f64> {
    match change.as_str()?.chars().next()? {
        '+' => Some(1.0),
        '−' => Some(-1.0),
        _ => None,
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_two_lines_of_the_diary_turn_in_json(first in any::<prop::sample::Index>(), second in any::<prop::sample::Index>()) {
        let book = BOOK.get_or_init(|| read(&Disk::new(demo())));
        // Every line of every day.
        let places: Vec<(FileId, u32)> = book.0.days.iter().flat_map(|day| {
            let file = day.notebook.document.file;
            (1..book.0.sources.line_count(file)).map(move |line| (file, line))
        }).collect();
        let at = |index: prop::sample::Index| {
            let (file, line) = *index.get(&places);
            Side::new(&book.0, &book.1, format!("{file:?}:{line}"), Subject::Line(file, line)).unwrap()
        };
        let json = |a: &Side<'_>, b: &Side<'_>| serde_json::to_value(compare(a, b, true)).unwrap();
        let (a, b) = (at(first), at(second));
        let (there, back) = (json(&a, &b), json(&b, &a));
        for part in ["settings", "figures", "pressures"] {
            let (there, back) = (by_id(&there, part), by_id(&back, part));
            prop_assert_eq!(there.keys().collect::<Vec<_>>(), back.keys().collect::<Vec<_>>());
            for (id, one) in there {
                let two = back[id];
                let (by, yb) = (one["by"].as_f64(), two["by"].as_f64());
                prop_assert_eq!(by.is_some(), yb.is_some(), "{}", id);
                if let (Some(by), Some(yb)) = (by, yb) {
                    // A pressure in another air is as much larger as that air is warmer.
                    let same = if part == "pressures" { by.signum() == -yb.signum() || by == yb } else { by == -yb };
                    prop_assert!(same, "{}: {} and {}", id, by, yb);
                }
                if let (Some(one), Some(two)) = (sign(&one["change"]), sign(&two["change"])) {
                    prop_assert_eq!(one, -two, "{}", id);
                }
            }
        }
        prop_assert_eq!(&there["fork"]["by"].as_f64().map(|by| -by), &back["fork"]["by"].as_f64());
        prop_assert_eq!(&there["is_empty"], &back["is_empty"]);
        prop_assert_eq!(json(&a, &a)["is_empty"].as_bool(), Some(true));
    }
}

static BOOK: std::sync::OnceLock<(Arc<Book>, Arc<Season>)> = std::sync::OnceLock::new();
