//! Photos: from their bytes to what the file holds.
//!
//! A JPEG goes into the file as it is; every reader decodes it. A PNG is decoded, put on white paper and scaled
//! down to what print needs. A photo that is too large is found by its head, before anything is decoded.

use std::cell::RefCell;
use std::collections::BTreeMap;

use printpdf::DictItem;

use crate::source::limits;

use super::super::{Images, POINTS};

mod jpeg;
mod png;

/// Dots an inch beyond which the eye sees no difference on paper; common practice, no source.
const DOTS: f64 = 300.0;

/// What a photo's head gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Head {
    /// In pixels, as stored.
    across: u32,
    down: u32,
    turn: Turn,
    format: Format,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Format {
    Jpeg { colours: Colours, is_inverted: bool },
    Png,
}

/// The colours of a pixel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Colours {
    Grey,
    Rgb,
    Cmyk,
}

impl Colours {
    /// The name of the colour space, ISO 32000-1, 8.6.4.
    fn name(self) -> &'static str {
        match self {
            Self::Grey => "DeviceGray",
            Self::Rgb => "DeviceRGB",
            Self::Cmyk => "DeviceCMYK",
        }
    }

    fn count(self) -> usize {
        match self {
            Self::Grey => 1,
            Self::Rgb => 3,
            Self::Cmyk => 4,
        }
    }
}

/// How the camera was held: which side of the stored picture is up, by the numbers of Exif (JEITA CP-3451,
/// `Orientation`, 1 to 8).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Turn(u8);

impl Turn {
    const NONE: Self = Self(1);

    fn is_sideways(self) -> bool {
        self.0 >= 5
    }

    /// The matrix that puts the stored picture, a unit square, into a rectangle whose lower left corner is at x, y.
    fn matrix(self, x: f64, y: f64, width: f64, height: f64) -> [f64; 6] {
        let (w, h) = (width, height);
        match self.0 {
            2 => [-w, 0.0, 0.0, h, x + w, y],
            3 => [-w, 0.0, 0.0, -h, x + w, y + h],
            4 => [w, 0.0, 0.0, -h, x, y + h],
            5 => [0.0, -h, -w, 0.0, x + w, y + h],
            6 => [0.0, -h, w, 0.0, x, y + h],
            7 => [0.0, h, w, 0.0, x, y],
            8 => [0.0, h, -w, 0.0, x + w, y],
            _ => [w, 0.0, 0.0, h, x, y],
        }
    }
}

/// A photo in the file: compressed pixels, or a JPEG as it came.
pub(super) struct Stored {
    across: u32,
    down: u32,
    turn: Turn,
    colours: Colours,
    /// A JPEG whose inks are stored inverted.
    is_inverted: bool,
    is_jpeg: bool,
    pub bytes: Vec<u8>,
}

impl Stored {
    /// The matrix for a rectangle with its lower left corner at x, y.
    pub fn matrix(&self, x: f64, y: f64, width: f64, height: f64) -> [f64; 6] {
        self.turn.matrix(x, y, width, height)
    }

    /// The picture's dictionary in the file, ISO 32000-1, 8.9.5; `name` is what pages call it.
    pub fn dictionary(&self, name: &str) -> BTreeMap<String, DictItem> {
        let word = |name: &str| DictItem::Name(name.as_bytes().to_vec());
        let number = |number: u32| DictItem::Int(i64::from(number));
        let count = self.colours.count();
        let mut entries = vec![
            ("Type", word("XObject")),
            ("Subtype", word("Image")),
            ("Name", word(name)),
            ("Width", number(self.across)),
            ("Height", number(self.down)),
            ("ColorSpace", word(self.colours.name())),
            ("BitsPerComponent", number(8)),
        ];
        if self.is_jpeg {
            entries.push(("Filter", word("DCTDecode")));
        } else {
            entries.push(("Filter", word("FlateDecode")));
            // Each row says how it was filtered, as in a PNG: ISO 32000-1, 7.4.4.4.
            let colours = u32::try_from(count).unwrap_or(1);
            let of_rows = [
                ("Predictor", number(15)),
                ("Colors", number(colours)),
                ("BitsPerComponent", number(8)),
                ("Columns", number(self.across)),
            ];
            let map = of_rows.map(|(key, value)| (key.to_owned(), value)).into();
            entries.push(("DecodeParms", DictItem::Dict { map }));
        }
        if self.is_inverted {
            let inks = [1, 0].repeat(count).into_iter().map(DictItem::Int).collect();
            entries.push(("Decode", DictItem::Array(inks)));
        }
        entries.into_iter().map(|(key, value)| (key.to_owned(), value)).collect()
    }
}

/// The photos that were given, each read when it is first asked for.
pub(super) struct Photos<'p> {
    images: &'p Images,
    heads: RefCell<BTreeMap<String, Result<Head, String>>>,
    /// How many pixels there are to decode so far.
    to_decode: RefCell<u64>,
}

impl<'p> Photos<'p> {
    pub fn new(images: &'p Images) -> Self {
        Self { images, heads: RefCell::new(BTreeMap::new()), to_decode: RefCell::new(0) }
    }

