//! Two seasons.

use super::*;

#[test]
fn medians_ranges_tracks_and_drift_are_those_by_hand() {
    let mut store = Memory::new().with(
        "machines/heron.md",
        "+++\nkind = \"machine\"\n+++\n```settings\nfork.height = \"5 mm\"\nfork.rebound = \"12 clicks\"\n```\n",
    );
    store.set("tracks/quarry.md", "+++\nkind = \"track\"\nname = \"Quarry\"\n+++\n");
    store.set("riders/wren.md", "+++\nkind = \"rider\"\n+++\n");
    // Sags by hand: 100, 102, 104 a month apart; then 100 on every day.
    let days = [
        ("2025-03-01", 500, "fork.height = \"5 mm\""),
        ("2025-03-31", 498, "fork.height = \"4 mm\""),
        ("2025-04-30", 496, "fork.height = \"2 mm\""),
        ("2026-03-01", 500, "fork.rebound = \"10 clicks\""),
        ("2026-03-31", 500, "fork.height = \"2 mm\""),
    ];
    for (date, aboard, setting) in days {
        store.set(
            format!("days/{date}.md"),
            format!(
                "+++\nkind = \"day\"\ndate = {date}\nmachine = \"heron\"\nrider = \"wren\"\ntrack = \"quarry\"\n+++\n\
                 ```settings\n{setting}\n```\n```sag rear\nhanging = \"600 mm\"\naboard = \"{aboard} mm\"\n```\n"
            ),
        );
    }
    let (book, season) = read(&store);
    let year = |wanted: i16| move |date: jiff::civil::Date| date.year() == wanted;
    let (then, now) = (year(2025), year(2026));
    let compared =
        compare_seasons(&book, &season, ("heron", Some("wren")), [("2025", &then), ("2026", &now)]);
    assert_eq!((compared.a.days, compared.b.days), (3, 2));
    assert_eq!(compared.a.tracks, [("Quarry".to_owned(), 3)]);
    let height = compared.settings.iter().find(|line| line.id == Setting::FORK_HEIGHT.into()).unwrap();
    let (a, b) = (height.a.as_ref().unwrap(), height.b.as_ref().unwrap());
    assert!((a.si.unwrap() - 0.004).abs() < 1e-12 && (b.si.unwrap() - 0.002).abs() < 1e-12);
    assert_eq!(a.range.as_deref().map(|range| range.matches('–').count()), Some(1));
    assert_eq!(height.change.as_deref(), Some("2 mm down"));
    let rebound = compared.settings.iter().find(|line| line.id == Setting::FORK_REBOUND.into()).unwrap();
    assert_eq!(rebound.change.as_deref(), Some("2 clicks in"));
    let sag = compared.figures.iter().find(|line| line.id.as_str() == "sag.rear.rider").unwrap();
    assert!((sag.a.as_ref().unwrap().si.unwrap() - 0.102).abs() < 1e-12);
    let drifts: Vec<(&str, f64)> =
        compared.sag.iter().map(|drift| (drift.season.as_str(), drift.a_month.unwrap())).collect();
    assert!((drifts[0].1 - 0.002).abs() < 1e-12, "{drifts:?}");
    assert_eq!(drifts[1], ("2026", 0.0));
    assert_eq!(compared.sag[1].told.as_deref(), Some("did not move"));
}
