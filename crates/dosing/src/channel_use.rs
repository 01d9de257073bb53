use units::Share;

/// How much a picture uses a channel: its mean coverage over the printed area, divided among the
/// pieces of [`VolumeCurve`](crate::VolumeCurve).
///
/// A place of coverage 0.5 adds 0.1 to the highlights, 0.3 to the midtones and 0.1 to the shadows.
/// That is enough for every such curve, so that a calibration never needs the picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChannelUse {
    /// By piece, from the lightest.
    pub pieces: [Share; PIECES],
}

/// Pieces of a volume curve: as many as sizes of drops, each of which may be off by itself. With
/// one number for the whole curve, highlights of a curved device stayed up to a quarter off.
pub const PIECES: usize = 3;

/// Where pieces begin and end. Our choice: below the first bound the usual mixes of drops fire
/// small ones alone, above the second mostly large ones.
pub const BOUNDS: [f64; PIECES + 1] = [0.0, 0.1, 0.4, 1.0];

impl ChannelUse {
    /// A channel that stays idle.
    pub const NONE: Self = Self { pieces: [Share::MIN; PIECES] };

    /// The mean coverage.
    #[must_use]
    pub fn mean(&self) -> Share {
        let sum: f64 = self.pieces.iter().map(|piece| piece.to_fraction()).sum();
        Share::from_fraction(sum.min(1.0)).unwrap_or(Share::MAX)
    }

    /// What one place of a coverage adds to each piece.
    pub(crate) fn pieces_of(coverage: f64) -> [f64; PIECES] {
        std::array::from_fn(|piece| coverage.min(BOUNDS[piece + 1]) - coverage.min(BOUNDS[piece]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_of_a_coverage_sum_to_it() {
        /// Rounding of a sum of three.
        const ROUNDING: f64 = 1e-12;
        for coverage in [0.0, 0.05, 0.1, 0.5, 1.0] {
            let pieces = ChannelUse::pieces_of(coverage);
            assert!((pieces.iter().sum::<f64>() - coverage).abs() < ROUNDING, "{pieces:?}");
        }
    }
}
