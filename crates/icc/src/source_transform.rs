use std::sync::Mutex;

use colour::{ColourModel, Lab};
use lcms2::{PixelFormat, Pod, ThreadContext};

use crate::exact::{Exact, exact};
use crate::pcs::{PcsSamples, is_possible, lab_of, lab_profile, samples_of};
use crate::{IccError, RenderingIntent, SourceProfile};

/// A source's black is never taken as lighter than this L* (ISO 18619, from memory).
const LIGHTEST_BLACK: f64 = 50.0;

/// Takes encoded colours of a picture to CIELAB of the profile connection space, D50.
///
/// | Intent                | CIELAB is relative to                                          |
/// |-----------------------|----------------------------------------------------------------|
/// | perceptual            | the white of the source, by the profile's own rendering        |
/// | relative colorimetric | the white of the source                                        |
/// | absolute colorimetric | the perfect diffuser, as the profile's white point tag says    |
///
/// No black-point compensation takes place under any intent. Encoded colours are 0 to 1. The
/// white of the built-in profiles comes out as L* 100, a* 0, b* 0 within 10⁻⁴; that of an
/// embedded one is as good as its own numbers, for matrix profiles within about 0.035. The path
/// is in floating point of 32 bits from end to end.
///
/// A transform may be shared by threads, and gives the same bits in each.
pub struct SourceTransform {
    model: ColourModel,
    intent: RenderingIntent,
    profile: String,
    to_lab: ToLab,
    from_lab: Option<FromLab>,
    /// Freed last, as both ways were made in it; a lock lets it be shared.
    _context: Mutex<ThreadContext>,
}

type ToLab = Box<dyn Fn(&[f64]) -> Vec<PcsSamples> + Send + Sync>;
type FromLab = Box<dyn Fn(PcsSamples) -> Vec<f64> + Send + Sync>;

impl SourceTransform {
    /// Makes the transform of a profile.
    ///
    /// # Errors
    ///
    /// `Unusable` when the profile lacks the tags that the intent needs, `ImpossibleColour`
    /// when it gives numbers that are no colour for its white, black or primaries.
    pub fn new(profile: &SourceProfile, intent: RenderingIntent) -> Result<Self, IccError> {
        let context = ThreadContext::new();
        let make = Ways { context: &context, profile, intent };
        let (to_lab, from_lab) = match profile.model() {
            ColourModel::Gray => make.both::<1>(PixelFormat::GRAY_DBL)?,
            ColourModel::Rgb => make.both::<3>(PixelFormat::RGB_DBL)?,
            model @ ColourModel::Cmyk => return Err(IccError::UnsupportedModel { model }),
        };
        let transform = Self {
            model: profile.model(),
            intent,
            profile: profile.description().to_owned(),
            to_lab,
            from_lab,
            _context: Mutex::new(context),
        };
        transform.to_lab(&corners(profile.model()))?;
        Ok(transform)
    }

    /// The colours that are taken.
    #[must_use]
    pub const fn model(&self) -> ColourModel {
        self.model
    }

    /// The intent of the transform.
    #[must_use]
    pub const fn intent(&self) -> RenderingIntent {
        self.intent
    }

    /// Takes encoded colours, one sample each for gray and three for RGB, to CIELAB.
    ///
    /// # Errors
    ///
    /// `CutColour` for samples that are not whole colours, `SampleOutOfRange` for one outside
    /// 0 to 1, `ImpossibleColour` when the profile gives numbers that are no colour.
    pub fn to_lab(&self, encoded: &[f64]) -> Result<Vec<Lab>, IccError> {
        if !encoded.len().is_multiple_of(self.model.channels()) {
            return Err(IccError::CutColour { samples: encoded.len(), model: self.model });
        }
        let outside = |sample: &&f64| !(0.0..=1.0).contains(*sample);
        if let Some(&sample) = encoded.iter().find(outside) {
            return Err(IccError::SampleOutOfRange { sample });
        }
        let colours: Vec<Lab> = (self.to_lab)(encoded).into_iter().map(lab_of).collect();
        match colours.iter().find(|colour| !is_possible(**colour)) {
            Some(&colour) => {
                Err(IccError::ImpossibleColour { profile: self.profile.clone(), colour })
            }
            None => Ok(colours),
        }
    }

