//! What readings come to, beside the blocks that they stand in.

use lsp_types::{InlayHint, InlayHintLabel, InlayHintTooltip, Range};

use crate::vocabulary::figures::{self, row};
use crate::vocabulary::names::{fill, opened};
use crate::vocabulary::{AnyBlock, End, settings};

use super::page::Page;

/// The hints of the blocks that begin within a range.
pub(super) fn hints(page: &Page<'_>, range: Range) -> Vec<InlayHint> {
    let Some(day) = page.book().day_of(page.file) else { return Vec::new() };
    let Some((about, replay)) = page.book().days.get(day).zip(page.compiled.season.days.get(day)) else {
        return Vec::new();
    };
    let mut hints = Vec::new();
    for point in &replay.points {
        let Some(block) = about.notebook.blocks.get(point.block) else { continue };
        let position = page.range(block.header().fence).end;
        if position.line < range.start.line || position.line > range.end.line {
            continue;
        }
        let whys = names(block).into_iter().filter_map(|name| page.why(&name, Some((day, &point.state))));
        let had: Vec<(String, String)> =
            whys.filter_map(|why| Some((label(&why.id).unwrap_or(why.label), why.shown?))).collect();
        if had.is_empty() {
            continue;
        }
        let label =
            had.iter().map(|(label, shown)| format!("{label} {shown}")).collect::<Vec<_>>().join(" · ");
        hints.push(InlayHint {
            position,
            label: InlayHintLabel::String(label),
            kind: None,
            text_edits: None,
            tooltip: Some(InlayHintTooltip::String(
                "what is read here comes to; hover over a figure span for its working".to_owned(),
            )),
            padding_left: Some(true),
            padding_right: None,
            data: None,
        });
    }
    hints
}

/// The figures that a block's readings are taken for.
fn names(block: &AnyBlock) -> Vec<String> {
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
                    read.push(&reading.name);
                }
            }
            let gates = read.iter().filter_map(|setting| at_gate(setting));
            let leaks = others.found.iter().filter_map(|reading| lost(&reading.name));
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

/// What a loss is told of: that it is one is said in its value.
fn label(figure: &str) -> Option<String> {
    let setting = settings::named(settings::CHAMBER, opened(figures::LEAK_CHAMBER, figure)?);
    settings::row(&setting).map(|row| row.label_for(&setting))
}
