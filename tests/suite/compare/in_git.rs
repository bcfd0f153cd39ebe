//! Revisions of real repositories, made by the real git.

use super::*;

/// A second commit undid the day's change.
fn edited() -> Desk {
    let desk = Desk::new();
    desk.edit(DAY, BEFORE, AFTER);
    desk.commit("second");
    desk
}

#[test]
fn revisions_are_compared_from_any_folder_and_leave_the_working_tree_alone() {
    let desk = edited();
    let there = format!("HEAD~1:{DAY}");
    assert_eq!(changes(&desk.book(), &[&there, DAY]), down_two());
    assert_eq!(changes(&desk.book(), &[&there, &format!("HEAD:{DAY}")]), down_two());
    let from_top = [format!("HEAD~1:book/{DAY}"), format!("book/{DAY}")];
    assert_eq!(changes(desk.top(), &[&from_top[0], &from_top[1]]), down_two());
    let days = desk.book().join("days");
    assert_eq!(
        changes(&days, &["HEAD~1:2026-05-09-senior.md", "HEAD:book/days/2026-05-09-senior.md"]),
        down_two()
    );
    assert_eq!(desk.git(&["status", "--porcelain"]), "");
}

#[test]
fn a_rename_is_followed_both_ways_and_readings_are_known_again() {
    let desk = Desk::new();
    let new = "days/2026-05-09-third-outing.md";
    desk.git(&["mv", &format!("book/{DAY}"), &format!("book/{new}")]);
    // So far in the index alone.
    assert_eq!(changes(&desk.book(), &[&format!("HEAD:{new}"), new]), []);
    desk.commit("renamed");
    desk.edit(new, BEFORE, AFTER);
    desk.edit(new, "aboard = \"496 496 496 mm\"", "aboard = \"492 492 492 mm\"");
    desk.commit("second");
    assert_eq!(changes(&desk.book(), &[&format!("HEAD~2:{new}"), new]), down_two());
    assert_eq!(changes(&desk.book(), &[&format!("HEAD~2:{DAY}"), &format!("HEAD:{DAY}")]), down_two());
    let json = run(&desk.book(), &["compare", "--format", "json", &format!("HEAD~2:{new}"), new]);
    let value: Value = serde_json::from_str(out(&json)).unwrap();
    let figures = value["figures"].as_array().unwrap();
    let sag = figures.iter().find(|line| line["id"] == "sag.rear.rider").unwrap();
    // As without the rename: the tape's bias and the hanging reading have cancelled.
    assert!((sag["expanded"].as_f64().unwrap() - two_readings()).abs() < 1e-9, "{sag}");
    assert!(figures.iter().all(|line| line["id"] != "sag.rear.static"), "an unchanged reading differs");
}

#[test]
fn linked_worktrees_bare_packed_and_shallow_repositories_are_read() {
    let desk = edited();
    let there = format!("HEAD~1:book/{DAY}");
    let here = format!("HEAD:book/{DAY}");
    let others = temp_dir::TempDir::new().unwrap();
    let at = |name: &str| others.path().join(name);
    desk.git(&["worktree", "add", "-q", "--detach", at("linked").to_str().unwrap()]);
    assert_eq!(changes(&at("linked"), &[&there, &here]), down_two());
    assert_eq!(changes(&at("linked/book"), &[&there, DAY]), down_two());

    desk.git(&["tag", "winter", "HEAD~1"]);
    desk.git(&["pack-refs", "--all"]);
    desk.git(&["gc", "-q"]);
    assert!(!desk.top().join(".git/refs/tags/winter").exists());
    assert_eq!(changes(desk.top(), &[&format!("winter:book/{DAY}"), &here]), down_two());

    let url = format!("file://{}", desk.top().display());
    git(others.path(), &["clone", "-q", "--bare", &url, "bare.git"]);
    // A folder that is a bare repository is read where it is named: a book may hold a folder that looks like
    // one.
    assert_eq!(changes(others.path(), &["--book", "bare.git", &there, &here]), down_two());
    assert!(refused(&run(&at("bare.git"), &["compare", &there, &here])).contains("`--book`"));
    git(others.path(), &["clone", "-q", "--depth", "1", &url, "shallow"]);
    assert_eq!(changes(&at("shallow"), &[&here, &format!("book/{DAY}")]), []);
    let output = run(&at("shallow"), &["compare", &there, &here]);
    let told = refused(&output);
    assert!(told.contains("git knows no revision `HEAD~1`") && told.contains("shallow"), "{told}");
}

