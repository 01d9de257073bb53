use serde::Serialize;

/// Single colours on ink sets.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ColourDocument {
    /// Version of the form.
    pub version: u32,
    /// Name and version of the program.
    pub program: String,
    /// The disclaimer.
    pub disclaimer: &'static str,
    /// One for each colour and ink set.
    pub colours: Vec<ColourSeparation>,
}

/// What an ink set lays down for a colour.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ColourSeparation {
    /// Name of the colour.
    pub name: String,
    /// Name of the ink set.
    pub ink_set: String,
    /// The colour that was asked for, relative to the paper.
    pub asked: Cielab,
    /// The colour that is printed, relative to the paper.
    pub printed: Cielab,
    /// CIEDE2000 between the two.
    pub delta_e_00: f64,
    /// The channels in the device's order.
    pub channels: Vec<ChannelCoverage>,
    /// Ink of all channels.
    pub load_ml_per_m2: f64,
    /// Sum of the coverages, 1 = 100 %.
    pub total_area_coverage: f64,
    /// Whether a limit bound.
    pub limited: bool,
}

/// Mixtures of inks.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MixtureDocument {
    /// Version of the form.
    pub version: u32,
    /// Name and version of the program.
    pub program: String,
    /// The disclaimer.
    pub disclaimer: &'static str,
    /// One for each mixture.
    pub mixtures: Vec<Mixture>,
}

/// What coverages of an ink set print.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mixture {
    /// Name of the ink set.
    pub ink_set: String,
    /// The channels in the device's order.
    pub channels: Vec<ChannelCoverage>,
    /// Colour under D50 relative to the paper.
    pub relative: Cielab,
    /// Colour under D50 relative to the perfect diffuser.
    pub absolute: Cielab,
    /// Ink of all channels.
    pub load_ml_per_m2: f64,
    /// Sum of the coverages, 1 = 100 %.
    pub total_area_coverage: f64,
    /// Whether the set's limits allow it.
    pub within_limits: bool,
    /// Reflectance by band.
    pub spectrum: Reflectances,
}

/// Reflectances by band, 1 = the perfect diffuser.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reflectances {
    /// Middle of the first band.
    pub first_nm: f64,
    /// From band to band.
    pub step_nm: f64,
    /// One for each band.
    pub reflectance: Vec<f64>,
}

/// A colour in CIELAB under D50.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Cielab {
    /// L*.
    pub l: f64,
    /// a*.
    pub a: f64,
    /// b*.
    pub b: f64,
}

/// One ink.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ChannelCoverage {
    /// Name of the ink.
    pub name: String,
    /// Coverage, 0 to 1.
    pub coverage: f64,
}
