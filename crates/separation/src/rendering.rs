use std::sync::Arc;

use colour::{Lab, Xyz};

use crate::GamutCompression;

/// How a picture's colours become the colours asked of the print: the step between the source's
/// profile and the separation.
#[derive(Clone, Debug, PartialEq)]
pub enum Rendering {
    /// Media-relative colours as they are; what the set can't print is clipped.
    Relative,
    /// Media-relative colours with black-point compensation: the source's black meets the
    /// darkest neutral of the set, and everything between keeps its place.
    BlackPointCompensated {
        /// Black of the source, media-relative.
        source_black: Lab,
        /// Darkest neutral of the set, media-relative.
        darkest: Lab,
    },
    /// Black-point compensation, then the source's gamut pressed smoothly into the set's.
    Perceptual {
        /// Black of the source, media-relative.
        source_black: Lab,
        /// Darkest neutral of the set, media-relative.
        darkest: Lab,
        /// From the compensated source to the set.
        compression: Arc<GamutCompression>,
    },
    /// Colours as measured, with the source's white printed as a tint of the paper.
    Absolute {
        /// Tristimulus values of the unprinted paper under D50.
        paper: Xyz,
        /// Tristimulus values of the perfect diffuser under D50.
        diffuser: Xyz,
    },
}

impl Rendering {
    /// The media-relative colour that is asked of the print for a colour of the source:
    /// media-relative itself, but for [`Rendering::Absolute`], which takes ICC-absolute colour.
    #[must_use]
    pub fn target(&self, source: Lab) -> Lab {
        match self {
            Self::Relative => source,
            Self::BlackPointCompensated { source_black, darkest } => {
                compensated(source, *source_black, *darkest)
            }
            Self::Perceptual { source_black, darkest, compression } => {
                compression.target(compensated(source, *source_black, *darkest))
            }
            Self::Absolute { paper, diffuser } => {
                let relative_paper = paper.rescaled(*diffuser, Xyz::PCS_WHITE);
                let absolute = source.to_xyz(Xyz::PCS_WHITE);
                absolute.rescaled(relative_paper, Xyz::PCS_WHITE).to_lab(Xyz::PCS_WHITE)
            }
        }
    }

    /// The share to which the rendering scales tristimulus values towards white, if it does nothing else.
    pub(crate) fn scale(&self) -> Option<f64> {
        match self {
            Self::Relative => Some(1.0),
            Self::BlackPointCompensated { source_black, darkest } => {
                Some(compensating_scale(*source_black, *darkest))
            }
            Self::Perceptual { .. } | Self::Absolute { .. } => None,
        }
    }
}

/// Scales tristimulus values towards white so that one black meets the other.
fn compensated(source: Lab, source_black: Lab, darkest: Lab) -> Lab {
    let scale = compensating_scale(source_black, darkest);
    let white = Xyz::PCS_WHITE;
    let Xyz { x, y, z } = source.to_xyz(white);
    let move_towards_white = |value: f64, white: f64| scale * value + (1.0 - scale) * white;
    Xyz {
        x: move_towards_white(x, white.x),
        y: move_towards_white(y, white.y),
        z: move_towards_white(z, white.z),
    }
    .to_lab(white)
}

/// How far from white tristimulus values are left, as a share of how far they were.
///
/// Source: ISO 18619:2015, black point compensation: the scaling is the same for X, Y and Z, and
/// black points are taken as neutral.
fn compensating_scale(source_black: Lab, darkest: Lab) -> f64 {
    let luminance = |black: Lab| Lab { a: 0.0, b: 0.0, ..black }.to_xyz(Xyz::PCS_WHITE).y / 100.0;
    (1.0 - luminance(darkest)) / (1.0 - luminance(source_black))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use colour::delta_e_ab;
    use proptest::prelude::*;

    const BLACK: Lab = Lab { l: 0.0, a: 0.0, b: 0.0 };

    fn compensation(source: f64, darkest: f64) -> Rendering {
        Rendering::BlackPointCompensated {
            source_black: Lab { l: source, ..BLACK },
            darkest: Lab { l: darkest, ..BLACK },
        }
    }

    proptest! {
        #[test]
        fn compensation_moves_black_to_black_and_white_to_white(
            source in 0.0..30.0_f64, darkest in 0.0..40.0_f64,
        ) {
            let rendering = compensation(source, darkest);
            let black = rendering.target(Lab { l: source, ..BLACK });
            assert_abs_diff_eq!(black.l, darkest, epsilon = 1e-6);
            assert_abs_diff_eq!(delta_e_ab(rendering.target(Lab::WHITE), Lab::WHITE), 0.0, epsilon = 1e-6);
        }

        #[test]
        fn compensation_between_equal_blacks_changes_nothing(
            l in 0.0..100.0_f64, a in -50.0..50.0_f64, b in -50.0..50.0_f64,
        ) {
            let colour = Lab { l, a, b };
            let target = compensation(7.0, 7.0).target(colour);
            prop_assert!(delta_e_ab(target, colour) < 1e-9);
        }
    }

    #[test]
    fn absolute_white_tints_a_bluish_paper_yellow() {
        let paper = Xyz { x: 84.0, y: 88.0, z: 76.0 };
        let diffuser = Xyz { x: 96.4238, y: 100.0, z: 82.5129 };
        let target =
            Rendering::Absolute { paper, diffuser }.target(Lab { l: 90.0, a: 0.0, b: 0.0 });
        assert!(target.b > 0.0, "{target}");
    }
}
