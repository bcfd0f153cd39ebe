//! The real program in books of its own: what each command is wired to, its exit status, what it refuses.

use std::fs;
use std::path::Path;
use std::process::Stdio;

use loambook::document::Templates;
use loambook::pages::sheet::Options;
use loambook::source::Memory;

use crate::books;
use crate::desk::{Desk, code, err, file_names, out, program};

/// An invented book: a coil-forked machine, a rider, a track and two days.
const BOOK: &[(&str, &str)] = &[
    (
        "book.toml",
        r#"title = "Test book"
paper = "a4"

[units]
length = "mm"
pressure = "psi"

[instrument.steel]
resolution = "1 mm"
bias = "0.5 mm"
"#,
    ),
    (
        "machines/heron.md",
        r#"+++
kind = "machine"
name = "Heron 300"
+++

```frame
rake = "26.5°"
trail = "112 mm"
wheelbase = "1480 mm"
swingarm = "590 mm"
pivot_height = "410 mm"
```

```wheel front
loaded_radius = "345 mm"
```

```wheel rear
loaded_radius = "330 mm"
```

```fork
kind = "coil"
travel = "300 mm"
spring = "4.6 N/mm"
preload = "8 mm"
```

```shock
travel = "310 mm"
leverage = [3.0, 2.6]
spring = "52 N/mm"
thread_pitch = "1.5 mm"
```

```settings
fork.height = "5 mm"
fork.compression = "12 clicks"
fork.rebound = "11 clicks"
shock.preload = "9 mm"
shock.rebound = "12 clicks"
tyre.front = "13 psi"
tyre.rear = "13 psi"
```

```adjusters
fork.compression = "20 clicks"
fork.rebound = "20 clicks"
shock.low_compression = "18 clicks"
```

```band
sag.rear.rider = { aim = "105 mm", within = "102..108 mm", recheck = "30 days" }
sag.rear.static = { within = "30..40 mm" }
```

```checklist
items = ["fuel for two stints", "number plate *tight*"]
```
"#,
    ),
    (
        "riders/wren.md",
        "+++\nkind = \"rider\"\nname = \"Wren <Ånd> *Söhne*\"\n+++\n\n```rider\nmass = \"78 kg\"\n```\n",
    ),
    (
        "tracks/quarry.md",
        "+++\nkind = \"track\"\nname = \"Old Quarry\"\n+++\n\n```track\nsoil = \"clay\"\n```\n",
    ),
    (
        "days/2026-04-04.md",
        r#"+++
kind = "day"
date = 2026-04-04
machine = "heron"
rider = "wren"
track = "quarry"
+++

```sag rear
tape = "steel"
hanging = "612 mm"
alone = "577 mm"
aboard = "506 508 507 mm"
```

```stint
laps = "2:04.1 2:02.8"
```
"#,
    ),
    (
        "days/2026-04-11.md",
        r#"+++
kind = "day"
date = 2026-04-11
machine = "heron"
rider = "wren"
track = "quarry"
+++

```conditions
air = "12 °C"
```

```settings mud
tyre.rear = "11 psi"
```

```change
fork.height = "2 mm down"
fork.compression = "2 clicks in"
because = "headshake on the straight"
```
"#,
    ),
];

impl Desk {
    /// A temporary book with the test book's notebooks.
    fn with_book() -> Self {
        let desk = Self::empty();
        for (path, text) in BOOK {
            desk.write(path, text);
        }
        desk
    }
}

mod check {
    use super::*;

    #[test]
    fn warnings_exit_0_and_with_strict_1() {
        let desk = Desk::with_book();
        let relaxed = desk.run(&["check", "--on", "2026-04-11"]);
        assert_eq!(code(&relaxed), 0, "{}{}", out(&relaxed), err(&relaxed));
        // A change without a reason gives a warning of its own, whatever else the book gives.
        desk.write(
            "days/2026-04-12.md",
            &desk
                .read("days/2026-04-11.md")
                .replace("2026-04-11", "2026-04-12")
                .replace("because", "# because"),
        );
        assert_eq!(code(&desk.run(&["check", "--on", "2026-04-12"])), 0);
        assert_eq!(code(&desk.run(&["check", "--strict", "--on", "2026-04-12"])), 1);
    }

