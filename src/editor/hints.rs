//! The figures that readings give, beside their blocks.

use lsp_types::{InlayHint, InlayHintLabel, InlayHintTooltip, Range};

use crate::pages::made;

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
        let whys =
            made::names(block).into_iter().filter_map(|name| page.why(name, Some((day, &point.state))));
        let had: Vec<(String, String)> = whys
            .filter_map(|why| {
                Some((made::label(why.id).map_or(why.label, |label| why.tongue.say(&label)), why.shown?))
            })
            .collect();
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
