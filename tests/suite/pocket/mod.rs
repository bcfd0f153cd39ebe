//! The page for the telephone: what its forms write, how it works for a finger and a screen reader, and whether the library
//! in it gives what the program gives.
//!
//! Where the machine has no Node or no Chromium, this says so on standard error, past the capture of the test's output; with
//! `LOAMBOOK_NEEDS_BROWSER` set it fails.

mod speech;

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

use loambook::finding::Code;
use loambook::pocket::Desk as Pocket;
use loambook::session::Session;
use loambook::source::Disk;
use serde_json::{Value, json};

use crate::chromium;
use crate::desk::{Desk, code, copy, err, out};

const ROOT: &str = env!("CARGO_MANIFEST_DIR");
/// A day for which the demo book has no notebook.
const DATE: &str = "2026-10-24";

/// A copy of the demo book.
fn demo() -> Desk {
    let desk = Desk::empty();
    copy(&Path::new(ROOT).join("notebooks"), desk.folder.path());
    desk
}

/// The page of the demo book on a day, and what the program printed about it.
fn page(desk: &Desk) -> (String, Value) {
    let output = desk.run(&["pocket", "-o", "pocket.html", "--date", DATE]);
    assert_eq!((code(&output), out(&output)), (0, "pocket.html\n"), "{}", err(&output));
    let page = desk.read("pocket.html");
    let (_, told) = page.split_once("id=\"book\">").unwrap();
    let (told, _) = told.split_once("</script>").unwrap();
    let told = serde_json::from_str(told).unwrap();
    (page, told)
}

/// Runs one of our scripts; `None` where there is no Node.
fn node(script: &str, arguments: &[&str]) -> Option<std::process::Output> {
    let script = Path::new(ROOT).join("tests/suite/pocket").join(script);
    match Command::new("node").arg(script).args(arguments).output() {
        Ok(output) => {
            assert!(output.status.success(), "{}", err(&output));
            Some(output)
        }
        Err(_) => {
            chromium::missing("no Node here: the page's script was not run");
            None
        }
    }
}

/// Findings that say that a text is not read as it was meant.
fn is_of_reading(name: &str) -> bool {
    let of = |codes: &[&Code]| codes.iter().any(|code| code.name == name);
    of(loambook::notebook::CODES) || of(loambook::quantity::CODES) || of(loambook::vocabulary::CODES)
}

#[test]
fn what_the_forms_make_is_what_check_accepts() {
    let desk = demo();
    let (_, told) = page(&desk);
    desk.write("told.json", &told.to_string());
    let Some(drawn) = node("draw.js", &[desk.path("told.json").to_str().unwrap(), "60", "7"]) else { return };
    let made: BTreeMap<String, u32> = serde_json::from_str(err(&drawn)).unwrap();
    assert!(made.len() == 7 && made.values().all(|count| *count > 20), "{made:?}");
    let mut session = Session::over(Disk::new(desk.folder.path())).unwrap();
    for line in out(&drawn).lines() {
        let day: Value = serde_json::from_str(line).unwrap();
        let text = day["text"].as_str().unwrap();
        session.edit("days/drawn.md", text);
        let compiled = session.compile(None);
        let wrong: Vec<_> = compiled
            .findings_of("days/drawn.md")
            .filter(|finding| is_of_reading(finding.code.name))
            .map(|finding| (finding.code.name, compiled.book.sources.text(finding.span)))
            .collect();
        assert!(wrong.is_empty(), "{wrong:?} in\n{text}");
        let file = compiled.book.sources.find("days/drawn.md").unwrap();
        let blocks = &compiled.book.notebook(file).unwrap().document.blocks;
        let prose = |kind: &&Value| matches!(kind.as_str(), Some("note" | "hurt"));
        let expected = day["kinds"].as_array().unwrap().iter().filter(|kind| !prose(kind)).count();
        assert_eq!(blocks.len(), expected, "{text}");
        // The program itself, and the entry to a book.
        session.close("days/drawn.md");
    }
    let texts = out(&drawn).lines().map(|line| serde_json::from_str::<Value>(line).unwrap());
    for text in texts.take(6) {
        let text = text["text"].as_str().unwrap();
        let checked = desk.run_with_input(&["check", "-", "--format", "json", "--on", "2027-12-31"], text);
        for line in out(&checked).lines() {
            let finding: Value = serde_json::from_str(line).unwrap();
            assert!(!is_of_reading(finding["code"].as_str().unwrap()), "{line}\n{text}");
        }
        let merged = loambook::pages::take::message(text);
        assert_eq!((merged.days.len(), merged.days[0].as_str()), (1, text), "it comes back as it was");
    }
}

