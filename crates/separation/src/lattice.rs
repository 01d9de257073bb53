use colour::{Lab, Xyz, cube_root};

/// A regular lattice over a cube of colours, holding a vector at each node.
///
/// The cube's axes are red, green and blue of the primaries of ISO 22028-2 (reference output
/// medium metric RGB), each through the lightness function of CIELAB. Neutrals run along the
/// main diagonal, which tetrahedral interpolation follows node by node; the white is a node;
/// darks are as finely resolved as lights; all printable surface colours lie inside.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Lattice {
    nodes: usize,
    depth: usize,
    /// Quads that hold a vector; the last one is filled up with zeros.
    width: usize,
    /// Vectors in fours, so that interpolation runs over whole registers.
    quads: Vec<Quad>,
}

type Quad = [f32; QUAD];
/// Numbers of a quad: as many single-precision ones as the narrowest vector registers hold.
const QUAD: usize = 4;

/// Media-relative XYZ (white is that of the connection space with Y = 1) to the linear axes of
/// the cube on which separations interpolate, which is even in the lightness of each; rows are the
/// axes. Inverse of the matrix of ISO 22028-2:2013.
#[rustfmt::skip]
pub const LATTICE_FROM_XYZ: [[f64; 3]; 3] = [
    [1.345958206374, -0.255610340002, -0.051112331900],
    [-0.544596404570, 1.508160491660, 0.020535048643],
    [0.0, 0.0, 1.212268153716],
];

/// Linear RGB to XYZ (Y = 1), computed from the chromaticities of ISO 22028-2:2013, (0.7347,
/// 0.2653), (0.1596, 0.8404), (0.0366, 0.0001), for the white of the ICC profile connection
/// space, so that neutrals lie exactly on the diagonal.
#[rustfmt::skip]
const RGB_TO_XYZ: [[f64; 3]; 3] = [
    [0.797666110804, 0.135192313363, 0.031341575833],
    [0.288037048042, 0.711877319237, 0.000085632721],
    [0.0, 0.0, 0.824900000000],
];

impl Lattice {
    /// A lattice of `nodes`³ vectors of length `depth`, red slowest, blue fastest.
    pub(crate) fn new(nodes: usize, depth: usize, values: &[f32]) -> Self {
        debug_assert_eq!(values.len(), nodes * nodes * nodes * depth);
        let quads = values.chunks(depth).flat_map(|vector| vector.chunks(QUAD).map(filled));
        Self { nodes, depth, width: depth.div_ceil(QUAD), quads: quads.collect() }
    }

    /// The vectors of all nodes, one after the other.
    pub(crate) fn values(&self) -> impl Iterator<Item = f32> {
        let vectors = self.quads.chunks(self.width);
        vectors.flat_map(|vector| vector.as_flattened().iter().take(self.depth).copied())
    }

    /// Interpolates at a place in the cube, 0 to 1 on each axis.
    pub(crate) fn at_position(&self, position: [f64; 3], out: &mut [f64]) {
        let (corner, parts) = self.cell(position);
        // Walk from the low corner to the high one along the axes in falling order of part.
        let mut axes = [0, 1, 2];
        if parts[axes[0]] < parts[axes[1]] {
            axes.swap(0, 1);
        }
        if parts[axes[1]] < parts[axes[2]] {
            axes.swap(1, 2);
        }
        if parts[axes[0]] < parts[axes[1]] {
            axes.swap(0, 1);
        }
        let strides = [self.nodes * self.nodes, self.nodes, 1];
        let second = corner + strides[axes[0]];
        let third = second + strides[axes[1]];
        let nodes = [corner, second, third, third + strides[axes[2]]];
        let [high, middle, low] = axes.map(|axis| parts[axis]);
        self.mix(nodes, [1.0 - high, high - middle, middle - low, low], out);
    }

    /// The weighted sum of four nodes.
    fn mix(&self, nodes: [usize; 4], weights: [f64; 4], out: &mut [f64]) {
        let vectors = nodes.map(|node| &self.quads[node * self.width..(node + 1) * self.width]);
        for (quad, out) in out.chunks_mut(QUAD).enumerate() {
            let mut sum = [0.0; QUAD];
            for (vector, weight) in vectors.iter().zip(weights) {
                for (sum, value) in sum.iter_mut().zip(vector[quad]) {
                    *sum += weight * f64::from(value);
                }
            }
            out.copy_from_slice(&sum[..out.len()]);
        }
    }

    /// The low corner of the cell around a place, and the place within the cell.
    fn cell(&self, position: [f64; 3]) -> (usize, [f64; 3]) {
        let mut corner = 0;
        let mut parts = [0.0; 3];
        #[expect(clippy::cast_precision_loss, reason = "a lattice has under 2^52 nodes a side")]
        let intervals = (self.nodes - 1) as f64;
        for (axis, part) in parts.iter_mut().enumerate() {
            let scaled = position[axis].clamp(0.0, 1.0) * intervals;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "scaled lies in 0 to nodes - 1"
            )]
            let step = (scaled as usize).min(self.nodes - 2);
            #[expect(clippy::cast_precision_loss, reason = "step is below nodes")]
            let whole = step as f64;
            *part = scaled - whole;
            corner = corner * self.nodes + step;
        }
        (corner, parts)
    }
}