    #[test]
    fn errors_exit_1_and_stand_at_their_place() {
        let desk = Desk::with_book();
        desk.write(
            "days/2026-04-12.md",
            &desk.read("days/2026-04-04.md").replace("04-04", "04-12").replace("\"612 mm\"", "\"612 psi\""),
        );
        let output = desk.run(&["check", "days/2026-04-12.md", "--format", "json", "--on", "2026-04-12"]);
        assert_eq!(code(&output), 1);
        let found: Vec<serde_json::Value> =
            out(&output).lines().map(|line| serde_json::from_str(line).unwrap()).collect();
        let error = found.iter().find(|finding| finding["severity"] == "error").unwrap();
        assert_eq!(
            (&error["file"], &error["line"], &error["column"]),
            (&"days/2026-04-12.md".into(), &11.into(), &16.into()),
            "{error}"
        );
    }

    #[test]
    fn what_was_not_asked_for_is_not_reported() {
        let desk = Desk::with_book();
        desk.write(
            "days/2026-04-12.md",
            &desk.read("days/2026-04-04.md").replace("04-04", "04-12").replace("\"612 mm\"", "\"612 psi\""),
        );
        assert_eq!(code(&desk.run(&["check", "days/2026-04-11.md", "machines", "--on", "2026-04-12"])), 0);
    }

    #[test]
    fn a_days_lap_file_is_checked_with_it() {
        let desk = Desk::with_book();
        let stint = "\n```stint\nlaps = \"laps/day.csv\"\n```\n";
        let day = desk.read("days/2026-04-04.md").replace("04-04", "04-12") + stint;
        desk.write("days/2026-04-12.md", &day);
        desk.write("laps/day.csv", "2:04.1\npit\n2:02.8\n");
        let told = |day: &str| {
            let output = desk.run(&["check", day, "--brief", "--on", "2026-04-12"]);
            out(&output).to_owned()
        };
        assert!(
            told("days/2026-04-12.md").contains("laps/day.csv:2:1: warning"),
            "{}",
            told("days/2026-04-12.md")
        );
        assert!(!told("days/2026-04-11.md").contains("laps/day.csv"));
    }

    #[test]
    fn the_book_of_a_path_is_the_nearest_folder_upward() {
        let desk = Desk::with_book();
        for (folder, path) in [("", "days"), ("days", "2026-04-04.md"), ("machines", "../days/2026-04-04.md")]
        {
            let output = desk.run_in(folder, &["check", path, "--on", "2026-04-11"]);
            assert_eq!(code(&output), 0, "{folder} {path}: {}{}", out(&output), err(&output));
        }
    }

    #[test]
    fn a_path_that_is_not_there_exits_2() {
        let desk = Desk::with_book();
        let output = desk.run(&["check", "days/nowhere.md"]);
        assert_eq!((code(&output), out(&output)), (2, ""));
        assert!(err(&output).contains("days/nowhere.md"), "{}", err(&output));
        assert_eq!(code(&desk.run(&["check", "--format", "poem"])), 2);
    }

    #[test]
    fn nothing_printed_is_coloured_where_nobody_looks() {
        let desk = Desk::with_book();
        for no_colour in ["", "1"] {
            let output = program()
                .current_dir(desk.path(""))
                .env("NO_COLOR", no_colour)
                .arg("check")
                .output()
                .unwrap();
            assert!(!out(&output).contains('\u{1b}') && !err(&output).contains('\u{1b}'));
        }
    }

    #[test]
    fn an_empty_folder_is_a_book_without_findings() {
        let desk = Desk::empty();
        let output = desk.run(&["check", "."]);
        assert_eq!((code(&output), out(&output)), (0, ""));
    }
}

mod rule_and_words {
    use super::*;

