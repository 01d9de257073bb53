//! The separation as a flat array of bytes, for a cache.
//!
//! Layout, all numbers little-endian: magic (8 bytes), key of the inputs (32), nodes on a side of
//! the lattice (u64), recipes of the lattice (f32 …), coverages of each family's split (f32 …),
//! BLAKE3 of all that (32). The lengths follow from the inputs.

use crate::build::NODES;
use crate::family_split::FamilySplit;
use crate::lattice::Lattice;
use crate::recipe::RecipeBook;
use crate::tone_ramp::MAX_STRENGTHS;
use crate::{Limits, Separation, SeparationInputs};

const MAGIC: &[u8; 8] = b"INKFSEP1";
const HASH: usize = 32;

impl Separation {
    /// The stored form, under the key of the inputs that the separation was built from.
    #[must_use]
    pub fn to_bytes(&self, inputs: &SeparationInputs<'_>) -> Vec<u8> {
        let mut bytes = MAGIC.to_vec();
        bytes.extend(inputs.key().bytes());
        bytes.extend((NODES as u64).to_le_bytes());
        let book = self.book();
        let splits = (0..book.families()).flat_map(|family| book.split(family).nodes());
        for value in self.lattice().values().chain(splits.flatten().copied()) {
            bytes.extend(value.to_le_bytes());
        }
        let checksum = blake3::hash(&bytes);
        bytes.extend(checksum.as_bytes());
        bytes
    }
}

impl SeparationInputs<'_> {
    /// Takes up a stored separation.
    ///
    /// `None` when the bytes are foreign, damaged, or stored for other inputs or by another
    /// version: then it is to be built anew.
    #[must_use]
    pub fn restore(&self, bytes: &[u8]) -> Option<Separation> {
        let (content, checksum) = bytes.split_at_checked(bytes.len().checked_sub(HASH)?)?;
        let rest = content.strip_prefix(MAGIC)?.strip_prefix(&self.key().bytes())?;
        let rest = rest.strip_prefix(&(NODES as u64).to_le_bytes())?;
        if blake3::hash(content).as_bytes() != checksum {
            return None;
        }
        let mut numbers = shares(rest)?;
        let model = self.model().ok()?;
        let limits = Limits::new(self.set, self.substrate, self.mode).ok()?;
        let inks: Vec<Vec<usize>> =
            (0..model.families()).map(|family| model.family_channels(family).to_vec()).collect();
        let length = inks.iter().map(|channels| channels.len().min(2)).sum();
        let count = NODES * NODES * NODES * length;
        let recipes: Vec<f32> = numbers.by_ref().take(count).collect();
        let splits = inks
            .into_iter()
            .map(|channels| {
                let nodes = FamilySplit::nodes_of(channels.len());
                let coverages: Vec<f32> = numbers.by_ref().take(nodes * MAX_STRENGTHS).collect();
                let (nodes, _) = coverages.as_chunks::<MAX_STRENGTHS>();
                FamilySplit::from_nodes(channels, nodes.to_vec())
            })
            .collect::<Option<Vec<_>>>()?;
        let whole = recipes.len() == count && numbers.next().is_none();
        whole.then(|| {
            let lattice = Lattice::new(NODES, length, &recipes);
            let book = RecipeBook::new(splits);
            Separation::of_tables(model, limits, book, lattice, self.policy.toning())
        })
    }
}

/// The numbers of the tables, if all are amounts, reaches or coverages of 0 to 1: a checksum vouches
/// for what was written, not for the writer.
fn shares(bytes: &[u8]) -> Option<impl Iterator<Item = f32>> {
    let (numbers, rest) = bytes.as_chunks::<4>();
    let numbers = numbers.iter().map(|number| f32::from_le_bytes(*number));
    let sound = rest.is_empty() && numbers.clone().all(|number| (0.0..=1.0).contains(&number));
    sound.then_some(numbers)
}
