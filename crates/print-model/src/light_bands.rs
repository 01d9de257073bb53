use colour::{BANDS, Illuminant, Spectrum, Xyz};
use inkset::{EffectiveValues, MixedBands};

/// The 36 values that mix when inks mix.
///
/// They are the bands of a spectrum, or, for charts without spectra, Z, Y and X over those of the
/// perfect diffuser under D50, twelve times each in the order of their wavelengths. Repeating
/// them lets everything that walks over 36 bands serve both kinds.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LightBands(pub(crate) MixedBands);

/// Places of each tristimulus value among 36.
const REPEATS: usize = BANDS / 3;
/// The order of X, Y and Z by the wavelengths at which they weigh most.
const BY_WAVELENGTH: [usize; 3] = [2, 1, 0];

impl LightBands {
    /// The values of a spectrum.
    pub(crate) fn of(self, spectrum: &Spectrum) -> [f64; BANDS] {
        match self.0 {
            MixedBands::Spectral => *spectrum.bands(),
            MixedBands::Tristimulus => {
                let [xyz, white] = [Illuminant::D50.tristimulus(spectrum), Illuminant::D50.white()];
                repeated([xyz.x / white.x, xyz.y / white.y, xyz.z / white.z])
            }
        }
    }

    /// The tristimulus values of mixed values, or their slopes: linear in each value.
    pub(crate) fn tristimulus(self, values: &[f64; BANDS]) -> Xyz {
        match self.0 {
            MixedBands::Spectral => Illuminant::D50.weighted_sum(values),
            MixedBands::Tristimulus => {
                let white = Illuminant::D50.white();
                let [z, y, x] = [0, 1, 2].map(|third| mean(&values[third * REPEATS..][..REPEATS]));
                Xyz { x: x * white.x, y: y * white.y, z: z * white.z }
            }
        }
    }

    /// A spectrum of mixed values: themselves, or the smoothest that adds up to them.
    pub(crate) fn spectrum(self, values: &[f64; BANDS]) -> Spectrum {
        let grey = || crate::solids::by_band(|_| values[BANDS / 2]);
        match self.0 {
            MixedBands::Spectral => crate::solids::by_band(|band| values[band]),
            MixedBands::Tristimulus => {
                Spectrum::smoothest(self.tristimulus(values)).unwrap_or_else(|_| grey())
            }
        }
    }
}

/// A node of an effective-coverage curve in each of the 36 values.
pub(crate) fn curve_node(effective: &EffectiveValues, node: usize, band: usize) -> f64 {
    match effective {
        EffectiveValues::AllBands(values) => values[node].to_fraction(),
        EffectiveValues::PerBand(values) => values[node][band],
        EffectiveValues::PerTristimulus(values) => values[node][BY_WAVELENGTH[band / REPEATS]],
    }
}

/// X, Y and Z in their places among 36.
pub(crate) fn repeated(xyz: [f64; 3]) -> [f64; BANDS] {
    std::array::from_fn(|band| xyz[BY_WAVELENGTH[band / REPEATS]])
}

fn mean(values: &[f64]) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "there are twelve values")]
    let count = values.len() as f64;
    values.iter().sum::<f64>() / count
}
