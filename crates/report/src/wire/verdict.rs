use serde::Serialize;

/// Whether an ink set holds a picture's colours.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Verdict {
    /// "holds", "holds_all_but" or "loses".
    pub holding: &'static str,
    /// One plain sentence with its numbers.
    pub sentence: String,
    /// Share of the area outside the gamut, 0 to 1: without compensation, what is printed for it
    /// differs by more than the threshold.
    pub out_of_gamut_share: f64,
    /// ΔE00 of the print against the intended colours: media-relative, without compensation.
    pub against_intended: Differences,
    /// The same after black-point compensation; absent where the job does not compensate.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after_black_point_compensation: Option<AfterCompensation>,
    /// The part of the differences beyond the threshold, in ΔE00, as a mean over the area: area and
    /// depth of what is lost in one number.
    pub loss: f64,
    /// What is lost, by region of colour, largest first.
    pub lost: Vec<Lost>,
    /// Where in the picture it lies.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub places: Option<Places>,
    /// ΔE00 of the print from D50 to illuminant A for an adapted eye; absent where an output
    /// profile predicts colours and no spectra.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inconstancy_d50_to_a: Option<Inconstancy>,
    /// Where the lines were drawn.
    pub thresholds: Thresholds,
}

/// Colour differences over the area, in ΔE00.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Differences {
    /// Mean.
    pub mean: f64,
    /// What 95 % of the area keep within.
    pub p95: f64,
    /// Largest.
    pub max: f64,
}

/// How much colours change with the light.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Inconstancy {
    /// ΔE00.
    #[serde(flatten)]
    pub differences: Differences,
    /// False for a paper with brightener, whose change the reflectance alone does not tell.
    pub reliable: bool,
}

/// The print against the intended colours moved by black-point compensation.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct AfterCompensation {
    /// Share of the area that differs by more than the threshold, 0 to 1.
    pub out_of_gamut_share: f64,
    /// ΔE00.
    #[serde(flatten)]
    pub differences: Differences,
}

/// Lost area in one region of colour.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Lost {
    /// The region: "shadows", "neutrals", or a hue.
    pub region: &'static str,
    /// Its share of the picture, 0 to 1.
    pub share: f64,
    /// The largest ΔE00 in it.
    pub largest: f64,
}

/// Where in the picture lost colours lie.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Places {
    /// The ninths of the picture that hold most of what is lost; empty where it is spread out.
    pub mostly: Vec<&'static str>,
    /// The part of the lost area in each ninth, row by row from the upper left, 0 to 1.
    pub ninths: Vec<f64>,
}

/// Where a verdict draws its lines.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Thresholds {
    /// ΔE00 above which a colour counts as lost.
    pub lost_above: f64,
    /// Share of the area that may be lost by a set that holds, 0 to 1.
    pub holds_up_to: f64,
    /// Share that may be lost by a set that holds all but something, 0 to 1.
    pub holds_all_but_up_to: f64,
}

/// Which of the compared sets a picture's colours need.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Choice {
    /// "enough": the smallest set holds; "needs_larger": a larger set holds clearly more;
    /// "little_gained": none does.
    pub kind: &'static str,
    /// The set that the choice names.
    pub ink_set: String,
    /// One plain sentence with its numbers.
    pub sentence: String,
}
