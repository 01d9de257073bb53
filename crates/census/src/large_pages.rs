use bytemuck::{cast_slice, cast_slice_mut};
use memmap2::MmapMut;

/// Numbers in large pages of memory, where the system has them.
///
/// Counting touches memory here and there. Each page of the usual 4 KiB then costs a fault, or two as it
/// is read before it is written, and faults took a quarter of the time of a 24-megapixel picture.
pub(crate) enum LargePages {
    Mapped(MmapMut),
    /// Where nothing can be mapped.
    Owned(Vec<u64>),
}

impl LargePages {
    /// So many zeros.
    pub(crate) fn zeros(count: usize) -> Self {
        let Ok(map) = MmapMut::map_anon(count * size_of::<u64>()) else {
            return Self::Owned(vec![0; count]);
        };
        #[cfg(target_os = "linux")]
        // Small pages are slower, and right.
        let _ = map.advise(memmap2::Advice::HugePage);
        Self::Mapped(map)
    }

    pub(crate) fn all(&self) -> &[u64] {
        match self {
            // A map begins at a page, which is aligned for any number.
            Self::Mapped(map) => cast_slice(map),
            Self::Owned(numbers) => numbers,
        }
    }

    pub(crate) fn all_mut(&mut self) -> &mut [u64] {
        match self {
            Self::Mapped(map) => cast_slice_mut(map),
            Self::Owned(numbers) => numbers,
        }
    }
}
