use std::fmt;
use std::io::{self, Read};

/// BLAKE3 hash of every byte of a file: two files with the same hash are the same file.
///
/// Source: O'Connor, Aumasson, Neves, Wilcox-O'Hearn, "BLAKE3: one function, fast everywhere"
/// (2020).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct ContentHash([u8; 32]);

/// Bytes that are hashed at once, side by side while the next are read. Our choice: four threads then
/// have 256 KiB each, and the widest registers are filled from 128 KiB on.
const AT_ONCE: usize = 1 << 20;

impl ContentHash {
    /// Hashes everything that is left to read.
    pub(crate) fn of(mut bytes: impl Read + Send) -> io::Result<Self> {
        let mut hasher = blake3::Hasher::new();
        let (mut known, mut next) = (vec![0; AT_ONCE], vec![0; AT_ONCE]);
        let mut filled = fill(&mut bytes, &mut known)?;
        while filled > 0 {
            let hash = || {
                hasher.update_rayon(&known[..filled]);
            };
            let (read, ()) = rayon::join(|| fill(&mut bytes, &mut next), hash);
            filled = read?;
            std::mem::swap(&mut known, &mut next);
        }
        Ok(Self(hasher.finalize().into()))
    }

    /// A hash that was kept.
    #[must_use]
    pub const fn from_bytes(bytes: [u8; 32]) -> Self {
        Self(bytes)
    }

    /// The 32 bytes of the hash.
    #[must_use]
    pub const fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }
}

/// Reads until the buffer is full or nothing is left; returns how much was read.
fn fill(bytes: &mut impl Read, buffer: &mut [u8]) -> io::Result<usize> {
    let mut filled = 0;
    while filled < buffer.len() {
        match bytes.read(&mut buffer[filled..])? {
            0 => break,
            read => filled += read,
        }
    }
    Ok(filled)
}

impl fmt::Display for ContentHash {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(out, "{byte:02x}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The hash of no bytes as the BLAKE3 authors' test vectors give it (`test_vectors.json`,
    /// input length 0).
    const OF_NOTHING: &str = "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262";

    #[test]
    fn the_hash_of_nothing_is_the_published_one() {
        assert_eq!(ContentHash::of(io::empty()).unwrap().to_string(), OF_NOTHING);
    }

    #[test]
    fn one_changed_byte_beyond_the_first_chunk_changes_the_hash() {
        let mut bytes = vec![7; AT_ONCE + 1];
        let before = ContentHash::of(&bytes[..]).unwrap();
        bytes[AT_ONCE] = 8;
        assert_ne!(ContentHash::of(&bytes[..]).unwrap(), before);
    }
}
