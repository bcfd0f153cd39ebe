//! A book of a few lines, for tests of where things are written.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use crate::desk::Desk;

pub const DAY: &str = "days/2026-05-09.md";

pub fn book() -> Desk {
    let desk = Desk::empty();
    desk.write("book.toml", "title = \"Small\"\n");
    desk.write(
        "machines/brae.md",
        "+++\nkind = \"machine\"\n+++\n\n```fork\nkind = \"air\"\ntravel = \"305 mm\"\n```\n\n\
         ```chamber inner\nside = \"positive\"\narea = \"471 mm²\"\nvolume = \"225 cm³\"\n```\n\n\
         ```settings\nfork.height = \"4 mm\"\n```\n",
    );
    desk.write("riders/wren.md", "+++\nkind = \"rider\"\n+++\n\n```rider\nmass = \"71 kg\"\n```\n");
    desk.write("tracks/pit.md", "+++\nkind = \"track\"\n+++\n\n```track\nelevation = \"300 m\"\n```\n");
    desk.write("laps/a.csv", "lap,time\n1,1:58.2\n");
    desk.write("templates/own.md", "# Own\n");
    desk.write(DAY, &day("2026-05-09", "9 °C"));
    desk.write("days/2026-05-10.md", &day("2026-05-10", "9 °C"));
    desk
}

/// A day's notebook; `at` is the leg's temperature when its pressure was read.
pub fn day(date: &str, at: &str) -> String {
    format!(
        "+++\nkind = \"day\"\ndate = {date}\nmachine = \"brae\"\nrider = \"wren\"\ntrack = \"pit\"\n+++\n\n\
         ```conditions\nair = \"21 °C\"\npressure = \"1003 hPa\"\n```\n\n\
         ```pressures\ninner = \"150 psi\"\nat = \"{at}\"\n```\n"
    )
}

/// Every file under a folder with its bytes; links are not followed.
pub fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(at) = folders.pop() {
        for entry in fs::read_dir(at).unwrap().map(Result::unwrap) {
            let kind = entry.file_type().unwrap();
            let name = entry.path().strip_prefix(folder).unwrap().to_str().unwrap().to_owned();
            if kind.is_dir() {
                folders.push(entry.path());
            } else if kind.is_file() {
                files.insert(name, fs::read(entry.path()).unwrap());
            } else {
                files.insert(name, Vec::new());
            }
        }
    }
    files
}