#[test]
fn the_page_forbids_everything_but_itself() {
    let desk = demo();
    let (page, told) = page(&desk);
    let (_, policy) = page.split_once("Content-Security-Policy\" content=\"").unwrap();
    let (policy, _) = policy.split_once('"').unwrap();
    assert!(policy.starts_with("default-src 'none'; script-src 'sha256-"), "{policy}");
    assert!(!policy.contains("http") && !policy.contains("'unsafe-eval'"), "{policy}");
    assert!(!page.contains("src=\"http") && !page.contains("href=\"http"));
    // Each rider on the machine of their last day, with a sheet each.
    let rides = told["rides"].as_array().unwrap();
    assert_eq!(rides.len(), 4);
    for ride in rides {
        assert!(ride["sheet"].as_str().unwrap().contains("Content-Security-Policy"));
        assert!(ride["settings"].as_array().unwrap().len() > 5);
    }
    // An earlier page is replaced, and nothing else.
    assert_eq!(code(&desk.run(&["pocket", "-o", "pocket.html", "--date", DATE])), 0);
    desk.write("mine.html", "<p>mine");
    assert_eq!(code(&desk.run(&["pocket", "-o", "mine.html"])), 2);
}

#[test]
fn a_hostile_book_stays_text() {
    let desk = demo();
    let title = "</script><script>alert(1)</script><!--";
    desk.write("book.toml", &desk.read("book.toml").replace("A season in the pits", title));
    let (page, told) = page(&desk);
    assert_eq!(told["title"], title);
    assert!(!page.contains("alert(1)</script>"), "it stands in JSON alone");
    assert_eq!(page.matches("<script").count(), 4);
}

/// A day entered into the book's page in Chromium, and what the page wrote; `None` without a browser. Its pictures are
/// then in a folder of this name, where somebody asks for them.
fn entered(desk: &Desk, pictures: &str) -> Option<Value> {
    page(desk);
    if Command::new("chromium").arg("--version").output().is_err() {
        chromium::missing("no Chromium here: the page for the telephone was not opened");
        return None;
    }
    let pictures = std::env::var("LOAMBOOK_PICTURES").map(|folder| format!("{folder}/{pictures}"));
    let pictures = pictures.unwrap_or_default();
    if !pictures.is_empty() {
        fs::create_dir_all(&pictures).unwrap();
    }
    let told = node("day.js", &[desk.path("pocket.html").to_str().unwrap(), &pictures])?;
    Some(serde_json::from_str(out(&told)).unwrap())
}

/// The same day entered into the demo book's page in a language: once for all tests.
fn entered_in(language: &str) -> Option<&'static Value> {
    static ALL: [(&str, OnceLock<Option<Value>>); 3] =
        [("en", OnceLock::new()), ("de", OnceLock::new()), ("es", OnceLock::new())];
    let (_, told) = ALL.iter().find(|(tag, _)| *tag == language).unwrap();
    let desk = || if language == "en" { demo() } else { speech::demo_in(language) };
    told.get_or_init(|| entered(&desk(), language)).as_ref()
}

