use std::ops::RangeInclusive;

use colour::Lab;
use print_model::PrintModel;

use crate::lattice::{Lattice, place_in_cube, scaled_position};
use crate::recipe::RecipeBook;
use crate::separating::is_bare;
use crate::{ChannelCoverages, Limits, MAX_CHANNELS, Rendering, Toning};

/// Turns media-relative colours into the coverages of a device's channels.
///
/// Built once for [`SeparationInputs`](crate::SeparationInputs); evaluating a colour
/// interpolates family amounts on a lattice, splits each family among its inks and enforces
/// every limit.
pub struct Separation {
    model: PrintModel,
    book: RecipeBook,
    limits: Limits,
    lattice: Lattice,
    /// Set for a monochrome print.
    toning: Option<Toning>,
    darkest_neutral: Lab,
}

/// The answer for one colour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Separated {
    /// Coverage of each channel.
    pub coverages: ChannelCoverages,
    /// Whether a limit bound at evaluation.
    pub limited: bool,
}

impl Separation {
    /// Puts a separation together from its tables.
    pub(crate) fn of_tables(
        model: PrintModel,
        limits: Limits,
        book: RecipeBook,
        lattice: Lattice,
        toning: Option<Toning>,
    ) -> Self {
        let black = Lab { l: 0.0, a: 0.0, b: 0.0 };
        let mut separation = Self { model, book, limits, lattice, toning, darkest_neutral: black };
        let darkest = separation.predict(&separation.separate(black));
        separation.darkest_neutral = Lab { l: darkest.l, ..black };
        separation
    }

    /// Separates a media-relative colour (paper is L* 100).
    #[must_use]
    pub fn separate(&self, colour: Lab) -> Separated {
        if is_bare(colour) {
            let coverages = ChannelCoverages::unprinted(self.model.channels());
            return Separated { coverages, limited: false };
        }
        let colour = self.toning.map_or(colour, |toning| toned(colour, toning));
        self.separate_at(place_in_cube(colour))
    }

    /// Separates colours of a source as a rendering asks for them.
    ///
    /// The same as one by one up to rounding, and faster: where a colour stands in the cube takes a long chain
    /// of arithmetic, and chains of several colours run side by side. Perceptual and absolute renderings
    /// and toned prints are separated one by one.
    #[must_use]
    pub fn separate_rendered(&self, sources: &[Lab], rendering: &Rendering) -> Vec<Separated> {
        let one_by_one = |source: &Lab| self.separate(rendering.target(*source));
        let Some(scale) = rendering.scale().filter(|_| self.toning.is_none()) else {
            return sources.iter().map(one_by_one).collect();
        };
        let positions: Vec<[f64; 3]> =
            sources.iter().map(|source| scaled_position(*source, scale)).collect();
        let separated = |(source, position): (&Lab, [f64; 3])| {
            if position.iter().all(|axis| PLAIN.contains(axis)) {
                self.separate_at(position)
            } else {
                one_by_one(source)
            }
        };
        sources.iter().zip(positions).map(separated).collect()
    }

    fn separate_at(&self, position: [f64; 3]) -> Separated {
        let mut coverages = ChannelCoverages::unprinted(self.model.channels());
        let mut recipe = [0.0; MAX_CHANNELS];
        self.lattice.at_position(position, &mut recipe[..self.book.length()]);
        self.book.write_coverages(&recipe, &mut coverages);
        let limited = self.limits.enforce(&mut coverages);
        Separated { coverages, limited }
    }

    /// The media-relative colour that separated channels print, by the print model.
    #[must_use]
    pub fn predict(&self, separated: &Separated) -> Lab {
        self.model.predict(&separated.coverages)
    }

    /// How families are split among their inks.
    pub(crate) const fn book(&self) -> &RecipeBook {
        &self.book
    }

    /// The recipes.
    pub(crate) const fn lattice(&self) -> &Lattice {
        &self.lattice
    }

    /// The print model behind the separation.
    #[must_use]
    pub const fn model(&self) -> &PrintModel {
        &self.model
    }

    /// The limits that every answer keeps.
    #[must_use]
    pub const fn limits(&self) -> &Limits {
        &self.limits
    }

    /// The darkest neutral that the set reaches within its limits, media-relative: where
    /// black-point compensation scales to.
    #[must_use]
    pub const fn darkest_neutral(&self) -> Lab {
        self.darkest_neutral
    }
}

/// Places in the cube of colours that are taken where they stand. Our choice: none of them is lighter than
/// L* 99, so that none is bare.
const PLAIN: RangeInclusive<f64> = 0.0..=0.99;

/// The lightness of a colour, with a tint that is full in mid-greys and none at white and black.
fn toned(colour: Lab, toning: Toning) -> Lab {
    let l = colour.l.clamp(0.0, 100.0);
    let share = 4.0 * (l / 100.0) * (1.0 - l / 100.0);
    Lab { l, a: share * toning.a(), b: share * toning.b() }
}
