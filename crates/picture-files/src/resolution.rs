use units::DotsPerInch;

/// Pixels per length along both sides of a picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PixelResolution {
    /// Pixels of a row.
    pub across: DotsPerInch,
    /// Rows.
    pub along: DotsPerInch,
}

/// Metres in an inch, by definition of the international yard.
const METRES_PER_INCH: f64 = 0.0254;

/// TIFF states a fraction of two integers; thousandths of a pixel per inch are our choice, finer
/// than any device.
const TIFF_DENOMINATOR: u32 = 1000;

impl PixelResolution {
    /// Whole pixels per metre, as PNG states it (PNG third edition, clause 11.3.4.3).
    pub(crate) fn per_metre(self) -> [u32; 2] {
        [self.across, self.along]
            .map(|resolution| whole(resolution.to_dots_per_inch() / METRES_PER_INCH))
    }

    /// Pixels per inch as fractions, as TIFF states them.
    pub(crate) fn fractions(self) -> [[u32; 2]; 2] {
        [self.across, self.along].map(|resolution| {
            let thousandths = resolution.to_dots_per_inch() * f64::from(TIFF_DENOMINATOR);
            [whole(thousandths), TIFF_DENOMINATOR]
        })
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "100,000 dots per inch at most, in thousandths or per metre, fit 32 bits"
)]
const fn whole(value: f64) -> u32 {
    value.round() as u32
}
