use colour::{ColourError, FIRST_BAND_NM, Illuminant, LAST_BAND_NM, Lab, Spectrum, Xyz};

use crate::layout::Layout;
use crate::log::Log;
use crate::row_numbers::{NOISE, Numbers};
use crate::{ChartFault, Measured, Measurement, Patch};

/// The patch that a row's numbers describe.
pub(crate) fn patch(
    numbers: &Numbers,
    layout: &Layout,
    scale: f64,
    log: &mut Log,
) -> Option<Patch> {
    let measurement = match layout.measured {
        Measured::Spectra => {
            let unit: Vec<f64> = numbers.reflectances.iter().map(|r| r / scale).collect();
            let clipped: Vec<f64> =
                unit.iter().map(|&r| if r < NOISE { r } else { r.max(0.0) }).collect();
            spectrum(numbers.first_nm, numbers.step_nm, &clipped)
                .map(Measurement::Spectrum)
                .map_err(|cause| {
                    let sample = numbers.name.clone();
                    log.fault(numbers.line, ChartFault::Colour { sample, cause });
                })
        }
        Measured::Tristimulus => {
            let [x, y, z] = numbers.xyz?;
            Ok(Measurement::Tristimulus(Xyz { x, y, z }))
        }
        Measured::Cielab => {
            let xyz = lab_of(numbers.lab?).to_xyz(Illuminant::D50.white());
            Ok(Measurement::Tristimulus(xyz))
        }
    };
    Some(Patch {
        name: numbers.name.clone(),
        line: numbers.line,
        device: numbers.device.clone(),
        measurement: measurement.ok()?,
        contradiction: None,
        other_reading: None,
    })
}

/// A spectrum whose ends are held where the instrument's range is narrower than 380 to 730 nm, as
/// ASTM E308 has it for the missing ends of a measurement.
fn spectrum(first: f64, step: f64, values: &[f64]) -> Result<Spectrum, ColourError> {
    #[expect(clippy::cast_precision_loss, reason = "spectra have far fewer than 2^52 samples")]
    let last = first + step * values.len().saturating_sub(1) as f64;
    let (Some(&low), Some(&high)) = (values.first(), values.last()) else {
        return Spectrum::resampled(first, step, values);
    };
    if first > NARROWEST_NM[0] || last < NARROWEST_NM[1] || step <= 0.0 {
        return Spectrum::resampled(first, step, values);
    }
    let mut held = values.to_vec();
    let mut from = first;
    while from > FIRST_BAND_NM {
        held.insert(0, low);
        from -= step;
    }
    let mut to = last;
    while to < LAST_BAND_NM {
        held.push(high);
        to += step;
    }
    Spectrum::resampled(from, step, &held)
}

/// Instruments of the trade read at least 400 to 700 nm; the last 20 nm weigh next to nothing.
const NARROWEST_NM: [f64; 2] = [400.0, 680.0];

/// A colour from its three numbers.
pub(crate) const fn lab_of([l, a, b]: [f64; 3]) -> Lab {
    Lab { l, a, b }
}
