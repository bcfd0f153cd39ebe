//! Facts of the trade against the demo book's full-size machine. Common practice, no source.

use std::sync::Arc;

use loambook::book::Book;
use loambook::source::Disk;
use loambook::vocabulary::blocks::BandBlock;
use loambook::vocabulary::values::{Band, IntervalLength};

use crate::books::replayed;
use crate::reference::case::{self, Case, Outputs};

fn demo() -> Arc<Book> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks");
    replayed(Disk::new(folder)).book
}

fn cases(computation: &str) -> Vec<Case> {
    let all = case::files().into_iter().flat_map(|file| case::read(&file));
    let found: Vec<Case> = all.filter(|case| case.computation == computation).collect();
    assert!(!found.is_empty(), "no case of {computation}");
    found
}

fn band<'b>(book: &'b Book, figure: &str) -> &'b Band {
    let mut bands = book.machines["corrie-450"].all::<BandBlock>().flat_map(|block| &block.others.bands);
    bands.rfind(|band| band.name.as_str() == figure).unwrap()
}

#[test]
fn the_rider_sag_has_the_trades_aim() {
    let book = demo();
    for case in cases("band") {
        let band = band(&book, case.inputs.text("figure"));
        let (aim, within) = (band.aim.unwrap().value(), band.within.unwrap());
        // The aim must lie within the case's two ends: an aim within them is reported as the end itself.
        let outputs = Outputs::new().number("lowest", aim.min(0.095)).number("highest", aim.max(0.110));
        let faults = case.faults(&outputs);
        assert!(faults.is_empty(), "{aim} m: {}", faults.join("\n"));
        assert!(within.low.unwrap().value < aim && aim < within.high.unwrap().value);
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
        // The interval must lie within the case's two ends: an interval within them is reported as the end
        // itself.
        let low =
            Outputs::new().number("earliest_days", days.min(30.0)).number("latest_days", days.max(60.0));
        let faults = case.faults(&low);
        assert!(faults.is_empty(), "{days} days: {}", faults.join("\n"));
    }
}
