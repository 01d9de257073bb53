use std::io::Write;

/// A TIFF file in the making: entries of one directory and the chunks of pixels.
#[derive(Clone)]
pub(crate) struct TiffFile {
    pub(crate) big_endian: bool,
    pub(crate) wide: bool,
    pub(crate) entries: Vec<Entry>,
    pub(crate) chunks: Vec<Vec<u8>>,
    /// Tags of the chunks' places and sizes.
    pub(crate) chunk_tags: (u16, u16),
}

/// A tag with its values.
#[derive(Clone)]
pub(crate) struct Entry {
    tag: u16,
    kind: u16,
    values: Vec<u64>,
}

pub(crate) fn short(tag: u16, values: &[u64]) -> Entry {
    entry(tag, 3, values)
}

pub(crate) fn long(tag: u16, values: &[u64]) -> Entry {
    entry(tag, 4, values)
}

pub(crate) fn byte(tag: u16, values: &[u8]) -> Entry {
    let values: Vec<u64> = values.iter().copied().map(u64::from).collect();
    entry(tag, 7, &values)
}

/// A fraction: numerator and denominator.
pub(crate) fn rational(tag: u16, numerator: u64, denominator: u64) -> Entry {
    entry(tag, 5, &[numerator, denominator])
}

fn entry(tag: u16, kind: u16, values: &[u64]) -> Entry {
    Entry { tag, kind, values: values.to_vec() }
}

impl TiffFile {
    /// Header, chunks, values that don't fit their entry, directory: every byte is needed.
    pub(crate) fn bytes(&self) -> Vec<u8> {
        let mut file = self.header();
        let mut places = Vec::new();
        for chunk in &self.chunks {
            places.push(file.len() as u64);
            file.extend(chunk);
        }
        let sizes: Vec<_> = self.chunks.iter().map(|chunk| chunk.len() as u64).collect();
        let mut entries = self.entries.clone();
        entries.push(long(self.chunk_tags.0, &places));
        entries.push(long(self.chunk_tags.1, &sizes));
        entries.sort_by_key(|entry| entry.tag);
        let slots: Vec<_> = entries.iter().map(|entry| self.slot(entry, &mut file)).collect();
        let directory = file.len() as u64;
        let (count_width, width) = if self.wide { (8, 8) } else { (2, 4) };
        self.put(&mut file, count_width, entries.len() as u64);
        for (entry, slot) in entries.iter().zip(slots) {
            self.put(&mut file, 2, entry.tag.into());
            self.put(&mut file, 2, entry.kind.into());
            let per_value = if entry.kind == 5 { 2 } else { 1 };
            self.put(&mut file, width, (entry.values.len() / per_value) as u64);
            file.extend(slot);
        }
        self.put(&mut file, width, 0);
        let at = if self.wide { 8 } else { 4 };
        let mut place = Vec::new();
        self.put(&mut place, width, directory);
        file[at..at + width].copy_from_slice(&place);
        file
    }

    fn header(&self) -> Vec<u8> {
        let mut header = if self.big_endian { b"MM" } else { b"II" }.to_vec();
        if self.wide {
            self.put(&mut header, 2, 43);
            self.put(&mut header, 2, 8);
            self.put(&mut header, 2, 0);
            self.put(&mut header, 8, 0);
        } else {
            self.put(&mut header, 2, 42);
            self.put(&mut header, 4, 0);
        }
        header
    }

    /// The last part of an entry; longer values go to the file.
    fn slot(&self, entry: &Entry, file: &mut Vec<u8>) -> Vec<u8> {
        let width = match entry.kind {
            3 => 2,
            4 | 5 => 4,
            _ => 1,
        };
        let mut raw = Vec::new();
        for value in &entry.values {
            self.put(&mut raw, width, *value);
        }
        let room = if self.wide { 8 } else { 4 };
        if raw.len() > room {
            let place = file.len() as u64;
            file.extend(&raw);
            raw.clear();
            self.put(&mut raw, room, place);
        }
        raw.resize(room, 0);
        raw
    }

    fn put(&self, into: &mut Vec<u8>, width: usize, value: u64) {
        if self.big_endian {
            into.extend(&value.to_be_bytes()[8 - width..]);
        } else {
            into.extend(&value.to_le_bytes()[..width]);
        }
    }
}

/// How samples are to be stored.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Form {
    pub(crate) big_endian: bool,
    pub(crate) wide: bool,
    pub(crate) bits: usize,
    /// Width and height of tiles; `None` for strips.
    pub(crate) tile: Option<(usize, usize)>,
    pub(crate) rows_per_strip: usize,
    pub(crate) planar: bool,
    pub(crate) compression: u64,
    pub(crate) differences: bool,
}

impl Default for Form {
    /// Little-endian strips of three rows, raw.
    fn default() -> Self {
        Self {
            big_endian: false,
            wide: false,
            bits: 8,
            tile: None,
            rows_per_strip: 3,
            planar: false,
            compression: 1,
            differences: false,
        }
    }
}