#[test]
fn a_day_is_entered_by_presses_and_keys() {
    let desk = demo();
    let Some(told) = entered_in("en") else { return };
    let said = |key: &str| told[key].as_str().unwrap().to_owned();
    let text = said("text");

    assert_eq!(told["first"], "Hurt / crashed");
    assert_eq!(told["ready"], "checked", "the library runs in the browser");
    assert!(said("sheet").contains("152"), "{}", said("sheet"));
    assert_eq!(told["draft"], "508,5", "what was typed outlives the page");
    assert!(said("refused").contains("“57 7” is no number"), "{}", said("refused"));
    // 611.67 mm hanging less 507.17 mm aboard, both the means of three.
    assert!(said("figures").contains("104.5"), "{}", said("figures"));
    assert!(said("figures").contains("turn in"), "{}", said("figures"));
    assert_eq!(told["small"], json!([]), "each can be hit with a thumb");
    assert_eq!(told["nameless"], json!([]), "each has a name for a screen reader");
    assert_eq!(told["over"], 0, "nothing is wider than the telephone");
    for scheme in ["light", "dark"] {
        // WCAG 2.2, 1.4.6: enhanced contrast.
        assert!(told["contrast"][scheme].as_f64().unwrap() >= 7.0, "{:?}", told["contrast"]);
    }
    let asked = told["asked"].as_array().unwrap();
    assert!(
        asked.iter().all(|scheme| ["file", "about", "data"].contains(&scheme.as_str().unwrap())),
        "{asked:?}"
    );
    assert!(!said("unkept").is_empty());
    assert!(said("locked").contains("Kept in the text."));
    assert!(said("hurt").contains("Stop riding. Help first"), "{}", said("hurt"));
    assert!(said("stopped").contains("not cleared to ride"), "{}", said("stopped"));
    assert!(said("copied").contains("Copied") || said("copied").contains("copy it"), "{}", said("copied"));

    desk.write("sent.txt", &text);
    let taken = desk.run(&["take", "sent.txt"]);
    let filed = out(&taken).trim().to_owned();
    assert_eq!(code(&taken), 0, "{text}\n{}", err(&taken));
    assert_eq!(desk.read(&filed), text);
    let sheet = desk.run(&["sheet", &filed, "-o", "sheet.html"]);
    assert_eq!(code(&sheet), 0, "{}", err(&sheet));
    let sheet = desk.read("sheet.html");
    for entered in ["104.5", "2 clicks out", "152", "2:02.8"] {
        assert!(sheet.contains(entered), "{entered} on the sheet of\n{text}");
    }
    // What is entered later is a patch; a day with an injury is filed, and the rider is not cleared.
    desk.write("later.txt", &said("injury"));
    let later = desk.run(&["take", "later.txt"]);
    assert!(out(&later).contains("+Hurt: signs of an injury"), "{}{}", out(&later), err(&later));
    assert!(err(&later).contains("not cleared to ride"), "{}", err(&later));
}

#[test]
fn a_day_outlives_the_battery_is_handed_over_and_can_be_heard() {
    let desk = demo();
    page(&desk);
    if Command::new("chromium").arg("--version").output().is_err() {
        return chromium::missing("no Chromium here: the page for the telephone was not opened");
    }
    let Some(told) = node("hands.js", &[desk.path("pocket.html").to_str().unwrap()]) else { return };
    let told: Value = serde_json::from_str(out(&told)).unwrap();

    let shared = &told["shared"];
    let given = shared["taken"]["handed"]["text"].as_str().unwrap();
    assert_eq!(given, shared["taken"]["text"]);
    desk.write("sent.txt", given);
    let taken = desk.run(&["take", "sent.txt"]);
    assert_eq!((code(&taken), desk.read(out(&taken).trim()).as_str()), (0, given), "{}", err(&taken));
    for (how, is_offered) in [("taken", true), ("refused", true), ("absent", false)] {
        let told = &shared[how];
        assert_eq!((&told["is_offered"], &told["is_copied"]), (&json!(is_offered), &json!(true)), "{how}");
        assert!(told["text"].as_str().unwrap().contains(&format!("It was {how}.")), "{told}");
    }

    assert!(
        told["killed"]["text"].as_str().unwrap().contains("Before the battery died."),
        "{}",
        told["killed"]
    );
    assert_eq!(told["killed"]["draft"], "612", "what was typed and not entered");

    let heard = &told["heard"];
    let stands = json!({
        "write": "write", "open": "open-stint", "start": "field-stint-laps-watch",
        "lap": "field-stint-laps-watch", "stop": "field-stint-laps-watch", "a lap out": "field-stint-laps-watch",
        "enter": "open-stint", "out": "open-air", "another": "open-air", "change": "open-change",
        "way": "field-change-way-3", "hurt": "hurt", "back": "hurt-button", "hurt again": "hurt",
        "hurt written": "hurt-button", "text": "text",
    });
    assert_eq!(heard["stands"], stands);
    assert!(heard["lap"].as_str().unwrap().starts_with("0:0"), "{heard}");
    assert!(heard["entered"].as_str().unwrap().contains("To look at: "), "{heard}");
    assert!(heard["stopped"].as_str().unwrap().contains("not cleared to ride"), "{heard}");
    assert_eq!(heard["order"], json!(["button", "h1", "nav", "main"]));
    assert_eq!(heard["over"], json!({ "sheet": 0, "write": 0, "text": 0 }));
}

/// The module in the repository, or the one just built.
fn module() -> PathBuf {
    std::env::var_os("LOAMBOOK_MODULE")
        .map_or_else(|| Path::new(ROOT).join("templates/pocket"), PathBuf::from)
}

