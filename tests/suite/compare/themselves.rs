//! The effect of written changes by themselves, and what is never subtracted.

use loambook::figures::tape::Tape;
use loambook::figures::{Bench, Here};
use loambook::pages::compare::Moved;

use super::*;

/// A line of a day's notebook, counted from 1, by what it begins with; the first behind another line.
fn line_of(of: &(Arc<Book>, Arc<Season>), path: &str, begins: &str, behind: u32) -> u32 {
    let text = of.0.sources.whole(of.0.sources.find(path).unwrap());
    let lines = (1..).zip(text.lines());
    lines.filter(|(at, _)| *at > behind).find(|(_, line)| line.starts_with(begins)).unwrap().0
}

fn moved<'c>(comparison: &'c Comparison, id: &str) -> Option<&'c Moved> {
    comparison.by_themselves.as_ref()?.lines.iter().find(|line| line.id.as_str() == id)
}

#[test]
fn a_change_does_by_itself_what_the_step_of_its_day_says() {
    let book = read(&Disk::new(demo()));
    let file = book.0.sources.find(DAY).unwrap();
    let from = line_of(&book, DAY, "```change", 0);
    let to = line_of(&book, DAY, "```", from) + 1;
    let side = |line: u32| Side::new(&book.0, &book.1, "side", Subject::Line(file, line)).unwrap();
    let comparison = compare(&side(from - 1), &side(to), true);
    let index = book.0.day_of(file).unwrap();
    let state = book.1.days[index].at(book.0.sources.line(file, to).unwrap().end);
    let tape = Tape::new();
    let bench = Bench::new(Here::of_day(&book.0, &book.1, index, state).unwrap(), &tape);
    // The step is worked out in another way: both sides on one bench, at the same sags.
    for (id, step) in [
        ("geometry.rake", "step.geometry.rake"),
        ("geometry.trail", "step.geometry.trail"),
        ("geometry.wheelbase", "step.geometry.wheelbase"),
        ("geometry.anti_squat", "step.geometry.anti_squat"),
    ] {
        let (is, wanted) =
            (moved(&comparison, id).unwrap().by, bench.value(crate::books::figure(step)).unwrap());
        assert!((is - wanted).abs() <= 1e-9 * wanted.abs(), "{id}: {is} and not {wanted}");
        assert!(wanted != 0.0);
    }
}

#[test]
fn readings_and_air_are_no_part_of_what_changes_do() {
    let book = read(&Disk::new(demo()));
    let comparison = compare(&side(&book, EARLIER), &side(&book, DAY), true);
    let done = comparison.by_themselves.as_ref().unwrap();
    assert!(!done.lines.is_empty());
    for id in done.lines.iter().map(|line| line.id.as_str()) {
        assert!(!id.starts_with("air.") && !id.starts_with("laps.") && !id.starts_with("travel."));
        assert!(!id.ends_with(".stiction") && !id.starts_with("leak."), "{id}");
    }
    // In a day of the same settings nothing differs.
    assert!(compare(&side(&book, DAY), &side(&book, DAY), true).by_themselves.is_none());
}

#[test]
fn clicks_are_not_subtracted_across_a_rebuild_nor_between_machines_and_laps_not_between_tracks() {
    let book = read(&Disk::new(demo()));
    let july = "days/2026-07-04-senior.md";
    let setting = |comparison: &Comparison, id: Setting| {
        let line = comparison.settings.iter().find(|line| line.id == id).unwrap_or_else(|| panic!("{id}"));
        (line.change.clone().unwrap_or_default(), line.by)
    };
    let rebuilt = compare(&side(&book, DAY), &side(&book, july), true);
    assert_eq!(setting(&rebuilt, Setting::FORK_COMPRESSION), ("rebuilt since".to_owned(), None));
    assert!(setting(&rebuilt, Setting::SHOCK_REBOUND).1.is_some(), "the shock was not rebuilt");
    let others = compare(&side(&book, DAY), &side(&book, "days/2026-05-10-junior.md"), true);
    assert_eq!(setting(&others, Setting::FORK_COMPRESSION), ("another machine".to_owned(), None));
    assert_eq!(others.by_themselves, None);
    // Two tracks: shown with --all, and without a difference.
    let lap = |comparison: &Comparison| {
        comparison
            .figures
            .iter()
            .find(|line| line.id == FigureName::LAPS_MEDIAN)
            .map(|line| (line.verdict, line.by))
    };
    assert_eq!(lap(&rebuilt), Some((Verdict::Apart, None)));
    assert_eq!(lap(&compare(&side(&book, DAY), &side(&book, july), false)), None);
    // One track: they are shown.
    let one = compare(&side(&book, DAY), &side(&book, "days/2026-08-22-senior.md"), true);
    assert!(lap(&one).unwrap().1.is_some());
}

#[test]
fn what_one_side_did_not_measure_is_told_so_and_never_as_gone() {
    let desk = Desk::new();
    let told = |format: &str| {
        let sides = ["days/2026-07-04-senior.md", "days/2026-08-22-senior.md"];
        let output = run(&desk.book(), &["compare", sides[0], sides[1], "--format", format]);
        out(&output).to_owned()
    };
    for text in [told("text"), told("html")] {
        assert!(
            text.contains("not measured") && !text.contains("gone") && !text.contains(">added<"),
            "{text}"
        );
    }
}
