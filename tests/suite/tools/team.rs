//! A coach's day: several riders, several machines, one date.

use super::*;
use crate::desk::unmarked;

const LIGHTER: &str =
    "\n```change\nshock.spring = \"44 N/mm\"\nfork.rebound = \"9 clicks\"\nbecause = \"lighter\"\n```\n";

/// Wren and Finch on the Heron, Owl on the Kite, and Pipit who never rode.
fn team() -> Desk {
    let desk = Desk::with_day();
    desk.write("machines/kite.md", &MACHINE.replace("Heron 300", "Kite 85"));
    for (name, title, mass) in
        [("finch", "Finch", "51 kg"), ("owl", "Owl", "82 kg"), ("pipit", "Pipit", "38 kg")]
    {
        desk.write(&format!("riders/{name}.md"), &RIDER.replace("Wren", title).replace("78 kg", mass));
    }
    let day = DAY.replace("2026-04-04", "2026-04-11");
    desk.write("days/2026-04-11-finch.md", &format!("{}{LIGHTER}", day.replace("\"wren\"", "\"finch\"")));
    let owl = day.replace("\"wren\"", "\"owl\"").replace("\"heron\"", "\"kite\"");
    desk.write("days/2026-04-11-owl.md", &owl);
    desk
}

const DATE: &str = "2026-04-18";

fn prepare(desk: &Desk, riders: &[&str]) -> std::process::Output {
    let mut arguments =
        vec!["prepare", "--track", "quarry", "--date", DATE, "--air", "18°C", "--bench", "12°C"];
    for rider in riders {
        arguments.extend(["--rider", rider]);
    }
    desk.run(&arguments)
}

