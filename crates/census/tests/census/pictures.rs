//! Invented pictures, delivered in bands as a decoder would.

use std::collections::VecDeque;
use std::num::NonZeroUsize;

use colour::{
    Alpha, Band, BitDepth, ColourModel, Damage, Orientation, RasterFormat, RowSource, Samples,
};
use inkfathom_census::{Backdrop, CensusTaker, MOST_PREVIEW_PIXELS, Taken};

/// A picture in memory.
#[derive(Clone, Debug)]
pub(crate) struct Picture {
    pub(crate) format: RasterFormat,
    pub(crate) samples: Samples,
}

/// A picture that fails on purpose after its bands.
#[derive(Debug, PartialEq, thiserror::Error)]
#[error("the decoder gave up")]
pub(crate) struct DecoderGaveUp;

/// The bands of a picture in a chosen order.
#[derive(Clone)]
pub(crate) struct Bands {
    pub(crate) format: RasterFormat,
    pub(crate) bands: VecDeque<Band>,
    pub(crate) damage: Vec<Damage>,
    pub(crate) fails: bool,
}

impl RowSource for Bands {
    type Error = DecoderGaveUp;

    fn format(&self) -> RasterFormat {
        self.format
    }

    fn next_band(&mut self) -> Result<Option<Band>, DecoderGaveUp> {
        match self.bands.pop_front() {
            None if self.fails => Err(DecoderGaveUp),
            band => Ok(band),
        }
    }

    fn damage(&self) -> &[Damage] {
        &self.damage
    }
}

impl Picture {
    pub(crate) fn bytes(width: u32, height: u32, model: ColourModel, samples: Vec<u8>) -> Self {
        let format = format(width, height, model, BitDepth::Eight, Alpha::None);
        let samples = Samples::Eight(samples);
        Self { format, samples }
    }

    pub(crate) fn words(width: u32, height: u32, model: ColourModel, samples: Vec<u16>) -> Self {
        let format = format(width, height, model, BitDepth::Sixteen, Alpha::None);
        let samples = Samples::Sixteen(samples);
        Self { format, samples }
    }

    /// Some rows as a picture of their own.
    pub(crate) fn tile(&self, first_row: u32, rows: u32) -> Self {
        let mut format = self.format;
        format.height = rows;
        let samples = self.band(first_row, rows).samples;
        Self { format, samples }
    }

    /// Bands of the given heights in turn, from the top.
    pub(crate) fn bands(&self, heights: &[u32]) -> Bands {
        let mut bands = VecDeque::new();
        let mut first = 0;
        for height in heights.iter().cycle() {
            let rows = (*height).min(self.format.height - first);
            bands.push_back(self.band(first, rows));
            first += rows;
            if first == self.format.height {
                break;
            }
        }
        Bands { format: self.format, bands, damage: Vec::new(), fails: false }
    }

    fn band(&self, first_row: u32, rows: u32) -> Band {
        let row = self.format.samples_per_row();
        let range = first_row as usize * row..(first_row + rows) as usize * row;
        let samples = match &self.samples {
            Samples::Eight(samples) => Samples::Eight(samples[range].to_vec()),
            Samples::Sixteen(samples) => Samples::Sixteen(samples[range].to_vec()),
        };
        Band { first_row, rows, samples }
    }

    /// Colour samples of each pixel, 0 to 1.
    pub(crate) fn colours(&self) -> Vec<Vec<f64>> {
        let flat: Vec<f64> = match &self.samples {
            Samples::Eight(samples) => samples.iter().map(|s| f64::from(*s) / 255.0).collect(),
            Samples::Sixteen(samples) => samples.iter().map(|s| f64::from(*s) / 65535.0).collect(),
        };
        let per_pixel = self.format.samples_per_pixel();
        flat.chunks_exact(per_pixel).map(<[f64]>::to_vec).collect()
    }

    pub(crate) fn taken(&self) -> Taken {
        taker(1).take(&mut self.bands(&[16])).unwrap()
    }
}

pub(crate) fn taker(threads: usize) -> CensusTaker {
    CensusTaker {
        orientation: Orientation::Upright,
        backdrop: Backdrop::MediaWhite,
        preview_pixels: MOST_PREVIEW_PIXELS,
        joins: false,
        threads: NonZeroUsize::new(threads).unwrap(),
    }
}

pub(crate) fn format(
    width: u32,
    height: u32,
    model: ColourModel,
    depth: BitDepth,
    alpha: Alpha,
) -> RasterFormat {
    RasterFormat { width, height, model, depth, alpha }
}

/// A small generator of even noise (Marsaglia 2003, xorshift64).
pub(crate) struct Noise(pub(crate) u64);