    #[test]
    fn a_rule_prints_its_page_and_an_unknown_one_is_guessed() {
        let desk = Desk::empty();
        let page = desk.run(&["rule", "change/no-reason"]);
        assert_eq!(code(&page), 0);
        assert!(out(&page).starts_with("# change/no-reason"), "{}", out(&page));
        let unknown = desk.run(&["rule", "change/no-raeson"]);
        assert_eq!(code(&unknown), 2);
        assert!(err(&unknown).contains("change/no-reason"), "{}", err(&unknown));
    }

    #[test]
    fn words_print_a_block_with_its_keys() {
        let desk = Desk::empty();
        let sag = desk.run(&["words", "sag"]);
        assert_eq!(code(&sag), 0);
        assert!(
            out(&sag).starts_with("sag front | rear\n") && out(&sag).contains("hanging †"),
            "{}",
            out(&sag)
        );
        assert_eq!(code(&desk.run(&["words", "sagg"])), 2);
    }

    #[test]
    fn a_reader_that_leaves_is_no_failure() {
        let mut child = program().arg("words").stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert_eq!((output.status.code(), err(&output)), (Some(0), ""));
    }
}

mod figures {
    use super::*;

    fn lines(desk: &Desk, path: &str) -> Vec<serde_json::Value> {
        let output = desk.run(&["figures", path, "--format", "json"]);
        assert_eq!(code(&output), 0, "{}", err(&output));
        out(&output).lines().map(|line| serde_json::from_str(line).unwrap()).collect()
    }

    #[test]
    fn a_notebook_is_one_object_with_its_figures() {
        let desk = Desk::with_book();
        let objects = lines(&desk, "days/2026-04-04.md");
        let [object] = objects.as_slice() else { panic!("{objects:?}") };
        assert_eq!((&object["schema"], &object["notebook"]), (&1.into(), &"days/2026-04-04.md".into()));
        let sag = object["figures"]
            .as_array()
            .unwrap()
            .iter()
            .rfind(|figure| figure["id"] == "sag.rear.rider")
            .unwrap();
        // 612 − (506 + 508 + 507) / 3 = 105 mm, by hand.
        assert!((sag["value"].as_f64().unwrap() - 0.105).abs() < 1e-12, "{sag}");
        assert_eq!((&sag["unit"], &sag["formula"]), (&"m".into(), &"sag".into()));
        assert!(sag["expanded"].as_f64().unwrap() > 0.0 && !sag["sources"].as_array().unwrap().is_empty());
        assert_eq!(sag["from"][0]["file"], "days/2026-04-04.md");
        let ids: Vec<&str> =
            sag["sources"].as_array().unwrap().iter().filter_map(|source| source["id"].as_str()).collect();
        assert!(ids.contains(&"days/2026-04-04#sag rear/aboard"), "{ids:?}");
    }

    #[test]
    fn a_folder_is_one_object_a_line() {
        assert_eq!(lines(&Desk::with_book(), "days").len(), 2);
    }

    #[test]
    fn a_figure_stands_again_where_something_it_rests_on_changes() {
        let desk = Desk::with_book();
        let objects = lines(&desk, "days/2026-04-11.md");
        let places = |id: &str| -> Vec<u64> {
            let figures = objects[0]["figures"].as_array().unwrap().iter();
            figures
                .filter(|figure| figure["id"] == id)
                .map(|figure| figure["at"]["line"].as_u64().unwrap())
                .collect()
        };
        // The sag is carried from the day before; the tubes go down in the block at line 17.
        assert_eq!(places("sag.rear.rider"), [9]);
        assert_eq!(places("geometry.rake"), [9, 17]);
    }

    #[test]
    fn what_cannot_be_had_says_what_is_missing() {
        let desk = Desk::with_book();
        let objects = lines(&desk, "days/2026-04-04.md");
        let ratio = objects[0]["figures"]
            .as_array()
            .unwrap()
            .iter()
            .find(|figure| figure["id"] == "drive.ratio")
            .unwrap();
        assert!(
            ratio["value"].is_null()
                && ratio["shown"].is_null()
                && !ratio["missing"].as_array().unwrap().is_empty()
        );
    }
}

