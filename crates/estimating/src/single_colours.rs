use colour::{Illuminant, Lab, Spectrum, delta_e_00};
use separation::{ChannelCoverages, Separated};
use units::{Coverage, Load, TotalAreaCoverage};

use crate::{EstimatingError, NamedColour, PreparedSet, RenderingChoice};

/// What a set lays down for a single colour.
#[derive(Clone, Debug, PartialEq)]
pub struct SeparatedColour {
    /// What was asked for.
    pub asked: NamedColour,
    /// The media-relative colour that the channels print.
    pub printed: Lab,
    /// CIEDE2000 between the two.
    pub delta_e_00: f64,
    /// Coverage of each channel, in the order of the set's inks.
    pub coverages: Vec<Coverage>,
    /// The ink of all channels.
    pub load: Load,
    /// The sum of the coverages.
    pub total_area_coverage: TotalAreaCoverage,
    /// Whether a limit bound.
    pub limited: bool,
}

/// What given coverages of a set's channels print.
#[derive(Clone, Debug, PartialEq)]
pub struct PredictedMixture {
    /// Coverage of each channel, in the order of the set's inks.
    pub coverages: Vec<Coverage>,
    /// Reflectance.
    pub spectrum: Spectrum,
    /// CIELAB under D50 relative to the paper.
    pub relative: Lab,
    /// CIELAB under D50 relative to the perfect diffuser.
    pub absolute: Lab,
    /// The ink of all channels.
    pub load: Load,
    /// The sum of the coverages.
    pub total_area_coverage: TotalAreaCoverage,
    /// Whether the set's separation would lay down as much: no limit is passed.
    pub within_limits: bool,
}

/// Separates a media-relative colour as it is, without black-point compensation.
#[must_use]
pub fn separate_colour(asked: &NamedColour, prepared: &PreparedSet) -> SeparatedColour {
    let separation = prepared.separation_for(RenderingChoice::RelativeUncompensated);
    let separated = separation.separate(asked.colour);
    let printed = separation.predict(&separated);
    let Separated { coverages, limited } = separated;
    SeparatedColour {
        asked: asked.clone(),
        printed,
        delta_e_00: delta_e_00(asked.colour, printed),
        coverages: coverages.to_vec(),
        load: separation.limits().load_of(&coverages),
        total_area_coverage: coverages.iter().copied().sum(),
        limited,
    }
}

/// Predicts what coverages print, whether the set's limits allow them or not.
///
/// `coverages` holds one for each ink of the set, in its order.
///
/// # Errors
///
/// `NoPrintModel` for a set that an output profile separates: it knows colours and no spectra.
pub fn predict_mixture(
    coverages: &[Coverage],
    prepared: &PreparedSet,
) -> Result<PredictedMixture, EstimatingError> {
    let separation = prepared
        .built_separation()
        .ok_or_else(|| EstimatingError::NoPrintModel { set: prepared.set().name.clone() })?;
    let channels = ChannelCoverages::of(coverages);
    let spectrum = separation.model().spectrum(coverages);
    let diffuser = Illuminant::D50.white();
    Ok(PredictedMixture {
        coverages: coverages.to_vec(),
        relative: separation.model().lab(&spectrum),
        absolute: Illuminant::D50.tristimulus(&spectrum).to_lab(diffuser),
        spectrum,
        load: separation.limits().load_of(&channels),
        total_area_coverage: coverages.iter().copied().sum(),
        within_limits: !separation.limits().enforce(&mut channels.clone()),
    })
}
