use colour::{Alpha, RasterFormat, Samples};

use crate::compositing::{associated, straight};
use crate::sample::Sample;
use crate::{Backdrop, CensusError};

/// The colour samples of a pixel as integers of its depth, unused places zero.
pub type Levels = [u16; 4];

/// Lays single pixels on a backdrop by the rule of the census, for whoever needs to know where
/// in a picture a colour stands.
#[derive(Clone, Copy, Debug)]
pub struct Overlay {
    format: RasterFormat,
    backdrop: Backdrop,
}

impl Overlay {
    /// An overlay for the bands of a picture.
    ///
    /// # Errors
    ///
    /// `BackdropModel` and `BackdropOutOfRange` for a backdrop that doesn't fit the picture.
    pub fn new(format: RasterFormat, backdrop: Backdrop) -> Result<Self, CensusError> {
        backdrop.samples::<u16>(format.model)?;
        Ok(Self { format, backdrop })
    }

    /// The opaque colour of every pixel of a band, in their order; nothing for an unprinted one.
    ///
    /// # Errors
    ///
    /// As [`Overlay::new`].
    pub fn lay(&self, samples: &Samples) -> Result<Vec<Option<Levels>>, CensusError> {
        match samples {
            Samples::Eight(samples) => self.lay_samples(samples),
            Samples::Sixteen(samples) => self.lay_samples(samples),
        }
    }

    fn lay_samples<T: Sample>(&self, samples: &[T]) -> Result<Vec<Option<Levels>>, CensusError> {
        let channels = self.format.model.channels();
        let backdrop = self.backdrop.samples::<T>(self.format.model)?;
        let over = match self.format.alpha {
            Alpha::None | Alpha::Straight => straight::<T>,
            Alpha::Associated => associated::<T>,
        };
        let laid = |pixel: &[T]| {
            let opacity = pixel.get(channels).copied().unwrap_or(T::MAX);
            if opacity.widened() == 0 {
                return None;
            }
            let mut levels = Levels::default();
            for (place, level) in levels.iter_mut().enumerate().take(channels) {
                let behind = backdrop.get(place).copied().unwrap_or(T::MAX);
                let laid = over(pixel[place], behind, opacity);
                *level = u16::try_from(laid.widened()).unwrap_or(u16::MAX);
            }
            Some(levels)
        };
        Ok(samples.chunks_exact(self.format.samples_per_pixel()).map(laid).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::{BitDepth, ColourModel};

    fn laid(alpha: Alpha, samples: Vec<u8>) -> Vec<Option<Levels>> {
        let model = ColourModel::Gray;
        let format = RasterFormat { width: 1, height: 1, model, depth: BitDepth::Eight, alpha };
        let overlay = Overlay::new(format, Backdrop::MediaWhite).unwrap();
        overlay.lay(&Samples::Eight(samples)).unwrap()
    }

    #[test]
    fn opaque_pixels_keep_their_samples() {
        assert_eq!(laid(Alpha::None, vec![7, 255]), [Some([7, 0, 0, 0]), Some([255, 0, 0, 0])]);
    }

    #[test]
    fn unprinted_pixels_are_told_apart_and_partly_opaque_ones_lie_on_white() {
        let pixels = laid(Alpha::Straight, vec![9, 0, 0, 51, 9, 255]);
        assert_eq!(pixels, [None, Some([204, 0, 0, 0]), Some([9, 0, 0, 0])]);
        assert_eq!(laid(Alpha::Associated, vec![0, 51]), [Some([204, 0, 0, 0])]);
    }
}