mod new {
    use super::*;

    #[test]
    fn a_book_is_started_from_nothing_and_has_no_errors() {
        let desk = Desk::empty();
        assert_eq!(code(&desk.run(&["new", "book", "season"])), 0);
        for (what, name) in
            [("machine", "heron-300"), ("rider", "wren"), ("track", "old-quarry"), ("day", "2026-04-11")]
        {
            let output = desk.run_in("season", &["new", what, name]);
            assert_eq!(code(&output), 0, "{what}: {}", err(&output));
            let check = desk.run_in("season", &["check", "--on", "2026-04-11"]);
            assert_eq!(code(&check), 0, "{what}: {}", out(&check));
        }
        let day = desk.read("season/days/2026-04-11.md");
        assert!(
            day.contains(
                "date = 2026-04-11\nmachine = \"heron-300\"\nrider = \"wren\"\ntrack = \"old-quarry\"\n"
            ),
            "{day}"
        );
    }

    /// A clone that is empty yet, or a folder with notes in it.
    #[test]
    fn a_book_is_started_in_the_folder_that_one_is_in() {
        let desk = Desk::empty();
        desk.write("my season 2026/notes.txt", "kept");
        desk.write("a \"quoted\" one/notes.txt", "kept");
        for (folder, title) in [("my season 2026", "My season 2026"), ("a \"quoted\" one", "A book")] {
            let output = desk.run_in(folder, &["new", "book", "."]);
            assert_eq!((code(&output), out(&output)), (0, "book.toml\n"), "{}", err(&output));
            let book = desk.read(&format!("{folder}/book.toml"));
            assert!(book.contains(&format!("title = \"{title}\"\n")), "{book}");
            assert_eq!(code(&desk.run_in(folder, &["new", "machine", "heron-300"])), 0);
            assert_eq!(code(&desk.run_in(folder, &["check"])), 0);
            assert_eq!(code(&desk.run_in(folder, &["new", "book", "."])), 2, "nothing is overwritten");
        }
    }

    /// A new book has nothing to say and gives no findings; its blocks are all there to be filled in.
    #[test]
    fn an_untouched_book_is_silent() {
        let desk = Desk::empty();
        desk.run(&["new", "book", "season"]);
        for (what, name) in
            [("machine", "heron-300"), ("rider", "wren"), ("track", "old-quarry"), ("day", "2026-04-11")]
        {
            assert_eq!(code(&desk.run_in("season", &["new", what, name])), 0);
        }
        let check = desk.run_in("season", &["check", "--on", "2026-04-11"]);
        assert_eq!((code(&check), out(&check)), (0, ""));
        // Taken out of its comment, each block counts.
        let day = desk.read("season/days/2026-04-11.md");
        let filled: String =
            day.lines().map(|line| format!("{}\n", line.strip_prefix("# ").unwrap_or(line))).collect();
        desk.write("season/days/2026-04-11.md", &filled);
        let machine = desk.read("season/machines/heron-300.md").replace("# shock.rebound", "shock.rebound");
        desk.write("season/machines/heron-300.md", &machine);
        let check = desk.run_in("season", &["check", "--on", "2026-04-11"]);
        assert_eq!(code(&check), 0, "{}", out(&check));
        let figures = desk.run_in("season", &["figures", "days/2026-04-11.md"]);
        let is_sag = |line: &str| line.contains("sag.rear.rider ") && line.contains(" 105.0 ");
        assert!(out(&figures).lines().any(is_sag), "{}", out(&figures));
        let state = desk.run_in("season", &["state", "days/2026-04-11.md"]);
        assert!(out(&state).contains("13 clicks"), "{}", out(&state));
    }

    #[test]
    fn nothing_is_overwritten() {
        let desk = Desk::with_book();
        let before = desk.read("machines/heron.md");
        let output = desk.run(&["new", "machine", "heron"]);
        assert_eq!(code(&output), 2);
        assert_eq!(desk.read("machines/heron.md"), before);
        assert!(err(&output).contains("heron.md"), "{}", err(&output));
    }

