//! Rows of columns stand under each other, and no column is narrower than its longest word.

use loambook::render::html::{self, HtmlOptions};

use super::others::{documents, printed};
use super::*;

/// So many rows of four columns, the second with long lines in every other row.
fn rows(count: usize, words: usize, pages: &str) -> String {
    let row =
        |at: usize| {
            let long = "shock low-speed compression 11 clicks (1 click in) "
                .repeat(if at.is_multiple_of(2) { words } else { 1 });
            format!(
                "`````layout columns 2 9 8 5\n**{at}-first**\n\n2026-04-{:02}\n\n---\n\n{long}\n\n---\n\n\
             front tyre: 0.83 bar\n\n---\n\n`fork.compression`\n`````\n\n",
                at % 28 + 1
            )
        };
    let all: String = (0..count).map(row).collect();
    format!("+++\ntitle = \"Rows\"\nfoot = \"rows\"\n{pages}\n+++\n\n{all}")
}

fn laid(text: &str, paper: Paper) -> Printed {
    let templates = Templates::new([("rows.md", text)]).unwrap();
    printed(&compose("rows.md", &serde_json::json!({}), &templates).unwrap(), paper)
}

/// Where the columns of a page begin: the places at which a text stands whose words begin so.
fn begins(printed: &Printed, words: &str) -> Vec<f64> {
    let is_it = |placed: &&Placed| matches!(&placed.what, What::Text(text) if text.starts_with(words));
    printed.boxes.iter().filter(is_it).map(|placed| placed.at.x).collect()
}

#[test]
fn rows_of_one_kind_stand_under_each_other_on_a_full_page() {
    let mut narrower = 0;
    for (count, words) in (4..14).flat_map(|count| (1..8).map(move |words| (count, words))) {
        for paper in [Paper::A4, Paper::Letter] {
            let printed = laid(&rows(count, words, "pages = 1"), paper);
            for begin in ["shock", "front", "fork"] {
                let at = begins(&printed, begin);
                assert!(at.len() >= count);
                let first = at.iter().copied().fold(f64::INFINITY, f64::min);
                let under: Vec<f64> = at.iter().copied().filter(|x| (x - first).abs() < 0.01).collect();
                // A long text's later lines begin there too, and none is beside.
                assert!(
                    under.len() >= count && at.iter().all(|x| (x - first).abs() < 0.01),
                    "{begin}: {at:?}"
                );
            }
            assert_eq!(printed.broken, 0, "{count} rows of {words}, {paper:?}");
            narrower += usize::from(printed.pages == 1);
        }
    }
    // Some fit a page, and some do not.
    assert!(narrower > 20, "{narrower}");
}

#[test]
fn a_column_is_as_wide_as_its_longest_word() {
    // By its weight it would have 18 points.
    for words in
        ["2026-04-19", "**2026-04-19**", "###### 2026-04-19", "- 2026-04-19", "> 2026-04-19", "1. 2026-04-19"]
    {
        let text = format!(
            "+++\ntitle = \"Narrow\"\nfoot = \"narrow\"\n+++\n\n```layout columns 1 30\n{words}\n\n---\n\nLong enough.\n```\n"
        );
        assert_eq!(laid(&text, Paper::A4).broken, 0, "{words}");
    }
}

#[test]
fn a_number_is_not_parted_from_its_unit_nor_a_unit_at_its_stroke() {
    // From where every number has room beside its unit.
    for width in 6..40 {
        let text = format!(
            "+++\ntitle = \"Units\"\nfoot = \"units\"\n+++\n\n```layout columns {width} 30\nshock spring 38 N/mm (+4 N/mm), \
             rebound 13 clicks, 1.80 ± 0.01 Hz, sag, front : rear, 85 m\n\n---\n\n.\n```\n"
        );
        let printed = laid(&text, Paper::A4);
        let lines = super::text(&printed);
        for line in lines.lines() {
            let ends = ["38", "+4", "(+4", "13", "±", "1.80", "85", "N/"];
            assert!(
                !ends.iter().any(|end| line.ends_with(end)) && !line.starts_with(':') && !line.ends_with(':'),
                "{width}: {lines}"
            );
        }
    }
}

#[test]
fn no_word_or_number_is_broken_on_any_page() {
    let all = [documents(&demo()), documents(&fullest()), super::tools::documents(demo())];
    for (name, document) in all.into_iter().flatten() {
        for paper in [Paper::A4, Paper::Letter] {
            assert_eq!(printed(&document, paper).broken, 0, "{name}, {paper:?}");
        }
    }
}

