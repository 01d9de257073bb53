use crate::ColourError;

/// Number of wavelength bands of a [`Spectrum`].
pub const BANDS: usize = 36;
/// Centre of the first band in nanometres.
pub const FIRST_BAND_NM: f64 = 380.0;
/// Centre of the last band in nanometres.
pub const LAST_BAND_NM: f64 = 730.0;
/// Distance between two bands in nanometres.
pub const STEP_NM: f64 = 10.0;

/// The coarsest sampling from which a spectrum may be interpolated: ISO 13655 allows 20 nm.
const COARSEST_STEP_NM: f64 = 20.0;
const HIGHEST_REFLECTANCE: f64 = units::Reflectance::MAX.to_unit();

/// The reflectance of a surface in 36 bands, 380 to 730 nm by 10 nm, relative to the perfect
/// reflecting diffuser.
///
/// Values lie in 0 to 1.3; papers with optical brightener may exceed 1 near 440 nm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spectrum([f64; BANDS]);

impl Spectrum {
    /// The perfect reflecting diffuser.
    pub const PERFECT_DIFFUSER: Self = Self([1.0; BANDS]);

    /// Makes a spectrum from its 36 bands.
    ///
    /// # Errors
    ///
    /// `ReflectanceOutOfRange` for a band outside 0 to 1.3 or NaN.
    pub fn new(bands: [f64; BANDS]) -> Result<Self, ColourError> {
        let outside = |value: &f64| !(0.0..=HIGHEST_REFLECTANCE).contains(value);
        match bands.iter().position(outside) {
            None => Ok(Self(bands)),
            Some(band) => Err(ColourError::ReflectanceOutOfRange {
                nanometres: Self::nanometres(band),
                value: bands[band],
            }),
        }
    }

    /// Resamples evenly spaced samples of any grid to the 36 bands.
    ///
    /// Finer samples are averaged under a triangle of 10 nm half-height width, as an instrument
    /// with that bandpass would; coarser ones are interpolated linearly. 10 nm samples pass
    /// unchanged.
    ///
    /// # Errors
    ///
    /// `GridTooNarrow` when the samples don't cover 380 to 730 nm or stand more than 20 nm
    /// apart; `ReflectanceOutOfRange` as in [`Spectrum::new`].
    pub fn resampled(first_nm: f64, step_nm: f64, samples: &[f64]) -> Result<Self, ColourError> {
        let too_narrow =
            ColourError::GridTooNarrow { first: first_nm, step: step_nm, count: samples.len() };
        let covered = first_nm <= FIRST_BAND_NM && (0.0..=COARSEST_STEP_NM).contains(&step_nm);
        let intervals = (LAST_BAND_NM - first_nm) / step_nm;
        #[expect(
            clippy::cast_precision_loss,
            reason = "a spectrum has far fewer than 2^52 samples"
        )]
        let last_interval = samples.len() as f64 - 1.0;
        if !covered || step_nm == 0.0 || intervals > last_interval + 1e-9 {
            return Err(too_narrow);
        }
        let half_base = step_nm.max(STEP_NM);
        let mut bands = [0.0; BANDS];
        for (band, value) in bands.iter_mut().enumerate() {
            *value = triangle_mean(first_nm, step_nm, samples, Self::nanometres(band), half_base);
        }
        Self::new(bands)
    }

    /// The reflectance of each band.
    #[must_use]
    pub const fn bands(&self) -> &[f64; BANDS] {
        &self.0
    }

    /// The centre of a band in nanometres.
    #[must_use]
    pub fn nanometres(band: usize) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "there are 36 bands")]
        let steps = band as f64;
        FIRST_BAND_NM + STEP_NM * steps
    }
}

/// Mean of the samples near `centre`, weighted by a triangle that falls to zero at `half_base`
/// nanometres. With `half_base` equal to the sample distance this is linear interpolation.
fn triangle_mean(first: f64, step: f64, samples: &[f64], centre: f64, half_base: f64) -> f64 {
    let mut sum = 0.0;
    let mut weights = 0.0;
    let mut nanometres = first;
    for sample in samples {
        let weight = (1.0 - (nanometres - centre).abs() / half_base).max(0.0);
        sum += weight * sample;
        weights += weight;
        nanometres += step;
    }
    sum / weights
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    #[test]
    fn ten_nanometre_samples_pass_unchanged() {
        let samples: Vec<f64> = (0..43).map(|i| 0.02 * f64::from(i)).collect();
        let spectrum = Spectrum::resampled(360.0, 10.0, &samples).unwrap();
        for (band, value) in spectrum.bands().iter().enumerate() {
            assert_relative_eq!(*value, samples[band + 2], epsilon = 1e-12);
        }
    }

    #[test]
    fn a_straight_spectrum_survives_any_grid() {
        for (step, count) in [(1.0, 401), (5.0, 81), (20.0, 21)] {
            let samples: Vec<f64> = (0..count).map(|i| 0.001 * step * f64::from(i)).collect();
            let spectrum = Spectrum::resampled(360.0, step, &samples).unwrap();
            for (band, value) in spectrum.bands().iter().enumerate() {
                let expected = 0.001 * (Spectrum::nanometres(band) - 360.0);
                assert_relative_eq!(*value, expected, epsilon = 1e-9);
            }
        }
    }

    #[test]
    fn a_grid_that_misses_an_end_is_refused() {
        assert!(Spectrum::resampled(400.0, 10.0, &[0.5; 36]).is_err());
        assert!(Spectrum::resampled(380.0, 10.0, &[0.5; 35]).is_err());
        assert!(Spectrum::resampled(380.0, 0.0, &[0.5; 36]).is_err());
        assert!(Spectrum::resampled(380.0, f64::NAN, &[0.5; 36]).is_err());
    }

    proptest! {
        #[test]
        fn a_band_out_of_range_is_refused_with_its_wavelength(band in 0_usize..36, bad in 1.31..9.0) {
            let mut bands = [0.5; BANDS];
            bands[band] = bad;
            let message = Spectrum::new(bands).unwrap_err().to_string();
            let place = format!("{} nm", Spectrum::nanometres(band));
            prop_assert!(message.contains(&place), "{message}");
        }
    }
}
