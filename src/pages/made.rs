//! The figures from a block's readings, shown beside it.

use crate::speech::Message;
use crate::vocabulary::figures::{self, row};
use crate::vocabulary::names::{fill, opened};
use crate::vocabulary::{AnyBlock, End, settings};

/// The figures that a block's readings are taken for.
pub fn names(block: &AnyBlock) -> Vec<String> {
    let of_end = |patterns: &[&str], end: End| patterns.iter().map(|name| fill(name, end.word())).collect();
    match block {
        AnyBlock::Sag(sag) => {
            const OF_SAG: [&str; 3] = [figures::SAG_STATIC, figures::SAG_RIDER, figures::SPRING_COLLAR_TURNS];
            sag.header.end().map(|end| of_end(&OF_SAG, end)).unwrap_or_default()
        }
        AnyBlock::Pressures(pressures) => {
            let others = &pressures.others;
            let mut read: Vec<&str> = Vec::new();
            for reading in others.found.iter().chain(&others.pressures) {
                if !read.contains(&reading.name.as_str()) {
                    read.push(reading.name.as_str());
                }
            }
            let gates = read.iter().filter_map(|setting| at_gate(setting));
            let leaks = others.found.iter().filter_map(|reading| lost(reading.name.as_str()));
            gates.chain(leaks).collect()
        }
        AnyBlock::Conditions(_) => {
            vec![figures::AIR_RELATIVE_DENSITY.to_owned(), figures::AIR_DENSITY_ALTITUDE.to_owned()]
        }
        AnyBlock::Steering(_) => vec![figures::STEERING_BREAKAWAY.to_owned()],
        AnyBlock::Stint(stint) if stint.laps.is_some() => {
            vec![
                figures::LAPS_BEST.to_owned(),
                figures::LAPS_MEDIAN.to_owned(),
                figures::LAPS_SPREAD.to_owned(),
            ]
        }
        _ => Vec::new(),
    }
}

/// The figure of what is in a chamber or tyre at the track.
fn at_gate(setting: &str) -> Option<String> {
    let patterns = [(settings::CHAMBER, figures::GATE_CHAMBER), (settings::TYRE, figures::GATE_TYRE)];
    patterns.into_iter().find_map(|(setting_of, figure)| {
        let open = opened(setting_of, setting)?;
        Some(fill(figure, open)).filter(|name| row(name).is_some())
    })
}

/// The figure of what a chamber lost.
fn lost(setting: &str) -> Option<String> {
    let open = opened(settings::CHAMBER, setting)?;
    Some(fill(figures::LEAK_CHAMBER, open))
}

/// The label of a loss beside its block: its value already says that it is one.
pub fn label(figure: &str) -> Option<Message> {
    let setting = settings::named(settings::CHAMBER, opened(figures::LEAK_CHAMBER, figure)?);
    settings::row(&setting).map(|row| row.label_for(&setting))
}
