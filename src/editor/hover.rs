//! What is shown about the word under the pointer.

use std::fmt::Write;

use lsp_types::{Hover, HoverContents, MarkupContent, MarkupKind, Position};

use crate::pages::why::Why;
use crate::quantity::show;
use crate::season::HeldValue;
use crate::source::Span;
use crate::vocabulary::{Named, Setting, lookup};

use super::page::Page;
use super::words::{self, KeyOf};

/// The most readings shown of a figure's working: the whole of it is what `loambook why` prints.
const MOST_INPUTS: usize = 6;

/// What is shown at a position; `None` where there is nothing.
pub(super) fn hover(page: &Page<'_>, position: Position) -> Option<Hover> {
    let offset = page.offset(position);
    let (text, span) =
        of_mention(page, offset).or_else(|| of_word(page, offset)).or_else(|| of_key(page, offset))?;
    // A range must contain the position, and that of a key is not known: the editor then takes the word there.
    let is_around = span.start <= offset && offset <= span.end;
    Some(Hover {
        contents: HoverContents::Markup(MarkupContent { kind: MarkupKind::Markdown, value: text }),
        range: is_around.then(|| page.range(span)),
    })
}

/// A figure span: the figure's value there, and its working.
fn of_mention(page: &Page<'_>, offset: u32) -> Option<(String, Span)> {
    let mention = page.mention(offset)?;
    let (asked, place) = page.asks(mention);
    let place = place.as_ref().map(|(day, state)| (*day, state));
    let name = lookup(asked.name)?;
    let of_name = || words::of_name(name, &page.units());
    let text = match name {
        Named::Figure(figure) => page.why(figure, place).map_or_else(of_name, |why| told(&why)),
        Named::Setting(setting) => {
            let held = place.map(|(_, state)| in_force(page, setting, state));
            of_name() + &held.unwrap_or_default()
        }
        Named::Reading(_) => of_name(),
    };
    Some((text, mention.span))
}

/// A figure's working in a few lines.
fn told(why: &Why) -> String {
    let mut text = format!("**{}**  `{}`\n", why.label, why.id);
    match (&why.shown, &why.missing) {
        (Some(shown), _) => {
            let _ = write!(text, "\n{shown}\n");
        }
        (None, Some(missing)) if why.is_wanted => {
            let _ = write!(text, "\nwanted: {missing}\n");
        }
        (None, missing) => {
            let _ = write!(text, "\n{}\n", missing.as_deref().unwrap_or("cannot be had"));
        }
    }
    let _ = write!(text, "\n{}\n\n", why.formula);
    for input in why.inputs.iter().take(MOST_INPUTS) {
        let _ = writeln!(text, "- {}: `{}` ({})", input.name, input.written, input.place);
    }
    if why.inputs.len() > MOST_INPUTS {
        let _ = writeln!(text, "- and {} more", why.inputs.len() - MOST_INPUTS);
    }
    for assumed in &why.assumed {
        let _ = writeln!(text, "- assumed: {assumed}");
    }
    if let Some(improve) = &why.improve {
        let _ = write!(text, "\nTo know it better: {improve}\n");
    }
    text
}

/// The word on a block's fence.
fn of_word(page: &Page<'_>, offset: u32) -> Option<(String, Span)> {
    let blocks = &page.notebook()?.document.blocks;
    let on = |span: Span| span.start <= offset && offset <= span.end;
    let block = blocks.iter().find(|block| on(block.fence))?;
    let spec = words::table(Some(block), page.path)?;
    Some((words::of_block(spec), block.word_span))
}

/// A key of a block, of a head or of `book.toml`; for a setting, also what holds above.
fn of_key(page: &Page<'_>, offset: u32) -> Option<(String, Span)> {
    let spot = page.compiled.spot(page.path, offset)?;
    let (key, value) = (spot.key?, spot.value?);
    let spec = words::table(spot.block, page.path)?;
    let of = words::key_of(spec, &key)?;
    let mut text = words::of_key(&key, &of, &page.units());
    if let (KeyOf::Named { name: Named::Setting(name), part: None }, Some(block)) = (&of, spot.block)
        && let Some(state) = page.compiled.state(page.path, block.span.start)
    {
        text.push_str(&in_force(page, *name, state));
    }
    Some((text, value))
}

/// The value of a setting, and where it was written.
fn in_force(page: &Page<'_>, name: Setting, state: &crate::season::State) -> String {
    match state.setting(name) {
        Some(held) => {
            let shown = match &held.value {
                HeldValue::Quantity(quantity) => show(quantity, &page.units()).to_string(),
                HeldValue::Word(word) => word.clone(),
            };
            format!("\nUp to here: {shown}, since {}\n", page.told(held.span))
        }
        None => String::new(),
    }
}
