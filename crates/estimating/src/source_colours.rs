use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use census::{CensusEntry, ColourCensus};
use colour::Lab;
use icc::{SourceProfile, SourceTransform};
use proof::WantedColour;
use rayon::prelude::*;

use crate::rendering::intent;
use crate::{EstimatingError, RenderingChoice};

/// The ways from a picture's encoding to the colours that a job's rendering starts from. They are the
/// same for every ink set.
pub(crate) struct SourceColours {
    rendered_from: SourceTransform,
    /// To the one target, where that is another table.
    intended: Option<SourceTransform>,
}

/// Colours of one piece of work: enough to outweigh handing it out.
pub(crate) const COLOURS_AT_ONCE: usize = 2048;

impl SourceColours {
    pub(crate) fn new(
        profile: &SourceProfile,
        choice: RenderingChoice,
    ) -> Result<Self, EstimatingError> {
        let rendered_from = SourceTransform::new(profile, intent(choice))?;
        let target = choice.target_intent();
        let intended = if target == intent(choice) {
            None
        } else {
            Some(SourceTransform::new(profile, target)?)
        };
        Ok(Self { rendered_from, intended })
    }

    /// The transform with the intent of the rendering.
    pub(crate) const fn transform(&self) -> &SourceTransform {
        &self.rendered_from
    }

    /// What the rendering starts from, each colour with its pixels, in the order given.
    pub(crate) fn of(
        &self,
        entries: impl IndexedParallelIterator<Item = CensusEntry>,
    ) -> Result<Vec<(Lab, u64)>, EstimatingError> {
        in_parts(entries, |encoded| Ok(self.rendered_from.to_lab(encoded)?))
    }

    /// What is wanted, each colour with its pixels, in the order given.
    pub(crate) fn wanted_of(
        &self,
        entries: impl IndexedParallelIterator<Item = CensusEntry>,
    ) -> Result<Vec<(WantedColour, u64)>, EstimatingError> {
        in_parts(entries, |encoded| self.wanted(encoded))
    }

    /// What encoded colours want, sample after sample, in the order given.
    pub(crate) fn wanted_all(&self, encoded: &[f64]) -> Result<Vec<WantedColour>, EstimatingError> {
        let parts: Vec<Vec<WantedColour>> = encoded
            .par_chunks(COLOURS_AT_ONCE * self.rendered_from.model().channels())
            .map(|colours| self.wanted(colours))
            .collect::<Result<_, EstimatingError>>()?;
        Ok(parts.concat())
    }

    fn wanted(&self, encoded: &[f64]) -> Result<Vec<WantedColour>, EstimatingError> {
        let rendered_from = self.rendered_from.to_lab(encoded)?;
        let intended: Vec<Lab> = match &self.intended {
            Some(transform) => transform.to_lab(encoded)?,
            None => rendered_from.clone(),
        };
        let pairs = intended.into_iter().zip(rendered_from);
        Ok(pairs
            .map(|(intended, rendered_from)| WantedColour { intended, rendered_from })
            .collect())
    }
}

/// The colours of a census's entries, with the way to them.
pub(crate) struct CensusColours {
    pub(crate) source: Arc<SourceColours>,
    /// Each with its pixels, in the census's order.
    pub(crate) entries: Vec<(Lab, u64)>,
}

impl CensusColours {
    pub(crate) fn of(
        census: &ColourCensus,
        profile: &SourceProfile,
        choice: RenderingChoice,
    ) -> Result<Self, EstimatingError> {
        let source = Arc::new(SourceColours::new(profile, choice)?);
        let entries = source.of(census.par_entries())?;
        Ok(Self { source, entries })
    }
}

/// The colours of a picture for the rendering that was asked for last: several sets are mostly asked
/// about with the same.
#[derive(Default)]
pub(crate) struct LastColours(Mutex<Option<(RenderingChoice, Arc<CensusColours>)>>);

impl LastColours {
    /// The colours for a rendering; they are worked out unless they were asked for last.
    pub(crate) fn for_rendering(
        &self,
        choice: RenderingChoice,
        work_out: impl FnOnce() -> Result<CensusColours, EstimatingError>,
    ) -> Result<Arc<CensusColours>, EstimatingError> {
        let known = self.lock().clone();
        if let Some((_, colours)) = known.filter(|(known, _)| *known == choice) {
            return Ok(colours);
        }
        // Not under the lock: a thread that waits for parts of the work may be given other work, which
        // may ask for the colours, too.
        let colours = Arc::new(work_out()?);
        *self.lock() = Some((choice, Arc::clone(&colours)));
        Ok(colours)
    }

    fn lock(&self) -> MutexGuard<'_, Option<(RenderingChoice, Arc<CensusColours>)>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn in_parts<T: Clone + Send + Sync>(
    entries: impl IndexedParallelIterator<Item = CensusEntry>,
    colours_of: impl Fn(&[f64]) -> Result<Vec<T>, EstimatingError> + Sync,
) -> Result<Vec<(T, u64)>, EstimatingError> {
    let of_part = |entries: Vec<CensusEntry>| {
        let colours = colours_of(&encoded(entries.iter()))?;
        Ok(colours.into_iter().zip(entries.iter().map(|entry| entry.pixels)).collect())
    };
    let parts: Vec<Vec<(T, u64)>> =
        entries.chunks(COLOURS_AT_ONCE).map(of_part).collect::<Result<_, EstimatingError>>()?;
    Ok(parts.concat())
}

/// Colours of a census in the picture's encoding, sample after sample.
pub(crate) fn encoded<'a>(entries: impl ExactSizeIterator<Item = &'a CensusEntry>) -> Vec<f64> {
    let mut samples = Vec::with_capacity(MOST_SAMPLES * entries.len());
    entries.for_each(|entry| samples.extend_from_slice(entry.colour.samples()));
    samples
}

/// Samples of a colour in inks.
const MOST_SAMPLES: usize = 4;

#[cfg(test)]
mod tests {
    use colour::{BitDepth, ColourModel};
    use icc::RenderingIntent;

    use super::*;

    #[test]
    fn colours_are_worked_out_anew_for_another_rendering_alone() {
        let census = ColourCensus::empty(ColourModel::Rgb, BitDepth::Eight);
        let last = LastColours::default();
        let mut times = 0;
        let mut intent_of = |choice| {
            let colours = last.for_rendering(choice, || {
                times += 1;
                CensusColours::of(&census, &SourceProfile::srgb(), choice)
            });
            (colours.ok().map(|colours| colours.source.transform().intent()), times)
        };
        let (relative, absolute) = (RenderingChoice::Relative, RenderingChoice::Absolute);
        let colorimetric = Some(RenderingIntent::RelativeColorimetric);
        assert_eq!(intent_of(relative), (colorimetric, 1));
        assert_eq!(intent_of(relative), (colorimetric, 1));
        assert_eq!(intent_of(absolute), (Some(RenderingIntent::AbsoluteColorimetric), 2));
        assert_eq!(intent_of(relative), (colorimetric, 3));
    }
}
