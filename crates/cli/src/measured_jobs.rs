use dosing::{CalibrationPrior, ChannelUse, MeasuredJob, Reading};
use estimating::{Preparation, PreparedSet, uses_of_stored};
use inkset::ParsedInkSet;
use ledger::{JobFilter, Ledger, Readings, RecordedJob};

use crate::ink_set_source::read_ink_set;
use crate::job_records::recorded_rendering;
use crate::ledger_arguments::Device;
use crate::output::say;
use crate::output_profile_source::read_output_profile;
use crate::prepared_sets::cache;
use crate::separation_words::policy;
use crate::shell_error::ShellError;

/// The jobs of an ink set and print mode, as calibration and control charts take them.
pub(crate) struct MeasuredJobs {
    /// Name of the ink set.
    pub(crate) ink_set: String,
    /// Its fingerprint now.
    pub(crate) fingerprint: String,
    /// Name of the print mode.
    pub(crate) print_mode: String,
    /// Where a calibration begins.
    pub(crate) prior: CalibrationPrior,
    /// In the order printed.
    pub(crate) jobs: Vec<MeasuredJob>,
}

/// An ink set as it was read, and the mode that jobs were printed in.
struct ReadDevice<'a> {
    source: &'a str,
    parsed: &'a ParsedInkSet,
    print_mode: &'a str,
}

/// Separations that jobs have needed so far: by substrate and policy.
type Prepared = Vec<((String, String), PreparedSet)>;

impl MeasuredJobs {
    /// Gathers the jobs of a device. Those that can't be used are told with the reason.
    pub(crate) fn gather(ledger: &Ledger, device: &Device) -> Result<Self, ShellError> {
        let parsed = read_ink_set(&device.ink_set)?;
        let print_mode = parsed.set.print_mode(device.print_mode.as_deref())?.name.clone();
        let filter = JobFilter { ink_set: Some(&parsed.set.name), print_mode: Some(&print_mode) };
        let read = ReadDevice { source: &device.ink_set, parsed: &parsed, print_mode: &print_mode };
        let mut prepared: Prepared = Vec::new();
        let mut jobs = Vec::new();
        for recorded in ledger.jobs(filter)? {
            match usable(&recorded).and_then(|()| measured(ledger, &recorded, &read, &mut prepared))
            {
                Ok(job) => jobs.push(job),
                Err(reason) => say("notice", &format!("job {}: {reason}", recorded.number)),
            }
        }
        let Some((_, first)) = prepared.first() else {
            return Err(ShellError::NoUsableJobs { ink_set: parsed.set.name, print_mode });
        };
        Ok(Self {
            prior: first.calibration_prior(),
            fingerprint: parsed.set.fingerprint().to_string(),
            ink_set: parsed.set.name,
            print_mode,
            jobs,
        })
    }
}

/// Readings with more in them than a picture and its start can't be told apart.
fn usable(recorded: &RecordedJob) -> Result<(), String> {
    let includes = recorded.job.includes;
    if recorded.left_out {
        return Err("left out, as its record wishes".to_owned());
    }
    if includes.cleaning || includes.margins {
        let what = if includes.cleaning { "a cleaning" } else { "margins" };
        return Err(format!("not used: its reading includes {what}, whose ink nobody knows"));
    }
    Ok(())
}

fn measured(
    ledger: &Ledger,
    recorded: &RecordedJob,
    device: &ReadDevice<'_>,
    prepared: &mut Prepared,
) -> Result<MeasuredJob, String> {
    let job = &recorded.job;
    let place = place_of(recorded, device, prepared)?;
    let census = ledger.census(&job.content_hash).map_err(|fault| fault.to_string())?;
    let census = census.ok_or("not used: the census of its picture is gone; add the job again")?;
    let set = &prepared[place].1;
    let uses = uses_of_stored(&census, set, recorded_rendering(job)?)
        .map_err(|fault| format!("not used: {fault}"))?;
    Ok(MeasuredJob {
        number: recorded.number,
        area: (job.width * job.height).times(job.copies.get()),
        reading: reading(&job.readings, set, &uses)?,
        uses,
        resolution: job.resolution,
        includes_start_up: job.includes.start_up,
    })
}

/// The separation that a job was printed with, prepared once for all jobs like it.
fn place_of(
    recorded: &RecordedJob,
    device: &ReadDevice<'_>,
    prepared: &mut Prepared,
) -> Result<usize, String> {
    let ReadDevice { source, parsed, print_mode } = device;
    let job = &recorded.job;
    let key = (job.substrate.clone(), job.policy.clone());
    if let Some(place) = prepared.iter().position(|(known, _)| *known == key) {
        return Ok(place);
    }
    let output_profile =
        read_output_profile(&parsed.set, source).map_err(|fault| format!("not used: {fault}"))?;
    let preparation = Preparation {
        substrate: Some(&job.substrate),
        print_mode: Some(print_mode),
        policy: policy(&job.policy)?,
        output_profile: output_profile.as_deref(),
    };
    let set = PreparedSet::new((*parsed).clone(), preparation, cache(false).as_ref())
        .map_err(|fault| format!("not used: {fault}"))?;
    prepared.push((key, set));
    Ok(prepared.len() - 1)
}

/// The readings in the order of the channels.
fn reading(readings: &Readings, set: &PreparedSet, uses: &[ChannelUse]) -> Result<Reading, String> {
    let Readings::ByInk(named) = readings else {
        let Readings::Total(total) = readings else { return Err("nothing was read".to_owned()) };
        return Ok(Reading::Total(*total));
    };
    let inks = &set.set().inks;
    if let Some((stray, _)) = named.iter().find(|(name, _)| !inks.iter().any(|i| i.name == *name)) {
        return Err(format!("not used: the ink set has no ink `{stray}` any more"));
    }
    let of_ink = |name: &str| named.iter().find(|(ink, _)| ink == name).map(|(_, ml)| *ml);
    debug_assert_eq!(inks.len(), uses.len(), "a use for each channel");
    Ok(Reading::ByInk(inks.iter().map(|ink| of_ink(&ink.name)).collect()))
}
