//! `loambook take`: a day's text on its way into the book.

use std::io::Write as _;
use std::process::{Command, Stdio};

use loambook::notebook::pieces;
use loambook::pages::take::merged;
use proptest::prelude::*;

use crate::desk::{Desk, code, err, file_names, out};

const HEAD: &str =
    "+++\nkind = \"day\"\ndate = 2026-05-09\nmachine = \"brae\"\nrider = \"wren\"\ntrack = \"pit\"\n+++\n";
const DAY: &str = "days/2026-05-09-wren.md";
const STINT: &str = "```stint\nlaps = \"2:01.4 2:02.0\"\n```\n";
const GROWN: &str = "```stint\nlaps = \"2:01.4 2:02.0 2:00.9\"\nverdict = \"better\"\n```\n";
const CHANGE: &str = "```change\nfork.height = \"2 mm down\"\nbecause = \"headshake\"\n```\n";

fn book() -> Desk {
    let desk = Desk::empty();
    desk.write("book.toml", "title = \"Small\"\n");
    desk.write(
        "machines/brae.md",
        "+++\nkind = \"machine\"\n+++\n\n```settings\nfork.height = \"4 mm\"\n```\n",
    );
    desk.write("riders/wren.md", "+++\nkind = \"rider\"\n+++\n\n```rider\nmass = \"71 kg\"\n```\n");
    desk.write("riders/jay.md", "+++\nkind = \"rider\"\n+++\n\n```rider\nmass = \"62 kg\"\n```\n");
    desk.write("tracks/pit.md", "+++\nkind = \"track\"\n+++\n\n```track\nelevation = \"300 m\"\n```\n");
    desk
}

fn take(desk: &Desk, text: &str) -> std::process::Output {
    desk.run_with_input(&["take"], text)
}

/// Has git apply a patch in a folder of the desk.
fn apply(desk: &Desk, folder: &str, patch: &str) {
    let mut git = Command::new("git");
    git.args(["apply", "--whitespace=nowarn"]).current_dir(desk.path(folder));
    let mut git = git.stdin(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    git.stdin.take().unwrap().write_all(patch.as_bytes()).unwrap();
    let output = git.wait_with_output().unwrap();
    assert!(output.status.success(), "{patch}\n{}", err(&output));
}

#[test]
fn a_day_without_a_notebook_gets_one() {
    let desk = book();
    let text = format!("{HEAD}\n{STINT}");
    desk.write("sent.txt", &text);
    let output = desk.run(&["take", "sent.txt"]);
    assert_eq!((code(&output), out(&output)), (0, format!("{DAY}\n").as_str()), "{}", err(&output));
    assert_eq!(desk.read(DAY), text);
    // The second time it is all there.
    let output = desk.run(&["take", "sent.txt"]);
    assert_eq!((code(&output), out(&output)), (0, ""));
    assert!(err(&output).contains(&format!("nothing is new: all of it is in {DAY}")), "{}", err(&output));
}

#[test]
fn a_day_with_a_notebook_gets_a_patch_that_git_applies() {
    let desk = book();
    desk.write(DAY, &format!("{HEAD}\n# At the pit\n\nFog.\n\n{STINT}\nLunch.\n"));
    let before = desk.read(DAY);
    let output = take(&desk, &format!("{HEAD}\n{GROWN}\n{CHANGE}"));
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(err(&output).contains("`git apply` takes the patch"), "{}", err(&output));
    assert_eq!(desk.read(DAY), before, "nothing is written");
    apply(&desk, "", out(&output));
    assert_eq!(desk.read(DAY), format!("{HEAD}\n# At the pit\n\nFog.\n\n{GROWN}\n{CHANGE}\nLunch.\n"));
}

#[test]
fn a_patch_applies_in_a_book_that_is_a_folder_of_a_repository() {
    let outer = Desk::empty();
    let inner = book();
    for file in ["book.toml", "machines/brae.md", "riders/wren.md", "tracks/pit.md"] {
        outer.write(&format!("book/{file}"), &inner.read(file));
    }
    outer.write(&format!("book/{DAY}"), &format!("{HEAD}\n{STINT}"));
    assert!(Command::new("git").args(["init", "-q"]).current_dir(outer.path("")).status().unwrap().success());
    let output = outer.run_with_input(&["--book", "book", "take"], format!("{HEAD}\n{STINT}\n{CHANGE}"));
    assert!(err(&output).contains("in book"), "{}", err(&output));
    apply(&outer, "book", out(&output));
    assert_eq!(outer.read(&format!("book/{DAY}")), format!("{HEAD}\n{STINT}\n{CHANGE}"));
}

#[test]
fn another_machine_or_rider_is_another_day() {
    let desk = book();
    assert_eq!(code(&take(&desk, &format!("{HEAD}\n{STINT}"))), 0);
    let jay = HEAD.replace("wren", "jay");
    assert_eq!(out(&take(&desk, &format!("{jay}\n{STINT}"))), "days/2026-05-09-jay.md\n");
    desk.write("machines/cairn.md", "+++\nkind = \"machine\"\n+++\n");
    let cairn = HEAD.replace("brae", "cairn");
    assert_eq!(out(&take(&desk, &format!("{cairn}\n{STINT}"))), "days/2026-05-09-wren-cairn.md\n");
    // A day is not recognised by its name in the folder.
    std::fs::rename(desk.path(DAY), desk.path("days/saturday.md")).unwrap();
    assert!(err(&take(&desk, &format!("{HEAD}\n{STINT}"))).contains("all of it is in days/saturday.md"));
}

#[test]
fn a_message_can_hold_several_days() {
    let desk = book();
    desk.write(DAY, &format!("{HEAD}\n{STINT}"));
    let jay = format!("{}\n{STINT}", HEAD.replace("wren", "jay"));
    let output = take(&desk, &format!("Here it is:\n{HEAD}\n{STINT}\n{CHANGE}{jay}"));
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(err(&output).contains("1 line before the first head"), "{}", err(&output));
    assert_eq!(desk.read("days/2026-05-09-jay.md"), jay);
    // The output into a pipe is a patch and nothing else.
    assert!(out(&output).starts_with("--- a/days/2026-05-09-wren.md\n+++ b/"), "{}", out(&output));
    apply(&desk, "", out(&output));
    // The same day twice becomes one notebook.
    let robin = HEAD.replace("05-09", "05-10");
    assert_eq!(code(&take(&desk, &format!("{robin}\n{STINT}{robin}\n{CHANGE}"))), 0);
    assert_eq!(desk.read("days/2026-05-10-wren.md"), format!("{robin}\n{STINT}\n{CHANGE}"));
}

#[test]
fn a_text_without_a_head_is_of_the_day_that_is_said() {
    let desk = book();
    let output = desk.run_with_input(&["take", "--rider", "jay", "--date", "2026-05-09"], STINT);
    assert_eq!(out(&output), "days/2026-05-09-jay.md\n", "{}", err(&output));
    assert_eq!(desk.read("days/2026-05-09-jay.md"), format!("{}\n{STINT}", HEAD.replace("wren", "jay")));
    let output = take(&desk, STINT);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("does not give its rider"), "{}", err(&output));
    let output = desk.run_with_input(&["take", "--rider", "jay"], format!("{HEAD}\n{STINT}"));
    assert_eq!(code(&output), 2);
    assert_eq!(file_names(&desk.path("days")), ["2026-05-09-jay.md"]);
}

