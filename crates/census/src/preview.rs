use colour::ColourModel;

/// The most pixels of a preview: enough for a page on a screen, and 12 MB at most.
pub const MOST_PREVIEW_PIXELS: u64 = 2_000_000;

/// The picture made small: upright, opaque, in the encoding of the picture.
///
/// Each pixel is the mean of a square of picture pixels in linear light. The curve of sRGB
/// (IEC 61966-2-1) stands for the tone curve of any source, which is an approximation: a
/// preview is looked at, never dosed. Squares at the right and lower edge may be cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Preview {
    /// Pixels in a row, as seen.
    pub width: u32,
    /// Rows, as seen.
    pub height: u32,
    /// Gray or RGB.
    pub model: ColourModel,
    /// Encoded samples, 0 to 65,535, pixel-interleaved, rows from the top.
    pub samples: Vec<u16>,
}
