//! Changes made on purpose, with their figures worked out a second way.

use super::*;

#[test]
fn two_clicks_are_two_clicks_and_no_figure() {
    let was = read(&Disk::new(demo()));
    let is = demo_with(DAY, |text| {
        text.replace(
            "other.levers = \"10 mm inboard, grips to match\"\n",
            "other.levers = \"10 mm inboard, grips to match\"\nfork.rebound = \"2 clicks in\"\n",
        )
    });
    let comparison = compare(&side(&was, DAY), &side(&is, DAY), false);
    let told: Vec<(&str, &str)> = comparison
        .changed_settings()
        .map(|line| (line.id.as_str(), line.change.as_deref().unwrap()))
        .collect();
    assert_eq!(told, [(settings::FORK_REBOUND, "2 clicks in")]);
    assert!(comparison.figures.is_empty() && comparison.pressures.lines.is_empty());
    assert!(comparison.fork.is_none() && !comparison.is_text_changed);
}

#[test]
fn a_longer_tape_reading_moves_the_sag_by_as_much() {
    let was = read(&Disk::new(demo()));
    let is =
        demo_with(DAY, |text| text.replace("aboard = \"507 507 507 mm\"", "aboard = \"503 503 503 mm\""));
    let comparison = compare(&side(&was, DAY), &side(&is, DAY), false);
    assert_eq!(comparison.changed_settings().count(), 0);
    let sag = comparison.figures.iter().find(|line| line.id == "sag.rear.rider").unwrap();
    assert!((sag.by.unwrap() - 0.004).abs() < 1e-12);
    assert!((sag.expanded.unwrap() - two_readings()).abs() < 1e-9, "{:?}", sag.expanded);
    assert_eq!(sag.verdict, Verdict::Beyond);
    // 4 mm of 310 mm of wheel travel, by the machine's notebook.
    let share = comparison.figures.iter().find(|line| line.id == "sag.rear.rider_share").unwrap();
    assert!((share.by.unwrap() - 4.0 / 310.0).abs() < 1e-12);
    // The front stands otherwise on the ground for it; what was read there, and the fork, do not change.
    let of_front =
        |id: &&str| id.starts_with("fork.") || ["sag.front.rider", "sag.front.static"].contains(id);
    assert_eq!(ids(comparison.figures.iter()).into_iter().filter(of_front).count(), 0);
}

#[test]
fn a_sprocket_shows_in_the_gearing_alone() {
    let was = read(&Disk::new(demo()));
    let is = demo_with(DAY, |text| {
        text.replace("fork.height = \"2 mm down\"\n", "fork.height = \"2 mm down\"\ndrive.rear = 50\n")
    });
    let comparison = compare(&side(&was, DAY), &side(&is, DAY), false);
    let ratio = comparison.figures.iter().find(|line| line.id == figures::DRIVE_RATIO).unwrap();
    assert!((ratio.by.unwrap() - (50.0 - 49.0) / 13.0).abs() < 1e-12);
    for line in comparison.figures.iter().filter(|line| line.id.starts_with("drive.speed.")) {
        let speed = |said: &Option<loambook::pages::compare::Said>| {
            said.as_ref().unwrap().value.split(' ').next().unwrap().parse::<f64>().unwrap()
        };
        // Speed goes with the inverse of the ratio.
        assert!((speed(&line.b) / speed(&line.a) - 49.0 / 50.0).abs() < 0.01, "{line:?}");
    }
    let strangers: Vec<&str> = ids(comparison.figures.iter())
        .into_iter()
        .filter(|id| {
            ["fork.", "air.", "laps.", "steering."].iter().any(|part| id.starts_with(part))
                || id.ends_with(".rider")
        })
        .collect();
    assert!(strangers.is_empty(), "{strangers:?}");
}

