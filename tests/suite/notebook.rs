//! Markdown into documents, with places.

use std::fmt::Write;

use loambook::finding::Finding;
use loambook::notebook::{
    BlockWord, Document, Node, Table, Value, parse, parse_table, prose_events, table_at,
};
use loambook::source::{FileId, Sources, Span};
use proptest::prelude::*;

fn word(word: &str) -> BlockWord {
    match word {
        "sag" => BlockWord::Known("sag"),
        "stint" => BlockWord::Known("stint"),
        "pressures" => BlockWord::Known("pressures"),
        "sga" => BlockWord::Near(vec!["sag"]),
        _ => BlockWord::Prose,
    }
}

struct Read {
    /// As long as the test runs: the document borrows from it.
    text: &'static str,
    document: Document<Table<'static>>,
    findings: Vec<Finding>,
}

fn read(text: &str) -> Read {
    let mut sources = Sources::new();
    let file = sources.set("a.md", text);
    let text: &'static str = text.to_owned().leak();
    let (document, findings) = parse(file, text, word);
    Read { text, document, findings }
}

/// A notebook with a head that is in order.
fn headed(body: &str) -> Read {
    read(&format!("+++\nkind = \"day\"\n+++\n{body}"))
}

impl Read {
    fn at(&self, span: Span) -> &str {
        &self.text[span.range()]
    }

    fn codes(&self) -> Vec<(&str, &str)> {
        self.findings.iter().map(|finding| (finding.code.name, self.at(finding.span))).collect()
    }

    fn key(&self, block: usize, key: &str) -> &Node<'static> {
        let entries = &self.document.blocks[block].body.entries;
        &entries.iter().find(|entry| entry.key == key).unwrap().value
    }
}

fn file() -> FileId {
    Sources::new().set("book.toml", "")
}

const SAG: &str = "```sag rear\ntape = \"steel\" # é\nhanging = \"6é± 612 mm\"\nalone = 577\n```\n";

/// The same block, wherever Markdown allows it, and with any line ends.
#[test]
fn places_are_exact_in_lists_quotes_tabs_and_either_end_of_line() {
    let indented = |by: &str| SAG.lines().fold(String::new(), |text, line| text + by + line + "\n");
    let list = format!("- é item\n\n{}", indented("  "));
    let forms = [
        SAG.to_owned(),
        format!("é ± before\n\n{SAG}"),
        SAG.replace("```", "~~~~"),
        indented("  "),
        list.clone(),
        format!("1. one\n\n{}", indented("   ")),
        format!("- tab\n\n{}", indented("\t")),
        indented("> "),
        indented(">"),
        indented(">\t"),
        format!("> - both\n>\n{}", indented(">   ")),
        format!("- \n{}", indented("  ")),
    ];
    for form in forms {
        for ends in ["\n", "\r\n"] {
            for mark in ["", "\u{feff}"] {
                let text = format!("{mark}+++\nkind = \"day\"\n+++\n{form}").replace('\n', ends);
                let read = read(&text);
                assert_eq!(read.codes(), [], "{text:?}");
                let block = &read.document.blocks[0];
                assert_eq!(block.word, "sag", "{text:?}");
                assert_eq!(read.at(block.word_span), "sag");
                assert_eq!(read.at(block.arguments[0].1), "rear");
                assert!(read.at(block.fence).ends_with("sag rear"), "{text:?}");
                assert!(read.at(block.span).trim_end().ends_with(['`', '~']), "{text:?}");
                let hanging = read.key(0, "hanging");
                assert_eq!(read.at(hanging.span), "\"6é± 612 mm\"", "{text:?}");
                let written = "6é± 612 mm";
                let number = written.find("612").unwrap();
                assert_eq!(read.at(hanging.place(number..number + 3)), "612");
                assert_eq!(read.at(hanging.place(1..3)), "é");
                assert_eq!(read.at(read.key(0, "alone").span), "577", "{text:?}");
                let keys: Vec<&str> =
                    block.body.entries.iter().map(|entry| read.at(entry.key_span)).collect();
                assert_eq!(keys, ["tape", "hanging", "alone"]);
            }
        }
    }
}