    #[test]
    fn a_day_goes_on_from_another() {
        let desk = Desk::with_book();
        let output = desk.run(&["new", "day", "2026-04-18", "--from", "2026-04-11"]);
        assert_eq!(code(&output), 0, "{}", err(&output));
        let day = desk.read("days/2026-04-18.md");
        for line in [
            "date = 2026-04-18",
            "machine = \"heron\"",
            "fork.height = \"3 mm\"",
            "fork.compression = \"10 clicks\"",
        ] {
            assert!(day.contains(line), "{line} in {day}");
        }
        let check = desk.run(&["check", "days/2026-04-18.md", "--on", "2026-04-18"]);
        assert!(!out(&check).contains("drifted") && code(&check) == 0, "{}", out(&check));
    }

    #[test]
    fn names_that_nobody_could_refer_to_are_refused() {
        let desk = Desk::with_book();
        for name in ["../heron", "a b", ""] {
            assert_eq!(code(&desk.run(&["new", "machine", name])), 2, "{name:?}");
        }
        assert_eq!(code(&desk.run(&["new", "day", "2026-05-01", "--from", "2026-04-12"])), 2);
        // These are not dates; a date that is given counts.
        for name in ["2026-13-45", "2026-02-30-wet", "11-04-2026", "2026-4-1"] {
            let output = desk.run(&["new", "day", name]);
            assert_eq!(code(&output), 2, "{name}: {}", out(&output));
            assert!(err(&output).contains(name) && err(&output).contains("2026-04-11"), "{}", err(&output));
        }
        assert_eq!(file_names(&desk.path("days")).len(), 2);
    }
}

mod sheet {
    use super::*;

    /// A rider who has just begun writes a date and a sag, and wants them on paper.
    #[test]
    fn a_day_of_an_unknown_machine_rider_and_track_is_printed() {
        for links in ["", "machine = \"heron\"\n", "rider = \"wren\"\n", "track = \"quarry\"\n"] {
            let desk = Desk::with_book();
            let day = format!(
                "+++\nkind = \"day\"\ndate = 2026-05-01\n{links}+++\n\n```sag rear\nhanging = \"612 mm\"\n\
                 alone = \"577 mm\"\naboard = \"507 mm\"\n```\n"
            );
            desk.write("days/bare.md", &day);
            for format in ["pdf", "html"] {
                let output = desk.run(&["sheet", "days/bare.md", "-o", "print", "--format", format]);
                assert_eq!(code(&output), 0, "{links}{}", err(&output));
            }
            assert!(desk.read("print/bare.html").contains("____"), "{links}");
            for arguments in [
                &["roster", "--date", "2026-05-01", "-o", "van"][..],
                &["season", "--format", "html", "-o", "season.html"],
                &["next", "days/bare.md"],
                &["state", "days/bare.md"],
                &["figures", "days/bare.md"],
                &["spring", "days/bare.md"],
                &["gearing", "days/bare.md"],
                &["why", "sag.rear.rider", "days/bare.md"],
                &["compare", "days/2026-04-11.md", "days/bare.md"],
            ] {
                let output = desk.run(arguments);
                assert!(!err(&output).contains("template"), "{links}{arguments:?} {}", err(&output));
                assert!(code(&output) != 101, "{links}{arguments:?} {}", err(&output));
            }
        }
    }

    #[test]
    fn one_sheet_goes_to_the_file_that_is_named() {
        let desk = Desk::with_book();
        let day = "days/2026-04-11.md";
        assert_eq!(out(&desk.run(&["sheet", day, "-o", "a.pdf"])), "a.pdf\n");
        assert!(fs::read(desk.path("a.pdf")).unwrap().starts_with(b"%PDF"));
        assert_eq!(code(&desk.run(&["sheet", day, "-o", "A.HTML"])), 0);
        assert!(fs::read(desk.path("A.HTML")).unwrap().starts_with(b"<!"));
        // Neither two sheets in one file, nor HTML under the name of a PDF.
        assert_eq!(code(&desk.run(&["sheet", "-o", "b.pdf"])), 2);
        assert_eq!(code(&desk.run(&["sheet", day, "-o", "b.pdf", "--format", "html"])), 2);
        assert!(!desk.path("b.pdf").exists());
    }

