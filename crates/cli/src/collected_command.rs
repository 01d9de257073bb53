use std::num::NonZeroUsize;
use std::path::Path;

use estimating::{CollectedColours, EstimatingError, Job, PreparedSet, estimate_collected};
use report::FileOutcome;

use crate::Exit;
use crate::arguments::EstimateArguments;
use crate::batch::Batch;
use crate::calibrated_sets::{calibrated, ledger_of};
use crate::estimating_commands::report;
use crate::kept_pictures::{KeptPictures, Stamp};
use crate::picture_reading::{Memory, PictureReading};
use crate::prepared_sets::prepare;
use crate::shell_error::ShellError;

/// A file with its collected colours.
type Collected = (String, Result<CollectedColours, String>);

/// `inkfathom estimate --collected`.
pub(crate) fn run(arguments: &EstimateArguments) -> Result<Exit, ShellError> {
    let EstimateArguments { job: of_job, ink_set, .. } = arguments;
    let files = of_job.files.listed()?;
    let job = Job {
        size: of_job.print.size(),
        copies: of_job.copies,
        rendering: of_job.print.rendering()?,
    };
    let reading = PictureReading::new(&of_job.pictures)?;
    if !reading.is_usual() {
        return Err(ShellError::CollectedUsually);
    }
    let ledger = ledger_of(&of_job.ledger, &of_job.calibration)?;
    let prepared = prepare(&of_job.print.device, &[ink_set.as_str()])?;
    let prepared = calibrated(prepared, ledger.as_ref(), &of_job.ledger, &of_job.calibration)?;
    let pictures = if of_job.print.device.no_cache { None } else { KeptPictures::of_user() };
    let collecting = Collecting { reading: &reading, pictures: pictures.as_ref() };
    let collected = Batch { files: &files, jobs: of_job.files.jobs() }.run(
        |path, threads| collecting.collect(path, threads),
        |name, error| (name.to_owned(), Err(error.to_owned())),
    );
    let outcomes = prepared.iter().map(|set| outcomes(&collected, set, &job)).next();
    if let Some(pictures) = pictures {
        pictures.close();
    }
    report(of_job, vec![prepared[0].set().name.clone()], outcomes.unwrap_or(Ok(Vec::new()))?, None)
}

/// Collects the colours of files.
struct Collecting<'a> {
    reading: &'a PictureReading<'a>,
    pictures: Option<&'a KeptPictures>,
}

impl Collecting<'_> {
    /// The collected colours of a file that has not changed, or those that its picture has.
    fn collect(&self, path: &Path, threads: NonZeroUsize) -> Vec<Collected> {
        let stamp = self.pictures.and_then(|_| Stamp::of(path));
        let known = self.pictures.zip(stamp.as_ref());
        let name = path.display().to_string();
        if let Some(colours) = known.and_then(|(kept, stamp)| kept.collected(stamp)) {
            return vec![(name, Ok(colours))];
        }
        let memory = Memory { pictures: self.pictures, ..Memory::default() };
        self.reading.each_page(path, threads, memory, |page, picture| {
            let colours = picture.and_then(|picture| CollectedColours::of(&picture));
            // The page of a file with several is no file of its own.
            if let (Some((kept, stamp)), Ok(colours)) = (known.filter(|_| page == name), &colours) {
                kept.keep_collected(stamp, colours);
            }
            (page, colours.map_err(|fault| fault.to_string()))
        })
    }
}

/// Estimates everything that was collected at once.
fn outcomes(
    collected: &[Collected],
    set: &PreparedSet,
    job: &Job,
) -> Result<Vec<FileOutcome>, ShellError> {
    let colours: Vec<&CollectedColours> =
        collected.iter().filter_map(|(_, colours)| colours.as_ref().ok()).collect();
    let mut estimates =
        estimate_collected(&colours, set, job).map_err(ShellError::NotCollected)?.into_iter();
    let outcome = |(file, colours): &Collected| FileOutcome {
        file: file.clone(),
        outcome: match colours {
            Err(error) => Err(error.clone()),
            Ok(_) => estimates
                .next()
                .unwrap_or(Err(EstimatingError::SizeUnknown))
                .map(|estimate| vec![estimate])
                .map_err(|fault| fault.to_string()),
        },
    };
    Ok(collected.iter().map(outcome).collect())
}