/// A team of so many riders on machines of the demo, each with changes and pressures for a cold van.
fn team(riders: usize) -> Memory<'static> {
    let names =
        ["Ansgar", "Birte Holm", "Cleo", "Dario Pell", "Edda", "Frieder Osk", "Gala Winther", "Hanno"];
    let changes = [
        (
            "skerry-125",
            "fork.compression = \"1 click in\"\nfork.rebound = \"2 clicks out\"\nshock.preload = \"-1 mm\"\n",
        ),
        (
            "corrie-450",
            "fork.compression = \"2 clicks out\"\nfork.height = \"1 mm up\"\ntyre.front = \"+0.5 psi\"\n",
        ),
        ("braid-300", "fork.compression = \"1 click out\"\nfork.rebound = \"1 click in\"\n"),
    ];
    let feels = ["harsh small-bumps 3", "packs braking 2", "pushes mid-corner 3"];
    let demo = demo();
    let text = |path: &str| String::from_utf8(demo.read(path, 1 << 20).unwrap()).unwrap();
    let mut store = Memory::new().with("tracks/tannery-pit.md", text("tracks/tannery-pit.md"));
    for (rider, name) in names.iter().enumerate().take(riders) {
        let (machine, change) = changes[rider % 3];
        let own = format!("{machine}-{rider}");
        let day = |date: &str, air: &str, what: &str| {
            format!(
                "+++\nkind = \"day\"\ndate = {date}\nmachine = \"{own}\"\nrider = \"r{rider}\"\ntrack = \"tannery-pit\"\n+++\n\
                 ```conditions\n{air}\n```\n{what}"
            )
        };
        let stint = format!("```stint\nlaps = \"2:10.1 2:09.5\"\nfeel = \"{}\"\n```\n", feels[rider % 3]);
        let change = format!("```change\n{change}because = \"after Saturday\"\n```\n");
        store = store
            .with(format!("machines/{own}.md"), text(&format!("machines/{machine}.md")))
            .with(
                format!("riders/r{rider}.md"),
                format!("+++\nkind = \"rider\"\nname = \"{name}\"\n+++\n```rider\nmass = \"70 kg\"\n```\n"),
            )
            .with(format!("days/2026-05-09-r{rider}.md"), day("2026-05-09", "air = \"14 °C\"", &stint))
            .with(
                format!("days/2026-05-16-r{rider}.md"),
                day("2026-05-16", "air = \"21 °C\"\nbench = \"9 °C\"", &change),
            );
    }
    store
}

#[test]
fn a_team_has_one_page_for_the_van() {
    // Words are longer in German and Spanish.
    for (tag, riders) in [("en", 8), ("de", 7), ("es", 6)] {
        let team = team(riders);
        let store = Memory::over(&team).with("book.toml", format!("language = \"{tag}\"\n"));
        let roster = documents(&store).into_iter().find(|(name, _)| name == "roster 2026-05-16").unwrap();
        let page = printed(&roster.1, Paper::A4);
        assert_eq!(page.pages, 1, "{tag}");
        assert_eq!(page.broken, 0, "{tag}");
        assert!(placed_wrongly(tag, &page, Paper::A4).is_empty());
        let text = super::text(&page);
        assert!(["Ansgar", "Osk"].iter().all(|name| text.contains(name)), "{tag}: {text}");
    }
}

#[test]
fn a_browser_breaks_no_date_and_a_telephone_shows_every_box_of_a_card() {
    let text = "+++\ntitle = \"Dates\"\n+++\n\nBraid 300, 2026-10-17, and `days/2026-10-17-senior.md`, two-stroke, 14-22.\n\n\
        ```layout pressures\nheadings = [\"sag front\", \"1\", \"2\"]\n[[row]]\nname = \"hanging\"\n[[row.cell]]\nwanted = \" \"\n```\n";
    let templates = Templates::new([("dates.md", text)]).unwrap();
    let document = compose("dates.md", &serde_json::json!({}), &templates).unwrap();
    let page = html::write(&document, &HtmlOptions::default());
    for whole in ["2026-10-17", "14-22"] {
        assert!(page.contains(&format!("<span class=\"word\">{whole}</span>")), "{page}");
    }
    // What is copied stays as it is.
    assert!(page.contains("<code>days/2026-10-17-senior.md</code>") && page.contains("two-stroke"), "{page}");
    assert!(page.contains(".word { white-space: nowrap; }"));
    assert!(
        page.contains("<table class=\"pressures form\">")
            && page.contains("<td class=\"ridden\" data-name=\"2\">")
    );
    let sheet = &pages(&demo(), Paper::A4)[0].sheet;
    let document = compose_in(&sheet.tongue, "sheet.md", sheet, &super::others::templates()).unwrap();
    assert!(html::write(&document, &HtmlOptions::default()).contains("<table class=\"pressures\">"));
}
