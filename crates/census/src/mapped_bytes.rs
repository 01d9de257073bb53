use memmap2::MmapMut;

/// Bytes of memory that are all zero at first, in pages of a wished size where the system has them.
///
/// Counting touches memory here and there. Each page of the usual 4 KiB then costs a fault, or two as it
/// is read before it is written, and faults took a quarter of the time of a 24-megapixel picture. A large
/// page costs the clearing of 2 MiB instead, which is too much where few bytes of it are written.
pub(crate) enum MappedBytes {
    Mapped(MmapMut),
    /// Where nothing can be mapped.
    Owned(Vec<u8>),
}

/// Pages that are wished for.
#[derive(Clone, Copy)]
pub(crate) enum Pages {
    /// For bytes of which most are written.
    Large,
    /// For bytes of which few are written.
    Small,
}

impl Pages {
    #[cfg(target_os = "linux")]
    fn ask_for(self, map: &MmapMut) {
        use memmap2::Advice;
        // Pages of the other size are slower, and right.
        let _ = map.advise(match self {
            Self::Large => Advice::HugePage,
            Self::Small => Advice::NoHugePage,
        });
    }

    #[cfg(not(target_os = "linux"))]
    const fn ask_for(self, _map: &MmapMut) {}
}

impl MappedBytes {
    /// So many zeros.
    pub(crate) fn zeros(bytes: usize, pages: Pages) -> Self {
        let Ok(map) = MmapMut::map_anon(bytes) else {
            return Self::Owned(vec![0; bytes]);
        };
        pages.ask_for(&map);
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
