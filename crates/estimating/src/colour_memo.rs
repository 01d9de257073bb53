use std::collections::HashMap;

use census::Levels;
use colour::{BitDepth, ColourModel};
use icc::SourceTransform;
use rayon::prelude::*;
use separation::{MAX_CHANNELS, Rendering, Separating};

use crate::EstimatingError;
use crate::source_colours::COLOURS_AT_ONCE;

/// Coverage of each channel, 0 to 1.
pub(crate) type Fired = [f32; MAX_CHANNELS];

/// Colours that are remembered before all are forgotten; our choice, about 20 MB. Pictures repeat
/// their colours mostly in the neighbourhood.
const MOST_REMEMBERED: usize = 1 << 18;

/// Separates the colours of pixels, each of them once as long as it is remembered.
pub(crate) struct ColourMemo<'a> {
    pub(crate) transform: &'a SourceTransform,
    pub(crate) rendering: Rendering,
    pub(crate) separation: &'a dyn Separating,
    /// Full scale of the levels.
    full: f64,
    model: ColourModel,
    places: HashMap<Levels, usize>,
    /// The first is for unprinted pixels.
    fired: Vec<Fired>,
}

impl<'a> ColourMemo<'a> {
    pub(crate) fn new(
        transform: &'a SourceTransform,
        rendering: Rendering,
        separation: &'a dyn Separating,
        depth: BitDepth,
    ) -> Self {
        let full = match depth {
            BitDepth::Eight => f64::from(u8::MAX),
            BitDepth::Sixteen => f64::from(u16::MAX),
        };
        Self {
            model: transform.model(),
            transform,
            rendering,
            separation,
            full,
            places: HashMap::new(),
            fired: vec![Fired::default()],
        }
    }

    /// Where the coverages of each pixel stand, for [`ColourMemo::fired`] until the next call.
    pub(crate) fn places(
        &mut self,
        pixels: &[Option<Levels>],
    ) -> Result<Vec<usize>, EstimatingError> {
        if self.places.len() > MOST_REMEMBERED {
            self.places.clear();
            self.fired.truncate(1);
        }
        let mut fresh = Vec::new();
        let known = self.fired.len();
        let places = pixels
            .iter()
            .map(|pixel| {
                let Some(levels) = pixel else { return 0 };
                *self.places.entry(*levels).or_insert_with(|| {
                    fresh.push(*levels);
                    known + fresh.len() - 1
                })
            })
            .collect();
        let separated: Vec<Vec<Fired>> = fresh
            .par_chunks(COLOURS_AT_ONCE)
            .map(|colours| self.separated(colours))
            .collect::<Result<_, _>>()?;
        self.fired.extend(separated.into_iter().flatten());
        Ok(places)
    }

    /// The coverages at a place.
    pub(crate) fn fired(&self, place: usize) -> &Fired {
        &self.fired[place]
    }

    fn separated(&self, colours: &[Levels]) -> Result<Vec<Fired>, EstimatingError> {
        let channels = self.model.channels();
        let encoded: Vec<f64> = colours
            .iter()
            .flat_map(|levels| &levels[..channels])
            .map(|level| f64::from(*level) / self.full)
            .collect();
        let colours = self.transform.to_lab(&encoded)?;
        Ok(colours.into_iter().map(|colour| self.fire(colour)).collect())
    }

    fn fire(&self, colour: colour::Lab) -> Fired {
        let separated = self.separation.separate(self.rendering.target(colour));
        let mut fired = Fired::default();
        for (place, coverage) in fired.iter_mut().zip(separated.coverages.iter()) {
            #[expect(clippy::cast_possible_truncation, reason = "kept to 10⁻⁷ of full coverage")]
            let rounded = coverage.to_fraction() as f32;
            *place = rounded;
        }
        fired
    }
}
