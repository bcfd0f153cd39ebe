//! What is due, and its calendar.

use std::collections::BTreeMap;

use icalendar::{CalendarComponent, Component as _, DatePerhapsTime};
use jiff::civil::{Date, date};
use loambook::advice::Advice;
use loambook::pages::due::{self, DueList};
use loambook::pages::sheet::{Options, sheet};
use loambook::render::calendar::calendar;

use super::{demo, open, store};
use crate::desk::told;

const FIRST: &str = "```hours\nmeter = \"24 h\"\n```\n```steering\ndrop = \"stays\"\n```\n\
    ```sag rear\nhanging = \"610 mm\"\nalone = \"575 mm\"\naboard = \"505 mm\"\n```\n";
const SECOND: &str = "```hours\nmeter = \"31 h\"\n```\n```checked\ndone = [\"brake fluid, both\"]\n```\n";

fn list(on: Date) -> DueList {
    let (book, season) = open(&store([("2026-05-01", FIRST), ("2026-06-01", SECOND)]));
    due::due(&book, &season, on)
}

fn when(list: &DueList, name: &str) -> String {
    list.machines[0].entries.iter().find(|entry| entry.name == name).unwrap().when().to_owned()
}

#[test]
fn days_and_hours_are_counted_from_when_it_was_last_seen_to() {
    let may = list(date(2026, 5, 10));
    assert_eq!(when(&may, "steering.drop"), "by 2026-05-15");
    assert_eq!(when(&may, "sag.rear.rider"), "by 2026-05-31");
    assert_eq!(when(&may, "engine oil"), "at 30.0 h, 6.0 h left");
    assert_eq!(when(&may, "brake fluid, both"), "by 2027-01-31");
    let june = list(date(2026, 6, 2));
    assert_eq!(when(&june, "steering.drop"), "was due by 2026-05-15");
    assert_eq!(when(&june, "engine oil"), "was due at 30.0 h");
    assert_eq!(when(&june, "brake fluid, both"), "by 2027-06-01");
    assert!(june.machines[0].entries[0].is_overdue && !june.machines[0].entries.last().unwrap().is_overdue);
    // Nothing is known on a day before the first.
    assert_eq!(when(&list(date(2026, 4, 1)), "steering.drop"), "overdue");
}

/// A rider sag that grows by half a millimetre a day, from 99.8 mm on the first day of April: exactly a line,
/// which leaves the band at 110 mm on the twenty-first day.
fn drifting(days: &[i8]) -> Vec<(String, String)> {
    let day = |day: &i8| {
        let aboard = 510.2 - 0.5 * f64::from(day - 1);
        let sag = format!("```sag rear\nhanging = \"610 mm\"\naboard = \"{aboard} mm\"\n```\n");
        (date(2026, 4, *day).to_string(), sag)
    };
    days.iter().map(day).collect()
}

fn sag_due(days: &[(String, String)], on: Date) -> due::Entry {
    let (book, season) = open(&store(days.iter().map(|(date, body)| (date.as_str(), body.as_str()))));
    let mut list = due::due(&book, &season, on);
    let at = list.machines[0].entries.iter().position(|entry| entry.name == "sag.rear.rider").unwrap();
    list.machines[0].entries.remove(at)
}

#[test]
fn the_earlier_of_interval_and_drift_is_what_is_due() {
    let days = drifting(&[1, 3, 6, 8, 11, 13]);
    let entry = sag_due(&days, date(2026, 4, 14));
    // By hand: 99.8 + 0.5 t = 110 at t = 20.4 days; thirty days from the last reading would be 13 May.
    assert_eq!((entry.by, entry.is_by_drift), (Some(date(2026, 4, 21)), true));
    assert_eq!((entry.when(), entry.is_overdue), ("by 2026-04-21", false));
    assert!(entry.why.contains("by its drift") && entry.why.contains("every 30 days"), "{}", entry.why);
    let late = sag_due(&days, date(2026, 4, 22));
    assert!(late.is_overdue && late.when() == "was due by 2026-04-21" && late.uid == entry.uid);

    // Two readings are no drift: the interval counts, under the same id.
    let few = sag_due(&drifting(&[1, 13]), date(2026, 4, 14));
    assert_eq!((few.by, few.is_by_drift), (Some(date(2026, 5, 13)), false));
    assert_eq!(few.uid, entry.uid);
    // Past the edge at the last reading: it was looked at, and has to be set.
    let past = sag_due(&drifting(&[1, 4, 8, 12, 16, 20, 24]), date(2026, 4, 25));
    assert_eq!((past.by, past.is_by_drift), (Some(date(2026, 5, 24)), false));
}