#[test]
fn prose_is_only_text_changed() {
    let was = read(&Disk::new(demo()));
    let is = demo_with(DAY, |text| {
        text.replace("Four steps and three Saturdays.", "Four steps.\n\nThree Saturdays.")
    });
    let comparison = compare(&side(&was, DAY), &side(&is, DAY), false);
    assert!(comparison.is_text_changed && !comparison.is_empty);
    assert!(comparison.figures.is_empty() && comparison.settings.is_empty() && comparison.fork.is_none());
}

#[test]
fn a_machine_is_compared_entry_by_entry() {
    const MACHINE: &str = "machines/corrie-450.md";
    let was = read(&Disk::new(demo()));
    let is = demo_with(MACHINE, |text| text.replace("rake = \"26.9°\"", "rake = \"27.4°\""));
    let comparison = compare(&side(&was, MACHINE), &side(&is, MACHINE), false);
    let [entry] = comparison.written.as_slice() else { panic!("{:?}", comparison.written) };
    assert_eq!((entry.block.as_str(), entry.key.as_str()), ("frame", "rake"));
    assert_eq!((entry.a.as_deref(), entry.b.as_deref()), (Some("26.9°"), Some("27.4°")));
    assert!(comparison.settings.is_empty());
    // The day that stands on the machine sees it in its geometry.
    let day = compare(&side(&was, DAY), &side(&is, DAY), false);
    let rake = day.figures.iter().find(|line| line.id == figures::RAKE).unwrap();
    assert!((rake.by.unwrap().to_degrees() - 0.5).abs() < 1e-3, "{rake:?}");
}

#[test]
fn pressures_are_brought_to_one_air() {
    let book = read(&Disk::new(demo()));
    let comparison = compare(&side(&book, EARLIER), &side(&book, DAY), true);
    // Both were set to 189 psi: in a leg of 10 °C for a gate of 11 °C and 1006 hPa, and in one of 13 °C for a gate
    // of 15 °C and 1011 hPa. Brought to the first gate by hand, p T/T and absolute throughout, from the legs'
    // temperatures; each leg stood at its own gate's height.
    let psi = 6894.757293168;
    let first = (189.0 * psi + 100_600.0) * (11.0 + 273.15) / (10.0 + 273.15) - 100_600.0;
    let second = (189.0 * psi + 101_100.0) * (11.0 + 273.15) / (13.0 + 273.15) - 100_600.0;
    let line = comparison.pressures.lines.iter().find(|line| line.id == "gate.chamber.inner").unwrap();
    assert!((line.by.unwrap() - (second - first)).abs() < 1.0, "{line:?} is not {}", second - first);
    assert_eq!(line.verdict, Verdict::Beyond);
    assert_eq!(comparison.pressures.brought_to.as_deref(), Some("11.0 °C and 1006.0 hPa"));
    // The same notebook at two lines of one day is in one air.
    let file = book.0.sources.find(DAY).unwrap();
    let line = Side::new(&book.0, &book.1, "early", Subject::Line(file, 60)).unwrap();
    assert_eq!(compare(&line, &side(&book, DAY), true).pressures.brought_to, None);
}

#[test]
fn the_largest_difference_of_the_forks_is_where_it_is() {
    let was = read(&Disk::new(demo()));
    let is = demo_with(DAY, |text| text.replace("outer = \"0 psi\"", "outer = \"5 psi\""));
    let comparison = compare(&side(&was, DAY), &side(&is, DAY), false);
    let fork = comparison.fork.unwrap();
    let gaps: Vec<(f64, f64)> =
        fork.a.points.iter().zip(&fork.b.points).map(|(a, b)| (a.0, b.1 - a.1)).collect();
    let most = gaps
        .iter()
        .copied()
        .fold((0.0, 0.0), |most: (f64, f64), gap| if gap.1.abs() > most.1.abs() { gap } else { most });
    assert!((most.0 - fork.largest_at).abs() <= 305.0 / 60.0, "{most:?} and {}", fork.largest_at);
    assert!((most.1 - fork.by).abs() <= 1e-2 * fork.by.abs(), "{most:?} and {}", fork.by);
    assert!(fork.by > 0.0 && fork.verdict == Verdict::Beyond);
}
