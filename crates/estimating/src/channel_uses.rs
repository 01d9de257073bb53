use census::{ColourCensus, StoredCensus};
use dosing::ChannelUse;
use icc::SourceProfile;

use crate::estimate::InkSums;
use crate::profile_choice::ProfileChoice;
use crate::source_colours::CensusColours;
use crate::{CountedPicture, EstimatingError, PreparedSet, RenderingChoice};

/// How a counted picture uses the channels of a set.
///
/// # Errors
///
/// `Profile` when the source profile can't be transformed.
pub fn channel_uses(
    picture: &CountedPicture,
    prepared: &PreparedSet,
    rendering: RenderingChoice,
) -> Result<Vec<ChannelUse>, EstimatingError> {
    uses(&picture.census, picture.profile(), prepared, rendering)
}

/// How a picture uses the channels of a set, from its stored census alone.
///
/// # Errors
///
/// `Census` when the bytes are no sound census; `Profile` when its profile can't be transformed.
pub fn uses_of_stored(
    census: &[u8],
    prepared: &PreparedSet,
    rendering: RenderingChoice,
) -> Result<Vec<ChannelUse>, EstimatingError> {
    let stored = StoredCensus::from_bytes(census)?;
    let embedded = stored.profile.as_deref();
    let choice = ProfileChoice { embedded, assumed: None, model: stored.census.model() };
    let (profile, _) = choice.choose(&mut Vec::new());
    uses(&stored.census, &profile, prepared, rendering)
}

fn uses(
    census: &ColourCensus,
    profile: &SourceProfile,
    prepared: &PreparedSet,
    rendering: RenderingChoice,
) -> Result<Vec<ChannelUse>, EstimatingError> {
    let colours = CensusColours::of(census, profile, rendering)?;
    let sums = InkSums::of(&colours, census.unprinted(), prepared, rendering)?;
    Ok(sums.tally.uses())
}
