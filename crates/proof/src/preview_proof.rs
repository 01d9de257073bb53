use std::sync::Arc;

use census::Preview;
use colour::Lab;
use rayon::prelude::*;
use units::Coverage;

use crate::preview_lattice::PreviewLattice;
use crate::screen::{ScreenPicture, to_srgb};
use crate::{ProofPress, Viewing, WantedColour};

/// How finely a preview is proved.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Fineness {
    /// Every colour for itself: exact, a few hundred thousand colours a second and thread.
    Exact,
    /// On a lattice of 32 intervals along each axis, interpolated between: for small pictures on a
    /// page. Off by a mean ΔE00 below 0.1, more at edges of the gamut.
    #[default]
    Lattice,
}

/// Intervals along each axis of a lattice: 33 nodes for gray and RGB, 17 for CMYK, as output profiles
/// have. Our choice.
const INTERVALS: u32 = 32;
const INTERVALS_OF_FOUR: u32 = 16;

const fn intervals_of(channels: usize) -> u32 {
    if channels > 3 { INTERVALS_OF_FOUR } else { INTERVALS }
}

/// The colours of a preview that are to be proved, before anybody has proved them.
#[derive(Clone, Debug)]
pub struct PreviewColours {
    width: u32,
    height: u32,
    channels: usize,
    samples: Vec<u16>,
    lookup: Lookup,
}

#[derive(Clone, Debug)]
enum Lookup {
    /// Distinct pixels, rising.
    Distinct(Vec<u64>),
    Lattice(Arc<PreviewLattice>),
}

impl PreviewColours {
    /// The colours of a preview.
    #[must_use]
    pub fn of(preview: &Preview, fineness: Fineness) -> Self {
        let channels = preview.model.channels();
        let lookup = match fineness {
            Fineness::Exact => {
                let mut keys: Vec<u64> =
                    preview.samples.par_chunks_exact(channels).map(key).collect();
                keys.par_sort_unstable();
                keys.dedup();
                Lookup::Distinct(keys)
            }
            Fineness::Lattice => {
                Lookup::Lattice(Arc::new(PreviewLattice::over(preview, intervals_of(channels))))
            }
        };
        Self::looked_up(preview, lookup)
    }

    /// The colours of two previews of one picture on one lattice: what is proved for one of them serves
    /// the other, see [`PreviewProof::of_other`].
    #[must_use]
    pub fn of_two(one: &Preview, other: &Preview) -> [Self; 2] {
        let intervals = intervals_of(one.model.channels());
        let lattice = Arc::new(PreviewLattice::over_all(one, &[other], intervals));
        [one, other].map(|preview| Self::looked_up(preview, Lookup::Lattice(Arc::clone(&lattice))))
    }

    fn looked_up(preview: &Preview, lookup: Lookup) -> Self {
        Self {
            width: preview.width,
            height: preview.height,
            channels: preview.model.channels(),
            samples: preview.samples.clone(),
            lookup,
        }
    }

    /// The encoded colours to be proved, 0 to 1, sample after sample.
    #[must_use]
    pub fn encoded(&self) -> Vec<f64> {
        match &self.lookup {
            Lookup::Lattice(lattice) => lattice.encoded(),
            Lookup::Distinct(keys) => keys.iter().flat_map(|key| self.samples_of(*key)).collect(),
        }
    }

    fn samples_of(&self, key: u64) -> Vec<f64> {
        let sample = |channel: usize| {
            let shift = 16 * (self.channels - 1 - channel);
            let [.., high, low] = (key >> shift).to_be_bytes();
            f64::from(u16::from_be_bytes([high, low])) / f64::from(u16::MAX)
        };
        (0..self.channels).map(sample).collect()
    }

    /// The values of a pixel, interpolated where the fineness says so.
    fn write_values(&self, pixel: usize, nodes: &[f32], values: &mut [f32]) {
        let samples = &self.samples[pixel * self.channels..][..self.channels];
        let depth = values.len();
        match &self.lookup {
            Lookup::Distinct(keys) => {
                let place = keys.binary_search(&key(samples)).unwrap_or(0);
                values.copy_from_slice(&nodes[place * depth..][..depth]);
            }
            Lookup::Lattice(lattice) => {
                values.fill(0.0);
                for (place, weight) in lattice.corners(samples).iter() {
                    for (value, node) in values.iter_mut().zip(&nodes[place * depth..][..depth]) {
                        *value += weight * node;
                    }
                }
            }
        }
    }
}

/// A pixel as one number that sorts.
fn key(samples: &[u16]) -> u64 {
    samples.iter().fold(0, |key, sample| key << 16 | u64::from(*sample))
}

/// A preview proved on one ink set: what is intended, asked, printed and shown at every pixel, and
/// with which inks.
pub struct PreviewProof {
    colours: Arc<PreviewColours>,
    channels: usize,
    nodes: Arc<Vec<f32>>,
}

