use std::sync::LazyLock;

use colour::{Lab, Xyz};

/// A picture for a screen: sRGB, 8 bits, rows from the top.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ScreenPicture {
    /// Pixels in a row.
    pub width: u32,
    /// Rows.
    pub height: u32,
    /// Red, green, blue of each pixel.
    pub pixels: Vec<[u8; 3]>,
}

/// White of sRGB, Y of 100 (IEC 61966-2-1, from its chromaticity 0.3127, 0.3290).
const D65: Xyz = Xyz { x: 95.0456, y: 100.0, z: 108.9058 };
/// XYZ to linear red, green and blue (IEC 61966-2-1, as published with four decimals).
const TO_RGB: [[f64; 3]; 3] =
    [[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]];
/// Steps of light in the table of encoded samples: fine enough for every 8-bit sample in the
/// shadows, where one is 20 steps wide.
const STEPS: u16 = u16::MAX;

static ENCODED: LazyLock<Vec<u8>> = LazyLock::new(|| (0..=STEPS).map(encoded).collect());

/// The sRGB encoding of a colour relative to the white of a page, D50. Colours that sRGB lacks are
/// cut sample by sample.
#[must_use]
pub fn to_srgb(colour: Lab) -> [u8; 3] {
    let Xyz { x, y, z } = colour.to_xyz(Xyz::PCS_WHITE).adapted(Xyz::PCS_WHITE, D65);
    TO_RGB.map(|[r, g, b]| {
        let light = (r * x + g * y + b * z) / 100.0;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped to the table before"
        )]
        let step = (light.clamp(0.0, 1.0) * f64::from(STEPS)).round() as usize;
        ENCODED[step]
    })
}

/// IEC 61966-2-1, clause 5.3, to 8 bits.
fn encoded(step: u16) -> u8 {
    let light = f64::from(step) / f64::from(STEPS);
    let sample =
        if light <= 0.003_130_8 { light * 12.92 } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "samples lie in 0 to 255"
    )]
    let byte = (sample * 255.0).round() as u8;
    byte
}

#[cfg(test)]
mod tests {
    use super::*;

    /// sRGB bytes with their CIELAB under D50, from the second computation kept in
    /// `crates/icc/tests/icc/srgb_oracle.rs`.
    const PAIRS: &[([u8; 3], [f64; 3])] = &[
        ([255, 255, 255], [100.0, 0.0, 0.0]),
        ([0, 0, 0], [0.0, 0.0, 0.0]),
        ([255, 0, 0], [54.29, 80.81, 69.89]),
        ([0, 0, 255], [29.57, 68.30, -112.03]),
        ([119, 119, 119], [50.03, 0.0, 0.0]),
    ];

    #[test]
    fn known_colours_come_back_to_a_step() {
        for (bytes, [l, a, b]) in PAIRS {
            let found = to_srgb(Lab { l: *l, a: *a, b: *b });
            let near = found.iter().zip(bytes).all(|(one, other)| one.abs_diff(*other) <= 1);
            assert!(near, "{found:?}, not {bytes:?}");
        }
    }

    #[test]
    fn colours_beyond_the_screen_are_cut() {
        assert_eq!(to_srgb(Lab { l: 120.0, a: 0.0, b: 0.0 }), [255, 255, 255]);
        assert_eq!(to_srgb(Lab { l: 70.0, a: -120.0, b: 60.0 })[0], 0);
    }
}
