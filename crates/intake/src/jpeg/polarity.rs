use std::io::{self, BufReader};
use std::panic::{AssertUnwindSafe, catch_unwind};

use mozjpeg::{ColorSpace, Decompress};

use crate::Notice;
use crate::bytes::{Original, READ_AHEAD};
use crate::opening::Polarity;

use super::ffi;
use super::outline::Outline;

/// Decides whether 0 is full ink, and says why.
///
/// Writers that mark the colour transform usually invert CMYK, others don't (common practice, no
/// source). Both are wrong often enough that the pixels are asked too: nothing is printed with
/// more than 360 % of ink, and hardly a picture lacks paper, so the pixels of the wrong reading
/// lie beyond that limit where paper should be.
pub(super) fn decide(
    wanted: Polarity,
    outline: &Outline,
    original: &mut Original,
    notices: &mut Vec<Notice>,
) -> bool {
    let marked = outline.states_transform();
    let (inverted, because, agreed) = match wanted {
        Polarity::AsStored => (false, "that was asked for", true),
        Polarity::Inverted => (true, "that was asked for", true),
        Polarity::Detected => match (marked, Ends::count(original).map(|ends| ends.inverted())) {
            (true, Some(Some(false))) => (
                false,
                "otherwise paper would have all inks in full, whatever its marker says",
                false,
            ),
            (false, Some(Some(true))) => {
                (true, "otherwise paper would have all inks in full", false)
            }
            (true, _) => (true, "its marker is of writers that invert CMYK", true),
            (false, _) => (false, "it has no marker of writers that invert CMYK", true),
        },
    };
    notices.push(Notice::CmykPolarity { inverted, because, agreed });
    inverted
}

/// How many pixels lie at either end of the scale, in an eighth of the picture's size.
#[derive(Clone, Copy, Default)]
struct Ends {
    pixels: u64,
    /// Next to nothing stored in all channels.
    low: u64,
    /// Next to full scale in all channels.
    high: u64,
}

/// Sums of four samples beyond which a pixel is at an end: 360 and 40 %. Substrates take up to
/// about 340 % (common practice, no source).
const HIGH: u32 = 918;
const LOW: u32 = 102;

impl Ends {
    fn count(original: &mut Original) -> Option<Self> {
        let counted = catch_unwind(AssertUnwindSafe(|| Self::decode(original)));
        // Damage is found and told when the rows are read.
        let _ = ffi::take_warnings();
        counted.ok()?.ok()
    }

    fn decode(original: &mut Original) -> io::Result<Self> {
        let bytes = BufReader::with_capacity(READ_AHEAD, original.at_start()?);
        let mut decoder = Decompress::with_err(ffi::error_manager()).from_reader(bytes)?;
        decoder.scale(1);
        let mut decoder = decoder.to_colorspace(ColorSpace::JCS_CMYK)?;
        let mut row = vec![0_u8; decoder.width() * 4];
        let mut ends = Self::default();
        for _ in 0..decoder.height() {
            decoder.read_scanlines_into(&mut row)?;
            ends.add(&row);
        }
        Ok(ends)
    }

    fn add(&mut self, row: &[u8]) {
        for pixel in row.as_chunks::<4>().0 {
            let sum: u32 = pixel.iter().copied().map(u32::from).sum();
            self.pixels += 1;
            self.low += u64::from(sum < LOW);
            self.high += u64::from(sum > HIGH);
        }
    }

    /// What the pixels say: more than a hundredth at one end and less than a thousandth at the
    /// other. `None` if they are undecided.
    const fn inverted(self) -> Option<bool> {
        let (many, few) = (self.pixels / 100, self.pixels / 1000);
        if self.high > many && self.low <= few {
            Some(true)
        } else if self.low > many && self.high <= few {
            Some(false)
        } else {
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paper_decides_where_there_is_some() {
        let ends = |low, high| Ends { pixels: 10_000, low, high };
        assert_eq!(ends(0, 500).inverted(), Some(true));
        assert_eq!(ends(500, 0).inverted(), Some(false));
        assert_eq!(ends(500, 500).inverted(), None);
        assert_eq!(ends(0, 0).inverted(), None);
    }
}