#[test]
fn a_drift_that_is_slower_than_the_interval_is_told_and_not_due() {
    let mut days = drifting(&[]);
    for day in [1_i8, 6, 11, 16, 21, 26] {
        let aboard = 510.05 - 0.1 * f64::from(day - 1);
        let sag = format!("```sag rear\nhanging = \"610 mm\"\naboard = \"{aboard} mm\"\n```\n");
        days.push((date(2026, 4, day).to_string(), sag));
    }
    let entry = sag_due(&days, date(2026, 4, 27));
    assert_eq!((entry.by, entry.is_by_drift), (Some(date(2026, 5, 26)), false));
    // 0.1 mm a day from 99.95 mm: past 110 mm on the hundred and first day after 1 April.
    assert!(entry.why.ends_with("its drift leaves the band on 2026-07-10"), "{}", entry.why);
}

#[test]
fn the_calendar_stands_on_the_day_of_the_drift_under_the_same_id() {
    let days = drifting(&[1, 3, 6, 8, 11, 13]);
    let (book, season) = open(&store(days.iter().map(|(date, body)| (date.as_str(), body.as_str()))));
    let on = |date: Date| {
        let components = read(&calendar(&due::due(&book, &season, date)));
        let is_sag = |it: &&Component| it.1.get("SUMMARY").is_some_and(|text| text.contains("rider sag"));
        components.iter().find(is_sag).unwrap().1.clone()
    };
    let (early, late) = (on(date(2026, 4, 1)), on(date(2026, 4, 14)));
    assert_eq!((&*early["DTSTART;VALUE=DATE"], &*late["DTSTART;VALUE=DATE"]), ("20260501", "20260421"));
    assert_eq!(early["UID"], late["UID"]);
    assert!(unescaped(&late["DESCRIPTION"]).contains("by its drift"));
}

#[test]
fn what_is_wanted_before_each_ride_is_a_box_on_the_sheet_and_in_no_calendar() {
    let read = "```pressures\ntyre.rear = \"12 psi\"\n```\n";
    let ticked = "```checked\ndone = [\"tyre.rear\"]\n```\n";
    let (book, season) =
        open(&store([("2026-05-01", read), ("2026-05-02", ""), ("2026-05-03", ticked), ("2026-05-20", "")]));
    let is_asked = |day: usize| {
        let page = sheet(&book, &season, &Advice::shipped(), day, Options::default()).unwrap();
        page.due.iter().find(|look| look.name == "tyre.rear").map(|look| look.why.clone())
    };
    // A reading of the day meets it, and so does a tick; yesterday's does not.
    assert_eq!((is_asked(0), is_asked(2)), (None, None));
    assert_eq!(is_asked(1).as_deref(), Some("last on 2026-05-01; before each ride"));
    assert_eq!(is_asked(3).as_deref(), Some("last on 2026-05-03; before each ride"));
    let list = due::due(&book, &season, date(2026, 6, 1));
    assert!(list.machines.iter().flat_map(|it| &it.entries).all(|entry| entry.name != "tyre.rear"));
    assert!(!calendar(&list).contains("tyre"));
}

#[test]
fn what_belongs_to_a_rider_is_listed_for_each() {
    let (book, season) = demo();
    let list = due::due(&book, &season, date(2026, 10, 18));
    let small = list.machines.iter().find(|machine| machine.machine == "skerry-125").unwrap();
    let sags: Vec<_> = small.entries.iter().filter(|entry| entry.name == "sag.rear.rider").collect();
    assert_eq!(sags.len(), 2);
    assert!(sags[0].uid != sags[1].uid && sags[0].rider != sags[1].rider);
}

/// One component of a calendar: its name and its properties, parameters left on the names.
type Component = (String, BTreeMap<String, String>);

