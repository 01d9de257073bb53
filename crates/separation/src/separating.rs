use colour::{Lab, Xyz, delta_e_ab};
use print_model::PrintModel;

use crate::{Limits, Rendering, Separated, Separation};

/// Colours this near to media white take no ink, ΔE*ab. Our choice: far below what an eye or an
/// instrument tells apart, above rounding in a source's colour transform.
const WHITE_WITHIN: f64 = 0.05;

/// Whether a media-relative colour is the bare substrate, which takes no ink by rule.
#[must_use]
pub fn is_bare(colour: Lab) -> bool {
    delta_e_ab(colour, Lab::WHITE) <= WHITE_WITHIN
}

/// Whatever turns media-relative colours into coverages within limits, and says what they print:
/// the built [`Separation`], or an output profile with what the device makes of its values.
pub trait Separating: Send + Sync {
    /// Separates a media-relative colour (paper is L* 100).
    fn separate(&self, colour: Lab) -> Separated;

    /// Separates colours of a source as a rendering asks for them, in their order.
    fn separate_rendered(&self, sources: &[Lab], rendering: &Rendering) -> Vec<Separated> {
        sources.iter().map(|source| self.separate(rendering.target(*source))).collect()
    }

    /// The media-relative colour that separated channels print.
    fn predict(&self, separated: &Separated) -> Lab;

    /// The limits that every answer keeps.
    fn limits(&self) -> &Limits;

    /// The neutral to which black-point compensation scales, media-relative.
    fn darkest_neutral(&self) -> Lab;

    /// Tristimulus values of the paper under D50, Y of the perfect diffuser 100.
    fn paper_xyz(&self) -> Xyz;

    /// The print model that predicts the colours, if one does: only it knows spectra.
    fn model(&self) -> Option<&PrintModel>;
}

impl Separating for Separation {
    fn separate(&self, colour: Lab) -> Separated {
        self.separate(colour)
    }

    fn separate_rendered(&self, sources: &[Lab], rendering: &Rendering) -> Vec<Separated> {
        self.separate_rendered(sources, rendering)
    }

    fn predict(&self, separated: &Separated) -> Lab {
        self.predict(separated)
    }

    fn limits(&self) -> &Limits {
        self.limits()
    }

    fn darkest_neutral(&self) -> Lab {
        self.darkest_neutral()
    }

    fn paper_xyz(&self) -> Xyz {
        self.model().paper_xyz()
    }

    fn model(&self) -> Option<&PrintModel> {
        Some(self.model())
    }
}
