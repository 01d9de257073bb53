//! The frame of a profile: header, table of tags, tags (ICC.1:2022, clause 7).

/// A tag with every signature under which it is found.
pub(crate) struct Tag<'a> {
    signatures: &'a [&'a [u8; 4]],
    bytes: Vec<u8>,
}

impl<'a> Tag<'a> {
    pub(crate) const fn new(signatures: &'a [&'a [u8; 4]], bytes: Vec<u8>) -> Self {
        Self { signatures, bytes }
    }
}

const HEADER: usize = 128;
/// Version 4.4 (ICC.1:2022, clause 7.2.4).
const VERSION: [u8; 4] = [4, 0x40, 0, 0];
/// Relative colorimetric (ICC.1:2022, table 23).
const INTENT: u32 = 1;

/// Lays a profile out: each tag once, at a multiple of four.
pub(crate) fn laid_out(space: [u8; 4], made: [u16; 6], tags: &[Tag<'_>]) -> Vec<u8> {
    let entries: usize = tags.iter().map(|tag| tag.signatures.len()).sum();
    let start = HEADER + 4 + 12 * entries;
    let mut table = number(entries).to_vec();
    let mut body = Vec::new();
    for tag in tags {
        for signature in tag.signatures {
            table.extend_from_slice(*signature);
            table.extend(number(start + body.len()));
            table.extend(number(tag.bytes.len()));
        }
        body.extend_from_slice(&tag.bytes);
        pad(&mut body);
    }
    let mut bytes = header(start + body.len(), space, made);
    bytes.extend(table);
    bytes.extend(body);
    bytes
}

fn header(size: usize, space: [u8; 4], made: [u16; 6]) -> Vec<u8> {
    let mut header = vec![0; HEADER];
    let mut put = |place: usize, bytes: &[u8]| {
        header[place..place + bytes.len()].copy_from_slice(bytes);
    };
    put(0, &number(size));
    put(8, &VERSION);
    put(12, b"prtr");
    put(16, &space);
    put(20, b"XYZ ");
    let date: Vec<u8> = made.iter().flat_map(|part| part.to_be_bytes()).collect();
    put(24, &date);
    put(36, b"acsp");
    put(64, &INTENT.to_be_bytes());
    // The white of the connection space (ICC.1:2022, table 14).
    for (place, value) in [0.9642, 1.0, 0.8249].into_iter().enumerate() {
        put(68 + 4 * place, &fixed(value));
    }
    header
}

/// A 32-bit number; profiles beyond four gigabytes are never made.
pub(crate) fn number(value: usize) -> [u8; 4] {
    u32::try_from(value).unwrap_or(u32::MAX).to_be_bytes()
}

/// A signed number with 16 binary places (ICC.1:2022, clause 4.6).
pub(crate) fn fixed(value: f64) -> [u8; 4] {
    #[expect(clippy::cast_possible_truncation, reason = "a cast from float saturates")]
    let bits = (value * 65536.0).round() as i32;
    bits.to_be_bytes()
}

/// Zeros up to a multiple of four.
pub(crate) fn pad(bytes: &mut Vec<u8>) {
    bytes.resize(bytes.len().next_multiple_of(4), 0);
}
