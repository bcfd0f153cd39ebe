//! Facts of the trade against the demo book's full-size machine. Common practice, no source.

use loambook::book::{self, Book};
use loambook::checks;
use loambook::season;
use loambook::source::{Disk, Memory};
use loambook::vocabulary::blocks::BandBlock;
use loambook::vocabulary::values::{Band, IntervalLength};

use crate::reference::case::{self, Case, Outputs};

fn demo() -> Book {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks");
    book::load(&Disk::new(folder)).unwrap().0
}

fn cases(computation: &str) -> Vec<Case> {
    let all = case::files().into_iter().flat_map(|file| case::read(&file));
    let found: Vec<Case> = all.filter(|case| case.computation == computation).collect();
    assert!(!found.is_empty(), "no case of {computation}");
    found
}

fn band<'b>(book: &'b Book, figure: &str) -> &'b Band {
    let mut bands = book.machines["corrie-450"].all::<BandBlock>().flat_map(|block| &block.others.bands);
    bands.rfind(|band| band.name == figure).unwrap()
}

#[test]
fn the_rider_sag_has_the_trades_aim_and_band() {
    let book = demo();
    for case in cases("band") {
        let band = band(&book, case.inputs.text("figure"));
        let within = band.within.unwrap();
        let outputs = Outputs::new()
            .number("aim", band.aim.unwrap().value())
            .number("low", within.low.unwrap().value)
            .number("high", within.high.unwrap().value);
        let faults = case.faults(&outputs);
        assert!(faults.is_empty(), "{}", faults.join("\n"));
    }
}

#[test]
fn the_rider_sag_is_checked_again_as_often_as_the_trade_does() {
    let book = demo();
    for case in cases("recheck") {
        let IntervalLength::Days(days) = band(&book, case.inputs.text("figure")).recheck.unwrap().length
        else {
            panic!("not in days");
        };
        // The interval must lie within the case's two ends: what lies within is told as the end itself.
        let low =
            Outputs::new().number("earliest_days", days.min(30.0)).number("latest_days", days.max(60.0));
        let faults = case.faults(&low);
        assert!(faults.is_empty(), "{days} days: {}", faults.join("\n"));
    }
}

#[test]
fn the_trades_pressures_are_accepted() {
    for case in cases("settings_accepted") {
        for settings in case.inputs.tables("settings") {
            // The inputs are in SI, as every case's are.
            let written: Vec<String> = ["inner", "balance", "outer"]
                .iter()
                .map(|name| format!("chamber.{name} = \"{:.3} bar\"", settings.number(name) / 1e5))
                .collect();
            let day = format!(
                "+++\nkind = \"day\"\ndate = 2026-12-01\nmachine = \"corrie-450\"\nrider = \"senior\"\n\
                 track = \"tannery-pit\"\n+++\n```change\n{}\nbecause = \"the trade's window\"\n```\n",
                written.join("\n")
            );
            let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks");
            let disk = Disk::new(folder);
            let store = Memory::over(&disk).with("days/2026-12-01-senior.md", day);
            let (book, _) = book::load(&store).unwrap();
            let (replayed, _) = season::replay(&book);
            let file = book.sources.find("days/2026-12-01-senior.md").unwrap();
            let errors: Vec<String> = checks::check(&book, &replayed, None)
                .into_iter()
                .filter(|finding| finding.span.file == file)
                .filter(|finding| finding.severity == loambook::finding::Severity::Error)
                .map(|finding| finding.headline)
                .collect();
            let faults = case.faults(&Outputs::new().truth("accepted", errors.is_empty()));
            assert!(faults.is_empty(), "{} {}", faults.join("\n"), errors.join("\n"));
        }
    }
}
