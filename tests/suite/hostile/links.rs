//! Books that lead out of their folder, by links and by paths.

use std::fs;
use std::os::unix::fs::symlink;

use super::{DAY, day, write_book};
use crate::desk::{Desk, code, err, file_names, out};

/// A word that no file of the book contains.
const SECRET: &str = "velvet-badger";

/// A book in `book`, and a private file beside it.
fn book() -> Desk {
    let desk = Desk::empty();
    write_book(&desk, "book");
    let secret = day("2026-05-11", 9).replace("to try it", SECRET);
    desk.write("mine/days/secret.md", &secret);
    desk.write("mine/secret.md", &secret);
    desk.write("mine/laps.csv", &format!("lap\n2:04.1\n{SECRET}\n"));
    desk.write("mine/sheet.md", SECRET);
    desk.write("mine/style.css", &format!("/* {SECRET} */"));
    desk.write("mine/advice.toml", &format!("{SECRET} = 1\n"));
    desk.write("mine/book.toml", &format!("title = \"{SECRET}\"\nbroken\n"));
    desk.write("mine/photo.png", SECRET);
    desk
}

fn link(desk: &Desk, to: &str, at: &str) {
    let at = desk.path(at);
    fs::create_dir_all(at.parent().unwrap()).unwrap();
    let _ = fs::remove_file(&at);
    symlink(desk.path(to), at).unwrap();
}

/// All that a command prints.
fn said(desk: &Desk, arguments: &[&str]) -> String {
    let output = desk.run_in("book", arguments);
    format!("{}{}", out(&output), err(&output))
}

const READERS: [&[&str]; 8] = [
    &["check"],
    &["check", "--format", "json"],
    &["season", "--format", "html"],
    &["season", "--format", "json"],
    &["sheet", "-o", "print", "--format", "html"],
    &["figures", DAY],
    &["compare", DAY, "days/2026-05-10.md", "--format", "html"],
    &["next", DAY],
];

/// Everything that was printed.
fn printed(desk: &Desk) -> String {
    let folder = desk.path("book/print");
    if !folder.is_dir() {
        return String::new();
    }
    file_names(&folder).iter().map(|name| desk.read(&format!("book/print/{name}"))).collect()
}

#[test]
fn a_link_that_leaves_the_book_is_named_and_not_read() {
    let links = [
        ("mine/secret.md", "days/secret.md"),
        ("mine/days", "days/more"),
        ("mine", "mine"),
        ("mine/book.toml", "book.toml"),
        ("mine/sheet.md", "templates/sheet.md"),
        ("mine/style.css", "templates/style.css"),
        ("mine/advice.toml", "templates/advice.toml"),
        ("mine/photo.png", "photos/fork.png"),
    ];
    for (to, at) in links {
        let desk = book();
        link(&desk, to, &format!("book/{at}"));
        let check = desk.run_in("book", &["check"]);
        assert_eq!(code(&check), 1, "{at}: {}", err(&check));
        let told = said(&desk, &["check"]);
        assert!(told.contains("file/leads-out") && told.contains(at), "{at}: {told}");
        for arguments in READERS {
            let told = said(&desk, arguments) + &printed(&desk);
            assert!(!told.contains(SECRET), "{at}: {arguments:?}: {told}");
        }
    }
}

#[test]
fn lap_files_and_photos_that_a_notebook_names_are_not_read_through_a_link_out_of_the_book() {
    let desk = book();
    let text = day("2026-05-09", 3)
        + "\n```stint\nlaps = \"laps/morning.csv\"\n```\n\n![The fork](../photos/fork.png)\n";
    desk.write(&format!("book/{DAY}"), &text);
    link(&desk, "mine/laps.csv", "book/laps/morning.csv");
    link(&desk, "mine/photo.png", "book/photos/fork.png");
    let told = said(&desk, &["check"]);
    assert!(told.contains("laps/file") && told.contains("laps/morning.csv"), "{told}");
    assert!(told.contains("link/photo") && told.contains("photos/fork.png"), "{told}");
    for arguments in READERS {
        let told = said(&desk, arguments) + &printed(&desk);
        assert!(!told.contains(SECRET), "{arguments:?}: {told}");
    }
    // The same files inside the book are read: so it is the link that was refused.
    fs::remove_file(desk.path("book/laps/morning.csv")).unwrap();
    fs::copy(desk.path("mine/laps.csv"), desk.path("book/laps/morning.csv")).unwrap();
    assert!(said(&desk, &["check"]).contains(SECRET));
}

