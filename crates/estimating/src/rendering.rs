use std::sync::Arc;

use colour::{ColourModel, Illuminant, Lab};
use icc::{RenderingIntent, SourceTransform};
use separation::{GamutBoundary, GamutCompression, Rendering};

use crate::{EstimatingError, PreparedSet, RenderingChoice};

/// The rendering of a source's colours for a set, as the choice asks.
pub(crate) fn rendering(
    choice: RenderingChoice,
    transform: &SourceTransform,
    prepared: &PreparedSet,
) -> Result<Rendering, EstimatingError> {
    let separation = prepared.separation_for(choice);
    if choice == RenderingChoice::Absolute {
        let diffuser = Illuminant::D50.white();
        return Ok(Rendering::Absolute { paper: separation.paper_xyz(), diffuser });
    }
    let Some(source_black) = transform.black_point()? else {
        return Ok(Rendering::Relative);
    };
    let darkest = separation.darkest_neutral();
    let compensated = Rendering::BlackPointCompensated { source_black, darkest };
    match choice {
        RenderingChoice::Perceptual => perceptual(&compensated, transform, prepared),
        RenderingChoice::Relative => Ok(compensated),
        RenderingChoice::RelativeUncompensated | RenderingChoice::Absolute => {
            Ok(Rendering::Relative)
        }
    }
}

pub(crate) const fn intent(choice: RenderingChoice) -> RenderingIntent {
    match choice {
        RenderingChoice::Relative | RenderingChoice::RelativeUncompensated => {
            RenderingIntent::RelativeColorimetric
        }
        RenderingChoice::Perceptual => RenderingIntent::Perceptual,
        RenderingChoice::Absolute => RenderingIntent::AbsoluteColorimetric,
    }
}

/// Adds the compression of the source's gamut to a compensation.
///
/// An output profile's perceptual table compresses by itself, and sources other than RGB are
/// taken as they are: gray has no gamut to press, and CMYK is a print's already.
fn perceptual(
    compensated: &Rendering,
    transform: &SourceTransform,
    prepared: &PreparedSet,
) -> Result<Rendering, EstimatingError> {
    let (Rendering::BlackPointCompensated { source_black, darkest }, Some(set), ColourModel::Rgb) =
        (compensated, prepared.gamut(), transform.model())
    else {
        return Ok(compensated.clone());
    };
    let source = GamutBoundary::of_surface(&surface(compensated, transform)?);
    Ok(Rendering::Perceptual {
        source_black: *source_black,
        darkest: *darkest,
        compression: Arc::new(GamutCompression::new(source, set.clone())),
    })
}

/// Steps along an edge of the encoding's cube. Our choice: an edge between them is off by less
/// than a hundredth of the gamut's reach.
const STEPS: u32 = 16;

/// The surface of the compensated source, as triangles over the six faces of its cube.
fn surface(
    compensated: &Rendering,
    transform: &SourceTransform,
) -> Result<Vec<[Lab; 3]>, EstimatingError> {
    let mut triangles = Vec::new();
    for (axis, end) in (0..3).flat_map(|axis| [(axis, 0.0), (axis, 1.0)]) {
        let encoded: Vec<f64> = grid().flat_map(|uv| on_face(axis, end, uv)).collect();
        let colours: Vec<Lab> = transform
            .to_lab(&encoded)?
            .into_iter()
            .map(|colour| compensated.target(colour))
            .collect();
        triangles.extend(triangulated(&colours));
    }
    Ok(triangles)
}

/// The nodes of a face, row by row.
fn grid() -> impl Iterator<Item = [f64; 2]> {
    let share = |step: u32| f64::from(step) / f64::from(STEPS);
    (0..=STEPS).flat_map(move |row| (0..=STEPS).map(move |column| [share(row), share(column)]))
}

/// An encoded colour on the face where one axis stands at an end.
fn on_face(axis: usize, end: f64, [u, v]: [f64; 2]) -> [f64; 3] {
    let mut encoded = [u, v, end];
    encoded.rotate_right((axis + 1) % 3);
    encoded
}

/// Two triangles for each square of a face's nodes.
fn triangulated(nodes: &[Lab]) -> impl Iterator<Item = [Lab; 3]> {
    let side = STEPS as usize + 1;
    let corners = (0..side - 1).flat_map(move |row| (0..side - 1).map(move |at| row * side + at));
    corners.flat_map(move |at| {
        let [here, right, below, across] =
            [at, at + 1, at + side, at + side + 1].map(|node| nodes[node]);
        [[here, right, across], [here, below, across]]
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn faces_stand_at_the_ends_of_each_axis() {
        assert_eq!(on_face(0, 1.0, [0.25, 0.5]), [1.0, 0.25, 0.5]);
        assert_eq!(on_face(1, 0.0, [0.25, 0.5])[1], 0.0);
        assert_eq!(on_face(2, 1.0, [0.25, 0.5]), [0.25, 0.5, 1.0]);
    }
}
