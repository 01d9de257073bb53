use units::{Area, Length};

/// Prints on a roll.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// Whole width of the roll.
    pub roll_width: Length,
    /// Length that is used and billed, with what is trimmed at both ends.
    pub length: Length,
    /// Area of the prints without edges.
    pub printed: Area,
    /// Stretches of the roll, one after the other.
    pub blocks: Vec<Block>,
}

/// A stretch of the roll, repeated some times.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// Length of one stretch, with the gap behind it.
    pub length: Length,
    /// How often it follows itself.
    pub repeats: u32,
    /// The prints of one stretch.
    pub placements: Vec<Placement>,
}

/// The place of a print in its block, edges included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    /// Which of the pieces, counted from 0.
    pub piece: usize,
    /// Distance from the left side of the roll.
    pub across: Length,
    /// Distance from the start of the block.
    pub along: Length,
    /// Extent across the roll.
    pub width: Length,
    /// Extent along the roll.
    pub height: Length,
    /// Whether it lies turned by a quarter.
    pub turned: bool,
}

impl Layout {
    /// The area of the used roll.
    #[must_use]
    pub fn area(&self) -> Area {
        self.roll_width * self.length
    }
}
