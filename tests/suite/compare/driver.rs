//! `git diff`, `git log -p` and `git show` through the driver that `git-attributes` prints.

use super::*;

/// Lines of a diff that begin with a sign, without it; its heads are left out.
fn changed(diff: &str, sign: char) -> Vec<String> {
    let head = sign.to_string().repeat(3);
    let lines = diff.lines().filter(|line| line.starts_with(sign) && !line.starts_with(&head));
    lines.map(|line| line[1..].to_owned()).collect()
}

#[test]
fn an_edit_is_shown_by_what_the_notebook_says() {
    let desk = Desk::new();
    desk.set_up();
    desk.edit(DAY, BEFORE, AFTER);
    let diff = desk.git(&["diff"]);
    let (gone, came) = (changed(&diff, '-'), changed(&diff, '+'));
    assert_eq!(gone, ["change: fork.height = 2 mm up"], "{diff}");
    assert_eq!(came, ["change: fork.height = 0 mm up"], "{diff}");
    desk.commit("second");
    for arguments in [&["log", "-p", "-1"][..], &["show"], &["diff", "HEAD~1"]] {
        let shown = desk.git(arguments);
        assert_eq!((changed(&shown, '-'), changed(&shown, '+')), (gone.clone(), came.clone()));
    }
}

#[test]
fn a_new_a_renamed_and_a_removed_notebook_are_shown_so_too() {
    let desk = Desk::new();
    desk.set_up();
    desk.ride_again();
    desk.commit("new");
    let shown = desk.git(&["show"]);
    let came = changed(&shown, '+');
    assert!(
        changed(&shown, '-').is_empty() && came.contains(&"day: date = 2026-11-07".to_owned()),
        "{shown}"
    );
    // Everything is printed as `state --alone` prints it.
    let alone = run(&desk.book(), &["state", "--alone", NEXT]);
    assert_eq!(came, out(&alone).lines().collect::<Vec<_>>());

    let renamed = "book/days/last.md";
    desk.git(&["mv", &format!("book/{NEXT}"), renamed]);
    desk.edit("days/last.md", "date = 2026-11-07", "date = 2026-11-08");
    desk.commit("renamed");
    let shown = desk.git(&["show", "-M"]);
    assert!(shown.contains(&format!("rename from book/{NEXT}")), "{shown}");
    assert_eq!(changed(&shown, '-'), ["day: date = 2026-11-07"], "{shown}");
    assert_eq!(changed(&shown, '+'), ["day: date = 2026-11-08"], "{shown}");
    let log = desk.git(&["log", "-p", "-1", "--follow", "--format=", "--", renamed]);
    assert_eq!(changed(&log, '-'), ["day: date = 2026-11-07"]);

    desk.git(&["rm", "-q", renamed]);
    desk.commit("gone");
    let shown = desk.git(&["show"]);
    assert!(changed(&shown, '+').is_empty());
    assert!(changed(&shown, '-').contains(&"day: date = 2026-11-08".to_owned()), "{shown}");
}

#[test]
fn what_is_no_notebook_is_shown_as_without_the_driver() {
    let desk = Desk::new();
    desk.set_up();
    let texts: [(&str, &[u8], &[u8]); 5] = [
        ("notes.md", b"# Shopping\n\n- bread\n", b"# Shopping\n\n- butter\n"),
        ("crlf.md", b"one\r\ntwo\r\n", b"one\r\nthree\r\n"),
        ("no end.md", b"one", b"one\ntwo"),
        // A head of an unknown kind.
        ("recipe.md", b"+++\nkind = \"soup\"\n+++\nleek\n", b"+++\nkind = \"soup\"\n+++\npea\n"),
        ("latin.md", b"Stra\xdfe\n", b"Gr\xfc\xdfe\n"),
    ];
    for (name, before, _) in texts {
        fs::write(desk.book().join(name), before).unwrap();
    }
    desk.commit("texts");
    for (name, _, after) in texts {
        fs::write(desk.book().join(name), after).unwrap();
        let path = format!("book/{name}");
        let with = git_output(desk.top(), &["diff", "--", &path]);
        let without = git_output(desk.top(), &["diff", "--no-textconv", "--", &path]);
        assert!(with.status.success() && !with.stdout.is_empty());
        assert_eq!(with.stdout, without.stdout, "{name}");
    }
    // Bytes that git does not take for text pass unchanged, and git exits well.
    fs::write(desk.book().join("scan.md"), [b'a', 0, 0xff, b'\n']).unwrap();
    desk.commit("scan");
    fs::write(desk.book().join("scan.md"), [b'b', 0, 0xff, b'\n']).unwrap();
    let shown = git_output(desk.top(), &["diff", "--", "book/scan.md"]);
    assert!(shown.status.success());
    assert!(shown.stdout.ends_with(b"-a\0\xff\n+b\0\xff\n"), "{}", String::from_utf8_lossy(&shown.stdout));
}