    #[test]
    fn one_file_a_day_named_after_it() {
        let desk = Desk::with_book();
        let output = desk.run(&["sheet", "-o", "print"]);
        assert_eq!(code(&output), 0, "{}", err(&output));
        assert_eq!(file_names(&desk.path("print")), ["2026-04-04.pdf", "2026-04-11.pdf"]);
        assert!(fs::read(desk.path("print/2026-04-11.pdf")).unwrap().starts_with(b"%PDF-"));
        assert!(!err(&output).contains('\r'), "no progress where nobody looks");
    }

    #[test]
    fn the_same_book_gives_the_same_bytes() {
        let desk = Desk::with_book();
        for format in ["pdf", "html"] {
            for folder in ["one", "two"] {
                let output = desk.run(&["sheet", "days/2026-04-11.md", "-o", folder, "--format", format]);
                assert_eq!(code(&output), 0, "{}", err(&output));
            }
            let name = format!("2026-04-11.{format}");
            let read = |folder: &str| fs::read(desk.path(folder).join(&name)).unwrap();
            assert!(read("one") == read("two"), "{format}");
        }
    }

    #[test]
    fn a_setting_past_a_limit_stops_the_sheets_that_it_is_carried_into() {
        let desk = Desk::with_book();
        let machine = desk.read("machines/heron.md");
        desk.write("machines/heron.md", &format!("{machine}\n```limits\ntyre.rear = \"..20 psi\"\n```\n"));
        let day = desk.read("days/2026-04-04.md");
        let change = "```change\ntyre.rear = \"25 psi\"\nbecause = \"a slip of the pen\"\n```\n";
        desk.write("days/2026-04-04.md", &format!("{day}\n{change}"));
        let output = desk.run(&["sheet", "-o", "print", "--format", "html"]);
        assert_eq!(code(&output), 1, "{}", err(&output));
        assert!(!desk.path("print").exists(), "{}", err(&output));
        assert!(
            err(&output).contains("days/2026-04-04.md:") && err(&output).contains("25 psi"),
            "{}",
            err(&output)
        );
    }

    #[test]
    fn a_riders_text_is_text_and_nothing_else() {
        let desk = Desk::with_book();
        assert_eq!(code(&desk.run(&["sheet", "days/2026-04-11.md", "-o", "print", "--format", "html"])), 0);
        let html = desk.read("print/2026-04-11.html");
        assert!(html.contains("Wren &lt;Ånd&gt; *Söhne*"), "{html}");
        assert!(html.contains("number plate *tight*"), "{html}");
    }

    #[test]
    fn the_sheet_says_this() {
        let store = BOOK.iter().fold(Memory::new(), |store, (path, text)| store.with(*path, *text));
        let loambook::session::Compiled { book, season, .. } = crate::books::replayed(&store);
        let page = loambook::pages::sheet::sheet(
            &book,
            &season,
            &loambook::advice::Advice::shipped(),
            1,
            Options::default(),
        )
        .unwrap();
        let written = Templates::new([]).unwrap().render("sheet.md", &page).unwrap();
        crate::snapshots::assert_kept("sheet.md", &written);
    }

    #[test]
    fn a_book_can_bring_its_own_template() {
        let desk = Desk::with_book();
        desk.write("templates/sheet.md", "# {{ head.rider }}\n\nmy own sheet\n");
        assert_eq!(code(&desk.run(&["sheet", "days/2026-04-11.md", "-o", "print", "--format", "html"])), 0);
        assert!(desk.read("print/2026-04-11.html").contains("my own sheet"));
        desk.write("templates/sheet.md", "{{ head.nobody }}\n");
        let output = desk.run(&["sheet", "days/2026-04-11.md", "-o", "print", "--format", "html"]);
        assert_eq!(code(&output), 2, "{}", err(&output));
        assert!(err(&output).contains("sheet.md") && err(&output).contains("nobody"), "{}", err(&output));
    }
}

