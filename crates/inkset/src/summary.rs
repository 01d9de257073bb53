use colour::{Illuminant, Lab, Spectrum};
use units::{LayDown, Share, UnitError};

use crate::{Cartridge, Fingerprint, Ink, InkSet, PrintMode, Provenance, Substrate};

/// What lists and pages show of an ink set.
#[derive(Clone, Debug, PartialEq)]
pub struct InkSetSummary {
    /// Name by which the set is called.
    pub name: String,
    /// One line for people.
    pub title: String,
    /// Where the facts come from.
    pub provenance: Provenance,
    /// Identifies the content.
    pub fingerprint: Fingerprint,
    /// Names of the families, in the order of their first ink.
    pub families: Vec<String>,
    /// The inks in the order of the channels.
    pub inks: Vec<InkSummary>,
    /// The substrates, the default first.
    pub substrates: Vec<SubstrateSummary>,
    /// The print modes, the default first.
    pub print_modes: Vec<PrintModeSummary>,
}

/// One line about an ink.
#[derive(Clone, Debug, PartialEq)]
pub struct InkSummary {
    /// Name of the ink.
    pub name: String,
    /// Name of its family.
    pub family: String,
    /// Density against the full-strength ink; `None` for a full-strength ink.
    pub strength: Option<Share>,
    /// Colour of the measured solid, D50, 2° observer, relative to the perfect diffuser; `None`
    /// where the strength alone is known.
    pub solid: Option<Lab>,
    /// The substrate of the measured solid.
    pub printed_on: Option<String>,
    /// Size and price of a cartridge.
    pub cartridge: Option<Cartridge>,
    /// Where the facts come from.
    pub provenance: Provenance,
}

/// One line about a substrate.
#[derive(Clone, Debug, PartialEq)]
pub struct SubstrateSummary {
    /// Name of the substrate.
    pub name: String,
    /// Colour of the unprinted sheet, D50, 2° observer, relative to the perfect diffuser.
    pub white: Lab,
    /// Names of the inks that the substrate uses, in the order of the channels.
    pub used: Vec<String>,
    /// Names of the blacks that it leaves idle.
    pub idle: Vec<String>,
    /// Where the facts come from.
    pub provenance: Provenance,
}

/// One line about a print mode.
#[derive(Clone, Debug, PartialEq)]
pub struct PrintModeSummary {
    /// Name of the print mode.
    pub name: String,
    /// Lay-down of each ink at its limit, in the order of the channels.
    pub lay_down: Vec<LayDown>,
}

impl InkSet {
    /// Gathers what lists and pages show.
    ///
    /// # Errors
    ///
    /// `OutOfRange` for a print mode whose lay-down exceeds 200 ml/m²; never for a set that was
    /// read by [`InkSet::parse`].
    pub fn summary(&self) -> Result<InkSetSummary, UnitError> {
        Ok(InkSetSummary {
            name: self.name.clone(),
            title: self.title.clone(),
            provenance: self.provenance,
            fingerprint: self.fingerprint(),
            families: self.family_names(),
            inks: self.inks.iter().map(|ink| self.ink_summary(ink)).collect(),
            substrates: self
                .substrates
                .iter()
                .map(|substrate| self.substrate_summary(substrate))
                .collect(),
            print_modes: self
                .print_modes
                .iter()
                .map(|mode| self.print_mode_summary(mode))
                .collect::<Result<_, _>>()?,
        })
    }

    fn family_names(&self) -> Vec<String> {
        let mut names = Vec::new();
        for ink in &self.inks {
            if !names.contains(&ink.family) {
                names.push(ink.family.clone());
            }
        }
        names
    }

    fn ink_summary(&self, ink: &Ink) -> InkSummary {
        let solid = ink.solid_spectrum();
        InkSummary {
            name: ink.name.clone(),
            family: ink.family.clone(),
            strength: self.light_strength(ink),
            solid: solid.map(|solid| absolute_lab(&solid.spectrum)),
            printed_on: solid.map(|solid| solid.printed_on.clone()),
            cartridge: ink.cartridge,
            provenance: ink.provenance,
        }
    }

    fn light_strength(&self, ink: &Ink) -> Option<Share> {
        if ink.is_full_strength() {
            return None;
        }
        let sheet = ink.solid_spectrum().and_then(|solid| self.sheet_of(solid));
        let full = self.full_strength_of(&ink.family, sheet)?;
        Share::from_fraction(self.strength(ink, full)).ok()
    }

    fn substrate_summary(&self, substrate: &Substrate) -> SubstrateSummary {
        let (idle, used): (Vec<&Ink>, Vec<&Ink>) =
            self.inks.iter().partition(|ink| self.is_idle(ink, substrate));
        SubstrateSummary {
            name: substrate.name.clone(),
            white: absolute_lab(&substrate.white),
            used: names(&used),
            idle: names(&idle),
            provenance: substrate.provenance,
        }
    }

    fn print_mode_summary(&self, mode: &PrintMode) -> Result<PrintModeSummary, UnitError> {
        let lay_down = self.inks.iter().map(|ink| mode.full_lay_down(&ink.name));
        Ok(PrintModeSummary {
            name: mode.name.clone(),
            lay_down: lay_down.collect::<Result<_, _>>()?,
        })
    }
}

fn names(inks: &[&Ink]) -> Vec<String> {
    inks.iter().map(|ink| ink.name.clone()).collect()
}

fn absolute_lab(surface: &Spectrum) -> Lab {
    let light = Illuminant::D50;
    light.tristimulus(surface).to_lab(light.white())
}