fn roster(desk: &Desk) -> String {
    let output = desk.run(&["roster", "--date", DATE, "-o", "van", "--format", "html"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    unmarked(&desk.read(&format!("van/roster-{DATE}.html")))
}

#[test]
fn two_riders_on_one_machine_are_told_the_whole_changeover_between_them() {
    let desk = team();
    let output = prepare(&desk, &["wren", "finch"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(out(&output).contains(&format!("loambook roster --date {DATE}")));
    let page = roster(&desk);
    let place = |text: &str| page.find(text).unwrap_or_else(|| panic!("{text}: {page}"));
    // Wren finds what Finch left a week ago, Finch what Wren leaves on the day.
    assert!(place("as Finch left it on 2026-04-11") < place("shock spring 50 N/mm (+6 N/mm)"));
    assert!(place("shock spring 50 N/mm (+6 N/mm)") < place(&format!("as Wren left it on {DATE}")));
    assert!(place(&format!("as Wren left it on {DATE}")) < place("shock spring 44 N/mm (−6 N/mm)"));
    assert!(place("shock spring 44 N/mm") < place("fork rebound 9 clicks"), "springs first");
    assert!(page.contains("sheets behind this page") && page.contains("bench</dt><dd>12 °C"));
    // In the order in which they were named.
    assert!(desk.read(&format!("days/{DATE}-wren.md")).contains("order = 1\n"));
    assert!(desk.read(&format!("days/{DATE}-finch.md")).contains("order = 2\n"));
}

#[test]
fn a_notebook_never_says_that_a_machine_stands_so_which_another_rider_left_otherwise() {
    let desk = team();
    let output = prepare(&desk, &["wren", "finch", "owl"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let notebook = |rider: &str| desk.read(&format!("days/{DATE}-{rider}.md"));
    let (wren, finch, owl) = (notebook("wren"), notebook("finch"), notebook("owl"));
    assert!(wren.contains("## To change by hand, as Finch left it on 2026-04-11\n"), "{wren}");
    assert!(wren.contains("- shock spring 50 N/mm (+6 N/mm)\n"), "{wren}");
    assert!(finch.contains(&format!("## To change by hand, as Wren left it on {DATE}\n")), "{finch}");
    assert!(finch.contains("- fork rebound 9 clicks"), "{finch}");
    assert!(!wren.contains("is set so already") && !finch.contains("is set so already"));
    assert!(owl.contains("is set so already") && !owl.contains("by hand"), "{owl}");
    assert!(
        out(&output)
            .contains("To change by hand, as Finch left it on 2026-04-11\n  [ ] shock spring 50 N/mm")
    );
}

#[test]
fn three_riders_on_two_machines_stand_in_the_order_of_riding() {
    let desk = team();
    assert_eq!(code(&prepare(&desk, &["owl", "wren", "finch"])), 0);
    let page = roster(&desk);
    let places: Vec<usize> = ["<strong>Owl", "<strong>Wren", "<strong>Finch"]
        .iter()
        .map(|name| page.find(name).unwrap())
        .collect();
    assert!(places.is_sorted(), "{places:?}");
    assert!(page.contains("as it was left on 2026-04-11") && page.contains("already set so"));
    let names = file_names(&desk.path("van"));
    assert_eq!(names.len(), 4, "{names:?}");
}

#[test]
fn a_rider_who_never_rode_the_machine_begins_with_its_standard_setting() {
    let desk = team();
    let output = prepare(&desk, &["wren", "pipit"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("pipit=MACHINE"), "{}", err(&output));
    assert!(!desk.path(&format!("days/{DATE}-wren.md")).exists(), "all or nothing");
    assert_eq!(code(&prepare(&desk, &["finch", "pipit=heron"])), 0);
    let page = roster(&desk);
    assert!(
        page.contains(&format!("as Finch left it on {DATE}"))
            && page.contains("shock spring 50 N/mm (+6 N/mm)")
    );
    // Of a first rider who is alone: against the machine's own notebook.
    desk.write("machines/new.md", &MACHINE.replace("Heron 300", "New 125"));
    let lone = desk.run(&["prepare", "--rider", "pipit=new", "--track", "quarry", "--date", "2026-05-02"]);
    assert_eq!(code(&lone), 0, "{}", err(&lone));
    let output = desk.run(&["roster", "--date", "2026-05-02", "-o", "lone", "--format", "html"]);
    assert_eq!(code(&output), 0);
    let page = desk.read("lone/roster-2026-05-02.html");
    assert!(page.contains("the standard setting") && page.contains("already set so"), "{page}");
}

#[test]
fn everybody_of_the_book_is_prepared_and_what_is_there_is_kept() {
    let desk = team();
    let own = format!("days/{DATE}-owl.md");
    desk.write(
        &own,
        &DAY.replace("2026-04-04", DATE).replace("\"wren\"", "\"owl\"").replace("\"heron\"", "\"kite\""),
    );
    let before = desk.read(&own);
    let all = ["prepare", "--all", "--track", "quarry", "--date", DATE];
    let output = desk.run(&all);
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(
        err(&output).contains("pipit never rode") && err(&output).contains("is already there"),
        "{}",
        err(&output)
    );
    assert_eq!(desk.read(&own), before);
    let days: Vec<String> =
        file_names(&desk.path("days")).into_iter().filter(|name| name.starts_with(DATE)).collect();
    assert_eq!(days, [format!("{DATE}-finch.md"), format!("{DATE}-owl.md"), format!("{DATE}-wren.md")]);
    assert_eq!(code(&desk.run(&all)), 2, "there is nothing left to prepare");
}

#[test]
fn a_child_is_on_the_vans_page_without_weight_or_injury() {
    let desk = team();
    let hurt = format!(
        "{}\n```stint\nfeel = [\"hit his head, dizzy\"]\n```\n",
        desk.read("days/2026-04-11-finch.md")
    );
    desk.write("days/2026-04-11-finch.md", &hurt);
    let crash = format!(
        "{}\n```stint\nnote = \"crashed over the bars at the gully\"\n```\n",
        desk.read("days/2026-04-11-owl.md")
    );
    desk.write("days/2026-04-11-owl.md", &crash);
    // Not cleared: left out, and the page says so without the words.
    let output = prepare(&desk, &["wren", "finch", "owl"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(
        err(&output).contains("not cleared to ride") && !err(&output).contains("dizzy"),
        "{}",
        err(&output)
    );
    assert!(!desk.path(&format!("days/{DATE}-finch.md")).exists());
    // A day that somebody began by hand has a row and no sheet.
    desk.write(
        &format!("days/{DATE}-finch.md"),
        &DAY.replace("2026-04-04", DATE).replace("\"wren\"", "\"finch\""),
    );
    let page = roster(&desk);
    assert!(page.contains("not cleared to ride"), "{page}");
    for private in [" kg", "dizzy", "his head", "gully", "over the bars"] {
        assert!(!page.contains(private), "{private}");
    }
    assert!(page.contains("2 of 3"), "{page}");
    assert!(page.contains("there was a crash"), "{page}");
}

#[test]
fn a_roster_without_a_sheet_claims_none() {
    let desk = Desk::new();
    desk.write("days/2026-04-04.md", &format!("{DAY}\n```stint\nfeel = [\"fingers tingle\"]\n```\n"));
    let output = desk.run(&["roster", "--date", "2026-04-04", "-o", "van", "--format", "html"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let page = desk.read("van/roster-2026-04-04.html");
    assert!(page.contains("not cleared to ride") && !page.contains("Behind this page: "), "{page}");
}

/// Without a word on the page, another rider's charge would be ridden although this rider has no pressure of
/// their own.
#[test]
fn air_that_another_rider_left_is_not_passed_over() {
    let desk = team();
    let chambers = "\n```chamber main\nside = \"positive\"\narea = \"700 mm²\"\nvolume = \"300 cm³\"\nlimit = \"180 psi\"\n```\n";
    let machine =
        "+++\nkind = \"machine\"\n+++\n\n# Air\n\n```fork\nkind = \"air\"\ntravel = \"300 mm\"\n```\n";
    desk.write("machines/air.md", &format!("{machine}{chambers}"));
    let left = "+++\nkind = \"day\"\ndate = 2026-04-12\nmachine = \"air\"\nrider = \"wren\"\ntrack = \"quarry\"\n+++\n\n\
                ```pressures\nmain = \"151 psi\"\nat = \"12 °C\"\n```\n";
    desk.write("days/2026-04-12-wren.md", left);
    let said = "no pressure of this rider's on file, and another's air is in it";
    let prepared = prepare(&desk, &["pipit=air"]);
    assert_eq!(code(&prepared), 0, "{}", err(&prepared));
    let told = out(&prepared).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains(&format!("main chamber: {said}")), "{told}");
    assert!(desk.read(&format!("days/{DATE}-pipit.md")).contains(said));
    assert!(roster(&desk).contains("another&#39;s air") || roster(&desk).contains("another's air"));
    let today = desk.run(&["today", "--rider", "pipit", "--date", DATE]);
    let today = out(&today).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(today.contains("another's air is in it"), "{today}");
    // The rider who left it sees the number.
    assert_eq!(
        code(&desk.run(&["prepare", "--rider", "wren=air", "--track", "quarry", "--date", "2026-04-19"])),
        0
    );
    let own = desk.read("days/2026-04-19-wren.md");
    assert!(own.contains("151 psi") && !own.contains(said), "{own}");
}