    /// The encoded colour whose CIELAB is the given one: for the colour of the paper as a
    /// backdrop under the absolute intent. Colours that the encoding does not reach are cut to
    /// 0 to 1, sample by sample.
    ///
    /// # Errors
    ///
    /// `NotAColour` for a colour with a value beyond ±1000. `NoWayBack` under the perceptual intent,
    /// whose two directions are no inverses, and for profiles that only lead to CIELAB.
    pub fn from_lab(&self, colour: Lab) -> Result<Vec<f64>, IccError> {
        if !is_possible(colour) {
            return Err(IccError::NotAColour { colour });
        }
        let encoded = self.from_lab.as_ref().map(|from_lab| from_lab(samples_of(colour)));
        let numbers = encoded.filter(|encoded| !encoded.iter().any(|sample| sample.is_nan()));
        numbers.ok_or_else(|| IccError::NoWayBack {
            profile: self.profile.clone(),
            intent: self.intent,
        })
    }

    /// The black of the source for black-point compensation, neutral and at most L* 50.
    ///
    /// It is the colour of the darkest encoding (all samples 0) by this transform's own intent,
    /// with a* and b* set to zero and L* held to 0 to 50. There is none under the absolute
    /// intent, for which compensation is not defined.
    ///
    /// Source: ISO 18619, the clause on the source's black point (from memory).
    ///
    /// # Errors
    ///
    /// As [`SourceTransform::to_lab`].
    pub fn black_point(&self) -> Result<Option<Lab>, IccError> {
        if self.intent == RenderingIntent::AbsoluteColorimetric {
            return Ok(None);
        }
        let black = self.to_lab(&vec![0.0; self.model.channels()])?;
        let neutral = |black: &Lab| Lab { l: black.l.clamp(0.0, LIGHTEST_BLACK), a: 0.0, b: 0.0 };
        Ok(black.first().map(neutral))
    }
}

/// Every corner of the encoding: black, white and for RGB the primaries and their mixtures.
fn corners(model: ColourModel) -> Vec<f64> {
    let channels = model.channels();
    let corner = |number: usize| (0..channels).map(move |bit| f64::from(number >> bit & 1 == 1));
    (0..1 << channels).flat_map(corner).collect()
}

/// What the ways of a transform are made of.
struct Ways<'a> {
    context: &'a ThreadContext,
    profile: &'a SourceProfile,
    intent: RenderingIntent,
}

impl Ways<'_> {
    /// The way to CIELAB, and the way back if the profile has it.
    fn both<const N: usize>(
        &self,
        format: PixelFormat,
    ) -> Result<(ToLab, Option<FromLab>), IccError>
    where
        [f64; N]: Pod,
    {
        let source = self.profile.open(self.context).map_err(|_| self.unusable())?;
        let lab = lab_profile(self.context).map_err(|_| self.unusable())?;
        let (source, lab) = ((&source, format), (&lab, PixelFormat::Lab_DBL));
        let forward = exact(self.context, source, lab, self.intent).map_err(|_| self.unusable())?;
        let back = match self.intent {
            RenderingIntent::Perceptual => None,
            _ => exact(self.context, lab, source, self.intent).ok(),
        };
        Ok((evaluator::<N>(forward), back.map(inverse::<N>)))
    }

    fn unusable(&self) -> IccError {
        let profile = self.profile.description().to_owned();
        IccError::Unusable { profile, intent: self.intent }
    }
}

fn evaluator<const N: usize>(transform: Exact<[f64; N], PcsSamples>) -> ToLab
where
    [f64; N]: Pod,
{
    Box::new(move |encoded| {
        let encoded = encoded.as_chunks::<N>().0;
        let mut colours = vec![[0.0; 3]; encoded.len()];
        transform.transform_pixels(encoded, &mut colours);
        colours
    })
}

fn inverse<const N: usize>(transform: Exact<PcsSamples, [f64; N]>) -> FromLab
where
    [f64; N]: Pod,
{
    Box::new(move |colour| {
        let mut encoded = [[0.0; N]];
        transform.transform_pixels(&[colour], &mut encoded);
        encoded.as_flattened().iter().map(|sample| sample.clamp(0.0, 1.0)).collect()
    })
}
