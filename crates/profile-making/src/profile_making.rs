use icc::{DeviceSpace, NewOutputProfile};
use inkset::{InkSet, PrintMode, Provenance, Substrate};
use separation::Separation;

use crate::colorants::{Colorants, of_lab};
use crate::forward::{forward_tables, white_matrix};
use crate::inverse::{cube_matrix, gamut_tables, inverse_tables};
use crate::reference_medium::ReferenceMedium;

/// A built separation with the set that it was built for.
#[derive(Clone, Copy)]
pub struct ProfileMaking<'a> {
    /// The separation.
    pub separation: &'a Separation,
    /// The ink set.
    pub set: &'a InkSet,
    /// The substrate of the separation.
    pub substrate: &'a Substrate,
    /// The print mode of the separation.
    pub mode: &'a PrintMode,
}

/// Families of a CMYK profile's colorants, in their order.
const CMYK: [&str; 4] = ["cyan", "magenta", "yellow", "black"];

impl ProfileMaking<'_> {
    /// The separation as an output profile.
    ///
    /// Device values lead to coverage by the print mode's curves; without one they *are*
    /// coverages. Colorants are the inks that the substrate uses, in the device's order; four of
    /// the families cyan, magenta, yellow and black make a CMYK profile. `made` is the time of
    /// making: year, month, day, hour, minute, second, in universal time.
    #[must_use]
    pub fn profile(&self, made: [u16; 6]) -> NewOutputProfile {
        let model = self.separation.model();
        let colorants = Colorants::new(model, self.set, self.substrate, self.mode);
        let medium = ReferenceMedium::beside(self.separation.darkest_neutral());
        let colorimetric = (
            forward_tables(&colorants, white_matrix()),
            inverse_tables(self.separation, &colorants, cube_matrix()),
        );
        let mut perceptual = colorimetric.clone();
        perceptual.0.matrix = medium.after(perceptual.0.matrix);
        perceptual.1.matrix = medium.before(perceptual.1.matrix);
        NewOutputProfile {
            description: self.description(),
            copyright: COPYRIGHT.to_owned(),
            made,
            space: space(&colorants),
            colorants: self.solids(&colorants),
            media_white: model.paper_xyz(),
            perceptual,
            colorimetric,
            gamut: gamut_tables(self.separation, cube_matrix()),
        }
    }

    fn description(&self) -> String {
        let invented = match self.set.provenance {
            Provenance::Measured => "",
            Provenance::Invented => ", invented",
        };
        format!(
            "{} on {}, {}{invented}; predicted, not measured",
            self.set.name, self.substrate.name, self.mode.name
        )
    }

    /// Names and solids, relative to the paper.
    fn solids(&self, colorants: &Colorants<'_>) -> Vec<(String, [f64; 3])> {
        let model = self.separation.model();
        let solid = |channel: usize| {
            let colour = of_lab(model.lab(model.solid(channel)));
            [colour.x, colour.y, colour.z]
        };
        let inks = colorants.inks.iter();
        inks.map(|colorant| (colorant.name.clone(), solid(colorant.channel))).collect()
    }
}

/// What a made profile says of rights: it is its maker's.
const COPYRIGHT: &str = "No copyright is claimed on this profile by the program that made it.";

fn space(colorants: &Colorants<'_>) -> DeviceSpace {
    let families = colorants.inks.iter().map(|colorant| colorant.family.as_str());
    if families.eq(CMYK) { DeviceSpace::Cmyk } else { DeviceSpace::Inks(colorants.inks.len()) }
}
