use print_model::MODEL;
use separation::SeparationInputs;

/// Names the prediction by the tables of an output profile.
const PROFILE_MODEL: &str = "output-profile-1";

/// What an estimate was made with, so that it can be told from one made otherwise.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Identities {
    /// Name and revision of the print model.
    pub model: &'static str,
    /// The first 16 hexadecimal digits of the hash of everything that went into the separation.
    pub separation: String,
    /// Name and version of the calibration from measured jobs; "none" while nominal values are
    /// used.
    pub calibration: String,
}

const UNCALIBRATED: &str = "none";

impl Identities {
    pub(crate) fn of(inputs: &SeparationInputs<'_>) -> Self {
        let key = inputs.key().to_string();
        Self {
            model: MODEL,
            separation: key[..16].to_owned(),
            calibration: UNCALIBRATED.to_owned(),
        }
    }

    /// The same for a set that an output profile separates: its bytes count as an input.
    pub(crate) fn by_profile(inputs: &SeparationInputs<'_>, profile: &[u8]) -> Self {
        let mut hasher = blake3::Hasher::new();
        hasher.update(&inputs.key().bytes());
        hasher.update(profile);
        let key = hasher.finalize().to_string();
        Self {
            model: PROFILE_MODEL,
            separation: key[..16].to_owned(),
            calibration: UNCALIBRATED.to_owned(),
        }
    }
}
