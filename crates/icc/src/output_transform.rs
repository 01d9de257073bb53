use std::sync::Mutex;

use bytemuck::{cast_slice, cast_slice_mut};
use colour::Lab;
use lcms2::{PixelFormat, ThreadContext};
use units::DeviceValue;

use crate::device_space::MOST_COLORANTS;
use crate::exact::{Exact, exact};
use crate::pcs::{PcsSamples, is_possible, lab_of, lab_profile, samples_of};
use crate::{DeviceSpace, IccError, OutputProfile, RenderingIntent};

/// Colours to device values by the table of an intent, and device values to the colours that they
/// print by the colorimetric one: what a perceptual table gives is meant for other media.
///
/// CIELAB is media-relative: paper is L* 100. No black-point compensation takes place, but for
/// perceptual rendering of version 4: there the library scales from L* 0 to the black of the
/// reference medium, at which those tables start, and can't be told not to. The path
/// is in floating point; a table's own 16-bit numbers are as fine as it gets. Device values are
/// 0 to 1 and have nothing to do with volumes.
///
/// A transform may be shared by threads, and gives the same bits in each.
pub struct OutputTransform {
    space: DeviceSpace,
    to_device: Exact<PcsSamples, u8>,
    to_lab: Exact<u8, PcsSamples>,
    /// Freed last, as both ways were made in it; a lock lets it be shared.
    _context: Mutex<ThreadContext>,
}

/// Colours that a table must answer with numbers: the ends of the connection space and grey.
const PROBES: [Lab; 4] = [
    Lab { l: 100.0, a: 0.0, b: 0.0 },
    Lab { l: 50.0, a: 0.0, b: 0.0 },
    Lab { l: 0.0, a: 0.0, b: 0.0 },
    Lab { l: 50.0, a: 80.0, b: -80.0 },
];

impl OutputTransform {
    /// Makes the transform of a profile by its table for an intent.
    ///
    /// # Errors
    ///
    /// `NoOutputTables` when the profile lacks a table for either direction or answers with
    /// something else than numbers, `ImpossibleColour` when it gives a colour that nothing has.
    pub fn new(profile: &OutputProfile, intent: RenderingIntent) -> Result<Self, IccError> {
        let unusable = || {
            let profile = profile.description().to_owned();
            IccError::NoOutputTables { profile, intent }
        };
        let printed = RenderingIntent::RelativeColorimetric;
        let context = ThreadContext::new();
        let device = profile.open(&context).map_err(|_| unusable())?;
        let lab = lab_profile(&context).map_err(|_| unusable())?;
        let device = (&device, profile.space().pixel_format());
        let lab = (&lab, PixelFormat::Lab_DBL);
        let transform = Self {
            space: profile.space(),
            to_device: exact(&context, lab, device, intent).map_err(|_| unusable())?,
            to_lab: exact(&context, device, lab, printed).map_err(|_| unusable())?,
            _context: Mutex::new(context),
        };
        let numbers = PROBES.iter().all(|probe| transform.raw_device(*probe).is_some());
        if !numbers {
            return Err(unusable());
        }
        let corners = (0..1_usize << profile.space().colorants())
            .map(|corner| transform.lab_of_samples(|place| f64::from(corner >> place & 1 == 1)));
        match corners.into_iter().find(|colour| !is_possible(*colour)) {
            Some(colour) => {
                let profile = profile.description().to_owned();
                Err(IccError::ImpossibleColour { profile, colour })
            }
            None => Ok(transform),
        }
    }

    /// The device values for a media-relative colour, one a colorant.
    ///
    /// Colours outside the gamut are met as the profile's table says.
    #[must_use]
    pub fn to_device(&self, colour: Lab) -> Vec<DeviceValue> {
        let samples = self.raw_device(colour).unwrap_or([0.0; MOST_COLORANTS]);
        let full = self.space.full_scale();
        samples[..self.space.colorants()]
            .iter()
            .map(|sample| (sample / full).clamp(0.0, 1.0))
            .map(|fraction| DeviceValue::from_fraction(fraction).unwrap_or(DeviceValue::MIN))
            .collect()
    }

    /// The media-relative colour that device values print: one a colorant, missing ones are zero.
    #[must_use]
    pub fn to_lab(&self, values: &[DeviceValue]) -> Lab {
        let value = |place: usize| values.get(place).map_or(0.0, |value| value.to_fraction());
        self.lab_of_samples(value)
    }

    /// The library's own numbers; `None` if one of them isn't any.
    fn raw_device(&self, colour: Lab) -> Option<[f64; MOST_COLORANTS]> {
        let mut samples = [0.0_f64; MOST_COLORANTS];
        let used = &mut samples[..self.space.colorants()];
        self.to_device.transform_pixels(&[samples_of(colour)], cast_slice_mut(used));
        samples.iter().all(|sample| sample.is_finite()).then_some(samples)
    }

    fn lab_of_samples(&self, value: impl Fn(usize) -> f64) -> Lab {
        let mut samples = [0.0_f64; MOST_COLORANTS];
        let used = &mut samples[..self.space.colorants()];
        for (place, sample) in used.iter_mut().enumerate() {
            *sample = value(place) * self.space.full_scale();
        }
        let mut colour = [[0.0; 3]];
        self.to_lab.transform_pixels(cast_slice(used), &mut colour);
        lab_of(colour[0])
    }
}