#[test]
fn hidden_files_are_not_read_by_name_or_by_link() {
    let desk = book();
    desk.write("book/.git/laps.csv", &format!("lap\n{SECRET}\n"));
    symlink(desk.path("book/.git/laps.csv"), desk.path("book/morning.csv")).unwrap();
    for laps in [".git/laps.csv", "days/../.git/laps.csv", "morning.csv"] {
        let text = day("2026-05-09", 3) + &format!("\n```stint\nlaps = \"{laps}\"\n```\n");
        desk.write(&format!("book/{DAY}"), &text);
        let told = said(&desk, &["check"]);
        assert!(told.contains("laps/file"), "{laps}: {told}");
        assert!(!told.contains(SECRET), "{laps}: {told}");
    }
}

#[test]
fn links_inside_the_book_still_work() {
    let desk = book();
    let text = day("2026-05-09", 3)
        + "\n```stint\nlaps = \"laps/latest.csv\"\n```\n\n![The fork](../shots/fork.png)\n";
    desk.write(&format!("book/{DAY}"), &text);
    desk.write("book/laps/2026-05-09.csv", "lap\n2:04.1\n2:05.0\nnone\n");
    symlink("2026-05-09.csv", desk.path("book/laps/latest.csv")).unwrap();
    desk.write("book/photos/fork.png", "");
    symlink("photos", desk.path("book/shots")).unwrap();
    let told = said(&desk, &["check"]);
    assert!(told.contains("laps/row") && !told.contains("laps/file"), "{told}");
    assert!(!told.contains("link/photo") && !told.contains("file/leads-out"), "{told}");
}

#[test]
fn a_path_through_a_link_out_of_the_book_opens_no_other_book() {
    let desk = book();
    desk.write("mine/book.toml", &format!("title = \"{SECRET}\"\n"));
    link(&desk, "mine/days", "book/days/more");
    for arguments in
        [["check", "days/more/secret.md"], ["figures", "days/more/secret.md"], ["check", "days/more"]]
    {
        let output = desk.run_in("book", &arguments);
        assert_eq!(code(&output), 2, "{}", out(&output));
        assert!(err(&output).contains("leads out of the book"), "{}", err(&output));
        assert!(!err(&output).contains(SECRET) && out(&output).is_empty());
    }
}

#[test]
fn a_book_says_only_of_itself_where_sheets_go() {
    let desk = book();
    let outside = desk.path("mine").to_str().unwrap().to_owned();
    let before = file_names(&desk.path("mine"));
    for folder in [
        outside.as_str(),
        "../mine",
        "print/../../mine",
        "..",
        ".git/hooks",
        "\\\\\\\\host\\\\print",
        "c:/print",
    ] {
        desk.write("book/book.toml", &format!("[output]\nfolder = \"{folder}\"\n"));
        let told = said(&desk, &["check"]);
        assert!(told.contains("link/folder"), "{folder}: {told}");
        let commands: [&[&str]; 3] = [
            &["sheet"],
            &["roster", "--date", "2026-05-09"],
            &["prepare", "--machine", "brae", "--rider", "wren", "--track", "pit", "--date", "2026-06-01"],
        ];
        for arguments in commands {
            desk.run_in("book", arguments);
        }
        let _ = fs::remove_dir_all(desk.path("book/sheets"));
        let _ = fs::remove_file(desk.path("book/days/2026-06-01-wren.md"));
        assert_eq!(file_names(&desk.path("mine")), before, "{folder}");
        assert_eq!(file_names(desk.folder.path()), ["book", "mine"], "{folder}");
        assert!(!desk.path("book/.git").exists(), "{folder}");
    }
    // A folder of the book is accepted, and so is any that the command line names.
    desk.write("book/book.toml", "[output]\nfolder = \"./prints/\"\n");
    let output = desk.run_in("book", &["sheet", DAY, "--format", "html"]);
    assert_eq!(
        (code(&output), file_names(&desk.path("book/prints"))),
        (0, vec!["2026-05-09.html".to_owned()])
    );
    let output = desk.run_in("book", &["sheet", DAY, "--format", "html", "-o", "../elsewhere"]);
    assert_eq!((code(&output), file_names(&desk.path("elsewhere"))), (0, vec!["2026-05-09.html".to_owned()]));
}

