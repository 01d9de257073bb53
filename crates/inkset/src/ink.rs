use colour::Spectrum;
use units::{Coverage, Money, Share, Volume};

/// One physical ink: a channel of the device.
#[derive(Clone, Debug, PartialEq)]
pub struct Ink {
    /// Name, unique in its set, for example "light cyan".
    pub name: String,
    /// Name of the family of one hue that the ink belongs to, for example "cyan".
    pub family: String,
    /// Full or light, and how its solid is known.
    pub solid: Solid,
    /// Highest coverage that the ink may reach anywhere.
    pub limit: Coverage,
    /// Size and price of a cartridge, where known.
    pub cartridge: Option<Cartridge>,
    /// Where the facts come from.
    pub provenance: Provenance,
}

/// What is known of an ink's solid, printed alone at full coverage.
#[derive(Clone, Debug, PartialEq)]
pub enum Solid {
    /// The full-strength ink of its family, with its spectrum.
    Full(SolidSpectrum),
    /// A lighter ink whose solid was measured.
    LightBySpectrum {
        /// The measured solid; it rules over a stated strength.
        solid: SolidSpectrum,
        /// The strength stated beside it, as in [`Solid::LightByStrength`], where one was.
        stated_strength: Option<Share>,
    },
    /// A lighter ink of which only the strength is known: its density relative to the paper as a
    /// share of the full-strength ink's, above the substrate's surface reflectance.
    LightByStrength(Share),
}

/// The reflectance of a solid and how it came about.
#[derive(Clone, Debug, PartialEq)]
pub struct SolidSpectrum {
    /// Reflectance of the solid, 45°:0° geometry unless the provenance says otherwise.
    pub spectrum: Spectrum,
    /// Measurement condition of ISO 13655.
    pub condition: MeasurementCondition,
    /// What lay behind the sheet.
    pub backing: Backing,
    /// Name of the substrate of this set on which it was printed.
    pub printed_on: String,
}

/// Measurement condition of ISO 13655: the light of the instrument.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MeasurementCondition {
    /// Incandescent lamp, ultraviolet undefined.
    M0,
    /// D50, ultraviolet included.
    M1,
    /// Ultraviolet excluded.
    M2,
    /// Polarised: surface reflection suppressed.
    M3,
}

/// What lay behind the sheet during a measurement (ISO 13655).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Backing {
    /// A white tile or enough white sheets.
    White,
    /// A black tile.
    Black,
    /// Unprinted sheets of the same substrate.
    SelfBacking,
}

/// Size and price of a cartridge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cartridge {
    /// Ink in a full cartridge.
    pub size: Volume,
    /// Price of a cartridge, where known.
    pub price: Option<Money>,
}

/// Where facts come from; reports repeat it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Provenance {
    /// Read by an instrument.
    Measured,
    /// Made up so as to be physically plausible.
    Invented,
}

impl Ink {
    /// Whether this is a full-strength ink.
    #[must_use]
    pub const fn is_full_strength(&self) -> bool {
        matches!(self.solid, Solid::Full(_))
    }

    /// The measured solid, where there is one.
    #[must_use]
    pub const fn solid_spectrum(&self) -> Option<&SolidSpectrum> {
        match &self.solid {
            Solid::Full(solid) | Solid::LightBySpectrum { solid, .. } => Some(solid),
            Solid::LightByStrength(_) => None,
        }
    }
}
