use colour::{Alpha, RasterFormat};

use crate::cells::MOST_CHANNELS;
use crate::sample::Sample;

/// Lays rows on the backdrop and sets unprinted pixels apart.
///
/// A pixel without opacity is unprinted, whatever its colour samples say.
pub(crate) struct Compositor<T> {
    alpha: Alpha,
    channels: usize,
    backdrop: [T; MOST_CHANNELS],
    printed: Vec<T>,
    seen: Vec<T>,
}

/// A row after compositing; both slices hold opaque colours without alpha.
pub(crate) struct OpaqueRow<'a, T> {
    /// Pixels that take part in the count.
    pub(crate) printed: &'a [T],
    /// All pixels of the row; unprinted ones have the backdrop's colour.
    pub(crate) seen: &'a [T],
    /// How many pixels are unprinted.
    pub(crate) unprinted: u64,
}

impl<T: Sample> Compositor<T> {
    pub(crate) fn new(format: &RasterFormat, backdrop: [T; MOST_CHANNELS]) -> Self {
        Self {
            alpha: format.alpha,
            channels: format.model.channels(),
            backdrop,
            printed: Vec::new(),
            seen: Vec::new(),
        }
    }

    pub(crate) fn lay<'a>(&'a mut self, row: &'a [T]) -> OpaqueRow<'a, T> {
        let unprinted = match self.alpha {
            Alpha::None => {
                return OpaqueRow { printed: row, seen: row, unprinted: 0 };
            }
            Alpha::Straight => self.lay_with(row, straight),
            Alpha::Associated => self.lay_with(row, associated),
        };
        OpaqueRow { printed: &self.printed, seen: &self.seen, unprinted }
    }

    /// Fills `printed` and `seen`; returns the number of unprinted pixels.
    fn lay_with(&mut self, row: &[T], over: impl Fn(T, T, T) -> T) -> u64 {
        self.printed.clear();
        self.seen.clear();
        let mut unprinted = 0;
        for pixel in row.chunks_exact(self.channels + 1) {
            let (colour, opacity) = (&pixel[..self.channels], pixel[self.channels]);
            if opacity.widened() == 0 {
                unprinted += 1;
                self.seen.extend_from_slice(&self.backdrop[..self.channels]);
                continue;
            }
            let laid = colour.iter().zip(self.backdrop);
            for sample in laid.map(|(colour, behind)| over(*colour, behind, opacity)) {
                self.printed.push(sample);
                self.seen.push(sample);
            }
        }
        unprinted
    }
}

pub(crate) fn straight<T: Sample>(colour: T, backdrop: T, opacity: T) -> T {
    let (full, opacity) = (T::MAX.widened(), opacity.widened());
    let sum = colour.widened() * opacity + backdrop.widened() * (full - opacity);
    T::saturated((sum + full / 2) / full)
}

pub(crate) fn associated<T: Sample>(colour: T, backdrop: T, opacity: T) -> T {
    let full = T::MAX.widened();
    let behind = backdrop.widened() * (full - opacity.widened());
    T::saturated(colour.widened() + (behind + full / 2) / full)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Storing a colour multiplied by its opacity rounds once, laying it rounds a second time.
    const TWO_ROUNDINGS: u64 = 1;

    fn multiplied(colour: u8, opacity: u8) -> u8 {
        let product = u32::from(colour) * u32::from(opacity);
        u8::try_from((product + 127) / 255).unwrap()
    }

    proptest! {
        #[test]
        fn straight_and_associated_alpha_agree_within_rounding(
            colour: u8, backdrop: u8, opacity: u8,
        ) {
            let one = straight(colour, backdrop, opacity);
            let other = associated(multiplied(colour, opacity), backdrop, opacity);
            prop_assert!(u64::from(one.abs_diff(other)) <= TWO_ROUNDINGS);
        }

        #[test]
        fn an_opaque_pixel_keeps_its_colour(colour: u16, backdrop: u16) {
            prop_assert_eq!(straight(colour, backdrop, u16::MAX), colour);
            prop_assert_eq!(associated(colour, backdrop, u16::MAX), colour);
        }

        #[test]
        fn a_colour_laid_on_itself_is_itself(colour: u16, opacity: u16) {
            prop_assert_eq!(straight(colour, colour, opacity), colour);
        }
    }

    #[test]
    fn rounding_is_to_the_nearest_integer() {
        // 255·1/255 + 0·254/255 = 1; 100·128/255 + 0 = 50.196; 100·130/255 + 0 = 50.98.
        assert_eq!(straight(255_u8, 0, 1), 1);
        assert_eq!(straight(100_u8, 0, 128), 50);
        assert_eq!(straight(100_u8, 0, 130), 51);
        assert_eq!(associated(200_u8, 255, 100), 255);
    }
}
