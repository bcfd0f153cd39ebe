//! `state`: in force, with the place that set it; and a notebook by itself.

use loambook::pages::state;
use proptest::prelude::*;

use super::{open, store};

const DAY: &str = r#"
# A day

Words of no consequence.

```settings
fork.rebound = "11 clicks"
```

```change
fork.height = "2 mm down"
because = "headshake"
```
"#;

fn line<'s>(page: &'s state::InForce, id: &str) -> &'s state::SettingLine {
    page.settings.iter().find(|line| line.id.as_str() == id).unwrap()
}

#[test]
fn each_setting_names_the_place_that_set_it() {
    let (book, season) = open(&store([("2026-05-01", DAY)]));
    let end = state::of_day(&book, &season, 0, None).unwrap();
    let height = line(&end, "fork.height");
    assert_eq!((height.value.as_str(), height.by), ("3 mm", "change"));
    let text = book.sources.whole(book.sources.find("days/2026-05-01.md").unwrap());
    let written = text.lines().nth(height.at.line as usize - 1).unwrap();
    assert_eq!(&written[height.at.column as usize - 1..], "\"2 mm down\"");
    let preload = line(&end, "shock.preload");
    assert_eq!((preload.at.file.as_str(), preload.by), ("machines/whin.md", "standard setting"));
}

#[test]
fn a_line_sees_what_stands_above_it() {
    let (book, season) = open(&store([("2026-05-01", DAY)]));
    let text = book.sources.whole(book.sources.find("days/2026-05-01.md").unwrap());
    let fence = text.lines().position(|line| line == "```change").unwrap() as u32 + 1;
    let height =
        |at: u32| line(&state::of_day(&book, &season, 0, Some(at)).unwrap(), "fork.height").value.clone();
    assert_eq!((height(fence - 1).as_str(), height(fence).as_str()), ("5 mm", "3 mm"));
    assert_eq!(state::of_day(&book, &season, 0, Some(9_999)), None);
}

#[test]
fn a_machine_has_its_standard_setting() {
    let (book, _) = open(&store([]));
    let standard = state::of_machine(&book, "whin").unwrap();
    assert_eq!(line(&standard, "shock.spring").by, "hardware");
    assert_eq!(line(&standard, "tyre.rear").value, "12 psi");
    assert_eq!(state::of_machine(&book, "wihn"), None);
}

fn alone(body: &str) -> String {
    state::alone(format!("+++\nkind = \"day\"\ndate = 2026-05-01\n+++\n{body}").as_bytes()).unwrap()
}

#[test]
fn a_notebook_by_itself_is_one_line_a_value() {
    let told = alone("Words.\n\n```sag rear\naboard = [507, \"508 mm\"]\nhanging = \"612   mm\"\n```\n");
    assert_eq!(
        told,
        "day: kind = day\nday: date = 2026-05-01\n\nprose: Words.\n\n\
         sag rear: hanging = 612 mm\nsag rear: aboard = [507, 508 mm]\n"
    );
}

#[test]
fn only_what_changed_changes() {
    let lines = |text: &str| text.lines().map(str::to_owned).collect::<Vec<_>>();
    let differing = |a: &str, b: &str| {
        let (a, b) = (lines(&alone(a)), lines(&alone(b)));
        assert_eq!(a.len(), b.len());
        a.into_iter()
            .zip(b)
            .filter(|(a, b)| a != b)
            .map(|(a, _)| a.split(':').next().unwrap().to_owned())
            .collect::<Vec<_>>()
    };
    assert_eq!(differing(DAY, DAY), Vec::<String>::new());
    assert_eq!(differing(DAY, &DAY.replace("2 mm down", "3 mm down")), ["change"]);
    assert_eq!(differing(DAY, &DAY.replace("no consequence", "some consequence")), ["prose"]);
    // Lines broken in other places and keys in another order mean the same.
    assert_eq!(differing(DAY, &DAY.replace("Words of no", "Words\nof no")), Vec::<String>::new());
    let turned = DAY.replace(
        "fork.height = \"2 mm down\"\nbecause = \"headshake\"",
        "because = \"headshake\"\nfork.height = \"2 mm down\"",
    );
    assert_ne!(turned, DAY);
    assert_eq!(differing(DAY, &turned), Vec::<String>::new());
}

#[test]
fn comments_are_text_and_stand_with_what_they_are_about() {
    let block = "```sag rear\n# Twice, by two people.\ntape = \"steel\"   # the worn one\n\
                 aboard = [\n  506, # Wren\n  507, # Finch\n]\nhanging = \"612 mm\" # \"# 2\"\n```\n";
    assert_eq!(
        alone(block).lines().skip(3).collect::<Vec<_>>(),
        [
            "sag rear: tape = steel # the worn one",
            "sag rear: hanging = 612 mm # \"# 2\"",
            "sag rear: aboard = [506, 507] # Wren # Finch",
            "sag rear: # Twice, by two people.",
        ]
    );
    // In a key or a value it does not count.
    let quoted = "```service\n\"oil #2\" = { every = \"10 h\" }\n```\n\n\
                  ```stint\nfeel = [\"packs whoops - #1 line\"]\nnote = \"\"\"one #\n# two\"\"\"\n```\n";
    let told = alone(quoted);
    assert_eq!(told.matches('#').count(), 4, "{told}");
    assert!(
        told.contains("service: oil #2.every = 10 h\n") && told.ends_with("note = one # # two\n"),
        "{told}"
    );
}

#[test]
fn what_cannot_be_read_is_told_as_written() {
    let told = alone("```change\nfork.height = 2 mm down\nbecause = \"x\"\n```\n");
    assert!(told.contains("change: fork.height = 2 mm down\nchange: because = \"x\"\n"), "{told}");
}

#[test]
fn what_is_no_notebook_has_nothing_to_tell() {
    for bytes in [
        &b"# A page\n\nText.\n"[..],
        b"",
        b"+++\nkind = \"recipe\"\n+++\n",
        b"+++\nkind = \"day\"\n+++\n\xff",
        b"\0",
    ] {
        assert_eq!(state::alone(bytes), None);
    }
}

proptest! {
    #[test]
    fn any_bytes_are_told_or_left(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let mut notebook = b"+++\nkind = \"day\"\n+++\n```sag rear\n".to_vec();
        notebook.extend(&bytes);
        let _ = state::alone(&bytes);
        prop_assert_eq!(state::alone(&notebook), state::alone(&notebook));
    }
}