/// A picture to be stored.
pub(crate) struct Sheet<'samples> {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) per_pixel: usize,
    pub(crate) photometric: u64,
    pub(crate) samples: &'samples [u16],
}

impl Sheet<'_> {
    pub(crate) fn store(&self, form: Form) -> TiffFile {
        let mut file = TiffFile {
            big_endian: form.big_endian,
            wide: form.wide,
            entries: vec![
                long(256, &[self.width as u64]),
                long(257, &[self.height as u64]),
                short(258, &vec![form.bits as u64; self.per_pixel]),
                short(259, &[form.compression]),
                short(262, &[self.photometric]),
                short(277, &[self.per_pixel as u64]),
                short(284, &[if form.planar { 2 } else { 1 }]),
                short(317, &[if form.differences { 2 } else { 1 }]),
            ],
            chunks: Vec::new(),
            chunk_tags: (273, 279),
        };
        let (chunk_width, chunk_height) = match form.tile {
            Some((width, height)) => {
                file.entries.push(long(322, &[width as u64]));
                file.entries.push(long(323, &[height as u64]));
                file.chunk_tags = (324, 325);
                (width, height)
            }
            None => {
                file.entries.push(long(278, &[form.rows_per_strip as u64]));
                (self.width, form.rows_per_strip)
            }
        };
        let planes: Vec<Vec<usize>> = if form.planar {
            (0..self.per_pixel).map(|plane| vec![plane]).collect()
        } else {
            vec![(0..self.per_pixel).collect()]
        };
        for plane in &planes {
            for top in (0..self.height).step_by(chunk_height) {
                for left in (0..self.width).step_by(chunk_width) {
                    let corner = (left, top);
                    let raw = self.chunk(corner, (chunk_width, chunk_height), plane, form);
                    file.chunks.push(compress(&raw, form.compression));
                }
            }
        }
        file
    }

    /// Tiles are padded with their last column and row, strips end with the picture.
    fn chunk(
        &self,
        (left, top): (usize, usize),
        (width, height): (usize, usize),
        plane: &[usize],
        form: Form,
    ) -> Vec<u8> {
        let rows = if form.tile.is_some() { height } else { height.min(self.height - top) };
        let mut raw = Vec::new();
        for row in top..top + rows {
            let mut stored = Vec::new();
            for column in left..left + width {
                let pixel = row.min(self.height - 1) * self.width + column.min(self.width - 1);
                stored.extend(plane.iter().map(|part| self.samples[pixel * self.per_pixel + part]));
            }
            if form.differences {
                for index in (plane.len()..stored.len()).rev() {
                    stored[index] = stored[index].wrapping_sub(stored[index - plane.len()]);
                }
            }
            raw.extend(pack(&stored, form));
        }
        raw
    }
}

#[expect(clippy::cast_possible_truncation, reason = "differences of 8 bits wrap around in 8 bits")]
fn pack(samples: &[u16], form: Form) -> Vec<u8> {
    match form.bits {
        16 if form.big_endian => samples.iter().flat_map(|word| word.to_be_bytes()).collect(),
        16 => samples.iter().flat_map(|word| word.to_le_bytes()).collect(),
        8 => samples.iter().map(|sample| *sample as u8).collect(),
        bits => samples
            .chunks(8 / bits)
            .map(|few| {
                let place = |index: usize| 8 - bits * (index + 1);
                few.iter()
                    .enumerate()
                    .fold(0, |byte, (index, sample)| byte | (*sample as u8) << place(index))
            })
            .collect(),
    }
}

fn compress(raw: &[u8], compression: u64) -> Vec<u8> {
    match compression {
        5 => weezl::encode::Encoder::with_tiff_size_switch(weezl::BitOrder::Msb, 8)
            .encode(raw)
            .unwrap(),
        8 | 32_946 => {
            let level = flate2::Compression::default();
            let mut encoder = flate2::write::ZlibEncoder::new(Vec::new(), level);
            encoder.write_all(raw).unwrap();
            encoder.finish().unwrap()
        }
        32_773 => pack_bits(raw),
        _ => raw.to_vec(),
    }
}

/// Runs of three and more as repeats, the rest copied, with a filler now and then.
fn pack_bits(raw: &[u8]) -> Vec<u8> {
    let mut packed = Vec::new();
    let mut rest = raw;
    while let Some(first) = rest.first() {
        let run = rest.iter().take(128).take_while(|byte| *byte == first).count();
        if run >= 3 {
            packed.extend([u8::try_from(257 - run).unwrap(), *first, 128]);
            rest = &rest[run..];
        } else {
            let copied = rest.len().min(5);
            packed.push(u8::try_from(copied - 1).unwrap());
            packed.extend(&rest[..copied]);
            rest = &rest[copied..];
        }
    }
    packed
}

impl Entry {
    pub(crate) fn is(&self, tag: u16) -> bool {
        self.tag == tag
    }
}

impl TiffFile {
    /// Puts an entry in the place of the one with the same tag, or adds it.
    pub(crate) fn replace(&mut self, entry: Entry) {
        self.entries.retain(|other| other.tag != entry.tag);
        self.entries.push(entry);
    }
}
