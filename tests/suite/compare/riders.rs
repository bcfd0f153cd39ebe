//! Two riders on one date, and dates that nobody rode on.

use super::*;

/// The demo, where the junior rides her own machine on the day that the senior rides his.
fn two_of_them() -> temp_dir::TempDir {
    let folder = temp_dir::TempDir::new().unwrap();
    copy(&demo(), folder.path());
    let text = fs::read_to_string(folder.path().join("days/2026-05-10-junior.md")).unwrap();
    fs::write(folder.path().join("days/2026-05-09-junior.md"), text.replace("2026-05-10", "2026-05-09"))
        .unwrap();
    folder
}

fn comparison(folder: &Path, arguments: &[&str]) -> Value {
    let all = [&["compare", "--format", "json", "--all"], arguments].concat();
    serde_json::from_str(out(&run(folder, &all))).unwrap()
}

#[test]
fn two_riders_of_one_day_are_told_by_their_names() {
    let book = two_of_them();
    let told = comparison(book.path(), &["senior", "junior", "--on", "2026-05-09"]);
    assert_eq!((&told["a"]["rider"], &told["b"]["rider"]), (&"The senior".into(), &"The junior".into()));
    assert_eq!((&told["a"]["label"], &told["b"]["label"]), (&"The senior".into(), &"The junior".into()));
    assert_eq!(told["a"]["notebook"], DAY);
    assert_eq!(told["b"]["notebook"], "days/2026-05-09-junior.md");
    // Clicks of two machines are listed side by side, and never subtracted.
    let rebound =
        told["settings"].as_array().unwrap().iter().find(|line| line["id"] == "fork.rebound").unwrap();
    assert_eq!((&rebound["by"], &rebound["change"]), (&serde_json::Value::Null, &"another machine".into()));
    assert!(rebound["a"]["told"].is_string() && rebound["b"]["told"].is_string(), "{rebound}");
    let back = comparison(book.path(), &["junior", "senior", "--on", "2026-05-09"]);
    assert_eq!((&back["a"]["label"], &back["b"]["label"]), (&"The junior".into(), &"The senior".into()));
    let text = run(book.path(), &["compare", "senior", "junior", "--on", "2026-05-09"]);
    assert!(out(&text).contains("The senior") && out(&text).contains("The junior"));
}

#[test]
fn of_two_riders_the_last_day_of_each_up_to_the_date_is_taken() {
    let book = two_of_them();
    let told = comparison(book.path(), &["senior", "light", "--on", "2026-05-20"]);
    assert_eq!(told["a"]["notebook"], "days/2026-05-09-senior.md");
    assert_eq!(told["b"]["notebook"], "days/2026-04-19-light.md");
}

#[test]
fn a_rider_who_was_not_there_yet_is_named() {
    let book = two_of_them();
    let none = run(book.path(), &["compare", "senior", "light", "--on", "2026-04-12"]);
    let told = refused(&none);
    assert!(told.contains("the book has no day on 2026-04-12 with `light`"), "{told}");
    // Whichever side it is on.
    assert_eq!(refused(&run(book.path(), &["compare", "light", "senior", "--on", "2026-04-12"])), told);
    let none = run(book.path(), &["compare", "senior", "wren", "--on", "2026-05-09"]);
    assert!(refused(&none).contains("the book has no rider `wren`"));
    // A date by itself is one day; where it is several, the command asks which.
    let many = run(book.path(), &["compare", "2026-05-09", "2026-04-25"]);
    let told = refused(&many);
    assert!(told.contains("there are 2 days on 2026-05-09") && told.contains("--rider"), "{told}");
}

#[test]
fn two_riders_notebooks_say_how_their_days_are_compared() {
    let book = two_of_them();
    let plain = run(book.path(), &["compare", "senior", "junior"]);
    assert!(err(&plain).contains("--on DATE"), "{}", err(&plain));
    let days = run(book.path(), &["compare", "senior", "junior", "--on", "2026-05-09"]);
    assert!(!err(&days).contains("--on DATE"), "{}", err(&days));
}

#[test]
fn what_another_machine_has_was_not_added() {
    let book = two_of_them();
    let told = comparison(book.path(), &["senior", "junior", "--on", "2026-05-09"]);
    let settings = told["settings"].as_array().unwrap();
    let on_one = settings.iter().filter(|line| line["a"].is_null() != line["b"].is_null());
    let words: Vec<&str> = on_one.map(|line| line["change"].as_str().unwrap()).collect();
    assert!(!words.is_empty() && words.iter().all(|word| *word == "another machine"), "{words:?}");
}