#[test]
fn errors_in_a_text_are_told_and_it_is_kept() {
    let desk = book();
    let output = take(&desk, &format!("{HEAD}\n```change\nfork.height = \"2 kg down\"\n```\n"));
    assert_eq!((code(&output), out(&output)), (1, format!("{DAY}\n").as_str()));
    assert!(err(&output).contains("quantity/dimension"), "{}", err(&output));
    // A text that is not a day at all is not taken.
    for text in [
        "+++\nkind = \"machine\"\n+++\n",
        "+++\nkind = \"day\"\nmachine = \"brae\"\nrider = \"wren\"\n+++\n",
        "",
        "+++\n",
    ] {
        let output = take(&desk, text);
        assert_eq!((code(&output), out(&output)), (2, ""), "{text}");
    }
    assert_eq!(file_names(&desk.path("days")).len(), 1);
}

fn piece() -> impl Strategy<Value = String> {
    prop_oneof![
        Just(STINT.to_owned()),
        Just(GROWN.to_owned()),
        Just(CHANGE.to_owned()),
        "[a-c]{1,2}\n".prop_map(|text| text),
        "# [a-c]\n".prop_map(|text| text),
        "```hours\nmeter = \"[1-9] h\"\n```\n".prop_map(|text| text),
        Just("> a\n".to_owned()),
        Just("```stint\n".to_owned()),
        Just("<!-- a\n".to_owned()),
        Just("- a\n".to_owned()),
    ]
}

fn text() -> impl Strategy<Value = String> {
    (prop::collection::vec(piece(), 0..8), any::<bool>(), any::<bool>()).prop_map(|(pieces, crlf, cut)| {
        let text = format!("{HEAD}\n{}", pieces.join("\n"));
        let text = if cut { text.trim_end().to_owned() } else { text };
        if crlf { text.replace('\n', "\r\n") } else { text }
    })
}

/// Whether all of some lines are in others, in their order, each the same or continued.
fn stand_in(lines: &str, others: &str) -> bool {
    let mut others = others.lines();
    lines.lines().filter(|line| !line.trim().is_empty()).all(|line| {
        let said = line.trim_end().trim_end_matches('"');
        others.any(|other| {
            other.trim_end() == line.trim_end() || (line.contains(" = ") && other.starts_with(said))
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    /// Every line of the notebook and of the text is in the result, and taking the text again finds nothing new.
    #[test]
    fn nothing_is_lost_and_nothing_comes_twice(notebook in text(), sent in text()) {
        let Ok(made) = merged(&notebook, &sent) else { return Ok(()) };
        prop_assert!(stand_in(&notebook, &made.text), "{}", made.text);
        for piece in pieces(&sent) {
            prop_assert!(stand_in(&sent[piece], &made.text), "{}", made.text);
        }
        let again = merged(&made.text, &sent).unwrap();
        prop_assert!(!again.is_new, "{}\nagain:\n{}", made.text, again.text);
        prop_assert_eq!(again.text, made.text);
    }
}