impl Noise {
    pub(crate) fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    /// −0.5 to 0.5.
    pub(crate) fn centred(&mut self) -> f64 {
        (self.next() >> 40) as f64 / (1_u64 << 24) as f64 - 0.5
    }
}

/// Invented scenes with the statistics of photographs: detail at all scales, each octave with
/// half the contrast of the coarser one (amplitude falls as 1/f: Field 1987), tones that vary
/// more than hues, and grain.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Scene {
    /// Saturated petals in daylight.
    Petals,
    /// Night harbour: most of it near black, some lamps.
    NightHarbour,
    /// A pressed leaf on a white sheet.
    SpecimenSheet,
    /// A clear sky without any grain: long smooth ramps.
    Sky,
}

impl Scene {
    pub(crate) const ALL: [Self; 4] =
        [Self::Petals, Self::NightHarbour, Self::SpecimenSheet, Self::Sky];

    /// The colour at a place; x and y run from 0 to 1.
    pub(crate) fn colour(self, x: f64, y: f64, noise: &mut Noise) -> [f64; 3] {
        let tone = detail(x, y, 0);
        let hues = [1, 2, 3].map(|seed| detail(x, y, seed));
        let (base, grain) = match self {
            Self::Petals => (hues.map(|hue| 0.45 + 1.2 * tone + 0.8 * hue), 0.03),
            Self::NightHarbour => {
                let lamp = 4.0 * (tone - 0.25).max(0.0);
                (hues.map(|hue| 0.08 + 0.2 * tone + 0.1 * hue + lamp), 0.03)
            }
            Self::SpecimenSheet => {
                let leaf = (0.3 - (x - 0.5).hypot(y - 0.5) + 0.2 * tone).clamp(0.0, 0.1) * 10.0;
                let ink = [0.7, 0.35, 0.8];
                let shade = |place: usize| 1.0 - leaf * (ink[place] + 0.6 * hues[place]);
                ([0, 1, 2].map(|place| (1.01 - 0.04 * x) * shade(place)), 0.02)
            }
            Self::Sky => {
                let haze = (1.0 - y).powi(2);
                ([0.25 + 0.6 * haze, 0.45 + 0.45 * haze, 0.75 + 0.2 * haze], 0.0)
            }
        };
        base.map(|sample| (sample + grain * noise.centred()).clamp(0.0, 1.0))
    }

    pub(crate) fn samples(self, width: u32, height: u32) -> impl Iterator<Item = f64> {
        let mut noise = Noise(0x9E37_79B9_7F4A_7C15);
        let places = (0..height).flat_map(move |y| (0..width).map(move |x| (x, y)));
        places.flat_map(move |(x, y)| {
            let across = f64::from(x) / f64::from(width);
            self.colour(across, f64::from(y) / f64::from(height), &mut noise)
        })
    }

    pub(crate) fn bytes(self, width: u32, height: u32) -> Picture {
        let samples = self.samples(width, height);
        let samples = samples.map(|sample| (sample * 255.0).round() as u8).collect();
        Picture::bytes(width, height, ColourModel::Rgb, samples)
    }

    pub(crate) fn words(self, width: u32, height: u32) -> Picture {
        let samples = self.samples(width, height);
        let samples = samples.map(|sample| (sample * 65535.0).round() as u16).collect();
        Picture::words(width, height, ColourModel::Rgb, samples)
    }

    /// The green samples alone.
    pub(crate) fn gray(self, width: u32, height: u32) -> Picture {
        let samples = self.samples(width, height).skip(1).step_by(3);
        let samples = samples.map(|sample| (sample * 65535.0).round() as u16).collect();
        Picture::words(width, height, ColourModel::Gray, samples)
    }
}

/// Value noise of seven octaves, about −0.5 to 0.5.
fn detail(x: f64, y: f64, seed: u64) -> f64 {
    let octaves = (0..7).map(|octave| {
        let scale = f64::from(4 << octave);
        smooth_noise(x * scale, y * scale, seed * 7 + octave) / f64::from(1 << octave)
    });
    octaves.sum::<f64>() * 0.75
}

/// Even noise at whole places, smoothly blended between them.
fn smooth_noise(x: f64, y: f64, seed: u64) -> f64 {
    let at = |across: f64, along: f64| {
        let (column, row) = ((x.floor() + across) as u64, (y.floor() + along) as u64);
        let place = column * 0x1F12_3BB5 + row;
        let mut noise = Noise((place + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ (seed + 1) << 40);
        noise.next();
        noise.centred()
    };
    let blend = |into: f64| into * into * (3.0 - 2.0 * into);
    let (across, along) = (blend(x.fract()), blend(y.fract()));
    let row = |along: f64| at(0.0, along) * (1.0 - across) + at(1.0, along) * across;
    row(0.0) * (1.0 - along) + row(1.0) * along
}