#[test]
fn the_same_fault_has_the_same_place_wherever_the_block_stands() {
    let block = "```sag rear\ntape = \"é±\"\nhanging = 612 mm\nalone = \"577\"\n```\n";
    for prefix in ["", "> ", "  ", ">\t"] {
        for ends in ["\n", "\r\n"] {
            let body = block.lines().fold(String::new(), |text, line| text + prefix + line + "\n");
            let read = read(&format!("+++\nkind = \"day\"\n+++\n{body}").replace('\n', ends));
            assert_eq!(read.codes(), [("toml/unquoted", "612 mm")], "{:?}", read.text);
            let keys: Vec<&str> =
                read.document.blocks[0].body.entries.iter().map(|entry| &*entry.key).collect();
            assert_eq!(keys, ["tape", "alone"]);
            assert!(read.document.blocks[0].body.broken);
        }
    }
}

#[test]
fn all_that_can_be_read_is_read() {
    let read = headed(
        "# A *new* `spring`\n\nSee `@sag.rear.rider` and `` @a.b `` and `code`.\n\n\
         ## Later\n\n![the *fork*](fork.jpg) and [![in](a.png)](b.md)\n\n\
         ```sag front\nx.y = [1, 2.5, true]\nx.z = { d = 2026-04-11, t = 'a' }\n```\n\
         ```text\n`@not.this` hanging = 612 mm\n```\n",
    );
    assert_eq!(read.codes(), []);
    let document = &read.document;
    assert_eq!(document.title.as_deref(), Some("A new spring"));
    let mentions: Vec<_> =
        document.mentions.iter().map(|mention| (mention.name.as_str(), read.at(mention.span))).collect();
    assert_eq!(mentions, [("sag.rear.rider", "sag.rear.rider"), ("a.b", "a.b")]);
    let images: Vec<_> =
        document.images.iter().map(|image| (image.target.as_str(), image.alt.as_str())).collect();
    assert_eq!(images, [("fork.jpg", "the fork"), ("a.png", "in")]);
    assert_eq!(document.blocks.len(), 1);
    assert_eq!(shown(&document.blocks[0].body), "{x: {y: [1, 2.5, true], z: {d: 2026-04-11, t: \"a\"}}}");
    let prose = document.prose_text(read.text);
    assert!(prose.starts_with("# A *new*") && prose.contains("```text"), "{prose}");
    assert!(!prose.contains("x.y") && !prose.contains("kind"), "{prose}");
}

fn shown(table: &Table) -> String {
    let mut text = String::from("{");
    for (index, entry) in table.entries.iter().enumerate() {
        write!(text, "{}{}: {}", if index > 0 { ", " } else { "" }, entry.key, value(&entry.value)).unwrap();
    }
    text + "}"
}

fn value(node: &Node) -> String {
    match &node.value {
        Value::Text(text) => format!("{:?}", text.text),
        Value::Integer(integer) => integer.to_string(),
        Value::Float(float) => float.to_string(),
        Value::Boolean(truth) => truth.to_string(),
        Value::Date(date) => date.to_string(),
        Value::List(items) => format!("[{}]", items.iter().map(value).collect::<Vec<_>>().join(", ")),
        Value::Table(table) => shown(table),
    }
}

#[test]
fn escapes_are_pointed_to_as_a_whole() {
    let read = headed("> ```sag rear\n> hanging = \"61\\u0032 613 mm\"\n> ```\n");
    let hanging = read.key(0, "hanging");
    assert_eq!(read.at(hanging.place(0..3)), "61\\u0032");
    assert_eq!(read.at(hanging.place(4..7)), "613");
}

#[test]
fn text_of_several_lines_is_followed_through_a_quote() {
    let read = headed("> ```stint\n> because = \"\"\"\n> one\n> two\"\"\"\n> ```\n");
    let because = read.key(0, "because");
    assert_eq!(read.at(because.place(4..7)), "two");
    assert_eq!(read.at(because.place(0..3)), "one");
}

