//! Changes made on purpose, with their figures worked out in a second way.

use loambook::figures::{Bench, Here, Plain};
use loambook::pages::compare::FigureChange;

use super::*;

#[test]
fn two_clicks_are_two_clicks_and_no_figure() {
    let was = read(&Disk::new(demo()));
    let is = demo_with(DAY, |text| {
        text.replace(
            "fork.height = \"2 mm up\"\n",
            "fork.height = \"2 mm up\"\nfork.rebound = \"2 clicks in\"\n",
        )
    });
    let comparison = compare(&side(&was, DAY), &side(&is, DAY), false);
    let told: Vec<(Setting, &str)> =
        comparison.changed_settings().map(|line| (line.id, line.change.as_deref().unwrap())).collect();
    assert_eq!(told, [(Setting::FORK_REBOUND, "2 clicks in")]);
    assert!(comparison.figures.is_empty() && comparison.pressures.lines.is_empty());
    assert!(comparison.fork.is_none() && !comparison.is_text_changed);
}

#[test]
fn a_longer_tape_reading_moves_the_sag_by_as_much() {
    let was = read(&Disk::new(demo()));
    let is =
        demo_with(DAY, |text| text.replace("aboard = \"496 496 496 mm\"", "aboard = \"492 492 492 mm\""));
    let comparison = compare(&side(&was, DAY), &side(&is, DAY), false);
    assert_eq!(comparison.changed_settings().count(), 0);
    let sag = comparison.figures.iter().find(|line| line.id == FigureName::SAG_RIDER.of(End::Rear)).unwrap();
    assert!((sag.by.unwrap() - 0.004).abs() < 1e-12);
    assert!((sag.expanded.unwrap() - two_readings()).abs() < 1e-9, "{:?}", sag.expanded);
    assert_eq!(sag.verdict, Verdict::Beyond);
    // 4 mm of 300 mm of wheel travel, by the machine's notebook.
    let share =
        comparison.figures.iter().find(|line| line.id == FigureName::SAG_RIDER_SHARE.of(End::Rear)).unwrap();
    assert!((share.by.unwrap() - 4.0 / 300.0).abs() < 1e-12);
    // It changes how the front sits over the ground; what was read there, and the fork, stay.
    let of_front =
        |id: &&str| id.starts_with("fork.") || ["sag.front.rider", "sag.front.static"].contains(id);
    assert_eq!(ids(comparison.figures.iter()).into_iter().filter(of_front).count(), 0);
}

