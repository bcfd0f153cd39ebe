//! `git difftool`, with the command that `git-attributes` documents.

use super::*;

/// What the tool prints, and its remarks.
fn difftool(desk: &Desk, arguments: &[&str]) -> (String, String) {
    let all = [&["difftool", "-y", "--trust-exit-code", "-t", "loambook"], arguments].concat();
    let output = git_output(desk.top(), &all);
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    assert!(output.status.success(), "{}", text(output.stderr));
    (text(output.stdout), text(output.stderr))
}

fn tools() -> Desk {
    let desk = Desk::new();
    desk.set_up();
    desk
}

#[test]
fn two_states_of_a_notebook_are_compared() {
    let desk = tools();
    desk.edit(DAY, BEFORE, AFTER);
    // What is not committed, and what is.
    let (told, _) = difftool(&desk, &[]);
    assert!(told.contains("2 mm down") && told.contains("before") && told.contains("after"), "{told}");
    desk.commit("second");
    let (again, _) = difftool(&desk, &["HEAD~1", "--", &format!("book/{DAY}")]);
    assert_eq!(again, told);
    // Seen from a folder below.
    assert_eq!(git(&desk.book(), &["difftool", "-y", "-t", "loambook", "HEAD~1"]), told);
}

#[test]
fn a_new_day_is_held_against_the_one_before_it() {
    let desk = tools();
    desk.ride_again();
    desk.edit(NEXT, "+++\n\n", "+++\n\n```settings\nshock.rebound = \"3 clicks\"\n```\n\n");
    desk.commit("new");
    let (told, remarks) = difftool(&desk, &["HEAD~1"]);
    assert!(remarks.contains(&format!("book/{NEXT} is new")) && remarks.contains(LAST), "{remarks}");
    let sides = ["2026-10-17: days/2026-10-17-senior.md".to_owned(), format!("2026-11-07: {NEXT}, after")];
    assert!(sides.iter().all(|side| told.contains(side)), "{told}");
    assert!(told.contains("shock rebound") && told.contains("clicks in"), "{told}");
}

#[test]
fn a_day_that_is_gone_is_held_against_the_one_before_it() {
    let desk = tools();
    desk.git(&["rm", "-q", &format!("book/{LAST}")]);
    let (told, remarks) = difftool(&desk, &["HEAD"]);
    assert!(remarks.contains(&format!("book/{LAST} is gone")), "{remarks}");
    assert!(
        told.contains("2026-09-26 against 2026-10-17") && told.contains("2026-10-17: Tannery Pit · 10 °C"),
        "{told}"
    );
    // The folder was removed with it.
    desk.git(&["rm", "-qr", "book/tracks"]);
    let (told, remarks) = difftool(&desk, &["HEAD", "--", "book/tracks/tannery-pit.md"]);
    assert!(remarks.contains("book/tracks/tannery-pit.md is gone"), "{remarks}");
    assert!(told.contains("track: kind = track"), "{told}");
}

#[test]
fn the_first_day_of_a_pair_is_held_against_the_standard_setting() {
    let desk = tools();
    let light = fs::read_to_string(desk.book().join("days/2026-04-19-light.md")).unwrap();
    let first = light.replace("machine = \"skerry-125\"", "machine = \"corrie-450\"");
    fs::write(desk.book().join("days/2026-12-05-light.md"), first.replace("2026-04-19", "2026-12-05"))
        .unwrap();
    desk.commit("another machine");
    let (told, _) = difftool(&desk, &["HEAD~1"]);
    assert!(told.contains("standard: machines/corrie-450.md"), "{told}");
}

#[test]
fn what_is_no_notebook_is_left_to_git() {
    let desk = tools();
    fs::write(desk.book().join("notes.md"), "bread\n").unwrap();
    fs::write(desk.book().join("photos/loam.png"), b"\x89PNG no more").unwrap();
    desk.commit("others");
    let (told, remarks) = difftool(&desk, &["HEAD~1"]);
    assert_eq!(told, "");
    for name in ["book/notes.md is not a notebook", "book/photos/loam.png is not a notebook"] {
        assert!(remarks.contains(name), "{remarks}");
    }
    // An empty file has nothing; with text it is new.
    fs::write(desk.book().join("tracks/heath.md"), "").unwrap();
    desk.commit("empty");
    fs::write(desk.book().join("tracks/heath.md"), "+++\nkind = \"track\"\nname = \"Heath\"\n+++\n").unwrap();
    let (told, remarks) = difftool(&desk, &[]);
    assert!(
        remarks.contains("book/tracks/heath.md is new") && told.contains("name = Heath"),
        "{told}{remarks}"
    );
}
