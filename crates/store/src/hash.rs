//! The fingerprint of a file: the same bytes are the same recording.

use std::fmt;

use sha2::{Digest, Sha256};

/// The SHA-256 (FIPS 180-4) of a file's bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ContentHash([u8; 32]);

impl ContentHash {
    /// The fingerprint of a file's bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// The fingerprint written as 64 hexadecimal digits; `None` for anything else.
    pub(crate) fn from_hex(text: &str) -> Option<Self> {
        let mut bytes = [0; 32];
        if text.len() != 64 || !text.bytes().all(|digit| matches!(digit, b'0'..=b'9' | b'a'..=b'f'))
        {
            return None;
        }
        for (index, byte) in bytes.iter_mut().enumerate() {
            *byte = u8::from_str_radix(text.get(2 * index..2 * index + 2)?, 16).ok()?;
        }
        Some(Self(bytes))
    }
}

impl fmt::Display for ContentHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fingerprint_is_written_and_read() {
        // FIPS 180-4 example: SHA-256("abc")
        let hash = ContentHash::of(b"abc");
        let hex = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(hash.to_string(), hex);
        assert_eq!(ContentHash::from_hex(hex), Some(hash));
        assert_eq!(ContentHash::from_hex(&hex[1..]), None);
        assert_eq!(ContentHash::from_hex(&hex.to_uppercase()), None);
    }
}