#[test]
fn the_library_in_the_browser_says_what_the_program_says() {
    let desk = demo();
    let on = "2026-10-24";
    let (_, told) = page(&desk);
    let days: Vec<String> = desk_days(&desk);
    let asked = json!({ "files": told["files"], "days": days, "on": on });
    desk.write("asked.json", &asked.to_string());
    let (folder, asked) = (module(), desk.path("asked.json"));
    let Some(said) = node("module.js", &[folder.to_str().unwrap(), asked.to_str().unwrap()]) else { return };
    let said: Value = serde_json::from_str(out(&said)).unwrap();

    let mut native = on_the_telephone(&told);
    let stale = "run `.ci/pocket`, which builds the module anew";
    assert_eq!(said["findings"].as_str().unwrap(), native.findings(on), "{stale}");
    assert!(said["findings"].as_str().unwrap().lines().count() > 3);
    // From here on the program itself.
    for (day, figures) in days.iter().zip(said["figures"].as_array().unwrap()) {
        let printed = desk.run(&["figures", day, "--format", "json"]);
        let printed: Value = serde_json::from_str(out(&printed)).unwrap();
        let figures: Value = serde_json::from_str(figures.as_str().unwrap()).unwrap();
        assert_eq!(figures["figures"], printed["figures"], "{day}: {stale}");
    }
    let checked = desk.run(&["check", "--format", "json", "--on", on]);
    // Of what it says of a whole book once, the labels are others.
    let place = |line: &str| {
        let finding: Value = serde_json::from_str(line).unwrap();
        ["code", "severity", "file", "line", "column"].map(|key| finding[key].to_string())
    };
    let said: Vec<[String; 5]> = said["findings"].as_str().unwrap().lines().map(place).collect();
    for line in out(&checked).lines() {
        assert!(said.contains(&place(line)), "{line}: {stale}");
    }
}

/// The library with the page's part of the book.
fn on_the_telephone(told: &Value) -> Pocket {
    let mut pocket = Pocket::new();
    for file in told["files"].as_array().unwrap() {
        pocket.put(file[0].as_str().unwrap(), file[1].as_str().unwrap());
    }
    pocket
}

#[test]
fn a_text_belongs_to_the_notebook_of_its_day_and_leaves_nothing_behind() {
    let (_, told) = page(&demo());
    let mut pocket = on_the_telephone(&told);
    let text = |date: &str, rider: &str, machine: &str| {
        format!(
            "+++\nkind = \"day\"\ndate = {date}\nmachine = \"{machine}\"\nrider = \"{rider}\"\n+++\n\n\
             ```change\nfork.height = \"1 mm down\"\n```\n"
        )
    };
    let senior = text("2026-10-17", "senior", "corrie-450");
    let height = |told: &str| {
        let told: Value = serde_json::from_str(told).unwrap();
        let settings = told["settings"].as_array().unwrap();
        settings.iter().find(|setting| setting["id"] == "fork.height").unwrap()["value"].clone()
    };
    let in_its_own = pocket.told("days/2026-10-17-senior.md", &senior, DATE);
    let elsewhere = pocket.told("days/2026-10-17-senior-pocket.md", &senior, DATE);
    assert_eq!(in_its_own, elsewhere);
    assert_eq!(height(&in_its_own), "4 mm");
    // Another rider's day in between, and one picked by mistake.
    let mistaken = text("2026-10-20", "senior", "corrie-450");
    assert_eq!(height(&pocket.told("days/x.md", &mistaken, DATE)), "4 mm");
    pocket.told("days/y.md", &text("2026-10-20", "junior", "skerry-125"), DATE);
    assert_eq!(pocket.told("days/2026-10-17-senior.md", &senior, DATE), in_its_own);
}

#[test]
fn the_module_names_no_machine() {
    let module = fs::read(module().join("module.wasm")).unwrap();
    // Where crates are kept, folders that people live in, and what is the case here.
    let homes = ["home", "root", "Users"].map(|folder| format!("/{folder}/"));
    let here = ["HOME", "CARGO_HOME"].into_iter().filter_map(|name| std::env::var(name).ok());
    let own = [".cargo/", "/registry/", env!("CARGO_MANIFEST_DIR")].map(str::to_owned);
    for path in homes.into_iter().chain(here).chain(own).filter(|path| path.len() > 1) {
        assert!(
            !module.windows(path.len()).any(|bytes| bytes == path.as_bytes()),
            "{path} stands in the module"
        );
    }
}

fn desk_days(desk: &Desk) -> Vec<String> {
    crate::desk::file_names(&desk.path("days")).into_iter().map(|name| format!("days/{name}")).collect()
}
