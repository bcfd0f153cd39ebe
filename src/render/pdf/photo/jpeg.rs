//! The head of a JPEG: ITU-T T.81 (1992), annex B, for the markers; JEITA CP-3451 for Exif.

use super::{Colours, Format, Head, Turn};

/// Reads the frame's size and colours, and how the camera was held; `None` for a file that PDF readers do not
/// decode.
pub(super) fn head(bytes: &[u8]) -> Option<Head> {
    let mut turn = Turn::NONE;
    let mut has_adobe = false;
    let mut at = 2;
    loop {
        // Markers may be padded by more of the same byte.
        while bytes.get(at + 1) == Some(&0xFF) {
            at += 1;
        }
        if bytes.get(at) != Some(&0xFF) {
            return None;
        }
        let marker = *bytes.get(at + 1)?;
        let length = usize::from(two(bytes, at + 2)?);
        let body = bytes.get(at + 4..(at + 2).checked_add(length)?)?;
        match marker {
            // Baseline, extended and progressive: what ISO 32000-1, 7.4.8, requires of `DCTDecode`.
            0xC0..=0xC2 => return frame(body, turn, has_adobe),
            0xE1 => turn = orientation(body).unwrap_or(turn),
            0xEE => has_adobe |= body.starts_with(b"Adobe"),
            // Other kinds of frame, and files without one.
            0xC3 | 0xC5..=0xC7 | 0xC9..=0xCB | 0xCD..=0xCF | 0xD9 | 0xDA => return None,
            _ => {}
        }
        at += 2 + length;
    }
}

fn frame(body: &[u8], turn: Turn, has_adobe: bool) -> Option<Head> {
    let (down, across) = (u32::from(two(body, 1)?), u32::from(two(body, 3)?));
    let colours = match body.get(5)? {
        1 => Colours::Grey,
        3 => Colours::Rgb,
        4 => Colours::Cmyk,
        _ => return None,
    };
    // Readers decode only eight bits a colour.
    (*body.first()? == 8).then_some(())?;
    // Programs that write this mark store inks inverted: common practice, no source.
    let is_inverted = has_adobe && colours == Colours::Cmyk;
    Some(Head { across, down, turn, format: Format::Jpeg { colours, is_inverted } })
}

/// The tag `Orientation` (0x0112) of the first directory.
fn orientation(body: &[u8]) -> Option<Turn> {
    let tiff = body.strip_prefix(b"Exif\0\0")?;
    let is_little = match tiff.get(..2)? {
        b"II" => true,
        b"MM" => false,
        _ => return None,
    };
    let short = |at: usize| {
        let pair = [*tiff.get(at)?, *tiff.get(at.checked_add(1)?)?];
        Some(if is_little { u16::from_le_bytes(pair) } else { u16::from_be_bytes(pair) })
    };
    let (low, high) = if is_little { (4, 6) } else { (6, 4) };
    let directory = usize::from(short(low)?) | usize::from(short(high)?) << 16;
    let entries = usize::from(short(directory)?);
    (0..entries).find_map(|entry| {
        let at = directory.checked_add(2 + entry * 12)?;
        (short(at)? == 0x0112).then_some(())?;
        let turn = u8::try_from(short(at.checked_add(8)?)?).ok()?;
        (1..=8).contains(&turn).then_some(Turn(turn))
    })
}

fn two(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_be_bytes([*bytes.get(at)?, *bytes.get(at + 1)?]))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn segment(marker: u8, body: &[u8]) -> Vec<u8> {
        let length = u16::try_from(body.len() + 2).unwrap().to_be_bytes();
        [&[0xFF, marker][..], &length, body].concat()
    }

    fn frame_of(colours: u8) -> Vec<u8> {
        segment(0xC0, &[&[8, 0, 30, 0, 40, colours][..], &vec![0; 3 * usize::from(colours)]].concat())
    }

    fn exif(turn: u8, is_little: bool) -> Vec<u8> {
        let tiff: Vec<u8> = if is_little {
            [&b"II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0"[..], &[turn, 0, 0, 0]].concat()
        } else {
            [&b"MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01"[..], &[0, turn, 0, 0]].concat()
        };
        segment(0xE1, &[&b"Exif\0\0"[..], &tiff].concat())
    }

    #[test]
    fn size_colours_and_the_way_the_camera_was_held_are_read() {
        let jpeg = |parts: &[Vec<u8>]| [vec![0xFF, 0xD8], parts.concat()].concat();
        let head = |parts: &[Vec<u8>]| head(&jpeg(parts));
        let expected = |turn, colours, is_inverted| {
            let format = Format::Jpeg { colours, is_inverted };
            Some(Head { across: 40, down: 30, turn: Turn(turn), format })
        };
        assert_eq!(head(&[frame_of(1)]), expected(1, Colours::Grey, false));
        for is_little in [true, false] {
            assert_eq!(head(&[exif(6, is_little), frame_of(3)]), expected(6, Colours::Rgb, false));
        }
        assert_eq!(head(&[exif(9, true), frame_of(3)]), expected(1, Colours::Rgb, false));
        assert_eq!(head(&[frame_of(4)]), expected(1, Colours::Cmyk, false));
        assert_eq!(head(&[segment(0xEE, b"Adobe\0"), frame_of(4)]), expected(1, Colours::Cmyk, true));
        assert_eq!(head(&[frame_of(2)]), None);
        assert_eq!(head(&[segment(0xC3, &[8, 0, 30, 0, 40, 1])]), None);
    }

    #[test]
    fn a_head_that_is_cut_anywhere_is_no_jpeg() {
        let whole = [vec![0xFF, 0xD8], exif(3, true), frame_of(3)].concat();
        assert!(head(&whole).is_some());
        for end in 2..whole.len() {
            assert_eq!(head(&whole[..end]), None, "{end}");
        }
    }
}
