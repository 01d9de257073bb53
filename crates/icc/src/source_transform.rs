use std::sync::Mutex;

use colour::{ColourModel, Lab};
use lcms2::{PixelFormat, Pod, ThreadContext};

use crate::characterisation::Characterisation;
use crate::exact::{Exact, exact};
use crate::pcs::{PcsSamples, is_possible, lab_of, lab_profile, samples_of};
use crate::source_profile::Computed;
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
    /// The darkest colour of a source of inks, where it is no corner of the encoding.
    black: Option<Lab>,
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
        let mut black = None;
        let (to_lab, from_lab) = match (profile.computed(), profile.model()) {
            (Some(computed), _) => (computed_way(computed, intent), None),
            (None, ColourModel::Gray) => make.both::<1>(PixelFormat::GRAY_DBL, 1.0)?,
            (None, ColourModel::Rgb) => make.both::<3>(PixelFormat::RGB_DBL, 1.0)?,
            (None, ColourModel::Cmyk) => {
                black = make.darkest_ink();
                make.both::<4>(PixelFormat::CMYK_DBL, INK_SCALE)?
            }
            (None, model @ ColourModel::Lab) => return Err(IccError::UnsupportedModel { model }),
        };
        let transform = Self {
            model: profile.model(),
            intent,
            profile: profile.description().to_owned(),
            to_lab,
            from_lab,
            black: black.or_else(|| darkest_computed(profile)),
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

    /// Takes encoded colours, one sample each for gray, three for RGB and CIELAB, four for CMYK, to
    /// CIELAB.
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
    /// It is the colour of the darkest encoding by this transform's own intent, with a* and b* set
    /// to zero and L* held to 0 to 50. The darkest encoding has all samples 0; of CMYK it is what
    /// the profile's perceptual table gives for L* 0, because all inks in full are no colour that
    /// is printed, and of the built-in table its darkest patch. There is none under the absolute
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
        let black = match (self.black, self.model) {
            (Some(black), _) => Some(black),
            (None, ColourModel::Cmyk) => self.to_lab(&[1.0; 4])?.first().copied(),
            (None, model) => self.to_lab(&vec![0.0; model.channels()])?.first().copied(),
        };
        let neutral = |black: Lab| Lab { l: black.l.clamp(0.0, LIGHTEST_BLACK), a: 0.0, b: 0.0 };
        Ok(black.map(neutral))
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
        scale: f64,
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
        Ok((evaluator::<N>(forward, scale), back.map(|back| inverse::<N>(back, scale))))
    }

    /// The colour of the inks that the perceptual table gives for black; `None` without that table.
    fn darkest_ink(&self) -> Option<Lab> {
        let source = self.profile.open(self.context).ok()?;
        let lab = lab_profile(self.context).ok()?;
        let (source, lab) = ((&source, PixelFormat::CMYK_DBL), (&lab, PixelFormat::Lab_DBL));
        let perceptual = RenderingIntent::Perceptual;
        let to_inks: Exact<PcsSamples, [f64; 4]> =
            exact(self.context, lab, source, perceptual).ok()?;
        let mut inks = [[0.0; 4]];
        to_inks.transform_pixels(&[[0.0; 3]], &mut inks);
        let to_lab: Exact<[f64; 4], PcsSamples> =
            exact(self.context, source, lab, self.intent).ok()?;
        let mut colour = [[0.0; 3]];
        to_lab.transform_pixels(&inks, &mut colour);
        Some(lab_of(colour[0])).filter(|colour| is_possible(*colour))
    }

    fn unusable(&self) -> IccError {
        let profile = self.profile.description().to_owned();
        IccError::Unusable { profile, intent: self.intent }
    }
}

/// The colour management library counts inks in percent when it computes in floating point.
const INK_SCALE: f64 = 100.0;

/// CIELAB of the sources that need no colour management library.
fn computed_way(computed: Computed, intent: RenderingIntent) -> ToLab {
    match computed {
        Computed::CoatedOffset => {
            let table = Characterisation::coated_offset();
            let absolute = intent == RenderingIntent::AbsoluteColorimetric;
            let lab = move |device: &[f64; 4]| {
                let relative = Characterisation::to_relative_lab;
                samples_of(if absolute {
                    table.to_absolute_lab(*device)
                } else {
                    relative(table, *device)
                })
            };
            Box::new(move |encoded| encoded.as_chunks().0.iter().map(lab).collect())
        }
        Computed::Cielab => {
            let lab = |[l, a, b]: &[f64; 3]| [l * 100.0, a * 255.0 - 128.0, b * 255.0 - 128.0];
            Box::new(move |encoded| encoded.as_chunks().0.iter().map(lab).collect())
        }
    }
}

fn darkest_computed(profile: &SourceProfile) -> Option<Lab> {
    match profile.computed()? {
        Computed::CoatedOffset => Characterisation::coated_offset().darkest(),
        Computed::Cielab => Some(Lab { l: 0.0, a: 0.0, b: 0.0 }),
    }
}

fn evaluator<const N: usize>(transform: Exact<[f64; N], PcsSamples>, scale: f64) -> ToLab
where
    [f64; N]: Pod,
{
    Box::new(move |encoded| {
        let encoded = encoded.as_chunks::<N>().0;
        let mut colours = vec![[0.0; 3]; encoded.len()];
        if scale == 1.0 {
            transform.transform_pixels(encoded, &mut colours);
        } else {
            let scaled: Vec<_> =
                encoded.iter().map(|colour| colour.map(|sample| sample * scale)).collect();
            transform.transform_pixels(&scaled, &mut colours);
        }
        colours
    })
}

fn inverse<const N: usize>(transform: Exact<PcsSamples, [f64; N]>, scale: f64) -> FromLab
where
    [f64; N]: Pod,
{
    Box::new(move |colour| {
        let mut encoded = [[0.0; N]];
        transform.transform_pixels(&[colour], &mut encoded);
        encoded.as_flattened().iter().map(|sample| (sample / scale).clamp(0.0, 1.0)).collect()
    })
}