#[test]
fn one_broken_line_is_one_finding_and_the_others_are_read() {
    let read = headed(
        "```sag rear\ntape = \"steel\nhanging = \"612 mm\"\n= 3\nalone = nan\naboard = [1, inf]\n\
         big = 99999999999999999999\nhanging = \"613 mm\"\nlast = 1\n```\n",
    );
    let keys: Vec<&str> = read.document.blocks[0].body.entries.iter().map(|entry| &*entry.key).collect();
    assert_eq!(keys, ["hanging", "last"], "{:?}", read.codes());
    let mut codes: Vec<&str> = read.findings.iter().map(|finding| finding.code.name).collect();
    codes.sort_unstable();
    assert_eq!(
        codes,
        [
            "toml/not-finite",
            "toml/not-finite",
            "toml/number-too-large",
            "toml/repeated-key",
            "toml/syntax",
            "toml/syntax"
        ],
        "{:?}",
        read.codes()
    );
}

#[test]
fn a_key_without_its_sign_does_not_hide_what_follows() {
    let read = headed(
        "```sag rear\nhanging \"612 mm\"\nalone = \"577 mm\"\n```\n\n```stint\nlaps = \"2:04.1\"\n```\n",
    );
    assert_eq!(read.codes().len(), 1, "{:?}", read.codes());
    assert_eq!(read.findings[0].code.name, "toml/syntax");
    let keys: Vec<&str> = read.document.blocks[0].body.entries.iter().map(|entry| &*entry.key).collect();
    assert_eq!(keys, ["alone"]);
    assert_eq!(read.document.blocks.len(), 2);
}

#[test]
fn a_block_left_open_does_not_swallow_the_next() {
    let read = headed(
        "```sag rear\nhanging = \"612 mm\"\n\nThe collar wants a turn.\n\n\
         ```stint\nlaps = \"2:04.1\"\n```\n\nAnd `@a.b`.\n",
    );
    assert_eq!(read.codes(), [("notebook/fence-open", "```sag rear")]);
    let words: Vec<&str> = read.document.blocks.iter().map(|block| &*block.word).collect();
    assert_eq!(words, ["sag", "stint"]);
    assert_eq!(read.at(read.key(0, "hanging").span), "\"612 mm\"");
    assert_eq!(read.at(read.key(1, "laps").span), "\"2:04.1\"");
    assert_eq!(read.document.mentions.len(), 1);
}

#[test]
fn fences_that_never_end_are_reported_and_closed_ones_are_not() {
    for (text, open) in [
        ("```sag rear\n", 1),
        ("```sag rear", 1),
        ("```text\nwords\n", 1),
        ("> ```sag rear\n> a = 1\n\nprose\n", 1),
        ("- ```sag rear\n  a = 1\n\nprose\n", 1),
        ("```sag rear\n```", 0),
        ("```sag rear\n```\n", 0),
        ("````sag rear\na = 1\n`````\n", 0),
        ("````text\n```sag rear\n```\n````\n", 0),
        ("```text\n```sag rear\na = 1\n```\n", 1),
        ("> ```sag rear\n> ```\n", 0),
        ("- ```sag rear\n  a = 1\n  ```\n", 0),
        ("    ```sag rear\n", 0),
        ("~~~sag rear\n~~~\n", 0),
        ("~~~sag rear\n```\n", 1),
    ] {
        let read = headed(text);
        let found = read.codes().iter().filter(|(code, _)| *code == "notebook/fence-open").count();
        assert_eq!(found, open, "{text:?}: {:?}", read.codes());
    }
}

#[test]
fn a_nearly_known_word_is_an_error_and_any_other_is_prose() {
    let read = headed("```sga rear\nx = 1\n```\n```rust\nfn main() {}\n```\n```\nplain\n```\n");
    assert_eq!(read.codes(), [("block/unknown", "sga")]);
    assert_eq!(read.document.blocks.len(), 1);
}

#[test]
fn conflicts_are_one_finding_each_and_hide_what_they_break() {
    let read = headed(
        "```sag rear\n<<<<<<< HEAD\nalone = \"5\"\n=======\nalone = \"7\"\n>>>>>>> tuesday\nhanging = 6 mm\n```\n",
    );
    assert_eq!(read.codes(), [("notebook/conflict", "<<<<<<< HEAD"), ("toml/unquoted", "6 mm")]);
}