#[test]
fn a_sprocket_shows_in_the_gearing_alone() {
    let was = read(&Disk::new(demo()));
    let is = demo_with(DAY, |text| {
        text.replace("fork.height = \"2 mm up\"\n", "fork.height = \"2 mm up\"\ndrive.rear = 51\n")
    });
    let comparison = compare(&side(&was, DAY), &side(&is, DAY), false);
    let ratio = comparison.figures.iter().find(|line| line.id == FigureName::DRIVE_RATIO).unwrap();
    assert!((ratio.by.unwrap() - (51.0 - 50.0) / 13.0).abs() < 1e-12);
    for line in comparison.figures.iter().filter(|line| line.id.as_str().starts_with("drive.speed.")) {
        let speed = |said: &Option<loambook::pages::compare::Said>| {
            said.as_ref().unwrap().value.split(' ').next().unwrap().parse::<f64>().unwrap()
        };
        // Speed goes with the inverse of the ratio.
        assert!((speed(&line.b) / speed(&line.a) - 50.0 / 51.0).abs() < 0.01, "{line:?}");
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
    let is = demo_with(DAY, |text| text.replace("all of them written down:", "all written down.\n\nAnd"));
    let comparison = compare(&side(&was, DAY), &side(&is, DAY), false);
    assert!(comparison.is_text_changed && !comparison.is_empty);
    assert!(comparison.figures.is_empty() && comparison.settings.is_empty() && comparison.fork.is_none());
}

#[test]
fn a_machine_is_compared_entry_by_entry() {
    const MACHINE: &str = "machines/corrie-450.md";
    let was = read(&Disk::new(demo()));
    let is = demo_with(MACHINE, |text| text.replace("rake = \"27.3°\"", "rake = \"27.8°\""));
    let comparison = compare(&side(&was, MACHINE), &side(&is, MACHINE), false);
    let [entry] = comparison.written.as_slice() else { panic!("{:?}", comparison.written) };
    assert_eq!((entry.block.as_str(), entry.key.as_str()), ("frame", "rake"));
    assert_eq!((entry.a.as_deref(), entry.b.as_deref()), (Some("27.3°"), Some("27.8°")));
    assert!(comparison.settings.is_empty());
    // The day that rests on the machine sees it in its geometry.
    let day = compare(&side(&was, DAY), &side(&is, DAY), false);
    let rake = day.figures.iter().find(|line| line.id == FigureName::RAKE).unwrap();
    assert!((rake.by.unwrap().to_degrees() - 0.5).abs() < 1e-3, "{rake:?}");
}

#[test]
fn pressures_are_brought_to_one_air() {
    let book = read(&Disk::new(demo()));
    let comparison = compare(&side(&book, EARLIER), &side(&book, DAY), true);
    // Both were set to 141 psi: in a leg of 10 °C for a gate of 12 °C and 1004 hPa, and in one of 13 °C for a gate
    // of 15 °C and 1011 hPa. Brought to the first gate by hand, p T/T and absolute throughout, from the legs'
    // temperatures; each leg stood at its own gate's height.
    let psi = 6894.757293168;
    let first = (141.0 * psi + 100_400.0) * (12.0 + 273.15) / (10.0 + 273.15) - 100_400.0;
    let second = (141.0 * psi + 101_100.0) * (12.0 + 273.15) / (13.0 + 273.15) - 100_400.0;
    let line =
        comparison.pressures.lines.iter().find(|line| line.id.as_str() == "gate.chamber.counter").unwrap();
    assert!((line.by.unwrap() - (second - first)).abs() < 1.0, "{line:?} is not {}", second - first);
    assert_eq!(line.verdict, Verdict::Beyond);
    assert_eq!(comparison.pressures.brought_to.as_deref(), Some("12 °C and 1004 hPa"));
    // The same notebook at two lines of one day has one air.
    let file = book.0.sources.find(DAY).unwrap();
    let line = Side::new(&book.0, &book.1, "early", Subject::Line(file, 60)).unwrap();
    assert_eq!(compare(&line, &side(&book, DAY), true).pressures.brought_to, None);
}

#[test]
fn the_largest_difference_of_the_forks_is_where_it_is() {
    let was = read(&Disk::new(demo()));
    let is = demo_with(DAY, |text| text.replace("\ncounter = \"141 psi\"", "\ncounter = \"136 psi\""));
    let comparison = compare(&side(&was, DAY), &side(&is, DAY), false);
    let fork = comparison.fork.unwrap();
    let gaps: Vec<(f64, f64)> =
        fork.a.points.iter().zip(&fork.b.points).map(|(a, b)| (a.0, b.1 - a.1)).collect();
    let most = gaps
        .iter()
        .copied()
        .fold((0.0, 0.0), |most: (f64, f64), gap| if gap.1.abs() > most.1.abs() { gap } else { most });
    assert!((most.0 - fork.largest_at).abs() <= 300.0 / 60.0, "{most:?} and {}", fork.largest_at);
    assert!((most.1 - fork.by).abs() <= 1e-2 * fork.by.abs(), "{most:?} and {}", fork.by);
    assert!(fork.by > 0.0 && fork.verdict == Verdict::Beyond);
}

/// The earlier day in the demo's own book, and with one more block at its end. Its sags were read on the day itself, so
/// that none is predicted.
fn with_change(lines: &str) -> [(Arc<Book>, Arc<Season>); 2] {
    let end = "```expect\nsteering.drop";
    let block = format!("```change\n{lines}\nbecause = \"to see\"\n```\n\n{end}");
    [read(&Disk::new(demo())), demo_with(EARLIER, |text| text.replace(end, &block))]
}

fn line(comparison: &Comparison, id: FigureName) -> &FigureChange {
    comparison.lines().find(|line| line.id == id).unwrap_or_else(|| panic!("{id} does not differ"))
}

fn close(is: f64, wanted: f64, share: f64) {
    assert!((is - wanted).abs() <= share * wanted.abs(), "{is} is not {wanted}");
}

/// Figures at the end of the day, by their names.
fn values(of: &(Arc<Book>, Arc<Season>), names: [FigureName; 2]) -> [f64; 2] {
    let day = of.0.days.iter().position(|day| day.notebook.path == EARLIER).unwrap();
    let here = Here::of_day(&of.0, &of.1, day, of.1.days[day].end()).unwrap();
    let bench = Bench::new(here, Plain);
    names.map(|name| bench.value(name).unwrap())
}

#[test]
fn tubes_turn_the_machine_about_its_wheels() {
    // Two millimetres further up in the clamps than the 4 mm that were left, give or take half of one.
    let [was, is] = with_change("fork.height = \"6 ± 0.5 mm\"");
    let comparison = compare(&side(&was, EARLIER), &side(&is, EARLIER), false);
    let told: Vec<_> =
        comparison.changed_settings().map(|line| (line.id, line.change.as_deref().unwrap())).collect();
    assert_eq!(told, [(Setting::FORK_HEIGHT, "2 mm up")]);
    let [rake, wheelbase] = values(&was, [FigureName::RAKE, FigureName::WHEELBASE]);
    // Radii from the rollouts in the machine's notebook.
    let [front, rear] = [2.141, 2.069].map(|rollout| rollout / std::f64::consts::TAU);
    // The second way: in the frame that stood still, the front axle moves along the steering axis; then the frame
    // is turned about the rear axle until the front wheel stands on the ground again.
    let rake_after = |raised: f64| {
        let axle = (wheelbase - raised * libm::sin(rake), front - rear + raised * libm::cos(rake));
        let ground = libm::asin((front - rear) / libm::hypot(axle.0, axle.1));
        rake + ground - libm::atan2(axle.1, axle.0)
    };
    let turned = line(&comparison, FigureName::RAKE);
    close(turned.by.unwrap(), rake_after(0.002) - rake, 1e-6);
    // Half a millimetre either way is the whole uncertainty; the tape's errors are on both sides.
    let doubt = (rake_after(0.0025) - rake_after(0.0015)).abs() / 2.0;
    close(turned.expanded.unwrap(), doubt, 1e-3);
    assert_eq!(turned.verdict, Verdict::Beyond);
    // The fork's own figures and the sags that were read do not appear.
    let strangers = |id: &&str| ["fork.", "sag.rear.rider", "drive."].iter().any(|part| id.starts_with(part));
    assert_eq!(ids(comparison.figures.iter()).into_iter().filter(strangers).count(), 0);
}

#[test]
fn a_turn_of_the_collar_lifts_the_rear_as_its_linkage_says() {
    let [was, is] = with_change("shock.preload = \"1 turn in\"");
    let comparison = compare(&side(&was, EARLIER), &side(&is, EARLIER), false);
    let told: Vec<_> =
        comparison.changed_settings().map(|line| (line.id, line.change.as_deref().unwrap())).collect();
    assert_eq!(told, [(Setting::SHOCK_PRELOAD, "1.5 mm more")]);
    // The second way: equilibrium on the machine's own table of the linkage, between its points by Lagrange, solved by
    // halving. 48 N/mm at 9.7 mm, one turn of 1.5 mm; 101.6 kg on the rear wheel of which 24 kg hang below the spring.
    const TABLE: [(f64, f64); 4] = [(60.0, 20.50), (90.0, 30.93), (120.0, 41.52), (150.0, 52.30)];
    let stroke = |wheel: f64| -> f64 {
        let term = |(at, value): &(f64, f64)| {
            let others = TABLE.iter().filter(|(other, _)| other != at);
            others.fold(*value, |term, (other, _)| term * (wheel - other) / (at - other))
        };
        TABLE.iter().map(term).sum()
    };
    let rests = |weight: f64, preload: f64| {
        let (mut low, mut high) = (60.0, 150.0);
        for _ in 0..80 {
            let at: f64 = (low + high) / 2.0;
            let ratio = (stroke(at + 1e-4) - stroke(at - 1e-4)) / 2e-4;
            if 48.0 * (stroke(at) + preload) * ratio < weight { low = at } else { high = at }
        }
        low
    };
    const GRAVITY: f64 = 9.80665;
    let lifted = |weight: f64| (rests(weight, 9.7 + 1.5) - rests(weight, 9.7)) / 1000.0;
    let weight = (101.6 - 24.0) * GRAVITY;
    let sag = line(&comparison, FigureName::SAG_RIDER_EXPECTED.of(End::Rear));
    close(sag.by.unwrap(), lifted(weight), 1e-3);
    // The reading with the tape is on both sides. The scales do not cancel: a bias of 0.3 kg, and two readings of a tenth
    // of division. Their scatter is pooled from 0.2 kg beforehand (4 degrees of freedom), one pair that lies 0.2 kg apart
    // and one of equals. JCGM 100:2008, 4.2.3, 4.3.7, 5.1.2; k = 2.05 for 50 degrees of freedom (Table G.2).
    let pooled = (4.0 * 0.2 * 0.2 + 0.02) / 6.0;
    let plates = (0.3 * 0.3 / 3.0 + pooled / 2.0 + 0.05 * 0.05 / 3.0_f64).sqrt() * GRAVITY;
    let slope = (lifted(weight + 1.0) - lifted(weight - 1.0)) / 2.0;
    close(sag.expanded.unwrap(), 2.05 * slope.abs() * plates, 0.01);
    close(line(&comparison, FigureName::SPRING_COLLAR_TURNS.of(End::Rear)).by.unwrap(), -1.0, 2e-3);
}

#[test]
fn two_pounds_in_the_main_chamber_push_by_its_area() {
    let was = read(&Disk::new(demo()));
    let is = demo_with(EARLIER, |text| text.replace("\nmain = \"154 psi\"", "\nmain = \"156 psi\""));
    let comparison = compare(&side(&was, EARLIER), &side(&is, EARLIER), false);
    assert_eq!(comparison.changed_settings().count(), 0);
    const PSI: f64 = 6894.757293168;
    // The second way: from the legs' 10 °C to the gate's 12 °C at one height, all else cancelling.
    let warmed = (12.0 + 273.15) / (10.0 + 273.15);
    // A gauge that repeats within 0.3 psi and shows tenths, read twice; its bias is on both sides.
    let doubt = 2.0 * (2.0 * (0.3 * 0.3 + 0.05 * 0.05 / 3.0_f64)).sqrt() * PSI * warmed;
    let gate = line(&comparison, FigureName::GATE_CHAMBER.named("main"));
    close(gate.by.unwrap(), 2.0 * PSI * warmed, 1e-9);
    // The thermometer, on both sides too, leaves its share of two pounds: some parts in 10⁵.
    close(gate.expanded.unwrap(), doubt, 1e-4);
    // 740 mm² at no travel; and p Vⁿ of 345 cm³ less 740 mm² over 300 mm with n = 1.3 at all of it.
    let force = line(&comparison, FigureName::FORK_FORCE.of(0));
    close(force.by.unwrap(), 2.0 * PSI * warmed * 740e-6, 1e-9);
    close(force.expanded.unwrap(), doubt * 740e-6, 1e-4);
    let squeezed = libm::pow(345.0 / (345.0 - 740e-2 * 30.0), 1.3);
    let full = line(&comparison, FigureName::FULL_CHAMBER.named("main"));
    close(full.by.unwrap(), 2.0 * PSI * warmed * squeezed, 1e-9);
    // An ideal gas is up to a twentieth off past 20 bar, the same on both sides.
    let dense = 0.05 * 2.0 * PSI * warmed * squeezed;
    close(full.expanded.unwrap(), libm::hypot(doubt * squeezed, dense), 1e-4);
    // No pressure was in another air, and nothing else moved.
    assert_eq!(comparison.pressures.brought_to, None);
    assert!(comparison.pressures.lines.iter().all(|line| line.id.as_str().ends_with(".main")));
    assert!(comparison.fork.is_some_and(|fork| !fork.is_in_own_air));
}

#[test]
fn a_sprocket_slows_every_gear_by_its_teeth() {
    let [was, is] = with_change("drive.rear = 51");
    let comparison = compare(&side(&was, EARLIER), &side(&is, EARLIER), false);
    // The second way: revolutions at the limit through primary, gear and chain, times the rollout.
    for (gear, ratio) in (1..).zip([2.00, 1.65, 1.39, 1.18, 1.02]) {
        let speed = |teeth: f64| 11400.0 / 60.0 / (2.74 * ratio * teeth / 13.0) * 2.069;
        let moved = line(&comparison, FigureName::DRIVE_SPEED.of(gear));
        close(moved.by.unwrap(), speed(51.0) - speed(50.0), 1e-9);
        // No notebook says how well the rollout is known.
        assert_eq!((moved.expanded, moved.verdict), (None, Verdict::Unknown));
    }
}
