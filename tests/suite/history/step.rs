//! The effect of the last `change` by itself.

use loambook::figures::{Bench, Here, Plain};
use loambook::session::Compiled;
use loambook::source::{Disk, Memory};

use crate::books::{self, replayed};

/// Figures where a day of the demo's senior begins, and after each of its blocks.
fn after_blocks(blocks: &str, names: &[&str]) -> Vec<Vec<Option<f64>>> {
    let path = "days/2026-11-07-senior.md";
    let head = "+++\nkind = \"day\"\ndate = 2026-11-07\nmachine = \"corrie-450\"\nrider = \"senior\"\n\
                track = \"marram-bank\"\n+++\n";
    let disk = Disk::new("notebooks");
    let store = Memory::over(&disk).with(path, format!("{head}{blocks}"));
    let Compiled { book, season, .. } = replayed(&store);
    let index = book.days.iter().position(|day| day.notebook.path == path).unwrap();
    let replay = &season.days[index];
    let states = std::iter::once(&replay.start).chain(replay.points.iter().map(|point| &point.state));
    let value = |state, name: &&str| {
        Bench::new(Here::of_day(&book, &season, index, state).unwrap(), Plain).value(books::figure(name))
    };
    states.map(|state| names.iter().map(|name| value(state, name)).collect()).collect()
}

#[test]
fn what_the_last_change_did_by_itself_is_a_figure_of_its_own() {
    let names = ["geometry.rake", "geometry.trail", "step.geometry.rake", "step.geometry.trail"];
    let change = |what: &str| format!("```change\n{what}\nbecause = \"to see\"\n```\n");
    let blocks = [
        change("fork.height = \"3 mm up\""),
        change("fork.rebound = \"1 click out\""),
        change("back = true"),
        change("back = true"),
    ]
    .concat();
    let after = after_blocks(&blocks, &names);
    assert_eq!(after.len(), 5);
    // Above the first change there is none.
    assert_eq!((after[0][2], after[0][3]), (None, None));
    let number = |at: usize, name: usize| after[at][name].unwrap();
    // By hand, for small angles: tubes 3 mm up at a rake near 27° and a wheelbase near 1.476 m turn the machine by
    // 3 mm · cos 27° / 1.476 m.
    let by_hand = -0.003 * libm::cos(27_f64.to_radians()) / 1.476;
    assert!((number(1, 2) / by_hand - 1.0).abs() < 0.05, "{} by hand {by_hand}", number(1, 2));
    // The comparison of what the machine rests on before and after gives it too, except for the small part by which the
    // expected sags move with rake.
    let near = |one: f64, other: f64| (one - other).abs() < 2e-3 * other.abs();
    for name in [0, 1] {
        let by_itself = number(1, name) - number(0, name);
        assert!(by_itself < -1e-5, "tubes up in the clamps steepen the steering: {by_itself}");
        assert!(near(number(1, name + 2), by_itself));
        // A click, and a click back, do not move the geometry.
        assert!(number(2, name + 2).abs() < 1e-12 && number(3, name + 2).abs() < 1e-12);
        // Going back is a change as well.
        assert!(near(number(4, name + 2), -by_itself));
    }
}

#[test]
fn a_gearing_change_moves_the_wheelbase_by_what_the_axle_moves() {
    let names = ["geometry.wheelbase", "step.geometry.wheelbase", "step.geometry.offset"];
    let blocks = "```change\ndrive.rear = 51\nbecause = \"to see\"\n```\n";
    let after = after_blocks(blocks, &names);
    let by_itself = after[1][0].unwrap() - after[0][0].unwrap();
    assert!(by_itself < -1e-3, "a larger sprocket draws the axle forward: {by_itself}");
    assert!((after[1][1].unwrap() - by_itself).abs() < 1e-6, "{after:?}");
    assert_eq!(after[1][2], Some(0.0));
}
