use std::num::NonZeroU32;

use dosing::VolumeRange;
use inkset::InkSet;
use units::{Area, Length, Volume};

/// Pictures that are printed together on one paper.
#[derive(Clone, Copy, Debug)]
pub struct Order<'order> {
    /// The ink set that prints it.
    pub set: &'order InkSet,
    /// The substrate of the ink set that the ink was estimated for.
    pub substrate: &'order str,
    /// The wanted paper of the price list; the first that is the substrate if absent.
    pub paper: Option<&'order str>,
    /// The wanted width of roll; the cheapest if absent.
    pub roll_width: Option<Length>,
    /// Ink of one start-up as measured jobs have taught it; `None` where none have. What the price list
    /// says comes first, what the machine's maker says last.
    pub start_up: Option<VolumeRange>,
    /// The pictures.
    pub pictures: &'order [OrderedPicture],
}

/// A picture of an order, and the ink that it takes.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderedPicture {
    /// What the quote calls it.
    pub name: String,
    /// Printed width, without edges.
    pub width: Length,
    /// Printed height, without edges.
    pub height: Length,
    /// Number of prints.
    pub copies: NonZeroU32,
    /// Expected ink of all copies, by channel of the ink set.
    pub inks: Vec<Volume>,
    /// All channels together, with the range.
    pub ink: VolumeRange,
}

impl OrderedPicture {
    /// The area of all copies without edges.
    #[must_use]
    pub fn area(&self) -> Area {
        (self.width * self.height).times(self.copies.get())
    }

    /// What edges add to the area, as a part of it: ink is fired so much beyond each side.
    pub(crate) fn edge_part(&self, beyond: f64) -> f64 {
        let (width, height) = (self.width.to_metres(), self.height.to_metres());
        let area = width * height;
        if area > 0.0 {
            ((width + 2.0 * beyond) * (height + 2.0 * beyond) - area) / area
        } else {
            0.0
        }
    }
}
