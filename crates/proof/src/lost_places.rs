use colour::delta_e_00;
use units::Share;

use crate::difference_statistics::real;
use crate::{PreviewProof, Thresholds};

/// Where in the picture lost colours lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LostPlaces {
    /// The part of the lost area in each ninth of the picture, row by row from the upper left;
    /// all zero where nothing is lost.
    pub ninths: [Share; 9],
}

/// The ninths as people call them.
const NAMES: [&str; 9] = [
    "upper left",
    "top",
    "upper right",
    "left",
    "middle",
    "right",
    "lower left",
    "bottom",
    "lower right",
];
/// A place is named when it holds more than twice its even part of what is lost. Our choice.
const NAMED_FROM: f64 = 2.0 / 9.0;

impl LostPlaces {
    /// Looks through a proved preview.
    #[must_use]
    pub fn of(proof: &PreviewProof, thresholds: &Thresholds) -> Self {
        let lost = proof
            .pixels(|pixel| delta_e_00(pixel.intended, pixel.clipped) > thresholds.lost_above());
        let (width, height) = (proof.width() as usize, proof.height() as usize);
        let mut counts = [0_u64; 9];
        for (place, _) in lost.iter().enumerate().filter(|(_, lost)| **lost) {
            let (column, row) = (place % width, place / width);
            counts[row * 3 / height * 3 + column * 3 / width] += 1;
        }
        let all = real(counts.iter().sum::<u64>().max(1));
        Self {
            ninths: counts
                .map(|count| Share::from_fraction(real(count) / all).unwrap_or(Share::MIN)),
        }
    }

    /// The places that hold most of what is lost, in words; empty where it is spread out.
    #[must_use]
    pub fn names(&self) -> Vec<&'static str> {
        let named = NAMES.iter().zip(&self.ninths);
        named.filter(|(_, share)| share.to_fraction() > NAMED_FROM).map(|(name, _)| *name).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_places_with_more_than_their_part_are_named() {
        let share = |value| Share::from_fraction(value).unwrap();
        let mut ninths = [share(0.05); 9];
        ninths[2] = share(0.6);
        assert_eq!(LostPlaces { ninths }.names(), ["upper right"]);
        assert!(LostPlaces { ninths: [share(1.0 / 9.0); 9] }.names().is_empty());
    }
}
