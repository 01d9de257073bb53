use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use estimating::srgb_profile_bytes;
use picture_files::{JpegPicture, PictureFileError};
use proof::maps::Overview;
use proof::{PreviewProof, ScreenPicture};
use rayon::prelude::*;

/// The proofs of one picture, small enough for a page.
#[derive(Clone, Debug, PartialEq)]
pub struct PictureEvidence {
    pub(crate) intended: EmbeddedPicture,
    pub(crate) sets: Vec<SetEvidence>,
    pub(crate) between: Vec<Between>,
}

/// What a set prints.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct SetEvidence {
    pub(crate) ink_set: String,
    pub(crate) soft_proof: EmbeddedPicture,
    pub(crate) difference: EmbeddedPicture,
}

/// How two sets differ.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Between {
    pub(crate) ink_set: String,
    pub(crate) other: String,
    pub(crate) difference: EmbeddedPicture,
}

/// A picture inside a page.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct EmbeddedPicture {
    pub(crate) width: u32,
    pub(crate) height: u32,
    /// A `data:` address.
    pub(crate) address: String,
}

/// Sets of which every pair is shown; more would fill a page with maps.
const MOST_SETS_IN_PAIRS: usize = 3;

impl PictureEvidence {
    /// Takes the proofs of a picture on some sets, named in the same order.
    ///
    /// # Errors
    ///
    /// `Size` for previews that no page can show.
    pub fn new(
        names: &[String],
        proofs: &[PreviewProof],
    ) -> Result<Option<Self>, PictureFileError> {
        let overviews: Vec<Overview> = proofs.iter().map(Overview::of).collect();
        let Some(first) = overviews.first() else {
            return Ok(None);
        };
        let sets = names.par_iter().zip(&overviews);
        Ok(Some(Self {
            intended: EmbeddedPicture::new(&first.intended)?,
            sets: sets
                .map(|(name, proof)| SetEvidence::new(name, proof))
                .collect::<Result<_, _>>()?,
            between: pairs(names, &overviews)?,
        }))
    }
}

impl SetEvidence {
    fn new(name: &str, proof: &Overview) -> Result<Self, PictureFileError> {
        Ok(Self {
            ink_set: name.to_owned(),
            soft_proof: EmbeddedPicture::new(&proof.soft_proof)?,
            difference: EmbeddedPicture::new(&proof.difference)?,
        })
    }
}

fn pairs(names: &[String], proofs: &[Overview]) -> Result<Vec<Between>, PictureFileError> {
    if names.len() > MOST_SETS_IN_PAIRS {
        return Ok(Vec::new());
    }
    let places = (0..names.len()).flat_map(|other| (0..other).map(move |one| (one, other)));
    let places: Vec<(usize, usize)> = places.collect();
    places
        .into_par_iter()
        .map(|(one, other)| {
            let map = proofs[one].difference_from(&proofs[other]);
            Ok(Between {
                ink_set: names[one].clone(),
                other: names[other].clone(),
                difference: EmbeddedPicture::new(&map)?,
            })
        })
        .collect()
}

impl EmbeddedPicture {
    fn new(picture: &ScreenPicture) -> Result<Self, PictureFileError> {
        let profile = srgb_profile_bytes();
        let jpeg = JpegPicture {
            width: picture.width,
            height: picture.height,
            profile: (!profile.is_empty()).then_some(profile.as_slice()),
        };
        let bytes = jpeg.to_bytes(picture.pixels.as_flattened())?;
        Ok(Self {
            width: picture.width,
            height: picture.height,
            address: format!("data:image/jpeg;base64,{}", STANDARD.encode(bytes)),
        })
    }
}