#[test]
fn nothing_is_written_through_a_link_out_of_the_book() {
    let writers: [(&str, &[&str]); 8] = [
        ("sheets", &["sheet"]),
        ("sheets", &["roster", "--date", "2026-05-09"]),
        ("sheets", &["roster", "--date", "2026-05-09", "--format", "html"]),
        ("days", &["new", "day", "2026-06-01"]),
        ("machines", &["new", "machine", "other"]),
        ("riders", &["new", "rider", "other"]),
        ("tracks", &["new", "track", "other"]),
        ("other", &["new", "book", "other"]),
    ];
    for (folder, arguments) in writers {
        let desk = book();
        fs::create_dir(desk.path("target")).unwrap();
        let _ = fs::rename(desk.path(&format!("book/{folder}")), desk.path("book/before"));
        link(&desk, "target", &format!("book/{folder}"));
        let output = desk.run_in("book", arguments);
        assert_eq!(code(&output), 2, "{arguments:?}: {}", out(&output));
        assert!(err(&output).contains("link") || err(&output).contains("leads out"), "{}", err(&output));
        assert_eq!(file_names(&desk.path("target")), [""; 0], "{arguments:?}");
    }
    // A link that leads nowhere yet, and one further up.
    let desk = book();
    symlink(desk.path("later"), desk.path("book/sheets")).unwrap();
    assert_eq!(code(&desk.run_in("book", &["sheet"])), 2);
    assert!(!desk.path("later").exists());
    desk.write("book/book.toml", "[output]\nfolder = \"prints/a/b\"\n");
    link(&desk, "mine", "book/prints");
    let before = file_names(&desk.path("mine"));
    assert_eq!(code(&desk.run_in("book", &["sheet"])), 2);
    assert_eq!(file_names(&desk.path("mine")), before);
    // One that stays in the book is followed.
    let desk = book();
    desk.write("book/papers/keep.txt", "");
    symlink("papers", desk.path("book/sheets")).unwrap();
    assert_eq!(code(&desk.run_in("book", &["sheet", DAY])), 0);
    assert_eq!(file_names(&desk.path("book/papers")), ["2026-05-09.pdf", "keep.txt"]);
}

#[test]
fn prepare_writes_neither_notebook_nor_sheet_through_a_link() {
    for folder in ["days", "sheets"] {
        let desk = book();
        fs::create_dir(desk.path("target")).unwrap();
        let kept = desk.path("book/kept");
        let _ = fs::rename(desk.path(&format!("book/{folder}")), &kept);
        link(&desk, "target", &format!("book/{folder}"));
        let prepare =
            ["prepare", "--machine", "brae", "--rider", "wren", "--track", "pit", "--date", "2026-06-01"];
        let output = desk.run_in("book", &prepare);
        assert_eq!(code(&output), 2, "{folder}: {}", out(&output));
        assert_eq!(file_names(&desk.path("target")), [""; 0], "{folder}");
        let days = if folder == "days" { kept } else { desk.path("book/days") };
        assert_eq!(file_names(&days), ["2026-05-09.md", "2026-05-10.md"], "{folder}");
    }
}
