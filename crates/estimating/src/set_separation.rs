use std::fmt;

use icc::OutputProfile;
use inkset::{DeviceCurve, Ink, Provenance, SeparationDefaults};
use separation::{InkPolicy, Separating, Separation, SeparationInputs};

use crate::prepared_set::SeparationCache;
use crate::profile_separation::{ProfilePlace, ProfileSeparation};
use crate::{Assumption, EstimatingError, Identities, RenderingChoice};

/// How a set separates: by the inverse of its print model, or by its output profile.
pub(crate) enum SetSeparation {
    Built {
        separation: Box<Separation>,
        /// Inks whose coverages come from a chart's device values by the default curve.
        inks_without_curve: Vec<String>,
    },
    ByProfile(Box<ByProfile>),
}

/// Both tables of an output profile that renderings use.
pub(crate) struct ByProfile {
    profile: OutputProfile,
    colorimetric: ProfileSeparation,
    perceptual: ProfileSeparation,
    inks_without_curve: Vec<String>,
}

/// Checks that a set can be separated, without building anything that takes time.
///
/// # Errors
///
/// As [`PreparedSet::new`](crate::PreparedSet::new).
pub fn check_separation(
    inputs: &SeparationInputs<'_>,
    output_profile: Option<&[u8]>,
) -> Result<(), EstimatingError> {
    match &inputs.set.separation {
        SeparationDefaults::Built(_) => Ok(inputs.check()?),
        SeparationDefaults::OutputProfile(_) => ByProfile::new(inputs, output_profile).map(drop),
    }
}

impl SetSeparation {
    /// Takes a built separation from the cache or builds it, or reads the output profile.
    pub(crate) fn new(
        inputs: &SeparationInputs<'_>,
        output_profile: Option<&[u8]>,
        cache: &dyn SeparationCache,
    ) -> Result<(Self, Identities), EstimatingError> {
        match &inputs.set.separation {
            SeparationDefaults::Built(_) => {
                let separation = Box::new(cached(inputs, cache)?);
                let inks_without_curve = charted_without_curve(inputs);
                Ok((Self::Built { separation, inks_without_curve }, Identities::of(inputs)))
            }
            SeparationDefaults::OutputProfile(_) => {
                let by_profile = ByProfile::new(inputs, output_profile)?;
                let identities = Identities::by_profile(inputs, by_profile.profile.bytes());
                Ok((Self::ByProfile(Box::new(by_profile)), identities))
            }
        }
    }

    /// The separation as a rendering uses it.
    pub(crate) fn for_rendering(&self, choice: RenderingChoice) -> &dyn Separating {
        match (self, choice) {
            (Self::Built { separation, .. }, _) => separation.as_ref(),
            (Self::ByProfile(by), RenderingChoice::Perceptual) => &by.perceptual,
            (Self::ByProfile(by), _) => &by.colorimetric,
        }
    }

    /// The built separation, if it is one.
    pub(crate) fn built(&self) -> Option<&Separation> {
        match self {
            Self::Built { separation, .. } => Some(separation),
            Self::ByProfile(_) => None,
        }
    }

    /// Whether device values pass through the default curve.
    pub(crate) fn guesses_curves(&self) -> bool {
        match self {
            Self::Built { inks_without_curve, .. } => !inks_without_curve.is_empty(),
            Self::ByProfile(by) => !by.inks_without_curve.is_empty(),
        }
    }

    /// What a report must say of the separation.
    pub(crate) fn assumptions(&self, policy: InkPolicy) -> Vec<Assumption> {
        match self {
            Self::Built { inks_without_curve, .. } => {
                let mut all = vec![Assumption::note(format!("separation: {policy}"))];
                all.extend(curves_not_known(inks_without_curve));
                all
            }
            Self::ByProfile(by) => by.assumptions(policy),
        }
    }
}

impl ByProfile {
    fn new(
        inputs: &SeparationInputs<'_>,
        output_profile: Option<&[u8]>,
    ) -> Result<Self, EstimatingError> {
        let SeparationInputs { set, substrate, mode, .. } = *inputs;
        let place = ProfilePlace { set, substrate, mode };
        let missing = || EstimatingError::OutputProfileMissing { set: set.name.clone() };
        let bytes = output_profile.ok_or_else(missing)?;
        let profile = OutputProfile::parse(bytes).map_err(|cause| place.unusable(cause))?;
        let table = |choice| ProfileSeparation::new(&profile, place, choice);
        Ok(Self {
            colorimetric: table(RenderingChoice::Relative)?,
            perceptual: table(RenderingChoice::Perceptual)?,
            inks_without_curve: place.inks_without_curve().into_iter().map(Into::into).collect(),
            profile,
        })
    }

    fn assumptions(&self, policy: InkPolicy) -> Vec<Assumption> {
        let mut all = vec![Assumption::note(format!("separation: {self}"))];
        if policy != InkPolicy::OfSet {
            all.push(Assumption::warning(format!(
                "an output profile separates by itself; `{policy}` has no effect on it"
            )));
        }
        all.extend(curves_not_known(&self.inks_without_curve));
        all
    }
}

fn curves_not_known(inks: &[String]) -> Option<Assumption> {
    (!inks.is_empty()).then(|| {
        Assumption::warning(format!(
            "device values of {} taken as coverage through the default curve (half a value fires \
             35 % of the drops), because nobody knows theirs: wider range",
            inks.join(", ")
        ))
    })
}

/// Inks of a measured substrate whose device curve is stated to be unknown: the effective-coverage
/// curves were fitted to device values, taken as coverage by the default curve.
fn charted_without_curve(inputs: &SeparationInputs<'_>) -> Vec<String> {
    let SeparationInputs { set, substrate, mode, .. } = *inputs;
    let is_charted = |ink: &&Ink| {
        substrate.provenance == Provenance::Measured
            && substrate.curves.contains_key(&ink.family)
            && !set.is_idle(ink, substrate)
            && mode.device_curve.get(&ink.name).is_some_and(DeviceCurve::is_unknown)
    };
    set.inks.iter().filter(is_charted).map(|ink| ink.name.clone()).collect()
}

impl fmt::Display for ByProfile {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { profile, .. } = self;
        write!(out, "by the output profile `{}` for {}", profile.description(), profile.space())
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