/// Reads a calendar strictly by RFC 5545: line ends and lengths (3.1), nesting (3.4, 3.6), one of each of the
/// properties that are allowed once, escapes (3.3.11).
fn read(text: &str) -> Vec<Component> {
    assert!(text.ends_with("\r\n") && !text.replace("\r\n", "").contains(['\r', '\n']));
    let lines: Vec<&str> = text.trim_end_matches("\r\n").split("\r\n").collect();
    assert!(lines.iter().all(|line| line.len() <= 75 && !line.is_empty()));
    let unfolded = text.replace("\r\n ", "");
    let mut open: Vec<Component> = Vec::new();
    let mut done = Vec::new();
    for line in unfolded.trim_end_matches("\r\n").split("\r\n") {
        let (name, value) = line.split_once(':').unwrap();
        assert!(
            name.bytes().all(|byte| byte.is_ascii_uppercase() || matches!(byte, b'-' | b';' | b'=')),
            "{name}"
        );
        match name {
            "BEGIN" => open.push((value.to_owned(), BTreeMap::new())),
            "END" => {
                let component = open.pop().unwrap();
                assert_eq!(component.0, value);
                done.push(component);
            }
            _ => {
                let before = open.last_mut().unwrap().1.insert(name.to_owned(), value.to_owned());
                assert_eq!(before, None, "{name} stands twice");
            }
        }
    }
    assert!(open.is_empty());
    done
}

fn unescaped(value: &str) -> String {
    let mut out = String::new();
    let mut letters = value.chars();
    while let Some(letter) = letters.next() {
        match letter {
            '\\' => match letters.next().unwrap() {
                'n' | 'N' => out.push('\n'),
                letter @ ('\\' | ';' | ',') => out.push(letter),
                other => panic!("\\{other}"),
            },
            ';' | ',' => panic!("{letter} is not escaped in {value}"),
            letter => out.push(letter),
        }
    }
    out
}

#[test]
fn the_calendar_is_one() {
    let (book, season) = demo();
    let list = due::due(&book, &season, date(2026, 10, 18));
    let components = read(&calendar(&list));
    let (calendar, entries) = components.split_last().unwrap();
    assert_eq!((calendar.0.as_str(), calendar.1["VERSION"].as_str()), ("VCALENDAR", "2.0"));
    assert!(calendar.1.contains_key("PRODID"));
    assert_eq!(entries.len(), list.machines.iter().map(|machine| machine.entries.len()).sum::<usize>());
    let mut uids = Vec::new();
    for (component, properties) in entries {
        uids.push(properties["UID"].clone());
        assert_eq!(properties["DTSTAMP"], "20261018T000000Z");
        let is_dated = properties.contains_key("DTSTART;VALUE=DATE");
        assert_eq!(component == "VEVENT", is_dated);
        assert!(component == "VEVENT" || component == "VTODO");
        for name in ["SUMMARY", "DESCRIPTION", "CATEGORIES"] {
            assert!(!unescaped(&properties[name]).is_empty());
        }
    }
    let count = uids.len();
    uids.sort();
    uids.dedup();
    assert_eq!(uids.len(), count);
}

/// Compared with a parser that is not ours: the `icalendar` crate.
#[test]
fn another_library_reads_the_same_entries() {
    let (book, season) = demo();
    let list = due::due(&book, &season, date(2026, 10, 18));
    let calendar: icalendar::Calendar = calendar(&list).parse().unwrap();
    let day = |start: Option<DatePerhapsTime>| match start? {
        DatePerhapsTime::Date(day) => Some(day.to_string()),
        DatePerhapsTime::DateTime(_) => panic!("a day has no time"),
    };
    let read: BTreeMap<String, (String, Option<String>)> = calendar
        .components
        .iter()
        .map(|component| match component {
            CalendarComponent::Event(event) => (
                event.get_uid().unwrap().to_owned(),
                (event.get_summary().unwrap().to_owned(), day(event.get_start())),
            ),
            CalendarComponent::Todo(todo) => {
                (todo.get_uid().unwrap().to_owned(), (todo.get_summary().unwrap().to_owned(), None))
            }
            other => panic!("{other:?} is neither an event nor a thing to do"),
        })
        .collect();
    let written: BTreeMap<String, (String, Option<String>)> = list
        .machines
        .iter()
        .flat_map(|machine| machine.entries.iter().map(move |entry| (machine, entry)))
        .map(|(machine, entry)| {
            let summary = format!("{}: {}", machine.title, entry.titled());
            let day = entry.by.or_else(|| entry.is_overdue.then_some(list.on));
            (entry.uid.clone(), (summary, day.map(|day| day.to_string())))
        })
        .collect();
    assert_eq!(read, written);
}

