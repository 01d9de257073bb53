use colour::ColourModel;

use crate::cells::MOST_CHANNELS;
use crate::sample::Sample;
use crate::{CensusError, SourceColour};

/// What shows through where a picture is not opaque.
///
/// Pixels are laid on the backdrop in the encoded space, sample by sample. For opacity α of
/// full scale *m*, colour *c* and backdrop *b* the result is, rounded to the nearest integer,
/// (c·α + b·(m − α)) / m for straight alpha and c + b·(m − α) / m, at most *m*, for associated
/// alpha.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Backdrop {
    /// The white of the medium: all samples at their maximum, CMYK without ink. For relative intents.
    #[default]
    MediaWhite,
    /// A colour in the encoding of the picture: the paper's, for the absolute intent.
    Colour(SourceColour),
}

impl Backdrop {
    /// The samples of the backdrop for a picture; unused ones are at their maximum.
    pub(crate) fn samples<T: Sample>(
        &self,
        picture: ColourModel,
    ) -> Result<[T; MOST_CHANNELS], CensusError> {
        let mut samples = white(picture).map(T::from_fraction);
        if let Self::Colour(colour) = self {
            check(colour, picture)?;
            for (sample, fraction) in samples.iter_mut().zip(colour.samples()) {
                *sample = T::from_fraction(*fraction);
            }
        }
        Ok(samples)
    }
}

/// The colour of bare paper in an encoding.
const fn white(model: ColourModel) -> [f64; MOST_CHANNELS] {
    match model {
        ColourModel::Gray | ColourModel::Rgb => [1.0; MOST_CHANNELS],
        ColourModel::Cmyk => [0.0; MOST_CHANNELS],
        ColourModel::Lab => [1.0, NEUTRAL, NEUTRAL, 0.0],
    }
}

/// a* and b* of 0, see [`ColourModel::Lab`].
const NEUTRAL: f64 = 128.0 / 255.0;

fn check(colour: &SourceColour, picture: ColourModel) -> Result<(), CensusError> {
    if colour.model() != picture {
        return Err(CensusError::BackdropModel { backdrop: colour.model(), picture });
    }
    let outside = |sample: &&f64| !(0.0..=1.0).contains(*sample);
    match colour.samples().iter().find(outside) {
        Some(&sample) => Err(CensusError::BackdropOutOfRange { sample }),
        None => Ok(()),
    }
}
