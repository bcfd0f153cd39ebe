//! `season --since`: which days are new, by a real repository.

use super::*;

fn season(desk: &Desk, revision: &str) -> Value {
    let told = run(&desk.book(), &["season", "--since", revision, "--format", "json"]);
    serde_json::from_str(out(&told)).unwrap()
}

/// Notebooks with their mark; those without one are left out.
fn marks(desk: &Desk, revision: &str) -> Vec<(String, String)> {
    let page = season(desk, revision);
    let days = page["histories"].as_array().unwrap().iter().flat_map(|it| it["days"].as_array().unwrap());
    let mut marks: Vec<(String, String)> = days
        .filter_map(|day| Some((day["notebook"].as_str()?.to_owned(), day["mark"].as_str()?.to_owned())))
        .collect();
    marks.sort();
    marks
}

fn told(marks: &[(&str, &str)]) -> Vec<(String, String)> {
    marks.iter().map(|(path, mark)| ((*path).to_owned(), (*mark).to_owned())).collect()
}

#[test]
fn what_was_added_is_new_and_what_was_edited_has_changed() {
    let desk = Desk::new();
    assert_eq!(marks(&desk, "HEAD"), []);
    desk.ride_again();
    // Before git knows of it at all.
    assert_eq!(marks(&desk, "HEAD"), told(&[(NEXT, "new")]));
    desk.commit("one more");
    assert_eq!(marks(&desk, "HEAD"), []);
    desk.edit(DAY, "fork.height = \"2 mm up\"", "fork.height = \"1 mm up\"");
    assert_eq!(marks(&desk, "HEAD"), told(&[(DAY, "changed")]));
    assert_eq!(marks(&desk, "HEAD~1"), told(&[(DAY, "changed"), (NEXT, "new")]));
    assert_eq!(season(&desk, "HEAD~1")["since"], "HEAD~1");
}

#[test]
fn a_renamed_notebook_is_not_new() {
    let desk = Desk::new();
    let new = "days/may/third-outing.md";
    fs::create_dir_all(desk.book().join("days/may")).unwrap();
    desk.git(&["mv", &format!("book/{DAY}"), &format!("book/{new}")]);
    assert_eq!(marks(&desk, "HEAD"), []);
    desk.commit("renamed");
    assert_eq!(marks(&desk, "HEAD~1"), []);
    // The date was wrong from the start, so that only the rename shows which file it is.
    desk.edit(new, "date = 2026-05-09", "date = 2026-05-08");
    desk.commit("mended");
    assert_eq!(marks(&desk, "HEAD~2"), told(&[(new, "changed")]));
    // Moved by hand, without `git mv`: the day shows which file it is.
    let other = "days/2026-10-17.md";
    fs::rename(desk.book().join(LAST), desk.book().join(other)).unwrap();
    assert_eq!(marks(&desk, "HEAD"), []);
    desk.edit(other, "+++\n\n", "+++\n\nOnce more.\n\n");
    assert_eq!(marks(&desk, "HEAD"), told(&[(other, "changed")]));
}

#[test]
fn a_book_that_moved_as_a_whole_has_no_new_days() {
    let desk = Desk::new();
    desk.git(&["mv", "book", "notes"]);
    desk.commit("moved");
    let told = run(&desk.top().join("notes"), &["season", "--since", "HEAD~1", "--format", "json"]);
    let page: Value = serde_json::from_str(out(&told)).unwrap();
    let days = page["histories"].as_array().unwrap().iter().flat_map(|it| it["days"].as_array().unwrap());
    assert!(days.into_iter().all(|day| day["mark"].is_null()));
}

#[test]
fn ends_of_lines_alone_are_no_change() {
    let desk = Desk::new();
    let text = fs::read_to_string(desk.book().join(DAY)).unwrap();
    fs::write(desk.book().join(DAY), text.replace('\n', "\r\n")).unwrap();
    assert_eq!(marks(&desk, "HEAD"), []);
}

