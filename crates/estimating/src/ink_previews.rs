use colour::{Orientation, RasterFormat};

/// The coverage of one ink over a picture, made small, as a gray picture: white where there is
/// none, black where it is full.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InkPreview {
    /// Name of the ink.
    pub ink: String,
    /// Width in pixels, upright.
    pub width: u32,
    /// Height in pixels, upright.
    pub height: u32,
    /// Gray, row by row, 0 black.
    pub samples: Vec<u8>,
}

/// The longest side of a preview; our choice, enough to fill half a screen.
const LONGEST_SIDE: u32 = 1024;

/// Gathers means of square blocks while rows pass.
pub(crate) struct PreviewGathering {
    /// Pixels on a side of a block.
    block: u32,
    width: u32,
    channels: usize,
    full: u64,
    /// Sums of the block row at hand, by block and channel.
    sums: Vec<u64>,
    rows: u32,
    stored_width: u32,
    /// Finished rows of blocks, by block and channel.
    gray: Vec<u8>,
}

impl PreviewGathering {
    pub(crate) fn new(format: &RasterFormat, channels: usize, full: u16) -> Self {
        let block = format.width.max(format.height).div_ceil(LONGEST_SIDE);
        let width = format.width.div_ceil(block);
        Self {
            block,
            width,
            channels,
            full: u64::from(full),
            sums: vec![0; width as usize * channels],
            rows: 0,
            stored_width: format.width,
            gray: Vec::new(),
        }
    }

    /// Takes in the samples of the next row.
    pub(crate) fn add_row(&mut self, samples: &[u16]) {
        let block = self.block as usize * self.channels;
        for (place, pixels) in samples.chunks(block).enumerate() {
            let sums = &mut self.sums[place * self.channels..][..self.channels];
            for (place, sample) in pixels.iter().enumerate() {
                sums[place % self.channels] += u64::from(*sample);
            }
        }
        self.rows += 1;
        if self.rows == self.block {
            self.finish_row();
        }
    }

    /// The previews of the channels, upright.
    pub(crate) fn finish(
        mut self,
        inks: impl Iterator<Item = String>,
        orientation: Orientation,
    ) -> Vec<InkPreview> {
        if self.rows > 0 {
            self.finish_row();
        }
        inks.enumerate().map(|(channel, ink)| self.preview(channel, ink, orientation)).collect()
    }

    fn finish_row(&mut self) {
        for (place, sum) in self.sums.iter_mut().enumerate() {
            let column = u32::try_from(place / self.channels).unwrap_or(u32::MAX);
            let columns = self.block.min(self.stored_width - column * self.block);
            let all = self.full * u64::from(columns) * u64::from(self.rows);
            let ink = (u64::from(u8::MAX) * *sum + all / 2) / all;
            self.gray.push(u8::MAX - u8::try_from(ink).unwrap_or(u8::MAX));
            *sum = 0;
        }
        self.rows = 0;
    }

    fn preview(&self, channel: usize, ink: String, orientation: Orientation) -> InkPreview {
        let row = self.width as usize * self.channels;
        let stored_height = u32::try_from(self.gray.len() / row).unwrap_or(u32::MAX);
        let (width, height) = if orientation.swaps_sides() {
            (stored_height, self.width)
        } else {
            (self.width, stored_height)
        };
        let mut samples = vec![0; width as usize * height as usize];
        let stored = self.gray[channel..].iter().step_by(self.channels);
        let places = (0..stored_height).flat_map(|y| (0..self.width).map(move |x| (x, y)));
        for ((x, y), gray) in places.zip(stored) {
            let (column, line) = orientation.seen_at(x, y, self.width, stored_height);
            samples[line as usize * width as usize + column as usize] = *gray;
        }
        InkPreview { ink, width, height, samples }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::{Alpha, BitDepth, ColourModel};

    fn gathered(width: u32, height: u32, orientation: Orientation) -> Vec<InkPreview> {
        let (model, depth, alpha) = (ColourModel::Rgb, BitDepth::Eight, Alpha::None);
        let format = RasterFormat { width, height, model, depth, alpha };
        let mut gathering = PreviewGathering::new(&format, 2, 255);
        for line in 0..height {
            let row: Vec<u16> = (0..width)
                .flat_map(|column| [if column == 0 { 255 } else { 0 }, u16::from(line == 0) * 51])
                .collect();
            gathering.add_row(&row);
        }
        gathering.finish(["one", "other"].map(str::to_owned).into_iter(), orientation)
    }

    #[test]
    fn small_pictures_are_kept_pixel_by_pixel() {
        let previews = gathered(2, 2, Orientation::Upright);
        assert_eq!((previews[0].width, previews[0].height), (2, 2));
        assert_eq!(previews[0].samples, [0, 255, 0, 255]);
        assert_eq!(previews[1].samples, [204, 204, 255, 255]);
    }

    #[test]
    fn previews_are_upright() {
        let previews = gathered(2, 1, Orientation::QuarterTurnClockwise);
        assert_eq!((previews[0].width, previews[0].height), (1, 2));
        assert_eq!(previews[0].samples, [0, 255]);
    }

    #[test]
    fn blocks_at_the_edges_are_means_of_the_pixels_that_they_have() {
        let previews = gathered(2049, 1, Orientation::Upright);
        assert_eq!(previews[0].width, 683);
        assert_eq!(previews[0].samples[..2], [170, 255]);
        assert!(previews[1].samples.iter().all(|gray| *gray == 204));
    }
}