/// A quad of up to four numbers.
fn filled(numbers: &[f32]) -> Quad {
    let mut quad = [0.0; QUAD];
    quad[..numbers.len()].copy_from_slice(numbers);
    quad
}

/// Where a media-relative colour stands in the cube; outside 0 to 1 for unreal colours.
pub(crate) fn position(colour: Lab) -> [f64; 3] {
    scaled_position(colour, 1.0)
}

/// Where a colour stands in the cube after its tristimulus values were scaled towards white.
#[inline]
pub(crate) fn scaled_position(colour: Lab, scale: f64) -> [f64; 3] {
    let Xyz { x, y, z } = colour.to_xyz(Xyz::PCS_WHITE);
    let luminances = LATTICE_FROM_XYZ.map(|row| {
        // White lies in the far corner, so that it is 1 on each axis.
        scale * (row[0] * x + row[1] * y + row[2] * z) / 100.0 + (1.0 - scale)
    });
    // All three at once: one root after the other would take twice the time.
    let roots = luminances.map(cube_root);
    std::array::from_fn(|axis| lightness(luminances[axis], roots[axis]))
}

/// Where a colour is taken in the cube. One outside is moved straight towards the middle grey until
/// it lies on the surface: clipping axis by axis would turn its hue.
pub(crate) fn place_in_cube(colour: Lab) -> [f64; 3] {
    let l = colour.l.clamp(0.0, 100.0);
    let faded = |share: f64| {
        let l = MIDDLE + share * (l - MIDDLE);
        position(Lab { l, a: share * colour.a, b: share * colour.b })
    };
    let inside = |place: &[f64; 3]| place.iter().all(|axis| REAL.contains(axis));
    let whole = faded(1.0);
    if inside(&whole) {
        return whole;
    }
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if inside(&faded(middle)) { low = middle } else { high = middle }
    }
    faded(low)
}

/// Places in the cube, with room for rounding at its faces.
const REAL: std::ops::RangeInclusive<f64> = -1e-9..=1.0 + 1e-9;
/// L* of the middle grey.
const MIDDLE: f64 = 50.0;
/// Enough for a thousandth of any chroma.
const HALVINGS: usize = 18;

/// The media-relative colour of a place in the cube on which separations interpolate, 0 to 1 on
/// each axis. White is at its far corner, and neutrals run along the diagonal.
#[must_use]
pub fn lattice_colour(position: [f64; 3]) -> Lab {
    let [r, g, b] = position.map(linear);
    let [x, y, z] = RGB_TO_XYZ.map(|row| 100.0 * (row[0] * r + row[1] * g + row[2] * b));
    Xyz { x, y, z }.to_lab(Xyz::PCS_WHITE)
}

/// L*/100 of a luminance of 0 to 1 and its cube root, straight through zero for negative ones.
#[inline]
fn lightness(luminance: f64, root: f64) -> f64 {
    if luminance > 216.0 / 24389.0 { 1.16 * root - 0.16 } else { luminance * 24389.0 / 2700.0 }
}

/// The inverse of [`lightness`].
fn linear(lightness: f64) -> f64 {
    if lightness > 0.08 {
        ((lightness + 0.16) / 1.16).powi(3)
    } else {
        lightness * 2700.0 / 24389.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    #[test]
    fn neutrals_lie_on_the_diagonal_and_white_in_its_corner() {
        for l in [0.0, 5.0, 50.0, 100.0] {
            let place = position(Lab { l, a: 0.0, b: 0.0 });
            for axis in place {
                assert_abs_diff_eq!(axis, l / 100.0, epsilon = 1e-9);
            }
        }
    }

    #[test]
    fn a_linear_function_is_interpolated_exactly() {
        let nodes = 5_u16;
        let steps = || (0..nodes).map(|step| f32::from(step) / 4.0);
        let values: Vec<f32> = steps()
            .flat_map(|r| steps().flat_map(move |g| steps().map(move |b| r + 2.0 * g - 3.0 * b)))
            .collect();
        let lattice = Lattice::new(5, 1, &values);
        let mut out = [0.0];
        lattice.at_position([0.33, 0.71, 0.5], &mut out);
        assert_abs_diff_eq!(out[0], 0.33 + 1.42 - 1.5, epsilon = 1e-6);
    }

    proptest! {
        #[test]
        fn a_place_is_found_again_by_its_colour(
            r in 0.0..=1.0_f64, g in 0.0..=1.0_f64, b in 0.0..=1.0_f64,
        ) {
            let back = position(lattice_colour([r, g, b]));
            for (axis, expected) in back.into_iter().zip([r, g, b]) {
                prop_assert!((axis - expected).abs() < 1e-9);
            }
        }

        #[test]
        fn any_lattice_colour_all_is_interpolated(
            l in -50.0..200.0_f64, a in -300.0..300.0_f64, b in -300.0..300.0_f64,
        ) {
            let lattice = Lattice::new(2, 1, &[1.0; 8]);
            let mut out = [0.0];
            lattice.at_position(place_in_cube(Lab { l, a, b }), &mut out);
            prop_assert!((out[0] - 1.0).abs() < 1e-9);
        }
    }
}
