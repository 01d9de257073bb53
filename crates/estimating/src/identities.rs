use inkset::{InkSet, PrintMode, Substrate};

/// What an estimate was made with, so that it can be told from one made otherwise.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Identities {
    /// Name and revision of the print model.
    pub model: &'static str,
    /// Name, revision and inputs of the separation: 16 hexadecimal digits of a hash.
    pub separation: String,
    /// The calibration from measured jobs; "none" while nominal values are used.
    pub calibration: &'static str,
}

/// Raised whenever the print model predicts other colours from the same set.
const MODEL: &str = "yule-nielsen-neugebauer-1";
/// Raised whenever the separation answers otherwise for the same set.
const SEPARATION_REVISION: &str = "separation-1";
const UNCALIBRATED: &str = "none";

impl Identities {
    pub(crate) fn of(set: &InkSet, substrate: &Substrate, mode: &PrintMode) -> Self {
        let mut hasher = blake3::Hasher::new();
        for part in [MODEL, SEPARATION_REVISION, &substrate.name, &mode.name] {
            hasher.update(part.as_bytes());
            hasher.update(&[0]);
        }
        hasher.update(&set.fingerprint().bytes());
        let digest = hasher.finalize().to_hex();
        Self {
            model: MODEL,
            separation: format!("{SEPARATION_REVISION}-{}", &digest[..16]),
            calibration: UNCALIBRATED,
        }
    }
}
