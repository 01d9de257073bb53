//! The façade: a picture and a job in, an estimate or a comparison out.
//!
//! 1. [`CountedPicture::count`] reads an opened picture once.
//! 2. [`PreparedSet::new`] builds the separation of an ink set on a substrate in a print
//!    mode, or takes it from the set's output profile.
//! 3. [`estimate`] puts the two together for a [`Job`], [`estimates_with_verdicts`] also judges
//!    the colours on several sets; [`Comparison`] gathers them for several sets, gives savings and says which set a
//!    picture needs.
//! 4. [`separate_picture`] writes the ink channels of a picture at full resolution, and
//!    [`output_profile_of`] the separation itself as an ICC profile.
//!
//! [`PreparedSet::with_calibration`] makes estimates rest on measured jobs, and a [`CensusStore`] keeps a
//! picture from being decoded twice.
//!
//! [`CountedPicture::to_known`] makes a picture known again without reading its file, and
//! [`estimate_collected`] estimates many known pictures at once, for one separation of their
//! [`CollectedColours`].
//!
//! Whatever had to be guessed stands in the estimate's [`Assumption`]s. Deliberately absent: the
//! terminal, files by name, HTTP and SQL.

mod assumption;
mod census_store;
mod channel_uses;
mod closer_look;
mod collected_colours;
mod collected_estimates;
mod collecting_grid;
mod colour_memo;
mod comparison;
mod counted_picture;
mod device_calibration;
mod device_values;
mod error;
mod estimate;
mod identities;
mod ink_previews;
mod job;
mod judging;
mod kept_facts;
mod kept_picture;
mod known_picture;
mod made_profile;
mod mixture_text;
mod monthly_input;
mod named_colour;
mod picture_outline;
mod policy_effect;
mod prepared_set;
mod pricing_input;
mod print_size;
mod profile_choice;
mod profile_separation;
mod proving;
mod rendering;
mod sample_diffusion;
mod separated_picture;
mod set_separation;
mod single_colours;
mod source_colours;
mod stored_shape;

pub use assumption::{Assumption, Weight};
pub use census_store::CensusStore;
pub use channel_uses::{channel_uses, uses_of_stored};
pub use collected_colours::CollectedColours;
pub use collected_estimates::estimate_collected;
pub use comparison::{Comparison, Saving};
pub use counted_picture::{CountedPicture, Counting, PreviewUse, ProfileUse};
pub use device_calibration::DeviceCalibration;
pub use device_values::estimate_device_values;
pub use error::EstimatingError;
pub use estimate::{Estimate, SetDifference, StartUp, estimate, paper_shown};
pub use icc::{MOST_PROFILE_BYTES, srgb_profile_bytes};
pub use identities::Identities;
pub use ink_previews::InkPreview;
pub use job::{Job, RenderingChoice};
pub use judging::{estimates_with_proofs, estimates_with_verdicts};
pub use kept_picture::KeptPicture;
pub use known_picture::Keeping;
pub use made_profile::output_profile_of;
pub use mixture_text::{MixtureTextError, read_mixture};
pub use monthly_input::{ColourDemand, EstimatedJob, estimate_monthly};
pub use named_colour::{ColourTextError, NamedColour};
pub use picture_outline::PictureOutline;
pub use policy_effect::PolicyEffect;
pub use prepared_set::{NoCache, Preparation, PreparedSet, SeparationCache};
pub use pricing_input::{learned_start_up, ordered_picture, priced_assumptions};
pub use print_size::{PrintSize, SizeOrigin, SizeRequest};
pub use profile_separation::ProfileSeparation;
pub use proving::{preview_colours, prove_preview};
pub use separated_picture::{SeparatedPicture, SeparationJob, separate_picture};
pub use set_separation::check_separation;
pub use single_colours::{PredictedMixture, SeparatedColour, predict_mixture, separate_colour};