#[test]
fn a_later_calendar_moves_the_same_entries() {
    let (may, june) = (read(&calendar(&list(date(2026, 5, 10)))), read(&calendar(&list(date(2026, 6, 2)))));
    let by_uid = |components: &[Component]| -> BTreeMap<String, BTreeMap<String, String>> {
        let entries = components.iter().filter(|(name, _)| name != "VCALENDAR");
        entries.map(|(_, properties)| (properties["UID"].clone(), properties.clone())).collect()
    };
    let (may, june) = (by_uid(&may), by_uid(&june));
    assert!(may.keys().eq(june.keys()));
    for (uid, then) in &may {
        let sequence = |properties: &BTreeMap<String, String>| properties["SEQUENCE"].parse::<u32>().unwrap();
        assert!(sequence(&june[uid]) > sequence(then));
    }
    let fluid = june.values().find(|entry| unescaped(&entry["SUMMARY"]).contains("brake fluid")).unwrap();
    assert_eq!(fluid["DTSTART;VALUE=DATE"], "20270601");
    assert_eq!(unescaped(&fluid["SUMMARY"]), "Whin 300: brake fluid, both");
}

#[test]
fn long_lines_are_folded_between_characters() {
    let mut list = list(date(2026, 5, 10));
    let long = "é;ß,\\ ".repeat(40);
    list.machines[0].entries[0].label = long.clone();
    let components = read(&calendar(&list));
    assert_eq!(
        unescaped(&components[0].1["SUMMARY"]),
        format!("Whin 300: {}", list.machines[0].entries[0].titled())
    );
}

#[test]
fn nothing_at_intervals_is_said_and_not_left_blank() {
    let (book, season) = open(&store([]));
    let nothing = DueList { machines: Vec::new(), ..due::due(&book, &season, date(2026, 5, 10)) };
    assert!(told("due.md", &nothing.laid()).contains("recheck"));
}

#[test]
fn a_service_that_falls_due_within_the_days_riding_is_on_the_sheet() {
    let day = |meter: &str| format!("```hours\nmeter = \"{meter}\"\n```\n");
    let (first, second, third) = (day("20 h"), day("23.5 h"), day("27.5 h"));
    let days =
        [("2026-05-01", &*first), ("2026-05-08", &*second), ("2026-05-15", &*third), ("2026-05-22", "")];
    let (book, season) = open(&store(days));
    let look = |day: usize| {
        let page = sheet(&book, &season, &Advice::shipped(), day, Options::default()).unwrap();
        page.due.into_iter().find(|look| look.name == "engine oil")
    };
    // Every ten hours since 20 h; at 23.5 h six and a half are left, and the only day on file took three and a half.
    assert_eq!(look(1), None);
    // At 27.5 h two and a half are left of a day of four.
    let soon = look(3).unwrap();
    assert_eq!(soon.left.as_deref(), Some("2.5 hours left"));
    assert_eq!(soon.why, "2.5 hours left; 7.5 hours ridden since; every 10 hours");
    let list = due::due(&book, &season, date(2026, 5, 22));
    assert_eq!(when(&list, "engine oil"), "at 30.0 h, 2.5 h left");
}

#[test]
fn less_than_an_hour_that_is_left_is_told_in_hours_and_not_as_a_lap_time() {
    for (meter, left) in [("29.5 h", "0.5 h"), ("29.99 h", "0.0 h"), ("30 h", "0.0 h")] {
        let day = |meter: &str| format!("```hours\nmeter = \"{meter}\"\n```\n");
        let (first, second) = (day("20 h"), day(meter));
        let (book, season) = open(&store([("2026-05-01", &*first), ("2026-05-08", &*second)]));
        let list = due::due(&book, &season, date(2026, 5, 9));
        assert_eq!(when(&list, "engine oil"), format!("at 30.0 h, {left} left"));
    }
}
