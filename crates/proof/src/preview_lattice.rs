use census::Preview;

/// The nodes of a lattice over a picture's encoding that its preview touches.
///
/// Proving a few thousand nodes in place of every pixel makes previews fast; between nodes values
/// are interpolated over simplices, which follow the diagonal of neutrals. White is a node, so
/// that white stays exactly white.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct PreviewLattice {
    channels: usize,
    intervals: u32,
    /// Place of each node among those touched, by the node's key; `UNTOUCHED` for the others.
    places: Vec<u32>,
    /// Keys of the nodes touched, rising.
    touched: Vec<u32>,
}

const UNTOUCHED: u32 = u32::MAX;
/// Samples of a pixel at most: CMYK.
pub(crate) const MOST_CHANNELS: usize = 4;

/// The corners around a pixel with their weights.
pub(crate) struct Corners {
    /// Place among the nodes touched, and weight; the first `count` are used.
    corners: [(u32, f32); MOST_CHANNELS + 1],
    count: usize,
}

impl Corners {
    pub(crate) fn iter(&self) -> impl Iterator<Item = (usize, f32)> + '_ {
        self.corners[..self.count].iter().map(|(place, weight)| (*place as usize, *weight))
    }
}

impl PreviewLattice {
    /// Finds the nodes of a lattice with so many intervals along each axis.
    pub(crate) fn over(preview: &Preview, intervals: u32) -> Self {
        Self::over_all(preview, &[], intervals)
    }

    /// The same for several previews of one picture.
    pub(crate) fn over_all(preview: &Preview, others: &[&Preview], intervals: u32) -> Self {
        let channels = preview.model.channels();
        let along = intervals + 1;
        let nodes = (0..channels).fold(1_usize, |nodes, _| nodes * along as usize);
        let mut lattice =
            Self { channels, intervals, places: vec![UNTOUCHED; nodes], touched: Vec::new() };
        let all = others.iter().copied().chain([preview]);
        for pixel in all.flat_map(|preview| preview.samples.chunks_exact(channels)) {
            lattice.for_corners(pixel, |lattice, key, _| lattice.places[key as usize] = 0);
        }
        for (key, place) in (0_u32..).zip(&mut lattice.places) {
            if *place != UNTOUCHED {
                *place = u32::try_from(lattice.touched.len()).unwrap_or(UNTOUCHED);
                lattice.touched.push(key);
            }
        }
        lattice
    }

    /// The encoded colours of the nodes touched, 0 to 1, sample after sample.
    pub(crate) fn encoded(&self) -> Vec<f64> {
        let along = self.intervals + 1;
        let sample = |key: u32, channel: usize| {
            let below = along.pow(u32::try_from(self.channels - 1 - channel).unwrap_or(0));
            f64::from(key / below % along) / f64::from(self.intervals)
        };
        let samples = |key: &u32| {
            let key = *key;
            (0..self.channels).map(move |channel| sample(key, channel))
        };
        self.touched.iter().flat_map(samples).collect()
    }

    /// The corners around a pixel that the lattice was made for.
    pub(crate) fn corners(&self, pixel: &[u16]) -> Corners {
        let mut found = Corners { corners: [(0, 0.0); MOST_CHANNELS + 1], count: 0 };
        walk(self.channels, self.intervals, pixel, |key, weight| {
            found.corners[found.count] = (self.places[key as usize], weight);
            found.count += 1;
        });
        found
    }

    fn for_corners(&mut self, pixel: &[u16], mut act: impl FnMut(&mut Self, u32, f32)) {
        walk(self.channels, self.intervals, pixel, |key, weight| act(self, key, weight));
    }
}

/// Visits the corners of the simplex that holds a pixel: from the lower corner of its cell along
/// the axes in the order of how far the pixel has come on each. Corners without weight are left
/// out.
fn walk(channels: usize, intervals: u32, pixel: &[u16], mut visit: impl FnMut(u32, f32)) {
    let mut axes = [(0.0_f32, 0_u32); MOST_CHANNELS];
    let mut key = 0_u32;
    let along = intervals + 1;
    let mut stride = along.pow(u32::try_from(channels).unwrap_or(1));
    for (axis, sample) in axes.iter_mut().zip(&pixel[..channels]) {
        stride /= along;
        let scaled = u32::from(*sample) * intervals;
        let whole = scaled / u32::from(u16::MAX);
        key += whole * stride;
        #[expect(clippy::cast_precision_loss, reason = "below 2^16")]
        let part = (scaled % u32::from(u16::MAX)) as f32 / f32::from(u16::MAX);
        *axis = (part, stride);
    }
    let axes = &mut axes[..channels];
    axes.sort_by(|one, other| other.0.total_cmp(&one.0));
    let mut left = 1.0;
    for &(part, stride) in axes.iter() {
        if left > part {
            visit(key, left - part);
        }
        left = part;
        key += stride;
        if part == 0.0 {
            return;
        }
    }
    visit(key, left);
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::ColourModel;
    use proptest::prelude::*;

    fn one_pixel(pixel: [u16; 3]) -> Preview {
        Preview { width: 1, height: 1, model: ColourModel::Rgb, samples: pixel.to_vec() }
    }

    proptest! {
        #[test]
        fn interpolating_the_encoding_gives_the_pixel_back(pixel: [u16; 3], intervals in 1..64_u32) {
            let lattice = PreviewLattice::over(&one_pixel(pixel), intervals);
            let nodes = lattice.encoded();
            let mut found = [0.0_f64; 3];
            for (place, weight) in lattice.corners(&pixel).iter() {
                for (channel, found) in found.iter_mut().enumerate() {
                    *found += f64::from(weight) * nodes[3 * place + channel];
                }
            }
            for (found, sample) in found.iter().zip(pixel) {
                prop_assert!((found - f64::from(sample) / 65_535.0).abs() < 1e-5);
            }
        }
    }

    #[test]
    fn white_and_black_touch_a_single_node() {
        for sample in [0, u16::MAX] {
            let lattice = PreviewLattice::over(&one_pixel([sample; 3]), 32);
            assert_eq!(lattice.touched.len(), 1);
            assert_eq!(lattice.encoded(), [f64::from(sample) / 65_535.0; 3]);
        }
    }
}
