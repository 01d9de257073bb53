use colour::{Illuminant, Lab, Spectrum, Xyz};

/// How a soft proof is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Viewing {
    /// The light on the print; the eye is adapted to it.
    pub light: Illuminant,
    /// What stands for white.
    pub paper: PaperWhite,
}

/// What stands for white on the screen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PaperWhite {
    /// The paper: its tint and darkness are left out, as an eye does that sees nothing else.
    #[default]
    Mapped,
    /// The perfect diffuser: the paper shows as it would beside a brighter white.
    Shown,
}

impl Default for Viewing {
    /// In the light of the graphic trade (ISO 3664), the paper as white.
    fn default() -> Self {
        Self { light: Illuminant::D50, paper: PaperWhite::default() }
    }
}

impl Viewing {
    /// The colour that a surface on some paper shows, relative to the screen's white.
    #[must_use]
    pub fn colour(&self, surface: &Spectrum, paper: &Spectrum) -> Lab {
        let light = self.light;
        let seen = |spectrum: &Spectrum| {
            light.tristimulus(spectrum).adapted(light.white(), Illuminant::D50.white())
        };
        let white = match self.paper {
            PaperWhite::Mapped => seen(paper),
            PaperWhite::Shown => Illuminant::D50.white(),
        };
        seen(surface).rescaled(white, Xyz::PCS_WHITE).to_lab(Xyz::PCS_WHITE)
    }

    /// The colour of a print of which only the media-relative CIELAB is known, under D50.
    pub(crate) fn of_relative(&self, relative: Lab, paper: Xyz) -> Lab {
        match self.paper {
            PaperWhite::Mapped => relative,
            PaperWhite::Shown => {
                let absolute = relative.to_xyz(Xyz::PCS_WHITE).rescaled(Xyz::PCS_WHITE, paper);
                absolute.to_lab(Illuminant::D50.white())
            }
        }
    }

    /// Whether spectra are needed for it.
    #[must_use]
    pub const fn needs_spectra(&self) -> bool {
        !matches!(self.light, Illuminant::D50)
    }

    /// The words by which a report names it.
    #[must_use]
    pub fn description(&self) -> String {
        let paper = match self.paper {
            PaperWhite::Mapped => "paper shown as white",
            PaperWhite::Shown => "paper shown with its tint",
        };
        let light = match self.light {
            Illuminant::D50 => "D50",
            Illuminant::D65 => "D65",
            Illuminant::A => "A",
        };
        format!("under illuminant {light}, {paper}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use colour::{BANDS, delta_e_ab};

    fn creamy() -> Spectrum {
        Spectrum::new(std::array::from_fn(|band| {
            0.7 + 0.005 * f64::from(u8::try_from(band).unwrap())
        }))
        .unwrap()
    }

    #[test]
    fn bare_paper_is_the_screen_s_white_unless_it_is_shown() {
        for light in [Illuminant::D50, Illuminant::D65, Illuminant::A] {
            let mapped = Viewing { light, paper: PaperWhite::Mapped };
            assert!(delta_e_ab(mapped.colour(&creamy(), &creamy()), Lab::WHITE) < 1e-6);
            let shown = Viewing { light, paper: PaperWhite::Shown };
            let paper = shown.colour(&creamy(), &creamy());
            assert!(paper.l < 97.0 && paper.b > 1.0, "{light:?}: {paper}");
        }
    }

    #[test]
    fn a_neutral_print_stays_neutral_in_every_light() {
        let [gray, white] = [0.2, 0.9].map(|level| Spectrum::new([level; BANDS]).unwrap());
        for light in [Illuminant::D50, Illuminant::D65, Illuminant::A] {
            let seen = Viewing { light, paper: PaperWhite::Mapped }.colour(&gray, &white);
            assert_abs_diff_eq!(seen.chroma(), 0.0, epsilon = 0.02);
        }
    }
}
