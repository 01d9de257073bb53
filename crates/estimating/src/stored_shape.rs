use colour::{Orientation, RasterFormat};
use intake::{Picture, Resolution};
use units::Length;

use crate::CountedPicture;
use crate::kept_facts::KeptFacts;

/// How a picture is stored and turned, as far as its printed size follows from it.
#[derive(Clone, Copy)]
pub(crate) struct StoredShape {
    format: RasterFormat,
    orientation: Orientation,
    resolution: Option<Resolution>,
}

impl StoredShape {
    pub(crate) const fn of_picture(picture: &Picture) -> Self {
        let Picture { format, orientation, resolution, .. } = *picture;
        Self { format, orientation, resolution }
    }

    pub(crate) const fn of_counted(picture: &CountedPicture) -> Self {
        let CountedPicture { format, orientation, resolution, .. } = *picture;
        Self { format, orientation, resolution }
    }

    pub(crate) const fn of_facts(facts: &KeptFacts) -> Self {
        let KeptFacts { format, orientation, resolution, .. } = *facts;
        Self { format, orientation, resolution }
    }

    /// Width and height in pixels, upright.
    pub(crate) const fn upright_pixels(&self) -> (u32, u32) {
        if self.orientation.swaps_sides() {
            (self.format.height, self.format.width)
        } else {
            (self.format.width, self.format.height)
        }
    }

    /// Width over height, upright, with pixels that are not square as the resolution says.
    pub(crate) fn shape(&self) -> f64 {
        let (width, height) = self.upright_pixels();
        let pixel = self.resolution.map_or(1.0, |resolution| {
            let across = resolution.across.to_dots_per_inch();
            let along = resolution.along.to_dots_per_inch();
            if self.orientation.swaps_sides() { across / along } else { along / across }
        });
        f64::from(width) / f64::from(height) * pixel
    }

    /// The upright size that the file's resolution gives.
    pub(crate) fn stated_size(&self) -> Option<(Length, Length)> {
        let resolution = self.resolution?;
        let across = resolution.across.length_of(self.format.width).ok()?;
        let along = resolution.along.length_of(self.format.height).ok()?;
        Some(if self.orientation.swaps_sides() { (along, across) } else { (across, along) })
    }
}
