//! Pictures that show figures: colour differences, ink load, single inks.

use colour::{Lab, delta_e_00};
use print_model::PrintModel;
use rayon::prelude::*;
use separation::Limits;
use units::{Coverage, Load};

use crate::screen::{ScreenPicture, to_srgb};
use crate::{PreviewProof, ProofPixel, Viewing};

/// A colour for each value of a scale, straight between its stops.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ColourScale {
    /// Rising values with their colours.
    pub stops: &'static [(f64, [u8; 3])],
}

/// Colour differences in ΔE00. Our choice: pale below what eyes tell apart, then ever darker, so
/// that the order also reads in gray and to colour-blind eyes.
pub const DIFFERENCE_SCALE: ColourScale = ColourScale {
    stops: &[
        (0.0, [246, 245, 240]),
        (1.0, [214, 222, 214]),
        (2.0, [233, 190, 92]),
        (4.0, [214, 108, 58]),
        (7.0, [153, 40, 94]),
        (12.0, [52, 14, 74]),
    ],
};

/// Ink load as a share of the limit. Our choice: from paper to deep blue-green.
pub const LOAD_SCALE: ColourScale =
    ColourScale { stops: &[(0.0, [255, 255, 255]), (0.5, [126, 178, 186]), (1.0, [6, 52, 64])] };

/// Where the load reaches its limit: the one colour that is not on the scale.
pub const AT_LIMIT: [u8; 3] = [226, 60, 30];
/// A load from this part of the limit on counts as having reached it: single-precision lattices
/// and scaling leave it a little below. Our choice.
const REACHED: f64 = 0.999;

impl ColourScale {
    /// The colour of a value; the nearer end outside the scale.
    #[must_use]
    pub fn colour(&self, value: f64) -> [u8; 3] {
        let above = self.stops.partition_point(|(stop, _)| *stop <= value);
        let Some(&(to, high)) = self.stops.get(above) else {
            return self.stops.last().map_or([0; 3], |(_, colour)| *colour);
        };
        let Some(&(from, low)) = above.checked_sub(1).and_then(|below| self.stops.get(below))
        else {
            return high;
        };
        let part = (value - from) / (to - from);
        std::array::from_fn(|sample| {
            let mixed = f64::from(low[sample]) * (1.0 - part) + f64::from(high[sample]) * part;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a mixture of bytes"
            )]
            let byte = mixed.round() as u8;
            byte
        })
    }
}

/// ΔE00 between what is printed and what is intended.
#[must_use]
pub fn difference_map(proof: &PreviewProof) -> ScreenPicture {
    proof.picture(|pixel| DIFFERENCE_SCALE.colour(delta_e_00(pixel.intended, pixel.printed)))
}

/// ΔE00 between what two sets print for the same preview.
#[must_use]
pub fn difference_between(one: &PreviewProof, other: &PreviewProof) -> ScreenPicture {
    let printed = |proof: &PreviewProof| proof.pixels(|pixel| pixel.printed);
    between(one.width(), one.height(), &printed(one), &printed(other))
}

fn between(width: u32, height: u32, one: &[Lab], other: &[Lab]) -> ScreenPicture {
    let colour = |(one, other): (&Lab, &Lab)| DIFFERENCE_SCALE.colour(delta_e_00(*one, *other));
    ScreenPicture { width, height, pixels: one.par_iter().zip(other).map(colour).collect() }
}

/// What a page shows of a proof, gathered in one pass over its pixels.
#[derive(Clone, Debug, PartialEq)]
pub struct Overview {
    /// What is intended.
    pub intended: ScreenPicture,
    /// What the print would look like.
    pub soft_proof: ScreenPicture,
    /// ΔE00 between what is printed and what is intended.
    pub difference: ScreenPicture,
    printed: Vec<Lab>,
}

struct OverviewPixel {
    intended: [u8; 3],
    shown: [u8; 3],
    difference: [u8; 3],
    printed: Lab,
}

