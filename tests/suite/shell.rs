//! What a shell sees of the program: help, completion, manual pages, colour.

use std::path::Path;
use std::process::{Command, Output};

use crate::desk::{Desk, code, err, out};

const PROGRAM: &str = env!("CARGO_BIN_EXE_loambook");
/// A terminal's width, in characters.
const COLUMNS: usize = 80;

fn demo() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/notebooks"))
}

/// The names of all commands, as the program's help lists them.
fn commands() -> Vec<String> {
    let help = Desk::empty().run(&["--help"]);
    let list = out(&help).split_once("Commands:\n").unwrap().1.split("\n\n").collect::<Vec<_>>().join("\n");
    let list = list.split("Options:").next().unwrap().to_owned();
    let names = list.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    let names: Vec<String> =
        names.filter_map(|line| Some(line.split_whitespace().next()?.to_owned())).collect();
    assert!(names.len() > 15, "{names:?}");
    names
}

#[test]
fn help_fits_eighty_columns_and_gives_an_example_that_is_understood() {
    let desk = Desk::empty();
    for name in commands().into_iter().filter(|name| name != "help") {
        let help = desk.run(&[&name, "--help"]);
        for line in out(&help).lines() {
            assert!(line.chars().count() <= COLUMNS, "{name}: {line}");
        }
        let example = out(&help).split_once("Example: loambook ").map(|(_, example)| example);
        let example = example
            .or_else(|| out(&help).split_once("$(loambook ")?.1.split(')').next())
            .unwrap_or_else(|| panic!("{name} has no example"));
        let example = example.replace("\\\n", " ");
        let example = example.split("\n\n").next().unwrap();
        let example = example.split(['|', '#']).next().unwrap();
        // With `--help` at the end, the words before it are checked and nothing is done.
        let mut words: Vec<&str> = example.split_whitespace().map(|word| word.trim_matches('\'')).collect();
        assert_eq!(words[0], name);
        words.push("--help");
        let understood = desk.run(&words);
        assert_eq!(code(&understood), 0, "{words:?}: {}", err(&understood));
    }
}

/// What bash offers behind some words, with its own functions and the script that the program prints.
fn offered_by_bash(words: &[&str], folder: &Path) -> Vec<String> {
    let script = "eval \"$(loambook completions bash)\"; COMP_WORDS=(\"$@\"); COMP_CWORD=$(($#-1)); COMP_TYPE=9; \
                  _clap_complete_loambook loambook \"${!#}\"; printf '%s\\n' \"${COMPREPLY[@]}\"";
    let path = Path::new(PROGRAM).parent().unwrap();
    let path = format!("{}:{}", path.display(), std::env::var("PATH").unwrap());
    let output = Command::new("bash")
        .args(["-c", script, "bash", "loambook"])
        .args(words)
        .current_dir(folder)
        .env("PATH", path)
        .output()
        .unwrap();
    String::from_utf8(output.stdout).unwrap().lines().map(|line| line.trim().to_owned()).collect()
}

#[test]
fn bash_completes_commands_and_the_names_of_the_book() {
    if cfg!(not(unix)) {
        return;
    }
    assert_eq!(offered_by_bash(&["gea"], demo()), ["gearing"]);
    let machines = offered_by_bash(&["season", "--machine", ""], demo());
    assert_eq!(machines, ["braid-300", "corrie-450", "skerry-125"]);
    assert_eq!(offered_by_bash(&["season", "--rider", "sen"], demo()), ["senior"]);
    assert_eq!(offered_by_bash(&["why", "geometry.tra"], demo()), ["geometry.trail"]);
    assert_eq!(offered_by_bash(&["rule", "sag/reading-o"], demo()), ["sag/reading-order"]);
    assert!(offered_by_bash(&["figures", ""], demo()).contains(&"days/".to_owned()));
    // Without a book nothing is offered, and nothing is printed.
    assert_eq!(offered_by_bash(&["season", "--machine", ""], Desk::empty().folder.path()), [""]);
}

#[test]
fn every_shell_has_a_script_that_asks_the_program() {
    let desk = Desk::empty();
    for shell in ["bash", "zsh", "fish"] {
        let script = desk.run(&["completions", shell]);
        assert_eq!(code(&script), 0);
        assert!(out(&script).contains("LOAMBOOK_COMPLETE") && out(&script).contains(shell), "{shell}");
    }
}

#[test]
fn every_command_has_a_manual_page() {
    let desk = Desk::empty();
    assert!(out(&desk.run(&["man-page"])).contains(".SH SUBCOMMANDS"));
    for name in commands().into_iter().filter(|name| name != "help") {
        let page = desk.run(&["man-page", &name]);
        assert_eq!(code(&page), 0, "{}", err(&page));
        assert!(out(&page).contains(&format!(".TH loambook-{name} 1")), "{}", out(&page));
        assert!(out(&page).contains("Example: "), "{name}");
    }
    assert_eq!(code(&desk.run(&["man-page", "nothing"])), 2);
}

#[test]
fn colour_follows_what_the_environment_asks_for() {
    let told = |variables: &[(&str, &str)]| -> Output {
        let desk = Desk::empty();
        desk.write("x.md", "+++\nkind = \"day\"\ndate = 2026-05-02\n+++\n\n```sag rear\nhangin = 3\n```\n");
        let mut command = Command::new(PROGRAM);
        command.env_remove("NO_COLOR").env_remove("CLICOLOR").env_remove("CLICOLOR_FORCE");
        command
            .args(["check", "x.md"])
            .current_dir(desk.path(""))
            .envs(variables.iter().copied())
            .output()
            .unwrap()
    };
    let has_colour = |variables: &[(&str, &str)]| out(&told(variables)).contains("\u{1b}[");
    // Not a terminal.
    assert!(!has_colour(&[]));
    assert!(has_colour(&[("CLICOLOR_FORCE", "1")]));
    assert!(!has_colour(&[("CLICOLOR_FORCE", "0")]));
    assert!(!has_colour(&[("CLICOLOR_FORCE", "1"), ("NO_COLOR", "1")]));
    assert!(!has_colour(&[("CLICOLOR", "1")]));
}
