use inkset::{InkSet, ParsedInkSet, PrintMode, Substrate};
use separation::{InkPolicy, Separation, SeparationInputs};

use crate::{EstimatingError, Identities};

/// An ink set ready for estimates: its separation on one substrate in one print mode.
pub struct PreparedSet {
    set: InkSet,
    notices: Vec<String>,
    substrate: Substrate,
    print_mode: PrintMode,
    policy: InkPolicy,
    separation: Separation,
    identities: Identities,
}

/// What a set is prepared for. Without names, its first substrate and print mode are used.
#[derive(Clone, Copy, Debug, Default)]
pub struct Preparation<'a> {
    /// Name of the substrate.
    pub substrate: Option<&'a str>,
    /// Name of the print mode.
    pub print_mode: Option<&'a str>,
    /// The rule that picks one of the many separations.
    pub policy: InkPolicy,
}

/// Keeps separations between runs. Where they are kept is the shell's business; nothing depends
/// on it but time.
pub trait SeparationCache {
    /// The bytes stored under a key, if there are any.
    fn load(&self, key: &str) -> Option<Vec<u8>>;

    /// Stores bytes under a key, as far as possible.
    fn store(&self, key: &str, bytes: &[u8]);
}

/// Keeps nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct NoCache;

impl SeparationCache for NoCache {
    fn load(&self, _key: &str) -> Option<Vec<u8>> {
        None
    }

    fn store(&self, _key: &str, _bytes: &[u8]) {}
}

impl PreparedSet {
    /// Takes the separation from the cache or builds it.
    ///
    /// # Errors
    ///
    /// `InkSet` for a name that the set lacks, with the nearest one; `Separation` when the set
    /// can't be separated.
    pub fn new(
        parsed: ParsedInkSet,
        preparation: Preparation<'_>,
        cache: &dyn SeparationCache,
    ) -> Result<Self, EstimatingError> {
        let ParsedInkSet { set, notices } = parsed;
        let notices = notices.iter().map(ToString::to_string).collect();
        let substrate = set.substrate(preparation.substrate)?.clone();
        let print_mode = set.print_mode(preparation.print_mode)?.clone();
        let policy = preparation.policy;
        let inputs =
            SeparationInputs { set: &set, substrate: &substrate, mode: &print_mode, policy };
        let separation = cached(&inputs, cache)?;
        let identities = Identities::of(&inputs);
        Ok(Self { set, notices, substrate, print_mode, policy, separation, identities })
    }

    /// The ink set.
    #[must_use]
    pub const fn set(&self) -> &InkSet {
        &self.set
    }

    /// What was noticed while the ink set was read.
    #[must_use]
    pub fn notices(&self) -> &[String] {
        &self.notices
    }

    /// The substrate.
    #[must_use]
    pub const fn substrate(&self) -> &Substrate {
        &self.substrate
    }

    /// The print mode.
    #[must_use]
    pub const fn print_mode(&self) -> &PrintMode {
        &self.print_mode
    }

    /// The rule by which the separation was picked.
    #[must_use]
    pub const fn policy(&self) -> InkPolicy {
        self.policy
    }

    /// The separation.
    #[must_use]
    pub const fn separation(&self) -> &Separation {
        &self.separation
    }

    /// What its estimates were made with.
    #[must_use]
    pub const fn identities(&self) -> &Identities {
        &self.identities
    }
}

/// The stored separation where it is sound and of these inputs, or a new one, stored for later.
fn cached(
    inputs: &SeparationInputs<'_>,
    cache: &dyn SeparationCache,
) -> Result<Separation, EstimatingError> {
    let key = inputs.key().to_string();
    if let Some(separation) = cache.load(&key).and_then(|bytes| inputs.restore(&bytes)) {
        return Ok(separation);
    }
    let separation = inputs.build()?;
    cache.store(&key, &separation.to_bytes(inputs));
    Ok(separation)
}
