use colour::{BANDS, Illuminant, Lab, Xyz};

/// The solid of all colours that a surface can have in the light of D50: reflectances from 0 to 1
/// in each of the 36 bands.
///
/// Tristimulus values are weighted sums of the bands, so that the solid is convex, and each of its
/// faces is spanned by the weights of two bands. A colour is real if it lies between both faces of
/// every such pair. Media-relative colours count, with the paper as the perfect diffuser.
pub(crate) struct RealColours(Vec<Slab>);

/// What lies between two parallel planes.
struct Slab {
    normal: [f64; 3],
    low: f64,
    high: f64,
}

/// Room for rounding, in tristimulus values of a white of 100.
const ROUNDING: f64 = 1e-6;

impl RealColours {
    pub(crate) fn new() -> Self {
        let weights = Illuminant::D50.weights();
        let pairs = (0..BANDS).flat_map(|one| (0..one).map(move |other| (one, other)));
        Self(pairs.filter_map(|(one, other)| Slab::spanned(weights, one, other)).collect())
    }

    pub(crate) fn contain(&self, colour: Lab) -> bool {
        let xyz = colour.to_xyz(Xyz::PCS_WHITE).rescaled(Xyz::PCS_WHITE, Illuminant::D50.white());
        let place = [xyz.x, xyz.y, xyz.z];
        self.0.iter().all(|slab| {
            let at = dot(slab.normal, place);
            (slab.low - ROUNDING..=slab.high + ROUNDING).contains(&at)
        })
    }
}

impl Slab {
    /// The slab whose planes are parallel to the weights of two bands; `None` if those are parallel
    /// themselves.
    fn spanned(weights: &[[f64; 3]; BANDS], one: usize, other: usize) -> Option<Self> {
        let across = cross(weights[one], weights[other]);
        let length = dot(across, across).sqrt();
        let normal = across.map(|axis| axis / length);
        let heights = || weights.iter().map(|weight| dot(normal, *weight));
        (length > f64::MIN_POSITIVE).then(|| Self {
            normal,
            low: heights().map(|height| height.min(0.0)).sum(),
            high: heights().map(|height| height.max(0.0)).sum(),
        })
    }
}

fn dot(one: [f64; 3], other: [f64; 3]) -> f64 {
    one.iter().zip(other).map(|(a, b)| a * b).sum()
}

fn cross([a, b, c]: [f64; 3], [d, e, f]: [f64; 3]) -> [f64; 3] {
    [b * f - c * e, c * d - a * f, a * e - b * d]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn contains(l: f64, a: f64, b: f64) -> bool {
        RealColours::new().contain(Lab { l, a, b })
    }

    #[test]
    fn greys_from_black_to_white_are_real() {
        assert!((1..=9).all(|tenth| contains(10.0 * f64::from(tenth), 0.0, 0.0)));
    }

    #[test]
    fn nothing_is_whiter_than_white_or_strongly_coloured_near_it() {
        assert!(!contains(101.0, 0.0, 0.0));
        assert!(!contains(99.0, 20.0, 0.0));
        assert!(!contains(2.0, 60.0, 0.0));
    }

    #[test]
    fn the_colour_of_a_single_band_edge_is_real_and_one_beyond_it_is_not() {
        let mut bands = [0.0; BANDS];
        bands[20..].fill(1.0);
        let red = Illuminant::D50.weighted_sum(&bands).to_lab(Illuminant::D50.white());
        assert!(contains(red.l, red.a, red.b));
        assert!(!contains(red.l, 1.05 * red.a, 1.05 * red.b));
    }
}
