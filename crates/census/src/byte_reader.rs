use crate::CensusError;

/// Takes little-endian numbers off the front of bytes; never allocates more than there are
/// bytes.
pub(crate) struct ByteReader<'a> {
    rest: &'a [u8],
}

impl<'a> ByteReader<'a> {
    pub(crate) const fn new(bytes: &'a [u8]) -> Self {
        Self { rest: bytes }
    }

    pub(crate) const fn remaining(&self) -> usize {
        self.rest.len()
    }

    /// The next `count` bytes.
    pub(crate) fn bytes(&mut self, count: u64) -> Result<&'a [u8], CensusError> {
        let remaining = self.remaining();
        let taken = usize::try_from(count).ok().and_then(|count| self.rest.split_at_checked(count));
        let Some((taken, rest)) = taken else {
            let detail = format!("{count} bytes are announced where {remaining} are left");
            return Err(CensusError::Damaged { detail });
        };
        self.rest = rest;
        Ok(taken)
    }

    /// The next bytes, as many as the array has.
    pub(crate) fn array<const N: usize>(&mut self) -> Result<[u8; N], CensusError> {
        let taken = self.bytes(N as u64)?;
        Ok(std::array::from_fn(|place| taken[place]))
    }

    pub(crate) fn number_32(&mut self) -> Result<u32, CensusError> {
        self.array().map(u32::from_le_bytes)
    }

    /// The next `count` numbers of `N` bytes each.
    pub(crate) fn numbers<const N: usize, T>(
        &mut self,
        count: u64,
        from_bytes: impl Fn([u8; N]) -> T,
    ) -> Result<Vec<T>, CensusError> {
        let taken = self.bytes(count.saturating_mul(N as u64))?;
        let numbers = taken.as_chunks::<N>().0.iter();
        Ok(numbers.map(|number| from_bytes(*number)).collect())
    }
}
