use colour::Samples;

use crate::linear_light;

/// A sample as stored: a byte or a 16-bit word.
pub(crate) trait Sample: Copy + Eq + Send + Sync + 'static {
    /// Full scale: white of gray and RGB, opaque of alpha.
    const MAX: Self;

    /// The samples of a band, or `None` if they have the other depth.
    fn of(samples: &Samples) -> Option<&[Self]>;

    /// The samples, if they are bytes.
    fn bytes(samples: &[Self]) -> Option<&[u8]>;

    fn widened(self) -> u64;

    /// The sample of an integer that is at most `MAX`; a larger one gives `MAX`.
    fn saturated(value: u64) -> Self;

    /// The sample of a fraction of full scale, rounded to the nearest, halves up.
    fn from_fraction(fraction: f64) -> Self;

    /// An entry for each sample value, so that look-ups need no check of bounds.
    type LightTable: 'static;

    /// Light of each sample value in parts of [`linear_light::ONE`].
    fn light_table() -> &'static Self::LightTable;

    fn light(self, table: &Self::LightTable) -> u64;

    fn index(self) -> usize;

    /// The eight highest bits.
    fn leading_byte(self) -> u8;
}

/// The nearest of the 256 steps of a picture of 8 bits.
pub(crate) fn byte_of(sample: u16) -> u8 {
    // A step is 257, so that this is a division rounded to nearest.
    let steps = (u32::from(sample) + u32::from(STEP) / 2) / u32::from(STEP);
    u8::try_from(steps).unwrap_or(u8::MAX)
}

/// The sample of a step.
pub(crate) fn sample_of(byte: u8) -> u16 {
    u16::from(byte) * STEP
}

/// Parts of 65,535 in a step of 8 bits.
pub(crate) const STEP: u16 = 257;

impl Sample for u8 {
    const MAX: Self = Self::MAX;

    fn of(samples: &Samples) -> Option<&[Self]> {
        match samples {
            Samples::Eight(samples) => Some(samples),
            Samples::Sixteen(_) => None,
        }
    }

    fn bytes(samples: &[Self]) -> Option<&[u8]> {
        Some(samples)
    }

    #[inline]
    fn widened(self) -> u64 {
        u64::from(self)
    }

    #[inline]
    fn saturated(value: u64) -> Self {
        Self::try_from(value).unwrap_or(Self::MAX)
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "float to integer casts saturate, and the fraction is checked by the caller"
    )]
    fn from_fraction(fraction: f64) -> Self {
        (fraction * f64::from(Self::MAX)).round() as Self
    }

    type LightTable = [u32; 256];

    fn light_table() -> &'static Self::LightTable {
        linear_light::of_bytes()
    }

    #[inline]
    fn light(self, table: &Self::LightTable) -> u64 {
        u64::from(table[usize::from(self)])
    }

    #[inline]
    fn index(self) -> usize {
        usize::from(self)
    }

    #[inline]
    fn leading_byte(self) -> u8 {
        self
    }
}

impl Sample for u16 {
    const MAX: Self = Self::MAX;

    fn of(samples: &Samples) -> Option<&[Self]> {
        match samples {
            Samples::Sixteen(samples) => Some(samples),
            Samples::Eight(_) => None,
        }
    }

    fn bytes(_samples: &[Self]) -> Option<&[u8]> {
        None
    }

    #[inline]
    fn widened(self) -> u64 {
        u64::from(self)
    }

    #[inline]
    fn saturated(value: u64) -> Self {
        Self::try_from(value).unwrap_or(Self::MAX)
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "float to integer casts saturate, and the fraction is checked by the caller"
    )]
    fn from_fraction(fraction: f64) -> Self {
        (fraction * f64::from(Self::MAX)).round() as Self
    }

    type LightTable = [u32; 65_536];

    fn light_table() -> &'static Self::LightTable {
        linear_light::of_words()
    }

    #[inline]
    fn light(self, table: &Self::LightTable) -> u64 {
        u64::from(table[usize::from(self)])
    }

    #[inline]
    fn index(self) -> usize {
        usize::from(self)
    }

    #[inline]
    fn leading_byte(self) -> u8 {
        let [leading, _] = self.to_be_bytes();
        leading
    }
}
