//! Phrases of riders, and the complaints that are heard in them: `tests/advice/heard.txt`, and those in other languages.

use serde_json::Value;

use crate::desk::{Desk, code, err, out};

#[test]
fn what_riders_say_is_heard_as_what_they_mean() {
    heard("en", include_str!("../advice/heard.txt"));
}

/// A rider who writes another language is heard in it, and in English.
#[test]
fn riders_are_heard_in_their_own_language() {
    heard("de", include_str!("../advice/heard.de.txt"));
    heard("es-AR", include_str!("../advice/heard.es.txt"));
}

#[test]
fn a_verdict_in_a_riders_own_language_is_a_verdict() {
    for (language, words, verdict) in
        [("de", "besser", "better"), ("es", "peor", "worse"), ("en", "same", "same")]
    {
        let desk = Desk::empty();
        desk.write("book.toml", "");
        desk.write("riders/me.md", &format!("+++\nkind = \"rider\"\nlanguage = \"{language}\"\n+++\n"));
        let stints = format!("```stint\nlaps = \"2:01\"\n```\n```stint\nfeel = \"{words}\"\n```\n");
        let day = format!("+++\nkind = \"day\"\ndate = 2026-05-02\nrider = \"me\"\n+++\n{stints}");
        desk.write("days/a.md", &day);
        let output = desk.run(&["check", "--format", "json"]);
        let found: Vec<Value> =
            out(&output).lines().map(|line| serde_json::from_str(line).unwrap()).collect();
        let found: Vec<&Value> = found.iter().filter(|found| found["code"] == "feel/verdict").collect();
        let [finding] = found.as_slice() else { panic!("{language}: {}", out(&output)) };
        let remedy = finding["remedy"].to_string();
        assert!(remedy.contains(&format!("verdict = \\\"{verdict}\\\"")), "{language}: {remedy}");
    }
}

/// `prepare` writes labels into a day in the rider's language, and riders write them as well: in Spanish the drop test of the
/// steering has the word for a crash in it.
#[test]
fn our_own_names_are_words_of_no_crash_and_no_injury() {
    for language in ["de", "es"] {
        let path = format!("{}/templates/words/{language}.toml", env!("CARGO_MANIFEST_DIR"));
        let words: toml::Table = std::fs::read_to_string(path).unwrap().parse().unwrap();
        let names = words["names"].as_table().unwrap().values().map(|name| name.as_str().unwrap());
        let names: String = names.map(|name| format!("- {name}: siempre\n")).collect();
        let next = |prose: &str| {
            let desk = Desk::empty();
            desk.write("book.toml", "");
            desk.write("machines/one.md", "+++\nkind = \"machine\"\n+++\n");
            desk.write("riders/me.md", &format!("+++\nkind = \"rider\"\nlanguage = \"{language}\"\n+++\n"));
            let head = "+++\nkind = \"day\"\ndate = 2026-05-02\nmachine = \"one\"\nrider = \"me\"\n+++\n";
            let stint = "```stint\nfeel = \"headshake straight 2\"\n```\n";
            desk.write("days/a.md", &format!("{head}\n{prose}\n{stint}"));
            let told: Value =
                serde_json::from_str(out(&desk.run(&["next", "days/a.md", "--format", "json"]))).unwrap();
            told["answer"]["do"].as_str().unwrap().to_owned()
        };
        assert!(!["check", "doctor"].contains(&next(&names).as_str()), "{language}");
        // It would be heard.
        let crash = if language == "de" { "Ein Sturz." } else { "Una caída." };
        assert_eq!(next(crash), "check", "{language}");
    }
}

/// Holds what `export` has of each of the phrases against what it should be.
fn heard(language: &str, text: &str) {
    let lines = text.lines().filter(|line| !line.is_empty() && !line.starts_with('#'));
    let said: Vec<(&str, &str)> = lines.map(|line| line.split_once(" | ").unwrap()).collect();
    let mut day = "+++\nkind = \"day\"\ndate = 2026-05-02\ntrack = \"track\"\n+++\n".to_owned();
    let mut starts = Vec::new();
    for (words, _) in &said {
        starts.push(day.lines().count() + 1);
        day += &format!("```stint\nfeel = \"{words}\"\n```\n");
    }
    let desk = Desk::empty();
    desk.write("book.toml", &format!("language = \"{language}\"\n"));
    desk.write("tracks/track.md", "+++\nkind = \"track\"\n+++\n");
    desk.write("days/a.md", &day);
    let output = desk.run(&["export", "--format", "csv", "-o", "tables"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let table = desk.read("tables/feels.csv");
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    let names = rows.headers().unwrap().clone();
    let column = |name: &str| names.iter().position(|known| known == name).unwrap();
    let (line, complaint, place) = (column("line"), column("complaint"), column("place"));
    let rows: Vec<csv::StringRecord> = rows.records().map(|row| row.unwrap()).collect();
    let heard = |start: usize| {
        let own = rows.iter().filter(|row| row[line].parse() == Ok(start + 1));
        let all: Vec<String> =
            own.map(|row| [&row[complaint], &row[place]].join(" ").trim_end().to_owned()).collect();
        if all.is_empty() { "-".to_owned() } else { all.join(", ") }
    };
    let wrong: Vec<String> = said
        .iter()
        .zip(starts)
        .filter(|((_, meant), start)| heard(*start) != *meant)
        .map(|((words, meant), start)| format!("{words}: {}, not {meant}", heard(start)))
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}