#[test]
fn heads_are_wanted_where_there_is_something_to_place() {
    assert_eq!(read("# Plain words\n").codes(), []);
    assert_eq!(read("").codes(), []);
    assert_eq!(read("`@sag.rear.rider`\n").codes(), [("notebook/head-missing", "")]);
    let dashed = read("---\nkind: day\n---\n```sag rear\n```\n");
    assert!(dashed.findings[0].remedies[0].text.to_string().contains("instead of `---`"));
    let open = read("+++\nkind = \"day\"\n\n# Title\n\n```sag rear\n```\n");
    assert_eq!(open.codes(), [("notebook/head-open", "+++")]);
    assert_eq!(shown(open.document.head.as_ref().unwrap()), "{kind: \"day\"}");
    assert_eq!(open.document.title.as_deref(), Some("Title"));
}

#[test]
fn a_second_head_is_prose() {
    let read = headed("Words.\n\n+++\nkind = \"rider\"\n+++\n");
    assert_eq!(read.codes(), []);
    assert_eq!(shown(read.document.head.as_ref().unwrap()), "{kind: \"day\"}");
}

#[test]
fn deep_nesting_and_thousands_of_faults_stay_small() {
    let deep = headed(&format!("{}words\n", "> ".repeat(5000)));
    assert_eq!(deep.codes().len(), 1);
    assert_eq!(deep.codes()[0].0, "notebook/too-deep");
    assert!(prose_events(&deep.document, deep.text).count() < 200);

    let broken = headed(&format!("```sag rear\n{}```\n", "= =\n".repeat(10_000)));
    assert_eq!(broken.findings.len(), 50);
    assert_eq!(broken.findings.last().unwrap().code.name, "toml/more-errors");

    let keys: String = (0..20_000).map(|number| format!("k{number} = 1\nk{number} = 2\n")).collect();
    let repeated = headed(&format!("```sag rear\n{keys}```\n"));
    assert_eq!(repeated.findings.len(), 50);
    assert_eq!(repeated.document.blocks[0].body.entries.len(), 20_000, "the first of each pair is kept");

    let fences = headed(&"```sag rear\na = 1\n".repeat(20_000));
    assert!(fences.findings.len() < 50, "{}", fences.findings.len());

    let nested = headed(&format!("```sag rear\na = {}{}\n```\n", "[".repeat(5000), "]".repeat(5000)));
    assert!(nested.findings.iter().all(|finding| finding.code.name == "toml/syntax"), "{:?}", nested.codes());
}

#[test]
fn printing_sees_the_prose_and_no_block() {
    let read = headed(&format!("# Title\n\n> {}\n\n{SAG}\n- end\n", SAG.trim_end().replace('\n', "\n> ")));
    let events: Vec<_> = prose_events(&read.document, read.text).collect();
    let starts = events.iter().filter(|(event, _)| matches!(event, pulldown_cmark::Event::Start(_))).count();
    let ends = events.iter().filter(|(event, _)| matches!(event, pulldown_cmark::Event::End(_))).count();
    assert_eq!(starts, ends);
    let words: String = events
        .iter()
        .filter_map(|(event, _)| match event {
            pulldown_cmark::Event::Text(words) => Some(words.to_string()),
            _ => None,
        })
        .collect();
    assert_eq!(words, "Titleend");
}

#[test]
fn book_tables_are_read_like_blocks() {
    let text =
        "\u{feff}title = \"Loam\"\n[units]\nlength = mm\npressure = \"psi\"\n[instrument.steel]\nx = 1\n";
    let (table, findings) = parse_table(file(), text);
    assert_eq!(shown(&table), "{title: \"Loam\", units: {pressure: \"psi\"}, instrument: {steel: {x: 1}}}");
    let codes: Vec<_> =
        findings.iter().map(|finding| (finding.code.name, &text[finding.span.range()])).collect();
    assert_eq!(codes, [("toml/unquoted", "mm")]);
}