#[test]
fn what_is_not_there_is_said_clearly() {
    let desk = edited();
    let none = run(&desk.book(), &["compare", &format!("nowhere:{DAY}"), DAY]);
    assert!(refused(&none).contains("git knows no revision `nowhere`"));
    let none = run(&desk.book(), &["compare", "HEAD:days/none.md", DAY]);
    assert!(refused(&none).contains("there is no `days/none.md` at `HEAD`"));
    let none = run(&desk.book(), &["compare", "HEAD:", DAY]);
    assert!(refused(&none).contains("there is no notebook `HEAD:`"));
    let none = run(&desk.book(), &["compare", "days/none.md", DAY]);
    assert!(refused(&none).contains("there is no days/none.md"));
    let none = run(&desk.book(), &["compare", &format!("{DAY}:4000"), DAY]);
    assert!(refused(&none).contains("has no line 4000"));
    let none = run(&desk.book(), &["compare", "tracks/tannery-pit.md", DAY]);
    assert!(refused(&none).contains("cannot be compared"));
    let outside = temp_dir::TempDir::new().unwrap();
    let none = run(outside.path(), &["compare", "HEAD:a.md", "HEAD:b.md"]);
    assert!(refused(&none).contains("git repository"));
}

#[test]
fn odd_names_are_found_at_a_revision() {
    let desk = Desk::new();
    let odd = "days/Regen im März/Tag 1, ganz naß.md";
    fs::create_dir_all(desk.book().join("days/Regen im März")).unwrap();
    let text = fs::read_to_string(desk.book().join(DAY)).unwrap();
    fs::write(desk.book().join(odd), text.replace("2026-05-09", "2026-11-07")).unwrap();
    desk.commit("odd");
    desk.edit(odd, BEFORE, AFTER);
    assert_eq!(changes(&desk.book(), &[&format!("HEAD:{odd}"), odd]), down_two());
    assert_eq!(changes(desk.top(), &[&format!("HEAD:book/{odd}"), &format!("book/{odd}")]), down_two());
    // As another system writes paths, with `..`, and with a line number.
    let backward = odd.replace('/', "\\");
    assert_eq!(changes(&desk.book(), &[&format!("HEAD:{backward}"), odd]), down_two());
    assert_eq!(changes(&desk.book(), &[&format!("HEAD:days/../{odd}"), odd]), down_two());
    let line = 1 + text.lines().position(|line| line == BEFORE).unwrap();
    let at = |line: usize| changes(&desk.book(), &[&format!("HEAD:{odd}:{line}"), &format!("{odd}:{line}")]);
    assert_eq!((at(line - 2), at(line)), (vec![], down_two()));
    // Revisions written in other ways.
    desk.git(&["branch", "winter/first", "HEAD"]);
    let short = desk.git(&["rev-parse", "--short", "HEAD"]);
    for revision in ["main@{0}", "winter/first", "main^0", short.trim()] {
        assert_eq!(changes(&desk.book(), &[&format!("{revision}:{odd}"), odd]), down_two(), "{revision}");
    }
    let out_of_it = run(&desk.book(), &["compare", "HEAD:../../elsewhere.md", DAY]);
    assert!(refused(&out_of_it).contains("there is no `../../elsewhere.md` at `HEAD`"));
}

#[test]
fn the_tree_and_the_index_are_left_as_they_are() {
    let desk = edited();
    desk.edit(DAY, AFTER, BEFORE);
    desk.git(&["add", "-A"]);
    desk.edit(DAY, BEFORE, AFTER);
    let index = fs::read(desk.top().join(".git/index")).unwrap();
    let there = format!("HEAD~1:{DAY}");
    assert_eq!(changes(&desk.book(), &[&there, DAY]), down_two());
    out(&run(&desk.book(), &["season", "--since", "HEAD~1", "--format", "json"]));
    assert_eq!(fs::read(desk.top().join(".git/index")).unwrap(), index);
    assert_eq!(desk.git(&["stash", "list"]), "");
}
