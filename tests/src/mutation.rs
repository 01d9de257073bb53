use std::fmt;

/// A way in which a file is damaged.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Damage {
    /// Bits are turned over.
    Bits,
    /// Bytes become 0, 255 or another value of a field's edge.
    Edges,
    /// The file ends early.
    Cut,
    /// A stretch is left out.
    Gap,
    /// A stretch comes twice.
    Echo,
    /// A stretch is overwritten by one from elsewhere.
    Swap,
}

impl Damage {
    const ALL: [Self; 6] = [Self::Bits, Self::Edges, Self::Cut, Self::Gap, Self::Echo, Self::Swap];
}

impl fmt::Display for Damage {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Bits => "bits turned over",
            Self::Edges => "bytes at their limits",
            Self::Cut => "cut",
            Self::Gap => "a stretch left out",
            Self::Echo => "a stretch twice",
            Self::Swap => "a stretch overwritten",
        })
    }
}

/// Values that fields have at their limits.
const EDGES: [u8; 8] = [0, 1, 127, 128, 254, 255, 16, 64];

/// Damages a file in a way that only the number decides.
///
/// Half of the changes fall on the first 256 bytes, where headers stand: evenly spread ones would
/// hardly ever meet a field.
#[must_use]
pub fn mutated(file: &[u8], number: u64) -> (Vec<u8>, Damage) {
    let mut chance = Chance(number.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ file.len() as u64);
    let damage = Damage::ALL[chance.below(Damage::ALL.len())];
    let mut bytes = file.to_vec();
    match damage {
        Damage::Bits => {
            for _ in 0..=chance.below(8) {
                let place = chance.place(bytes.len());
                bytes[place] ^= 1 << chance.below(8);
            }
        }
        Damage::Edges => {
            for _ in 0..=chance.below(4) {
                let place = chance.place(bytes.len());
                let wide = (1 << chance.below(3)).min(bytes.len() - place);
                bytes[place..place + wide].fill(EDGES[chance.below(EDGES.len())]);
            }
        }
        Damage::Cut => bytes.truncate(chance.below(file.len())),
        Damage::Gap => {
            let (from, length) = chance.stretch(bytes.len());
            bytes.drain(from..from + length);
        }
        Damage::Echo => {
            let (from, length) = chance.stretch(bytes.len());
            let stretch = bytes[from..from + length].to_vec();
            bytes.splice(from..from, stretch);
        }
        Damage::Swap => {
            let (from, length) = chance.stretch(bytes.len());
            let to = chance.below(bytes.len() - length + 1);
            bytes.copy_within(from..from + length, to);
        }
    }
    (bytes, damage)
}

/// Numbers that look like chance and are the same everywhere (Steele, Lea and Flood, "Fast
/// splittable pseudorandom number generators", 2014).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.0 ^ self.0 >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ mixed >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ mixed >> 31
    }

    fn below(&mut self, most: usize) -> usize {
        let most = most.max(1) as u64;
        usize::try_from(self.next() % most).unwrap_or(0)
    }

    fn place(&mut self, length: usize) -> usize {
        let within = if self.below(2) == 0 { length.min(256) } else { length };
        self.below(within)
    }

    /// A stretch of at most a quarter of the file, at least a byte.
    fn stretch(&mut self, length: usize) -> (usize, usize) {
        let long = 1 + self.below((length / 4).clamp(1, 64));
        let from = self.place(length - long + 1);
        (from, long.min(length - from))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_always_does_the_same_damage() {
        let file: Vec<u8> = (0..=255).collect();
        for number in 0..200 {
            assert_eq!(mutated(&file, number), mutated(&file, number));
        }
    }

    #[test]
    fn every_way_of_damaging_comes_up_and_most_change_the_file() {
        let file: Vec<u8> = (0..=255).collect();
        let damaged: Vec<_> = (0..500).map(|number| mutated(&file, number)).collect();
        for kind in Damage::ALL {
            assert!(damaged.iter().any(|(_, damage)| *damage == kind), "{kind}");
        }
        assert!(damaged.iter().filter(|(bytes, _)| *bytes != file).count() > 450);
    }

    #[test]
    fn the_smallest_file_survives_every_number() {
        for number in 0..500 {
            let _ = mutated(&[7], number);
        }
    }
}
