use std::sync::OnceLock;

use colour::{Lab, delta_e_00};
use dosing::{CalibrationPrior, NominalChannel, PriorWidths};
use inkset::{InkSet, ParsedInkSet, PrintMode, SeparationDefaults, Substrate};
use separation::{GamutBoundary, InkPolicy, Separating, Separation, SeparationInputs};
use units::Volume;

use crate::set_separation::SetSeparation;
use crate::{Assumption, DeviceCalibration, EstimatingError, Identities, RenderingChoice};

/// An ink set ready for estimates: its separation on one substrate in one print mode.
pub struct PreparedSet {
    set: InkSet,
    notices: Vec<String>,
    substrate: Substrate,
    print_mode: PrintMode,
    policy: InkPolicy,
    separation: SetSeparation,
    identities: Identities,
    /// The set with its own black replacement, where the policy is another one.
    usual: Option<Box<PreparedSet>>,
    /// Found when perceptual rendering first asks for it.
    gamut: OnceLock<GamutBoundary>,
    calibration: Option<DeviceCalibration>,
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
    /// The bytes of the output profile that the set names, if it names one.
    pub output_profile: Option<&'a [u8]>,
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

/// ΔE00 up to which a colour counts as printable: above what the lattice leaves, below what is
/// seen side by side (our choice).
const PRINTABLE: f64 = 1.0;

impl PreparedSet {
    /// Takes the separation from the cache or builds it, or reads the set's output profile.
    ///
    /// # Errors
    ///
    /// `InkSet` for a name that the set lacks, with the nearest one; `Separation` when the set
    /// can't be separated; `OutputProfileMissing`, `OutputProfile`, `ProfileChannels` and
    /// `ProfileOrder` when its output profile can't separate it.
    pub fn new(
        parsed: ParsedInkSet,
        preparation: Preparation<'_>,
        cache: &dyn SeparationCache,
    ) -> Result<Self, EstimatingError> {
        let is_built = matches!(parsed.set.separation, SeparationDefaults::Built(_));
        let usual = (is_built && preparation.policy != InkPolicy::OfSet)
            .then(|| {
                let own = Preparation { policy: InkPolicy::OfSet, ..preparation };
                Self::new(parsed.clone(), own, cache).map(Box::new)
            })
            .transpose()?;
        let ParsedInkSet { set, notices } = parsed;
        let notices = notices.iter().map(ToString::to_string).collect();
        let substrate = set.substrate(preparation.substrate)?.clone();
        let print_mode = set.print_mode(preparation.print_mode)?.clone();
        let policy = preparation.policy;
        let inputs =
            SeparationInputs { set: &set, substrate: &substrate, mode: &print_mode, policy };
        let (separation, identities) =
            SetSeparation::new(&inputs, preparation.output_profile, cache)?;
        Ok(Self {
            set,
            notices,
            substrate,
            print_mode,
            policy,
            separation,
            identities,
            usual,
            gamut: OnceLock::new(),
            calibration: None,
        })
    }

    /// The same set, estimated by a calibration from now on.
    ///
    /// # Errors
    ///
    /// `CalibrationOfOtherDevice` and `CalibrationOfOtherInks` when it was made for something
    /// else.
    pub fn with_calibration(
        mut self,
        calibration: DeviceCalibration,
    ) -> Result<Self, EstimatingError> {
        calibration.check_against(&self)?;
        // What a policy saves is told against the same printer.
        let usual = self.usual.take().map(|usual| usual.with_calibration(calibration.clone()));
        self.usual = usual.transpose()?.map(Box::new);
        self.identities.calibration.clone_from(&calibration.label);
        self.calibration = Some(calibration);
        Ok(self)
    }

    /// The calibration that estimates use.
    #[must_use]
    pub const fn calibration(&self) -> Option<&DeviceCalibration> {
        self.calibration.as_ref()
    }

    /// What is held true of the device before any job is measured: where a calibration begins.
    #[must_use]
    pub fn calibration_prior(&self) -> CalibrationPrior {
        let separation = self.separation.for_rendering(RenderingChoice::default());
        let lay_down = separation.limits().lay_down();
        let active = self.set.inks.iter().filter(|ink| !self.set.is_idle(ink, &self.substrate));
        // A machine states the ink of its start for all inks together.
        let start_up = self.set.machine.start_up.unwrap_or(Volume::ZERO);
        #[expect(clippy::cast_precision_loss, reason = "at most twelve inks")]
        let each = start_up.scaled(1.0 / active.count().max(1) as f64);
        let nominal = |(ink, lay_down): (&inkset::Ink, &units::LayDown)| {
            let idle = self.set.is_idle(ink, &self.substrate);
            NominalChannel {
                name: ink.name.clone(),
                lay_down: *lay_down,
                start_up: if idle { Volume::ZERO } else { each },
                light: !ink.is_full_strength(),
                idle,
            }
        };
        CalibrationPrior {
            channels: self.set.inks.iter().zip(lay_down).map(nominal).collect(),
            widths: self.prior_widths(),
        }
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

    /// The set prepared with its own black replacement, where the policy is another one.
    #[must_use]
    pub fn usual(&self) -> Option<&Self> {
        self.usual.as_deref()
    }

    /// The separation as a rendering uses it: an output profile has a table for perceptual
    /// rendering and one for the others.
    #[must_use]
    pub fn separation_for(&self, choice: RenderingChoice) -> &dyn Separating {
        self.separation.for_rendering(choice)
    }

    /// The inverse of the set's print model; nothing for a set with an output profile.
    #[must_use]
    pub fn built_separation(&self) -> Option<&Separation> {
        self.separation.built()
    }

    /// How far off its estimates may be while nothing has been measured.
    #[must_use]
    pub fn prior_widths(&self) -> PriorWidths {
        if self.separation.guesses_curves() {
            PriorWidths::UNCALIBRATED.with_unknown_device_curves()
        } else {
            PriorWidths::UNCALIBRATED
        }
    }

    /// What a report must say of the separation.
    pub(crate) fn separation_assumptions(&self) -> Vec<Assumption> {
        self.separation.assumptions(self.policy)
    }

    /// What the built separation prints within ΔE00 1; nothing for a set with an output profile.
    pub(crate) fn gamut(&self) -> Option<&GamutBoundary> {
        let separation = self.built_separation()?;
        let printable = |colour: Lab| {
            delta_e_00(colour, separation.predict(&separation.separate(colour))) <= PRINTABLE
        };
        Some(self.gamut.get_or_init(|| GamutBoundary::of_set(printable)))
    }

    /// What its estimates were made with.
    #[must_use]
    pub const fn identities(&self) -> &Identities {
        &self.identities
    }
}
