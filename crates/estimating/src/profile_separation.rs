use colour::{Illuminant, Lab, Xyz};
use icc::{DeviceSpace, IccError, OutputProfile, OutputTransform, RenderingIntent};
use inkset::{DeviceCurve, InkSet, PrintMode, Substrate};
use print_model::PrintModel;
use separation::{ChannelCoverages, Limits, Separated, Separating, is_bare};
use units::{Coverage, DeviceValue};

use crate::{EstimatingError, RenderingChoice};

/// Families of a CMYK profile's channels, in their order.
pub(crate) const CMYK: [&str; 4] = ["cyan", "magenta", "yellow", "black"];

/// A separation by the table of an output profile: device values by the colour management
/// library, coverages by the print mode's curves, limits enforced on the coverages.
pub struct ProfileSeparation {
    transform: OutputTransform,
    /// By colorant: the channel that it drives and that channel's curve.
    drives: Vec<(usize, DeviceCurve)>,
    channels: usize,
    limits: Limits,
    paper: Xyz,
    darkest_neutral: Lab,
}

/// Where a profile's separation is used.
#[derive(Clone, Copy)]
pub(crate) struct ProfilePlace<'a> {
    pub(crate) set: &'a InkSet,
    pub(crate) substrate: &'a Substrate,
    pub(crate) mode: &'a PrintMode,
}

impl ProfileSeparation {
    /// Puts together a profile and what the set knows of the device.
    ///
    /// # Errors
    ///
    /// `ProfileChannels` and `ProfileOrder` when the colorants are not the set's inks,
    /// `OutputProfile` when the table for the rendering can't be used, `Separation` when the print
    /// mode gives an impossible lay-down.
    pub(crate) fn new(
        profile: &OutputProfile,
        place: ProfilePlace<'_>,
        choice: RenderingChoice,
    ) -> Result<Self, EstimatingError> {
        let ProfilePlace { set, substrate, mode } = place;
        let channels = place.driven_channels();
        place.check_colorants(profile, &channels)?;
        let transform =
            OutputTransform::new(profile, table(choice)).map_err(|cause| place.unusable(cause))?;
        let curve = |channel: usize| {
            let known = mode.device_curve.get(&set.inks[channel].name);
            known.cloned().unwrap_or(DeviceCurve::Unknown)
        };
        let white = || Illuminant::D50.tristimulus(&substrate.white);
        let mut separation = Self {
            transform,
            drives: channels.into_iter().map(|channel| (channel, curve(channel))).collect(),
            channels: set.inks.len(),
            limits: Limits::new(set, substrate, mode)?,
            paper: profile.media_white().unwrap_or_else(white),
            darkest_neutral: Lab { l: 0.0, a: 0.0, b: 0.0 },
        };
        separation.darkest_neutral.l = separation.black_for(choice);
        Ok(separation)
    }

    /// The device values by which the profile prints a colour, one a colorant.
    #[must_use]
    pub fn device_values(&self, colour: Lab) -> Vec<DeviceValue> {
        self.transform.to_device(colour)
    }

    /// L* of the neutral that black-point compensation scales to: the darkest that the
    /// colorimetric table prints within the limits; none for the perceptual table, which takes
    /// black further itself.
    ///
    /// The darkest need not answer the darkest wish: a black of more ink than the limits allow is
    /// thinned, and may come out lighter than one that the profile prints with little ink.
    fn black_for(&self, choice: RenderingChoice) -> f64 {
        if choice == RenderingChoice::Perceptual {
            return 0.0;
        }
        let wishes = (0..=100_u8).map(|l| Lab { l: l.into(), a: 0.0, b: 0.0 });
        let printed = wishes.map(|wish| self.predict(&self.separate(wish)).l);
        printed.fold(100.0, f64::min).max(0.0)
    }
}

impl Separating for ProfileSeparation {
    fn separate(&self, colour: Lab) -> Separated {
        let mut coverages = ChannelCoverages::unprinted(self.channels);
        if is_bare(colour) {
            return Separated { coverages, limited: false };
        }
        let mut fired = vec![Coverage::MIN; self.channels];
        for ((channel, curve), value) in self.drives.iter().zip(self.device_values(colour)) {
            fired[*channel] = curve.coverage(value);
        }
        coverages = ChannelCoverages::of(&fired);
        let limited = self.limits.enforce(&mut coverages);
        Separated { coverages, limited }
    }

