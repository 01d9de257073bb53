use memmap2::MmapMut;

/// Bytes in large pages of memory, where the system has them.
///
/// Counting touches memory here and there. Each page of the usual 4 KiB then costs a fault, or two as it
/// is read before it is written, and faults took a quarter of the time of a 24-megapixel picture.
pub(crate) enum LargePages {
    Mapped(MmapMut),
    /// Where nothing can be mapped.
    Owned(Vec<u8>),
}

impl LargePages {
    /// So many zeros.
    pub(crate) fn zeros(bytes: usize) -> Self {
        let Ok(map) = MmapMut::map_anon(bytes) else {
            return Self::Owned(vec![0; bytes]);
        };
        #[cfg(target_os = "linux")]
        // Small pages are slower, and right.
        let _ = map.advise(memmap2::Advice::HugePage);
        Self::Mapped(map)
    }

    pub(crate) fn all(&self) -> &[u8] {
        match self {
            Self::Mapped(map) => map,
            Self::Owned(bytes) => bytes,
        }
    }

    pub(crate) fn all_mut(&mut self) -> &mut [u8] {
        match self {
            Self::Mapped(map) => map,
            Self::Owned(bytes) => bytes,
        }
    }
}
