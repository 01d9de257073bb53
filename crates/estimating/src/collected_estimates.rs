use std::collections::BTreeMap;

use colour::Lab;
use dosing::{ColourUse, CoverageTally};
use rayon::prelude::*;
use separation::{Rendering, Separating};

use crate::collecting_grid::{NODES, colour_of};
use crate::estimate::EstimatedSet;
use crate::picture_outline::PictureOutline;
use crate::source_colours::COLOURS_AT_ONCE;
use crate::stored_shape::StoredShape;
use crate::{
    Assumption, CollectedColours, Estimate, EstimatingError, Job, PreparedSet, RenderingChoice,
};

/// Estimates pictures by their collected colours: every node that any of them touches is separated
/// once, and the rest is a product of weights and coverages. The same to the last bit for any
/// number of threads and whatever other pictures are asked for.
///
/// Two figures are those of nodes and lie up to a step beside the picture's own colours: the
/// highest load and the highest total area coverage. An assumption says so.
///
/// # Errors
///
/// The outer one, `NotCollected`, for a rendering other than the two relative ones and for a
/// policy, whose effect on colour nodes can't tell. By picture: `SizeUnknown` and `SizeAbsurd`.
pub fn estimate_collected(
    pictures: &[&CollectedColours],
    prepared: &PreparedSet,
    job: &Job,
) -> Result<Vec<Result<Estimate, EstimatingError>>, EstimatingError> {
    check(prepared, job)?;
    let mut by_black: BTreeMap<Option<[u64; 3]>, Vec<usize>> = BTreeMap::new();
    for (place, picture) in pictures.iter().enumerate() {
        let bits = |Lab { l, a, b }: Lab| [l, a, b].map(f64::to_bits);
        by_black.entry(picture.source_black.map(bits)).or_default().push(place);
    }
    let set = EstimatedSet::new(prepared, job.rendering);
    let mut estimates: Vec<(usize, Result<Estimate, EstimatingError>)> = Vec::new();
    for places in by_black.into_values() {
        let members: Vec<&CollectedColours> = places.iter().map(|at| pictures[*at]).collect();
        let nodes = SeparatedNodes::of(&members, prepared, job.rendering);
        let of_members: Vec<_> = places
            .par_iter()
            .map(|place| (*place, nodes.estimate(pictures[*place], &set, job)))
            .collect();
        estimates.extend(of_members);
    }
    estimates.sort_by_key(|(place, _)| *place);
    Ok(estimates.into_iter().map(|(_, estimate)| estimate).collect())
}

fn check(prepared: &PreparedSet, job: &Job) -> Result<(), EstimatingError> {
    let is_relative =
        matches!(job.rendering, RenderingChoice::Relative | RenderingChoice::RelativeUncompensated);
    if !is_relative {
        return Err(EstimatingError::NotCollected { what: "absolute or perceptual rendering" });
    }
    if prepared.usual().is_some() {
        return Err(EstimatingError::NotCollected { what: "an ink policy" });
    }
    Ok(())
}

/// What each node takes that pictures of one source black touch.
struct SeparatedNodes {
    /// By node, the place among the uses; `NONE` where no picture touches it.
    places: Vec<u32>,
    uses: Vec<ColourUse>,
}

const NONE: u32 = u32::MAX;

impl SeparatedNodes {
    fn of(pictures: &[&CollectedColours], prepared: &PreparedSet, choice: RenderingChoice) -> Self {
        let mut places = vec![NONE; NODES as usize];
        for (node, _) in pictures.iter().flat_map(|picture| &picture.weights) {
            places[*node as usize] = 0;
        }
        let mut nodes = Vec::new();
        for (node, place) in (0..NODES).zip(&mut places) {
            if *place != NONE {
                *place = u32::try_from(nodes.len()).unwrap_or(NONE);
                nodes.push(node);
            }
        }
        let separation = prepared.separation_for(choice);
        let black = pictures.first().and_then(|picture| picture.source_black);
        let rendering = rendering(choice, black, separation);
        let uses = nodes
            .par_iter()
            .with_min_len(COLOURS_AT_ONCE)
            .map(|node| {
                let separated = separation.separate(rendering.target(colour_of(*node)));
                ColourUse::of(&separated, separation.limits())
            })
            .collect();
        Self { places, uses }
    }

    fn estimate(
        &self,
        picture: &CollectedColours,
        set: &EstimatedSet<'_>,
        job: &Job,
    ) -> Result<Estimate, EstimatingError> {
        let mut tally = CoverageTally::new(set.channels());
        let mut printed = 0;
        for (node, weight) in &picture.weights {
            tally.add(&self.uses[self.places[*node as usize] as usize], *weight);
            printed += weight;
        }
        // Rounding of parts may leave a trace either way.
        tally.add_unprinted(picture.all.saturating_sub(printed));
        let facts = &picture.facts;
        let outline = PictureOutline::new(StoredShape::of_facts(facts), facts.assumptions.clone());
        let mut estimate = set.estimate(&outline, facts.content_hash, &tally, job)?;
        estimate.assumptions.push(Assumption::note(COLLECTED));
        Ok(estimate)
    }
}

/// What a report must say of collected colours.
const COLLECTED: &str = "colours collected on a grid that all pictures share: for photographs the \
                         total is within 0.2 % of an estimate by the picture's own colours, an ink \
                         within 0.4 % of the total; highest load and limited area are those of \
                         the grid";

/// As [`crate::rendering::rendering`], for a source whose black is known.
fn rendering(
    choice: RenderingChoice,
    source_black: Option<Lab>,
    separation: &dyn Separating,
) -> Rendering {
    match source_black.filter(|_| choice == RenderingChoice::Relative) {
        Some(source_black) => {
            Rendering::BlackPointCompensated { source_black, darkest: separation.darkest_neutral() }
        }
        None => Rendering::Relative,
    }
}