mod help {
    use super::*;

    #[test]
    fn help_and_version_are_asked_for_and_go_to_standard_output() {
        let desk = Desk::empty();
        for arguments in [["--help"], ["--version"]] {
            let output = desk.run(&arguments);
            assert_eq!((code(&output), err(&output)), (0, ""));
            assert!(out(&output).contains("loambook"));
        }
        assert_eq!(code(&desk.run(&["frobnicate"])), 2);
    }
}

mod why {
    use super::*;

    const SAG: &str = "sag.rear.rider";

    /// Where a key of a block stands in a notebook of the desk.
    fn line_of(desk: &Desk, path: &str, key: &str) -> String {
        let text = desk.read(path);
        let line = text.lines().position(|line| line.trim_start().starts_with(key)).unwrap();
        format!("{path}:{}", line + 1)
    }

    #[test]
    fn the_working_stands_top_down_with_every_place() {
        let desk = Desk::with_book();
        let output = desk.run(&["why", SAG, "days/2026-04-04.md"]);
        assert_eq!(code(&output), 0, "{}", err(&output));
        let text = out(&output);
        let order = [
            " ± ",
            // Reference case "both readings rest on one scatter": 2.92646558 / 1.22474487.
            "k = 2.39 for 95.45 % (8 effective degrees of freedom)",
            "\nFormula",
            "sag = hanging − loaded",
            "\nFrom",
            "\nAssumed",
            "\nScatter of readings",
            "\nUncertainty",
            "\n  To know it better",
        ];
        let places: Vec<usize> =
            order.iter().map(|part| text.find(part).unwrap_or_else(|| panic!("{part}: {text}"))).collect();
        assert!(places.is_sorted(), "{places:?} {text}");
        let hanging = line_of(&desk, "days/2026-04-04.md", "hanging");
        assert!(text.contains(&hanging) && text.contains("\"612 mm\""), "{hanging}: {text}");
    }

    #[test]
    fn the_budget_adds_up_largest_first() {
        let desk = Desk::with_book();
        let output = desk.run(&["why", SAG, "days/2026-04-04.md", "--format", "json"]);
        let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        let budget = json["budget"].as_array().unwrap();
        let shares: Vec<f64> = budget.iter().map(|line| line["share"].as_f64().unwrap()).collect();
        assert!(shares.len() >= 2 && shares.windows(2).all(|pair| pair[0] >= pair[1]), "{json}");
        assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-12, "{json}");
        let places: Vec<&str> = budget.iter().filter_map(|line| line["place"].as_str()).collect();
        assert!(places.contains(&line_of(&desk, "days/2026-04-04.md", "aboard").as_str()), "{json}");
        for key in ["formula", "published", "coverage", "improve", "shown"] {
            assert!(json[key].as_str().is_some_and(|text| !text.is_empty()), "{key}: {json}");
        }
        let best = json["improve"].as_str().unwrap();
        assert!(best.contains(budget[0]["name"].as_str().unwrap()), "{json}");
        assert!(json["assumed"].as_array().unwrap().contains(&"friction not measured".into()), "{json}");
    }

    #[test]
    fn the_page_says_what_the_text_says() {
        let desk = Desk::with_book();
        let json = desk.run(&["why", SAG, "days/2026-04-04.md", "--format", "json"]);
        let json: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
        let html = desk.run(&["why", SAG, "days/2026-04-04.md", "--format", "html"]);
        assert_eq!(code(&html), 0, "{}", err(&html));
        let html = out(&html);
        assert!(html.starts_with("<!doctype html>") && html.contains("name=\"viewport\""), "{html}");
        for key in ["shown", "formula", "published", "improve", "coverage", "label"] {
            let text = json[key].as_str().unwrap();
            assert!(html.contains(text), "{key}: {text}");
        }
        for line in json["budget"].as_array().unwrap() {
            for key in ["name", "value", "effect", "percent"] {
                assert!(html.contains(line[key].as_str().unwrap()), "{key} of {line}");
            }
        }
        for input in json["inputs"].as_array().unwrap() {
            assert!(html.contains(input["place"].as_str().unwrap()), "{input}");
        }
        // Nothing of it is fetched from the network.
        assert!(!html.contains("src=\"http") && !html.contains("href=\"http"), "{html}");
    }

    #[test]
    fn a_line_asks_for_what_held_there() {
        let desk = Desk::with_book();
        let path = "days/2026-04-04.md";
        let top = desk.run(&["why", SAG, &format!("{path}:1")]);
        assert!(code(&top) == 0 && out(&top).contains("needs "), "{}{}", out(&top), err(&top));
        let there = desk.run(&["why", SAG, &line_of(&desk, path, "aboard")]);
        assert!(out(&there).contains(" ± "), "{}", out(&there));
        let beyond = desk.run(&["why", SAG, &format!("{path}:4000")]);
        assert_eq!(code(&beyond), 2);
        assert!(err(&beyond).contains("no line 4000"), "{}", err(&beyond));
        let misspelt = desk.run(&["why", "sag.rear.ridr", path]);
        assert!(code(&misspelt) == 2 && err(&misspelt).contains(SAG), "{}", err(&misspelt));
    }
}