/// Pieces that notebooks are made of, and pieces that break them.
fn piece() -> impl Strategy<Value = String> {
    prop_oneof![
        prop::sample::select(vec![
            "+++\n",
            "+++",
            "```",
            "```sag rear\n",
            "~~~~stint\n",
            "```\n",
            "> ",
            "- ",
            "1. ",
            "\t",
            "    ",
            "\r\n",
            "\n",
            "\r",
            "\n\n",
            "\u{feff}",
            "é",
            "±",
            "`@sag.rear`",
            "``",
            "@",
            "![",
            "](x.jpg)",
            "# ",
            "a = ",
            "\"",
            "'",
            "\"\"\"",
            "'''",
            "\\u00B1",
            "\\",
            "\\U0001F527",
            "nan",
            "inf",
            "1",
            "[",
            "]",
            "{",
            "}",
            ",",
            "=",
            "a.b = \"x y\"\n",
            "[t]\n",
            "[[t]]\n",
            "<<<<<<< a\n",
            "=======\n",
            ">>>>>>> b\n",
            "---\n",
            "|a|b|\n|-|-|\n",
            "&amp;",
            "\0",
            "a = \"\"\"\n",
            "\u{2028}",
            "2026-04-11",
            "# c\n",
            "*",
            "_",
            "~~",
            "<!-- ",
            " -->",
            "<div>\n",
        ])
        .prop_map(str::to_owned),
        "\\PC{0,6}",
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

    /// Every file gives a document; places lie in the file and never cut a character.
    #[test]
    fn anything_at_all_is_read(pieces in prop::collection::vec(piece(), 0..40)) {
        let text: String = pieces.concat();
        let read = read(&text);
        let table = parse_table(read.document.file, &text);
        for finding in read.findings.iter().chain(&table.1) {
            sound(&text, finding.span)?;
            for label in &finding.labels {
                sound(&text, label.span)?;
            }
        }
        for block in &read.document.blocks {
            sound(&text, block.span)?;
            prop_assert_eq!(&text[block.word_span.range()], &block.word);
            tables(&text, &block.body)?;
            // A book keeps only where a table stands.
            if let Some(again) = table_at(&text, block.body.extent()) {
                prop_assert_eq!(&again, &block.body);
            }
        }
        tables(&text, &table.0)?;
        for mention in &read.document.mentions {
            sound(&text, mention.span)?;
        }
        read.document.prose_text(&text);
        prose_events(&read.document, &text).count();
    }

    #[test]
    fn any_bytes_are_read(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let read = read(&String::from_utf8_lossy(&bytes));
        prop_assert!(read.document.blocks.len() < 200);
    }
}

fn sound(text: &str, span: Span) -> Result<(), TestCaseError> {
    prop_assert!(text.get(span.range()).is_some(), "{span:?} in {text:?}");
    Ok(())
}

fn tables(text: &str, table: &Table) -> Result<(), TestCaseError> {
    for entry in &table.entries {
        sound(text, entry.key_span)?;
        nodes(text, &entry.value)?;
    }
    Ok(())
}

fn nodes(text: &str, node: &Node) -> Result<(), TestCaseError> {
    sound(text, node.span)?;
    match &node.value {
        Value::Table(table) => tables(text, table)?,
        Value::List(items) => {
            for item in items {
                nodes(text, item)?;
            }
        }
        // Every character of a decoded text is found at its place, or an escape is.
        Value::Text(decoded) => {
            for (at, letter) in decoded.text.char_indices() {
                let place = node.place(at..at + letter.len_utf8());
                sound(text, place)?;
                let written = &text[place.range()];
                // Line ends and tabs become blanks in a message.
                let is_end = letter == ' ' && written.chars().all(char::is_control);
                let nul = letter == '\u{fffd}';
                prop_assert!(
                    written == letter.to_string() || written.starts_with('\\') || is_end || nul,
                    "{letter:?} at {written:?} in {text:?}"
                );
            }
        }
        _ => {}
    }
    Ok(())
}

#[test]
fn a_dotted_key_lies_on_its_own_line() {
    let read =
        headed("```sag\nshock.spring = 1\nshock . rebound = 2\n\"shock\".\"low compression\" = 3\n```\n");
    let Value::Table(shock) = &read.key(0, "shock").value else { panic!("not a table") };
    let places: Vec<&str> = shock.entries.iter().map(|entry| read.at(entry.key_span)).collect();
    assert_eq!(places, ["shock.spring", "shock . rebound", "\"shock\".\"low compression\""]);
}
