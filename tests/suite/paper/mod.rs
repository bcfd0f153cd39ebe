//! Every printed page in its place: on either paper, nothing overlaps, leaves the paper, hides or breaks a word.

mod aloud;
mod columns;
mod heads;
mod in_every_language;
pub mod others;
mod said;
mod side_view;
mod tables;
pub mod tools;

use std::path::Path;

use loambook::advice::Advice;
use loambook::document::{Templates, compose, compose_in};
use loambook::pages::card;
use loambook::pages::sheet::{self, Options, Sheet};
use loambook::render::Paper;
use loambook::render::pdf::{self, PdfOptions, Placed, Printed, Rectangle, What};
use loambook::session::Compiled;
use loambook::source::{Disk, Memory, Store};

use crate::books::{self, replayed};

/// A sheet and what is printed of it.
struct Page {
    name: String,
    sheet: Sheet,
    printed: Printed,
}

fn pages(store: &dyn Store, paper: Paper) -> Vec<Page> {
    let Compiled { book, season, .. } = replayed(store);
    let templates = Templates::new(std::iter::empty::<(&str, &str)>()).unwrap();
    let page = |index: usize| {
        let sheet = sheet::sheet(&book, &season, &Advice::shipped(), index, Options::default()).unwrap();
        let document = compose_in(&sheet.tongue, "sheet.md", &sheet, &templates).unwrap();
        let options = PdfOptions { paper, ..PdfOptions::default() };
        let printed = pdf::write(std::slice::from_ref(&document), &options).unwrap();
        Page { name: format!("{} {paper:?}", book.days[index].notebook.name), sheet, printed }
    };
    (0..book.days.len()).map(page).collect()
}

pub fn demo() -> Disk {
    Disk::new(Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks"))
}

/// All texts and boxes of a file's pages, in their order.
fn solid(printed: &Printed) -> Vec<&Placed> {
    let is_solid = |placed: &&Placed| matches!(placed.what, What::Text(_) | What::WriteBox);
    printed.boxes.iter().filter(is_solid).collect()
}

fn overlap(a: Rectangle, b: Rectangle) -> bool {
    // A letter's box is taken from the typeface, so lines of one text may touch.
    let touch = 0.8;
    let is_beside = a.x + a.width <= b.x + touch || b.x + b.width <= a.x + touch;
    let is_above = a.y + a.height <= b.y + touch || b.y + b.height <= a.y + touch;
    !is_beside && !is_above
}

/// Whether one is the label in the corner of the other, a box to write in with room for both.
fn is_label(one: &Placed, other: &Placed) -> bool {
    let (text, frame) = if one.what == What::WriteBox { (other, one) } else { (one, other) };
    let fits = text.at.x >= frame.at.x && text.at.x + text.at.width <= frame.at.x + frame.at.width;
    frame.what == What::WriteBox && text.what != What::WriteBox && fits && frame.at.height > 30.0
}

/// What is misplaced on a sheet.
fn faults(page: &Page, paper: Paper) -> Vec<String> {
    placed_wrongly(&page.name, &page.printed, paper)
}

/// Boxes that leave the paper or lie on another.
fn placed_wrongly(name: &str, printed: &Printed, paper: Paper) -> Vec<String> {
    let (width, height) = paper.size();
    let margin = 12.0 * 72.0 / 25.4 - 1.5;
    let all = solid(printed);
    let mut faults = Vec::new();
    for (at, one) in all.iter().enumerate() {
        let Rectangle { x, y, width: wide, height: high } = one.at;
        if x < margin || y < margin || x + wide > width - margin || y + high > height - margin {
            faults.push(format!("{name}: out of the paper: {one:?}"));
        }
        for other in &all[at + 1..] {
            if one.page == other.page && overlap(one.at, other.at) && !is_label(one, other) {
                faults.push(format!("{name}: {one:?}\n  lies on {other:?}"));
            }
        }
    }
    faults
}

fn text(printed: &Printed) -> String {
    text_of(printed, |_| true)
}

/// The text of some pages, counted from 1.
fn text_of(printed: &Printed, is_meant: impl Fn(usize) -> bool) -> String {
    let texts =
        printed.boxes.iter().filter(|placed| is_meant(placed.page)).filter_map(|placed| match &placed.what {
            What::Text(text) => Some(text.as_str()),
            _ => None,
        });
    texts.collect::<Vec<_>>().join("\n")
}

/// Words of the sheet's settings that stay, of pressures and figures that are on the page only in parts.
fn broken_words(page: &Page) -> Vec<String> {
    let printed = text(&page.printed);
    let on_page: Vec<&str> = printed.split_whitespace().collect();
    let stay = page.sheet.to_set.lines.iter().filter(|line| line.is_kept || line.is_to_set);
    let labels = stay.map(|line| &line.label);
    let labels = labels.chain(page.sheet.pressures.iter().map(|line| &line.label));
    let labels = labels.chain(page.sheet.sags.iter().chain(&page.sheet.geometry).map(|tile| &tile.label));
    let words = labels.flat_map(|label| label.split_whitespace());
    let is_whole = |word: &str| on_page.iter().any(|on| on.contains(word)) || word.contains('-');
    words.filter(|word| !is_whole(word)).map(str::to_owned).collect()
}

/// The height of the blank between the last group and the foot's small print, as a share of the page.
fn blank(printed: &Printed, paper: Paper) -> f64 {
    let mut ends: Vec<(f64, f64)> = printed
        .boxes
        .iter()
        .filter(|placed| placed.page == 1)
        .map(|placed| (placed.at.y, placed.at.y + placed.at.height))
        .collect();
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut low, mut widest) = (0.0_f64, 0.0_f64);
    for (top, bottom) in ends {
        if low > 0.0 {
            widest = widest.max(top - low);
        }
        low = low.max(bottom);
    }
    widest / paper.size().1
}

