use crate::{FileFormat, IntakeError};

/// The frame header: size, coding process and components (ITU-T T.81, B.2.2).
pub(super) struct Frame {
    pub(super) width: u32,
    pub(super) height: u32,
    pub(super) components: Vec<Component>,
    pub(super) progressive: bool,
    /// Coded arithmetically, not by Huffman's codes.
    pub(super) arithmetic: bool,
    precision: u8,
    marker: u8,
}

/// One colour component and how densely it is sampled.
pub(super) struct Component {
    pub(super) id: u8,
    across: u32,
    down: u32,
}

/// Samples on a side of a block.
const BLOCK: u32 = 8;
/// A decoder keeps the 64 coefficients of a block in 16 bits each.
const COEFFICIENT_BYTES: u64 = 128;

impl Frame {
    /// Reads the body of a frame header, without its length.
    pub(super) fn read(marker: u8, body: &[u8]) -> Result<Self, IntakeError> {
        let malformed = || IntakeError::corrupt(FileFormat::Jpeg, "its frame header is malformed");
        let (head, listed) = body.split_at_checked(6).ok_or_else(malformed)?;
        let components: Vec<_> = listed.chunks_exact(3).map(Component::read).collect();
        let sampled = components.iter().all(|component| {
            (1..=4).contains(&component.across) && (1..=4).contains(&component.down)
        });
        if listed.len() != usize::from(head[5]) * 3 || components.is_empty() || !sampled {
            return Err(malformed());
        }
        Ok(Self {
            precision: head[0],
            height: u16::from_be_bytes([head[1], head[2]]).into(),
            width: u16::from_be_bytes([head[3], head[4]]).into(),
            components,
            progressive: matches!(marker, 0xc2 | 0xca),
            arithmetic: matches!(marker, 0xc9 | 0xca),
            marker,
        })
    }

    /// Refuses the coding processes that are not read (ITU-T T.81, table B.1).
    pub(super) fn check_process(&self) -> Result<(), IntakeError> {
        let what = match (self.marker, self.precision, self.height) {
            (0xc3 | 0xc7 | 0xcb | 0xcf, ..) => "a lossless JPEG file".to_owned(),
            (0xc5 | 0xc6 | 0xcd | 0xce, ..) => "a hierarchical JPEG file".to_owned(),
            (_, 8, 1..) => return Ok(()),
            (_, 8, 0) => "a JPEG file that states its height after the picture".to_owned(),
            (_, bits, _) => format!("a JPEG file of {bits} bits per sample"),
        };
        let remedy = "save it as a baseline JPEG file, or as TIFF for 16 bits";
        Err(IntakeError::unsupported(what, remedy))
    }

    /// Blocks of all components.
    pub(super) fn blocks(&self) -> u64 {
        let most_across = self.components.iter().map(|c| c.across).max().unwrap_or(1);
        let most_down = self.components.iter().map(|c| c.down).max().unwrap_or(1);
        let blocks = |pixels: u32, density: u32, most: u32| {
            u64::from((pixels * density).div_ceil(most).div_ceil(BLOCK))
        };
        self.components
            .iter()
            .map(|component| {
                blocks(self.width, component.across, most_across)
                    * blocks(self.height, component.down, most_down)
            })
            .sum()
    }

    /// What a decoder holds until all scans are read.
    pub(super) fn coefficient_bytes(&self) -> u64 {
        self.blocks() * COEFFICIENT_BYTES
    }
}

impl Component {
    fn read(listed: &[u8]) -> Self {
        Self { id: listed[0], across: (listed[1] >> 4).into(), down: (listed[1] & 15).into() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 17 × 9 pixels, luma 2 × 2, chroma 1 × 1.
    const SUBSAMPLED: &[u8] = &[8, 0, 9, 0, 17, 3, 1, 0x22, 0, 2, 0x11, 1, 3, 0x11, 1];

    #[test]
    fn blocks_are_counted_for_each_component_at_its_density() {
        let frame = Frame::read(0xc0, SUBSAMPLED).unwrap();
        // Luma 3 × 2 blocks; chroma 9 × 5 samples, which are 2 × 1 blocks, twice.
        assert_eq!(frame.blocks(), 6 + 2 + 2);
    }

    #[test]
    fn a_frame_header_of_the_wrong_length_is_damage() {
        assert!(Frame::read(0xc0, &SUBSAMPLED[..14]).is_err());
        assert!(Frame::read(0xc0, &[]).is_err());
    }

    #[test]
    fn each_process_that_is_not_read_is_named() {
        for (marker, name) in [(0xc3, "lossless"), (0xc5, "hierarchical"), (0xcb, "lossless")] {
            let refusal = Frame::read(marker, SUBSAMPLED).unwrap().check_process();
            assert!(refusal.unwrap_err().to_string().contains(name));
        }
        let mut deep = SUBSAMPLED.to_vec();
        deep[0] = 12;
        let refusal = Frame::read(0xc1, &deep).unwrap().check_process();
        assert!(refusal.unwrap_err().to_string().contains("12 bits"));
    }
}
