//! Figures of whole notebooks compared with the formulas worked out by hand: one test for each fault found that
//! way.
//!
//! **Source** of every expected value: the formulas of a textbook (plane geometry, Hooke, the ideal gas), written out
//! here once more with nothing of the program in them.

use serde_json::Value;

use crate::desk::{Desk, out};

const G: f64 = 9.80665;

/// A book of a machine, a rider of 70 kg and days of it.
fn desk(machine: &str, days: &[&str]) -> Desk {
    let desk = Desk::empty();
    desk.write("book.toml", "title = \"By hand\"\n[defaults]\nmachine = \"heron\"\nrider = \"wren\"\n");
    desk.write("riders/wren.md", "+++\nkind = \"rider\"\n+++\n\n```rider\nmass = \"70 kg\"\n```\n");
    desk.write("tracks/pit.md", "+++\nkind = \"track\"\n+++\n\n```track\nelevation = \"0 m\"\n```\n");
    desk.write("machines/heron.md", &format!("+++\nkind = \"machine\"\n+++\n\n{machine}"));
    for (index, day) in days.iter().enumerate() {
        let date = format!("2026-04-{:02}", index + 1);
        let head = format!("+++\nkind = \"day\"\ndate = {date}\ntrack = \"pit\"\n+++\n");
        desk.write(&format!("days/{date}.md"), &format!("{head}\n{day}"));
    }
    desk
}

/// A figure as a day ends on it.
fn figure(desk: &Desk, day: usize, id: &str) -> Value {
    let all = desk.json(&["figures", &format!("days/2026-04-{day:02}.md")]);
    let mut lines = all["figures"].as_array().unwrap().iter();
    lines.rfind(|line| line["id"] == id).unwrap_or_else(|| panic!("no {id}")).clone()
}

fn value(desk: &Desk, day: usize, id: &str) -> f64 {
    let figure = figure(desk, day, id);
    figure["value"].as_f64().unwrap_or_else(|| panic!("{figure}"))
}

/// Why a figure is missing.
fn missing(desk: &Desk, day: usize, id: &str) -> String {
    let figure = figure(desk, day, id);
    assert!(figure["value"].is_null(), "{figure}");
    figure["missing"].as_array().unwrap().iter().map(|it| it.as_str().unwrap()).collect::<Vec<_>>().join("; ")
}

fn codes(desk: &Desk) -> Vec<String> {
    let output = desk.run(&["check", "--format", "json", "--on", "2026-04-09"]);
    let lines = out(&output).lines().map(|line| serde_json::from_str::<Value>(line).unwrap());
    lines.map(|line| line["code"].as_str().unwrap().to_owned()).collect()
}

fn close(found: f64, wanted: f64) {
    assert!((found - wanted).abs() <= 1e-9 * wanted.abs().max(1e-3), "found {found}, wanted {wanted}");
}

/// Frame, wheels and a shock of constant leverage.
const MACHINE: &str = r#"```frame
rake = "26.5°"
trail = "110 mm"
wheelbase = "1470 mm"
swingarm = "585 mm"
pivot_height = "405 mm"
mass = "110 kg"
front_share = "48 %"
measured_at.sag.front = "0 mm"
measured_at.sag.rear = "0 mm"
measured_at.fork.height = "5 mm"
```

```wheel front
loaded_radius = "345 mm"
unsprung = "19 kg"
```

```wheel rear
loaded_radius = "331 mm"
unsprung = "24 kg"
```

```shock
travel = "310 mm"
leverage = 2.6
spring = "50 N/mm"
thread_pitch = "1.5 mm"
```

```settings
shock.preload = "8 mm"
fork.height = "5 mm"
```

```band
sag.rear.rider = { aim = "105 mm" }
```
"#;

const COIL: &str =
    "\n```fork\nkind = \"coil\"\ntravel = \"300 mm\"\nspring = \"4.6 N/mm\"\npreload = \"8 mm\"\n```\n";

/// Rake of `MACHINE` at two sags, by plane geometry.
fn rake(front_sag: f64, rear_sag: f64) -> f64 {
    let (rake, wheelbase, front, rear) = (26.5_f64.to_radians(), 1.470, 0.345, 0.331);
    let (swingarm, pivot): (f64, f64) = (0.585, 0.405);
    let front_axle = (wheelbase - front_sag * libm::sin(rake), front + front_sag * libm::cos(rake));
    let droop = libm::asin((pivot - rear - rear_sag) / swingarm);
    let ahead = (swingarm * swingarm - (pivot - rear) * (pivot - rear)).sqrt();
    let rear_axle = (ahead - swingarm * libm::cos(droop), pivot - swingarm * libm::sin(droop));
    let (x, y) = (front_axle.0 - rear_axle.0, front_axle.1 - rear_axle.1);
    rake + libm::asin((front - rear) / libm::hypot(x, y)) - libm::atan2(y, x)
}

