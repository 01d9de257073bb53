use crate::tags::ByteOrder;

use super::layout::Layout;
use super::meaning::Meaning;
use super::wide_samples::{Strays, WideSamples};

/// A sample as it is delivered.
pub(super) trait Sample: Copy + Default + Send {
    /// The sum that undoes a difference; it wraps around as the predictor does.
    fn plus(self, other: Self) -> Self;
    /// The same sample with black and white exchanged.
    fn inverted(self) -> Self;
    /// A level of 8 bits.
    fn from_level(level: u8) -> Self;
    /// The sample as an index into a palette of at most 256 colours.
    fn index(self) -> usize;
    /// L* of CIELAB as ICC profiles of version 2 encode it.
    fn icc_lightness(self) -> Self;
    /// a* or b* with a sign, as a share of −128 to 127.
    fn signed_axis(self) -> Self;
    /// a* or b* as ICC profiles of version 2 encode it, as a share of −128 to 127.
    fn icc_axis(self) -> Self;
    /// The samples, if they are bytes.
    fn bytes(row: &mut [Self]) -> Option<&mut [u8]>;
    /// Room for narrowed samples, which have 16 bits.
    fn words(row: &mut [Self]) -> Option<&mut [u16]>;
    /// Reads the samples of a row.
    fn load(raw: &[u8], form: StoredForm, into: &mut [Self]);
}

/// How one sample is stored.
#[derive(Clone, Copy)]
pub(super) struct StoredForm {
    bits: usize,
    order: ByteOrder,
    /// What a sample of fewer than 8 bits is multiplied with: 1 for indices.
    step: u8,
}

impl Sample for u8 {
    fn plus(self, other: Self) -> Self {
        self.wrapping_add(other)
    }

    fn inverted(self) -> Self {
        !self
    }

    fn from_level(level: u8) -> Self {
        level
    }

    fn index(self) -> usize {
        self.into()
    }

    fn icc_lightness(self) -> Self {
        self
    }

    fn signed_axis(self) -> Self {
        self ^ 0x80
    }

    fn icc_axis(self) -> Self {
        self
    }

    fn bytes(row: &mut [Self]) -> Option<&mut [u8]> {
        Some(row)
    }

    fn words(_row: &mut [Self]) -> Option<&mut [u16]> {
        None
    }

    fn load(raw: &[u8], form: StoredForm, into: &mut [Self]) {
        if form.bits == 8 {
            into.copy_from_slice(&raw[..into.len()]);
            return;
        }
        // The highest bits of a byte come first (TIFF 6.0, FillOrder 1).
        let per_byte = 8 / form.bits;
        let mask = (1_u8 << form.bits) - 1;
        for (samples, byte) in into.chunks_mut(per_byte).zip(raw) {
            for (place, sample) in samples.iter_mut().enumerate() {
                let shift = 8 - form.bits * (place + 1);
                *sample = (byte >> shift & mask) * form.step;
            }
        }
    }
}

impl Sample for u16 {
    fn plus(self, other: Self) -> Self {
        self.wrapping_add(other)
    }

    fn inverted(self) -> Self {
        !self
    }

    fn from_level(level: u8) -> Self {
        Self::from(level) * 257
    }

    fn index(self) -> usize {
        self.into()
    }

    /// 0xff00 is L* 100 (ICC.1:2001, annex A).
    fn icc_lightness(self) -> Self {
        scaled(self, 65_535, 65_280)
    }

    /// Steps of 1/256, see [`Sample::icc_axis`].
    fn signed_axis(self) -> Self {
        (self ^ 0x8000).icc_axis()
    }

    /// Steps of 1/256 from −128 on become parts of 255; the last 255 of 65,536 lie beyond it.
    fn icc_axis(self) -> Self {
        scaled(self, 257, 256)
    }

    fn bytes(_row: &mut [Self]) -> Option<&mut [u8]> {
        None
    }

    fn words(row: &mut [Self]) -> Option<&mut [u16]> {
        Some(row)
    }

    fn load(raw: &[u8], form: StoredForm, into: &mut [Self]) {
        let (words, _) = raw.as_chunks();
        let number = match form.order {
            ByteOrder::Little => Self::from_le_bytes,
            ByteOrder::Big => Self::from_be_bytes,
        };
        for (sample, word) in into.iter_mut().zip(words) {
            *sample = number(*word);
        }
    }
}

/// A sample times a fraction, rounded, and cut at full scale.
fn scaled(sample: u16, times: u32, by: u32) -> u16 {
    u16::try_from((u32::from(sample) * times + by / 2) / by).unwrap_or(u16::MAX)
}

/// Turns stored rows of chunks into delivered samples.
pub(super) struct Painter<S> {
    form: StoredForm,
    differences: bool,
    planar: bool,
    wide: Option<WideSamples>,
    strays: Strays,
    /// Samples of a pixel in a chunk.
    stored: usize,
    /// Samples of a pixel as delivered.
    delivered: usize,
    picks: Vec<usize>,
    meaning: Meaning,
    colours: usize,
    row: Vec<S>,
}

impl<S: Sample> Painter<S> {
    pub(super) fn new(layout: &Layout) -> Self {
        let indexed = layout.meaning.is_palette();
        // 255, 85 and 17: full scale of 1, 2 and 4 bits becomes full scale of 8.
        let step = match layout.bits {
            1..8 if !indexed => u8::MAX / ((1 << layout.bits) - 1),
            _ => 1,
        };
        Self {
            form: StoredForm { bits: layout.bits, order: layout.order, step },
            differences: layout.differences,
            planar: layout.planar,
            wide: layout.wide,
            strays: Strays::default(),
            stored: layout.chunk_samples(),
            delivered: layout.format.samples_per_pixel(),
            picks: layout.picks.clone(),
            meaning: layout.meaning.clone(),
            colours: layout.format.model.channels(),
            row: vec![S::default(); layout.chunks.width as usize * layout.chunk_samples()],
        }
    }

