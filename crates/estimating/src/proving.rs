use std::sync::Arc;

use proof::{Fineness, PreviewColours, PreviewProof, ProofError, Viewing};

use crate::judging::PictureProof;
use crate::source_colours::SourceColours;
use crate::{CountedPicture, EstimatingError, PreparedSet, RenderingChoice};

/// The colours of a picture's preview, to be proved on several sets.
///
/// `most_pixels` makes the preview smaller where it has more; figures come from the census
/// and don't change with it.
#[must_use]
pub fn preview_colours(
    picture: &CountedPicture,
    fineness: Fineness,
    most_pixels: u64,
) -> Arc<PreviewColours> {
    Arc::new(PreviewColours::of(&picture.preview.reduced(most_pixels), fineness))
}

/// Proves a picture's preview on a prepared set.
///
/// # Errors
///
/// `Profile` when the source profile can't be transformed with the chosen intent, `Proof` for a
/// light other than D50 where the set predicts no spectra.
pub fn prove_preview(
    picture: &CountedPicture,
    prepared: &PreparedSet,
    choice: RenderingChoice,
    colours: &Arc<PreviewColours>,
    viewing: Viewing,
) -> Result<PreviewProof, EstimatingError> {
    if viewing.needs_spectra() && prepared.separation_for(choice).model().is_none() {
        return Err(ProofError::NoSpectra { set: prepared.set().name.clone() }.into());
    }
    let source = Arc::new(SourceColours::new(picture.profile(), choice)?);
    PictureProof::new(source, prepared, choice)?.prove_preview(colours, viewing)
}
