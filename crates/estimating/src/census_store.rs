/// Keeps censuses between runs, by the BLAKE3 hash of a picture's file. Where they are kept is the
/// shell's business; nothing depends on it but time.
pub trait CensusStore {
    /// The bytes kept for a picture, if there are any.
    fn load(&self, content_hash: &[u8; 32]) -> Option<Vec<u8>>;

    /// Keeps bytes for a picture, as far as possible.
    fn store(&self, content_hash: &[u8; 32], bytes: &[u8]);
}