#[test]
fn every_form_marks_them() {
    let desk = Desk::new();
    desk.ride_again();
    let csv = run(&desk.book(), &["season", "--since", "HEAD", "--format", "csv"]);
    let mut rows = csv::Reader::from_reader(out(&csv).as_bytes());
    let heads = rows.headers().unwrap().clone();
    let at = |name: &str| heads.iter().position(|head| head == name).unwrap();
    let (notebook, since) = (at("notebook"), at("since HEAD"));
    let mut marked = 0;
    for row in rows.records().map(Result::unwrap) {
        assert_eq!(&row[since], if &row[notebook] == NEXT { "new" } else { "" });
        marked += usize::from(&row[notebook] == NEXT);
    }
    assert!(marked > 0);
    let html = run(&desk.book(), &["season", "--since", "HEAD", "--format", "html"]);
    assert!(out(&html).contains("2026-11-07</span> <strong>new</strong>"));
    assert_eq!(out(&html).matches("<strong>new</strong>").count(), 1);
    let pdf = desk.top().join("season.pdf");
    out(&run(&desk.book(), &["season", "--since", "HEAD", "--format", "pdf", "-o", pdf.to_str().unwrap()]));
    assert!(fs::read(&pdf).unwrap().starts_with(b"%PDF-"));
    // Without the option, no form says anything of it.
    let plain = run(&desk.book(), &["season", "--format", "csv"]);
    assert!(!out(&plain).lines().next().unwrap().contains("since"));
    let plain = run(&desk.book(), &["season", "--format", "html"]);
    assert!(!out(&plain).contains("<strong>new</strong>"));
}

#[test]
fn what_cannot_be_had_is_said_clearly() {
    let desk = Desk::new();
    let none = run(&desk.book(), &["season", "--since", "nowhere", "--format", "json"]);
    assert!(refused(&none).contains("git knows no revision `nowhere`"), "{}", refused(&none));
    let outside = temp_dir::TempDir::new().unwrap();
    copy(&demo(), outside.path());
    let none = run(outside.path(), &["season", "--since", "HEAD", "--format", "json"]);
    assert!(refused(&none).contains("the book is not in a git repository"), "{}", refused(&none));
    // Its folder did not exist yet: an empty first commit.
    let young = temp_dir::TempDir::new().unwrap();
    git(young.path(), &["init", "-q", "-b", "main"]);
    git(young.path(), &["commit", "-q", "--allow-empty", "-m", "begin"]);
    copy(&demo(), &young.path().join("book"));
    let none = run(&young.path().join("book"), &["season", "--since", "HEAD", "--format", "json"]);
    assert!(refused(&none).contains("the book's folder is not there at `HEAD`"), "{}", refused(&none));
}

#[test]
fn a_linked_worktree_and_a_shallow_clone_are_asked_alike() {
    let desk = Desk::new();
    desk.ride_again();
    desk.commit("one more");
    let others = temp_dir::TempDir::new().unwrap();
    let at = |name: &str| others.path().join(name);
    desk.git(&["worktree", "add", "-q", "--detach", at("linked").to_str().unwrap()]);
    let told = run(&at("linked/book"), &["season", "--since", "HEAD~1", "--format", "csv"]);
    assert!(out(&told).lines().any(|line| line.contains(NEXT) && line.ends_with(",new")));
    let url = format!("file://{}", desk.top().display());
    git(others.path(), &["clone", "-q", "--depth", "1", &url, "shallow"]);
    let told = run(&at("shallow/book"), &["season", "--since", "HEAD", "--format", "csv"]);
    assert!(!out(&told).contains(",new"));
    let none = run(&at("shallow/book"), &["season", "--since", "HEAD~1", "--format", "csv"]);
    assert!(refused(&none).contains("git knows no revision `HEAD~1`") && refused(&none).contains("shallow"));
}
