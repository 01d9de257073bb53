use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;

use crate::{Problem, ProblemClass};

/// So that keys can be told from other secrets by eye and by scanners.
const PREFIX: &str = "inkf_";

/// Bytes from the machine's source of randomness.
pub(crate) fn random<const BYTES: usize>() -> Result<[u8; BYTES], Problem> {
    let mut bytes = [0; BYTES];
    getrandom::fill(&mut bytes).map_err(|cause| {
        Problem::new(ProblemClass::Unavailable, format!("no random numbers: {cause}"))
    })?;
    Ok(bytes)
}

/// A name in addresses that nobody guesses: 128 bits, 22 characters.
pub(crate) fn new_id() -> Result<String, Problem> {
    Ok(URL_SAFE_NO_PAD.encode(random::<16>()?))
}

/// A key of 256 bits; whoever has it may do what its role allows.
pub struct NewKey(String);

impl NewKey {
    /// Makes a key.
    ///
    /// # Errors
    ///
    /// `Unavailable` when the machine gives no random numbers.
    pub fn make() -> Result<Self, Problem> {
        Ok(Self(format!("{PREFIX}{}", URL_SAFE_NO_PAD.encode(random::<32>()?))))
    }

    /// The key, to be shown once.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.0
    }

    /// What is kept of it.
    #[must_use]
    pub fn hash(&self) -> [u8; 32] {
        hash_of(&self.0)
    }
}

/// What is kept of a key or a session. Keys are random numbers of 256 bits, so that one pass of a
/// hash is enough: there is nothing to guess from.
pub(crate) fn hash_of(secret: &str) -> [u8; 32] {
    blake3::hash(secret.as_bytes()).into()
}

/// The part of a link that opens an upload: its name, then what only the service can compute.
pub(crate) fn link_token(secret: &[u8; 32], id: &str, links: i64) -> String {
    format!("{id}{}", URL_SAFE_NO_PAD.encode(&link_code(secret, id, links)[..16]))
}

fn link_code(secret: &[u8; 32], id: &str, links: i64) -> [u8; 32] {
    let mut hasher = blake3::Hasher::new_keyed(secret);
    hasher.update(id.as_bytes());
    hasher.update(&links.to_le_bytes());
    hasher.finalize().into()
}

/// Characters of a name, and of the whole token.
const ID_LENGTH: usize = 22;

/// The name in a token, before anybody has checked the rest.
pub(crate) fn id_in(token: &str) -> Option<&str> {
    (token.len() == 2 * ID_LENGTH && token.is_ascii()).then(|| &token[..ID_LENGTH])
}

/// Whether two texts are the same, in a time that tells nothing of where they differ.
pub(crate) fn same(one: &str, other: &str) -> bool {
    // Hashes are compared in constant time.
    blake3::hash(one.as_bytes()) == blake3::hash(other.as_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_link_opens_its_own_upload_until_links_are_made_void() {
        let (secret, id) = ([7; 32], new_id().unwrap_or_default());
        let token = link_token(&secret, &id, 0);
        assert_eq!(id_in(&token), Some(id.as_str()));
        assert!(same(&token, &link_token(&secret, &id, 0)));
        assert!(!same(&token, &link_token(&secret, &id, 1)));
        assert!(!same(&token, &link_token(&[8; 32], &id, 0)));
    }

    #[test]
    fn keys_differ_and_carry_their_prefix() {
        let keys = [NewKey::make(), NewKey::make()].map(|key| key.ok().map(|key| key.0));
        let [Some(one), Some(other)] = keys else { panic!("the machine has random numbers") };
        assert!(one.starts_with(PREFIX) && one.len() == PREFIX.len() + 43);
        assert_ne!(one, other);
    }
}
