use std::collections::BTreeMap;

/// Tags and their fixed values (TIFF 6.0, part 1 sections 4 to 8, part 2 section 16; ICC.1:2022,
/// annex B for the profile).
pub(crate) mod tag {
    pub(crate) const WIDTH: u16 = 256;
    pub(crate) const HEIGHT: u16 = 257;
    pub(crate) const BITS_PER_SAMPLE: u16 = 258;
    pub(crate) const COMPRESSION: u16 = 259;
    pub(crate) const PHOTOMETRIC: u16 = 262;
    pub(crate) const STRIP_OFFSETS: u16 = 273;
    pub(crate) const ORIENTATION: u16 = 274;
    pub(crate) const SAMPLES_PER_PIXEL: u16 = 277;
    pub(crate) const ROWS_PER_STRIP: u16 = 278;
    pub(crate) const STRIP_BYTE_COUNTS: u16 = 279;
    pub(crate) const X_RESOLUTION: u16 = 282;
    pub(crate) const Y_RESOLUTION: u16 = 283;
    pub(crate) const PLANAR: u16 = 284;
    pub(crate) const RESOLUTION_UNIT: u16 = 296;
    pub(crate) const INK_SET: u16 = 332;
    pub(crate) const INK_NAMES: u16 = 333;
    pub(crate) const NUMBER_OF_INKS: u16 = 334;
    pub(crate) const ICC_PROFILE: u16 = 34675;

    /// COMPRESSION: zlib streams (registered later than TIFF 6.0, read by every library tried).
    pub(crate) const DEFLATE: u16 = 8;
    /// PLANAR: pixel by pixel.
    pub(crate) const INTERLEAVED: u16 = 1;
    /// RESOLUTION_UNIT.
    pub(crate) const INCH: u16 = 2;
    /// INK_SET: cyan, magenta, yellow, black.
    pub(crate) const INK_SET_CMYK: u16 = 1;
    /// INK_SET: see the names.
    pub(crate) const INK_SET_NAMED: u16 = 2;
}

/// What the values of a tag are (TIFF 6.0, section 2; `Long8` is the 64-bit form's).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Ascii = 2,
    Short = 3,
    Long = 4,
    Rational = 5,
    Undefined = 7,
    Long8 = 16,
}

impl Kind {
    const fn bytes(self) -> usize {
        match self {
            Self::Ascii | Self::Undefined => 1,
            Self::Short => 2,
            Self::Long => 4,
            Self::Rational | Self::Long8 => 8,
        }
    }
}

/// Whether places in a file take 32 or 64 bits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Reach {
    Narrow,
    Wide,
}

impl Reach {
    /// Bytes of a place, which are also those of a value kept inside its entry.
    const fn place(self) -> usize {
        match self {
            Self::Narrow => 4,
            Self::Wide => 8,
        }
    }

    /// A number as wide as a place. The caller has made sure that it fits.
    fn number(self, value: u64) -> Vec<u8> {
        value.to_le_bytes()[..self.place()].to_vec()
    }

    /// The head of a file whose directory stands at a place.
    pub(crate) fn head(self, directory: u64) -> Vec<u8> {
        let mark: &[u8] = match self {
            Self::Narrow => b"II*\0",
            Self::Wide => b"II+\0\x08\0\0\0",
        };
        [mark, &self.number(directory)].concat()
    }
}

/// The tags of a picture, in the order of their numbers, as the format wants them.
#[derive(Clone, Debug, Default)]
pub(crate) struct Directory {
    entries: BTreeMap<u16, (Kind, Vec<u8>)>,
}

impl Directory {
    pub(crate) fn bytes(&mut self, tag: u16, kind: Kind, bytes: Vec<u8>) {
        self.entries.insert(tag, (kind, bytes));
    }

    pub(crate) fn shorts(&mut self, tag: u16, values: &[u16]) {
        self.bytes(tag, Kind::Short, values.iter().flat_map(|value| value.to_le_bytes()).collect());
    }

    pub(crate) fn longs(&mut self, tag: u16, values: &[u32]) {
        self.bytes(tag, Kind::Long, values.iter().flat_map(|value| value.to_le_bytes()).collect());
    }

    pub(crate) fn fraction(&mut self, tag: u16, value: [u32; 2]) {
        let bytes = value.iter().flat_map(|part| part.to_le_bytes()).collect();
        self.bytes(tag, Kind::Rational, bytes);
    }

    /// Places or sizes, as wide as the file's places.
    pub(crate) fn places(&mut self, tag: u16, values: &[u64], reach: Reach) {
        let kind = match reach {
            Reach::Narrow => Kind::Long,
            Reach::Wide => Kind::Long8,
        };
        self.bytes(tag, kind, values.iter().flat_map(|value| reach.number(*value)).collect());
    }

    /// Bytes of the tags' values, for guessing the size of a file.
    pub(crate) fn value_bytes(&self) -> u64 {
        self.entries.values().map(|(_, bytes)| bytes.len() as u64).sum()
    }

    /// The directory with its values behind it, as it stands at a place in the file.
    pub(crate) fn written_at(&self, start: u64, reach: Reach) -> Vec<u8> {
        let entry = 4 + 2 * reach.place();
        let count = self.entries.len() as u64;
        let mut head = match reach {
            Reach::Narrow => count.to_le_bytes()[..2].to_vec(),
            Reach::Wide => count.to_le_bytes().to_vec(),
        };
        let length = head.len() + entry * self.entries.len() + reach.place();
        let mut behind = Vec::new();
        for (tag, (kind, bytes)) in &self.entries {
            head.extend(tag.to_le_bytes());
            head.extend((*kind as u16).to_le_bytes());
            head.extend(reach.number((bytes.len() / kind.bytes()) as u64));
            if bytes.len() <= reach.place() {
                head.extend(bytes);
                head.resize(head.len() + reach.place() - bytes.len(), 0);
            } else {
                head.extend(reach.number(start + (length + behind.len()) as u64));
                behind.extend(bytes);
                // Values start on even bytes.
                behind.resize(behind.len().next_multiple_of(2), 0);
            }
        }
        head.extend(reach.number(0));
        head.extend(behind);
        head
    }
}
