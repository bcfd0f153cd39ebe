//! The made-up diary of the demonstration book's machines, as long as a bench asks for.

use std::fmt::Write as _;
use std::path::Path;

use jiff::civil::date;
use loambook::source::Memory;

/// The demonstration book's machines, each twice under another name.
const MACHINES: [(&str, &str); 4] = [
    ("first", include_str!("../../notebooks/machines/corrie-450.md")),
    ("second", include_str!("../../notebooks/machines/skerry-125.md")),
    ("third", include_str!("../../notebooks/machines/corrie-450.md")),
    ("fourth", include_str!("../../notebooks/machines/skerry-125.md")),
];
const BOOK: &str = include_str!("../../notebooks/book.toml");
const RIDER: &str = include_str!("../../notebooks/riders/senior.md");
const TRACKS: [(&str, &str); 3] = [
    ("cold-ledge", include_str!("../../notebooks/tracks/cold-ledge.md")),
    ("marram-bank", include_str!("../../notebooks/tracks/marram-bank.md")),
    ("tannery-pit", include_str!("../../notebooks/tracks/tannery-pit.md")),
];
/// A track shows it; a missing photo would be a finding.
const PHOTO: &[u8] = include_bytes!("../../notebooks/photos/loam.png");
/// A diary of so many days, in turn on each of the machines; with the texts of its notebooks by their paths.
pub fn diary(days: usize) -> (Memory<'static>, Vec<(String, String)>) {
    with_book(days, BOOK.to_owned())
}

/// The same where no instrument says how its readings scatter: the diary's own repeats show it.
#[allow(dead_code, reason = "one bench asks for it")]
pub fn diary_that_tells_scatter(days: usize) -> (Memory<'static>, Vec<(String, String)>) {
    let lines = BOOK.split_inclusive('\n').filter(|line| !line.starts_with("repeatability"));
    with_book(days, lines.collect())
}

/// The demonstration book so many times over: each copy has its own machines, riders and days, and the tracks are
/// everybody's. With the texts of its notebooks by their paths.
#[allow(dead_code, reason = "one bench asks for it")]
pub fn demonstration(copies: usize) -> (Memory<'static>, Vec<(String, String)>) {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks");
    let folder = |name: &str| {
        let entries = std::fs::read_dir(demo.join(name)).unwrap().map(|entry| entry.unwrap().path());
        let mut files: Vec<(String, Vec<u8>)> = entries
            .map(|path| {
                (path.file_stem().unwrap().to_str().unwrap().to_owned(), std::fs::read(&path).unwrap())
            })
            .collect();
        files.sort();
        files
    };
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    let (machines, riders) = (folder("machines"), folder("riders"));
    let mut texts = vec![("book.toml".to_owned(), BOOK.to_owned())];
    texts.extend(TRACKS.map(|(name, text)| (format!("tracks/{name}.md"), text.to_owned())));
    for copy in 0..copies {
        let own = |text: String| {
            machines.iter().chain(&riders).fold(text, |text, (name, _)| {
                let field = |text: String, key: &str| {
                    text.replace(&format!("{key} = \"{name}\""), &format!("{key} = \"{name}-{copy}\""))
                };
                let text =
                    text.replace(&format!("```settings {name}\n"), &format!("```settings {name}-{copy}\n"));
                field(field(text, "machine"), "rider")
            })
        };
        for kind in ["machines", "riders", "days"] {
            let files = folder(kind).into_iter();
            texts.extend(files.map(|(name, bytes)| (format!("{kind}/{name}-{copy}.md"), own(text(&bytes)))));
        }
    }
    let mut store = Memory::new();
    for (kind, ending) in [("photos", "png"), ("laps", "csv")] {
        for (name, bytes) in folder(kind) {
            store = store.with(format!("{kind}/{name}.{ending}"), bytes);
        }
    }
    (texts.iter().fold(store, |store, (path, text)| store.with(path.as_str(), text.as_str())), texts)
}

fn with_book(days: usize, book: String) -> (Memory<'static>, Vec<(String, String)>) {
    let mut texts = vec![("book.toml".to_owned(), book), ("riders/senior.md".to_owned(), RIDER.to_owned())];
    texts.extend(MACHINES.map(|(name, text)| (format!("machines/{name}.md"), text.to_owned())));
    texts.extend(TRACKS.map(|(name, text)| (format!("tracks/{name}.md"), text.to_owned())));
    for day in 0..days {
        let (round, (machine, _)) = (day / MACHINES.len(), MACHINES[day % MACHINES.len()]);
        let on = date(2001, 1, 1).saturating_add(jiff::Span::new().days(round as i64));
        texts.push((format!("days/{on}-{machine}.md"), notebook(round, machine, &on.to_string())));
    }
    let store = Memory::new().with("photos/loam.png", PHOTO);
    (texts.iter().fold(store, |store, (path, text)| store.with(path.as_str(), text.as_str())), texts)
}

/// One day's notebook: readings, two stints and a change between them, which every other day takes back.
fn notebook(round: usize, machine: &str, on: &str) -> String {
    let (track, _) = TRACKS[round % TRACKS.len()];
    let swing = |every: usize, step: usize| round * step % every;
    let mut text = format!(
        "+++\nkind = \"day\"\ndate = {on}\nmachine = \"{machine}\"\nrider = \"senior\"\ntrack = \"{track}\"\n+++\n\n\
         # A day\n\nDry after a wet night. The back stood at `@sag.rear.rider`.\n\n"
    );
    let _ = write!(
        text,
        "```conditions\nair = \"{} °C\"\npressure = \"{} hPa\"\nhumidity = \"60 %\"\n```\n\n\
         ```hours\nridden = \"1.5 h\"\n```\n\n\
         ```pressures\ntyre.front = \"13 psi\"\ntyre.rear = \"12.5 psi\"\n```\n\n\
         ```sag rear\nhanging = \"612 mm\"\nalone = \"577 mm\"\naboard = \"{} {} {} mm\"\n```\n\n",
        8 + swing(17, 5),
        1000 + swing(25, 7),
        505 + swing(4, 3),
        506 + swing(3, 2),
        506 + swing(4, 1),
    );
    let way = if round.is_multiple_of(2) { "in" } else { "out" };
    let lap =
        |stint: usize, lap: usize| format!("2:{:02}.{}", 2 + stint + swing(3, 1), (round * 7 + lap * 3) % 10);
    let laps = |stint: usize| (0..6).map(|number| lap(stint, number)).collect::<Vec<_>>().join(" ");
    let _ = write!(
        text,
        "```stint\nlaps = \"{}\"\nfeel = \"harsh chatter 3\"\n```\n\n\
         ```change\nfork.compression = \"1 click {way}\"\nbecause = \"harsh on the chatter\"\n```\n\n\
         ```stint\nlaps = \"{}\"\nfeel = \"harsh chatter 2\"\nverdict = \"better\"\n```\n\n\
         ```checked\ndone = [\"steering.drop\", \"tyres\"]\n```\n",
        laps(1),
        laps(0),
    );
    text
}
