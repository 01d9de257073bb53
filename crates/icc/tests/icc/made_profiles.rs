//! Profiles written by hand, tag by tag (ICC.1:2022; `mft2` and `desc` as in ICC.1:2001-04).

use colour::Lab;

/// A profile before it is laid out.
#[derive(Clone)]
pub(crate) struct MadeProfile {
    pub(crate) version: u8,
    pub(crate) class: [u8; 4],
    pub(crate) colour_space: [u8; 4],
    pub(crate) connection_space: [u8; 4],
    pub(crate) tags: Vec<([u8; 4], Vec<u8>)>,
}

/// Colours of the eight corners of an RGB table, blue running fastest.
pub(crate) type Corners = [Lab; 8];

impl MadeProfile {
    /// Header, table of tags and tags, each at a multiple of four.
    pub(crate) fn bytes(&self) -> Vec<u8> {
        let mut body = Vec::new();
        let mut table = Vec::new();
        let body_starts = 132 + 12 * self.tags.len();
        for (signature, tag) in &self.tags {
            table.extend(signature);
            table.extend(big_endian(body_starts + body.len()));
            table.extend(big_endian(tag.len()));
            body.extend(tag);
            body.resize(body.len().next_multiple_of(4), 0);
        }
        let mut bytes = self.header(body_starts + body.len());
        bytes.extend(big_endian(self.tags.len()));
        bytes.extend(table);
        bytes.extend(body);
        bytes
    }

    fn header(&self, size: usize) -> Vec<u8> {
        let mut header = vec![0; 128];
        header[0..4].copy_from_slice(&big_endian(size));
        header[8] = self.version;
        header[12..16].copy_from_slice(&self.class);
        header[16..20].copy_from_slice(&self.colour_space);
        header[20..24].copy_from_slice(&self.connection_space);
        header[36..40].copy_from_slice(b"acsp");
        header[68..80].copy_from_slice(&xyz([0.9642, 1.0, 0.8249])[8..]);
        header
    }

    pub(crate) fn with_white(mut self, white: [f64; 3]) -> Self {
        self.tags.retain(|(signature, _)| signature != b"wtpt");
        self.tags.push((*b"wtpt", xyz(white)));
        self
    }
}

/// A display with the published D50 colorants of sRGB and a plain gamma.
pub(crate) fn display(gamma: f64) -> MadeProfile {
    MadeProfile {
        version: 2,
        class: *b"mntr",
        colour_space: *b"RGB ",
        connection_space: *b"XYZ ",
        tags: vec![
            (*b"desc", description("hand-made display")),
            (*b"wtpt", xyz([0.9642, 1.0, 0.8249])),
            (*b"rXYZ", xyz([0.436_07, 0.222_49, 0.013_92])),
            (*b"gXYZ", xyz([0.385_15, 0.716_87, 0.097_08])),
            (*b"bXYZ", xyz([0.143_07, 0.060_61, 0.714_10])),
            (*b"rTRC", curve(gamma)),
            (*b"gTRC", curve(gamma)),
            (*b"bTRC", curve(gamma)),
        ],
    }
}

pub(crate) fn gray(gamma: f64) -> MadeProfile {
    MadeProfile {
        version: 2,
        class: *b"mntr",
        colour_space: *b"GRAY",
        connection_space: *b"XYZ ",
        tags: vec![
            (*b"desc", description("hand-made gray")),
            (*b"wtpt", xyz([0.9642, 1.0, 0.8249])),
            (*b"kTRC", curve(gamma)),
        ],
    }
}

/// A scanner with tables from RGB to CIELAB: one for perceptual and one for colorimetric
/// rendering. It has no way back.
pub(crate) fn scanner(perceptual: &Corners, colorimetric: &Corners) -> MadeProfile {
    MadeProfile {
        version: 2,
        class: *b"scnr",
        colour_space: *b"RGB ",
        connection_space: *b"Lab ",
        tags: vec![
            (*b"desc", description("hand-made scanner")),
            (*b"wtpt", xyz([0.9642, 1.0, 0.8249])),
            (*b"A2B0", table(perceptual)),
            (*b"A2B1", table(colorimetric)),
        ],
    }
}

/// Corners with the given black and the white of the connection space.
pub(crate) fn corners(black: Lab) -> Corners {
    let colour = |l, a, b| Lab { l, a, b };
    [
        black,
        colour(30.0, 60.0, -100.0),
        colour(80.0, -70.0, 70.0),
        colour(85.0, -45.0, -15.0),
        colour(50.0, 75.0, 60.0),
        colour(55.0, 85.0, -55.0),
        colour(95.0, -15.0, 85.0),
        Lab::WHITE,
    ]
}

fn big_endian(number: usize) -> [u8; 4] {
    u32::try_from(number).unwrap().to_be_bytes()
}

/// s15Fixed16Number.
fn fixed(value: f64) -> [u8; 4] {
    #[expect(clippy::cast_possible_truncation, reason = "values are below 2^15")]
    let number = (value * 65536.0).round() as i32;
    number.to_be_bytes()
}

fn xyz(values: [f64; 3]) -> Vec<u8> {
    let mut tag = b"XYZ \0\0\0\0".to_vec();
    tag.extend(values.iter().flat_map(|value| fixed(*value)));
    tag
}

/// A gamma as u8Fixed8Number.
fn curve(gamma: f64) -> Vec<u8> {
    let mut tag = b"curv\0\0\0\0\0\0\0\x01".to_vec();
    tag.extend(&fixed(gamma)[1..3]);
    tag
}

pub(crate) fn description(text: &str) -> Vec<u8> {
    let mut tag = b"desc\0\0\0\0".to_vec();
    tag.extend(big_endian(text.len() + 1));
    tag.extend(text.bytes());
    // The closing zero, no Unicode text, no Macintosh text.
    tag.extend([0; 1 + 8 + 2 + 1 + 67]);
    tag
}

/// A table of 16 bits with two nodes along each axis and straight curves.
fn table(corners: &Corners) -> Vec<u8> {
    const INPUTS: u8 = 3;
    const OUTPUTS: u8 = 3;
    const NODES: u8 = 2;
    let mut tag = b"mft2\0\0\0\0".to_vec();
    tag.extend([INPUTS, OUTPUTS, NODES, 0]);
    let identity = [1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0];
    tag.extend(identity.iter().flat_map(|value| fixed(*value)));
    let straight = [0x00, 0x00, 0xFF, 0xFF];
    tag.extend([0, 2, 0, 2]);
    tag.extend(straight.repeat(3));
    tag.extend(corners.iter().flat_map(|corner| encoded_lab(*corner)));
    tag.extend(straight.repeat(3));
    tag
}

/// CIELAB of version 2 in 16 bits: L* 100 is FF00, a* and b* 0 are 8000.
fn encoded_lab(colour: Lab) -> Vec<u8> {
    let parts = [colour.l * 652.8, (colour.a + 128.0) * 256.0, (colour.b + 128.0) * 256.0];
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "corners lie within the encoding"
    )]
    let words = parts.map(|part| part.round() as u16);
    words.iter().flat_map(|word| word.to_be_bytes()).collect()
}