    /// The target itself, where the stored bytes of a chunk's row are the samples to be delivered.
    pub(super) fn as_stored<'row>(&self, target: &'row mut [S]) -> Option<&'row mut [u8]> {
        let plain = self.form.bits == 8
            && !self.differences
            && !self.planar
            && self.delivered == self.stored
            && matches!(self.meaning, Meaning::AsDelivered)
            && target.len() == self.row.len();
        if plain { S::bytes(target) } else { None }
    }

    /// Paints the start of a chunk's row over `target`. A plane paints its own sample only.
    pub(super) fn paint(&mut self, raw: &[u8], plane: Option<usize>, target: &mut [S]) {
        match (self.wide, S::words(&mut self.row)) {
            (Some(wide), Some(row)) => wide.narrow(raw, self.stored, row, &mut self.strays),
            _ => S::load(raw, self.form, &mut self.row),
        }
        if self.differences {
            undo_differences(&mut self.row, self.stored);
        }
        match plane {
            Some(plane) => self.paint_plane(plane, target),
            None => self.paint_pixels(target),
        }
    }

    /// What was met outside 0 to 1 so far.
    pub(super) const fn strays(&self) -> Strays {
        self.strays
    }

    fn paint_plane(&self, plane: usize, target: &mut [S]) {
        let Some(place) = self.picks.iter().position(|pick| *pick == plane) else {
            return;
        };
        for (pixel, sample) in target.chunks_exact_mut(self.delivered).zip(&self.row) {
            pixel[place] = self.meant(place, *sample);
        }
    }

    fn paint_pixels(&self, target: &mut [S]) {
        let pixels = target.chunks_exact_mut(self.delivered);
        let stored = self.row.chunks_exact(self.stored);
        match &self.meaning {
            Meaning::Palette(colours) => pixels.zip(stored).for_each(|(pixel, stored)| {
                let colour = colours.get(stored[0].index()).copied().unwrap_or_default();
                pixel.copy_from_slice(&colour.map(S::from_level));
            }),
            Meaning::AsDelivered if self.delivered == self.stored => {
                let length = target.len();
                target.copy_from_slice(&self.row[..length]);
            }
            _ => pixels.zip(stored).for_each(|(pixel, stored)| {
                for (place, (sample, pick)) in pixel.iter_mut().zip(&self.picks).enumerate() {
                    *sample = self.meant(place, stored[*pick]);
                }
            }),
        }
    }

    /// The delivered sample of a place in a pixel; opacity is never changed.
    fn meant(&self, place: usize, sample: S) -> S {
        match (&self.meaning, place) {
            _ if place >= self.colours => sample,
            (Meaning::Inverted, _) => sample.inverted(),
            (Meaning::IccLab, 0) => sample.icc_lightness(),
            (Meaning::IccLab, _) => sample.icc_axis(),
            (Meaning::SignedLab, 1 | 2) => sample.signed_axis(),
            _ => sample,
        }
    }
}

/// Adds the pixel to the left, sample by sample (TIFF 6.0, section 14).
fn undo_differences<S: Sample>(row: &mut [S], samples: usize) {
    for index in samples..row.len() {
        row[index] = row[index].plus(row[index - samples]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn form(bits: usize, order: ByteOrder, step: u8) -> StoredForm {
        StoredForm { bits, order, step }
    }

    #[test]
    fn few_bits_are_widened_from_the_highest_on() {
        let mut two_bits = [0_u8; 5];
        u8::load(&[0b00_01_10_11, 0b11_000000], form(2, ByteOrder::Big, 85), &mut two_bits);
        assert_eq!(two_bits, [0, 85, 170, 255, 255]);
        let mut one_bit = [0_u8; 9];
        u8::load(&[0b1010_0000, 0x80], form(1, ByteOrder::Little, 255), &mut one_bit);
        assert_eq!(one_bit, [255, 0, 255, 0, 0, 0, 0, 0, 255]);
    }

    #[test]
    fn words_follow_the_byte_order_of_the_file() {
        let mut words = [0_u16; 1];
        u16::load(&[1, 2], form(16, ByteOrder::Little, 1), &mut words);
        assert_eq!(words, [0x0201]);
        u16::load(&[1, 2], form(16, ByteOrder::Big, 1), &mut words);
        assert_eq!(words, [0x0102]);
    }

    #[test]
    fn cielab_axes_have_their_middle_at_no_colour() {
        assert_eq!([0_u8.signed_axis(), 0x80_u8.signed_axis(), 128_u8.icc_axis()], [128, 0, 128]);
        assert_eq!([0_u16.signed_axis(), 0x8000_u16.icc_axis()], [32_896; 2]);
        assert_eq!([0x8000_u16.signed_axis(), 0x7fff_u16.signed_axis()], [0, 65_535]);
        assert_eq!([0xff00_u16.icc_lightness(), 0xffff_u16.icc_lightness()], [65_535; 2]);
    }

    #[test]
    fn differences_wrap_around_and_keep_samples_apart() {
        let mut row = [250_u8, 1, 10, 2];
        undo_differences(&mut row, 2);
        assert_eq!(row, [250, 1, 4, 3]);
    }
}
