//! The page speaks its rider's language, and writes the same notebook text in each.

use std::collections::BTreeSet;

use loambook::finding::Severity;
use serde_json::Value;

use super::*;
use crate::mixing::{self, Own, points, strays};

/// A copy of the demo book in a language.
pub fn demo_in(tag: &str) -> Desk {
    let desk = demo();
    desk.write("book.toml", &format!("language = \"{tag}\"\n{}", desk.read("book.toml")));
    desk
}

/// The texts between some text and the next quote, wherever they are.
fn behind(text: &str, before: &str) -> BTreeSet<String> {
    let behind = text.split(before).skip(1);
    behind.map(|text| text.split('"').next().unwrap().to_owned()).collect()
}

#[test]
fn all_that_is_told_is_said_and_all_that_is_said_is_told() {
    let (_, told) = page(&demo());
    let words = told["speech"]["en"]["words"].as_object().unwrap();
    let folder = Path::new(ROOT).join("templates/pocket");
    let script = fs::read_to_string(folder.join("pocket.js")).unwrap();
    let frame = fs::read_to_string(folder.join("page.html")).unwrap();
    let mut asked = behind(&script, "say(\"");
    asked.extend(behind(&frame, "data-say=\""));
    asked.extend(behind(&frame, "data-label=\""));
    assert!(asked.len() > 60, "{asked:?}");
    for name in &asked {
        assert!(words.contains_key(name), "`{name}` is told nowhere");
    }
    let literals: BTreeSet<&str> =
        script.lines().flat_map(|line| line.split('"').skip(1).step_by(2)).collect();
    for name in words.keys() {
        // Cautions are named by their form, what follows a push or a lift by its key, the severity of a finding
        // by its word.
        let part = name.trim_start_matches("caution_").trim_start_matches("after");
        let severity = Severity::ALL.iter().any(|it| *name == format!("severity_{}", it.word()));
        let is_made = severity || literals.iter().any(|word| word.ends_with(part));
        assert!(asked.contains(name) || is_made, "`{name}` is said nowhere");
    }
    // The script has no English sentence, and the frame no word.
    let is_sentence =
        |text: &&&str| text.contains(' ') && text.starts_with(|it: char| it.is_ascii_uppercase());
    assert_eq!(literals.iter().filter(is_sentence).collect::<Vec<_>>(), Vec::<&&str>::new());
    let outside = frame.split('<').filter_map(|tag| tag.split_once('>')).map(|(_, text)| text.trim());
    assert_eq!(outside.filter(|text| !text.is_empty()).collect::<Vec<_>>(), Vec::<&str>::new());
}

#[test]
fn each_rider_is_spoken_to_in_the_riders_language() {
    let desk = demo_in("de");
    let senior = desk.read("riders/senior.md").replacen("+++\n", "+++\nlanguage = \"es\"\n", 1);
    desk.write("riders/senior.md", &senior);
    let (page, told) = page(&desk);
    assert!(page.contains("<html lang=\"de\">"));
    assert!(page.contains("data-say=\"hurt\">Verletzt / gestürzt</button>"));
    assert!(page.contains("<noscript><p data-say=\"noscript\">Diese Seite"));
    let ride = |rider: &str| {
        told["rides"].as_array().unwrap().iter().find(|ride| ride["rider"]["name"] == rider).unwrap()
    };
    assert_eq!((&ride("senior")["language"], &ride("junior")["language"]), (&"es".into(), &"de".into()));
    assert!(ride("senior")["sheet"].as_str().unwrap().contains("<html lang=\"es\""));
    assert_eq!(told["speech"]["es"]["words"]["hurt"], "Herido / caída");
    // The library in the page has no language but English: these come with it.
    let files = told["files"].as_array().unwrap();
    for path in ["templates/words/de.toml", "templates/words/es.toml"] {
        assert!(files.iter().any(|file| file[0] == path), "{path}");
    }
}

#[test]
fn what_is_written_when_somebody_is_hurt_is_heard_in_every_language() {
    for tag in ["en", "de", "es"] {
        let desk = demo_in(tag);
        let (_, told) = page(&desk);
        let ride = &told["rides"][0];
        let mut pocket = on_the_telephone(&told);
        let text = |words: &str| {
            let name = |what: &str| ride[what]["name"].as_str().unwrap().to_owned();
            format!(
                "+++\nkind = \"day\"\ndate = {DATE}\nmachine = \"{}\"\nrider = \"{}\"\n+++\n\n{words}\n",
                name("machine"),
                name("rider"),
            )
        };
        let stopped = |told: &str| serde_json::from_str::<Value>(told).unwrap()["not_cleared"].clone();
        let path = ride["notebook"].as_str().unwrap();
        let injured = pocket.told(path, &text(ride["injured"].as_str().unwrap()), DATE);
        let others = told["speech"][tag]["words"]["until_cleared"].as_str().unwrap();
        let stop = stopped(&injured).as_str().unwrap().to_owned();
        assert!(others.contains(stop.rsplit(": ").next().unwrap()), "{stop} in {others}");
        assert_eq!(stopped(&pocket.told(path, &text("Es war trocken."), DATE)), Value::Null);
    }
}

#[test]
fn a_day_that_is_entered_in_german_or_spanish_is_the_same_notebook() {
    let Some(english) = entered_in("en") else { return };
    for tag in ["de", "es"] {
        let Some(told) = entered_in(tag) else { return };
        let said = |key: &str| told[key].as_str().unwrap().to_owned();
        assert_eq!((said("language"), said("sheetIn")), (tag.to_owned(), tag.to_owned()));
        assert_eq!(told["text"], english["text"], "{tag}");
        assert_eq!(told["rider"], english["rider"]);
        assert!(said("figures").contains("104,5"), "{}", said("figures"));
        assert!(said("watched").contains("0:01,"), "{}", said("watched"));
        for key in ["small", "nameless"] {
            assert_eq!(told[key], json!([]), "{tag}: {key}");
        }
        assert_eq!(told["over"], 0, "{tag}: nothing is wider than the telephone");
        for key in ["first", "refused", "copied", "unkept", "stopped", "hurt"] {
            assert_ne!(told[key], english[key], "{tag}: {key}");
        }
    }
}

#[test]
fn no_word_of_the_page_is_left_in_english() {
    let desk = demo_in(mixing::TAG);
    desk.write(&format!("templates/words/{}.toml", mixing::TAG), &mixing::language());
    let Some(told) = entered(&desk, mixing::TAG) else { return };
    let mut own = Own::of(&Disk::new(Path::new(ROOT).join("notebooks")));
    // The command has the same name in every language.
    own.add("told.md", "command = \"loambook take\"\n");
    let read: Vec<&str> =
        told["read"].as_array().unwrap().iter().map(|text| text.as_str().unwrap()).collect();
    assert!(read.len() > 150, "{} texts are no test", read.len());
    let slips: Vec<String> = read
        .iter()
        .flat_map(|text| {
            strays(text, &own)
                .into_iter()
                .chain(points(text, &own))
                .map(move |it| format!("{it:?} in {text:?}"))
        })
        .collect();
    assert!(slips.is_empty(), "{}", slips.join("\n"));
}
