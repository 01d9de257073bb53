use units::{Area, Length};

use crate::stored_shape::StoredShape;
use crate::{Assumption, CountedPicture, EstimatingError};

/// The size that a job asks for.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SizeRequest {
    /// Wanted width of the upright picture.
    pub width: Option<Length>,
    /// Wanted height of the upright picture.
    pub height: Option<Length>,
}

/// The printed size of a picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PrintSize {
    /// Width of the upright print.
    pub width: Length,
    /// Height of the upright print.
    pub height: Length,
    /// Where the size comes from.
    pub origin: SizeOrigin,
}

/// Where a printed size comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SizeOrigin {
    /// The job gave one side, or two that agree with the picture's shape.
    Job,
    /// The job gave two sides of another shape; the picture is fitted inside them.
    Fitted,
    /// The file's resolution.
    File,
}

/// Two given sides agree with the picture's shape when they differ by less than this share: half
/// a percent is a centimetre on two metres, what cutting does.
const SAME_SHAPE: f64 = 0.005;

/// Sides that a wide-format device can print, in metres: a millimetre to a hundred metres.
const SIDES_METRES: [f64; 2] = [0.001, 100.0];

impl PrintSize {
    /// Finds the size of a picture.
    ///
    /// # Errors
    ///
    /// `SizeUnknown` when neither the job nor the file says it; `SizeAbsurd` for a side
    /// shorter than a millimetre or longer than a hundred metres.
    pub fn of(picture: &CountedPicture, request: SizeRequest) -> Result<Self, EstimatingError> {
        Self::of_shape(&StoredShape::of_counted(picture), request)
    }

    /// The same for a picture of which only the shape is known.
    pub(crate) fn of_shape(
        picture: &StoredShape,
        request: SizeRequest,
    ) -> Result<Self, EstimatingError> {
        let shape = picture.shape();
        let metres = |length: Length| length.to_metres();
        let (width, height, origin) = match (request.width.map(metres), request.height.map(metres))
        {
            (Some(width), Some(height)) => fitted(width, height, shape),
            (Some(width), None) => (width, width / shape, SizeOrigin::Job),
            (None, Some(height)) => (height * shape, height, SizeOrigin::Job),
            (None, None) => {
                let (width, height) = picture.stated_size().ok_or(EstimatingError::SizeUnknown)?;
                (width.to_metres(), height.to_metres(), SizeOrigin::File)
            }
        };
        Ok(Self { width: side(width)?, height: side(height)?, origin })
    }

    /// The printed area.
    #[must_use]
    pub fn area(&self) -> Area {
        self.width * self.height
    }

    /// What a report must say of the size.
    #[must_use]
    pub fn assumption(&self, request: SizeRequest) -> Option<Assumption> {
        let Self { width, height, .. } = self;
        match (self.origin, request.width, request.height) {
            (SizeOrigin::Fitted, Some(across), Some(down)) => Some(Assumption::warning(format!(
                "{across} × {down} has another shape than the picture, which is fitted inside as \
                 {width} × {height}"
            ))),
            (SizeOrigin::File, ..) => Some(Assumption::note(format!(
                "size {width} × {height} taken from the file's resolution"
            ))),
            _ => None,
        }
    }
}

/// The largest size of the picture's shape inside a box.
fn fitted(width: f64, height: f64, shape: f64) -> (f64, f64, SizeOrigin) {
    if ((width / height) / shape - 1.0).abs() < SAME_SHAPE {
        return (width, height, SizeOrigin::Job);
    }
    let fitted_width = width.min(height * shape);
    (fitted_width, fitted_width / shape, SizeOrigin::Fitted)
}

fn side(metres: f64) -> Result<Length, EstimatingError> {
    let [shortest, longest] = SIDES_METRES;
    if !(shortest..=longest).contains(&metres) {
        return Err(EstimatingError::SizeAbsurd { metres });
    }
    Ok(Length::from_metres(metres)?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_box_of_another_shape_holds_the_whole_picture() {
        let (width, height, origin) = fitted(0.6, 0.6, 1.5);
        assert_eq!(origin, SizeOrigin::Fitted);
        assert_relative_eq!(width, 0.6);
        assert_relative_eq!(height, 0.4);
        let (width, height, _) = fitted(0.6, 0.2, 1.5);
        assert_relative_eq!(width, 0.3);
        assert_relative_eq!(height, 0.2);
    }

    #[test]
    fn two_sides_that_agree_are_taken_as_they_are() {
        assert_eq!(fitted(0.6, 0.401, 1.5), (0.6, 0.401, SizeOrigin::Job));
    }

    #[test]
    fn a_side_beyond_any_roll_is_refused_with_its_range() {
        for metres in [0.0, 0.0005, 101.0] {
            let message = side(metres).unwrap_err().to_string();
            assert!(message.contains("outside 0.001 to 100 m"), "{message}");
        }
    }
}
