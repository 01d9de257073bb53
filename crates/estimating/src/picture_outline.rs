use units::Length;

use crate::stored_shape::StoredShape;
use crate::{Assumption, CountedPicture, EstimatingError, PrintSize, SizeRequest};

/// What an estimate for another size needs of a picture, without its colours.
#[derive(Clone)]
pub struct PictureOutline {
    shape: StoredShape,
    /// What had to be assumed while reading.
    pub assumptions: Vec<Assumption>,
}

impl CountedPicture {
    /// The picture without its colours.
    #[must_use]
    pub fn outline(&self) -> PictureOutline {
        let assumptions = self.assumptions.clone();
        PictureOutline { shape: StoredShape::of_counted(self), assumptions }
    }
}

impl PictureOutline {
    pub(crate) const fn new(shape: StoredShape, assumptions: Vec<Assumption>) -> Self {
        Self { shape, assumptions }
    }

    /// The printed size.
    ///
    /// # Errors
    ///
    /// As [`PrintSize::of`].
    pub fn size(&self, request: SizeRequest) -> Result<PrintSize, EstimatingError> {
        PrintSize::of_shape(&self.shape, request)
    }

    /// Width and height in pixels, upright.
    #[must_use]
    pub const fn upright_pixels(&self) -> (u32, u32) {
        self.shape.upright_pixels()
    }

    /// The upright size that the file's resolution gives.
    #[must_use]
    pub fn stated_size(&self) -> Option<(Length, Length)> {
        self.shape.stated_size()
    }
}
