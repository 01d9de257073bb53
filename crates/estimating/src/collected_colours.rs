use colour::Lab;
use separation::is_bare;

use crate::collecting_grid::{NODES, corners, node_of_white};
use crate::kept_facts::{KeptFacts, sealed, unsealed};
use crate::source_colours::CensusColours;
use crate::{CountedPicture, EstimatingError, RenderingChoice};

/// The first bytes of collected colours, with the number of the form and of the grid.
const MARK: &[u8; 8] = b"INKFCOL1";

/// Parts of a pixel that are told apart; sums of 2^48 pixels still fit.
const PARTS: f64 = 256.0;

/// The media-relative colours of a picture, collected on a grid that all pictures share.
///
/// A colour between nodes counts at the eight around it, so that their mean is the colour. What is
/// separated for another ink set are then nodes, each once for any number of pictures, and an
/// estimate is a product of weights and coverages. It is not the estimate of the census to the
/// last digit: ink bends between nodes.
#[derive(Clone, Debug, PartialEq)]
pub struct CollectedColours {
    pub(crate) facts: KeptFacts,
    /// The source's black, for compensation.
    pub(crate) source_black: Option<Lab>,
    /// All pixels, unprinted ones among them, in parts.
    pub(crate) all: u64,
    /// Nodes by rising number, with their pixels in parts.
    pub(crate) weights: Vec<(u32, u64)>,
}

impl CollectedColours {
    /// Collects the colours of a counted picture, relative colorimetric.
    ///
    /// The picture must have been counted on media white.
    ///
    /// # Errors
    ///
    /// `Profile` when the source profile can't be transformed, `NotCollected` for a picture that
    /// was read with a profile of the caller's.
    pub fn of(picture: &CountedPicture) -> Result<Self, EstimatingError> {
        let facts = KeptFacts::of(picture)
            .ok_or(EstimatingError::NotCollected { what: "an assumed profile" })?;
        let colours = picture.colours(RenderingChoice::Relative)?;
        Ok(Self {
            facts,
            source_black: colours.source.transform().black_point()?,
            all: whole_parts(picture.census.pixels()),
            weights: collected(&colours),
        })
    }

    /// Hash of the picture's file.
    #[must_use]
    pub const fn content_hash(&self) -> &[u8; 32] {
        self.facts.content_hash.as_bytes()
    }

    /// The stored form: numbers as groups of seven bits, nodes as steps from the one before.
    #[must_use]
    pub fn to_bytes(&self) -> Option<Vec<u8>> {
        let mut rest = Vec::with_capacity(16 + 5 * self.weights.len());
        let black = self.source_black.map_or([f64::NAN; 3], |Lab { l, a, b }| [l, a, b]);
        rest.extend(black.iter().flat_map(|value| value.to_le_bytes()));
        push_number(&mut rest, self.all);
        push_number(&mut rest, self.weights.len() as u64);
        let mut before = 0;
        for (node, weight) in &self.weights {
            push_number(&mut rest, u64::from(node - before));
            push_number(&mut rest, *weight);
            before = *node;
        }
        sealed(MARK, &self.facts.to_json()?, &rest)
    }

    /// Reads the stored form; nothing where it is damaged or of another version.
    #[must_use]
    pub fn from_bytes(bytes: &[u8]) -> Option<Self> {
        let (facts, mut rest) = unsealed(MARK, bytes)?;
        let mut black = [0.0; 3];
        for value in &mut black {
            let (bytes, behind) = rest.split_first_chunk()?;
            (*value, rest) = (f64::from_le_bytes(*bytes), behind);
        }
        let [l, a, b] = black;
        let all = number(&mut rest)?;
        let count = usize::try_from(number(&mut rest)?).ok()?;
        // A weight takes two bytes at least.
        (count <= rest.len()).then_some(())?;
        let mut weights = Vec::with_capacity(count);
        let mut node = 0_u32;
        for _ in 0..count {
            node = node.checked_add(u32::try_from(number(&mut rest)?).ok()?)?;
            (node < NODES).then_some(())?;
            weights.push((node, number(&mut rest)?));
        }
        Some(Self {
            facts: KeptFacts::from_json(facts)?,
            source_black: l.is_finite().then_some(Lab { l, a, b }),
            all,
            weights,
        })
    }
}

/// The weight of each node that a census touches.
fn collected(colours: &CensusColours) -> Vec<(u32, u64)> {
    let mut shares: Vec<(u32, f64)> = Vec::with_capacity(8 * colours.entries.len());
    for (colour, pixels) in &colours.entries {
        #[expect(clippy::cast_precision_loss, reason = "pictures have far fewer than 2^52 pixels")]
        let pixels = *pixels as f64;
        if is_bare(*colour) {
            shares.push((node_of_white(), pixels));
        } else {
            let at_nodes = corners(*colour).filter(|(_, share)| *share > 0.0);
            shares.extend(at_nodes.map(|(node, share)| (node, share * pixels)));
        }
    }
    // A stable order makes sums agree to the last bit.
    shares.sort_by_key(|(node, _)| *node);
    let nodes = shares.chunk_by(|(one, _), (other, _)| one == other);
    let sums = nodes.map(|same| (same[0].0, same.iter().map(|(_, share)| share).sum::<f64>()));
    sums.map(|(node, sum)| (node, parts(sum))).filter(|(_, parts)| *parts > 0).collect()
}

const fn whole_parts(pixels: u64) -> u64 {
    pixels * 256
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "pixels are counted to 2^48, which leaves room for their parts"
)]
fn parts(pixels: f64) -> u64 {
    (pixels * PARTS).round() as u64
}

fn push_number(bytes: &mut Vec<u8>, mut number: u64) {
    while number > 0x7f {
        bytes.push(0x80 | low_bits(number));
        number >>= 7;
    }
    bytes.push(low_bits(number));
}

const fn low_bits(number: u64) -> u8 {
    (number & 0x7f) as u8
}

fn number(bytes: &mut &[u8]) -> Option<u64> {
    let mut number = 0;
    for place in 0..9 {
        let (byte, rest) = bytes.split_first()?;
        *bytes = rest;
        number |= u64::from(byte & 0x7f) << (7 * place);
        if byte & 0x80 == 0 {
            return Some(number);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_come_back_and_cut_ones_are_refused() {
        for one in [0, 1, 127, 128, 16_383, 16_384, 1 << 56] {
            let mut bytes = Vec::new();
            push_number(&mut bytes, one);
            assert_eq!(number(&mut &bytes[..]), Some(one));
            assert_eq!(number(&mut &bytes[..bytes.len() - 1]), None);
        }
    }
}