    /// Width and height in pixels, the right side up; `None` for a photo that is missing or cannot be printed.
    pub fn size(&self, target: &str) -> Option<(f64, f64)> {
        let head = self.head(target).ok()?;
        let (across, down) = (f64::from(head.across), f64::from(head.down));
        Some(if head.turn.is_sideways() { (down, across) } else { (across, down) })
    }

    /// Why a photo cannot be printed; `None` where it can.
    pub fn fault(&self, target: &str) -> Option<String> {
        self.head(target).err()
    }

    fn head(&self, target: &str) -> Result<Head, String> {
        if let Some(known) = self.heads.borrow().get(target) {
            return known.clone();
        }
        let read = self.images.get(target).ok_or_else(|| "it is not there".to_owned());
        let head = read.and_then(|bytes| head(bytes)).and_then(|head| {
            let pixels = u64::from(head.across) * u64::from(head.down);
            if head.format != Format::Png {
                return Ok(head);
            }
            let mut so_far = self.to_decode.borrow_mut();
            if *so_far + pixels > limits::DECODED_PIXELS {
                return Err(format!(
                    "with it the document's PNG photos have {} pixels, and {} is the most; save it smaller, or as JPEG",
                    *so_far + pixels,
                    limits::DECODED_PIXELS
                ));
            }
            *so_far += pixels;
            Ok(head)
        });
        self.heads.borrow_mut().insert(target.to_owned(), head.clone());
        head
    }

    /// A photo for the file, with no more pixels than print needs for this width and height in points; `None`
    /// where its body is broken.
    pub fn stored(&self, target: &str, width: f64, height: f64) -> Option<Stored> {
        let head = self.head(target).ok()?;
        let bytes = self.images.get(target)?;
        match head.format {
            Format::Jpeg { colours, is_inverted } => Some(Stored {
                across: head.across,
                down: head.down,
                turn: head.turn,
                colours,
                is_inverted,
                is_jpeg: true,
                bytes: bytes.clone(),
            }),
            Format::Png => {
                let (across, down) = (needed(width, head.across), needed(height, head.down));
                let (colours, pixels) = png::pixels(bytes, across, down)?;
                let bytes = png::compressed(colours, across, down, &pixels)?;
                let turn = head.turn;
                Some(Stored { across, down, turn, colours, is_inverted: false, is_jpeg: false, bytes })
            }
        }
    }
}

/// How many pixels print needs along a length in points, at most those of the photo.
fn needed(length: f64, there: u32) -> u32 {
    let dots = (length / (POINTS * 25.4) * DOTS).ceil();
    // At most those of the photo, so nothing is cut off.
    dots.clamp(1.0, f64::from(there)) as u32
}

/// Reads a photo's head.
///
/// # Errors
///
/// Why it cannot be printed, in words.
fn head(bytes: &[u8]) -> Result<Head, String> {
    let most = limits::PHOTO_BYTES;
    if bytes.len() as u64 > most {
        return Err(format!("it has {} bytes, and {most} is the most", bytes.len()));
    }
    let head = if bytes.starts_with(&[0xFF, 0xD8]) { jpeg::head(bytes) } else { png::head(bytes) };
    let head = head.ok_or_else(|| "it is neither a PNG nor a JPEG that can be read".to_owned())?;
    let pixels = u64::from(head.across) * u64::from(head.down);
    match pixels {
        0 => Err("it has no pixels".to_owned()),
        _ if pixels > limits::PHOTO_PIXELS => Err(format!(
            "it has {} by {} pixels, and {} in all is the most",
            head.across,
            head.down,
            limits::PHOTO_PIXELS
        )),
        _ => Ok(head),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where a corner of the stored picture goes, in a rectangle of 2 by 1 at the origin.
    fn corner(turn: u8, u: f64, v: f64) -> (f64, f64) {
        let [a, b, c, d, e, f] = Turn(turn).matrix(0.0, 0.0, 2.0, 1.0);
        (a * u + c * v + e, b * u + d * v + f)
    }

    #[test]
    fn each_way_to_hold_a_camera_puts_the_first_pixel_where_exif_says() {
        // The sides of the first row and the first column, JEITA CP-3451, `Orientation`. Where they meet is the
        // first pixel, stored at the top left.
        let expected = [
            (1, (0.0, 1.0)),
            (2, (2.0, 1.0)),
            (3, (2.0, 0.0)),
            (4, (0.0, 0.0)),
            (5, (0.0, 1.0)),
            (6, (2.0, 1.0)),
            (7, (2.0, 0.0)),
            (8, (0.0, 0.0)),
        ];
        for (turn, first) in expected {
            assert_eq!(corner(turn, 0.0, 1.0), first, "{turn}");
        }
        // The first row is along the top for 1 and 2, down or up a side from 5 on.
        assert_eq!(corner(6, 1.0, 1.0), (2.0, 0.0));
        assert_eq!(corner(8, 1.0, 1.0), (0.0, 1.0));
        assert_eq!(corner(5, 1.0, 1.0), (0.0, 0.0));
        assert_eq!(corner(7, 1.0, 1.0), (2.0, 1.0));
    }

    #[test]
    fn print_needs_three_hundred_dots_to_the_inch_and_no_more_than_there_are() {
        assert_eq!(needed(72.0, 4000), 300);
        assert_eq!(needed(72.0, 100), 100);
        assert_eq!(needed(0.0, 100), 1);
    }
}