/// The faults of a sheet that should be one page, hide nothing and show its fork.
fn not_whole(page: &Page, paper: Paper) -> Vec<String> {
    let Page { name, sheet, printed } = page;
    let mut faults = faults(page, paper);
    let mut wrong = |what: String| faults.push(format!("{name}: {what}"));
    // What it makes of the machine stands on a page behind, and so do photos.
    let behind = usize::from(sheet.stands.is_some()) + usize::from(!sheet.photos.is_empty());
    if printed.pages != 1 + behind {
        wrong(format!("{} pages, {behind} of them behind", printed.pages));
    }
    let text = text_of(printed, |at| at == 1);
    let is_count = |line: &str| {
        line.strip_prefix('+').is_some_and(|rest| rest.ends_with(&sheet.tongue.word("unchanged")))
    };
    if text.lines().any(is_count) {
        wrong("hides settings".to_owned());
    }
    for line in sheet.to_set.lines.iter().filter(|line| !line.is_air) {
        let first = line.label.split_whitespace().next().unwrap();
        if !text.contains(first) {
            wrong(format!("lacks {}", line.label));
        }
    }
    if text.contains(&sheet.tongue.word("Fork force")) != sheet.force.is_some() {
        wrong("lacks its fork".to_owned());
    }
    let broken = broken_words(page);
    if !broken.is_empty() {
        wrong(format!("breaks {broken:?}"));
    }
    let blank = blank(printed, paper);
    if blank >= 0.1 {
        wrong(format!("{blank:.3} of the page is blank"));
    }
    faults
}

#[test]
fn chambers_that_push_stand_before_those_that_pull_and_full_travel_is_nowhere() {
    let pages = pages(&demo(), Paper::A4);
    let with_air: Vec<&Page> = pages
        .iter()
        .filter(|page| page.sheet.pressures.iter().any(|line| line.setting.as_str().starts_with("chamber.")))
        .collect();
    assert!(with_air.len() > 5);
    for page in with_air {
        let settings: Vec<&str> = page.sheet.pressures.iter().map(|line| line.setting.as_str()).collect();
        assert_eq!(settings, ["tyre.front", "tyre.rear", "chamber.main", "chamber.counter"]);
        let text = text(&page.printed);
        assert!(!text.lines().any(|line| line == "full travel"), "{}", page.name);
    }
}

/// The amount by which each pressure and setting of a page may be off.
fn expanded(value: &serde_json::Value, into: &mut Vec<String>) {
    match value {
        serde_json::Value::Object(all) => {
            for (key, value) in all {
                match value.as_str() {
                    Some(text) if key == "expanded" => into.push(format!("± {text}")),
                    _ => expanded(value, into),
                }
            }
        }
        serde_json::Value::Array(all) => all.iter().for_each(|value| expanded(value, into)),
        _ => {}
    }
}

