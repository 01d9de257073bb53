use colour::Spectrum;

use crate::{BLACK_FAMILY, Ink, InkSet, Solid, SolidSpectrum, Substrate};

/// Strength of a full-strength ink, and of an ink that can't be compared with one.
const FULL: f64 = 1.0;

impl InkSet {
    /// The strength of an ink against a full-strength ink of its family.
    ///
    /// It is the ratio of the two solids' densities, each relative to the paper that it was
    /// printed on and above that paper's surface reflectance, in the band where the
    /// full-strength ink is darkest. A stated strength counts only where no solid was measured.
    /// 1 for the full-strength ink itself, between 0 and 1 for the light inks of a set that was
    /// read by [`InkSet::parse`].
    #[must_use]
    pub fn strength(&self, ink: &Ink, full: &Ink) -> f64 {
        match &ink.solid {
            Solid::Full(_) => FULL,
            Solid::LightByStrength(strength) => strength.to_fraction(),
            Solid::LightBySpectrum { solid, .. } => full
                .solid_spectrum()
                .and_then(|full| self.density_ratio(solid, full))
                .unwrap_or(FULL),
        }
    }

    /// The full-strength ink of a family; the black that the substrate uses where there are
    /// several. `None` for a family that the set lacks.
    #[must_use]
    pub fn full_strength_of(&self, family: &str, substrate: Option<&Substrate>) -> Option<&Ink> {
        let of_family = |ink: &&Ink| ink.family == family && ink.is_full_strength();
        let active = substrate.and_then(|substrate| substrate.active_black.as_deref());
        let is_active = |ink: &&Ink| Some(ink.name.as_str()) == active;
        let mut full = self.inks.iter().filter(of_family);
        if family == BLACK_FAMILY && active.is_some() { full.find(is_active) } else { full.next() }
    }

    /// The substrate that a solid was printed on.
    pub(crate) fn sheet_of(&self, solid: &SolidSpectrum) -> Option<&Substrate> {
        let mut substrates = self.substrates.iter();
        substrates.find(|substrate| substrate.name == solid.printed_on)
    }

    /// Whether a solid is darker than its sheet in the band where it is darkest.
    pub(crate) fn absorbs(&self, solid: &SolidSpectrum) -> bool {
        let density = self.density(solid, darkest_band(&solid.spectrum));
        density.is_some_and(|density| density > 0.0)
    }

    fn density_ratio(&self, light: &SolidSpectrum, full: &SolidSpectrum) -> Option<f64> {
        let band = darkest_band(&full.spectrum);
        Some(self.density(light, band)? / self.density(full, band)?)
    }

    /// Density of a solid in a band relative to its sheet, above the surface reflectance; `None`
    /// where the sheet is unknown or one of the two does not rise above the surface.
    fn density(&self, solid: &SolidSpectrum, band: usize) -> Option<f64> {
        let sheet = self.sheet_of(solid)?;
        let surface = sheet.surface_reflectance.to_unit();
        let white = sheet.white.bands()[band] - surface;
        let ink = solid.spectrum.bands()[band] - surface;
        (white > 0.0 && ink > 0.0).then(|| (white / ink).log10())
    }
}

/// The band in which a spectrum reflects least.
fn darkest_band(spectrum: &Spectrum) -> usize {
    let bands = spectrum.bands().iter().enumerate();
    bands.min_by(|(_, one), (_, other)| one.total_cmp(other)).map_or(0, |(band, _)| band)
}
