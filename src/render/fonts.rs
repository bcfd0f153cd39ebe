//! The one type family: which characters it has, and how wide they are.
//!
//! Its figures all have one width, so that columns of numbers stand under each other. No kerning: what is
//! measured here is what both back ends draw.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use allsorts::binary::read::ReadScope;
use allsorts::font_data::FontData;
use allsorts::subset::{CmapTarget, SubsetProfile};
use ttf_parser::Face;

use crate::document::Weight;

const LIGHT: &[u8] = include_bytes!("../../templates/fonts/IBMPlexSans-Light.ttf");
const REGULAR: &[u8] = include_bytes!("../../templates/fonts/IBMPlexSans-Regular.ttf");
const BOLD: &[u8] = include_bytes!("../../templates/fonts/IBMPlexSans-SemiBold.ttf");
const ITALIC: &[u8] = include_bytes!("../../templates/fonts/IBMPlexSans-Italic.ttf");

/// What stands for a character that the family lacks; it has this one in every weight.
pub(super) const STAND_IN: char = '\u{FFFD}';

/// Cuts a weight down to these glyphs.
///
/// # Errors
///
/// The cutter's own words; a fault of the fonts that are part of the program.
pub(super) fn subset(
    weight: Weight,
    glyphs: impl Iterator<Item = u16>,
    profile: &SubsetProfile,
) -> Result<Vec<u8>, String> {
    let font = ReadScope::new(file(weight)).read::<FontData<'_>>().map_err(|error| error.to_string())?;
    let provider = font.table_provider(0).map_err(|error| error.to_string())?;
    // In order and with the empty glyph first, as the cutter asks.
    let glyphs: BTreeSet<u16> = std::iter::once(0).chain(glyphs).collect();
    let glyphs: Vec<u16> = glyphs.into_iter().collect();
    allsorts::subset::subset(&provider, &glyphs, profile, CmapTarget::Unicode)
        .map_err(|error| error.to_string())
}

/// The font file of a weight.
fn file(weight: Weight) -> &'static [u8] {
    match weight {
        Weight::Light => LIGHT,
        Weight::Regular => REGULAR,
        Weight::Bold => BOLD,
        Weight::Italic => ITALIC,
    }
}

/// The glyph of a character, if the family has it.
pub(super) fn glyph(weight: Weight, letter: char) -> Option<u16> {
    face(weight)?.glyph_index(letter).map(|glyph| glyph.0)
}

/// The width of a text in points.
pub(super) fn width(text: &str, size: f64, weight: Weight) -> f64 {
    let Some(face) = face(weight) else { return 0.0 };
    let units: u32 = text
        .chars()
        .filter_map(|letter| {
            let glyph = face.glyph_index(letter).or_else(|| face.glyph_index(STAND_IN))?;
            face.glyph_hor_advance(glyph).map(u32::from)
        })
        .sum();
    f64::from(units) * size / f64::from(face.units_per_em())
}

/// A font that is part of the program parses or fails its test; it is parsed once.
fn face(weight: Weight) -> Option<&'static Face<'static>> {
    static FACES: [OnceLock<Option<Face<'static>>>; 4] = [const { OnceLock::new() }; 4];
    let cell = match weight {
        Weight::Light => FACES.first(),
        Weight::Regular => FACES.get(1),
        Weight::Bold => FACES.get(2),
        Weight::Italic => FACES.get(3),
    };
    cell?.get_or_init(|| Face::parse(file(weight), 0).ok()).as_ref()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_weight_has_figures_of_one_width_and_the_scripts_of_the_riders() {
        for weight in [Weight::Light, Weight::Regular, Weight::Bold, Weight::Italic] {
            let zero = width("0", 10.0, weight);
            assert!(zero > 0.0);
            for digit in "123456789".chars() {
                assert_eq!(width(&digit.to_string(), 10.0, weight), zero, "{digit} {weight:?}");
            }
            for letter in "éőřßΩγύЖщї−±×·→≈≤≥½°µΔ✓…“”‑\u{A0}\u{202F}\u{FFFD}".chars()
            {
                assert!(glyph(weight, letter).is_some(), "{letter} {weight:?}");
            }
            assert!(glyph(weight, '漢').is_none());
        }
    }
}
