use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

/// What is known of each key.
pub(crate) type KeyMap<T> = HashMap<u32, T, BuildHasherDefault<KeyHasher>>;

/// Spreads keys by one multiplication: they are near one another, and no enemy chooses them for
/// more than slowness. The factor is 2⁶⁴ over the golden ratio (Knuth, "The art of computer
/// programming", volume 3, section 6.4).
#[derive(Default)]
pub(crate) struct KeyHasher(u64);

impl Hasher for KeyHasher {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.write_u32(u32::from(*byte));
        }
    }

    fn write_u32(&mut self, key: u32) {
        let mixed = (self.0 ^ u64::from(key)).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        self.0 = mixed ^ mixed >> 32;
    }
}
