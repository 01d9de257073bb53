use colour::ColourModel;
use dosing::{ColourUse, CoverageTally};
use inkset::DeviceCurve;
use separation::{ChannelCoverages, Separated};
use units::{Coverage, DeviceValue};

use crate::estimate::EstimatedSet;
use crate::profile_separation::CMYK;
use crate::{Assumption, CountedPicture, Estimate, EstimatingError, Job, PreparedSet};

/// Estimates what a CMYK file's own device values take on a device of those four families: by the
/// print mode's curves, without separating anew.
///
/// It answers how much ink the file asks for as it is, and not how much its colours take.
///
/// # Errors
///
/// `DeviceValuesOf` for a picture that is not CMYK, `NotFourInks` for a set that does not print
/// with one ink each of cyan, magenta, yellow and black; `SizeUnknown` and `SizeAbsurd`.
pub fn estimate_device_values(
    picture: &CountedPicture,
    prepared: &PreparedSet,
    job: &Job,
) -> Result<Estimate, EstimatingError> {
    let model = picture.census.model();
    if model != ColourModel::Cmyk {
        return Err(EstimatingError::DeviceValuesOf { model });
    }
    let device = FourInks::of(prepared)?;
    let set = EstimatedSet::new(prepared, job.rendering);
    let mut tally = CoverageTally::new(set.channels());
    for entry in picture.census.entries() {
        let fired = device.fired(entry.colour.samples(), prepared, job);
        let limits = prepared.separation_for(job.rendering).limits();
        tally.add(&ColourUse::of(&fired, limits), entry.pixels);
    }
    tally.add_unprinted(picture.census.unprinted());
    let mut estimate = set.estimate(&picture.outline(), picture.content_hash, &tally, job)?;
    // Neither takes place here.
    estimate.assumptions.retain(|assumption| {
        let text = &assumption.text;
        !text.starts_with("rendering: ") && !text.starts_with("separation: ")
    });
    estimate.assumptions.push(Assumption::warning(
        "the file's own device values are printed as they are, without separating its colours anew",
    ));
    estimate.assumptions.extend(device.curves_not_known(prepared));
    Ok(estimate)
}

/// The channels of cyan, magenta, yellow and black, each with its curve.
struct FourInks([(usize, DeviceCurve); 4]);

impl FourInks {
    fn of(prepared: &PreparedSet) -> Result<Self, EstimatingError> {
        let (set, substrate) = (prepared.set(), prepared.substrate());
        let families = set.families(substrate);
        let channel = |name: &str| {
            let family = families.iter().find(|family| family.name == name)?;
            <[usize; 1]>::try_from(&family.channels[..]).ok().map(|[channel]| channel)
        };
        let channels = CMYK.map(channel);
        let [Some(cyan), Some(magenta), Some(yellow), Some(black)] = channels else {
            return Err(EstimatingError::NotFourInks { set: set.name.clone() });
        };
        if families.len() != CMYK.len() {
            return Err(EstimatingError::NotFourInks { set: set.name.clone() });
        }
        let curves = &prepared.print_mode().device_curve;
        let driven = |channel: usize| {
            let known = curves.get(&set.inks[channel].name);
            (channel, known.cloned().unwrap_or(DeviceCurve::Unknown))
        };
        Ok(Self([cyan, magenta, yellow, black].map(driven)))
    }

    /// What device values of 0 to 1 fire, within the limits.
    fn fired(&self, values: &[f64], prepared: &PreparedSet, job: &Job) -> Separated {
        let mut fired = vec![Coverage::MIN; prepared.set().inks.len()];
        for ((channel, curve), value) in self.0.iter().zip(values) {
            // Means of samples of 0 to 1 lie there too.
            let value = DeviceValue::from_fraction(value.clamp(0.0, 1.0));
            fired[*channel] = curve.coverage(value.unwrap_or(DeviceValue::MIN));
        }
        let mut coverages = ChannelCoverages::of(&fired);
        let limited = prepared.separation_for(job.rendering).limits().enforce(&mut coverages);
        Separated { coverages, limited }
    }

    fn curves_not_known(&self, prepared: &PreparedSet) -> Option<Assumption> {
        let inks = &prepared.set().inks;
        let unknown = self.0.iter().filter(|(_, curve)| curve.is_unknown());
        let names: Vec<&str> = unknown.map(|(channel, _)| inks[*channel].name.as_str()).collect();
        (!names.is_empty()).then(|| {
            Assumption::warning(format!(
                "the print mode has no device curve of {}; the default curve stands for it, by \
                 which half a device value fires 35 % of the drops",
                names.join(", ")
            ))
        })
    }
}