/// A pixel of a proof. All but `shown` are on the scale of [`ProvedColour`](crate::ProvedColour).
#[derive(Clone, Debug, PartialEq)]
pub struct ProofPixel {
    /// The one target that no ink set moves.
    pub intended: Lab,
    /// What the rendering asks.
    pub asked: Lab,
    /// What is printed.
    pub printed: Lab,
    /// What would be printed without compensation.
    pub clipped: Lab,
    /// What the viewing shows on a screen.
    pub shown: Lab,
    /// Coverage of each channel.
    pub coverages: Vec<Coverage>,
}

/// Values of a node before its coverages: five colours.
const COLOUR_VALUES: usize = 15;
/// Pixels of one piece of work: enough to outweigh handing it out.
const PIXELS_AT_ONCE: usize = 4096;

impl PreviewProof {
    /// Proves the colours of a preview; `wanted` are those of [`PreviewColours::encoded`], in its
    /// order.
    #[must_use]
    pub fn new(
        colours: Arc<PreviewColours>,
        wanted: &[WantedColour],
        press: &ProofPress<'_>,
        viewing: Viewing,
    ) -> Self {
        let channels = press.separation().limits().lay_down().len();
        let nodes = wanted
            .par_iter()
            .with_min_len(PIXELS_AT_ONCE / 16)
            .map(|colour| node(press, colour, viewing))
            .collect::<Vec<_>>()
            .concat();
        Self { colours, channels, nodes: Arc::new(nodes) }
    }

    /// The proof of another preview, from what was proved for this one; `None` unless both came from
    /// one [`PreviewColours::of_two`].
    #[must_use]
    pub fn of_other(&self, colours: Arc<PreviewColours>) -> Option<Self> {
        let is_shared = match (&self.colours.lookup, &colours.lookup) {
            (Lookup::Lattice(own), Lookup::Lattice(other)) => Arc::ptr_eq(own, other),
            _ => false,
        };
        let (channels, nodes) = (self.channels, Arc::clone(&self.nodes));
        is_shared.then_some(Self { colours, channels, nodes })
    }

    /// Pixels in a row.
    #[must_use]
    pub fn width(&self) -> u32 {
        self.colours.width
    }

    /// Rows.
    #[must_use]
    pub fn height(&self) -> u32 {
        self.colours.height
    }

    /// Something of every pixel, row by row from the top.
    #[must_use]
    pub fn pixels<T: Send>(&self, of: impl Fn(&ProofPixel) -> T + Sync) -> Vec<T> {
        let count = self.colours.width as usize * self.colours.height as usize;
        (0..count)
            .into_par_iter()
            .with_min_len(PIXELS_AT_ONCE)
            .map_init(
                || (vec![0.0; COLOUR_VALUES + self.channels], self.empty_pixel()),
                |(values, pixel), place| {
                    self.colours.write_values(place, &self.nodes, values);
                    fill(pixel, values);
                    of(pixel)
                },
            )
            .collect()
    }

    /// A picture for a screen made from every pixel.
    #[must_use]
    pub fn picture(&self, of: impl Fn(&ProofPixel) -> [u8; 3] + Sync) -> ScreenPicture {
        ScreenPicture { width: self.width(), height: self.height(), pixels: self.pixels(of) }
    }

    /// What the print would look like.
    #[must_use]
    pub fn soft_proof(&self) -> ScreenPicture {
        self.picture(|pixel| to_srgb(pixel.shown))
    }

    /// What is intended.
    #[must_use]
    pub fn intended(&self) -> ScreenPicture {
        self.picture(|pixel| to_srgb(pixel.intended))
    }

    fn empty_pixel(&self) -> ProofPixel {
        let black = Lab { l: 0.0, a: 0.0, b: 0.0 };
        ProofPixel {
            intended: black,
            asked: black,
            printed: black,
            clipped: black,
            shown: black,
            coverages: vec![Coverage::MIN; self.channels],
        }
    }
}

fn node(press: &ProofPress<'_>, wanted: &WantedColour, viewing: Viewing) -> Vec<f32> {
    let (proved, shown) = press.prove_shown(wanted, viewing);
    let colours = [proved.intended, proved.asked, proved.printed, proved.clipped, shown];
    let colours = colours.into_iter().flat_map(|Lab { l, a, b }| [l, a, b]);
    let coverages = proved.separated.coverages;
    let coverages = coverages.iter().map(|coverage| coverage.to_fraction());
    #[expect(
        clippy::cast_possible_truncation,
        reason = "colours are kept to 10⁻⁵, coverages to 10⁻⁷"
    )]
    let values = colours.chain(coverages).map(|value| value as f32).collect();
    values
}

fn fill(pixel: &mut ProofPixel, values: &[f32]) {
    let lab = |place: usize| {
        let [l, a, b] = [0, 1, 2].map(|axis| f64::from(values[3 * place + axis]));
        Lab { l, a, b }
    };
    pixel.intended = lab(0);
    pixel.asked = lab(1);
    pixel.printed = lab(2);
    pixel.clipped = lab(3);
    pixel.shown = lab(4);
    for (coverage, value) in pixel.coverages.iter_mut().zip(&values[COLOUR_VALUES..]) {
        // Sums of weights may pass one by a rounding.
        *coverage =
            Coverage::from_fraction(f64::from(value.clamp(0.0, 1.0))).unwrap_or(Coverage::MIN);
    }
}
