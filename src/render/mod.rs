//! Trees, charts and findings into PDF, HTML and text: the only room that knows fonts and colours.
//!
//! Nothing here decides what is said; a back end decides where it goes. Nothing here opens a file: photos come
//! in as bytes, by their names in the notebook.

#[cfg(not(target_family = "wasm"))]
pub mod calendar;
pub mod csv;
mod decimal;
pub mod findings;
#[cfg(not(target_family = "wasm"))]
mod fonts;
#[cfg(not(target_family = "wasm"))]
pub mod html;
#[cfg(not(target_family = "wasm"))]
pub mod mark;
#[cfg(feature = "parquet")]
pub mod parquet;
pub mod patch;
#[cfg(not(target_family = "wasm"))]
pub mod pdf;
#[cfg(not(target_family = "wasm"))]
pub mod pocket;
pub mod terminal;

use std::collections::BTreeMap;

/// Photos by their names in the notebook: PNG or JPEG.
pub type Images = BTreeMap<String, Vec<u8>>;

/// A sheet of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    #[default]
    A4,
    Letter,
}

impl Paper {
    /// Width and height in points.
    pub fn size(self) -> (f64, f64) {
        match self {
            // ISO 216: 210 mm by 297 mm.
            Self::A4 => (210.0 * POINTS, 297.0 * POINTS),
            // ANSI/ASME Y14.1, size A: 8.5 in by 11 in.
            Self::Letter => (612.0, 792.0),
        }
    }
}

/// Points in a millimetre: 72 in an inch of 25.4 mm.
const POINTS: f64 = 72.0 / 25.4;