#[test]
fn the_machine_alone_leans_its_fork_as_it_stands_alone() {
    // Springs of 4.6 N/mm with 8 mm of preload, two of them, at sags of 35 and 75 mm; the rear at 32 and 104 mm.
    let on_wheel =
        |front: f64, rear: f64| 2.0 * 4600.0 * (front + 0.008) / libm::cos(rake(front, rear)) / G + 19.0;
    let (alone, aboard) = (on_wheel(0.035, 0.032), on_wheel(0.075, 0.104));
    let day = format!(
        "```sag front\nhanging = \"500 mm\"\nalone = \"465 mm\"\naboard = \"425 mm\"\n```\n\n\
         ```sag rear\nhanging = \"600 mm\"\nalone = \"568 mm\"\naboard = \"496 mm\"\n```\n\n\
         ```scales\nfront_alone = \"{alone:.15} kg\"\nfront_aboard = \"{aboard:.15} kg\"\n```\n"
    );
    let desk = desk(&format!("{MACHINE}{COIL}"), &[&day]);
    close(value(&desk, 1, "spring.front.rate_fitted"), 4600.0);
    close(value(&desk, 1, "spring.front.preload_fitted"), 0.008);
    // The label is the spring's, to the last digit.
    let output = desk.run(&["check", "--format", "json"]);
    assert!(!out(&output).contains("the front sags like"), "{}", out(&output));
}

#[test]
fn a_standard_chain_needs_its_own_links_where_the_travel_stops_short_of_the_line() {
    let machine = MACHINE
        .replace("\"585 mm\"", "\"402 mm\"")
        .replace(
            "\"405 mm\"",
            "\"287 mm\"\ncountershaft.ahead_of_pivot = \"51 mm\"\ncountershaft.above_pivot = \"21 mm\"",
        )
        .replace("345 mm", "220 mm")
        .replace("331 mm", "220 mm");
    let drive = "\n```drive\nfront = 14\nrear = 46\nchain = \"420\"\nlinks = 108\n```\n";
    let desk = desk(
        &format!("{machine}{drive}"),
        &["```settings\ndrive.rear = 48\n```\n", "```settings\ndrive.rear = 46\n```\n"],
    );
    close(value(&desk, 2, "drive.links_needed"), 108.0);
    // Two teeth more at the same centres: the handbook's expansion is good to a thousandth of a link here.
    let needed = value(&desk, 1, "drive.links_needed");
    assert!((needed - 109.07).abs() < 0.02, "{needed}");
}

#[test]
fn with_no_sag_read_the_collar_turns_from_where_it_is_set() {
    // A spring soft enough for such a light rider; with 50 N/mm it would have to be loose.
    let desk = desk(&MACHINE.replace("50 N/mm", "30 N/mm"), &["Nothing measured yet.\n"]);
    // Rear: 110 · 52 % and 60 % of 70 kg, less 24 kg unsprung; leverage 2.6.
    let load = (110.0 * 0.52 + 70.0 * 0.6 - 24.0) * G;
    let wanted = load * 2.6 / 30_000.0 - 0.105 / 2.6;
    close(value(&desk, 1, "spring.rear.preload_wanted"), wanted);
    close(value(&desk, 1, "spring.rear.collar_turns"), (wanted - 0.008) / 0.0015);
}

#[test]
fn a_collar_turned_since_the_reading_does_not_move_the_static_sag_that_is_to_follow() {
    let read = "```sag rear\nhanging = \"604 mm\"\nalone = \"574 mm\"\naboard = \"509 mm\"\n```\n";
    let turned = "\n```change\nshock.preload = \"6 mm\"\nbecause = \"more sag wanted\"\n```\n";
    let desk = desk(MACHINE, &[read, &format!("{read}{turned}")]);
    // With a constant leverage both ends of the sum are straight lines: what is wanted is wanted from anywhere.
    close(value(&desk, 2, "spring.rear.preload_wanted"), value(&desk, 1, "spring.rear.preload_wanted"));
    // 10 mm more rider sag is 10 mm more static sag.
    close(value(&desk, 1, "spring.rear.static_then"), 0.040);
    close(value(&desk, 2, "spring.rear.static_then"), 0.040);
}

