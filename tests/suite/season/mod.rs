//! What holds when: the replay of a diary, compared with hand-made days and with a plain model.

mod model;
mod pressures;

use std::sync::Arc;

use loambook::book::Book;
use loambook::season::Season;
use loambook::session::Compiled;
use loambook::source::Memory;
use loambook::vocabulary::Setting;

use crate::books;

const MACHINE: &str = r#"+++
kind = "machine"
+++
```shock
travel = "300 mm"
leverage = 3
spring = "48 N/mm"
thread_pitch = "1.5 mm"
```
```drive
front = 13
rear = 50
chain = "520"
```
```settings
fork.height = "5 mm"
fork.rebound = "12 clicks"
shock.preload = "8 mm"
```
"#;

/// A book of one machine, some riders, and days given as (date, rider, body).
fn replayed(riders: &[(&str, &str)], days: &[(&str, &str, &str)]) -> (Arc<Book>, Arc<Season>) {
    let mut store = Memory::new().with("machine.md", MACHINE);
    for (name, body) in riders {
        store = store.with(format!("riders/{name}.md"), format!("+++\nkind = \"rider\"\n+++\n{body}"));
    }
    for (date, rider, body) in days {
        let head =
            format!("+++\nkind = \"day\"\ndate = {date}\nmachine = \"machine\"\nrider = \"{rider}\"\n+++\n");
        store = store.with(format!("days/{date}-{rider}.md"), format!("{head}{body}"));
    }
    let Compiled { book, season, .. } = books::replayed(&store);
    (book, season)
}

fn ends_on(season: &Season, day: usize, name: Setting) -> Option<f64> {
    season.days[day].end().setting(name)?.value.number()
}

fn millimetres(season: &Season, day: usize, name: Setting) -> f64 {
    (ends_on(season, day, name).unwrap() * 1e6).round() / 1e3
}

#[test]
fn a_setting_holds_until_it_is_written_again() {
    let (_, season) = replayed(
        &[("a", "")],
        &[
            ("2026-04-01", "a", "```change\nfork.height = \"2 mm down\"\nbecause = \"x\"\n```\n"),
            ("2026-04-08", "a", "Rained off.\n"),
            ("2026-04-15", "a", "```settings\nfork.height = \"5 mm\"\n```\n"),
        ],
    );
    assert_eq!(millimetres(&season, 0, Setting::FORK_HEIGHT), 3.0);
    assert_eq!(millimetres(&season, 1, Setting::FORK_HEIGHT), 3.0);
    assert_eq!(millimetres(&season, 2, Setting::FORK_HEIGHT), 5.0);
    assert_eq!(season.days[2].previous, Some(1));
}

#[test]
fn back_undoes_the_last_change_and_back_again_the_one_before() {
    let body = "```change\nfork.height = \"2 mm down\"\nbecause = \"x\"\n```\n\
                ```change\nfork.rebound = \"2 clicks in\"\nbecause = \"x\"\n```\n\
                ```change\nback = true\n```\n```change\nback = true\n```\n";
    let (_, season) = replayed(&[("a", "")], &[("2026-04-01", "a", body)]);
    let rebound = |point: usize| {
        season.days[0].points[point].state.setting(Setting::FORK_REBOUND).unwrap().value.number().unwrap()
    };
    assert_eq!((rebound(1), rebound(2)), (10.0, 12.0));
    assert_eq!(millimetres(&season, 0, Setting::FORK_HEIGHT), 5.0);
}

#[test]
fn back_reaches_into_the_day_before() {
    let (_, season) = replayed(
        &[("a", "")],
        &[
            ("2026-04-01", "a", "```change\nfork.height = \"2 mm down\"\nbecause = \"x\"\n```\n"),
            ("2026-04-08", "a", "```change\nback = true\n```\n"),
        ],
    );
    assert_eq!(millimetres(&season, 1, Setting::FORK_HEIGHT), 5.0);
}

#[test]
fn turns_of_the_collar_go_by_its_thread() {
    let (_, season) = replayed(
        &[("a", "")],
        &[("2026-04-01", "a", "```change\nshock.preload = \"1 turn in\"\nbecause = \"x\"\n```\n")],
    );
    assert_eq!(millimetres(&season, 0, Setting::SHOCK_PRELOAD), 9.5);
}

#[test]
fn a_sprocket_stays_on_the_machine_and_a_clicker_with_its_rider() {
    let body = "```change\ndrive.rear = 51\nfork.rebound = \"2 clicks in\"\nbecause = \"x\"\n```\n";
    let (_, season) = replayed(
        &[("a", ""), ("b", "")],
        &[("2026-04-01", "a", body), ("2026-04-02", "b", "Second rider.\n")],
    );
    assert_eq!(ends_on(&season, 1, Setting::DRIVE_REAR), Some(51.0));
    assert_eq!(ends_on(&season, 1, Setting::FORK_REBOUND), Some(12.0));
}

#[test]
fn a_plan_is_in_force_only_once_it_is_used() {
    let plan = "```settings mud\nfork.rebound = \"15 clicks\"\n```\n";
    let (_, season) = replayed(
        &[("a", "")],
        &[
            ("2026-04-01", "a", plan),
            ("2026-04-02", "a", &format!("{plan}```change\nuse = \"mud\"\nbecause = \"rain\"\n```\n")),
        ],
    );
    assert_eq!(ends_on(&season, 0, Setting::FORK_REBOUND), Some(12.0));
    assert_eq!(ends_on(&season, 1, Setting::FORK_REBOUND), Some(15.0));
}

#[test]
fn a_riders_own_settings_come_over_the_standard() {
    let own = "```settings machine\nfork.rebound = \"9 clicks\"\n```\n";
    let (_, season) = replayed(
        &[("a", own)],
        &[("2026-04-01", "a", "```change\nfork.rebound = \"1 click in\"\nbecause = \"x\"\n```\n")],
    );
    assert_eq!(ends_on(&season, 0, Setting::FORK_REBOUND), Some(8.0));
}

#[test]
fn what_is_void_counts_nowhere() {
    let body = "```settings\nfork.rebound = \"3 clicks\"\nvoid = \"read from the wrong leg\"\n```\n";
    let (book, season) = replayed(&[("a", "")], &[("2026-04-01", "a", body)]);
    assert_eq!(ends_on(&season, 0, Setting::FORK_REBOUND), Some(12.0));
    assert_eq!(book.days[0].notebook.voided[0].why, "read from the wrong leg");
}