#[test]
fn what_a_number_may_be_off_by_stands_behind_it_on_paper() {
    let mut seen = 0;
    for page in pages(&demo(), Paper::A4) {
        let text = text(&page.printed);
        let mut all = Vec::new();
        for part in ["pressures", "settings"] {
            expanded(&serde_json::json!(page.sheet)[part], &mut all);
        }
        for told in &all {
            assert!(text.contains(told.as_str()), "{}: {told} is not in {text}", page.name);
        }
        seen += all.len();
    }
    assert!(seen > 20, "{seen}");
}

/// A machine with five chambers and tyres, every look open, a complaint with a change to try, and two plans.
fn fullest() -> Memory<'static> {
    let machine = "+++\nkind = \"machine\"\nname = \"Fulmar 450 of the long-distance team, spare frame\"\n+++\n\
        ```frame\nrake = \"27.3°\"\ntrail = \"117 mm\"\nwheelbase = \"1476 mm\"\nswingarm = \"588 mm\"\npivot_height = \"388 mm\"\nmass = \"112 kg\"\nfront_share = \"48 %\"\n```\n\
        ```fork\nkind = \"air\"\ntravel = \"300 mm\"\n```\n\
        ```chamber main\nside = \"positive\"\narea = \"740 mm²\"\nvolume = \"345 cm³\"\nlimit = \"180 psi\"\n```\n\
        ```chamber balance-of-the-lower-leg\nside = \"negative\"\narea = \"400 mm²\"\nvolume = \"60 cm³\"\n```\n\
        ```chamber outer\nside = \"positive\"\narea = \"300 mm²\"\nvolume = \"200 cm³\"\n```\n\
        ```shock\ntravel = \"300 mm\"\nleverage = 2.8\nspring = \"48 N/mm\"\nthread_pitch = \"1.5 mm\"\n```\n\
        ```adjusters\nfork.compression = \"24 clicks\"\nfork.rebound = \"22 clicks\"\nshock.low_compression = \"22 clicks\"\nshock.high_compression = \"2.5 turns\"\nshock.rebound = \"26 clicks\"\ndamper = \"20 clicks\"\n```\n\
        ```settings\nfork.height = \"4 mm\"\nfork.compression = \"11 clicks\"\nfork.rebound = \"12 clicks\"\nchamber.main = \"146 psi\"\nchamber.balance-of-the-lower-leg = \"136 psi\"\nchamber.outer = \"90 psi\"\nshock.spring = \"48 N/mm\"\nshock.preload = \"5 mm\"\nshock.low_compression = \"13 clicks\"\nshock.high_compression = \"1.25 turns\"\nshock.rebound = \"11 clicks\"\ntyre.front = \"13.5 psi\"\ntyre.rear = \"12 psi\"\ndrive.front = 13\ndrive.rear = 50\ndrive.links = 116\nbars.width = \"806 mm\"\nbars.rise = \"82 mm\"\nlever.reach = \"60 mm\"\nseat.height = \"950 mm\"\npegs = \"10 mm back, standard height\"\nsteering.torque = \"7 N·m\"\ndamper = \"8 clicks\"\nfuelling = \"even\"\nexhaust = \"standard\"\ntyre_name.front = \"intermediate, half worn\"\ntyre_name.rear = \"soft, new\"\nother.grips = \"10 mm inboard, grips to match\"\n```\n\
        ```settings mud\nfork.compression = \"18 clicks\"\ntyre.front = \"12.5 psi\"\ndrive.rear = 51\n```\n\
        ```settings sand\nfork.compression = \"9 clicks\"\nfork.height = \"2 mm\"\nshock.rebound = \"9 clicks\"\n```\n\
        ```checklist\nitems = [\"Spokes, both wheels, once round\", \"Valve caps back on, all chambers\"]\n```\n";
    let day = "+++\nkind = \"day\"\ndate = 2026-05-02\nmachine = \"fulmar\"\nrider = \"wren\"\ntrack = \"hill\"\n+++\n\
        ```conditions\nair = \"14 °C\"\npressure = \"1003 hPa\"\nhumidity = \"60 %\"\nbench = \"9 °C\"\nsurface = \"deep, whoops by ten\"\ntraction = \"medium\"\n```\n\
        ```sag rear\nhanging = \"598 mm\"\nalone = \"563 mm\"\naboard = \"493 mm\"\n```\n\
        ```sag front\nhanging = \"700 mm\"\nalone = \"676 mm\"\naboard = \"632 mm\"\n```\n\
        ```change\nfork.compression = \"2 clicks out\"\nbecause = \"harsh\"\n```\n\
        ```stint\nlaps = \"2:04.1 2:02.8\"\nfeel = \"headshake straight 3\"\n```\n";
    Memory::new()
        .with("fulmar.md", machine)
        .with("wren.md", "+++\nkind = \"rider\"\nname = \"Wilhelmina Fotheringay-Stubbs\"\n+++\n```rider\nmass = \"74 kg\"\nnumber = \"317\"\n```\n")
        .with("hill.md", "+++\nkind = \"track\"\nname = \"The Long Hill behind the Old Brickworks\"\n+++\n```track\nsoil = \"clay over stone\"\nelevation = \"120 m\"\n```\n")
        .with("day.md", day)
}