    fn predict(&self, separated: &Separated) -> Lab {
        let device = |(channel, curve): &(usize, DeviceCurve)| {
            curve.device_value(separated.coverages[*channel])
        };
        let values: Vec<DeviceValue> = self.drives.iter().map(device).collect();
        self.transform.to_lab(&values)
    }

    fn limits(&self) -> &Limits {
        &self.limits
    }

    fn darkest_neutral(&self) -> Lab {
        self.darkest_neutral
    }

    fn paper_xyz(&self) -> Xyz {
        self.paper
    }

    fn model(&self) -> Option<&PrintModel> {
        None
    }
}

impl ProfilePlace<'_> {
    /// The channels that a profile drives: all inks but those that the substrate leaves idle.
    fn driven_channels(&self) -> Vec<usize> {
        let inks = self.set.inks.iter().enumerate();
        inks.filter(|(_, ink)| !self.set.is_idle(ink, self.substrate)).map(|(c, _)| c).collect()
    }

    /// Names of the inks whose device curve nobody knows.
    pub(crate) fn inks_without_curve(&self) -> Vec<&str> {
        let known =
            |name: &str| self.mode.device_curve.get(name).is_some_and(|curve| !curve.is_unknown());
        let names = self.driven_channels().into_iter().map(|c| self.set.inks[c].name.as_str());
        names.filter(|name| !known(name)).collect()
    }

    /// Refuses a profile whose colorants are not the set's inks, as far as it says.
    fn check_colorants(
        &self,
        profile: &OutputProfile,
        channels: &[usize],
    ) -> Result<(), EstimatingError> {
        let colorants = profile.space().colorants();
        if colorants != channels.len() {
            return Err(EstimatingError::ProfileChannels {
                profile: profile.description().to_owned(),
                colorants,
                set: self.set.name.clone(),
                substrate: self.substrate.name.clone(),
                inks: channels.len(),
            });
        }
        self.check_order(profile, channels)
    }

    /// Refuses a profile that knows the same inks in another order. CMYK is told by families,
    /// because a black may be called "photo black"; others by names, where the profile has any.
    fn check_order(
        &self,
        profile: &OutputProfile,
        channels: &[usize],
    ) -> Result<(), EstimatingError> {
        let inks = channels.iter().map(|&channel| &self.set.inks[channel]);
        let (theirs, ours): (Vec<String>, Vec<&str>) = match profile.space() {
            DeviceSpace::Cmyk => {
                (CMYK.map(str::to_owned).to_vec(), inks.map(|ink| ink.family.as_str()).collect())
            }
            DeviceSpace::Inks(_) => match profile.colorant_names() {
                Some(names) => (names, inks.map(|ink| ink.name.as_str()).collect()),
                None => return Ok(()),
            },
        };
        if !is_crossed(&theirs, &ours) {
            return Ok(());
        }
        Err(EstimatingError::ProfileOrder {
            profile: profile.description().to_owned(),
            colorants: theirs.join(", "),
            set: self.set.name.clone(),
            inks: ours.join(", "),
        })
    }

    pub(crate) fn unusable(&self, cause: IccError) -> EstimatingError {
        EstimatingError::OutputProfile { set: self.set.name.clone(), cause }
    }
}

/// Whether a name of one list stands at another place in the other.
fn is_crossed(theirs: &[String], ours: &[&str]) -> bool {
    theirs.iter().enumerate().any(|(place, name)| {
        let elsewhere = ours.iter().position(|ink| ink.eq_ignore_ascii_case(name));
        elsewhere.is_some_and(|other| other != place)
    })
}

/// The table by which a rendering leaves the connection space. Absolute colours are made relative
/// to the paper beforehand.
const fn table(choice: RenderingChoice) -> RenderingIntent {
    match choice {
        RenderingChoice::Perceptual => RenderingIntent::Perceptual,
        RenderingChoice::Relative
        | RenderingChoice::RelativeUncompensated
        | RenderingChoice::Absolute => RenderingIntent::RelativeColorimetric,
    }
}
