//! PNG: its head, and its pixels scaled down row by row, so that only one row is held in memory.

use png::{BitDepth, ColorType, Compression, Decoder, Encoder, Limits, Transformations};

use super::{Colours, Format, Head, Turn};

/// How much the decoder may use: a few rows, and the palette.
const DECODER_BYTES: usize = 16 << 20;

/// Bytes before the first chunk, and behind each.
const SIGNATURE: usize = 8;
const CHECKSUM: usize = 4;

/// Reads the size; `None` where it is no PNG.
pub(super) fn head(bytes: &[u8]) -> Option<Head> {
    let mut decoder = decoder(bytes);
    let info = decoder.read_header_info().ok()?;
    let (across, down) = info.size();
    Some(Head { across, down, turn: Turn::NONE, format: Format::Png })
}

fn decoder(bytes: &[u8]) -> Decoder<std::io::Cursor<&[u8]>> {
    let limits = Limits { bytes: DECODER_BYTES };
    let mut decoder = Decoder::new_with_limits(std::io::Cursor::new(bytes), limits);
    decoder.set_ignore_text_chunk(true);
    decoder.set_ignore_iccp_chunk(true);
    // Eight bits a colour; palettes and small depths are expanded.
    decoder.set_transformations(Transformations::normalize_to_color8());
    decoder
}

/// The pixels on white paper, each the mean of those that it replaces; `None` where the file is broken.
///
/// `across` and `down` are at most those of the photo.
pub(super) fn pixels(bytes: &[u8], across: u32, down: u32) -> Option<(Colours, Vec<u8>)> {
    let mut reader = decoder(bytes).read_info().ok()?;
    let (from_across, from_down) = reader.info().size();
    let (kind, _) = reader.output_color_type();
    let (colours, has_alpha) = match kind {
        ColorType::Grayscale => (Colours::Grey, false),
        ColorType::GrayscaleAlpha => (Colours::Grey, true),
        ColorType::Rgb => (Colours::Rgb, false),
        ColorType::Rgba => (Colours::Rgb, true),
        ColorType::Indexed => return None,
    };
    let mut scale = Scale::new(colours.count(), has_alpha, (from_across, from_down), (across, down));
    if reader.info().interlaced {
        let mut whole = vec![0; reader.output_buffer_size()?];
        reader.next_frame(&mut whole).ok()?;
        let row = usize::try_from(from_across).ok()? * scale.samples();
        whole.chunks_exact(row).for_each(|row| scale.take(row));
    } else {
        while let Some(row) = reader.next_row().ok()? {
            scale.take(row.data());
        }
    }
    scale.finish().map(|pixels| (colours, pixels))
}

/// Pixels compressed as in a PNG, which a PDF may also hold; `None` where there are too few.
pub(super) fn compressed(colours: Colours, across: u32, down: u32, pixels: &[u8]) -> Option<Vec<u8>> {
    let mut file = Vec::new();
    let mut encoder = Encoder::new(&mut file, across, down);
    encoder.set_color(if colours == Colours::Grey { ColorType::Grayscale } else { ColorType::Rgb });
    encoder.set_depth(BitDepth::Eight);
    encoder.set_compression(Compression::Fast);
    encoder.write_header().ok()?.write_image_data(pixels).ok()?;
    // The chunks of the picture's own data, one behind the other: PNG (third edition), 5.3 and 10.
    let mut data = Vec::new();
    let mut rest = file.get(SIGNATURE..)?;
    while let Some((length, behind)) = rest.split_first_chunk::<4>() {
        let length = usize::try_from(u32::from_be_bytes(*length)).ok()?;
        let (name, behind) = behind.split_first_chunk::<4>()?;
        let (body, behind) = behind.split_at_checked(length)?;
        if name == b"IDAT" {
            data.extend_from_slice(body);
        }
        rest = behind.get(CHECKSUM..)?;
    }
    Some(data)
}

/// Takes rows from the top, and the mean of those that fall together.
struct Scale {
    colours: usize,
    has_alpha: bool,
    from: (u64, u64),
    to: (u64, u64),
    /// Sums and counts of the row in progress.
    sums: Vec<u32>,
    counts: Vec<u32>,
    taken: u64,
    out: Vec<u8>,
}

impl Scale {
    fn new(colours: usize, has_alpha: bool, from: (u32, u32), to: (u32, u32)) -> Self {
        let across = usize::try_from(to.0).unwrap_or(0);
        Self {
            colours,
            has_alpha,
            from: (u64::from(from.0), u64::from(from.1)),
            to: (u64::from(to.0), u64::from(to.1)),
            sums: vec![0; across * colours],
            counts: vec![0; across],
            taken: 0,
            out: Vec::new(),
        }
    }

    /// Bytes of an incoming pixel.
    fn samples(&self) -> usize {
        self.colours + usize::from(self.has_alpha)
    }

    fn take(&mut self, row: &[u8]) {
        let (from, to) = (self.from.0, self.to.0);
        for (at, pixel) in (0..from).zip(row.chunks_exact(self.samples())) {
            let column = usize::try_from(at * to / from).unwrap_or(0);
            let alpha =
                if self.has_alpha { pixel.last().map_or(255, |alpha| u32::from(*alpha)) } else { 255 };
            let sums = self.sums.get_mut(column * self.colours..).unwrap_or_default();
            for (sum, value) in sums.iter_mut().zip(pixel.iter().take(self.colours)) {
                *sum += (u32::from(*value) * alpha + 255 * (255 - alpha) + 127) / 255;
            }
            if let Some(count) = self.counts.get_mut(column) {
                *count += 1;
            }
        }
        let row_of = |taken: u64| taken * self.to.1 / self.from.1.max(1);
        self.taken += 1;
        if row_of(self.taken) != row_of(self.taken - 1) {
            for (sums, count) in self.sums.chunks_mut(self.colours).zip(&mut self.counts) {
                for sum in sums {
                    let mean = (*sum + *count / 2) / (*count).max(1);
                    self.out.push(u8::try_from(mean).unwrap_or(u8::MAX));
                    *sum = 0;
                }
                *count = 0;
            }
        }
    }

    /// All pixels, if all rows came.
    fn finish(self) -> Option<Vec<u8>> {
        let rows = usize::try_from(self.to.1).ok()?;
        (self.out.len() == rows * self.sums.len()).then_some(self.out)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pixels_that_fall_together_are_their_mean_and_what_is_clear_is_white() {
        let mut scale = Scale::new(1, false, (4, 2), (2, 1));
        scale.take(&[0, 100, 200, 200]);
        scale.take(&[0, 100, 200, 201]);
        assert_eq!(scale.finish(), Some(vec![50, 200]));
        let mut scale = Scale::new(3, true, (2, 1), (2, 1));
        scale.take(&[10, 20, 30, 255, 10, 20, 30, 0]);
        assert_eq!(scale.finish(), Some(vec![10, 20, 30, 255, 255, 255]));
    }

    #[test]
    fn a_photo_that_ends_early_is_none() {
        let mut scale = Scale::new(1, false, (2, 2), (2, 2));
        scale.take(&[1, 2]);
        assert_eq!(scale.finish(), None);
    }
}
