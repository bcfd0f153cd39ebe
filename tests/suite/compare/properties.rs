//! What holds of every comparison.

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

/// How many differences were held against each other.
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
    // Brought to the other side's air the same difference has another size, and the other sign.
    for (one, two) in there.pressures.lines.iter().zip(&back.pressures.lines) {
        assert_eq!(one.id, two.id);
        if let (Some(first), Some(second)) = (one.by, two.by) {
            assert!(first * second < 0.0 || first == second, "{}: {first} and {second}", one.id);
        }
    }
    if let (Some(one), Some(two)) = (&there.fork, &back.fork) {
        assert_eq!(one.by, -two.by);
        assert_eq!((one.largest_at, &one.a.points), (two.largest_at, &two.b.points));
    }
    assert_eq!(there.is_text_changed, back.is_text_changed);
    compared
}
