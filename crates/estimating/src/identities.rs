use print_model::MODEL;
use separation::SeparationInputs;

/// What an estimate was made with, so that it can be told from one made otherwise.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Identities {
    /// Name and revision of the print model.
    pub model: &'static str,
    /// The first 16 hexadecimal digits of the hash of everything that went into the separation.
    pub separation: String,
    /// The calibration from measured jobs; "none" while nominal values are used.
    pub calibration: &'static str,
}

const UNCALIBRATED: &str = "none";

impl Identities {
    pub(crate) fn of(inputs: &SeparationInputs<'_>) -> Self {
        let key = inputs.key().to_string();
        Self { model: MODEL, separation: key[..16].to_owned(), calibration: UNCALIBRATED }
    }
}
