use colour::{Lab, Xyz};
use icc::ProfileMatrix;

/// Luminance of the black of the reference medium, as a share of its white: 0.30911 % under 89 %
/// (ICC.1:2022, clause 6.3.4.3).
const REFERENCE_BLACK: f64 = 0.003_091_1 / 0.89;

/// The step between a medium's colours and those of the reference medium, towards white in XYZ,
/// so that the blacks meet: what black-point compensation does (ISO 18619).
#[derive(Clone, Copy, Debug)]
pub(crate) struct ReferenceMedium {
    scale: f64,
}

impl ReferenceMedium {
    /// For a medium whose darkest neutral is this, media-relative.
    pub(crate) fn beside(darkest: Lab) -> Self {
        let luminance = Lab { a: 0.0, b: 0.0, ..darkest }.to_xyz(Xyz::PCS_WHITE).y / 100.0;
        Self { scale: (1.0 - REFERENCE_BLACK) / (1.0 - luminance.min(0.9)) }
    }

    /// A map to XYZ of the medium, led on to the reference medium.
    pub(crate) fn after(self, matrix: ProfileMatrix) -> ProfileMatrix {
        let rows = matrix.rows.map(|row| row.map(|value| value * self.scale));
        let white = white();
        let offset = std::array::from_fn(|axis| {
            matrix.offset[axis] * self.scale + (1.0 - self.scale) * white[axis]
        });
        ProfileMatrix { rows, offset }
    }

    /// A map from XYZ of the medium, to begin at the reference medium.
    pub(crate) fn before(self, matrix: ProfileMatrix) -> ProfileMatrix {
        let white = white();
        let rows = matrix.rows.map(|row| row.map(|value| value / self.scale));
        let offset = std::array::from_fn(|axis| {
            let of_white: f64 = (0..3).map(|column| rows[axis][column] * white[column]).sum();
            matrix.offset[axis] + of_white * (self.scale - 1.0)
        });
        ProfileMatrix { rows, offset }
    }
}

fn white() -> [f64; 3] {
    let Xyz { x, y, z } = Xyz::PCS_WHITE;
    [x, y, z].map(|value| value / 100.0)
}
