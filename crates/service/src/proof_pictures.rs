use std::sync::Arc;

use colour::BitDepth;
use estimating::{CountedPicture, PreparedSet, RenderingChoice, preview_colours, prove_preview};
use picture_files::{PngColour, PngPicture, Row};
use proof::maps::{difference_between, difference_map, load_map};
use proof::{Fineness, PreviewColours, PreviewProof, ScreenPicture, Viewing};
use report::{Letter, PictureEvidence};

use crate::access::Access;
use crate::answering::report;
use crate::catalogue::KeyedSet;
use crate::{Problem, ProblemClass, Studio, WhatIf};

/// A picture of a proof.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ProofPicture {
    /// What is intended.
    Intended,
    /// What a set prints.
    Proof,
    /// How far that is off.
    Difference,
    /// How much ink lies where.
    Load,
    /// How far two sets' prints differ.
    Between,
}

impl ProofPicture {
    /// All of them with their words.
    pub const WORDS: [(&'static str, Self); 5] = [
        ("intended", Self::Intended),
        ("proof", Self::Proof),
        ("difference", Self::Difference),
        ("load", Self::Load),
        ("between", Self::Between),
    ];

    const fn sets(self) -> usize {
        match self {
            Self::Between => 2,
            _ => 1,
        }
    }
}

/// Longest sides on offer, in pixels: previews are kept with half a million.
pub(crate) const SIDES: std::ops::RangeInclusive<u32> = 16..=2000;
/// Pixels of pictures on a mailed page.
const PAGE_PIXELS: u64 = 300_000;

impl Studio {
    /// A picture of a proof as a PNG file in sRGB, whose longer side has about so many pixels or
    /// fewer.
    ///
    /// # Errors
    ///
    /// `Usage` for a side outside 16 to 2000 pixels or too few sets, `NotCountedYet`.
    pub async fn proof_picture(
        self: &Arc<Self>,
        access: &Access,
        what_if: &WhatIf,
        which: ProofPicture,
        longest_side: u32,
    ) -> Result<Vec<u8>, Problem> {
        if !SIDES.contains(&longest_side) {
            let (low, high) = (SIDES.start(), SIDES.end());
            let detail = format!("longest_side is {longest_side}, outside {low} to {high} pixels");
            return Err(Problem::new(ProblemClass::Usage, detail));
        }
        let (upload, what_if) = (access.upload.clone(), what_if.clone());
        self.computing(move |studio| {
            let names = what_if.sets(&studio.settings.ink_sets)?;
            let names = names.get(..which.sets()).ok_or_else(|| {
                Problem::new(ProblemClass::Usage, "a difference of sets takes two ink sets")
            })?;
            let sets = studio.prepared(names, &what_if)?;
            let picture = studio.picture(&upload)?;
            let rendering = what_if.job()?.rendering;
            let _place = studio.heavy.enter();
            let colours =
                preview_colours(&picture, Fineness::Lattice, pixels(&picture, longest_side));
            png(&drawn(which, &picture, &sets, rendering, &colours)?)
        })
        .await
    }

    /// A comparison as a page that can be mailed.
    pub(crate) async fn comparison_page(
        self: &Arc<Self>,
        access: &Access,
        what_if: &WhatIf,
        letter: Letter,
    ) -> Result<String, Problem> {
        let (upload, what_if) = (access.upload.clone(), what_if.clone());
        self.computing(move |studio| {
            let (sets, estimates) = studio.compared(&upload, &what_if)?;
            let picture = studio.picture(&upload)?;
            let _place = studio.heavy.enter();
            let evidence = studio.evidence(&picture, &sets, what_if.job()?.rendering)?;
            Ok(report(&upload, &sets, estimates).to_html(&letter, &[evidence]))
        })
        .await
    }

    /// The proofs of a comparison for a page that can be mailed.
    fn evidence(
        &self,
        picture: &CountedPicture,
        sets: &[KeyedSet],
        rendering: RenderingChoice,
    ) -> Result<Option<PictureEvidence>, Problem> {
        let colours = preview_colours(picture, Fineness::Lattice, PAGE_PIXELS);
        let prove = |(_, set): &KeyedSet| {
            prove_preview(picture, set, rendering, &colours, Viewing::default())
        };
        let proofs = sets.iter().map(prove).collect::<Result<Vec<_>, _>>()?;
        let names: Vec<String> = sets.iter().map(|(_, set)| set.set().name.clone()).collect();
        PictureEvidence::new(&names, &proofs).map_err(Problem::internal)
    }
}

/// Pixels of a preview of the picture's shape with such a longer side.
fn pixels(picture: &CountedPicture, longest_side: u32) -> u64 {
    let (width, height) = (u64::from(picture.preview.width), u64::from(picture.preview.height));
    let (short, long) = (width.min(height), width.max(height).max(1));
    let side = u64::from(longest_side).min(long);
    (side * (side * short).div_ceil(long)).max(1)
}

fn drawn(
    which: ProofPicture,
    picture: &CountedPicture,
    sets: &[KeyedSet],
    rendering: RenderingChoice,
    colours: &Arc<PreviewColours>,
) -> Result<ScreenPicture, Problem> {
    let prove = |set: &PreparedSet| -> Result<PreviewProof, Problem> {
        Ok(prove_preview(picture, set, rendering, colours, Viewing::default())?)
    };
    let proofs: Vec<PreviewProof> =
        sets.iter().map(|(_, set)| prove(set)).collect::<Result<_, _>>()?;
    let (Some((_, set)), Some(first)) = (sets.first(), proofs.first()) else {
        return Err(Problem::internal("a proof without a set"));
    };
    Ok(match (which, proofs.get(1)) {
        (ProofPicture::Intended, _) => first.intended(),
        (ProofPicture::Proof, _) => first.soft_proof(),
        (ProofPicture::Difference, _) => difference_map(first),
        (ProofPicture::Load, _) => load_map(first, set.separation_for(rendering).limits()),
        (ProofPicture::Between, Some(other)) => difference_between(first, other),
        (ProofPicture::Between, None) => {
            return Err(Problem::internal("two sets make a difference"));
        }
    })
}

fn png(picture: &ScreenPicture) -> Result<Vec<u8>, Problem> {
    let mut bytes = Vec::new();
    let file = PngPicture {
        width: picture.width,
        height: picture.height,
        colour: PngColour::Rgb,
        depth: BitDepth::Eight,
        resolution: None,
        profile: None,
    };
    let written = file.write(&mut bytes, |rows| {
        let row = picture.width.max(1) as usize;
        picture
            .pixels
            .chunks(row)
            .try_for_each(|row| rows.write_row(Row::Eight(row.as_flattened())))
    });
    written.map_err(Problem::internal)?;
    Ok(bytes)
}
