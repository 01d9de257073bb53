use std::num::{NonZeroU32, NonZeroUsize};
use std::thread::available_parallelism;

use estimating::{
    CountedPicture, Estimate, EstimatingError, Job, Preparation, PreparedSet, RenderingChoice,
    SizeRequest, estimate,
};
use inkfathom_tests::repository;
use inkset::ParsedInkSet;
use separation::InkPolicy;
use units::Length;

use crate::bench_error::BenchError;
use crate::photographs::open;
use crate::separation_folder::SeparationFolder;

/// Four photographs of the kinds on which ink sets are compared, with the kind's name.
const PICTURES: [(&str, &str); 4] = [
    ("black and white", "photographer-gray.png"),
    ("family portrait", "portrait-elder.jpg"),
    ("landscape", "mountain-path-landscape.jpg"),
    ("school portrait", "portrait-light-hair.png"),
];

/// Printed width of each.
const WIDTH_MILLIMETRES: f64 = 600.0;

/// The photographs, each read and counted once for all estimates.
pub(crate) struct FourPictures(Vec<CountedPicture>);

impl FourPictures {
    pub(crate) fn count() -> Result<Self, BenchError> {
        let threads = available_parallelism().unwrap_or(NonZeroUsize::MIN);
        let pictures = PICTURES.map(|(_, file)| {
            let picture = open(&repository().join("testimages/photographs").join(file))?;
            Ok(CountedPicture::count(picture, None, threads)?)
        });
        pictures.into_iter().collect::<Result<_, BenchError>>().map(Self)
    }

    /// The kinds of the pictures, in their order.
    pub(crate) fn kinds() -> impl Iterator<Item = &'static str> {
        PICTURES.into_iter().map(|(kind, _)| kind)
    }

    /// The estimates of a print 60 cm wide, on the set's first substrate in its first print mode.
    pub(crate) fn estimates(
        &self,
        parsed: ParsedInkSet,
        policy: InkPolicy,
        folder: &SeparationFolder,
    ) -> Result<Vec<Estimate>, BenchError> {
        let preparation = Preparation { policy, ..Preparation::default() };
        let prepared = PreparedSet::new(parsed, preparation, folder)?;
        let width = Length::from_millimetres(WIDTH_MILLIMETRES).map_err(EstimatingError::from)?;
        let job = Job {
            size: SizeRequest { width: Some(width), height: None },
            copies: NonZeroU32::MIN,
            rendering: RenderingChoice::default(),
        };
        let estimates = self.0.iter().map(|picture| Ok(estimate(picture, &prepared, &job)?));
        estimates.collect()
    }
}

/// Millilitres of an estimate, all inks together.
pub(crate) fn total_ml(estimate: &Estimate) -> f64 {
    estimate.dose.total.expected.to_millilitres()
}
