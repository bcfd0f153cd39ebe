//! Photos: from bytes to what the page holds.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use printpdf::RawImage;

use super::super::Images;

/// Beyond this a photo is refused: it would take more memory than a page is worth.
const MOST_BYTES: usize = 32 << 20;

/// The photos that were handed in, each decoded when it is first asked for.
pub(super) struct Photos<'p> {
    images: &'p Images,
    decoded: RefCell<BTreeMap<String, Option<RawImage>>>,
}

impl<'p> Photos<'p> {
    pub fn new(images: &'p Images) -> Self {
        Self { images, decoded: RefCell::new(BTreeMap::new()) }
    }

    /// Width and height in pixels; `None` for a photo that is not there or cannot be read.
    pub fn size(&self, target: &str) -> Option<(f64, f64)> {
        let mut decoded = self.decoded.borrow_mut();
        if !decoded.contains_key(target) {
            let image = self.images.get(target).filter(|bytes| bytes.len() <= MOST_BYTES);
            let raw = image.and_then(|bytes| RawImage::decode_from_bytes(bytes, &mut Vec::new()).ok());
            decoded.insert(target.to_owned(), raw.filter(|raw| raw.width > 0 && raw.height > 0));
        }
        let raw = decoded.get(target)?.as_ref()?;
        Some((raw.width as f64, raw.height as f64))
    }

    /// The photos that were used, by name.
    pub fn used(self, names: &BTreeSet<String>) -> BTreeMap<String, RawImage> {
        let all = self.decoded.into_inner();
        all.into_iter()
            .filter_map(|(name, raw)| Some((name, raw?)))
            .filter(|(name, _)| names.contains(name))
            .collect()
    }
}
