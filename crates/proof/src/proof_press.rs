use colour::{Illuminant, Lab, Spectrum, Xyz, delta_e_00};
use separation::{Rendering, Separated, Separating};

use crate::Viewing;

/// Prints single colours by prediction: separation, then the print model on the *channels* that
/// splitting and limits leave.
#[derive(Clone)]
pub struct ProofPress<'set> {
    separation: &'set dyn Separating,
    rendering: Rendering,
    adaptation: LampAdaptation,
}

/// A colour of a picture, by its profile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WantedColour {
    /// The one target that no ink set moves: media-relative CIELAB by the colorimetric table,
    /// without compensation; ICC-absolute under absolute rendering.
    pub intended: Lab,
    /// The colour by the table of the job's own intent, which its rendering starts from.
    pub rendered_from: Lab,
}

/// A colour of a picture with what is printed for it. All colours are on the scale of the
/// intended one: media-relative, or ICC-absolute under absolute rendering.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProvedColour {
    /// The one target that no ink set moves.
    pub intended: Lab,
    /// What the job's rendering asks of the print: with black-point compensation, the intended
    /// colour moved by it.
    pub asked: Lab,
    /// What the channels print.
    pub printed: Lab,
    /// What they would print for the intended colour without any compensation: where this
    /// differs, the set's gamut ends.
    pub clipped: Lab,
    /// The channels.
    pub separated: Separated,
    /// ΔE00 between the printed colour under D50 and under illuminant A, each seen by an eye
    /// adapted to it; `None` where an output profile predicts colours and no spectra.
    pub inconstancy: Option<f64>,
}

impl<'set> ProofPress<'set> {
    /// A press that prints with a separation, rendering colours in one way.
    #[must_use]
    pub fn new(separation: &'set dyn Separating, rendering: Rendering) -> Self {
        Self { separation, rendering, adaptation: LampAdaptation::new() }
    }

    /// The separation.
    #[must_use]
    pub const fn separation(&self) -> &'set dyn Separating {
        self.separation
    }

    /// The rendering.
    #[must_use]
    pub const fn rendering(&self) -> &Rendering {
        &self.rendering
    }

    /// Prints a colour.
    #[must_use]
    pub fn prove(&self, wanted: &WantedColour) -> ProvedColour {
        self.proved(wanted, true).0
    }

    /// Prints a colour without asking what would be printed without compensation, which takes as long
    /// again: `clipped` is `printed`.
    #[must_use]
    pub fn prove_as_rendered(&self, wanted: &WantedColour) -> ProvedColour {
        self.proved(wanted, false).0
    }

    /// Prints a colour and looks at it: the second colour is what a screen shows.
    #[must_use]
    pub fn prove_shown(&self, wanted: &WantedColour, viewing: Viewing) -> (ProvedColour, Lab) {
        let (proved, spectrum) = self.proved(wanted, true);
        let shown = match (spectrum, self.separation.model()) {
            (Some(spectrum), Some(model)) => viewing.colour(&spectrum, model.paper()),
            _ => {
                let relative = self.separation.predict(&proved.separated);
                viewing.of_relative(relative, self.separation.paper_xyz())
            }
        };
        (proved, shown)
    }

    fn proved(&self, wanted: &WantedColour, clips: bool) -> (ProvedColour, Option<Spectrum>) {
        let model = self.separation.model();
        let asked_relative = self.rendering.target(wanted.rendered_from);
        let separated = self.separation.separate(asked_relative);
        let spectrum = model.map(|model| model.spectrum(&separated.coverages));
        let printed = match (&spectrum, model) {
            (Some(spectrum), Some(model)) => model.lab(spectrum),
            _ => self.separation.predict(&separated),
        };
        let printed = self.on_scale(printed);
        let proved = ProvedColour {
            intended: wanted.intended,
            asked: self.on_scale(asked_relative),
            printed,
            clipped: if clips {
                self.clipped(wanted.intended, &separated, printed)
            } else {
                printed
            },
            separated,
            inconstancy: spectrum.as_ref().map(|spectrum| self.inconstancy(spectrum)),
        };
        (proved, spectrum)
    }

    /// How much a surface changes colour from daylight to lamplight for an adapted eye, in ΔE00:
    /// its tristimulus values under A, taken to D50 by the Bradford adaptation, against those
    /// under D50.
    #[must_use]
    pub fn inconstancy(&self, surface: &Spectrum) -> f64 {
        self.adaptation.difference(surface)
    }

    /// What is printed for the intended colour as it is.
    fn clipped(&self, intended: Lab, separated: &Separated, printed: Lab) -> Lab {
        if matches!(self.rendering, Rendering::Absolute { .. }) {
            return printed;
        }
        let uncompensated = self.separation.separate(intended);
        // Mid-tones and whites are often moved by less than the separation tells apart.
        if uncompensated.coverages == separated.coverages {
            return printed;
        }
        self.separation.predict(&uncompensated)
    }

    /// Brings a media-relative colour to the scale of the intended colours.
    fn on_scale(&self, relative: Lab) -> Lab {
        match self.rendering {
            Rendering::Relative
            | Rendering::BlackPointCompensated { .. }
            | Rendering::Perceptual { .. } => relative,
            Rendering::Absolute { paper, diffuser } => {
                let paper = paper.rescaled(diffuser, Xyz::PCS_WHITE);
                let relative = relative.to_xyz(Xyz::PCS_WHITE);
                relative.rescaled(Xyz::PCS_WHITE, paper).to_lab(Xyz::PCS_WHITE)
            }
        }
    }
}

/// The whites between which an eye adapts.
#[derive(Clone, Copy)]
struct LampAdaptation {
    daylight: Xyz,
    lamplight: Xyz,
}

impl LampAdaptation {
    fn new() -> Self {
        Self { daylight: Illuminant::D50.white(), lamplight: Illuminant::A.white() }
    }

    fn difference(&self, surface: &Spectrum) -> f64 {
        let by_day = Illuminant::D50.tristimulus(surface);
        let by_lamp = Illuminant::A.tristimulus(surface).adapted(self.lamplight, self.daylight);
        delta_e_00(by_day.to_lab(self.daylight), by_lamp.to_lab(self.daylight))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::BANDS;

    #[test]
    fn a_neutral_surface_looks_the_same_by_day_and_by_lamp() {
        let gray = Spectrum::new([0.35; BANDS]).unwrap();
        assert!(LampAdaptation::new().difference(&gray) < 0.01);
    }

    #[test]
    fn a_surface_with_a_narrow_hump_changes_with_the_light() {
        let mut bands = [0.2; BANDS];
        bands[18..22].fill(0.7);
        let surface = Spectrum::new(bands).unwrap();
        assert!(LampAdaptation::new().difference(&surface) > 2.0);
    }
}