#[test]
fn a_childs_machine_has_light_wheels() {
    let machine =
        MACHINE.replace("unsprung = \"24 kg\"", "").replace("mass = \"110 kg\"", "mass = \"55 kg\"");
    let machine = machine.replace("50 N/mm", "30 N/mm");
    let desk = desk(&machine, &["Nothing measured yet.\n"]);
    let load = (55.0 * 0.52 + 70.0 * 0.6 - 0.23 * 55.0) * G;
    close(value(&desk, 1, "spring.rear.preload_wanted"), load * 2.6 / 30_000.0 - 0.105 / 2.6);
    let figure = figure(&desk, 1, "spring.rear.preload_wanted");
    assert!(figure["assumed"].to_string().contains("23 ± 4.6 %"), "{figure}");
}

#[test]
fn stiction_is_the_difference_of_forces_and_not_of_rates() {
    let day = "```sag rear\nhanging = \"604 mm\"\naboard_after_push = \"497 mm\"\naboard_after_lift = \"501 mm\"\n```\n";
    let desk = desk(&MACHINE.replace("= 2.6", "= [2.85, 2.25]"), &[day]);
    // Leverage ℓ(z) = 2.85 − 0.6 z/310 mm; s = ∫ dz/ℓ; Fw = k (s + q)/ℓ.
    let force = |wheel: f64| {
        let leverage = 2.85 - 0.6 * wheel / 0.310;
        let stroke = 0.310 / 0.6 * libm::log(2.85 / leverage);
        50_000.0 * (stroke + 0.008) / leverage
    };
    close(value(&desk, 1, "sag.rear.stiction"), (force(0.107) - force(0.103)) / 2.0);
}

#[test]
fn a_prediction_past_the_travel_is_none_and_nothing_rests_on_it() {
    let sag = "```sag rear\nhanging = \"600 mm\"\naboard = \"300 mm\"\n```\n\n```sag front\nhanging = \"500 mm\"\naboard = \"425 mm\"\n```\n";
    let softer = "```change\nshock.preload = \"1 mm\"\nbecause = \"a slip\"\n```\n";
    let harder = "```change\nshock.preload = \"60 mm\"\nbecause = \"a slip\"\n```\n";
    let desk = desk(&format!("{MACHINE}{COIL}"), &[sag, softer, harder]);
    for (day, word) in [(2, "bottomed"), (3, "topped out")] {
        for id in ["sag.rear.rider_expected", "geometry.rake", "geometry.trail"] {
            assert!(missing(&desk, day, id).contains(word), "{id}: {}", missing(&desk, day, id));
        }
    }
    // What was read stays.
    close(value(&desk, 3, "sag.rear.rider"), 0.300);
}

/// A fork of two chambers, of which the counter chamber is far too full.
const HELD_DOWN: &str = r#"```frame
rake = "26.5°"
trail = "110 mm"
wheelbase = "1470 mm"
mass = "110 kg"
front_share = "48 %"
```

```wheel front
loaded_radius = "345 mm"
unsprung = "19 kg"
```

```fork
kind = "air"
travel = "300 mm"
ride_exponent = 1.3
```

```chamber main
side = "positive"
area = "800 mm²"
volume = "360 cm³"
```

```chamber counter
side = "negative"
area = "600 mm²"
volume = "60 cm³"
```

```settings
chamber.main = "100 psi"
chamber.counter = "190 psi"
```
"#;

/// Where that fork hangs, m, by halving.
fn hang() -> f64 {
    let (main, counter) = (100.0 * 6_894.757_293_168, 190.0 * 6_894.757_293_168);
    let force = |x: f64| {
        let positive = 800e-6 * ((main + 101_325.0) * 360e-6 / (360e-6 - 800e-6 * x) - 101_325.0);
        let negative = 600e-6 * ((counter + 101_325.0) * 60e-6 / (60e-6 + 600e-6 * x) - 101_325.0);
        positive - negative + 19.0 * G * libm::cos(26.5_f64.to_radians())
    };
    let (mut low, mut high) = (0.0, 0.3);
    assert!(force(low) < 0.0 && force(high) > 0.0);
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if force(middle) < 0.0 { low = middle } else { high = middle }
    }
    low
}

#[test]
fn a_fork_that_is_held_down_is_judged_from_where_it_hangs() {
    let sag = "```sag front\nhanging = \"470 mm\"\naboard = \"420 mm\"\n```\n";
    let desk = desk(HELD_DOWN, &[sag, "Nothing new.\n"]);
    // K = Σ n A² P V/(V ∓ A x)² / cos² ε at 50 mm past where it hangs.
    let x = hang() + 0.050;
    let part = |pressure: f64, area: f64, volume: f64, side: f64| {
        let absolute = pressure * 6_894.757_293_168 + 101_325.0;
        1.3 * area * area * absolute * volume / libm::pow(volume - side * area * x, 2.0)
    };
    let along = part(100.0, 800e-6, 360e-6, 1.0) + part(190.0, 600e-6, 60e-6, -1.0);
    close(value(&desk, 1, "wheel.front.rate"), along / libm::pow(libm::cos(26.5_f64.to_radians()), 2.0));
    // The sag itself is as it was read.
    close(value(&desk, 1, "sag.front.rider"), 0.050);
    // Nobody wrote a pressure on either day: the finding comes all the same, and once.
    let held = codes(&desk).into_iter().filter(|code| code == "fork/held-down").count();
    assert!(held >= 1, "{:?}", codes(&desk));
    let output = desk.run(&["check", "days/2026-04-01.md", "--format", "json"]);
    assert!(out(&output).contains("fork/held-down"), "{}", out(&output));
}