impl Overview {
    /// Gathers it.
    #[must_use]
    pub fn of(proof: &PreviewProof) -> Self {
        let each = proof.pixels(|pixel| OverviewPixel {
            intended: to_srgb(pixel.intended),
            shown: to_srgb(pixel.shown),
            difference: DIFFERENCE_SCALE.colour(delta_e_00(pixel.intended, pixel.printed)),
            printed: pixel.printed,
        });
        let picture = |of: fn(&OverviewPixel) -> [u8; 3]| ScreenPicture {
            width: proof.width(),
            height: proof.height(),
            pixels: each.iter().map(of).collect(),
        };
        Self {
            intended: picture(|each| each.intended),
            soft_proof: picture(|each| each.shown),
            difference: picture(|each| each.difference),
            printed: each.iter().map(|each| each.printed).collect(),
        }
    }

    /// ΔE00 between what this and another set print for the same preview.
    #[must_use]
    pub fn difference_from(&self, other: &Self) -> ScreenPicture {
        let ScreenPicture { width, height, .. } = self.soft_proof;
        between(width, height, &self.printed, &other.printed)
    }
}

/// Ink load as a share of the limit, with the places where it reaches it marked.
#[must_use]
pub fn load_map(proof: &PreviewProof, limits: &Limits) -> ScreenPicture {
    proof.picture(|pixel| {
        let share = share_of_limit(pixel, limits);
        if share >= REACHED { AT_LIMIT } else { LOAD_SCALE.colour(share) }
    })
}

fn share_of_limit(pixel: &ProofPixel, limits: &Limits) -> f64 {
    let load: Load = pixel.coverages.iter().zip(limits.lay_down()).map(|(c, l)| *l * *c).sum();
    load.to_millilitres_per_square_metre() / limits.load().to_millilitres_per_square_metre()
}

/// One channel in gray: white where it prints nothing, black where it covers fully.
#[must_use]
pub fn separation_in_gray(proof: &PreviewProof, channel: usize) -> ScreenPicture {
    proof.picture(|pixel| {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "coverages lie in 0 to 1"
        )]
        let gray = (255.0 * (1.0 - pixel.coverages[channel].to_fraction())).round() as u8;
        [gray; 3]
    })
}

/// Steps of the table of a tint; coverages between are rounded, by less than a byte of a sample.
const TINT_STEPS: u16 = 255;

/// One channel in the colour that the print model predicts for it alone.
#[must_use]
pub fn separation_tinted(
    proof: &PreviewProof,
    channel: usize,
    model: &PrintModel,
    viewing: Viewing,
) -> ScreenPicture {
    let tints: Vec<[u8; 3]> = (0..=TINT_STEPS)
        .map(|step| {
            let coverage = f64::from(step) / f64::from(TINT_STEPS);
            to_srgb(tint(model, channel, coverage, viewing))
        })
        .collect();
    proof.picture(|pixel| {
        let scaled = pixel.coverages[channel].to_fraction() * f64::from(TINT_STEPS);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "coverages lie in 0 to 1"
        )]
        let step = scaled.round() as usize;
        tints[step]
    })
}

/// The colour of a channel alone at some coverage.
#[must_use]
pub fn tint(model: &PrintModel, channel: usize, coverage: f64, viewing: Viewing) -> Lab {
    let mut coverages = vec![Coverage::MIN; model.channels()];
    if let Some(own) = coverages.get_mut(channel) {
        *own = Coverage::from_fraction(coverage.clamp(0.0, 1.0)).unwrap_or(Coverage::MIN);
    }
    viewing.colour(&model.spectrum(&coverages), model.paper())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_run_from_stop_to_stop_and_end_at_their_ends() {
        for scale in [DIFFERENCE_SCALE, LOAD_SCALE] {
            for (value, colour) in scale.stops {
                assert_eq!(scale.colour(*value), *colour);
            }
            assert_eq!(scale.colour(-1.0), scale.stops[0].1);
            assert_eq!(scale.colour(99.0), scale.stops.last().unwrap().1);
        }
    }

    #[test]
    fn more_is_always_darker() {
        let light = |[r, g, b]: [u8; 3]| u32::from(r) * 3 + u32::from(g) * 6 + u32::from(b);
        for scale in [DIFFERENCE_SCALE, LOAD_SCALE] {
            let all: Vec<u32> =
                (0..=120).map(|tenth| light(scale.colour(f64::from(tenth) / 10.0))).collect();
            assert!(all.is_sorted_by(|one, next| one >= next), "{all:?}");
        }
    }
}