/// A child's machine of which almost nothing is known.
fn emptiest() -> Memory<'static> {
    Memory::new()
        .with("small.md", "+++\nkind = \"machine\"\nname = \"Small one\"\n+++\n")
        .with("kid.md", "+++\nkind = \"rider\"\nname = \"Kid\"\n+++\n")
        .with(
            "day.md",
            "+++\nkind = \"day\"\ndate = 2026-05-02\nmachine = \"small\"\nrider = \"kid\"\n+++\nFirst go.\n",
        )
}

#[test]
fn a_childs_machine_with_almost_nothing_known_is_one_whole_page() {
    let store = emptiest();
    for paper in [Paper::A4, Paper::Letter] {
        let [page] = pages(&store, paper).try_into().unwrap_or_else(|_| panic!("one day"));
        assert_eq!(page.printed.pages, 1);
        let faults = faults(&page, paper);
        assert!(faults.is_empty(), "{}", faults.join("\n"));
        assert!(blank(&page.printed, paper) < 0.1);
        let unknown = page.sheet.sags.iter().chain(&page.sheet.geometry).chain(&page.sheet.balance);
        assert!(unknown.filter(|tile| tile.reading.wanted.is_some()).count() >= 9);
    }
}

#[test]
fn a_card_has_three_boxes_for_each_reading_and_names_as_the_notebook_has_them() {
    let Compiled { book, .. } = replayed(demo());
    let templates = Templates::new(std::iter::empty::<(&str, &str)>()).unwrap();
    for machine in book.machines.values().map(|machine| Some(&**machine)).chain([None]) {
        for paper in [Paper::A4, Paper::Letter] {
            let page = card::card(&book, machine);
            let document = compose("card.md", &page, &templates).unwrap();
            let options = PdfOptions { paper, ..PdfOptions::default() };
            let printed = pdf::write(std::slice::from_ref(&document), &options).unwrap();
            assert_eq!(printed.pages, 1, "{}", page.title);
            let faults = placed_wrongly(&page.title, &printed, paper);
            assert!(faults.is_empty(), "{}", faults.join("\n"));
            let boxes = printed.boxes.iter().filter(|placed| placed.what == What::WriteBox).count();
            let wanted = 2 * 3 * 3 + 3 * (page.pressures.len() + 1) + 2 * 2;
            assert!(boxes >= wanted + 2 * (page.clickers.len() + page.settings.len()), "{boxes}");
            let text = text(&printed);
            let clickers = page.clickers.iter().map(|name| name.as_str());
            for name in page.pressures.iter().map(String::as_str).chain(clickers) {
                assert!(text.lines().any(|line| line == name), "{name} is on no line of {text}");
            }
        }
    }
}

#[test]
fn a_riders_mass_stands_on_no_page_that_others_see() {
    let Compiled { book, season, .. } = replayed(fullest());
    let about = |is_shared| {
        let options = Options { is_shared, ..Options::default() };
        let sheet = sheet::sheet(&book, &season, &Advice::shipped(), 0, options).unwrap();
        sheet.head.about.into_iter().map(|field| field.value).collect::<Vec<_>>()
    };
    assert!(about(false).contains(&"74 kg".to_owned()) && about(false).contains(&"317".to_owned()));
    assert!(!about(true).contains(&"74 kg".to_owned()) && about(true).contains(&"317".to_owned()));
}