/// What the demo book's figures say, as its readers see it.
mod demo_figures {
    use super::*;

    fn all() -> Vec<serde_json::Value> {
        let book = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks");
        let output = program().arg("figures").arg(book).args(["--format", "json"]).output().unwrap();
        let notebooks = out(&output).lines().map(|line| serde_json::from_str(line).unwrap());
        let figures =
            notebooks.flat_map(|notebook: serde_json::Value| notebook["figures"].as_array().unwrap().clone());
        figures.filter(|figure| figure["value"].is_number()).collect()
    }

    #[test]
    fn a_change_inside_its_uncertainty_is_never_told_as_one() {
        let (mut within, mut beyond) = (0, 0);
        for figure in all() {
            let id = figure["id"].as_str().unwrap();
            if !books::figure(id).info().is_change() {
                continue;
            }
            let shown = figure["shown"].as_str().unwrap();
            let value = figure["value"].as_f64().unwrap();
            match figure["expanded"].as_f64() {
                Some(expanded) if value.abs() < expanded => {
                    within += 1;
                    assert_eq!(shown, "no measurable change", "{figure}");
                }
                _ => {
                    beyond += 1;
                    // A loss says over how many days.
                    let is_signed = shown.starts_with(['+', '\u{2212}']) || shown == "no change";
                    let is_signed = is_signed || shown.starts_with("lost ") || shown.starts_with("gained ");
                    assert!(is_signed, "{figure}");
                }
            }
        }
        assert!(within > 50 && beyond > 50, "{within} {beyond}");
    }

    #[test]
    fn uncertainties_have_one_digit_from_three_on_else_two_and_values_as_many_decimals() {
        let mut seen = 0;
        for figure in all() {
            let shown = figure["shown"].as_str().unwrap();
            let is_plain = ["no measurable", "lost ", "gained "].iter().any(|word| shown.starts_with(word));
            assert!(!shown.contains('±') || figure["expanded"].is_number() && !is_plain, "{figure}");
            let Some((number, behind)) = shown.split_once(" ± ") else { continue };
            let spread =
                behind.split(|letter: char| !letter.is_ascii_digit() && letter != '.').next().unwrap();
            let decimals = |text: &str| text.split_once('.').map_or(0, |(_, behind)| behind.len());
            assert_eq!(decimals(number), decimals(spread), "{shown}");
            let digits: String = spread.chars().filter(char::is_ascii_digit).collect();
            let digits = digits.trim_start_matches('0');
            let said = digits.trim_end_matches('0').len().max(1);
            let is_short = said == 1 || said == 2 && digits.starts_with(['1', '2']);
            assert!(is_short, "{shown}");
            seen += 1;
        }
        assert!(seen > 1000, "{seen}");
    }
}
