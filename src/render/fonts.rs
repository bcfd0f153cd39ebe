//! The one type family: which characters it has, and how wide they are.
//!
//! All its digits have one width, so that numbers line up in columns. There is no kerning: what is measured
//! here is what both back ends draw.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use allsorts::binary::read::ReadScope;
use allsorts::error::ParseError;
use allsorts::font::read_cmap_subtable;
use allsorts::font_data::FontData;
use allsorts::subset::{CmapTarget, SubsetProfile};
use allsorts::tables::cmap::Cmap;
use allsorts::tables::{FontTableProvider, HeadTable, HheaTable, HmtxTable, MaxpTable};
use allsorts::tag;

use crate::document::Weight;

const LIGHT: &[u8] = include_bytes!("../../templates/fonts/IBMPlexSans-Light.ttf");
const REGULAR: &[u8] = include_bytes!("../../templates/fonts/IBMPlexSans-Regular.ttf");
const BOLD: &[u8] = include_bytes!("../../templates/fonts/IBMPlexSans-SemiBold.ttf");
const ITALIC: &[u8] = include_bytes!("../../templates/fonts/IBMPlexSans-Italic.ttf");

/// Printed in place of a character that the family lacks; every weight has it.
pub(super) const STAND_IN: char = '\u{FFFD}';

/// Reduces a weight to these glyphs.
///
/// # Errors
///
/// The cutter's own message, about a fault in the fonts of the program.
pub(super) fn subset(
    weight: Weight,
    glyphs: impl Iterator<Item = u16>,
    profile: &SubsetProfile,
) -> Result<Vec<u8>, String> {
    let font = ReadScope::new(file(weight)).read::<FontData<'_>>().map_err(|error| error.to_string())?;
    let provider = font.table_provider(0).map_err(|error| error.to_string())?;
    // Sorted, and with the empty glyph first, as the cutter requires.
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

/// The glyph of a character, if the family has one.
pub(super) fn glyph(weight: Weight, letter: char) -> Option<u16> {
    face(weight)?.letter(letter).map(|letter| letter.glyph)
}

/// The width of a text in points.
pub(super) fn width(text: &str, size: f64, weight: Weight) -> f64 {
    let Some(face) = face(weight) else { return 0.0 };
    let units: u32 = text
        .chars()
        .filter_map(|letter| face.letter(letter).or_else(|| face.letter(STAND_IN)))
        .map(|letter| u32::from(letter.advance))
        .sum();
    f64::from(units) * size / face.units_per_em
}

/// What a weight has for one character.
#[derive(Debug, Clone, Copy)]
struct Letter {
    glyph: u16,
    /// In the font's own units.
    advance: u16,
}

/// A weight's characters, read once: layout asks for every letter of a page many times.
struct Face {
    units_per_em: f64,
    /// By code point, for the scripts of nearly every page.
    near: Vec<Option<Letter>>,
    far: BTreeMap<u32, Letter>,
}

/// Basic Latin to Latin Extended-A.
const NEAR: usize = 0x180;

impl Face {
    fn read(file: &[u8]) -> Result<Self, ParseError> {
        let font = ReadScope::new(file).read::<FontData<'_>>()?;
        let provider = font.table_provider(0).map_err(|_| ParseError::MissingValue)?;
        let head = provider.read_table_data(tag::HEAD)?;
        let head = ReadScope::new(&head).read::<HeadTable>()?;
        let maxp = provider.read_table_data(tag::MAXP)?;
        let maxp = ReadScope::new(&maxp).read::<MaxpTable>()?;
        let hhea = provider.read_table_data(tag::HHEA)?;
        let hhea = ReadScope::new(&hhea).read::<HheaTable>()?;
        let hmtx = provider.read_table_data(tag::HMTX)?;
        let counts = (usize::from(maxp.num_glyphs), usize::from(hhea.num_h_metrics));
        let hmtx = ReadScope::new(&hmtx).read_dep::<HmtxTable<'_>>(counts)?;
        let cmap = provider.read_table_data(tag::CMAP)?;
        let cmap = ReadScope::new(&cmap).read::<Cmap<'_>>()?;
        let (_, characters) = read_cmap_subtable(&cmap)?.ok_or(ParseError::MissingValue)?;

        let mut near = vec![None; NEAR];
        let mut far = BTreeMap::new();
        characters.mappings_fn(|code, glyph| {
            let Ok(advance) = hmtx.horizontal_advance(glyph) else { return };
            // Glyph 0 is the box for missing characters.
            let letter = (glyph != 0).then_some(Letter { glyph, advance });
            match (near.get_mut(code as usize), letter) {
                (Some(place), letter) => *place = letter,
                (None, Some(letter)) => drop(far.insert(code, letter)),
                (None, None) => {}
            }
        })?;
        Ok(Self { units_per_em: f64::from(head.units_per_em), near, far })
    }

    fn letter(&self, letter: char) -> Option<Letter> {
        let code = u32::from(letter);
        match self.near.get(code as usize) {
            Some(near) => *near,
            None => self.far.get(&code).copied(),
        }
    }
}

/// A font of the program can be read, or its test fails; it is read once.
fn face(weight: Weight) -> Option<&'static Face> {
    static FACES: [OnceLock<Option<Face>>; 4] = [const { OnceLock::new() }; 4];
    let cell = match weight {
        Weight::Light => FACES.first(),
        Weight::Regular => FACES.get(1),
        Weight::Bold => FACES.get(2),
        Weight::Italic => FACES.get(3),
    };
    cell?.get_or_init(|| Face::read(file(weight)).ok()).as_ref()
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