#[test]
fn a_chamber_that_is_nearly_closed_is_a_finding_and_no_pressure() {
    let machine = HELD_DOWN.replace("360 cm³", "240.0001 cm³").replace("190 psi", "80 psi");
    let desk = desk(&machine, &["Nothing.\n"]);
    for id in ["full.chamber.main", "fork.force.100", "fork.energy"] {
        assert!(missing(&desk, 1, id).contains("twentieth"), "{id}");
    }
    assert!(codes(&desk).contains(&"chamber/no-room".to_owned()));
}

#[test]
fn past_the_end_of_a_linkage_table_nothing_is_known() {
    let table =
        "[[\"0 mm\", \"0 mm\"], [\"50 mm\", \"19 mm\"], [\"100 mm\", \"39 mm\"], [\"200 mm\", \"81 mm\"]]";
    let machine = MACHINE.replace("= 2.6", &format!("= {table}"));
    let sag = |aboard: u32| {
        format!("```sag rear\nhanging = \"600 mm\"\nalone = \"560 mm\"\naboard = \"{aboard} mm\"\n```\n")
    };
    let desk = desk(&machine, &[&sag(380), &sag(500)]);
    for id in ["wheel.rear.rate", "spring.rear.rate_fitted", "spring.rear.collar_turns"] {
        assert!(missing(&desk, 1, id).contains("table ends at 200 mm"), "{id}");
        assert!(figure(&desk, 2, id)["value"].is_number(), "{id}");
    }
    assert!(codes(&desk).contains(&"linkage/short-table".to_owned()));
}

#[test]
fn a_wheel_that_carries_less_than_hangs_on_it_has_no_sag() {
    let day = "```scales\nrear_alone = \"22 kg\"\n```\n\n```sag rear\nhanging = \"600 mm\"\nalone = \"570 mm\"\naboard = \"500 mm\"\n```\n";
    let desk = desk(MACHINE, &[day]);
    assert!(missing(&desk, 1, "spring.rear.rate_fitted").contains("unsprung"));
    assert!(codes(&desk).contains(&"loads/below-unsprung".to_owned()));
    close(value(&desk, 1, "sag.rear.rider"), 0.100);
}

#[test]
fn air_that_cannot_exist_is_a_finding_and_no_density() {
    for conditions in [
        "air = \"220 °C\"\npressure = \"990 hPa\"",
        "air = \"22 °C\"\npressure = \"9.9 hPa\"",
        "air = \"22 °C\"\nsea_level_pressure = \"1.013 hPa\"",
    ] {
        let desk = desk(MACHINE, &[&format!("```conditions\n{conditions}\nhumidity = \"50 %\"\n```\n")]);
        assert!(codes(&desk).contains(&"quantity/impossible".to_owned()), "{conditions}");
        assert!(
            missing(&desk, 1, "air.density").starts_with("written, with an error at line"),
            "{conditions}"
        );
    }
}

#[test]
fn a_spring_that_would_top_out_is_not_the_best() {
    // The middle of the static band is 5 mm: the soft spring, much preloaded, would be topped out, at 0 mm.
    let machine =
        MACHINE.replace("sag.rear.rider", "sag.rear.static = { within = \"0..10 mm\" }\nsag.rear.rider");
    let rates = "\n```springs rear\nrates = [\"20 N/mm\", \"30 N/mm\"]\n```\n";
    let desk = desk(&format!("{machine}{rates}"), &["Nothing.\n"]);
    // By hand, leverage 2.6: q = W ℓ/k − z/ℓ, then the machine alone at (W ℓ/k − q) ℓ.
    let (alone, aboard) = ((110.0 * 0.52 - 24.0) * G, (110.0 * 0.52 + 42.0 - 24.0) * G);
    let static_sag = |rate: f64| (alone * 2.6 / rate - aboard * 2.6 / rate + 0.105 / 2.6) * 2.6;
    assert!(static_sag(20_000.0) < 0.0 && static_sag(30_000.0) > 0.010);
    close(value(&desk, 1, "spring.rear.best_rate"), 30_000.0);
}
